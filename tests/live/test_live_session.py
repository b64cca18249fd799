"""A session as the page meets it: changes, what comes of them, what can go wrong."""

from __future__ import annotations

import json
import os
import shlex
import time
from pathlib import Path
from queue import Queue

import pytest
from live_sessions import ENDLESS, PLANK, WAIT_S, session_of, write_plank

from furnigen.cli.main import main
from furnigen.core.errors import InputError
from furnigen.live.job import DONE, QUICK, Job
from furnigen.live.runner import Limits, Runner
from furnigen.live.session import NOW
from furnigen.pipeline.request import Asked

PARAMS = 'recipe = "plank"\ntitle = "Low"\n[parameters]\nwidth = "600 mm"\n'
PATIENT = Limits(recipe_s=60, replaced_s=0.5)
"""A small recipe may take long on a busy machine; one that a newer change waits for is stopped soon."""
LIMIT_S = 3
FIELDS = ("width", "feet", "finish", "flat", "board")


@pytest.fixture(scope="module")
def shared(tmp_path_factory):
    """A session of a small recipe and its file of parameters; all of its processes end with it."""
    folder = tmp_path_factory.mktemp("plank")
    file, params = write_plank(folder / "plank.py"), folder / "low.toml"
    params.write_text(PARAMS, encoding="utf-8")
    with session_of(file, folder, limits=PATIENT, params=str(params)) as heard:
        heard.file, heard.params, heard.folder = file, params, folder
        yield heard
        session = heard.session
        pids = [r._worker.pid for r in (session._quick, session._strong, session._slow) if r._worker]
        assert len(pids) >= 2
    for pid in pids:
        with pytest.raises(ProcessLookupError):
            os.kill(pid, 0)


@pytest.fixture
def plank(shared):
    """That session with its files and values as at its start."""
    number = shared.session._number
    if shared.file.read_text(encoding="utf-8") != PLANK.format(first="pass"):
        write_plank(shared.file)
        number += 1
    if shared.params.read_text(encoding="utf-8") != PARAMS:
        shared.params.write_text(PARAMS, encoding="utf-8")
    shared.state("ready", "refused", number=number)
    shared.session.change(dict.fromkeys(FIELDS))  # several at once: no part of what is dragged next
    shared.state("ready")
    return shared


def settled(heard, **values) -> dict:
    """The state after a change of some values."""
    heard.session.change(values)
    return heard.state("ready", "refused")


def saved(heard, name: str) -> str:
    """Save what is there as a version; its key."""
    heard.session.save(name)
    told = heard.until(lambda topic, v: topic == "versions" and any(x["name"] == name for x in v["versions"]))
    return next(v["key"] for v in told["versions"] if v["name"] == name)


def test_a_change_changes_the_sizes(plank):
    plank.session.change({"width": "1.2 m"})
    piece = plank.topic("piece")
    assert piece["size"] == ["1200.0 mm", "200.0 mm", "57.6 mm"]
    assert piece["at"]["width"] == 1200
    assert piece["changed"] == {"width": "1.2 m"}
    assert plank.session.file("model", piece["number"]).startswith(b"glTF")
    strength = plank.topic("strength")
    assert strength["number"] == piece["number"]
    assert "Sag of boards" in strength["html"]["strength"]
    assert plank.session.file("model", piece["number"] - 1) is None


@pytest.mark.slow
def test_layouts_and_the_picture_follow(plank):
    plank.session.change({"width": "1.3 m"})
    number = plank.topic("piece")["number"]
    # the first search after an install is compiled before
    assert plank.topic("layouts", 240.0)["said"] == ["birch-ply-18: 1 sheet, provably the fewest"]
    assert plank.session.file("layouts", number).startswith(b"<?xml")
    assert plank.topic("picture") == {"why": "", "number": number}
    assert plank.session.file("picture", number).startswith(b"\x89PNG")


def test_fifty_quick_changes_leave_one_result_the_last(plank):
    first = plank.session._number
    with plank.session._lock:  # on a busy machine a worker might answer between two changes
        for width in range(301, 351):
            plank.session.change({"width": f"{width} mm"})
    assert plank.session._number == first + 50
    piece = plank.until(lambda topic, v: topic == "piece" and v["number"] == first + 50)
    assert piece["size"][0] == "350.0 mm"
    plank.state("ready")
    assert [v["number"] for topic, v in plank.log if topic == "piece" and v["number"] > first] == [first + 50]
    plank.session.undo()
    assert plank.topic("values")["texts"] == {}  # dragging is one step
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


@pytest.mark.slow
def test_what_is_made_is_what_the_command_makes(plank, tmp_path):
    settled(plank, width="24 in", board="birch-ply-12", flat="yes")
    plank.session.choose(["glb", "cutlist", "stock"])
    line = plank.topic("command")["line"]
    plank.session.make()
    with pytest.raises(InputError, match="already"):
        plank.session.make()
    made = plank.until(lambda topic, v: topic == "making" and "files" in v)
    assert set(made["files"]) == {"model.glb", "cutlist.csv", "stock.csv", "report.json"}
    assert any(t == "making" and v.get("step", "").startswith("writing") for t, v in plank.log)
    words = shlex.split(line)
    assert words[:2] == ["furnigen", "make"]
    words[words.index("--out") + 1] = str(tmp_path / "made")
    assert main(words[1:]) in (0, 1)
    for name in made["files"]:
        assert (tmp_path / "made" / name).read_bytes() == (Path(made["folder"]) / name).read_bytes(), name


@pytest.mark.slow
def test_making_can_be_stopped_and_leaves_nothing(plank):
    before = [p.name for p in (plank.folder / "out").iterdir()] if (plank.folder / "out").exists() else None
    settled(plank, width="650")
    plank.session.make()
    plank.session.stop()
    told = plank.until(lambda topic, v: topic == "making" and not v["step"])
    assert told["message"].startswith("stopped")
    after = [p.name for p in (plank.folder / "out").iterdir()] if (plank.folder / "out").exists() else None
    assert after == before


def test_a_version_is_kept_and_opened(plank):
    settled(plank, width="700", feet="3")
    key = saved(plank, "Long")
    assert key in [p.name for p in (plank.folder / "versions").iterdir()]
    settled(plank, width="400", feet="4", finish="soaped")
    plank.session.open(key)
    again = plank.topic("piece")
    assert again["size"][0] == "700.0 mm"
    assert again["parts"] == 4
    assert set(again["changed"]) == {"width", "feet"}  # the command line names no more than it must
    plank.session.forget(key)
    told = plank.topic("versions")
    assert key not in [v["key"] for v in told["versions"]]
    assert key not in [p.name for p in (plank.folder / "versions").iterdir()]
    for gone in (key, "../plank.py", str(plank.file)):
        with pytest.raises(InputError, match="not in the folder"):
            plank.session.forget(gone)
    assert plank.file.exists()


@pytest.mark.slow
def test_two_versions_are_compared(plank):
    settled(plank, width="700", feet="3")
    key = saved(plank, "On feet")
    settled(plank, width="400", flat="yes", finish="soaped")
    plank.session.compare(key, NOW)
    found = plank.until(lambda topic, v: topic == "compared" and not v["waits"])
    assert (found["a"], found["b"]) == ("On feet", "as it is now")
    sections = {s["name"]: s for s in found["sections"]}
    assert ["width", "", "700.0 mm", "400.0 mm", "-300.0 mm"] in sections["parameters"]["rows"]
    assert ["finish", "", "oiled", "soaped", ""] in sections["parameters"]["rows"]
    assert ["overall", "width", "700.0 mm", "400.0 mm", "-300.0 mm"] in sections["sizes"]["rows"]
    assert sections["parts"]["gone"] == ["foot"]
    assert sections["parts"]["added"] == []
    assert {"cost", "checks"} <= set(sections)


def test_a_recipe_saved_in_an_editor_is_read_anew_and_its_errors_keep_the_piece(plank):
    write_plank(plank.file, "width = width + 10")
    assert plank.topic("piece")["size"][0] == "610.0 mm"
    write_plank(plank.file, "width = = 3")
    bad = plank.until(lambda topic, v: topic == "state" and v["state"] == "refused")
    assert "recipe file plank.py failed at line 13: SyntaxError" in bad["message"]
    assert plank.session._good["size"][0] == "610.0 mm"
    text = write_plank(plank.file).read_text(encoding="utf-8").replace('"top", board', '"<script>x", board')
    plank.file.write_text(
        text.replace("width: float", "long: float").replace("(width", "(long"), encoding="utf-8"
    )
    plank.params.write_text('title = "Low"\n', encoding="utf-8")
    form = plank.until(lambda topic, v: topic == "form" and v["fields"][0]["name"] == "long")
    assert form["recipe"] == "plank"
    html = json.dumps(plank.topic("piece")["html"])
    assert "<script>" not in html
    assert "&lt;script&gt;x" in html


def test_a_file_of_parameters_is_watched_too(plank):
    plank.session.change({"feet": "4"})
    piece = plank.topic("piece")
    assert (piece["title"], piece["size"][0], piece["parts"]) == ("Low", "600.0 mm", 5)
    assert f"feet=4 --params {plank.params}" in plank.topic("command")["line"]
    plank.params.write_text(PARAMS.replace("600", "800"), encoding="utf-8")
    assert plank.topic("piece")["size"][0] == "800.0 mm"
    plank.params.write_text(PARAMS.replace("600", "6"), encoding="utf-8")
    wrong = plank.until(lambda topic, v: topic == "state" and v["state"] == "refused")
    assert "width" in wrong["fields"]


@pytest.mark.slow
def test_a_recipe_that_never_ends_is_stopped_and_the_next_change_goes_on(plank, monkeypatch):
    monkeypatch.setattr(plank.session._quick, "_limits", Limits(recipe_s=LIMIT_S, replaced_s=0.5))
    write_plank(plank.file, ENDLESS)
    plank.topic("piece")
    endless = settled(plank, feet="6")
    assert endless["message"] == f"the recipe ran for more than {LIMIT_S} s and was stopped"
    plank.session.change({"feet": "6", "width": "900"})
    time.sleep(0.1)
    plank.session.change({"feet": "1"})  # a newer change need not wait for the limit
    assert plank.topic("piece")["parts"] == 2


@pytest.mark.slow
def test_a_recipe_that_ends_its_process_is_told_and_replaced(plank):
    write_plank(plank.file, "import os; os._exit(3) if feet == 6 else None")
    plank.topic("piece")
    assert "left with status 3" in settled(plank, feet="6")["message"]
    assert settled(plank, feet="3")["state"] == "ready"


def test_a_process_that_is_wanted_now_and_then_ends_when_nothing_is(tmp_path, monkeypatch):
    monkeypatch.setattr("furnigen.live.runner.IDLE_S", 0.2)
    file = write_plank(tmp_path / "plank.py", "width = = 3")
    heard = Queue()
    runner = Runner(heard.put)
    try:
        for number in (1, 2):
            runner.want(Job(number, QUICK, Asked(str(file)), str(file), "first"))
            assert [heard.get(timeout=WAIT_S).topic for _ in range(2)] == ["refused", DONE]
            pid = runner._worker.pid
            end = time.monotonic() + WAIT_S
            while runner._worker is not None:
                assert time.monotonic() < end
                time.sleep(0.02)
            with pytest.raises(ProcessLookupError):
                os.kill(pid, 0)
    finally:
        runner.close()


OWN = (
    'currency = "EUR"\n[[sheet]]\nname = "studio-ply"\nmaterial = "plywood-birch-12"\n'
    "thickness = 12\nlength = 2500\nwidth = 1250\nprice = %s\n"
)


@pytest.mark.slow
def test_own_stock_is_offered_made_of_and_priced_and_its_file_is_followed(tmp_path):
    stock = tmp_path / "stock.toml"
    stock.write_text(OWN % "50.00", encoding="utf-8")
    plank = write_plank(tmp_path / "plank.py")
    with session_of(plank, tmp_path, {"board": "studio-ply"}, shop=str(stock)) as heard:
        assert heard.topic("form")["stock"][0]["name"] == "studio-ply"
        assert heard.topic("layouts", wait_s=90.0)["cost"] == "50.00 EUR"
        stock.write_text(OWN % "64.00", encoding="utf-8")
        assert heard.topic("layouts", wait_s=90.0)["cost"] == "64.00 EUR"
        stock.write_text("[[sheet]]", encoding="utf-8")
        assert "stock.toml" in heard.state("refused")["message"]
