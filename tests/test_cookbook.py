"""Finding recipes and reading parameter files: what works, and that every failure is one clear message."""

import os
import pickle
import sys
from textwrap import dedent

import pytest

from furnigen import FurnigenError, InputError, RecipeError, find_recipe, list_recipes
from furnigen.recipes.discovery import ParameterFile, load_file, read_parameter_file

GOOD = """
    from furnigen import Draft, from_stock, length, recipe

    @recipe("A plank")
    def plank(long=length("900 mm", "300 mm", "2 m", "length"), board=from_stock("birch-ply-18", "it")):
        draft = Draft("plank")
        draft.board("plank", board, (0, 0, 0), (long, 100, board.thickness_mm))
        return draft.done()
"""


@pytest.fixture
def kitchen(tmp_path, monkeypatch):
    """An empty folder to work in; `recipes` in it is looked in first. Modules it loads are forgotten."""
    monkeypatch.chdir(tmp_path)
    before = set(sys.modules)
    yield tmp_path
    for name in set(sys.modules) - before:
        if name.startswith("furnigen_recipe_"):
            del sys.modules[name]


def write(folder, name, text):
    folder.mkdir(exist_ok=True)
    path = folder / name
    path.write_text(dedent(text), encoding="utf-8")
    return path


# -- recipes -----------------------------------------------------------------------------------


def test_the_six_recipes_are_listed_with_a_line_each(kitchen):
    found = list_recipes()
    assert [r.name for r in found] == [
        "crate_wall", "divided_case", "ladder_rack", "leaning_shelf", "panel_bookcase", "ring_rack",
    ]  # fmt: skip
    assert all(10 < len(r.summary) < 100 for r in found)


def test_a_recipe_is_found_by_name_and_by_path(kitchen):
    path = write(kitchen / "recipes", "plank.py", GOOD)
    write(kitchen / "recipes", "_draft.py", "raise SystemError('not a recipe')")
    assert find_recipe("plank") is find_recipe(str(path))
    assert "plank" in [r.name for r in list_recipes()]
    assert find_recipe("plank")(long=500).bounds.size == pytest.approx((500, 100, 17.6))


def test_a_folder_here_goes_before_the_one_beside_the_package(kitchen):
    write(kitchen / "recipes", "ring_rack.py", GOOD.replace("def plank", "def ring_rack"))
    assert [p.name for p in find_recipe("ring_rack").parameters] == ["long", "board"]
    assert [r.name for r in list_recipes()].count("ring_rack") == 1


def test_a_piece_of_a_recipe_file_pickles(kitchen):
    piece = find_recipe(str(write(kitchen, "plank.py", GOOD)))()
    assert pickle.loads(pickle.dumps(piece)) == piece


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("ring_rak", "there is no recipe ring_rak; did you mean ring_rack?"),
        ("wardrobe_of_dreams", "there are crate_wall, divided_case, ladder_rack"),
        ("", "there is no recipe without a name; there are crate_wall"),
        ("../recipes/ring_rack", "there is no recipe"),
        ("mine.py", "there is no recipe file mine.py"),
        ("a\0b", "there is no recipe"),
        ("a\0b.py", "there is no recipe file"),
        ("x" * 5000, "there is no recipe xxxx"),
        ("x" * 5000 + ".py", "there is no recipe file xxxx"),
    ],
)
def test_unknown_recipes_are_refused_with_an_offer(kitchen, name, says):
    with pytest.raises(RecipeError) as caught:
        find_recipe(name)
    assert says in str(caught.value)
    assert len(str(caught.value)) < 300


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "recipe file bad.py declares no recipes; it must declare one"),
        (GOOD + GOOD.replace("def plank", "def shelf"), "recipe file bad.py declares 2 recipes"),
        ("\n1 / 0\n", "recipe file bad.py failed at line 2: ZeroDivisionError: division by zero"),
        ("def broken(:\n", "recipe file bad.py failed at line 1: SyntaxError"),
        ("import no_such_module\n", "recipe file bad.py failed at line 1: ModuleNotFoundError"),
        ("\n\nraise SystemExit(0)\n", "recipe file bad.py failed at line 3: SystemExit: 0"),
        ("import json\njson.loads('{')\n", "recipe file bad.py failed at line 2: JSONDecodeError"),
        ("from furnigen import no_such_name\n", "recipe file bad.py failed at line 1: ImportError"),
        (
            "from furnigen import find_stock\nfind_stock('unobtainium')\n",
            "recipe file bad.py: stock = unobtainium: must be the name of a known stock",
        ),
    ],
)
def test_recipe_files_that_fail_say_where_every_time(kitchen, text, says):
    path = write(kitchen, "bad.py", text)
    for _ in range(2):  # a half-loaded file must not pass for a loaded one
        with pytest.raises(RecipeError) as caught:
            load_file(path)
        assert says in str(caught.value)


def test_a_file_that_is_not_text_is_refused(kitchen):
    path = kitchen / "bad.py"
    path.write_bytes(b"\x00\x01\xff")
    with pytest.raises(RecipeError, match=r"recipe file bad\.py failed: "):
        load_file(path)


def test_a_file_is_read_as_it_is_and_nothing_is_left_beside_it(kitchen, monkeypatch):
    """What Python keeps compiled is told from a file by its size and second: a change may leave both."""
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    path = write(kitchen, "plank.py", GOOD)
    stamp = path.stat()
    assert load_file(path).parameters[0].default == 900
    assert [p.name for p in kitchen.rglob("*")] == ["plank.py"]
    path.write_text(path.read_text(encoding="utf-8").replace("900 mm", "700 mm"), encoding="utf-8")
    os.utime(path, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))
    monkeypatch.delitem(sys.modules, "furnigen_recipe_plank")  # as in another process
    assert load_file(path).parameters[0].default == 700


def test_a_recipe_that_returns_nothing_is_refused_when_made(kitchen):
    path = write(kitchen, "lazy.py", GOOD.replace("return draft.done()", "draft.done()"))
    with pytest.raises(RecipeError, match=r"recipe plank must return a piece .* not nothing"):
        find_recipe(str(path))()


# -- parameter files ---------------------------------------------------------------------------


def test_a_parameter_file_is_read_as_written(kitchen):
    path = write(
        kitchen,
        "rack.toml",
        """
        title = "Drying rack"
        recipe = "ring_rack"
        units = "in"
        [parameters]
        width = "6 ft"
        shelves = 5
        [brief]
        max_width = 72
        """,
    )
    assert read_parameter_file(path) == ParameterFile(
        "Drying rack", "ring_rack", {"width": "6 ft", "shelves": 5}, {"max_width": 72}, "in"
    )


def test_an_empty_parameter_file_says_nothing(kitchen):
    assert read_parameter_file(write(kitchen, "none.toml", "")) == ParameterFile()


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("width = ", "parameter file = bad.toml: is not TOML"),
        ("a = 1\na = 2", "is not TOML"),
        ("a = " + "9" * 5000, "is not TOML"),
        ("a = " + "[" * 3000 + "]" * 3000, "is not TOML"),
        (
            "width = 900",
            "bad.toml: key = width: is not known; tables are [parameters], [brief], [load] and [strength]",
        ),
        ("parameters = 3", "bad.toml: parameters = 3: must be a table"),
        ("brief = [1]", "bad.toml: brief = [1]: must be a table"),
        ("recipe = 3", "bad.toml: recipe = 3: must be text"),
        ('units = "cm"', "bad.toml: units = cm: must be mm or in"),
        ("units = 25.4", "bad.toml: units = 25.4: must be text"),
    ],
)
def test_bad_parameter_files_are_refused(kitchen, text, says):
    with pytest.raises(InputError) as caught:
        read_parameter_file(write(kitchen, "bad.toml", text))
    assert says in str(caught.value)
    assert len(str(caught.value)) < 300


@pytest.mark.parametrize("name", ["nowhere.toml", ".", "x" * 5000 + ".toml", "a\0b.toml"])
def test_parameter_files_that_can_not_be_opened_are_refused(kitchen, name):
    with pytest.raises(InputError, match=r"parameter file = .*: can not be read: ") as caught:
        read_parameter_file(kitchen / name)
    assert len(str(caught.value)) < 300


def test_a_parameter_file_in_another_encoding_is_refused(kitchen):
    path = kitchen / "latin.toml"
    path.write_bytes('title = "Brennofenzubehör"'.encode("latin-1"))
    with pytest.raises(InputError, match=r"parameter file = latin\.toml: is not TOML: "):
        read_parameter_file(path)


def test_every_refusal_is_furnigens_own():
    """So that the command line can catch them all as one."""
    assert issubclass(RecipeError, FurnigenError)
    assert issubclass(InputError, FurnigenError)
