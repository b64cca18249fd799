"""furnigen solve on real pieces: against brute force, answers, files, early ends."""

from __future__ import annotations

import csv
import itertools
import json
import signal
import subprocess
import sys
import time
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from solving import GRID, place, solved, started

from furnigen import find_recipe
from furnigen.cli.main import main
from furnigen.core.errors import FurnigenError
from furnigen.pipeline.built import Built
from furnigen.strength.model.demands import read_loads

MASS = '[goal]\nminimise = "mass"\n'
HARD = f'{GRID}{MASS}[hold]\nparts = {{ at_least = 20 }}\nmax_width = "1.25 m"\nutilisation = 0.8\n'
BOARDS = ("birch-ply-12-2440", "birch-ply-15-2440", "birch-ply-18-2440")
WIDTHS, SHELVES, BLOCKS = range(900, 1301, 100), range(2, 9), (2, 3, 4)


def built_of(recipe: str | Path, values: dict[str, Any], load: str) -> Built:
    """One candidate by itself; remedies of what fails are not looked for."""
    piece = find_recipe(recipe)(**values)
    return Built(replace(piece, loads=(*piece.loads, *read_loads([("all", load)]))))


def measured(folder: Path, values: dict[str, Any], groups=("fit", "sag")) -> dict[str, float] | None:
    """The numbers of one candidate; None where it fails or is refused."""
    try:
        built = built_of(folder / "stack.py", {"depth": 300, **values}, "60 kg/m")
        findings = built.findings_of(groups)
    except FurnigenError:
        return None
    if any(f.status == "fail" for f in findings):
        return None
    report = built.report_of(groups)
    return {
        "mass": report["mass_kg"],
        "parts": len(report["placements"]),
        "sag": round(
            max((f.used, f.value) for f in findings if f.name == "sag")[1], 6
        ),  # as the report has it
        "utilisation": max(f.used for f in findings if f.used is not None),
        "width": report["bounds_mm"]["max"][0],
        "height": report["bounds_mm"]["max"][2],
    }


@pytest.fixture(scope="module")
def everything(tmp_path_factory) -> list[tuple[dict[str, Any], dict[str, float] | None]]:
    """Every candidate of the grid by brute force."""
    folder = tmp_path_factory.mktemp("brute")
    place(folder, GRID)
    names = ("width", "shelves", "blocks", "board")
    grid = [dict(zip(names, v, strict=True)) for v in itertools.product(WIDTHS, SHELVES, BLOCKS, BOARDS)]
    return [(values, measured(folder, values)) for values in grid]


def best_of(everything, goal, keep=lambda m: True):
    """The best value and all that have it, by brute force."""
    found = [(round(goal(m), 6), v) for v, m in everything if m is not None and keep(m)]
    least = min(f[0] for f in found)
    return least, [v for score, v in found if score == least]


def plain(params: dict[str, Any]) -> dict[str, Any]:
    return {n: v for n, v in params.items() if n != "depth"}


QUESTIONS = {
    "the lightest with some room": (
        HARD,
        lambda m: m["mass"],
        lambda m: m["parts"] >= 20 and m["width"] <= 1250 and m["utilisation"] <= 0.8,
    ),
    "the fewest parts": (f'{GRID}[goal]\nminimise = "parts"\n', lambda m: m["parts"], lambda m: True),
    "the least sag of a light one": (
        f'{GRID}[goal]\nminimise = "sag"\n[hold]\nmass = 20\n', lambda m: m["sag"], lambda m: m["mass"] <= 20,
    ),
    "the widest, by its path": (
        f'{GRID}[goal]\nmaximise = "bounds_mm.max.x"\n[hold]\nutilisation = 0.5\n',
        lambda m: -m["width"],
        lambda m: m["utilisation"] <= 0.5,
    ),
    "a weighted sum": (
        f"{GRID}[goal]\nminimise = {{ mass = 1, sag = 2.5 }}\n[hold]\nparts = {{ at_least = 9 }}\n",
        lambda m: m["mass"] + 2.5 * m["sag"],
        lambda m: m["parts"] >= 9,
    ),
}  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("question", QUESTIONS)
def test_brute_force_gives_the_same_best_and_ties(question, everything, tmp_path):
    text, goal, keep = QUESTIONS[question]
    answer = solved(place(tmp_path, text))
    least, best = best_of(everything, goal, keep)
    assert abs(answer["value"]) == pytest.approx(abs(least), abs=1e-6)
    assert answer["proven"] is True
    assert answer["bound"] == answer["value"]
    assert [plain(p) for p in (answer["params"], *answer["ties"])] == best


LADDERS = """
recipe = "ladder_rack"
checks = ["fit", "sag", "strength", "standing"]
[vary]
ladders = [3, 4]
rung = ["40 mm", "60 mm"]
overhang = ["80 mm", "160 mm"]
shelf_board = ["birch-ply-12-2440", "birch-ply-15-2440", "birch-ply-18-2440"]
[load]
all = "100 kg/m2"
"""


@pytest.mark.slow
@pytest.mark.parametrize("skip", ["true", "false"])
def test_brute_force_gives_the_same_where_strength_decides(skip, tmp_path):
    file = place(tmp_path, f"{LADDERS}{MASS}skip = {skip}\n")
    answer = solved(file)
    groups = ("fit", "sag", "strength", "standing")
    found = []
    for values in itertools.product((3, 4), (40, 60), (80, 160), BOARDS):
        named = dict(zip(("ladders", "rung", "overhang", "shelf_board"), values, strict=True))
        built = built_of("ladder_rack", named, "100 kg/m2")
        if not any(f.status == "fail" for f in built.findings_of(groups)):
            found.append((round(built.report_of(groups)["mass_kg"], 6), named))
    least = min(f[0] for f in found)
    assert answer["value"] == pytest.approx(least, abs=1e-6)
    assert [answer["params"], *answer["ties"]] == [v for m, v in found if m == least]
    assert answer["proven"] is True


@pytest.mark.slow
def test_scipy_is_never_better_on_the_grid(everything, tmp_path):
    """Differential evolution and scipy's own grid search over the same candidates."""
    from scipy.optimize import brute, differential_evolution

    known = {tuple(v.values()): m for v, m in everything}

    def penalised(x):
        values = (WIDTHS[int(x[0])], SHELVES[int(x[1])], BLOCKS[int(x[2])], BOARDS[int(x[3])])
        m = known[values]
        return (
            1e6 if m is None or m["parts"] < 20 or m["width"] > 1250 or m["utilisation"] > 0.8 else m["mass"]
        )

    answer = solved(place(tmp_path, HARD))
    whole = brute(penalised, tuple(slice(0, n, 1) for n in (5, 7, 3, 3)), finish=None, full_output=True)
    assert whole[1] == pytest.approx(answer["value"], abs=1e-6)
    for seed in range(4):
        ends = [(0, 4), (0, 6), (0, 2), (0, 2)]
        found = differential_evolution(penalised, ends, integrality=[True] * 4, maxiter=40, seed=seed, tol=0)
        assert found.fun >= answer["value"] - 1e-6


FEWER = HARD.replace("to = 1300", "to = 1100").replace("to = 8", "to = 6")
"""135 candidates."""
SMALL = GRID.replace("to = 1300", "to = 1000").replace("to = 8", "to = 3").replace("[2, 3, 4]", "[2, 3]")
"""24 candidates."""


def test_the_answer_and_its_files(tmp_path, capsys):
    file = place(tmp_path, f"{SMALL}{MASS}[hold]\nparts = {{ at_least = 9 }}\nutilisation = 0.7\n")
    answer = solved(file)
    capsys.readouterr()
    for key in ("proven", "value", "bound", "params", "binding", "tried"):
        assert key in answer
    out = tmp_path / "ask-out"
    params = tomllib.loads((out / "params.toml").read_text())
    assert params["recipe"] == "stack"
    assert params["load"] == {"all": "60 kg/m"}
    # what is found can be made, and is what was said of it
    made = [
        "check",
        str(tmp_path / "stack.py"),
        "--params",
        str(out / "params.toml"),
        "--only",
        "sag",
        "--json",
    ]
    assert main(made) == 0
    findings = json.loads(capsys.readouterr().out)["checks"]
    assert max(f["used"] for f in findings if f["used"] is not None) <= 0.7
    rows = list(csv.DictReader((out / "candidates.csv").read_text().splitlines()))
    assert len(rows) == answer["tried"] == 24
    assert rows[0]["status"] == "holds"
    assert float(rows[0]["mass"]) == pytest.approx(answer["value"])
    assert {r["status"] for r in rows} >= {"holds", "fails"}
    assert (out / "chart.svg").read_bytes().startswith(b"<?xml")
    # one step more of each limit, searched again: no worse, and the parts do bind
    relaxed = {r["limit"]: r for r in answer["relaxing"]}
    assert set(relaxed) == {"parts", "utilisation"}
    assert relaxed["parts"]["to"] == {"at_least": 8.0}
    assert relaxed["parts"]["saves"] > 0
    again = place(tmp_path, f"{SMALL}{MASS}[hold]\nparts = {{ at_least = 8 }}\nutilisation = 0.7\n", "again")
    assert solved(again)["value"] == relaxed["parts"]["value"]
    assert answer["next_best"]["value"] > answer["value"]
    assert answer["nearest_that_fails"]["why"]
    assert any("parts" in b["what"] for b in answer["binding"])


def test_what_is_said_in_the_terminal(tmp_path, capsys):
    file = place(tmp_path, f"{SMALL}{MASS}[hold]\nparts = {{ at_least = 9 }}\n")
    assert main(["solve", str(file), "--workers", "0", "--out", str(tmp_path / "out")]) == 0
    told = capsys.readouterr().out
    make = f"furnigen make {tmp_path / 'stack.py'} --params"
    for words in (
        "minimise mass: ", "proven the least of 24 candidates", "next best", "What binds:",
        "One step more of a limit", "* best, o holds, x fails", make, "estimates",
    ):  # fmt: skip
        assert words in told
    assert max(len(line) for line in told.splitlines() if str(tmp_path) not in line) <= 140


def test_a_single_candidate_is_an_answer_too(tmp_path, capsys):
    text = f'recipe = "stack.py"\nchecks = ["fit"]\n[fixed]\nwidth = 900\n{MASS}'
    assert main(["solve", str(place(tmp_path, text)), "--workers", "0", "--out", str(tmp_path / "out")]) == 0
    told = capsys.readouterr().out
    assert "proven the least of 1 candidate" in told
    assert "the only candidate" in told


def test_lengths_are_in_the_units_of_the_file(tmp_path, capsys):
    text = (
        'recipe = "stack.py"\nunits = "in"\nchecks = ["fit"]\n[vary]\nwidth = { from = 30, to = "30 3/8" }\n'
        '[goal]\nmaximise = "bounds_mm.max.x"\n[hold]\nmax_width = "30 1/4"\n'
    )
    assert main(["solve", str(place(tmp_path, text)), "--workers", "0", "--out", str(tmp_path / "out")]) == 0
    told = capsys.readouterr().out
    assert "maximise bounds_mm.max.x: 768.35 mm, proven the most of 4 candidates" in told
    assert "width=2'-6 1/4\"" in told
    params = tomllib.loads((tmp_path / "out" / "params.toml").read_text())
    assert (params["units"], params["parameters"]["width"]) == ("in", "768.35 mm")


def test_nothing_holds(tmp_path, capsys):
    file = place(tmp_path, f"{SMALL}{MASS}[hold]\nmass = 10\nparts = {{ at_least = 9 }}\nmax_width = 1000\n")
    answer = solved(file, status=1)
    assert answer["value"] is None
    assert answer["params"] is None
    assert answer["proven"] is False
    assert answer["conflict"]["limits"] == ["mass", "parts", "check sag"]
    assert answer["conflict"]["smallest"] is True
    would = {w["limit"]: w for w in answer["would_hold"]}
    enough = would["mass"]["needed"]
    eased = place(
        tmp_path,
        f"{SMALL}{MASS}[hold]\nmass = {enough}\nparts = {{ at_least = 9 }}\nmax_width = 1000\n",
        "eased",
    )
    assert solved(eased)["value"] == enough
    assert not (tmp_path / "ask-out" / "params.toml").exists()
    capsys.readouterr()
    assert main(["solve", str(file), "--workers", "0", "--out", str(tmp_path / "ask-out")]) == 1
    told = capsys.readouterr().out
    assert "Nothing holds: none of 24 candidates." in told
    assert (
        "no candidate meets together: mass at most 10 kg and parts at least 9 and the check sag"
        in " ".join(told.split())
    )
    assert "it would hold with mass" in told


def test_a_recipe_that_refuses_all(tmp_path, capsys):
    file = place(tmp_path, GRID.replace("{ from = 2, to = 8 }", "[7]") + MASS)
    assert main(["solve", str(file), "--workers", "0", "--out", str(tmp_path / "out")]) == 1
    assert "are refused, to have a hole in the grid" in " ".join(capsys.readouterr().out.split())


@pytest.mark.slow
def test_the_trade_off_of_two_goals(tmp_path, capsys):
    file = place(tmp_path, f'{SMALL}[goal]\nminimise = ["mass", "sag"]\n')
    answer = solved(file)
    assert answer["proven"] is True
    values = [p["values"] for p in answer["points"]]
    assert values == sorted(values)
    assert [v[1] for v in values] == sorted((v[1] for v in values), reverse=True)
    points = sorted((tmp_path / "ask-out" / "points").glob("*.toml"))
    assert len(points) == len(values)
    # by brute force: no candidate is better than a point in both
    for values_ in itertools.product((900, 1000), (2, 3), (2, 3), BOARDS):
        m = measured(tmp_path, dict(zip(("width", "shelves", "blocks", "board"), values_, strict=True)))
        if m is not None:
            assert any(p[0] <= m["mass"] + 1e-6 and p[1] <= m["sag"] + 1e-6 for p in values)
    capsys.readouterr()
    assert main(["solve", str(file), "--workers", "0", "--out", str(tmp_path / "ask-out")]) == 0
    assert f"{len(values)} points, proven" in capsys.readouterr().out


def test_goals_and_limits_may_change_between_runs(tmp_path):
    file = place(tmp_path, SMALL + MASS)
    first = solved(file)
    file.write_text(f'{SMALL}[goal]\nminimise = "sag"\n[hold]\nmass = 15\n')
    second = solved(file)
    other = place(tmp_path, file.read_text(), "anew")
    assert solved(other) == second
    assert second["value"] != first["value"]


@pytest.mark.slow
def test_a_grid_above_its_cap_is_searched_by_descent(tmp_path, capsys):
    file = place(tmp_path, f"cap = 20\n{HARD}")
    answer = solved(file)
    whole = place(tmp_path, HARD, "whole")
    best = solved(whole)
    assert answer["grid"]["searched_whole"] is False
    assert answer["bound"] <= best["value"] <= answer["value"]
    assert answer["tried"] < best["tried"] or answer["proven"]
    capsys.readouterr()
    main(["solve", str(file), "--workers", "0", "--out", str(tmp_path / "out")])
    told = capsys.readouterr().out
    assert "best found, at most" in told or "at the bound" in told


def test_time_ends_a_search_and_another_run_goes_on(tmp_path, monkeypatch):
    file = place(tmp_path, SMALL + MASS)
    monkeypatch.setenv("STACK_PACE", "0.02")
    assert (
        main(["solve", str(file), "--workers", "0", "--out", str(tmp_path / "ask-out"), "--time", "0.3"]) == 1
    )
    answer = json.loads((tmp_path / "ask-out" / "answer.json").read_text())
    assert answer["stopped"] == "time"
    assert answer["proven"] is False
    assert 0 < answer["tried"] < 24
    monkeypatch.setenv("STACK_PACE", "0")
    whole = solved(file)
    other = place(tmp_path, SMALL + MASS, "anew")
    assert solved(other) == whole
    assert whole["proven"] is True


@pytest.mark.slow
def test_ctrl_c_keeps_and_prints_the_best_so_far(tmp_path):
    file = place(tmp_path, HARD)
    run = started(file, "--json", "--workers", "2", STACK_PACE="0.05")
    rows = tmp_path / "out" / ".ask-solved.search" / "rows.jsonl"
    until = time.monotonic() + 60
    while not rows.exists() or rows.read_bytes().count(b"\n") < 60:
        assert time.monotonic() < until
        time.sleep(0.05)
    run.send_signal(signal.SIGINT)
    out, err = run.communicate(timeout=60)
    assert b"the search ends" in err
    answer = json.loads(out)
    assert answer["stopped"] == "interrupt"
    assert run.returncode == (0 if answer["params"] else 1)
    assert answer["proven"] is False
    assert 0 < answer["tried"] < 315
    again = started(file, "--json", "--workers", "2")
    out, _ = again.communicate(timeout=120)
    assert again.returncode == 0
    clean = solved(place(tmp_path, HARD, "clean"))
    assert json.loads(out) == clean


@pytest.mark.slow
def test_one_worker_two_and_this_process_give_the_same_bytes(tmp_path):
    answers = []
    for workers in ("0", "1", "2"):
        folder = tmp_path / workers
        folder.mkdir()
        run = started(place(folder, FEWER), "--workers", workers, "--out", "out")
        run.communicate(timeout=120)
        assert run.returncode == 0
        answers.append(
            {p.name: p.read_bytes() for p in (folder / "out").iterdir() if p.name != ".furnigen.json"}
        )
    assert answers[0] == answers[1] == answers[2]


@pytest.mark.slow
def test_a_cluster_gives_the_same_bytes(tmp_path):
    sys.path.insert(0, str(Path(__file__).parents[1] / "family"))
    from test_cluster import Cluster

    machines = tmp_path / "machines"
    machines.mkdir()
    cluster = Cluster(machines)
    try:
        for _ in range(2):
            cluster.worker()
        file = place(tmp_path, FEWER)
        run = started(file, "--cluster", cluster.address, "--out", "clustered")
        _, err = run.communicate(timeout=120)
        assert run.returncode == 0, err
        solved(file)
        here, there = tmp_path / "ask-out", tmp_path / "clustered"
        for name in ("answer.json", "candidates.csv", "params.toml"):
            assert (here / name).read_bytes() == (there / name).read_bytes()
    finally:
        cluster.close()


def test_the_help_the_manual_and_completion_know_it(capsys):
    assert main(["help", "solve"]) == 0
    assert "--cluster" in capsys.readouterr().out
    assert main(["manual"]) == 0
    assert "furnigen solve" in capsys.readouterr().out.replace("\\-", "-")
    assert main(["completion", "bash"]) == 0
    assert "solve" in capsys.readouterr().out


def test_the_command_starts_without_heavy_imports():
    said = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "furnigen", "solve", "--help"],
        capture_output=True, text=True, check=True,
    ).stderr  # fmt: skip
    assert "numpy" not in said
    assert "OCP" not in said
