"""Labels of many copies in few words."""

from __future__ import annotations

import re
from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from furnigen import find_stock
from furnigen.cutting.cut_rows import CutRow, Size
from furnigen.cutting.short_labels import short_labels

SIZE = Size(600.0, 200.0, 17.6)


def row(piece: str = "") -> CutRow:
    return CutRow(f"{piece} shelf".strip(), (), find_stock("birch-ply-18"), SIZE, SIZE, True, piece=piece)


def test_copies_of_a_batch_are_told_by_their_runs():
    labels = [f"rack-{c}.ladder.{k}.rung.{n}" for c in range(1, 5) for k in range(1, 4) for n in range(1, 9)]
    assert short_labels(row("rack"), labels) == "ladder.1-3.rung.1-8 of 1-4"
    assert short_labels(row(), [f"frame.{k}.{e}" for k in (1, 2, 3, 4, 6) for e in ("front", "back")]) == (
        "frame.1-4,6.back/front"
    )
    assert short_labels(row(), ["side.left", "side.right"]) == "side.left side.right"


def spelled(short: str) -> set[str]:
    """All labels that the words stand for."""
    found = set()
    for one in short.split(" "):
        choices = []
        for word in one.split("."):
            choice = []
            for v in re.split("[,/]", word):
                a, dash, b = v.partition("-")
                choice += [str(n) for n in range(int(a), int(b) + 1)] if dash else [v]
            choices.append(choice)
        found |= {".".join(c) for c in product(*choices)}
    return found


@given(st.sets(st.tuples(st.integers(1, 3), st.sampled_from(["a", "b"]), st.integers(1, 12)), min_size=9))
def test_nothing_is_lost_and_nothing_added(parts):
    labels = [f"part.{k}.{word}.{n}" for k, word, n in sorted(parts)]
    assert spelled(short_labels(row(), labels, 10**6)) == set(labels)
