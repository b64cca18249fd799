"""The public docstrings teach: units, shapes, what is raised, and an example that runs."""

from __future__ import annotations

import doctest
import inspect
import re
from pathlib import Path

import pytest

import furnigen
from furnigen.cli.main import main

ROOT = Path(furnigen.__file__).parents[1]
NAMES = sorted(
    n
    for n in furnigen.__all__
    if inspect.isfunction(getattr(furnigen, n)) or inspect.isclass(getattr(furnigen, n))
)
FUNCTIONS = [n for n in NAMES if inspect.isfunction(getattr(furnigen, n))]
UNITS = re.compile(r"\bmm\b|mm[23²³]|degree|kg|pixel|second|share")
BARE = {"int", "bool", "str"}
"""Arguments of these kinds have no unit."""


NEVER = {"foot_out"}
"""Functions that take any number."""


def doc_of(thing: object) -> str:
    return inspect.getdoc(thing) or ""


def test_every_public_name_is_looked_at():
    kinds = {n: type(getattr(furnigen, n)).__name__ for n in furnigen.__all__ if n not in NAMES}
    assert set(kinds.values()) <= {"str", "tuple", "_CallableGenericAlias", "_UnionGenericAlias"}, kinds


@pytest.mark.parametrize("name", NAMES)
def test_its_example_runs(name, tmp_path, monkeypatch):
    thing = getattr(furnigen, name)
    found = doctest.DocTestFinder(recurse=inspect.isclass(thing)).find(
        thing, name, globs={**vars(inspect.getmodule(thing)), **{n: getattr(furnigen, n) for n in NAMES}}
    )
    assert ">>>" in doc_of(thing), f"{name} shows no example"
    monkeypatch.chdir(tmp_path)
    told: list[str] = []
    runner = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE)
    for example in found:
        runner.run(example, out=told.append)
    assert runner.failures == 0, "".join(told)


def members(name: str):
    """A public function by its name, or the public methods of a class that people call."""
    thing = getattr(furnigen, name)
    if inspect.isfunction(thing):
        yield name, thing
    for inner, method in vars(thing).items() if inspect.isclass(thing) else ():
        function = getattr(method, "__func__", method)
        if not inner.startswith("_") and inspect.isfunction(function):
            yield f"{name}.{inner}", function


CALLED = ["Draft", "Built", "Recipe", "ChosenJoint", "Stock", *FUNCTIONS]
"""What an author calls; forms, poses and boxes are values, whose methods say what they give in a line."""


MEMBERS = [member for name in CALLED for member in members(name)]


@pytest.mark.parametrize(("where", "function"), MEMBERS, ids=[where for where, _ in MEMBERS])
def test_it_says_what_it_raises_and_in_what_units(where, function):
    text, arguments = doc_of(function), inspect.signature(function).parameters.values()
    assert text
    refuses = re.search(r"\braise\b|require_|_item\(", inspect.getsource(function))
    if refuses or (arguments and where in FUNCTIONS and where not in NEVER):
        assert "Raises:" in text, f"{where} does not say what it raises"
    sized = [p.name for p in arguments if re.search("float|Vector", str(p.annotation))]
    if sized:
        assert UNITS.search(text), f"{where} takes {', '.join(sized)} and names no unit"


def test_help_teaches_how_to_draw():
    text = doc_of(furnigen.Draft)
    for word in ("mm", "draft.board(", "draft.divide(", "join_ends(", "draft.load(", "draft.done()"):
        assert word in text, word


def test_the_package_shows_the_whole_way():
    told: list[str] = []
    example = doctest.DocTestParser().get_doctest(furnigen.__doc__ or "", {}, "furnigen", None, 0)
    assert doctest.DocTestRunner().run(example, out=told.append).failed == 0, "".join(told)


# -- guides ----------------------------------------------------------------------------------------


def snippets(path: str) -> list[str]:
    return re.findall(r"```python\n(.*?)```", (ROOT / path).read_text(encoding="utf-8"), re.DOTALL)


@pytest.mark.parametrize("path", ["recipes/README.md", "README.md"])
def test_each_snippet_of_a_guide_runs_after_those_before_it(path, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    names: dict[str, object] = {"__name__": "guide"}
    found = snippets(path)
    assert found
    for number, text in enumerate(found, 1):
        exec(compile(text, f"{path} snippet {number}", "exec"), names)


def test_a_recipe_of_the_guide_is_known_to_the_command_line(tmp_path, monkeypatch, capsys):
    """As a reader would save it: with the imports of the steps above, without the line that tries it."""
    guide = snippets("recipes/README.md")
    imports = [
        line for text in guide for line in text.splitlines() if line.startswith("from furnigen import")
    ]
    joints = next(text for text in guide if "def wall_shelf(" in text).partition("\npiece = ")[0]
    (tmp_path / "wall_shelf.py").write_text("\n".join([*imports, joints]), encoding="utf-8")
    (family,) = re.findall(r"```toml\n(.*?)```", (ROOT / "recipes/README.md").read_text("utf-8"), re.DOTALL)
    (tmp_path / "wall_shelves.toml").write_text(family, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    assert main(["describe", "wall_shelf.py"]) == 0
    assert "how shelves meet the sides" in capsys.readouterr().out
    assert main(["check", "wall_shelf.py", "width=600", "joint=screwed"]) == 0
    assert main(["family", "wall_shelves.toml", "--workers", "0"]) in (0, 1)
    assert "6 variants" in capsys.readouterr().out
