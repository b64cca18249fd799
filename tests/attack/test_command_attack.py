"""Mutants of parameter files, family files, their tables and command lines, by the hundred.

    TOML_MUTANTS=1500 OPTION_MUTANTS=500 pytest -m slow tests/attack

tries more than usual; the same numbers are always the same cases.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from cases import Case
from command_judge import Ended, faults, seen, wrong
from forked import forked, rows_of
from option_mutants import option_case
from toml_mutants import toml_case

COUNTS = {
    "toml": int(os.environ.get("TOML_MUTANTS", "500")),
    "options": int(os.environ.get("OPTION_MUTANTS", "200")),
}


@pytest.mark.slow
@pytest.mark.parametrize("kind", COUNTS)
def test_no_strange_file_or_word_crashes_loses_or_passes(kind: str) -> None:
    rows = list(rows_of("command_run.py", kind, count=COUNTS[kind]))
    assert [r["number"] for r in sorted(rows, key=lambda r: r["number"])] == list(range(COUNTS[kind]))
    assert not wrong(rows)
    # all sorts: made, failed by a check, and refused, as they must be or by the recipe
    assert {(r["ended"], r["bad"]) for r in rows} >= {(0, False), (1, False), (2, False), (2, True)}


@pytest.mark.parametrize("make", [toml_case, option_case])
def test_a_case_is_the_same_each_time(make) -> None:
    cases = [make(k) for k in range(60)]
    assert cases == [make(k) for k in range(60)]
    assert len({(tuple(c.words), *c.files.values()) for c in cases}) == 60
    assert 10 < sum(c.bad for c in cases) < 50


def test_a_fork_that_ends_is_told() -> None:
    assert forked(lambda: {"ended": 0}, 5.0)["ended"] == 0
    assert forked(lambda: os._exit(3), 5.0)["ended"] == "crash"
    assert forked([].pop, 5.0)["ended"] == "raised"

    def endless() -> None:
        while True:
            pass

    assert forked(endless, 1.0)["ended"] == "time"


MAKE = Case(0, ["make", "leaning_shelf", "--json"], {}, recipe="leaning_shelf")


def judged(folder: Path, ended: Ended, case: Case = MAKE) -> str:
    return "; ".join(faults(case, ended, seen(folder), folder))


def test_the_judge_finds_what_is_wrong(tmp_path: Path) -> None:
    said = "furnigen: width = x: must be a length\n"
    assert judged(tmp_path, Ended(2, "", said)) == ""
    assert "not one message" in judged(tmp_path, Ended(2, "", said + said))
    assert "not one message" in judged(tmp_path, Ended(2, "", ""))
    assert "said aside" in judged(tmp_path, Ended(2, "", "usage: x\n"))
    assert "beside its message" in judged(tmp_path, Ended(2, "half", said))
    assert "a traceback" in judged(tmp_path, Ended(2, "", "furnigen: Traceback\n"))
    assert "exit status 3" in judged(tmp_path, Ended(3, "", ""))
    assert "no JSON" in judged(tmp_path, Ended(0, '{"mass_kg": NaN}', ""))
    bad = Case(0, ["make", "leaning_shelf"], {}, bad=True)
    assert "must be refused" in judged(tmp_path, Ended(0, "", ""), bad)


def test_the_judge_reads_the_report(tmp_path: Path) -> None:
    from furnigen import find_recipe
    from furnigen.pipeline.make import MakeOptions, check_piece

    recipe = find_recipe("leaning_shelf")
    text = check_piece(recipe(), MakeOptions(())).files["report.json"].decode()
    assert judged(tmp_path, Ended(0, text, "")) == ""
    assert "exit status 1 with []" in judged(tmp_path, Ended(1, text, ""))
    asked = Case(0, MAKE.words, {}, recipe="leaning_shelf", values={"width": 650.0})
    assert "width is 700.0, not 650.0" in judged(tmp_path, Ended(0, text, ""), asked)
    for where, value, told in (
        (("params", "width"), 9000.0, "out of its range"),
        (("mass_kg",), 0.0, "an empty piece"),
        (("bounds_mm", "min"), [0.0, 0.0, 9e9], "no size"),
        (("parts", 0, "volume_mm3"), -1.0, "has no volume"),
    ):
        report = json.loads(text)
        place = report
        for key in where[:-1]:
            place = place[key]
        place[where[-1]] = value
        assert told in judged(tmp_path, Ended(0, json.dumps(report), ""))
    report = json.loads(text)
    next(c for c in report["checks"] if c["name"] == "interference")["status"] = "fail"
    assert "a piece that is none" in judged(tmp_path, Ended(1, json.dumps(report), ""))


def test_the_judge_misses_no_file(tmp_path: Path) -> None:
    here = tmp_path / "here" / "result"
    here.mkdir(parents=True)
    (here / "notes.txt").write_text("mine")
    before = seen(tmp_path)
    ok, refused = Ended(0, "", ""), Ended(2, "", "furnigen: no\n")
    case = Case(0, ["make", "leaning_shelf"], {})
    (here / "new.csv").write_text("1\n")
    assert "changed though refused: here/result/new.csv" in faults(case, refused, before, tmp_path)
    (here / "notes.txt").unlink()
    assert "lost: here/result/notes.txt" in faults(case, ok, before, tmp_path)
    digest = "0" * 64
    (here / ".furnigen.json").write_text(json.dumps({"files": {"new.csv": digest}}))
    assert "half written: new.csv" in faults(case, ok, before, tmp_path)
