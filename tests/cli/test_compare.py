"""furnigen compare: what differs between two pieces, its exit status, two pictures in one."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from furnigen.cli.main import main


@pytest.fixture(autouse=True)
def here(tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "120")
    return tmp_path


def compared(capsys, *words: str, status: int) -> str:
    assert main(["compare", *words]) == status
    return capsys.readouterr().out


def found(capsys, *words: str, status: int = 1) -> dict:
    return json.loads(compared(capsys, *words, "--json", status=status))


def refused(capsys, *words: str) -> str:
    assert main(["compare", *words]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    (line,) = err.strip().splitlines()
    return line


def test_what_differs_is_named_with_both_values(capsys) -> None:
    told = found(capsys, "panel_bookcase", "panel_bookcase width=2.0m shelves=3")
    assert not told["equal"]
    rows = {
        name: {(r["of"], r["what"]): (r["a"], r["b"]) for r in section}
        for name, section in told["differences"].items()
    }
    assert rows["parameters"] == {("width", ""): (1700.0, 2000.0), ("shelves", ""): (4, 3)}
    assert rows["sizes"]["overall", "width"] == (1700.0, 2000.0)
    # by hand: two bays share what the width grows by
    before, after = rows["sizes"]["openings", "least clear width"]
    assert after - before == pytest.approx(150.0)
    assert rows["sizes"]["openings", "number"] == (10, 8)
    assert rows["parts"]["shelf", "quantity"] == (8, 6)
    assert ("sag", "found") in rows["checks"]


def test_it_reads_well(capsys) -> None:
    out = compared(capsys, "panel_bookcase", "panel_bookcase width=2.0m", status=1)
    lines = [" ".join(line.split()) for line in out.splitlines()]
    assert "width 1700.0 mm 2000.0 mm +300.0 mm" in lines
    inches = compared(capsys, "panel_bookcase", "panel_bookcase width=80in", "--units", "in", status=1)
    assert "6'-8\"" in inches
    assert " mm" not in inches.split("Hardware")[0]


def test_the_same_is_equal_whatever_it_is_read_from(capsys) -> None:
    assert main(["make", "ladder_rack", "--formats", "cutlist", "--out", "made"]) == 0
    Path("p.toml").write_text('recipe = "ladder_rack"\n')
    capsys.readouterr()
    for other in ("ladder_rack", "p.toml", "made", "made/report.json"):
        told = found(capsys, "made", other, status=0)
        assert told["equal"]
        assert not any(told["differences"].values())
    Path("p.toml").write_text('recipe = "ladder_rack"\n[parameters]\nwidth = "1.5 m"\n')
    assert main(["compare", "made", "p.toml"]) == 1


def test_what_one_side_lacks_is_one_row(capsys) -> None:
    told = found(capsys, "divided_case", "divided_case legs=none")
    legs = [r for r in told["differences"]["parts"] if r["of"] == "leg"]
    assert legs == [{"of": "leg", "what": "quantity", "a": 4, "b": None, "unit": ""}]
    assert {r["of"] for r in told["differences"]["joints"]} >= {"round tenon, glued"}
    assert any(r["of"].startswith("screw") for r in told["differences"]["hardware"])


def test_a_check_that_turns_is_told_first(capsys) -> None:
    out = compared(capsys, "divided_case", "divided_case width=1.4m", status=1)
    checks = out.split("Checks:")[1].splitlines()
    assert checks[2].split()[1:] == ["result", "pass", "fail"]


def test_many_differences_are_cut_and_shown_on_request(capsys) -> None:
    out = compared(capsys, "divided_case", "ring_rack", status=1)
    assert "more; --all shows them" in out
    assert "more; --all" not in compared(capsys, "divided_case", "ring_rack", "--all", status=1)


def test_two_pictures_in_one(capsys) -> None:
    red, blue = Image.new("RGB", (40, 30), (255, 0, 0)), Image.new("RGB", (80, 60), (0, 0, 255))
    for name, picture in (("a", red), ("b", blue)):
        assert main(["make", "leaning_shelf", "--formats", "cutlist", "--out", name]) == 0
        picture.save(f"{name}/preview.png")
    capsys.readouterr()
    told = found(capsys, "a", "b", "--out", "both", status=0)
    assert told["picture"] == str(Path("both/compare.png"))
    with Image.open(told["picture"]) as image:
        pixels = np.array(image.convert("RGB"))
    # as tall as the taller, A on the left
    assert pixels.shape == (60, 160, 3)
    assert tuple(pixels[30, 20]) == (255, 0, 0)
    assert tuple(pixels[30, 140]) == (0, 0, 255)


def test_bad_input(here, capsys) -> None:
    (here / "empty").mkdir()
    assert "holds no report.json; furnigen make writes it" in refused(capsys, "empty", "ladder_rack")
    assert "there is no recipe nothing" in refused(capsys, "ladder_rack", "nothing")
    assert "width = 50000.0 mm: must be from" in refused(capsys, "ladder_rack", "ladder_rack 'width=50 m'")
    for content, says in (
        ("{", "can not be read"),
        ("[]", "is not a report of furnigen make"),
        ('{"checks": [], "recipe": "x"}', "does not hold what furnigen writes"),
        ('{"checks": 3, "recipe": 4, "params": [], "bounds_mm": 1}', "does not hold what furnigen writes"),
    ):
        (here / "empty" / "report.json").write_text(content)
        assert says in refused(capsys, "empty", "ladder_rack")
    (here / "p.toml").write_text("[parameters]\nwidth = 900\n")
    assert "names no recipe" in refused(capsys, "p.toml", "ladder_rack")
    assert "can not be read" in refused(capsys, "ladder_rack 'width", "ladder_rack")
    for blank in ("", " "):
        assert "must be a folder, a file or a recipe" in refused(capsys, blank, "ladder_rack")
    assert "required: B" in refused(capsys, "ladder_rack")


def test_a_folder_without_a_picture_is_told(here, capsys) -> None:
    assert main(["make", "leaning_shelf", "--formats", "cutlist", "--out", "a"]) == 0
    capsys.readouterr()
    assert "holds no preview.png" in refused(capsys, "a", "a", "--out", "both")
    (here / "a" / "preview.png").write_bytes(b"no picture")
    assert "is not a PNG" in refused(capsys, "a", "a", "--out", "both")
    assert not Path("both/compare.png").exists()


def test_a_picture_is_never_written_over_what_a_person_made(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    Path("mine").mkdir()
    Path("mine/compare.png").write_text("my own")
    words = ("compare", "leaning_shelf", "leaning_shelf width=800", "--out", "mine")
    assert main(words) == 2
    assert Path("mine/compare.png").read_text() == "my own"
    assert "files that furnigen did not make" in capsys.readouterr().err
