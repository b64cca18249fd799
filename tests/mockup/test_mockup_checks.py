"""The checks of a mockup fail where there is a fault: each is given one."""

from __future__ import annotations

from dataclasses import replace

import pytest
from manifold3d import Manifold
from mockups import bench

from furnigen.mockup.beds import print_piece
from furnigen.mockup.kit_order import KitTrial
from furnigen.mockup.orientation import best_orientation
from furnigen.mockup.print_plan import check_pieces
from furnigen.mockup.printer import Printer
from furnigen.mockup.scale import read_scale
from furnigen.mockup.scaled_bodies import scaled_bodies
from furnigen.mockup.whole_print import print_whole

PRINTER, SCALE = Printer(), read_scale("1:6")
SCALED = scaled_bodies(bench(), SCALE, PRINTER)


def statuses(findings) -> dict[str, str]:
    return {f.name: f.status for f in findings}


def block(*size: float, at: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Manifold:
    return Manifold.cube(size).translate(at)


def placed(*solids: Manifold) -> list[Manifold]:
    """The bench's parts in place, the sides first; then what is to be added to the shelf."""
    left, right, shelf = (b.solid for b in SCALED.bodies)
    return [left, right, sum(solids, shelf)]


def test_a_wall_too_thin_fails_and_the_scale_that_would_do_is_told() -> None:
    solid = block(20, 20, 0.5)
    thin = print_piece("thin", solid, best_orientation(solid, PRINTER), PRINTER, (0.5, 0.5, 0.5))
    meshes, walls = check_pieces("kit", (thin,), PRINTER, SCALE)
    assert (meshes.status, walls.status, walls.where) == ("pass", "fail", "thin")
    assert (walls.value, walls.limit, walls.least) == (pytest.approx(0.5), 0.8, True)
    # 0.5 mm at 1:6 is 0.8 mm at 1:3.75
    assert "1:3 or larger" in walls.remedy


def test_a_mesh_that_is_not_sound_fails() -> None:
    solid = block(20, 20, 2)
    good = print_piece("good", solid, best_orientation(solid, PRINTER), PRINTER, (0.5, 0.5, 0.5))
    bad = replace(good, name="bad", proof=replace(good.proof, crossings=1))
    meshes, _ = check_pieces("kit", (good, bad), PRINTER, SCALE)
    assert (meshes.status, meshes.where) == ("fail", "bad")


def test_a_mockup_of_another_size_or_volume_fails() -> None:
    right = statuses(print_whole(bench(), SCALED, PRINTER, SCALE).findings)
    assert {right["whole-size"], right["whole-volume"]} == {"pass"}
    x, y, z = SCALED.size_mm
    wrong = print_whole(bench(), replace(SCALED, size_mm=(x + 0.1, y, z)), PRINTER, SCALE)
    assert statuses(wrong.findings)["whole-size"] == "fail"
    # a bench a fifth wider holds more than these parts
    wrong = print_whole(bench(width=750.0), SCALED, PRINTER, SCALE)
    volume = next(f for f in wrong.findings if f.name == "whole-volume")
    assert (volume.status, volume.least) == ("fail", True)


def test_parts_that_share_space_are_found() -> None:
    trial = KitTrial(bench())
    assert trial.fit(placed()).good
    # a pin of 1 mm² that reaches 2 mm into the left side, from 3 mm
    fit = trial.fit(placed(block(2.5, 1, 1, at=(1.0, 25, 65))))
    (overlap,) = fit.overlaps
    assert {overlap.a, overlap.b} == {"side.left", "shelf"}
    inside = SCALED.bodies[0].solid.bounding_box()[3] - 1.0
    assert overlap.volume_mm3 == pytest.approx(inside, abs=1e-3)


def test_parts_that_lock_each_other_are_found() -> None:
    left, right, shelf = (b.solid for b in SCALED.bodies)
    outside, _, _, inside, _, top = left.bounding_box()
    # an arm from the shelf's end down to a pin through the side, with a head on the far end
    arm = block(1.0, 2, top - 60, at=(inside + 0.2, 24, 60))
    pin = block(inside + 1.2 - outside, 2, 2, at=(outside - 0.5, 24, 60))
    head = block(1.0, 6, 5, at=(outside - 1.2, 22, 58))
    joined = shelf + arm + pin + head
    trial = KitTrial(bench())
    hole = block(9.0, 2.4, 2.4, at=(outside - 2, 23.8, 59.8))
    locked = trial.fit([left - hole, right, joined])
    assert not locked.overlaps
    assert [set(labels) for labels in locked.assembly.locked] == [{"side.left", "shelf"}]
    # with a slot from the hole up to the top of the side it comes off upward
    slot = block(9.0, 2.4, top - 58.8, at=(outside - 2, 23.8, 59.8))
    assert trial.fit([left - slot, right, joined]).good
