"""Boards put together from their faces are the solids that CadQuery's booleans cut, and trimesh measures."""

from __future__ import annotations

import cadquery as cq
import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from kernel_pieces import is_closed_manifold, part
from OCP.BRepCheck import BRepCheck_Analyzer

from furnigen.core.errors import GeometryError, InputError
from furnigen.core.pose import Pose
from furnigen.kernel.flat_solid import flat_solid
from furnigen.kernel.measure import measure
from furnigen.kernel.solids import solid
from furnigen.mesh.closed_form_mesh import flat_mesh
from furnigen.parts.cuts import Bore, BoxCut
from furnigen.parts.flat_faces import Polyhedron
from furnigen.parts.forms.leg_lean import STEEPEST_DEGREES
from furnigen.parts.forms.prism import Prism, mitred, rectangle, ring
from furnigen.parts.forms.square_leg import SquareLeg
from furnigen.parts.polyhedron import polyhedron_of

SIZE = (400.0, 120.0, 18.0)
BOARD = rectangle(*SIZE)


def tenths(lo: int, hi: int):
    """Sizes in tenths of a millimetre: what is closer than a ten thousandth counts as one."""
    return st.integers(10 * lo, 10 * hi).map(lambda n: n / 10)


def between(size: float):
    """Both ends along one axis: inside, at the face, or beyond."""
    ends = st.one_of(tenths(-5, round(size) + 5), st.sampled_from([0.0, size]))
    return st.tuples(ends, ends).map(sorted).filter(lambda ends: ends[1] - ends[0] >= 0.1)


@st.composite
def box_cuts(draw) -> BoxCut:
    spans = [draw(between(size)) for size in SIZE]
    return BoxCut(Pose.at(*(a for a, _ in spans)), tuple(b - a for a, b in spans))


def taken_in(cuts: tuple[BoxCut, ...]) -> Polyhedron:
    drawn = polyhedron_of(BOARD, cuts)
    assert drawn is not None
    assert drawn[1] == ()
    return drawn[0]


def proved(polyhedron: Polyhedron, volume: float) -> None:
    """Kernel and mesh both call it sound, and agree with a volume found elsewhere."""
    made = flat_solid(polyhedron)
    assert BRepCheck_Analyzer(made).IsValid()
    measured = measure(made)
    assert measured.volume_mm3 == pytest.approx(volume, rel=1e-9)
    vertices, faces = flat_mesh(polyhedron)
    assert is_closed_manifold(faces)
    mesh = trimesh.Trimesh(vertices, faces, process=False)
    assert mesh.is_winding_consistent
    assert mesh.volume == pytest.approx(volume, rel=1e-9)
    assert mesh.area_faces.min() > 1e-9
    assert np.allclose(mesh.bounds[0], measured.box.lo, atol=1e-6)
    assert np.allclose(mesh.center_mass, measured.centroid_mm, atol=1e-6)
    # a flat face of n corners in all, with h openings, takes n + 2 h - 2 triangles and no fewer
    least = sum(
        sum(len(loop) for loop in face.loops) + 2 * (len(face.loops) - 1) - 2 for face in polyhedron.faces
    )
    assert len(faces) == least


def cut_by_cadquery(cuts) -> cq.Shape:
    tools = (cq.Solid.makeBox(*c.size, pnt=cq.Vector(*c.pose.origin)) for c in cuts)
    return cq.Solid.makeBox(*SIZE).cut(*tools)


def touches_itself(shape: cq.Shape) -> bool:
    """Whether an edge has more than two faces."""
    vertices, faces = shape.tessellate(0.1)
    mesh = trimesh.Trimesh([v.toTuple() for v in vertices], faces, process=True)
    return bool((np.unique(mesh.edges_sorted, axis=0, return_counts=True)[1] > 2).any())


@settings(max_examples=60, deadline=None)
@given(st.lists(box_cuts(), min_size=1, max_size=4))
def test_any_square_cuts_against_booleans_of_cadquery(cuts):
    left = cut_by_cadquery(cuts)
    drawn = polyhedron_of(BOARD, tuple(cuts))
    assert drawn is not None
    polyhedron, rest = drawn
    if not rest:
        assert len(left.Solids()) == 1
        proved(polyhedron, left.Volume())
    else:
        # left to the boolean, and it is no single skin: in pieces, gone, hollow inside, or edge on edge
        proved(polyhedron, BOARD.volume_mm3)
        assert len(left.Solids()) != 1 or len(left.Shells()) != 1 or touches_itself(left)


GROOVE = BoxCut(Pose.at(100, 0, 12), (18, 120, 6))


@pytest.mark.parametrize(
    ("cuts", "faces"),
    [
        ((GROOVE,), 10),
        ((BoxCut(Pose.at(100, 20, 12), (18, 100, 6)),), 10),  # stopped
        ((BoxCut(Pose.at(100, 20, 0), (30, 30, 18)),), 10),  # right through: two faces with an opening
        ((BoxCut(Pose.at(100, 20, 10), (30, 30, 8)),), 11),  # a mortise
        ((GROOVE, BoxCut(Pose.at(0, 0, 12), (400, 8, 6))), 12),  # a rabbet as deep, across it: two walls
        ((GROOVE, BoxCut(Pose.at(0, 0, 10), (400, 8, 8))), 12),  # a deeper one: two floors, one wall
        ((GROOVE, BoxCut(Pose.at(118, 0, 12), (9, 120, 6))), 10),  # two that are one
    ],
)
def test_faces_are_whole(cuts, faces):
    polyhedron = taken_in(cuts)
    assert len(polyhedron.faces) == faces
    proved(polyhedron, cut_by_cadquery(cuts).Volume())


def test_sizes_that_count_as_one_make_no_sliver():
    beside = BoxCut(Pose.at(118 + 3e-5, 0, 12 - 3e-5), (9, 120, 6))
    assert len(taken_in((GROOVE, beside)).faces) == 10


def test_windows_of_a_ring_and_cuts_in_it_are_taken_in():
    frame = ring(400, 250, 18, 40)
    lap = BoxCut(Pose.at(0, 0, 9), (40, 250, 9))
    drawn = polyhedron_of(frame, (lap,))
    assert drawn is not None
    assert drawn[1] == ()
    proved(drawn[0], frame.volume_mm3 - 40 * 250 * 9)


LEANS = st.floats(-STEEPEST_DEGREES, STEEPEST_DEGREES)


@settings(max_examples=80, deadline=None)
@given(tenths(20, 900), tenths(1, 150), tenths(1, 150), LEANS, LEANS)
def test_any_square_leg_is_sound_or_refused(height, top, foot, lean_x, lean_y):
    try:
        leg = SquareLeg(height, top, foot, lean_x, lean_y)
    except InputError:
        return
    drawn = polyhedron_of(leg)
    assert drawn is not None
    proved(drawn[0], leg.volume_mm3)


def test_a_mitred_board():
    drawn = polyhedron_of(mitred(400, 60, 18))
    assert drawn is not None
    proved(drawn[0], mitred(400, 60, 18).volume_mm3)


def test_an_arrow_is_cut_into_triangles_that_stay_within_it():
    arrow = Prism(100, 100, 18, ((0, 0), (100, 50), (0, 100), (40, 50)))
    drawn = polyhedron_of(arrow)
    assert drawn is not None
    proved(drawn[0], arrow.volume_mm3)


HOLE = Bore((300.0, 60.0, 18.0), (0.0, 0.0, -1.0), 8.0, 10.0)
ASKEW = BoxCut(Pose.turned("z", 10.0, (100, 0, 12)), (18, 300, 6))


@pytest.mark.parametrize(
    ("form", "cuts", "rest"),
    [
        (BOARD, (GROOVE, HOLE), (HOLE,)),
        (BOARD, (ASKEW, GROOVE), (ASKEW,)),
        (mitred(400, 120, 18), (GROOVE,), (GROOVE,)),
    ],
)
def test_what_has_no_place_on_the_grid_is_left_to_the_boolean(form, cuts, rest):
    drawn = polyhedron_of(form, cuts)
    assert drawn is not None
    assert drawn[1] == rest
    tools = BoxCut(Pose.at(-9, -9, 12), (9, 9, 9))  # beside the board: changes nothing
    assert measure(solid(part(form, cuts=cuts))).volume_mm3 == pytest.approx(
        measure(solid(part(form, cuts=(*cuts, tools)))).volume_mm3, rel=1e-9
    )


@pytest.mark.parametrize(
    ("cuts", "said"),
    [
        ((BoxCut(Pose.at(100, 0, -1), (18, 120, 20)),), "its cuts leave 2 pieces"),
        ((BoxCut(Pose.at(-1, -1, -1), (402, 122, 20)),), "its cuts leave nothing"),
    ],
)
def test_a_board_cut_in_two_or_away_is_refused(cuts, said):
    with pytest.raises(GeometryError, match=f"part 'part': {said}"):
        solid(part(BOARD, cuts=cuts))
