"""Part forms in closed form, against textbook formulas, hand values and the definition of each form.

No kernel here. LEG-1, LEG-2 and LEG-3 are rows of the project's sheet of hand-derived checks, worked from
two right-angled views of one line and from the prismoid; the sections of a leaned leg are found from its
definition alone (a point is inside when it is nearer to the axis than the radius there), ray by ray.
"""

from itertools import product
from math import atan2, cos, degrees, hypot, pi, radians, sin, sqrt, tan

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from furnigen import InputError, Pose, Prism, Rod, SquareLeg, TurnedLeg, leaning, mitred, rectangle, ring
from furnigen.drafting.leg_angles import leg_angles
from furnigen.parts.cuts import BoxCut
from furnigen.parts.forms.leg_lean import (
    STEEPEST_DEGREES,
    TRIM_ALLOWANCE_MM,
    resultant_degrees,
    sightline_degrees,
)
from furnigen.parts.forms.outline import polygon_area, polygon_centroid
from furnigen.parts.part import canonical, mirror_key

# -- straight forms ----------------------------------------------------------------------------


def test_straight_forms_by_hand():
    board = rectangle(800, 300, 18)
    assert (board.volume_mm3, board.centroid_mm, board.kind) == (800 * 300 * 18, (400, 150, 9), "board")
    # a mitred board: a trapezium of 400 and 400 - 2 x 60; centroid h/3 (a + 2b)/(a + b) from the long edge
    piece = mitred(400, 60, 18)
    assert piece.volume_mm3 == pytest.approx((400 + 280) / 2 * 60 * 18)
    assert piece.centroid_mm == pytest.approx((200, 60 / 3 * (400 + 2 * 280) / (400 + 280), 9))
    assert piece.kind == "shaped board"
    frame = ring(900, 400, 18, 60)
    assert frame.volume_mm3 == pytest.approx((900 * 400 - 780 * 280) * 18)
    assert frame.centroid_mm == pytest.approx((450, 200, 9))
    assert frame.kind == "sawn ring"
    rod = Rod(500, 10)
    assert rod.volume_mm3 == pytest.approx(pi * 25 * 500)
    assert rod.centroid_mm == (250, 5, 5)
    assert (rod.flat, board.flat) == (False, True)
    assert rod.blank_mm == (500, 10, 10)


def test_a_leaning_board_is_a_parallelogram_with_level_ends():
    """Ends cut for a lean of 10°: over its width of 90 the cut runs 90 tan 10° = 15.869 mm along."""
    board = leaning(1900, 90, 23, 10)
    run = 90 * tan(radians(10))
    assert board.volume_mm3 == pytest.approx((1900 - run) * 90 * 23)
    assert board.centroid_mm == pytest.approx((950, 45, 11.5))
    (x0, y0), (x1, y1) = board.corners[0], board.corners[3]
    assert degrees(atan2(x1 - x0, y1 - y0)) == pytest.approx(10)
    assert leaning(1900, 90, 23, -10).volume_mm3 == pytest.approx(board.volume_mm3)
    assert leaning(1900, 90, 23, 0).corners == rectangle(1900, 90, 23).corners


def test_a_windowed_board_balances_about_what_is_left():
    """400 x 200 with a hole of 100 x 100 about (100, 100): (80000 x 200 - 10000 x 100) / 70000."""
    board = Prism(400, 200, 10, windows=(((50, 50), (150, 50), (150, 150), (50, 150)),))
    assert board.volume_mm3 == 700_000
    assert board.centroid_mm == pytest.approx((15_000_000 / 70_000, 100, 5))


def test_polygons_by_hand():
    """A right triangle of 30 and 60: area 900, centroid at a third of each leg."""
    triangle = ((0.0, 0.0), (30.0, 0.0), (0.0, 60.0))
    assert polygon_area(triangle) == 900
    assert polygon_area(triangle[::-1]) == -900
    assert polygon_centroid(triangle) == pytest.approx((10, 20))


UNIT = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: hypot(*v) > 0.1)


def unit(v):
    return tuple(c / hypot(*v) for c in v)


@settings(deadline=None)
@given(UNIT)
def test_the_reach_of_straight_forms_is_that_of_their_corners(direction):
    d = unit(direction)
    for form in (rectangle(80, 30, 18), mitred(400, 60, 18), ring(90, 80, 10, 20), leaning(190, 90, 23, 10)):
        ends = [(x, y, z) for x, y in form.corners for z in (0.0, form.thickness)]
        assert form.support(d) == pytest.approx(
            max(sum(a * b for a, b in zip(d, p, strict=True)) for p in ends)
        )
    rod = Rod(50, 10)
    rims = [
        (x, 5 + 5 * cos(a), 5 + 5 * sin(a)) for x in (0, 50) for a in (2 * pi * k / 720 for k in range(720))
    ]
    reach = max(sum(a * b for a, b in zip(d, p, strict=True)) for p in rims)
    assert rod.support(d) == pytest.approx(reach, abs=1e-4)


def test_bounds_stand_where_the_pose_says():
    box = rectangle(80, 30, 18).bounds(Pose.turned("z", 90, (5, 6, 7)))
    assert (*box.lo, *box.hi) == pytest.approx((-25, 6, 7, 5, 86, 25))


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: rectangle(0, 300, 18), "length = 0 mm: must be at least 0.1 mm"),
        (lambda: rectangle(800, float("nan"), 18), "width = nan mm"),
        (lambda: rectangle(800, 300, -18), "thickness = -18 mm"),
        (lambda: Prism(100, 100, 10, ((0, 0), (0, 100), (100, 0))), "must run counter-clockwise"),
        (lambda: Rod(100, 0), "diameter = 0 mm"),
        (lambda: mitred(100, 50, 18), "mitred length = 100 mm: must be more than twice the width 50 mm"),
        (lambda: ring(400, 100, 18, 50), "member width = 50 mm: must be less than 50 mm"),
        (lambda: leaning(50, 90, 18, 35), "the end cuts of a board 50 mm long would meet"),
        (lambda: TurnedLeg(400, 40, 0.5), "leg foot = 0.5 mm: must be at least 1 mm"),
        (lambda: TurnedLeg(float("nan"), 40, 25), "leg height = nan mm"),
        (lambda: TurnedLeg(400, 40, 25, STEEPEST_DEGREES + 1), "must be at most 40° from upright"),
        (lambda: TurnedLeg(20, 400, 2, 40), "the taper is too strong for a level section"),
        (lambda: SquareLeg(20, 91, 6, 34, -18), "the taper is too strong for a level section"),
        (lambda: SquareLeg(400, 40, 25, 35, 35), "lean of the leg = 44.7°: must be at most 40°"),
        (lambda: SquareLeg(400, float("inf") - float("inf"), 25), "leg top = nan mm"),
    ],
)
def test_forms_that_can_not_be_made_are_refused(make, says):
    with pytest.raises(InputError) as caught:
        make()
    assert says in str(caught.value)


# -- legs by hand ------------------------------------------------------------------------------


def test_leg_facts():
    # LEG-1: a = 10°, b = 5°: 11.1357°; equal angles of 10°: 14.0019°
    assert resultant_degrees(5, 10) == resultant_degrees(10, 5) == pytest.approx(11.1357, abs=1e-4)
    assert resultant_degrees(10, 10) == pytest.approx(14.0019, abs=1e-4)
    # the direction of the lean from the front: atan(tan 5 / tan 10) = 26.389°
    assert sightline_degrees(10, 5) == pytest.approx(26.389, abs=1e-3)
    assert (sightline_degrees(7, 7), sightline_degrees(0, 7)) == pytest.approx((45, 90))
    assert sightline_degrees(0, 0) == sightline_degrees(7, 0) == 0
    # LEG-2: H = 700: the axis is 713.432 mm long, its foot 123.429 and 61.242 mm out
    for leg in (TurnedLeg(700, 45, 25, resultant_degrees(5, 10)), SquareLeg(700, 45, 25, 10, 5)):
        assert leg.axis_length == pytest.approx(713.432, abs=1e-3)
    centre = SquareLeg(700, 45, 45, 10, 5).section(0.0)
    assert sum(p[0] for p in centre) / 4 == pytest.approx(123.429, abs=1e-3)
    assert sum(p[1] for p in centre) / 4 == pytest.approx(61.242, abs=1e-3)
    # LEG-3: 45 to 25 square over 700, upright: L (t1² + t1 t2 + t2²) / 3 = 880,833.33 mm³
    assert SquareLeg(700, 45, 25).volume_mm3 == pytest.approx(880_833.33, abs=0.01)


def test_upright_and_untapered_legs_are_textbook_solids():
    # frustum of a cone, pi h (D² + D d + d²) / 12; centroid h/4 (R² + 2 R r + 3 r²) / (R² + R r + r²) from R
    leg = TurnedLeg(400, 40, 25)
    assert leg.volume_mm3 == pytest.approx(pi * 400 * (40**2 + 40 * 25 + 25**2) / 12)
    from_top = 100 * (20**2 + 2 * 20 * 12.5 + 3 * 12.5**2) / (20**2 + 20 * 12.5 + 12.5**2)
    assert leg.centroid_mm == pytest.approx((0, 0, 400 - from_top))
    # a leaned cylinder between level planes: pi r² times the length of its axis; sections r by r / cos
    rod = TurnedLeg(400, 30, 30, 20)
    assert rod.volume_mm3 == pytest.approx(pi * 15**2 * 400 / cos(radians(20)))
    assert rod.section(123.0)[:2] == pytest.approx((15 / cos(radians(20)), 15))
    assert rod.centroid_mm == pytest.approx((200 * tan(radians(20)), 0, 200))
    post = SquareLeg(400, 30, 30, 0, 20)
    assert post.volume_mm3 == pytest.approx(30 * 30 * 400 / cos(radians(20)))
    assert polygon_area(post.section(0)) == pytest.approx(30 * 30 / cos(radians(20)))


def test_a_blank_is_long_enough_to_trim():
    """A cylinder of 40 mm leaned 10° over 400: the level cuts need 20 tan 10° more at each end, and 12 mm."""
    needed = 400 / cos(radians(10)) + 2 * 20 * tan(radians(10)) + 2 * TRIM_ALLOWANCE_MM
    assert TurnedLeg(400, 40, 40, 10).blank_mm == pytest.approx((needed, 40, 40))
    assert SquareLeg(400, 40, 40, 10, 0).blank_mm == pytest.approx((needed, 40, 40))
    angles = leg_angles(TurnedLeg(400, 40, 40, 10), 10, 0)
    assert angles.blank_length == pytest.approx(needed)
    assert (angles.drill_guide, angles.sightline) == (80, 0)


# -- legs by their definition ------------------------------------------------------------------

SIZES = st.floats(60, 900), st.floats(12, 90), st.floats(12, 90)
GAUSS = [(0.5 - sqrt(15) / 10, 5 / 18), (0.5, 4 / 9), (0.5 + sqrt(15) / 10, 5 / 18)]
"""Nodes and weights on 0..1, exact to degree five: a leg's sections grow with the square of z."""


def sections(inside, height, axis_at, rays):
    """Level sections of a body that `inside` defines: boundary points found by bisection along rays."""
    made = []
    for node, weight in GAUSS:
        z = node * height
        cx, cy = axis_at(z)
        rim = []
        for k in range(rays):
            dx, dy = cos(2 * pi * k / rays), sin(2 * pi * k / rays)
            low, high = 0.0, 400.0
            for _ in range(40):
                mid = (low + high) / 2
                low, high = (mid, high) if inside(cx + mid * dx, cy + mid * dy, z) else (low, mid)
            rim.append((cx + low * dx, cy + low * dy))
        made.append((z, weight * height, tuple(rim)))
    return made


def check_against_definition(leg, inside, axis_at, rays, rel):
    slices = sections(inside, leg.height, axis_at, rays)
    areas = [polygon_area(rim) for _, _, rim in slices]
    volume = sum(w * a for (_, w, _), a in zip(slices, areas, strict=True))
    assert leg.volume_mm3 == pytest.approx(volume, rel=rel)
    moments = [0.0, 0.0, 0.0]
    for (z, w, rim), area in zip(slices, areas, strict=True):
        for i, c in enumerate((*polygon_centroid(rim), z)):
            moments[i] += w * area * c
    assert leg.centroid_mm == pytest.approx(tuple(m / volume for m in moments), abs=1e-3 + rel * leg.height)


def axial(leg, lean_x, lean_y):
    """Foot of the axis, its unit direction upward, and the half size square to it at a point along it."""
    tx, ty = tan(radians(lean_x)), tan(radians(lean_y))
    foot = (leg.height * tx, leg.height * ty, 0.0)
    up = unit((-tx, -ty, 1.0))
    length = leg.height * hypot(tx, ty, 1.0)
    return foot, up, lambda s: (leg.foot + (leg.top - leg.foot) * s / length) / 2


def across(p, foot, up):
    """Station of a point along the axis, and what is left of it square to the axis."""
    q = tuple(a - b for a, b in zip(p, foot, strict=True))
    s = sum(a * b for a, b in zip(q, up, strict=True))
    return s, tuple(a - s * b for a, b in zip(q, up, strict=True))


@settings(max_examples=12, deadline=None)
@given(*SIZES, st.floats(0, 30))
def test_a_turned_leg_is_what_lies_nearer_its_axis_than_its_radius(height, top, foot, lean):
    assume(abs(top - foot) / height < 0.5)
    leg = TurnedLeg(height, top, foot, lean)
    start, up, radius = axial(leg, lean, 0.0)

    def inside(*p):
        s, square = across(p, start, up)
        return hypot(*square) <= radius(s)

    # a polygon of n points in an ellipse misses 2 pi² / 3 n² of it
    check_against_definition(leg, inside, lambda z: ((height - z) * tan(radians(lean)), 0.0), 240, 3e-4)


def shortest_turn(up):
    """The two sides of an upright square blank after the shortest turn that brings it to lean (Rodrigues)."""
    k = (-up[1], up[0], 0.0)
    s, c = hypot(*k), up[2]
    if s == 0.0:
        return (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)
    k = unit(k)

    def turned(v):
        kv = (k[1] * v[2] - k[2] * v[1], k[2] * v[0] - k[0] * v[2], k[0] * v[1] - k[1] * v[0])
        along = sum(a * b for a, b in zip(k, v, strict=True)) * (1 - c)
        return tuple(v[i] * c + kv[i] * s + k[i] * along for i in range(3))

    return turned((1.0, 0.0, 0.0)), turned((0.0, 1.0, 0.0))


@settings(max_examples=8, deadline=None)
@given(*SIZES, st.floats(0, 25), st.floats(0, 25))
@example(60.0, 12.0, 12.0, 0.0, 1e-309)  # a lean that is noise
def test_a_square_leg_is_what_lies_within_its_four_tapering_sides(height, top, foot, lean_x, lean_y):
    assume(abs(top - foot) / height < 0.3)
    leg = SquareLeg(height, top, foot, lean_x, lean_y)
    start, up, half = axial(leg, lean_x, lean_y)
    e1, e2 = shortest_turn(up)

    def inside(*p):
        s, square = across(p, start, up)
        return all(abs(sum(a * b for a, b in zip(square, e, strict=True))) <= half(s) for e in (e1, e2))

    def axis_at(z):
        return ((height - z) * tan(radians(lean_x)), (height - z) * tan(radians(lean_y)))

    # rays miss the four corners by up to a ray's step each
    check_against_definition(leg, inside, axis_at, 400, 3e-4)
    # every corner of the closed form lies on the definition's boundary
    for z in (0.0, height / 3, height):
        cx, cy = axis_at(z)
        for x, y in leg.section(z):
            assert inside(cx + (x - cx) * 0.9999, cy + (y - cy) * 0.9999, z)
            assert not inside(cx + (x - cx) * 1.0001, cy + (y - cy) * 1.0001, z)


@given(*SIZES, st.floats(0, 25), st.floats(0, 25), UNIT)
def test_the_reach_of_a_leg_is_that_of_its_two_ends(height, top, foot, lean_x, lean_y, direction):
    d = unit(direction)
    assume(abs(top - foot) / height < 0.5)
    turned = TurnedLeg(height, top, foot, lean_x)
    rims = []
    for z in (0.0, height):
        a, b, (x, y, _) = turned.section(z)
        rims += [(x + a * cos(t), y + b * sin(t), z) for t in (2 * pi * k / 720 for k in range(720))]
    reach = max(sum(i * j for i, j in zip(d, p, strict=True)) for p in rims)
    assert turned.support(d) == pytest.approx(reach, abs=2e-3)
    square = SquareLeg(height, top, foot, lean_x, lean_y)
    corners = [(x, y, z) for z in (0.0, height) for x, y in square.section(z)]
    assert square.support(d) == pytest.approx(
        max(sum(i * j for i, j in zip(d, p, strict=True)) for p in corners)
    )


# -- the same part -----------------------------------------------------------------------------

HALF_TURNS = (Pose(), Pose.turned("x", 180), Pose.turned("y", 180), Pose.turned("z", 180))


@given(st.lists(st.tuples(st.floats(0, 300), st.floats(0, 80), st.booleans()), min_size=1, max_size=3))
def test_turning_a_cut_board_over_leaves_it_the_same_part(notches):
    """The four positions in which a rectangular blank fills its own place are one part."""
    length, width, thick = 400.0, 120.0, 18.0
    board = rectangle(length, width, thick)
    cuts = tuple(
        BoxCut(Pose.at(x, y, 0.0 if low else 9.0), (60.0, 30.0, 9.0), "pocket") for x, y, low in notches
    )
    keys = set()
    for turn in HALF_TURNS:
        # turned about the middle of the blank
        middle = Pose.at(length / 2, width / 2, thick / 2)
        placed = middle @ turn @ middle.inverse()
        keys.add(canonical(board, tuple(c.moved(placed) for c in cuts))[0])
    assert len(keys) == 1


@pytest.mark.parametrize("form", [mitred(400, 60, 18), leaning(400, 60, 18, 10), ring(400, 300, 18, 50)])
def test_turned_outlines_are_the_same_part(form):
    assert len({canonical(form.turned_about(axis), ())[0] for axis in "xyz"} | {canonical(form, ())[0]}) == 1


def test_mirror_images_have_one_key_where_the_form_is_its_own():
    for form in (rectangle(400, 60, 18), mitred(400, 60, 18), Rod(300, 12), TurnedLeg(400, 40, 25, 10)):
        assert mirror_key(form, ()) == canonical(form, ())[0]
    handed = SquareLeg(400, 40, 25, 10, 5)
    assert mirror_key(handed, ()) != canonical(handed, ())[0]
    # the mirror image of the mirror image is the leg itself
    image, _ = handed.mirrored()
    assert mirror_key(image, ()) == canonical(handed, ())[0]
    assert mirror_key(SquareLeg(400, 40, 25, 7, 7), ()) == canonical(SquareLeg(400, 40, 25, 7, 7), ())[0]


@pytest.mark.parametrize(("turns", "end"), list(product((0, 1, 2, 3), (False, True))))
def test_a_rod_may_be_turned_and_turned_end_for_end(turns, end):
    """A pocket near one end, facing any way: one part."""
    rod = Rod(300.0, 20.0)
    pocket = BoxCut(Pose.at(40.0, 5.0, 12.0), (30.0, 10.0, 8.0), "flat")
    middle = Pose.at(150.0, 10.0, 10.0)
    move = middle @ Pose.turned("x", 90.0 * turns) @ Pose.turned("z", 180.0 * end) @ middle.inverse()
    assert canonical(rod, (pocket.moved(move),))[0] == canonical(rod, (pocket,))[0]
