"""`furnigen cut` as a user runs it: files, exit status, batches, stops, refusals."""

from __future__ import annotations

import io
import json
import os
import re
import signal
import time
from collections import Counter
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from pypdf import PdfReader

from furnigen import build, find_recipe
from furnigen.cli.main import main
from furnigen.cutting.effort import Effort

FILES = {
    "cutlist.csv", "cutlist.pdf", "cutting.json", "labels.pdf", "offcuts.toml", "sheets.dxf", "sheets.pdf",
    "sheets.svg",
}  # fmt: skip
SMALL = '[[sheet]]\nstock = "birch-ply-12-2440"\nname = "half sheet"\nlength = 1220\nwidth = 610\n'


@pytest.fixture(autouse=True)
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def contents(folder: str) -> dict[str, bytes]:
    return {
        str(p.relative_to(folder)): p.read_bytes() for p in sorted(Path(folder).rglob("*")) if p.is_file()
    }


def refused(capsys, *words: str) -> str:
    assert main(["cut", *words]) == 2
    out, err = capsys.readouterr()
    assert not out
    assert len(err.strip().splitlines()) == 1
    return err


def test_the_files_and_what_they_say(capsys):
    assert main(["cut", "crate_wall", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert {p.name for p in Path("out/crate_wall-cutting").iterdir()} >= FILES
    assert told == json.loads(Path("out/crate_wall-cutting/cutting.json").read_text())
    piece = find_recipe("crate_wall")()
    labels = Counter(label for s in told["sheets"] for p in s["placed"] for label in p["labels"])
    assert labels == Counter(p.label for p in piece.placements)
    for sheet in told["sheets"]:
        stock = next(s for s in told["stock"] if s["name"] == sheet["stock"])
        for p in sheet["placed"]:
            assert len(p["labels"]) == sheet["copies"]
            along, across = (
                (p["width_mm"], p["length_mm"]) if p["turned"] else (p["length_mm"], p["width_mm"])
            )
            assert p["x_mm"] >= stock["trim_mm"]["left"]
            assert p["y_mm"] >= stock["trim_mm"]["bottom"]
            assert p["x_mm"] + along <= stock["length_mm"] - stock["trim_mm"]["right"] + 1e-9
            assert p["y_mm"] + across <= stock["width_mm"] - stock["trim_mm"]["top"] + 1e-9
        assert [c["number"] for c in sheet["cuts"]] == list(range(1, len(sheet["cuts"]) + 1))
    assert told["used"] == {
        s: sum(x["copies"] for x in told["sheets"] if x["stock"] == s) for s in told["used"]
    }
    assert all(told["bound"][s] <= told["used"][s] for s in told["used"])
    assert told["unfitted"] == []
    assert told["faults"] == []


def test_pages_labels_and_dxf_hold_every_part():
    assert main(["cut", "crate_wall", "--json"]) == 0
    made = contents("out/crate_wall-cutting")
    labels = "".join(p.extract_text() for p in PdfReader(io.BytesIO(made["labels.pdf"])).pages)
    sheets = " ".join(
        " ".join(p.extract_text().split()) for p in PdfReader(io.BytesIO(made["sheets.pdf"])).pages
    )
    for placement in find_recipe("crate_wall")().placements:
        assert placement.label in labels
        assert placement.label in sheets
    for said in ("guard and riving knife", "not certification", "provably the fewest", "grain"):
        assert said in sheets
    document = ezdxf.read(io.StringIO(made["sheets.dxf"].decode()))
    assert not document.audit().errors
    assert {"cut", "drill", "label"} <= {layer.dxf.name for layer in document.layers}
    report = json.loads(made["cutting.json"])
    outlines = document.modelspace().query('LWPOLYLINE[layer=="cut"]')
    assert len(outlines) == sum(len(s["placed"]) for s in report["sheets"])


def test_the_same_bytes_twice_and_from_make():
    for out in ("a", "b"):
        assert main(["cut", "crate_wall", "width=900", "--out", out, "--json"]) == 0
    assert contents("a") == contents("b")
    made = build(find_recipe("crate_wall")(width=900)).make(("cutting",), groups=("fit",))
    mine = {k: v for k, v in contents("a").items() if not k.startswith(".")}
    assert {k: v for k, v in made.files.items() if k != "report.json"} == mine
    assert [f.status for f in made.findings if f.name == "cutting"] == ["pass", "pass"]


def test_a_batch_from_parameter_files(capsys):
    Path("low.toml").write_text('recipe = "crate_wall"\ntitle = "Low wall"\n[parameters]\nwidth = 700\n')
    assert main(["cut", "low.toml:2", "crate_wall", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [(p["name"], p["copies"]) for p in told["pieces"]] == [("low", 2), ("crate_wall", 1)]
    labels = [label for s in told["sheets"] for p in s["placed"] for label in p["labels"]]
    assert {"low-1.side.left", "low-2.side.left", "crate_wall.side.left"} <= set(labels)
    assert Path("out/cutting/cutting.json").is_file()


def test_what_does_not_fit_is_told_with_the_stock_that_would_do(capsys):
    Path("stock.toml").write_text(SMALL)
    assert main(["cut", "crate_wall", "width=1500", "--stock", "stock.toml"]) == 1
    out = capsys.readouterr().out
    assert "does not fit" in out
    told = json.loads(Path("out/crate_wall-cutting/cutting.json").read_text())
    assert {u["part"] for u in told["unfitted"]} >= {"bottom/top", "shelf"}
    assert all(u["reason"] for u in told["unfitted"])


def test_own_stock_is_taken_by_name_and_costs_are_added_up(capsys):
    Path("stock.toml").write_text(
        'currency = "EUR"\n[[sheet]]\nname = "studio-ply"\nmaterial = "plywood-birch-12"\nthickness = 12\n'
        'length = 2500\nwidth = 1250\nprice = 50\n[[sheet]]\nstock = "birch-ply-18-2440"\nprice = 80\n'
        "[hardware]\nscrew = 0.05\n"
    )
    assert main(["cut", "crate_wall", "board=studio-ply", "--stock", "stock.toml", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    count = told["used"]["studio-ply"]
    assert told["cost"] == 50 * count + 80
    screws = sum(c["amount"] for c in told["costs"]["lines"] if c["what"].startswith("screw"))
    assert told["costs"]["total"] == pytest.approx(told["cost"] + 0.05 * screws)


def test_offcuts_come_back_as_stock(capsys):
    assert main(["cut", "crate_wall", "--json"]) == 0
    first = json.loads(capsys.readouterr().out)
    Path("stock.toml").write_bytes(Path("out/crate_wall-cutting/offcuts.toml").read_bytes())
    assert main(["cut", "crate_wall", "--stock", "stock.toml", "--out", "again", "--json"]) == 0
    second = json.loads(capsys.readouterr().out)
    bought = [sum(n for s, n in told["used"].items() if s.startswith("birch")) for told in (first, second)]
    assert bought[1] <= bought[0]
    assert any(s["kind"] == "offcut" for s in second["stock"]), "the offcuts were used"


ONE_STOCK = """
from furnigen import Draft, find_stock, recipe

@recipe("A box of one stock")
def one():
    draft = Draft("one")
    for k in range(3):
        z = 100 * k
        draft.board(f"shelf.{k}", find_stock("mdf-18"), (0, 0, z), (600, 300, z + 18), role="shelf")
    return draft.done()
"""

REFUSALS = [
    ((), "what to cut = nothing"),
    (("crate_wall:0",), "must be a whole number from 1"),
    (("crate_wall:x",), "must be a whole number from 1"),
    (("no_such",), "there is no recipe no_such"),
    (("crate_wall", "crate_wall", "width=900"), "is for one recipe only"),
    (("crate_wall", "widht=900"), "widht"),
    (("crate_wall", "--time", "soon"), "--time = soon"),
    (("crate_wall", "--effort", "-1"), "--effort = -1"),
    (("crate_wall", "--columns", "lenght"), "column = lenght"),
    (("crate_wall", "--stock", "none.toml"), "can not be read"),
    (("crate_wall", "--stock", "bad.toml"), "kerf = -3 mm"),
    (("model.step:2",), "are for recipes and parameter files"),
    (("crate_wall", "--stock", "matched.toml"), "is the label of no part"),
    (("untold.toml",), "names no recipe"),
    (("none.step",), "none.step"),
    (("crate_wall", "none.step"), "is cut by itself"),
]


@pytest.mark.parametrize(("words", "says"), REFUSALS)
def test_bad_input_is_one_message_and_earlier_results_stay(capsys, words, says):
    Path("bad.toml").write_text("[saw]\nkerf = -3\n")
    Path("matched.toml").write_text('[[matched]]\nlabels = ["front.1", "front.2"]\n')
    Path("untold.toml").write_text("[parameters]\nwidth = 900\n")
    Path("out").mkdir()
    Path("out/mine.txt").write_text("here before")
    assert says in refused(capsys, *words)
    assert contents("out") == {"mine.txt": b"here before"}


def interrupted(monkeypatch, times: int) -> None:
    """While the search runs, Ctrl-C is pressed so many times."""
    from furnigen.cutting import plan

    real = plan.solve

    def search(job, effort):
        for _ in range(times):
            os.kill(os.getpid(), signal.SIGINT)
            time.sleep(0.01)  # a signal is met between two steps of the program
        assert effort.stop(), "the search is told to end"
        return replace(real(job, Effort()), cut_short=True, proven=False)

    monkeypatch.setattr(plan, "solve", search)


def test_the_first_interrupt_keeps_the_best_so_far(monkeypatch, capsys):
    interrupted(monkeypatch, 1)
    before = signal.getsignal(signal.SIGINT)
    Path("one.py").write_text(ONE_STOCK)
    assert main(["cut", "one.py"]) == 0
    out, err = capsys.readouterr()
    assert "what is found so far is written" in err
    assert "the search was cut short" in out
    told = json.loads(Path("out/one-cutting/cutting.json").read_text())
    assert told["cut_short"]
    assert told["proven"] == {"mdf-18": False}
    assert signal.getsignal(signal.SIGINT) is before


def test_the_second_interrupt_touches_nothing(monkeypatch, capsys):
    Path("out").mkdir()
    interrupted(monkeypatch, 2)
    assert main(["cut", "crate_wall"]) == 130
    assert "interrupted; nothing was written" in capsys.readouterr().err
    assert contents("out") == {}


def test_a_router_keeps_its_cutter_and_spacing_between_parts(capsys):
    Path("stock.toml").write_text('[router]\ncutter = "6 mm"\nspacing = "2 mm"\n')
    assert main(["cut", "divided_case", "--stock", "stock.toml", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    kinds = {s["name"]: s["kind"] for s in told["stock"]}
    for sheet in told["sheets"]:
        if kinds[sheet["stock"]] != "sheet":
            continue
        assert sheet["cuts"] == []
        boxes = []
        for p in sheet["placed"]:
            a, b = (p["width_mm"], p["length_mm"]) if p["turned"] else (p["length_mm"], p["width_mm"])
            boxes.append((p["x_mm"], p["y_mm"], p["x_mm"] + a, p["y_mm"] + b))
            assert p["x_mm"] >= 16
            assert p["y_mm"] >= 16
        for k, a in enumerate(boxes):
            for b in boxes[:k]:
                assert max(b[0] - a[2], a[0] - b[2], b[1] - a[3], a[1] - b[3]) >= 8 - 1e-9
    pages = PdfReader("out/divided_case-cutting/sheets.pdf").pages
    words = [" ".join(p.extract_text().split()) for p in pages]
    assert any("Router: sheet clamped" in w for w in words)
    assert any("guard and riving knife" in w for w in words), "solid wood is sawn all the same"


def test_time_only_cuts_the_search_short(capsys):
    assert main(["cut", "panel_bookcase", "--time", "0.001", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["cut_short"] or all(told["proven"].values())
    assert all(told["bound"][s] <= told["used"][s] for s in told["bound"])


@pytest.mark.parametrize(
    ("length", "part", "kerf", "most"),
    [("96 in", "12 in", "1/8 in", 7), ("30 in", "14 15/16 in", "1/8 in", 2), ("30 in", "15 in", "1/8 in", 1)],
)
def test_kerf_identities(length, part, kerf, most, capsys):
    """floor((S + k) / (p + k)) parts of p from a length S (hand-derived); a 30 in stick sawn in half with a
    kerf of 1/8 in gives two of 14 15/16 in (a saw maker's page)."""
    Path("stock.toml").write_text(
        f'[saw]\nkerf = "{kerf}"\nend_trim = 0\n[allowances]\nsurfaced = {{length = 0}}\n'
        f'[[board]]\nstock = "pine-1x3"\nlength = "{length}"\n',
    )
    Path("sticks.py").write_text(STICKS.replace("COUNT", str(most)).replace("PART", part))
    assert main(["cut", "sticks.py", "--stock", "stock.toml", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["used"] == {"pine-1x3": 1}
    (bar,) = told["bars"]
    # n parts need n - 1 kerfs where the last ends with the bar, else n
    assert len([c for c in bar["cuts"] if c["part"]]) in (most - 1, most)
    Path("more.py").write_text(STICKS.replace("COUNT", str(most + 1)).replace("PART", part))
    assert main(["cut", "more.py", "--stock", "stock.toml", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["used"] == {"pine-1x3": 2}


STICKS = """
from furnigen import Draft, find_stock, recipe
from furnigen.core.quantities import parse_length

@recipe("Sticks")
def sticks():
    draft = Draft("sticks")
    pine, long = find_stock("pine-1x3"), parse_length("PART")
    t = pine.thickness_mm
    for k in range(COUNT):
        draft.board(f"stick.{k}", pine, (0, 100 * k, 0), (long, 100 * k + 60, t), role="stick", grain="x")
    return draft.done()
"""


def test_parts_whose_grain_runs_on_come_from_one_sheet_side_by_side(capsys):
    Path("stock.toml").write_text('[[matched]]\nlabels = ["shelf.1", "shelf.2"]\nfollow = "along"\n')
    assert main(["cut", "crate_wall", "--stock", "stock.toml", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    found = {
        label: (s["number"], p["x_mm"], p["y_mm"], p["length_mm"])
        for s in told["sheets"]
        for p in s["placed"]
        for label in p["labels"]
    }
    one, two = found["shelf.1"], found["shelf.2"]
    assert one[0] == two[0]
    assert one[2] == two[2]
    assert two[1] == pytest.approx(one[1] + one[3] + 3.2)


def test_nothing_is_cut_from_a_defect(capsys):
    """A board with two knots: no part lies over them, and the page says what is cut off."""
    Path("stock.toml").write_text(
        '[[board]]\nstock = "pine-1x3"\nlength = 2000\ncopies = 1\ndefects = [[900, 1010], [1500, 1520]]\n'
        '[[board]]\nstock = "pine-1x3"\nname = "more"\nlength = 2000\n'
    )
    Path("knots.py").write_text(STICKS.replace("COUNT", "5").replace("PART", "450"))
    assert main(["cut", "knots.py", "--stock", "stock.toml", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    knotty = [b for b in told["bars"] if b["stock"] == "pine-1x3"]
    for bar in knotty:
        for p in bar["placed"]:
            for low, high in ((900, 1010), (1500, 1520)):
                assert p["x_mm"] + p["length_mm"] <= low or p["x_mm"] >= high
    words = " ".join(
        " ".join(p.extract_text().split()) for p in PdfReader("out/knots-cutting/sheets.pdf").pages
    )
    assert "cut off" in words


def test_a_matched_row_longer_than_any_sheet_is_not_said_to_fit_one(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    Path("stock.toml").write_text(
        '[[matched]]\nlabels = ["bottom", "top", "shelf.1", "shelf.2"]\nfollow = "along"\n'
    )
    assert main(["cut", "divided_case", "--stock", "stock.toml", "--effort", "0.01"]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "fits no sheet; nothing of that kind in the table of stock is large enough" in said
    assert "would do" not in said


def test_what_does_not_fit_is_told_in_the_units_asked_for(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    Path("stock.toml").write_text('[[blank]]\nstock = "beech-blank-63"\nlength = "6 in"\n')
    assert main(["cut", "divided_case", "--stock", "stock.toml", "--effort", "0.01", "--units", "in"]) == 1
    (said,) = re.findall(r"leg \(4\): .*?would do", " ".join(capsys.readouterr().out.split()))
    assert " mm" not in said
    assert '~4 13/16"' in said, "6 in less two end trims of 15 mm"


def test_the_size_that_is_offered_in_feet_is_no_other_size(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    Path("stock.toml").write_text(
        '[[sheet]]\nstock = "birch-ply-21-2440"\nlength = "8 ft"\nwidth = "4 ft"\nprice = 118\n'
    )
    assert main(["cut", "divided_case", "--stock", "stock.toml", "--effort", "0.05"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "birch-ply-21-2440 in sheets of 1525 x 1525" in said
    assert "birch-ply-21-2440 in sheets of 2440 x 1220" not in said
    for size in re.findall(
        r'(?:length|width) = "(.*?) mm"', Path("out/divided_case-cutting/offcuts.toml").read_text()
    ):
        assert len(size.partition(".")[2]) <= 1, "rounded down to a tenth"
