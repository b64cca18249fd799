"""A board with a bull-nosed edge: closed forms against kernel, gmsh and mesh, and the joints it takes."""

from __future__ import annotations

import doctest
from math import acos, pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.GeomAbs import GeomAbs_Cylinder
from proving import PLY, prove

from furnigen import (
    Draft,
    GeometryError,
    InputError,
    Pose,
    bullnose,
    butt,
    dowelled,
    find_stock,
    housing,
    mitre,
    rabbet,
    tenon,
)
from furnigen.cutting.cut_table import piece_cutlist_csv
from furnigen.kernel.measure import measure
from furnigen.kernel.shapes import faces_in
from furnigen.kernel.solids import solid
from furnigen.mesh.light_mesh import light_mesh
from furnigen.mockup.make import MockupOptions, make_mockup
from furnigen.mockup.printer import Printer
from furnigen.mockup.scale import read_scale
from furnigen.parts.cuts import BoxCut
from furnigen.parts.forms import nosed_board
from furnigen.parts.part import Part, canonical, mirror_key
from furnigen.parts.volume.moments import centroid_mm, volume_mm3
from furnigen.piece.description import Piece
from furnigen.pipeline.build import build

OAK = find_stock("oak-panel-18@18")
T = SIDE = 18.0
HALF_CIRCLE = pi * 9**2 / 2
"""Of a nosing 18 mm thick (mm²)."""

sizes = st.tuples(st.floats(20, 1200), st.floats(40, 500), st.floats(4, 25))


def part(form, *cuts) -> Part:
    return Part("shelf", form, OAK, tuple(cuts))


def test_a_nosing_by_hand():
    """100 x 50 x 20 mm: (40 x 20 + pi 10² / 2) x 100, and a half circle's centroid at 4 r / (3 pi)."""
    board = bullnose(100, 50, 20)
    half = pi * 100 / 2
    assert board.volume_mm3 == pytest.approx((800 + half) * 100)
    across = (800 * 30 + half * (10 - 40 / (3 * pi))) / (800 + half)
    assert board.centroid_mm == pytest.approx((50, across, 10))
    assert (board.kind, board.blank_mm, board.radius) == ("bull-nosed board", (100, 50, 20), 10)


@settings(max_examples=20, deadline=None)
@given(sizes)
def test_solid_mesh_and_closed_form_agree(size):
    board = bullnose(*size)
    shape = solid(part(board))
    found = measure(shape)
    assert found.volume_mm3 == pytest.approx(board.volume_mm3, rel=1e-9)
    assert found.centroid_mm == pytest.approx(board.centroid_mm, abs=1e-5)
    round_faces = [f for f in faces_in(shape) if BRepAdaptor_Surface(f).GetType() == GeomAbs_Cylinder]
    assert len(faces_in(shape)) == 6
    assert [BRepAdaptor_Surface(f).Cylinder().Radius() for f in round_faces] == [pytest.approx(board.radius)]
    mesh = light_mesh(part(board), 0.05)
    assert np.ptp(mesh.vertices, axis=0) == pytest.approx(board.blank_mm)
    a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
    drawn = float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)
    # chords 0.05 mm off the arc at most
    assert (
        board.volume_mm3 - 0.05 * pi * board.radius * board.length <= drawn <= board.volume_mm3 * (1 + 1e-12)
    )


@settings(max_examples=30, deadline=None)
@given(st.floats(-180, 180), st.floats(-180, 180), st.tuples(*[st.floats(-1, 1)] * 3))
def test_its_bounds_are_those_of_its_points(a, b, origin):
    """Against its section taken as a fine polygon."""
    board = bullnose(300, 90, 20)
    pose = Pose.turned("z", a, origin) @ Pose.turned("x", b)
    turn = np.linspace(pi / 2, 3 * pi / 2, 4001)
    y, z = np.append(10 + 10 * np.cos(turn), [90, 90]), np.append(10 + 10 * np.sin(turn), [0, 20])
    points = np.array([pose.apply((x, u, v)) for x in (0.0, 300.0) for u, v in zip(y, z, strict=True)])
    box = board.bounds(pose)
    assert box.lo == pytest.approx(points.min(axis=0), abs=1e-4)
    assert box.hi == pytest.approx(points.max(axis=0), abs=1e-4)


@settings(max_examples=25, deadline=None)
@given(st.floats(-20, 280), st.floats(-20, 80), st.floats(-5, 19), st.tuples(*[st.floats(2, 120)] * 3))
def test_square_cuts_anywhere_have_a_closed_form(x, y, z, size):
    cut = BoxCut(Pose.at(x, y, z), size)
    one = part(bullnose(300, 90, 20), cut)
    try:
        found = measure(solid(one))
    except GeometryError:  # it leaves two pieces, or nothing
        return
    assert volume_mm3(one) == pytest.approx(found.volume_mm3, rel=1e-8)
    assert centroid_mm(one) == pytest.approx(found.centroid_mm, abs=1e-4)


def test_end_for_end_is_one_part_front_to_back_is_not():
    board = bullnose(300, 90, 20)
    left = BoxCut(Pose.at(0.0, 40.0, 0.0), (8.0, 20.0, 20.0))
    right = BoxCut(Pose.at(292.0, 40.0, 0.0), (8.0, 20.0, 20.0))
    nearer = BoxCut(Pose.at(0.0, 30.0, 0.0), (8.0, 20.0, 20.0))
    assert canonical(board, (left,))[0] == canonical(board, (right,))[0] != canonical(board, (nearer,))[0]
    # alike on both faces, its mirror image is itself; a notch in one face makes it handed
    assert mirror_key(board, (left,)) == canonical(board, (left,))[0]
    sunk = BoxCut(Pose.at(0.0, 40.0, 12.0), (8.0, 20.0, 8.0))
    assert mirror_key(board, (sunk,)) != canonical(board, (sunk,))[0]


def test_sections_by_hand():
    """Thickness 20: a half circle of radius 10 has pi r⁴ / 8 about the middle of the board."""
    board = bullnose(1000, 200, 20)
    flat, nose = 190 * 20**3 / 12, pi * 10**4 / 8
    assert board.bending_share(0) * 200 * 20**3 / 12 == pytest.approx(flat + nose)
    standing = board.column_section(500.0, (1.0, 0.0, 0.0))
    assert standing.area == pytest.approx(190 * 20 + pi * 50)
    assert (standing.least_i, standing.least_w) == pytest.approx((flat + nose, (flat + nose) / 10))
    # the other way, summed over thin strips across the width
    y = (np.arange(200_000) + 0.5) / 1000
    high = np.where(y < 10, 2 * np.sqrt(np.maximum(0, 100 - (y - 10) ** 2)), 20.0)
    area = high.sum() / 1000
    middle = (high * y).sum() / 1000 / area
    assert standing.most_i == pytest.approx((high * (y - middle) ** 2).sum() / 1000, rel=1e-6)


def bay(front: float = 0.0, stock=OAK) -> Draft:
    """A nosed shelf between two sides, its nosing `front` mm before their front edges."""
    d = Draft("bay")
    d.board("left", PLY, (0, 0, 0), (SIDE, 300, 400), grain="z")
    d.board("right", PLY, (618, 0, 0), (636, 300, 400), grain="z")
    d.place("shelf", bullnose(600, 300 + front, T), stock, Pose.at(SIDE, -front, 100.0))
    return d


def test_a_housing_stops_behind_the_nosing():
    d = bay()
    for side in ("left", "right"):
        with pytest.raises(InputError, match=r"shaped edge of shelf.* 9\.0 mm or more back"):
            d.join(side, "shelf", housing())
        d.join(side, "shelf", housing(stop=12.0))
    p = prove(d)
    assert p.size("shelf")[0] == 612.0
    # the notch takes the nosing and the 3.1 mm behind it off both ends, as far as they enter
    assert p.removed("shelf") == pytest.approx(2 * 6 * (HALF_CIRCLE + 3.1 * T))
    assert {p.part(side).hand for side in ("left", "right")} == {"left", "right"}


def test_a_nosing_that_stands_out_in_front_takes_a_through_housing():
    p = prove_joined(bay(front=15.0), housing())
    # all that grew and has no side beside it is cut off again
    assert p.removed("shelf") == pytest.approx(2 * 6 * (HALF_CIRCLE + 6 * T))


def prove_joined(d: Draft, joint):
    for side in ("left", "right"):
        d.join(side, "shelf", joint)
    return prove(d)


@pytest.mark.parametrize("joint", [tenon(), dowelled(), butt()])
def test_joints_of_its_ends(joint):
    prove_joined(bay(), joint)


def test_joints_that_need_square_edges_are_refused():
    d = Draft("bay")
    d.place("shelf", bullnose(600, 300, T), OAK, Pose())
    d.board("back", PLY, (0, 282, T), (600, 300, 200), grain="x")
    with pytest.raises(InputError, match="boards with square edges can be mitred"):
        d.join("shelf", "back", mitre())
    d.board("front", PLY, (0, -18, 0), (600, 0, 200), grain="x")
    with pytest.raises(InputError, match="do not meet"):
        d.join("front", "shelf", butt())


def test_a_back_goes_into_a_rabbet_behind_the_nosing():
    d = Draft("bay", fit_mm=0.0)
    d.place("shelf", bullnose(600, 300, T), OAK, Pose())
    d.board("back", PLY, (0, 282, T), (600, 300, 200), grain="x")
    d.join("shelf", "back", rabbet(depth=6))
    assert prove(d).removed("shelf") == pytest.approx(600 * 18 * 6)


def test_a_divider_is_housed_into_a_nosed_shelf():
    """The groove stops where the divider does, or runs out through the nosing where that is asked for."""

    def grooved(joint):
        d = Draft("bay")
        d.place("shelf", bullnose(600, 300, T), OAK, Pose())
        d.board("divider", PLY, (291, 10, T), (309, 300, 300), grain="z")
        d.join("shelf", "divider", joint)
        return prove(d)

    assert grooved(housing()).removed("shelf") == pytest.approx(290.1 * 6 * 18.2)
    p = grooved(housing(stop=0))
    # behind the nosing a rectangle 6 mm deep; in it half of a circle's segment 6 mm high (drop 3 mm)
    segment = 9**2 * acos(3 / 9) - 3 * sqrt(9**2 - 3**2)
    assert p.removed("shelf") == pytest.approx(((300 - 9) * 6 + segment / 2) * 18.2)


def whole() -> Piece:
    d = bay(stock=PLY)
    for side in ("left", "right"):
        d.join(side, "shelf", housing(stop=12.0))
    return d.done()


def test_a_piece_with_it_passes_its_checks_and_is_listed():
    """Fit, overlaps, STEP read back, sag and the order of assembly among them."""
    made = build(whole()).make(("step", "stl", "3mf", "glb"))
    assert not [f for f in made.findings if f.status == "fail"]
    rows = piece_cutlist_csv(whole()).decode().splitlines()
    assert any("bull-nosed board" in row and "612.0,300.0,18.0" in row for row in rows)


def test_it_sags_a_little_more_than_a_plain_board():
    """By the nosing's share of the second moment: 9 of 300 mm count with 3 pi / 16."""
    less = bullnose(600, 300, T).bending_share(0)
    assert less == pytest.approx((291 + 9 * 3 * pi / 16) / 300)


@pytest.mark.parametrize("way", ["kit", "whole"])
def test_it_is_printed(way):
    found = make_mockup(
        whole(), MockupOptions(read_scale("1:10"), Printer((220, 220, 250)), (way,), ("3mf",))
    )
    assert not [f for f in found.findings if f.status == "fail"]


@pytest.mark.parametrize(("size", "says"), [((600, 26, T), "at least 27 mm"), ((0.05, 300, T), "0.1 mm")])
def test_sizes_that_are_none_are_refused(size, says):
    with pytest.raises(InputError, match=says):
        bullnose(*size)


def test_its_example_runs():
    assert doctest.testmod(nosed_board).failed == 0
