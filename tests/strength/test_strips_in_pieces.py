"""Edge strips that stop at the uprights of a board over several of them."""

from __future__ import annotations

import pytest

from furnigen.catalogue.loads import parse_load
from furnigen.catalogue.materials import find_material
from furnigen.catalogue.sag_limits import find_limit
from furnigen.catalogue.stock import find_stock
from furnigen.core.errors import InputError
from furnigen.drafting.draft import Draft
from furnigen.joints.fastened import butt, dowelled
from furnigen.mesh.light_mesh import light_contacts
from furnigen.piece.description import Piece
from furnigen.strength.assess import Strength, assess
from furnigen.strength.formulas.section import rectangular_section
from furnigen.strength.members.shelf import Shelf, check_shelves
from furnigen.strength.model.plates import BOARD_ALONE, PlateShares
from furnigen.strength.solver.beam import Beam, BeamSupport, PointLoad, SpreadLoad, solve_beams

PLY = find_stock("birch-ply-18@18")


def assessed(piece: Piece) -> Strength:
    piece = piece.without_loose
    touching = light_contacts(piece)
    return assess(piece, touching.contacts, touching.support.grounded)


def result_of(beam: Beam):
    (result,) = solve_beams([beam])
    assert result is not None
    return result


# -- the beam ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("neck", [0.0, 1e-9, 1e-7, 1e-5, 1.0])
def test_two_spans_with_a_soft_middle_by_hand(neck: float) -> None:
    """Each span turns by w L³/24 EI - M L/3 EI at the middle, which is neck M / 2: so M is w L²/8 over
    1 + 3 EI neck / 2 L. From w L²/8 with none, as of a continuous beam, to nothing, as of two single ones."""
    length, ei, w = 900.0, 1e9, 0.3
    beam = Beam(
        2 * length,
        ei,
        (BeamSupport(0.0), BeamSupport(length, neck=neck), BeamSupport(2 * length)),
        (SpreadLoad(0.0, 2 * length, w),),
    )
    result = result_of(beam)
    m = w * length**2 / 8 / (1 + 3 * ei * neck / (2 * length))
    assert -result.moment_least == pytest.approx(m, rel=1e-9, abs=1e-6)
    assert result.reactions[0] == pytest.approx(w * length / 2 - m / length, rel=1e-9)
    # the sag at the middle of a span: 5 w L⁴/384 EI - M L²/16 EI
    x = length / 2
    middle = min(result.line, key=lambda p: abs(p[0] - x))
    if abs(middle[0] - x) < 1e-6:
        assert middle[1] == pytest.approx(
            5 * w * length**4 / (384 * ei) - m * length**2 / (16 * ei), rel=1e-9
        )


def test_a_soft_board_sags_between_a_whole_one_and_single_spans() -> None:
    spans = (BeamSupport(0.0), BeamSupport(700.0), BeamSupport(1300.0), BeamSupport(2100.0))
    load = (SpreadLoad(0.0, 2100.0, 0.4),)
    point = (PointLoad(350.0, 80.0),)
    whole = result_of(Beam(2100.0, 2e9, spans, load, point))
    soft = result_of(Beam(2100.0, 2e9, tuple(BeamSupport(s.at, neck=2e-7) for s in spans), load, point))
    hinged = result_of(
        Beam(700.0, 2e9, (BeamSupport(0.0), BeamSupport(700.0)), (SpreadLoad(0, 700, 0.4),), point)
    )
    assert whole.sag < soft.sag < hinged.sag
    assert sum(soft.reactions) == pytest.approx(0.4 * 2100 + 80, rel=1e-12)


def test_softness_must_make_sense() -> None:
    with pytest.raises(InputError, match="softness over a support = -1: must be zero or more"):
        Beam(100.0, 1.0, (BeamSupport(0.0), BeamSupport(50.0, neck=-1.0), BeamSupport(100.0)))


# -- the piece ----------------------------------------------------------------------------------------


def bays(
    pieces: list[tuple[float, float]], *, glued: bool = True, height: float = 40.0, deep: float = 300.0
) -> Piece:
    """A shelf over three uprights 18 mm thick, 800 mm apart, with strips from .. to under both its edges."""
    draft = Draft("bays", fit_mm=0.0)
    for n, x in enumerate((0.0, 800.0, 1600.0)):
        draft.board(f"upright.{n}", PLY, (x, 0, 0), (x + 18, 300, 600), grain="z", role="side")
    draft.board("shelf", PLY, (0, 0, 600), (1618, 300, 618), role="shelf")
    for n in range(3):
        draft.join("shelf", f"upright.{n}", dowelled())
    for n, (a, b) in enumerate(pieces):
        for edge, y in (("front", 0.0), ("rear", 282.0)):
            label = f"strip.{edge}.{n}"
            draft.board(label, PLY, (a, y, 600 - height), (b, y + 18, 600), grain="x", role="edge strip")
            draft.join("shelf", label, butt(screws=0, glued=True) if glued else butt())
    draft.load("shelf", "40 kg/m")
    return draft.done()


def board_of(piece: Piece):
    return next(b for b in assessed(piece).boards if b.label == "shelf")


BETWEEN = [(18.0, 800.0), (818.0, 1600.0)]


def test_a_strip_in_pieces_stiffens_a_board_over_three_uprights() -> None:
    plain, stripped = board_of(bays([])), board_of(bays(BETWEEN))
    assert stripped.span.others == ("strip.front.0", "strip.front.1", "strip.rear.0", "strip.rear.1")
    assert stripped.result is not None
    assert plain.result is not None
    assert stripped.result.first_mm < 0.6 * plain.result.first_mm
    # bare over the upright and half the strip's height on either side
    softer = (1.0 - stripped.span.plate.most) / stripped.span.section.bending
    necks = [s.neck for s in stripped.span.stations]
    assert necks[0] == necks[-1] == 0.0
    assert sum(necks) == pytest.approx((18 + 40) * softer, rel=1e-9)
    assert stripped.span.over_supports == plain.span.plate == BOARD_ALONE
    assert stripped.span.section == plain.span.section
    assert {s.neck for s in plain.span.stations} == {0.0}


def test_over_the_upright_the_board_alone_bears_the_bending() -> None:
    """The hogging moment on the bare board, 6 M / b t²; along its spans the strips help."""
    wood = find_material("plywood-birch-18")
    bare = rectangular_section(300.0, 12.0, wood.moe_mpa)
    supports = (BeamSupport(0.0), BeamSupport(800.0, neck=1e-9), BeamSupport(1600.0))
    shelf = Shelf(
        label="shelf",
        length=1600.0,
        depth=300.0,
        section=bare,
        materials=(wood, wood),
        supports=supports,
        load=parse_load("40 kg/m"),
        own_kg_m=0.0,
        limit=find_limit("visible"),
        plate=PlateShares(0.2, 0.2, 0.2, 0.2, 0.1, (0.1,)),
    )
    (result,) = check_shelves([shelf])
    assert result is not None
    w = 40 * 9.80665 / 1000
    hog = w * 800**2 / 8 / (1 + 3 * 5 * bare.bending * 1e-9 / (2 * 800))
    assert result.stress_at == pytest.approx(800.0)
    assert result.stress_mpa == pytest.approx(6 * hog / (300 * 12**2), rel=1e-9)


@pytest.mark.parametrize(
    "pieces",
    [
        [(18.0, 400.0), (440.0, 1600.0)],  # parted where nothing carries the shelf
        [(18.0, 700.0)],  # too short by far
    ],
)
def test_a_strip_that_stops_elsewhere_is_no_stiffener(pieces) -> None:
    board = board_of(bays(pieces))
    assert board.span.others == ()
    assert all(s.neck == 0.0 for s in board.span.stations)


def test_screwed_strips_do_not_count() -> None:
    assert board_of(bays(BETWEEN, glued=False)).span.others == ()
