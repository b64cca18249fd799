"""Boards measured in a STEP file: a piece rebuilt from its file alone gives the same cut list."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from furnigen import build, find_recipe
from furnigen.cli.main import main
from furnigen.cutting.cut_rows import Order, cut_rows
from furnigen.cutting.own_stock import Shop
from furnigen.cutting.step_rows import step_rows
from furnigen.pipeline.step_guard import measure_boards_guarded


def listed(rows) -> Counter[tuple[object, ...]]:
    """Part, size and labels of each row."""
    return Counter(
        (r.part, *(round(v, 2) for v in vars(r.finished).values()), tuple(sorted(r.labels))) for r in rows
    )


def closed(name: str, folder: Path) -> None:
    piece = find_recipe(name)()
    build(piece).write(folder, ("step",))
    measured = measure_boards_guarded(str(folder / "model.step"))
    rows, notes = step_rows(measured, Shop())
    mine = [r for r in cut_rows([Order(piece)], Shop()) if r.source[0].form.as_board is not None]
    assert listed(rows) == listed(mine)
    assert not any("longer sides" in note for note in notes)
    # a strip planed to a thickness of its own is of the same stock
    assert {r.stock.name for r in rows} == {r.stock.name.partition("@")[0] for r in mine}
    others = [p for p in piece.parts if p.form.as_board is None]
    for part in others:
        assert any(note.startswith(f"no board, not cut: {part.name}") for note in notes)


def test_a_crate_wall_is_rebuilt_from_its_file(tmp_path):
    closed("crate_wall", tmp_path / "made")


@pytest.mark.slow
@pytest.mark.parametrize(
    "name", ["ring_rack", "divided_case", "ladder_rack", "panel_bookcase", "leaning_shelf"]
)
def test_every_recipe_is_rebuilt_from_its_file(name, tmp_path):
    closed(name, tmp_path / "made")


def test_boards_drawn_askew_are_measured_all_the_same(tmp_path, monkeypatch, capsys):
    """A foreign file: boards turned in space, one solid twice, a rod, no material."""
    import cadquery as cq

    monkeypatch.chdir(tmp_path)
    board = cq.Workplane().box(800, 18, 300).rotate((0, 0, 0), (1, 2, 3), 33)
    rod = cq.Workplane().circle(10).extrude(400)
    assembly = cq.Assembly(name="bench")
    assembly.add(board, name="plank 1", loc=cq.Location((0, 0, 0)))
    assembly.add(board.translate((0, 0, 500)), name="plank 2")
    assembly.add(rod, name="rod", loc=cq.Location((2000, 0, 0)))
    assembly.export("bench.step")
    measured = measure_boards_guarded("bench.step")
    rows, notes = step_rows(measured, Shop())
    assert [(r.quantity, r.part) for r in rows] == [(2, rows[0].part)]
    f = rows[0].finished
    assert (f.length, f.width, f.thickness) == pytest.approx((800, 300, 18), abs=0.001)
    assert any("rod" in note and "no board" in note for note in notes)
    assert any("its material is not known here" in note for note in notes)
    assert main(["cut", "bench.step"]) == 0
    assert "no board, not cut: rod" in capsys.readouterr().out
