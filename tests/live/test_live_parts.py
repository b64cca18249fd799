"""Parts of live work: history, form, versions, the command line that is shown, files that are watched."""

from __future__ import annotations

import argparse
import os
import shlex
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st
from live_sessions import write_plank

from furnigen import find_recipe
from furnigen.cli import make as make_command
from furnigen.cli.shared_options import asked_of
from furnigen.core.errors import InputError
from furnigen.core.toml_text import toml_value
from furnigen.live.command_line import command_line
from furnigen.live.form import form_of, read_typed
from furnigen.live.history import History
from furnigen.live.versions import Versions, file_tables, version_toml
from furnigen.live.watching import Watched
from furnigen.pipeline.options import USUAL_FORMATS
from furnigen.pipeline.request import Asked, base_values, requested
from furnigen.recipes.discovery import ParameterFile, list_recipes, load_file


def test_undo_and_redo_go_step_by_step():
    history = History({"width": "1"})
    history.change({"width": "2"}, ("width",))
    history.change({"width": "2", "depth": "3"}, ("depth",))
    assert not history.change({"width": "2", "depth": "3"}, ("depth",))
    assert history.move(-1)
    assert history.now == {"width": "2"}
    assert history.can == (True, True)
    assert history.move(-1)
    assert not history.move(-1)
    assert history.move(1)
    history.change({"width": "9"}, ("width",))
    assert not history.move(1)  # what was undone is gone once something else is typed
    assert history.move(-1)
    assert history.now == {"width": "2"}


def test_dragging_is_one_step(monkeypatch):
    now = [0.0]
    monkeypatch.setattr("furnigen.live.history.monotonic", lambda: now[0])
    history = History()
    for i in range(50):
        now[0] += 0.05
        history.change({"width": str(i)}, ("width",))
    now[0] += 5
    history.change({"width": "900"}, ("width",))
    assert history.move(-1)
    assert history.now == {"width": "49"}
    assert history.move(-1)
    assert history.now == {}


@pytest.mark.parametrize("recipe", list_recipes(), ids=lambda r: r.name)
@pytest.mark.parametrize("units", ["mm", "in"])
def test_what_a_form_begins_with_can_be_typed(recipe, units):
    base, _ = base_values(recipe, Asked(recipe.name, units=units), ParameterFile())
    form = form_of(recipe, base, units)
    assert [f["name"] for f in form["fields"]] == [p.name for p in recipe.parameters]
    values, wrong = read_typed(recipe, base, {f["name"]: f["base"] for f in form["fields"]}, units)
    assert wrong == {}
    for p in recipe.parameters:
        near = pytest.approx(base[p.name], rel=1e-5) if p.kind == "length" else base[p.name]
        assert values[p.name] == near, p.name
    for f in form["fields"]:
        if f["ends"]:
            assert f["low"] <= f["at"] <= f["high"]


def test_every_wrong_field_says_what_it_wants():
    recipe = find_recipe("divided_case")
    base, units = base_values(recipe, Asked("divided_case"), ParameterFile())
    _, wrong = read_typed(recipe, base, {"width": "10", "legs": "trned", "depth": "400"}, units)
    assert wrong["width"] == "must be from 300.0 mm to 2400.0 mm"
    assert "did you mean turned?" in wrong["legs"]
    assert set(wrong) == {"width", "legs"}


def test_a_version_is_a_file_of_parameters_of_just_that_piece(tmp_path):
    asked = Asked(
        "divided_case", None, {"width": "4 ft", "legs": "none", "dividers": "1,0"}, "in", {"max_width": "50"},
        (("shelf", "books"), ("", "20 kg/m")), {"sag_limit": "L/300", "climate": 2, "tip_test": ["child"]},
    )  # fmt: skip
    one = requested(asked)
    versions = Versions(tmp_path / "kept", "divided_case")
    saved = versions.save(' Case "A" é\\ 🏺 ', file_tables(one.piece, ParameterFile(), asked), "in")
    assert saved.path.parent == tmp_path / "kept"
    again = requested(Asked("divided_case", str(saved.path)))
    assert again.piece.title == 'Case "A" é\\ 🏺'
    assert again.piece.parameters == one.piece.parameters
    assert (again.piece.limits, again.piece.loads) == (one.piece.limits, one.piece.loads)
    assert (again.demands, again.units) == (one.demands, "in")
    assert [v.name for v in versions.listed()] == ['Case "A" é\\ 🏺']


@pytest.mark.parametrize("name", ["", "  ", "x" * 81, "a\x00b", "\ud800"])
def test_a_version_needs_a_name(tmp_path, name):
    with pytest.raises(InputError):
        Versions(tmp_path, "divided_case").save(name, {}, "mm")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["../../x", "/etc/passwd", "..", "a/b\\c", "con", "çà <script>"])
def test_no_name_of_a_version_is_a_path(tmp_path, name):
    folder = tmp_path / "kept"
    saved = Versions(folder, "divided_case").save(name, {}, "mm")
    assert saved.path.resolve().parent == folder.resolve()
    assert [p.name for p in tmp_path.iterdir()] == ["kept"]
    assert saved.path.name.isascii()


def test_a_name_is_given_once_and_other_files_are_left_out(tmp_path):
    versions = Versions(tmp_path, "divided_case")
    versions.save("Low", {}, "mm")
    with pytest.raises(InputError, match="already"):
        versions.save(" low ", {}, "mm")
    (tmp_path / "a.toml").write_text('recipe = "ring_rack"\n', encoding="utf-8")
    (tmp_path / "b.toml").write_text("not toml", encoding="utf-8")
    second = versions.save("High", {}, "mm")
    assert [v.name for v in versions.listed()] == ["Low", "High"]
    assert second.path.name == "002-high.toml"
    with pytest.raises(InputError):
        versions.find("a.toml")


@given(st.text(), st.lists(st.one_of(st.integers(-(2**60), 2**60), st.booleans(), st.text())))
def test_any_value_goes_into_toml_and_back(text, values):
    text = text.encode("utf-8", "replace").decode()
    values = [v.encode("utf-8", "replace").decode() if isinstance(v, str) else v for v in values]
    written = f"{toml_value(text)} = {toml_value(values)}\n"
    assert tomllib.loads(written) == {text: values}
    assert tomllib.loads(version_toml(text, "x", {"load": {text: "books"}}, "mm"))["load"] == {text: "books"}


def test_the_command_that_is_shown_asks_for_the_same():
    texts = {"width": '1 1/2"', "legs": "none", "label": "it's $HOME"}
    options = ["--load", "shelf=20 kg at 300 mm", "--tip-test", "child"]
    line = command_line("my case.py", "a b.toml", texts, options, ["step", "page"], "out/my case")
    words = shlex.split(line)
    assert words[:2] == ["furnigen", "make"]
    parser = argparse.ArgumentParser()
    make_command.add_arguments(parser)
    given = parser.parse_intermixed_args(words[2:])
    asked = asked_of(given)
    assert (asked.recipe, asked.params, dict(asked.values)) == ("my case.py", "a b.toml", texts)
    assert asked.loads == (("shelf", "20 kg at 300 mm"),)
    assert (given.formats, given.out) == ("step,page", "out/my case")
    assert "--formats" not in command_line("x", None, {}, [], USUAL_FORMATS, "out")


def test_a_file_is_told_by_its_content_once_it_is_steady(tmp_path):
    file = write_plank(tmp_path / "plank.py")
    watched = Watched([file])
    assert not watched.changed()
    file.write_text("", encoding="utf-8")  # an editor empties it first
    assert not watched.changed()
    write_plank(file, "width")
    assert not watched.changed()  # seen, but it may still be written
    assert watched.changed()
    os.utime(file, ns=(1, 1))
    assert not any(watched.changed() for _ in range(3))  # touched, the same content
    beside = write_plank(tmp_path / "new.py", "board")
    beside.replace(file)  # as many editors save
    assert [watched.changed() for _ in range(3)] == [False, True, False]
    file.unlink()
    assert [watched.changed() for _ in range(3)] == [False, True, False]


def test_a_recipe_read_anew_is_as_its_file_is_now_though_size_and_second_are_the_same(tmp_path):
    file = write_plank(tmp_path / "plank.py", "x = 1")
    stamp = file.stat()
    first = load_file(file)  # as any command loads it: Python keeps it compiled
    file.write_text(file.read_text(encoding="utf-8").replace("600 mm", "900 mm"), encoding="utf-8")
    os.utime(file, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))
    assert load_file(file).parameters[0].default == first.parameters[0].default == 600
    assert load_file(file, anew=True).parameters[0].default == 900
