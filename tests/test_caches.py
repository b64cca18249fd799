"""What is kept between pieces: bounded, emptied at once, and never seen in a result."""

from __future__ import annotations

import gc
import os
import re
import subprocess
import sys
from pathlib import Path
from weakref import ref

import pytest

import furnigen
from furnigen.core.caches import Kept, forget_all, kept, while_alive
from furnigen.parts.cuts import Bore
from furnigen.parts.forms.prism import Prism, rectangle
from furnigen.parts.part import canonical

ROOT = Path(furnigen.__file__).parent


def test_the_least_used_goes_first() -> None:
    values: Kept[str, int] = Kept(2)
    values.keep("a", 1)
    values.keep("b", 2)
    assert values.get("a") == 1
    values.keep("c", 3)
    assert (values.get("a"), values.get("b"), values.get("c"), len(values)) == (1, None, 3, 2)


def test_all_is_forgotten_at_once() -> None:
    asked: list[int] = []

    @kept(2)
    def double(n: int) -> int:
        asked.append(n)
        return 2 * n

    values: Kept[str, int] = Kept(2)
    values.keep("a", 1)
    assert [double(1), double(1)] == [2, 2]
    forget_all()
    assert double(1) == 2
    assert asked == [1, 1]
    assert len(values) == 0


def test_what_belongs_to_a_thing_goes_with_it() -> None:
    class Thing:
        pass

    values, thing = while_alive(), Thing()
    values[thing] = [1]
    gone = ref(thing)
    del thing
    gc.collect()
    assert gone() is None
    assert len(values) == 0


def test_no_cache_stands_outside_the_policy() -> None:
    """`functools.cache` is for tables of the package alone; anything with a bound is made in one place."""
    for path in ROOT.rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        if path.name != "caches.py":
            assert not re.search(r"lru_cache|WeakKeyDictionary\(|OrderedDict\(", text), path


def test_equal_boards_are_alike_to_the_sign_of_a_zero() -> None:
    """0.0 == -0.0, so a cache gives one for the other, but files write them differently."""
    plus = (Bore((0.0, 5.0, 0.0), (0.0, 0.0, 1.0), 3.0, 5.0),)
    minus = (Bore((-0.0, 5.0, -0.0), (-0.0, -0.0, 1.0), 3.0, 5.0),)
    corners = ((0.0, 0.0), (100.0, 0.0), (40.0, 60.0), (0.0, 60.0))
    signed = tuple((x or -0.0, y or -0.0) for x, y in corners)
    for one, two in (
        ((rectangle(100, 50, 18), plus), (rectangle(100, 50, 18), minus)),
        ((Prism(100, 60, 10, corners), ()), (Prism(100, 60, 10, signed), ())),
    ):
        answers = []
        for form, cuts in (one, two, one):
            forget_all()
            answers.append(repr(canonical(form, cuts)))
        assert len(set(answers)) == 1
        assert "-0.0" not in answers[0]


MADE = """
import hashlib, sys
from dataclasses import replace
from furnigen.recipes.discovery import find_recipe
from furnigen.pipeline.built import Built
from furnigen.pipeline.part_cache import PartCache
parts = PartCache(family=True) if "family" in sys.argv else None
for name, options in (("ladder_rack", {}), ("ring_rack", {"frames": 4}), ("ladder_rack", {"ladders": 5})):
    if "before" in sys.argv or options == {"ladders": 5}:
        built = Built(find_recipe(name)(**options), parts_cache=parts)
        files = built.make(("step", "stl", "3mf", "glb")).files
print({n: hashlib.sha256(data).hexdigest() for n, data in sorted(files.items())})
"""


@pytest.mark.slow
def test_files_are_the_same_whatever_was_made_before_and_where() -> None:
    answers = {
        subprocess.run(
            [sys.executable, "-c", MADE, *words],
            capture_output=True, text=True, check=True, env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout
        for seed, words in (("1", ()), ("2", ("before",)), ("3", ("before", "family")))
    }  # fmt: skip
    assert len(answers) == 1
    assert "model.step" in answers.pop()
