"""Boards with strips or a held edge in a piece, against three-dimensional orthotropic elements."""

from __future__ import annotations

import pytest
from orthotropic_fem import Glued, Wood, shelf_sags, solve_shelf

from furnigen import find_recipe
from furnigen.catalogue.stock import find_stock
from furnigen.core.errors import InputError
from furnigen.drafting.draft import Draft
from furnigen.joints.fastened import butt
from furnigen.mesh.light_mesh import light_contacts
from furnigen.piece.description import Piece
from furnigen.pipeline.edge_strips import FRONT, REAR, stiffened
from furnigen.pipeline.remedy_trial import try_piece
from furnigen.strength.assess import assess
from furnigen.strength.formulas.finite_strips import Rib, Sheet, plate_sag
from furnigen.strength.members.boards import Board
from furnigen.strength.model.demands import Demands
from furnigen.strength.model.plates import between_zero_moments
from furnigen.strength.model.stations import Station

PLY = find_stock("birch-ply-18@18")
# moduli of 18 mm birch plywood: Handbook of Finnish Plywood (looked up), G from memory; a strip on edge has
# the mean of both moduli; the ratio of contraction lies in the middle of the range the package takes
BIRCH = Wood(10048.0, 7452.0, 500.0, 620.0, 620.0, 620.0, 0.05)
ON_EDGE = Wood(8750.0, 8750.0, 500.0, 620.0, 620.0, 620.0, 0.05)


def shelf_on(
    places: list[float],
    length: float,
    strips: list[float],
    high: float,
    *,
    depth: float = 314.0,
    back: bool = False,
) -> Board:
    """A shelf that lies on narrow blocks, with strips on it at these places from its front."""
    draft = Draft("shelf", fit_mm=0.0)
    for n, x in enumerate(places):
        draft.board(f"block.{n}", PLY, (x - 9, 0, 0), (x + 9, depth, 600), grain="z", role="side")
    draft.board("shelf", PLY, (0, 0, 600), (length, depth, 618), grain="x", role="shelf")
    for n, y in enumerate(strips):
        # above, where no block is in its way
        draft.board(f"strip.{n}", PLY, (0, y, 618), (length, y + 18, 618 + high), grain="x", role="strip")
        draft.join("shelf", f"strip.{n}", butt(screws=0, glued=True))
    if back:
        draft.board("back", PLY, (0, depth, 300), (length, depth + 18, 900), grain="z", role="back")
        draft.join("back", "shelf", butt(screws=0, glued=True))
    draft.load("shelf", "30 kg/m")
    piece = draft.done()
    piece = piece.without_loose
    touching = light_contacts(piece)
    found = assess(piece, touching.contacts, touching.support.grounded)
    return next(b for b in found.boards if b.label == "shelf")


def shares(board: Board) -> list[float]:
    plate = board.span.plate
    return [plate.front, plate.middle, plate.rear]


# the five cases, span over strip: the beam of the whole section said 1/6.1 to 1/2.8 of the truth
@pytest.mark.parametrize(
    ("span", "high"), [(464.0, 40.0), (600.0, 30.0), (879.0, 30.0), (1179.0, 40.0), (1600.0, 40.0)]
)
def test_the_rear_edge_over_one_strip_at_the_front(span: float, high: float) -> None:
    board = shelf_on([9.0, span + 9.0], span + 18.0, [0.0], high)
    solid = shelf_sags(span, 314.0, 18.0, BIRCH, (Glued(0.0, 18.0, high, ON_EDGE),))
    bare = shelf_sags(span, 314.0, 18.0, BIRCH)[1]
    for ours, truth in zip(shares(board), solid, strict=True):
        assert ours == pytest.approx(truth / bare, rel=0.05, abs=0.01)
    assert board.result is not None
    assert board.result.across_mm[2] == pytest.approx(board.result.final_mm, rel=1e-12)
    assert board.result.across_mm[0] < 0.5 * board.result.final_mm


def test_strips_front_and_rear_and_in_the_middle() -> None:
    for at in ([0.0, 296.0], [148.0], [60.0, 236.0]):
        board = shelf_on([9.0, 809.0], 818.0, at, 40.0)
        strips = tuple(Glued(y, 18.0, 40.0, ON_EDGE) for y in at)
        solid = shelf_sags(800.0, 314.0, 18.0, BIRCH, strips)
        bare = shelf_sags(800.0, 314.0, 18.0, BIRCH)[1]
        assert shares(board) == pytest.approx([s / bare for s in solid], rel=0.10)


@pytest.mark.parametrize(("span", "depth"), [(300.0, 300.0), (200.0, 150.0), (500.0, 300.0), (800.0, 300.0)])
def test_a_back_that_holds_the_rear_edge(span: float, depth: float) -> None:
    """Up to 1.20 of the bare sag by the elements over spans to 500 mm."""
    board = shelf_on([9.0, span + 9.0], span + 18.0, [], 0.0, depth=depth, back=True)
    assert board.span.backed == ("back",)
    solid = shelf_sags(span, depth, 18.0, BIRCH, held_rear=True)[0] / shelf_sags(span, depth, 18.0, BIRCH)[1]
    assert shares(board)[0] == pytest.approx(solid, rel=0.05)


@pytest.mark.parametrize(("span", "high", "at"), [(600.0, 30.0, [0.0]), (900.0, 40.0, [0.0, 296.0])])
def test_two_spans_against_elements(span: float, high: float, at: list[float]) -> None:
    """The worst edge of a board and its strips that run on over a middle support: at most 12 % too large."""
    board = shelf_on([9.0, span + 9.0, 2 * span + 9.0], 2 * span + 18.0, at, high)
    strips = tuple(Glued(y, 18.0, high, ON_EDGE) for y in at)
    solid = max(shelf_sags(span, 314.0, 18.0, BIRCH, strips, runs_on=True))
    truth = solid / max(shelf_sags(span, 314.0, 18.0, BIRCH, runs_on=True))
    assert 0.99 * truth < board.span.plate.most < 1.12 * truth


def test_stress_in_board_and_strip_against_elements() -> None:
    """q L² / 8 W of the bare board times the shares, against strains of the elements times the moduli."""
    board = shelf_on([9.0, 909.0], 918.0, [0.0], 40.0)
    solved = solve_shelf(900.0, 314.0, 18.0, BIRCH, (Glued(0.0, 18.0, 40.0, ON_EDGE),))
    bare = 1e-3 * 900.0**2 / 8 / (18.0**2 / 6)
    own = max(abs(solved.stretch(y, z)) for y in (0.0, 157.0, 314.0) for z in (0.0, 18.0)) * BIRCH.ex
    strip = abs(solved.stretch(0.0, -40.0)) * ON_EDGE.ex
    assert board.span.plate.board * bare == pytest.approx(own, rel=0.05)
    assert board.span.plate.strips[0] * bare == pytest.approx(strip, rel=0.05)


def test_places_without_moment() -> None:
    """Of a span clamped at one end 0.75, at both 0.577 (closed form, even load): never longer than that."""

    def station(at: float, turning: float = 0.0) -> Station:
        return Station(at, (), True, turning, "")

    two = [station(0.0), station(800.0)]
    assert between_zero_moments(two, 800.0, 1e9) == 800.0
    clamped = [station(0.0, 1e15), station(800.0)]
    assert between_zero_moments(clamped, 800.0, 1e9) <= 0.7501 * 800
    both = [station(0.0, 1e15), station(800.0, 1e15)]
    assert between_zero_moments(both, 800.0, 1e9) <= 0.577 * 800
    assert between_zero_moments([*two, station(1600.0)], 1600.0, 1e9) <= 0.75 * 800
    assert between_zero_moments([station(300.0), station(800.0)], 1500.0, 1e9) == 1400.0


def bookcase(**values: float) -> tuple[Piece, list[Board]]:
    piece = find_recipe("panel_bookcase")(**values)
    return piece, [b for b in try_piece(piece, Demands()).boards if b.label.startswith("shelf")]


def test_the_bookcase_with_a_strip_under_the_front_alone() -> None:
    """2.4 m wide: elements leave 0.77 to 0.78 of the bare sag at the rear edge over a strip 30 mm high.

    Those ends turn freely; here housings hold them a little, which shortens the plate.
    """
    piece, boards = bookcase(width=2400.0)
    stripped = try_piece(stiffened(piece, boards, 30.0, (FRONT,)), Demands()).boards
    share = [b.span.plate.most for b in stripped if b.label.startswith("shelf")]
    assert all(0.77 < one < 0.84 for one in share)


def test_strips_wider_than_their_board_are_refused() -> None:
    piece, boards = bookcase(width=2400.0)
    with pytest.raises(
        InputError, match=r"edge strips under shelf.* must be no wider together than the board"
    ):
        stiffened(piece, boards, 30.0, (FRONT, REAR) * 20)
    wide = Rib(50.0, 30.0, Sheet(120.0, 1e4, 1e4, 600.0))
    with pytest.raises(
        InputError, match=r"width of a strip = 120 mm: must be at most 100 mm, the depth of its"
    ):
        plate_sag(800.0, 100.0, Sheet(18.0, 1e4, 1e4, 600.0), (wide,))


def test_report_and_message_say_the_worst_edge(capsys: pytest.CaptureFixture[str]) -> None:
    from furnigen.cli.main import main

    main(["check", "panel_bookcase", "width=2400", "--only", "sag", "--why", "--all"])
    out = " ".join(capsys.readouterr().out.split())
    assert "mm at the front" in out
    assert "0.00 mm at the rear: the worst counts" in out
