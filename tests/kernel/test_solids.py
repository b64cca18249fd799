"""Solids of the kernel against the closed forms in furnigen.parts, and against hand-computed cuts."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from kernel_pieces import board, glaze_case, part
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepAlgoAPI import BRepAlgoAPI_Section
from OCP.GeomAbs import GeomAbs_Cone, GeomAbs_Cylinder, GeomAbs_Ellipse, GeomAbs_Plane
from OCP.gp import gp_Dir, gp_Pln, gp_Pnt
from OCP.TopAbs import TopAbs_EDGE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS

from furnigen.core.errors import GeometryError, InputError
from furnigen.core.pose import Pose
from furnigen.kernel.measure import measure
from furnigen.kernel.shapes import faces_in
from furnigen.kernel.solids import solid, solids
from furnigen.parts.cuts import Bore, BoxCut
from furnigen.parts.forms.form import Form
from furnigen.parts.forms.leg_lean import STEEPEST_DEGREES, resultant_degrees, sightline_degrees
from furnigen.parts.forms.prism import Prism, leaning, mitred, ring
from furnigen.parts.forms.rod import Rod
from furnigen.parts.forms.square_leg import SquareLeg
from furnigen.parts.forms.turned_leg import TurnedLeg

RELATIVE = 1e-9
"""The kernel integrates cones numerically; measured, it is right to about 1e-11."""
NEAR_MM = 1e-6
"""Positions: ten times the kernel's own resolution of 1e-7 mm."""

sizes = st.floats(20, 900)
thicknesses = st.floats(3, 60)


@st.composite
def shaped_boards(draw: st.DrawFn) -> Prism:
    """A star-shaped outline, concave as a rule, with a square window about its middle in half of them."""
    n = draw(st.integers(3, 9))
    radii = draw(st.lists(st.floats(40, 200), min_size=n, max_size=n))
    # corners less than half a turn apart keep the middle inside
    corners = tuple(
        (200 + r * math.cos(2 * math.pi * k / n), 200 + r * math.sin(2 * math.pi * k / n))
        for k, r in enumerate(radii)
    )
    half = draw(st.sampled_from([0.0, 5.0]))
    square = (
        (200 - half, 200 - half),
        (200 + half, 200 - half),
        (200 + half, 200 + half),
        (200 - half, 200 + half),
    )
    return Prism(400, 400, draw(thicknesses), corners, (square,) if half else ())


leans = st.floats(-20, 20).map(lambda lean: round(lean, 2))
turned_legs = st.builds(TurnedLeg, st.floats(60, 900), st.floats(15, 80), st.floats(8, 80), st.floats(0, 30))
square_legs = st.builds(SquareLeg, st.floats(60, 900), st.floats(15, 80), st.floats(8, 80), leans, leans)
forms = st.one_of(
    st.builds(Prism, sizes, sizes, thicknesses),
    shaped_boards(),
    st.builds(Rod, sizes, st.floats(4, 60)),
    turned_legs,
    square_legs,
)


def surface_kinds(shape: object) -> list[object]:
    return sorted((BRepAdaptor_Surface(f).GetType() for f in faces_in(shape)), key=lambda k: k.value)


@settings(max_examples=60, deadline=None)
@given(form=forms)
def test_the_kernel_and_the_closed_form_agree(form: Form) -> None:
    found = measure(solid(part(form)))
    assert found.volume_mm3 == pytest.approx(form.volume_mm3, rel=RELATIVE)
    assert found.centroid_mm == pytest.approx(form.centroid_mm, abs=NEAR_MM)
    expected = form.bounds()
    assert found.box.lo == pytest.approx(expected.lo, abs=NEAR_MM)
    assert found.box.hi == pytest.approx(expected.hi, abs=NEAR_MM)
    assert found.flat == form.flat


@pytest.mark.parametrize(
    ("form", "faces"),
    [
        (Prism(800, 300, 18), [GeomAbs_Plane] * 6),
        (ring(800, 300, 18, 40), [GeomAbs_Plane] * 10),
        (mitred(800, 60, 18), [GeomAbs_Plane] * 6),
        (leaning(900, 80, 20, -8), [GeomAbs_Plane] * 6),
        (SquareLeg(400, 45, 28, 8, 5), [GeomAbs_Plane] * 6),
        (Rod(500, 12), [GeomAbs_Plane] * 2 + [GeomAbs_Cylinder]),
        (TurnedLeg(400, 45, 28, 12), [GeomAbs_Plane] * 2 + [GeomAbs_Cone]),
        (TurnedLeg(400, 28, 45, 12), [GeomAbs_Plane] * 2 + [GeomAbs_Cone]),
        (TurnedLeg(400, 30, 30, 12), [GeomAbs_Plane] * 2 + [GeomAbs_Cylinder]),
        (TurnedLeg(400, 45, 28), [GeomAbs_Plane] * 2 + [GeomAbs_Cone]),
        (TurnedLeg(300, 60, 1, 35), [GeomAbs_Plane] * 2 + [GeomAbs_Cone]),  # trimmed close to the apex
    ],
    ids=lambda v: getattr(v, "kind", ""),
)
def test_faces_are_true_planes_cylinders_and_cones(form: Form, faces: list[object]) -> None:
    assert surface_kinds(solid(part(form))) == faces


def ellipse_of(edge: object) -> tuple[float, float, tuple[float, float, float]]:
    curve = BRepAdaptor_Curve(edge)
    assert curve.GetType() == GeomAbs_Ellipse
    ellipse = curve.Ellipse()
    centre = ellipse.Location()
    return ellipse.MajorRadius(), ellipse.MinorRadius(), (centre.X(), centre.Y(), centre.Z())


@settings(max_examples=15, deadline=None)
@given(
    leg=turned_legs.filter(lambda leg: leg.lean > 1 and abs(leg.top - leg.foot) > 1),
    share=st.floats(0.1, 0.9),
)
def test_level_sections_of_a_turned_leg_are_the_ellipses_of_conic_sections(
    leg: TurnedLeg, share: float
) -> None:
    """A plane tilted by t from square to the axis of a cone of half angle a cuts it in an ellipse of
    eccentricity sin t / cos a (textbook conic sections, from memory)."""
    z = share * leg.height
    section = BRepAlgoAPI_Section(solid(part(leg)), gp_Pln(gp_Pnt(0, 0, z), gp_Dir(0, 0, 1)))
    explorer = TopExp_Explorer(section.Shape(), TopAbs_EDGE)
    major, minor, centre = ellipse_of(TopoDS.Edge_s(explorer.Current()))
    along, across, at = leg.section(z)
    assert (major, minor) == pytest.approx((along, across), abs=NEAR_MM)
    assert centre == pytest.approx(at, abs=NEAR_MM)
    half_angle = math.atan((leg.top - leg.foot) / 2 / leg.axis_length)
    eccentricity = math.sqrt(1 - (minor / major) ** 2)
    assert eccentricity == pytest.approx(math.sin(math.radians(leg.lean)) / math.cos(half_angle), abs=1e-7)


@pytest.mark.parametrize(("rake", "splay"), [(5.0, 10.0), (12.0, 12.0), (0.0, 7.0), (18.0, 3.0)])
def test_a_turned_leg_stands_at_the_chair_makers_angles(rake: float, splay: float) -> None:
    """tan² R = tan² rake + tan² splay, tan S = tan splay / tan rake: seen from the side and from the
    front, the axis of the cone the kernel holds leans by rake and by splay."""
    leg = TurnedLeg(400, 45, 28, resultant_degrees(rake, splay))
    (side,) = [f for f in faces_in(solid(part(leg))) if BRepAdaptor_Surface(f).GetType() == GeomAbs_Cone]
    direction = BRepAdaptor_Surface(side).Cone().Axis().Direction()
    # plan angle from the front-back line (y) to the plane it leans in: turn +x onto it
    pose = Pose.turned("z", 90.0 - sightline_degrees(rake, splay))
    x, y, z = pose.turn((direction.X(), direction.Y(), direction.Z()))
    assert math.degrees(math.atan2(abs(y), abs(z))) == pytest.approx(rake, abs=1e-9)
    assert math.degrees(math.atan2(abs(x), abs(z))) == pytest.approx(splay, abs=1e-9)


@pytest.mark.parametrize(("lean_x", "lean_y"), [(8.0, 5.0), (-8.0, 5.0), (0.0, 12.0)])
def test_a_square_leg_leans_as_asked_in_either_view(lean_x: float, lean_y: float) -> None:
    """The middles of the level ends of an untapered leg lie on its axis."""
    leg = SquareLeg(400, 30, 30, lean_x, lean_y)
    ends = {}
    for face in faces_in(solid(part(leg))):
        plane = BRepAdaptor_Surface(face).Plane()
        if abs(plane.Axis().Direction().Z()) > 0.999999:
            corners = measure(face).box
            ends[round(corners.centre[2])] = corners.centre
    run = [foot - top for foot, top in zip(ends[0], ends[400], strict=True)]
    assert math.degrees(math.atan2(run[0], 400)) == pytest.approx(lean_x, abs=1e-6)
    assert math.degrees(math.atan2(run[1], 400)) == pytest.approx(lean_y, abs=1e-6)


def test_cuts_take_out_what_a_hand_computes() -> None:
    """300 x 100 x 18 board; a 20 x 100 x 6 housing; a 30 x 40 notch through a corner; two 8 mm holes,
    one 12 deep, one through with its tool standing out of both faces."""
    cuts = (
        BoxCut(Pose.at(50, 0, 12), (20, 100, 6), "housing"),
        BoxCut(Pose.at(270, 60, -1), (40, 50, 20), "notch"),
        Bore((150, 50, 18), (0, 0, -1), 8, 12),
        Bore((200, 50, -5), (0, 0, 1), 8, 40),
    )
    found = measure(solid(part(board(), cuts=cuts)))
    assert found.volume_mm3 == pytest.approx(
        300 * 100 * 18 - 20 * 100 * 6 - 30 * 40 * 18 - math.pi * 16 * (12 + 18), rel=1e-12
    )
    assert found.box.size == pytest.approx((300, 100, 18), abs=NEAR_MM)
    assert not found.flat


def test_crossing_cuts_are_taken_out_once() -> None:
    """Two crossing grooves 10 wide and 5 deep share 10 x 10 x 5."""
    cuts = (BoxCut(Pose.at(100, 0, 13), (10, 100, 5)), BoxCut(Pose.at(0, 45, 13), (300, 10, 5)))
    found = measure(solid(part(board(), cuts=cuts)))
    assert found.volume_mm3 == pytest.approx(
        300 * 100 * 18 - 10 * 100 * 5 - 300 * 10 * 5 + 10 * 10 * 5, rel=1e-12
    )


def test_a_turned_box_cut_follows_its_pose() -> None:
    """A box turned 45° with its edge on the face takes out a V groove: a triangle of height 10."""
    pose = Pose.turned("x", 45.0, (0, 50, 8))
    found = measure(solid(part(board(), cuts=(BoxCut(pose, (300, 30, 30), "V groove"),))))
    assert found.volume_mm3 == pytest.approx(300 * 100 * 18 - 300 * 10 * 10, rel=1e-12)


def test_a_part_cut_in_two_or_away_is_refused_by_name() -> None:
    saw = BoxCut(Pose.at(100, -1, -1), (3, 102, 20), "saw")
    with pytest.raises(GeometryError, match=r"part 'shelf': its cuts leave 2 pieces"):
        solid(part(board(), "shelf", (saw,)))
    gone = BoxCut(Pose.at(-1, -1, -1), (302, 102, 20), "gone")
    with pytest.raises(GeometryError, match=r"part 'shelf': its cuts leave nothing"):
        solid(part(board(), "shelf", (gone,)))


def test_what_the_kernel_throws_is_told_of_the_part() -> None:
    """It has an exception for each kind of refusal, and none of them is another's."""
    cut = BoxCut(Pose.turned("z", 10.0, (50, 50, 0)), (0.0, 10.0, 10.0))
    with pytest.raises(GeometryError, match="part 'shelf': "):
        solid(part(board(), "shelf", (cut,)))


@settings(max_examples=60, deadline=None)
@given(
    st.floats(20, 900),
    st.floats(1, 150),
    st.floats(1, 150),
    st.floats(-STEEPEST_DEGREES, STEEPEST_DEGREES),
)
def test_any_turned_leg_is_true_or_refused(height: float, top: float, foot: float, lean: float) -> None:
    try:
        leg = TurnedLeg(height, top, foot, lean)
    except InputError:
        return
    assert measure(solid(part(leg))).volume_mm3 == pytest.approx(leg.volume_mm3, rel=1e-6)


def test_an_outline_that_crosses_itself_is_refused_by_name() -> None:
    crossed = Prism(100, 100, 18, ((0, 0), (100, 0), (20, 60), (90, 60)))
    with pytest.raises(GeometryError, match=r"part 'bow'.*invalid"):
        solid(part(crossed, "bow"))


def test_solids_come_in_the_order_of_the_parts() -> None:
    piece = glaze_case()
    made = solids(piece)
    assert len(made) == len(piece.parts)
    for one, of in zip(made, piece.parts, strict=True):
        box = of.form.bounds()
        assert measure(one).box.size == pytest.approx(box.size, abs=NEAR_MM), of.name


def test_a_recipe_author_gets_a_cadquery_solid() -> None:
    shape = part(board()).to_cadquery()
    assert type(shape).__name__ == "Solid"
    assert type(shape).__module__.startswith("cadquery")
    assert shape.isValid()
    assert shape.Volume() == pytest.approx(300 * 100 * 18)
