"""What a goal file may ask for, and each thing that it may not, with what is said of it."""

from __future__ import annotations

import pytest
from solving import GRID, STOCK, place, solved

from furnigen.cli.main import main
from furnigen.solve.goal_file import read_goal_file

GOAL = '[goal]\nminimise = "mass"\n'

BAD = {
    "no goal": (GRID, "[goal] = nothing: must be given"),
    "nothing to minimise": (f"{GRID}[goal]\n", "must say minimise or maximise"),
    "unknown number": (f'{GRID}[goal]\nminimise = "weight"\n', "weight: is not known; numbers are"),
    "near number": (f'{GRID}[goal]\nminimise = "mas"\n', "did you mean mass?"),
    "no number": (f"{GRID}[goal]\nminimise = 3\n", "must be a number by its name"),
    "no number of the report": (
        f'{GRID}[goal]\nminimise = "bounds_mm.max.q"\n',
        "bounds_mm.max.q: is not a number of the report; near it are bounds_mm.max",
    ),
    "a word of the report": (f'{GRID}[goal]\nminimise = "params.board"\n', "is not a number of the report"),
    "three goals": (f'{GRID}[goal]\nminimise = ["mass", "parts", "sag"]\n', "may hold one goal, or two"),
    "one goal twice": (f'{GRID}[goal]\nminimise = ["mass", "mass"]\n', "is named twice"),
    "weight of nothing": (f"{GRID}[goal]\nminimise = {{ mass = 0 }}\n", "must be a weight above 0"),
    "no terms": (f"{GRID}[goal]\nminimise = {{}}\n", "must name one number or more"),
    "unknown key": (f"{GRID}{GOAL}spede = 3\n", "spede: is not known"),
    "step of zero": (f"{GRID}{GOAL}step = 0\n", "[goal]: step = 0"),
    "range step of zero": (GRID.replace("step = 100", "step = 0") + GOAL, "step = 0"),
    "range backwards": (GRID.replace("from = 900", "from = 1600") + GOAL, "ends before it begins"),
    "empty grid": (f'{GRID}[only]\n"wide" = "width > 3000"\n{GOAL}', "the grid is empty"),
    "limit the wrong way": (
        f"{GRID}{GOAL}[hold]\nparts = {{ at_least = 9, at_most = 5 }}\n",
        "at most 5 and at least 9: contradicts itself",
    ),
    "clear larger than all": (
        f'{GRID}{GOAL}[hold]\nmax_height = "500 mm"\nmin_clear_height = "500 mm"\n',
        "contradicts max_height = 500.0 mm",
    ),
    "less than nothing": (f"{GRID}{GOAL}[hold]\nmass = -1\n", "is below zero"),
    "no mass at all": (f"{GRID}{GOAL}[hold]\nmass = 0\n", "leaves no piece at all"),
    "unknown limit": (f"{GRID}{GOAL}[hold]\nmax_widht = 900\n", "max_widht: is not known"),
    "limit in words": (f'{GRID}{GOAL}[hold]\nmass = "light"\n', "must be a finite number of kg"),
    "strange limit": (f"{GRID}{GOAL}[hold]\nmass = {{ below = 3 }}\n", "needs at_most, at_least or both"),
    "limit twice": (
        f'{GRID}[brief]\nmax_width = 900\n{GOAL}[hold]\nmax_width = 800\n', "is given in [brief] too",
    ),
    "load twice": (f'{GRID}{GOAL}[hold]\nload = "books"\n', "is given in [load] too"),
    "no load": (GRID.replace('[load]\nall = "60 kg/m"', "") + f'{GOAL}[hold]\nload = "bricks"\n', "bricks"),
    "more than its limit": (f"{GRID}{GOAL}[hold]\nutilisation = 1.5\n", "must be above 0, at most 1"),
    "utilisation of nothing": (
        GRID.replace(', "sag"]', "]") + f"{GOAL}[hold]\nutilisation = 0.9\n", "needs the checks sag",
    ),
    "no such checks": (GRID.replace('"sag"', '"sags"') + GOAL, "sags: must be one of"),
    "cost without prices": (f'{GRID}[goal]\nminimise = "cost"\n', "cost: needs prices; name a stock file"),
    "sheets without sheets": (f"{GRID}{GOAL}[hold]\nsheets = 2\n", "needs sheets and their sizes"),
    "no such stock file": (f'{GRID}{GOAL}[hold]\nstock = "none.toml"\n', "can not be read"),
    "on hand of nothing": (f"{GRID}{GOAL}[hold]\non_hand = true\n", "needs a stock file"),
    "nothing on hand": (f'{GRID}{GOAL}[hold]\nstock = "stock.toml"\non_hand = true\n', "states no copies"),
    "cap of nothing": (f"cap = 0\n{GRID}{GOAL}", "must be a whole number from 1"),
    "goals in words": (f'goal = "mass"\n{GRID}', "write [goal] on a line"),
    "another spelling": (f'{GRID}[goal]\nminimize = "mass"\n', "did you mean minimise?"),
    "goals misspelt": (f'{GRID}[goals]\nminimise = "mass"\n', "did you mean [goal]?"),
    "a table misspelt": (f"{GRID}{GOAL}[holds]\nmass = 1\n", "did you mean [hold]?"),
    "a weight in quotes": (f'{GRID}[goal]\nminimise = {{ mass = "1" }}\n', 'mass = "1": must be a weight'),
    "a limit of the brief misspelt": (f"{GRID}{GOAL}[hold]\nmax_widht = 9\n", "did you mean max_width?"),
    "a limit that never ends": (f"{GRID}{GOAL}[hold]\nmass = inf\n", "must be a finite number of kg"),
    "per cent": (f'{GRID}{GOAL}[hold]\nutilisation = "90 %"\n', "such as 0.9"),
    "a length that is none": (f'{GRID}{GOAL}[hold]\n"bounds_mm.max.z" = "3 kg"\n', "units are mm, cm, m"),
    "a number of no report, as a limit": (
        f'{GRID}{GOAL}[hold]\n"bounds.max.z" = 3\n',
        "[hold]: key = bounds.max.z: is not a number of the report; near it are bounds_mm.max.z",
    ),
    "nothing varies": (f'recipe = "stack.py"\n[vary]\n{GOAL}', "must name what varies: the grid is empty"),
    "no values": (GRID.replace("blocks = [2, 3, 4]", "blocks = []") + GOAL, "blocks = []: is empty"),
    "no units": (f'units = "ft"\n{GRID}{GOAL}', "must be mm or in"),
}  # fmt: skip


@pytest.mark.parametrize("what", BAD)
def test_bad_input_is_one_message_and_writes_nothing(what, tmp_path, capsys):
    text, said = BAD[what]
    file = place(tmp_path, text)
    assert main(["solve", str(file), "--workers", "0", "--out", str(tmp_path / "out")]) == 2
    told = capsys.readouterr().err
    assert said in told
    assert told.count("\n") == 1
    assert told.count("ask.toml") == 1  # which file, once
    assert "Traceback" not in told
    assert not (tmp_path / "out").exists()


def test_a_missing_price_is_named(tmp_path, capsys):
    file = place(tmp_path, f'{GRID}[goal]\nminimise = "cost"\n[hold]\nstock = "stock.toml"\n')
    (tmp_path / "stock.toml").write_text(STOCK.replace("price = 77\n", ""))
    assert main(["solve", str(file), "--workers", "0", "--out", str(tmp_path / "out")]) == 2
    assert "cost = birch-ply-15-2440: has no price in stock.toml" in capsys.readouterr().err


def test_hours_need_rates(tmp_path, capsys):
    file = place(tmp_path, f'{GRID}[goal]\nminimise = "hours"\n[hold]\nstock = "stock.toml"\n')
    (tmp_path / "stock.toml").write_text(STOCK.partition("[labour]")[0])
    assert main(["solve", str(file), "--workers", "0"]) == 2
    assert "hours: needs rates of labour: stock.toml has no [labour]" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--time", "0"], "--time = 0"),
        (["--workers", "-1"], "workers = -1"),
        (["--workers", "2", "--cluster", "tcp://127.0.0.1:9"], "leave it out with --cluster"),
    ],
)
def test_bad_options(words, said, tmp_path, capsys):
    file = place(tmp_path, GRID + GOAL)
    assert main(["solve", str(file), *words]) == 2
    assert said in capsys.readouterr().err


def test_a_family_file_with_a_goal_is_sent_to_solve(tmp_path, capsys):
    file = place(tmp_path, GRID + GOAL)
    assert main(["family", str(file)]) == 2
    assert "furnigen solve ask.toml" in capsys.readouterr().err


def test_ranges_go_by_the_workshop_step(tmp_path):
    plain = GRID.replace("{ from = 900, to = 1300, step = 100 }", "{ from = 900, to = 930 }")
    asked = read_goal_file(place(tmp_path, plain + GOAL))
    assert [len(a) for a in asked.family.axes] == [7, 7, 3, 3]  # every 5 mm; shelves by ones
    asked = read_goal_file(place(tmp_path, f'{plain}{GOAL}step = "10 mm"\n'))
    assert len(asked.family.axes[0]) == 4
    inches = plain.replace("recipe", 'units = "in"\nrecipe').replace(
        "from = 900, to = 930", "from = 36, to = 37"
    )
    asked = read_goal_file(place(tmp_path, inches + GOAL))
    assert len(asked.family.axes[0]) == 9  # every 1/8 in


@pytest.mark.slow
def test_only_stock_on_hand_is_taken(tmp_path):
    few = GRID.replace("to = 1300", "to = 1000").replace("to = 8", "to = 3")
    text = f'{few}[goal]\nminimise = "mass"\n[hold]\nstock = "stock.toml"\non_hand = true\nmax_width = 900\n'
    file = place(tmp_path, text)
    (tmp_path / "stock.toml").write_text(STOCK.replace("price = 96\n", "price = 96\ncopies = 1\n"))
    answer = solved(file)
    # boards of 12 and 15 mm are lighter, but only 18 mm is there
    assert answer["params"]["board"] == "birch-ply-18-2440"
