"""Goals of cost, sheets and hours: bounds known before any layout are never above what a layout comes to."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from solving import GRID, place, solved

from furnigen import find_recipe
from furnigen.core.errors import FurnigenError
from furnigen.cutting.costing import costs_of
from furnigen.cutting.cut_rows import Order, cut_rows
from furnigen.cutting.effort import Effort
from furnigen.cutting.plan import lay_out
from furnigen.cutting.stock_file import read_stock_file
from furnigen.pipeline.built import Built
from furnigen.solve.cut_values import least_values
from furnigen.solve.goal_file import USUAL_EFFORT
from furnigen.strength.model.demands import read_loads

FEW = GRID.replace("to = 1300, step = 100", "to = 1300, step = 200").replace("to = 8", "to = 5")
HOLD = '[hold]\nstock = "stock.toml"\nparts = { at_least = 12 }\n'
BOARDS = ("birch-ply-12-2440", "birch-ply-15-2440", "birch-ply-18-2440")

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def everything(tmp_path_factory):
    """Every candidate of the grid, laid out one by one as `furnigen cut` does."""
    folder = tmp_path_factory.mktemp("costs")
    place(folder, GRID)
    shop = read_stock_file(folder / "stock.toml")
    recipe = find_recipe(folder / "stack.py")
    found = []
    for values in itertools.product((900, 1100, 1300), (2, 3, 4, 5), (2, 3, 4), BOARDS):
        named = dict(zip(("width", "shelves", "blocks", "board"), values, strict=True))
        try:
            piece = recipe(depth=300, **named)
        except FurnigenError:
            continue
        order = Order(piece)
        plan = lay_out(piece.title, [order], cut_rows([order], shop), shop, Effort(level=USUAL_EFFORT))
        costs = costs_of(plan)
        loaded = replace(piece, loads=tuple(read_loads([("all", "60 kg/m")])))
        fails = any(f.status == "fail" for f in Built(loaded).findings_of(("fit", "sag")))
        numbers = {
            "cost": costs.total / 100,
            "hours": round(costs.hours, 6),
            "sheets": float(sum(d.count for d in plan.jobs)),
        }
        found.append((named, piece, numbers, fails))
    return shop, found


def test_what_is_known_before_a_layout_is_never_above_it(everything):
    shop, found = everything
    known = 0.0
    for named, piece, numbers, _ in found:
        least = least_values(piece, shop).least
        known += least["cost"]
        for name, value in numbers.items():
            assert least[name] <= value + 1e-6, (named, name)
    # most of the cost is known before, else the bound would sort nothing
    assert known > 0.8 * sum(numbers["cost"] for _, _, numbers, _ in found)


@pytest.mark.parametrize("goal", ["cost", "hours", "sheets"])
def test_brute_force_gives_the_same(goal, everything, tmp_path):
    _, found = everything
    answer = solved(place(tmp_path, f'{FEW}[goal]\nminimise = "{goal}"\n{HOLD}'))
    good = [(n[goal], v) for v, p, n, fails in found if not fails and len(p.placements) >= 12]
    least = min(g[0] for g in good)
    assert answer["value"] == pytest.approx(least, abs=1e-6)
    assert [{k: v for k, v in p.items() if k != "depth"} for p in (answer["params"], *answer["ties"])] == [
        v for value, v in good if value == least
    ]
    assert answer["bound"] <= answer["value"]
    assert answer["proven"] is True


def test_one_sheet_fewer(everything, tmp_path):
    """A limit on sheets is kept, and relaxing it by one sheet is searched again."""
    answer = solved(place(tmp_path, f'{FEW}[goal]\nmaximise = "parts"\n{HOLD}sheets = 1\n'))
    _, found = everything
    most = max(len(p.placements) for _, p, n, fails in found if not fails and n["sheets"] <= 1)
    assert answer["value"] == most
    more = next(r for r in answer["relaxing"] if r["limit"] == "sheets")
    assert more["to"] == {"at_most": 2.0}
    assert more["value"] == max(
        len(p.placements) for _, p, n, fails in found if not fails and n["sheets"] <= 2
    )
    assert any("sheets 1, at most 1" in b["what"] for b in answer["binding"])
