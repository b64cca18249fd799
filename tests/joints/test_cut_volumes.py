"""Closed-form volume and centre of mass of cut parts, held against the kernel's own integration."""

from __future__ import annotations

from math import cos, pi, radians, sin, sqrt

import numpy as np
import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from furnigen.catalogue.stock import find_stock
from furnigen.core.errors import GeometryError
from furnigen.core.pose import Pose
from furnigen.kernel.measure import measure
from furnigen.kernel.solids import solid
from furnigen.mesh.light_mesh import light_mesh
from furnigen.parts.cuts import Bore, BoxCut, ProfileCut, Turned
from furnigen.parts.forms.prism import Prism, leaning, mitred, rectangle, ring
from furnigen.parts.forms.rod import Rod
from furnigen.parts.forms.square_leg import SquareLeg
from furnigen.parts.forms.turned_leg import TurnedLeg
from furnigen.parts.part import Part
from furnigen.parts.volume.moments import centroid_mm, volume_mm3
from furnigen.parts.volume.round_holes import crossed_volume

PLY = find_stock("birch-ply-18")


def held_against_the_kernel(form, *cuts, rel=1e-9):
    part = Part("thing", form, PLY, tuple(cuts))
    found = measure(solid(part))
    assert volume_mm3(part) == pytest.approx(found.volume_mm3, rel=rel)
    # the kernel integrates curved faces to about 1e-7
    assert centroid_mm(part) == pytest.approx(found.centroid_mm, abs=2e-5)
    return volume_mm3(part)


def volume_of(vertices, faces) -> float:
    """Volume within a closed mesh, by the divergence theorem (mm³)."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def tilted(degrees, x, y, z, size, axis="z"):
    return BoxCut(Pose.turned(axis, degrees, (x, y, z)), size, "housing")


sizes = st.floats(1.0, 60.0)


def degrees(most: float) -> st.SearchStrategy[float]:
    """Angles a maker could set: a tenth of a degree apart."""
    return st.integers(-10 * int(most), 10 * int(most)).map(lambda a: a / 10)


@settings(max_examples=25, deadline=None)
@given(degrees(80), st.floats(0, 300), st.floats(0, 60), st.floats(3, 15), sizes, sizes)
def test_housing_at_a_lean_in_boards_of_any_outline(degrees, x, y, z, along, across):
    cut = tilted(degrees, x, y, z, (along, across, 30.0))
    for form in (rectangle(400, 80, 18), mitred(400, 80, 18), leaning(400, 80, 18, 12)):
        held_against_the_kernel(form, cut)


@settings(max_examples=15, deadline=None)
@given(degrees(80), degrees(40), st.floats(5, 60))
def test_askew_boxes_that_overlap_each_other_and_square_ones(a, b, x):
    held_against_the_kernel(
        rectangle(200, 80, 18),
        BoxCut(Pose.at(40, 10, 9), (60, 50, 9), "housing"),
        tilted(a, x, 30, 6, (50, 20, 20)),
        tilted(b, x + 10, 20, 12, (60, 25, 20)),
    )


def test_askew_box_in_a_ring_with_a_window():
    held_against_the_kernel(ring(400, 300, 18, 50), tilted(30, 20, -10, 10, (30, 200, 20)))


@settings(max_examples=20, deadline=None)
@given(degrees(25), degrees(25), st.floats(3, 20))
def test_compound_bore_through_a_block(rake, splay, diameter):
    # the tool starts and ends outside the wood, so both ends are ellipses in the block's faces
    tx, ty = sin(radians(splay)), sin(radians(rake))
    d = (tx, ty, sqrt(1 - tx * tx - ty * ty))
    start = (60 - 40 * d[0], 60 - 40 * d[1], -40 * d[2])
    held_against_the_kernel(rectangle(120, 120, 30), Bore(start, d, diameter, 140.0, "bore"))


def test_blind_askew_bore_beside_a_housing_it_starts_in():
    d = (0.0, sin(radians(10)), -cos(radians(10)))
    held_against_the_kernel(
        rectangle(200, 80, 30),
        BoxCut(Pose.at(80, 0, 20), (40, 80, 10), "housing"),
        Bore((100.0, 35.0, 34.0), d, 8.0, 26.0, "dowel hole"),
    )


def test_bolt_and_barrel_cross_at_a_right_angle():
    held_against_the_kernel(
        rectangle(300, 100, 18),
        Bore((0.0, 50.0, 9.0), (1.0, 0.0, 0.0), 7.0, 45.0, "bolt hole"),
        Bore((30.0, 50.0, 18.0), (0.0, 0.0, -1.0), 10.0, 14.0, "barrel hole"),
        rel=1e-8,  # the kernel keeps the curve where two cylinders cross as a spline near it
    )


def test_counterbore_and_pins_from_both_sides_in_line():
    held_against_the_kernel(
        rectangle(100, 60, 18),
        Bore((50.0, 30.0, 18.0), (0.0, 0.0, -1.0), 5.0, 18.0, "clearance hole"),
        Bore((50.0, 31.0, 18.0), (0.0, 0.0, -1.0), 10.0, 4.0, "counterbore"),
        Bore((20.0, 30.0, 18.0), (0.0, 0.0, -1.0), 5.0, 12.0, "pin hole"),
        Bore((20.0, 30.0, 0.0), (0.0, 0.0, 1.0), 5.0, 12.0, "pin hole"),
    )


@pytest.mark.parametrize(("r", "big"), [(3.5, 5.0), (4.999, 5.0), (5.0, 5.0), (0.5, 8.0)])
def test_crossed_cylinders_against_quadrature(r, big):
    # the integral of the docstring, Simpson's rule in x = r sin t, which has no singular end
    n = 20000
    h = pi / 2 / n
    total = 0.0
    for i in range(n + 1):
        t = i * h
        f = (r * cos(t)) ** 2 * sqrt(max(0.0, big**2 - (r * sin(t)) ** 2))
        total += f * (1 if i in (0, n) else 4 if i % 2 else 2)
    assert crossed_volume(r, big) == pytest.approx(8 * total * h / 3, rel=1e-9)


def test_turned_tenons_at_both_ends_of_a_rod_and_of_a_square_rung():
    left = Turned((30.0, 12.0, 12.0), (-1.0, 0.0, 0.0), (-1.0, 0.0, 0.0), 16.0)
    right = Turned((270.0, 12.0, 12.0), (1.0, 0.0, 0.0), (1.0, 0.0, 0.0), 16.0)
    v = held_against_the_kernel(Rod(300, 24), left, right)
    assert v == pytest.approx(pi / 4 * (240 * 24**2 + 60 * 16**2))
    held_against_the_kernel(Prism(300, 24, 24), left, right)


@settings(max_examples=10, deadline=None)
@given(degrees(20), degrees(20), st.floats(10, 24))
def test_leg_with_a_round_tenon_under_its_top(rake, splay, diameter):
    for form in (TurnedLeg(500, 45, 28, rake), SquareLeg(500, 45, 28, splay, rake)):
        foot, top = form.axis_at(0.0), form.axis_at(form.height)
        run = [b - a for a, b in zip(foot, top, strict=True)]
        n = sqrt(sum(c * c for c in run))
        held_against_the_kernel(
            form,
            Turned(form.axis_at(478.0), (0, 0, 1.0), tuple(c / n for c in run), diameter),
        )


@pytest.mark.parametrize(
    "cuts",
    [
        [Bore((50.0, 2.0, 18.0), (0.0, 0.0, -1.0), 8.0, 10.0, "dowel hole")],  # breaks out of the edge
        [
            Bore((50.0, 30.0, 18.0), (0.0, 0.0, -1.0), 8.0, 10.0, "dowel hole"),
            Bore((53.0, 30.0, 18.0), (0.0, 0.0, -1.0), 8.0, 10.0, "dowel hole"),
        ],
        [
            Bore((50.0, 30.0, 18.0), (0.0, 0.0, -1.0), 8.0, 10.0, "dowel hole"),
            BoxCut(Pose.at(50, 0, 12), (20, 60, 6), "housing"),
        ],
    ],
)
def test_a_hole_that_grazes_is_refused_and_named(cuts):
    with pytest.raises(GeometryError, match=r"rail: its cuts \(dowel hole.*no closed form in a board"):
        volume_mm3(Part("rail", rectangle(100, 60, 18), PLY, tuple(cuts)))


def test_a_hole_in_a_ring_is_measured_clear_of_its_window_and_refused_across_it():
    form = ring(400, 300, 18, 50)
    held_against_the_kernel(form, Bore((25.0, 25.0, 18.0), (0.0, 0.0, -1.0), 8.0, 30.0, "hole"))
    across = Bore((200.0, 60.0, 9.0), (0.0, -1.0, 0.0), 8.0, 30.0, "hole")
    with pytest.raises(GeometryError, match="frame: its cuts"):
        volume_mm3(Part("frame", form, PLY, (across,)))


outlines = st.sampled_from((
    ((0.0, 0.0), (12.0, 0.0), (15.0, 9.0), (-3.0, 9.0)),
    ((0.0, 0.0), (8.0, 0.0), (0.0, 6.0)),
    ((0.0, 0.0), (10.0, -4.0), (20.0, 0.0), (16.0, 12.0), (4.0, 12.0)),
))  # fmt: skip


@settings(max_examples=25, deadline=None)
@given(outlines, degrees(80), degrees(80), st.floats(0, 380), st.floats(0, 70), st.floats(20, 200))
def test_straight_cuts_of_any_section_standing_any_way(outline, a, b, x, y, length):
    """Alone, and where they run into a square housing; the mirror image takes as much."""
    pose = Pose.turned("y", a, (x, y, 12.0)) @ Pose.turned("x", b)
    cut = ProfileCut(pose, outline, length, "profile")
    box = BoxCut(Pose.at(150.0, 0.0, 10.0), (40.0, 80.0, 8.0), "housing")
    try:
        left = held_against_the_kernel(rectangle(400, 80, 18), cut)
        held_against_the_kernel(rectangle(400, 80, 18), cut, box)
    except GeometryError as error:
        assert "pieces" in str(error)  # askew it may cut a sliver off
        reject()
    image = cut.reflected().moved(Pose.at(400.0))
    assert volume_mm3(Part("image", rectangle(400, 80, 18), PLY, (image,))) == pytest.approx(left, rel=1e-9)
    assert image.reflected().moved(Pose.at(400.0)).key() == cut.key()
    drawn = light_mesh(Part("drawn", rectangle(400, 80, 18), PLY, (cut,)))
    assert volume_of(drawn.vertices, drawn.faces) == pytest.approx(left, rel=1e-6)
