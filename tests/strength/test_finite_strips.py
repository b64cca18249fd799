"""Plates by finite strips, against published plates and against three-dimensional elements."""

from __future__ import annotations

import pytest
from orthotropic_fem import Glued, Wood, shelf_sags

from furnigen.core.errors import InputError
from furnigen.strength.formulas.finite_strips import Rib, Sheet, plate_sag

BIRCH = Wood(10048.0, 7452.0, 500.0, 600.0, 600.0, 600.0)
TURNED = Wood(7452.0, 10048.0, 500.0, 600.0, 600.0, 600.0)
PRESS = 1e-3


def sheet_of(wood: Wood, thickness: float = 18.0) -> Sheet:
    return Sheet(thickness, wood.ex, wood.ey, wood.gxy, wood.nuxy)


def isotropic(poisson: float = 0.3) -> tuple[Sheet, float]:
    """A thin isotropic sheet and its plate stiffness D."""
    e, t = 1000.0, 1.0
    return Sheet(t, e, e, e / 2 / (1 + poisson), poisson), e * t**3 / 12 / (1 - poisson**2)


# Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, tables 8, 35 and 47 (from memory):
# w = alpha q a^4 / D of a square plate, poisson 0.3
@pytest.mark.parametrize(
    ("held", "at", "alpha"),
    [
        ((0.0, 100.0), "middle", 0.00406),  # four edges supported: its middle
        ((), "middle", 0.01309),  # two opposite edges free: its middle
        ((), "front", 0.01509),  # and the middle of a free edge
        ((100.0,), "front", 0.01286),  # one edge free: its middle
    ],
)
def test_square_plates_of_the_handbook(held: tuple[float, ...], at: str, alpha: float) -> None:
    sheet, d = isotropic()
    found = getattr(plate_sag(100.0, 100.0, sheet, held=held), at)
    assert found == pytest.approx(alpha * 100.0**4 / d, rel=0.01)


def test_narrow_board_is_a_beam() -> None:
    """5 q L^4 / 384 E I and q L^2 / 8 W (closed form), for a board a tenth as deep as its span."""
    sheet, _ = isotropic(0.0)
    found = plate_sag(1000.0, 100.0, sheet)
    assert found.most == pytest.approx(5 * 1000.0**4 / (384 * 1000.0 / 12), rel=2e-3)
    assert found.board_stress == pytest.approx(1000.0**2 / 8 * 6, rel=1e-2)


KNOWN = [(464.0, 40.0), (600.0, 30.0), (879.0, 30.0), (1179.0, 40.0), (1600.0, 40.0)]
SPACE = [
    (wood, span, depth, height)
    for wood in (BIRCH, TURNED)
    for span in (400.0, 900.0, 1800.0)
    for depth in (150.0, 314.0, 600.0)
    for height in (15.0, 40.0, 80.0)
]


def against_elements(
    span: float, depth: float, wood: Wood, strips: tuple[Glued, ...]
) -> tuple[list[float], list[float]]:
    """Front, middle and rear over the middle of the bare board: by finite strips, and by elements."""
    bare = shelf_sags(span, depth, 18.0, wood)[1]
    solid = [s / bare for s in shelf_sags(span, depth, 18.0, wood, strips)]
    plain = plate_sag(span, depth, sheet_of(wood)).middle
    ribs = tuple(Rib(s.front + s.thick / 2, s.high, sheet_of(s.wood, s.thick)) for s in strips)
    found = plate_sag(span, depth, sheet_of(wood), ribs)
    return [s / plain for s in (found.front, found.middle, found.rear)], solid


@pytest.mark.parametrize(("span", "height"), KNOWN)
def test_one_strip_under_the_front_against_elements(span: float, height: float) -> None:
    found, solid = against_elements(span, 314.0, BIRCH, (Glued(0.0, 18.0, height, BIRCH),))
    assert found == pytest.approx(solid, rel=0.05)


@pytest.mark.slow
@pytest.mark.parametrize(("wood", "span", "depth", "height"), SPACE)
def test_one_strip_over_the_whole_space_against_elements(
    wood: Wood, span: float, depth: float, height: float
) -> None:
    found, solid = against_elements(span, depth, wood, (Glued(0.0, 18.0, height, wood),))
    assert found == pytest.approx(solid, rel=0.10, abs=0.01)


@pytest.mark.slow
@pytest.mark.parametrize(("wood", "span", "depth", "height"), SPACE[::2])
def test_strips_front_and_rear_against_elements(wood: Wood, span: float, depth: float, height: float) -> None:
    strips = (Glued(0.0, 18.0, height, wood), Glued(depth - 18.0, 18.0, height, wood))
    found, solid = against_elements(span, depth, wood, strips)
    assert found == pytest.approx(solid, rel=0.10, abs=0.01)


@pytest.mark.parametrize(
    ("span", "depth"),
    [
        (300.0, 300.0),
        (200.0, 150.0),
        (500.0, 300.0),
        (800.0, 300.0),
    ],
)
def test_held_rear_edge_against_elements(span: float, depth: float) -> None:
    """What a rear edge held by a back leaves of the sag: more than all of it where the span is short."""
    bare = shelf_sags(span, depth, 18.0, BIRCH)[1]
    solid = shelf_sags(span, depth, 18.0, BIRCH, held_rear=True)[0] / bare
    plain = plate_sag(span, depth, sheet_of(BIRCH)).middle
    assert plate_sag(span, depth, sheet_of(BIRCH), held=(depth,)).front / plain == pytest.approx(
        solid, rel=0.05
    )


def test_impossible_plates_are_refused() -> None:
    board = sheet_of(BIRCH)
    with pytest.raises(InputError, match="must have sizes"):
        plate_sag(0.0, 300.0, board)
    with pytest.raises(InputError, match="place across a board = 301"):
        plate_sag(500.0, 300.0, board, (Rib(301.0, 30.0, board),))
    with pytest.raises(InputError, match="height of a rib = 0 mm"):
        Rib(9.0, 0.0, board)
    with pytest.raises(InputError, match="twist of a plate = 0"):
        Sheet(18.0, 1.0, 1.0, 0.0)
