"""A session as the page meets it: changes, what comes of them, what can go wrong."""

from __future__ import annotations

import json
import os
import shlex
import time
from pathlib import Path

import pytest
from live_sessions import ENDLESS, session_of, write_plank

from furnigen.cli.main import main
from furnigen.core.errors import InputError
from furnigen.live.runner import Limits
from furnigen.live.session import NOW


@pytest.fixture(scope="module")
def plank(tmp_path_factory):
    """A session of a small recipe that several tests talk to; each begins where it finds it."""
    folder = tmp_path_factory.mktemp("plank")
    with session_of(write_plank(folder / "plank.py"), folder) as heard:
        heard.state("ready")
        heard.folder = folder
        yield heard


def newest(heard) -> int:
    return heard.session._number


def settled(heard, **values) -> dict:
    """The state after a change of some values."""
    heard.session.change(values)
    return heard.state("ready", "refused", number=newest(heard))


def test_a_change_changes_the_sizes(plank):
    plank.session.change({"width": "1.2 m"})
    piece = plank.topic("piece")
    assert piece["size"] == ["1200.0 mm", "200.0 mm", "57.6 mm"]
    assert piece["at"]["width"] == 1200
    assert piece["changed"]["width"] == "1.2 m"
    assert plank.session.file("model", piece["number"]).startswith(b"glTF")
    strength = plank.topic("strength")
    assert strength["number"] == piece["number"]
    assert "Sag of boards" in strength["html"]["strength"]
    assert plank.topic("layouts")["said"] == ["birch-ply-18: 1 sheet, provably the fewest"]
    assert plank.session.file("layouts", piece["number"]).startswith(b"<?xml")
    plank.state("ready")
    assert plank.session.file("model", piece["number"] - 1) is None


def test_fifty_quick_changes_leave_one_result_the_last(plank):
    first = newest(plank)
    for width in range(301, 351):
        plank.session.change({"width": f"{width} mm"})
    assert newest(plank) == first + 50
    piece = plank.until(lambda topic, v: topic == "piece" and v["number"] == first + 50)
    assert piece["size"][0] == "350.0 mm"
    plank.state("ready")
    told = [v["number"] for topic, v in plank.log if topic == "piece" and v["number"] > first]
    assert told == [first + 50]
    plank.session.undo()
    back = plank.topic("values")
    assert back["texts"].get("width") != "349 mm"  # dragging is one step
    plank.state("ready")


def test_a_wrong_value_keeps_the_piece_and_says_at_the_field_what_would_do(plank):
    good = settled(plank, width="500", feet="2")
    bad = settled(plank, width="5")
    assert bad["state"] == "refused"
    assert bad["fields"] == {"width": "must be from 300.0 mm to 2000.0 mm"}
    assert plank.session.file("model", good["number"])  # the last good piece is still there
    with pytest.raises(InputError, match="make no piece"):
        plank.session.make()
    with pytest.raises(InputError, match="make no piece"):
        plank.session.save("bad")
    both = settled(plank, finish="waxed")
    assert set(both["fields"]) == {"width", "finish"}
    one = settled(plank, width="500", finish=None, feet="5")  # refused by the recipe itself
    assert one["fields"] == {"feet": "must not be 5; 4 or 6 would do"}
    assert settled(plank, feet=None)["state"] == "ready"


def test_what_is_no_field_is_refused(plank):
    for values in ({"height": "1"}, {"width": 3}, {"width": "1" * 201}, {"width": ["1"]}):
        with pytest.raises(InputError):
            plank.session.change(values)


def test_what_is_made_is_what_the_command_makes(plank, tmp_path, monkeypatch, capsys):
    settled(plank, width="24 in", board="birch-ply-12", flat="yes")
    plank.session.choose(["glb", "cutlist", "stock"])
    line = plank.topic("command")["line"]
    plank.session.make()
    steps = plank.until(lambda topic, v: topic == "making" and "files" in v)
    assert set(steps["files"]) == {"model.glb", "cutlist.csv", "stock.csv", "report.json"}
    assert any(t == "making" and v.get("step", "").startswith("writing") for t, v in plank.log)
    words = shlex.split(line)
    assert words[:2] == ["furnigen", "make"]
    words[words.index("--out") + 1] = str(tmp_path / "made")
    assert main(words[1:]) in (0, 1)
    for name in steps["files"]:
        assert (tmp_path / "made" / name).read_bytes() == (Path(steps["folder"]) / name).read_bytes(), name


def test_versions_are_kept_opened_and_compared(plank):
    settled(plank, width="700", feet="3", board=None, flat=None)
    plank.session.save("Long")
    listed = plank.until(lambda topic, v: topic == "versions" and v["versions"])["versions"]
    assert [v["name"] for v in listed] == ["Long"]
    settled(plank, width="400", feet="4", finish="soaped")
    plank.session.compare(listed[0]["key"], NOW)
    found = plank.until(lambda topic, v: topic == "compared" and not v["waits"])
    assert (found["a"], found["b"]) == ("Long", "as it is now")
    sections = {s["name"]: s for s in found["sections"]}
    assert ["width", "", "700 mm", "400 mm", "-300 mm"] in sections["parameters"]["rows"]
    assert ["finish", "", "oiled", "soaped", ""] in sections["parameters"]["rows"]
    assert ["overall", "width", "700.0 mm", "400.0 mm", "-300.0 mm"] in sections["sizes"]["rows"]
    assert {"parts", "cost", "checks"} <= set(sections)
    plank.session.open(listed[0]["key"])
    again = plank.topic("piece")
    assert again["size"][0] == "700.0 mm"
    assert again["parts"] == 4
    plank.state("ready")


def test_parts_that_are_added_and_gone_are_named(plank):
    settled(plank, width="600", feet="3", flat="no", finish=None)
    plank.session.save("On feet")
    key = plank.until(lambda t, v: t == "versions" and any(x["name"] == "On feet" for x in v["versions"]))
    key = next(v["key"] for v in key["versions"] if v["name"] == "On feet")
    settled(plank, flat="yes")
    plank.session.compare(key, NOW)
    found = plank.until(lambda topic, v: topic == "compared" and not v["waits"])
    parts = next(s for s in found["sections"] if s["name"] == "parts")
    assert parts["gone"]
    assert parts["added"] == []
    settled(plank, flat=None)


def test_a_recipe_saved_in_an_editor_is_read_anew_and_its_errors_keep_the_piece(tmp_path):
    file = write_plank(tmp_path / "plank.py")
    with session_of(file, tmp_path) as heard:
        assert heard.topic("piece")["size"][0] == "600.0 mm"
        write_plank(file, "width = width + 10")
        assert heard.topic("piece")["size"][0] == "610.0 mm"
        write_plank(file, "width = = 3")
        bad = heard.state("refused")
        assert "recipe file plank.py failed at line 14: SyntaxError" in bad["message"]
        assert heard.session._good["size"][0] == "610.0 mm"
        write_plank(file, "1 / 0")
        assert (
            "failed at line 14: ZeroDivisionError"
            in heard.state("refused", number=bad["number"] + 1)["message"]
        )
        text = write_plank(file).read_text(encoding="utf-8")
        file.write_text(
            text.replace("width: float", "long: float").replace("(width", "(long"), encoding="utf-8"
        )
        form = heard.topic("form")
        assert form["fields"][0]["name"] == "long"


def test_a_file_of_parameters_is_watched_too(tmp_path):
    file, params = write_plank(tmp_path / "plank.py"), tmp_path / "long.toml"
    params.write_text(
        'recipe = "plank"\ntitle = "Low"\n[parameters]\nwidth = "900 mm"\nfeet = 3\n', encoding="utf-8"
    )
    with session_of(file, tmp_path, {"feet": "4"}, params=str(params)) as heard:
        piece = heard.topic("piece")
        assert (piece["title"], piece["size"][0], piece["parts"]) == ("Low", "900.0 mm", 5)
        assert f"feet=4 --params {params}" in heard.topic("command")["line"]
        params.write_text('recipe = "plank"\n[parameters]\nwidth = "800 mm"\n', encoding="utf-8")
        assert heard.topic("piece")["size"][0] == "800.0 mm"
        params.write_text('[parameters]\nwidth = "8 mm"\n', encoding="utf-8")
        assert "width" in heard.state("refused")["fields"]


def test_a_recipe_that_never_ends_is_stopped_and_the_next_change_goes_on(tmp_path):
    file = write_plank(tmp_path / "plank.py", ENDLESS)
    with session_of(file, tmp_path, limits=Limits(recipe_s=1.0, replaced_s=0.4)) as heard:
        heard.state("ready")
        endless = settled(heard, feet="6")
        assert endless["message"] == "the recipe ran for more than 1 s and was stopped"
        assert settled(heard, feet="3")["state"] == "ready"
        began = time.monotonic()
        heard.session.change({"feet": "6"})
        time.sleep(0.1)
        heard.session.change({"feet": "1"})  # a newer change need not wait for the limit
        assert heard.topic("piece")["parts"] == 2
        assert time.monotonic() - began < 8


def test_a_recipe_that_ends_its_process_is_told_and_replaced(tmp_path):
    file = write_plank(tmp_path / "plank.py", "import os; os._exit(3) if feet == 6 else None")
    with session_of(file, tmp_path) as heard:
        heard.state("ready")
        assert "left with status 3" in settled(heard, feet="6")["message"]
        assert settled(heard, feet="3")["state"] == "ready"


def test_nothing_is_left_running_when_a_session_ends(tmp_path):
    with session_of(write_plank(tmp_path / "plank.py", ENDLESS), tmp_path) as heard:
        heard.state("ready")
        heard.session.change({"feet": "6"})
        time.sleep(0.3)
        pids = [r._worker.pid for r in (heard.session._quick, heard.session._strong)]
    for pid in pids:
        with pytest.raises(ProcessLookupError):
            os.kill(pid, 0)


def test_a_piece_with_names_that_are_markup_is_told_as_text(tmp_path):
    file = write_plank(tmp_path / "plank.py")
    text = file.read_text(encoding="utf-8").replace('"top", board', '"<script>x</script>", board')
    file.write_text(text, encoding="utf-8")
    with session_of(file, tmp_path) as heard:
        html = json.dumps(heard.topic("piece")["html"])
        assert "<script>" not in html
        assert "&lt;script&gt;" in html
