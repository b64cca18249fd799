"""Corners, bays and what carries shelves: functions that place several boards and their joints."""

import pytest

from furnigen import (
    ChosenJoint,
    Draft,
    Fact,
    InputError,
    RingSizes,
    butt,
    carry_shelves,
    case_of_boards,
    check_bearer,
    dowelled,
    find_stock,
    finger_joint,
    housing,
    join_ends,
    mitre,
    open_bays,
    rabbet,
    ring_corner,
    ring_upright,
    shelf_support,
    tenon,
)

PLY = find_stock("birch-ply-18-2440")
THIN = find_stock("birch-ply-12-2440")
T, S = PLY.thickness_mm, THIN.thickness_mm
CORNERS = tuple(
    {
        "usual": None,
        "spline": mitre("spline"),
        "dowelled": dowelled(),
        "tenoned": tenon(),
        "finger": finger_joint(),
    }.items()
)
SUPPORTS = tuple(
    {
        "usual": None,
        "bearer": None,
        "rail": None,
        "cleat": butt(),
        "notch": housing(),
        "screws": butt(),
    }.items()
)


def chosen(parameter, options, word):
    return ChosenJoint(parameter, word, dict(options)[word], options)


# -- cases -------------------------------------------------------------------------------------


@pytest.mark.parametrize("joint", [housing(), dowelled(), ChosenJoint("joint", "housing", housing())])
def test_a_case_fills_its_box_and_is_rabbeted_at_its_very_ends(joint):
    draft = Draft("case")
    sides = case_of_boards(draft, PLY, (0, 0, 100), (900, 300, 700), joint)
    draft.opening("room", (T, 0, 100 + T), (900 - T, 300, 700 - T), **sides)
    piece = draft.done()
    assert (piece.bounds.lo, piece.bounds.hi) == (pytest.approx((0, 0, 100)), pytest.approx((900, 300, 700)))
    kind = "dowelled" if joint == dowelled() else rabbet().kind
    assert [j.kind for j in piece.joints] == [kind] * 4


def test_the_raised_bottom_of_a_case_is_housed():
    draft = Draft("case")
    sides = case_of_boards(draft, PLY, (0, 0, 0), (900, 300, 700), housing(), raised=80, bottom_back=294)
    assert draft.box(sides["bottom"]).hi == pytest.approx((900 - T, 294, 80 + T))
    assert [j.kind for j in draft.done().joints] == ["housing", "rabbet"] * 2


def test_ends_are_joined_only_to_what_is_there():
    draft = Draft("open")
    side = draft.board("side", PLY, (0, 0, 0), (T, 300, 700), grain="z")
    shelf = draft.board("shelf", PLY, (T, 0, 300), (600, 300, 300 + T), grain="x")
    room = draft.opening("room", (T, 0, 0), (600, 300, 300), left=side)
    with pytest.raises(InputError, match="opening = room: nothing on its right to join shelf to"):
        join_ends(draft, room, [shelf], housing())


# -- frames ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("boards", "along", "outline"), [("on edge", 60, T), ("flat", T, 60)])
def test_sizes_of_a_ring_are_those_of_the_frame_as_placed(boards, along, outline):
    sizes = RingSizes(PLY, 60, boards)
    assert (sizes.along, sizes.outline) == (along, outline)
    draft = Draft("ring")
    frame = ring_upright(draft, "frame", PLY, x=100, depth=400, height=900, member=60, boards=boards)
    assert (frame.name, frame.x, frame.sizes, set(frame)) == ("frame", 100, sizes, set(frame.labels))
    assert draft.box(frame["front"]).size[:2] == pytest.approx((along, outline))
    assert frame.uprights == ("frame.front", "frame.back")


def test_strips_within_a_frame_need_their_own_room():
    RingSizes(PLY, 60, "on edge").check_window(60, 900)
    with pytest.raises(
        InputError, match=r"the strips on them leave no window .*less than 14\.8 mm would fit"
    ):
        RingSizes(PLY, 60, "on edge").check_window(60, 900, strips=2)
    RingSizes(PLY, 60, "flat").check_window(60, 900, strips=2)


@pytest.mark.parametrize(
    ("build", "boards", "word", "joint"),
    [
        ("mitred", "on edge", "usual", "splined mitre"),
        ("butted rails", "flat", "usual", "dowelled"),
        ("butted uprights", "flat", "tenoned", "tenon"),
        ("butted uprights", "on edge", "finger", "finger joint"),
    ],
)
def test_corners_suit_their_frame(build, boards, word, joint):
    corner = ring_corner(chosen("corner", CORNERS, word), build, RingSizes(PLY, 60, boards))
    assert corner is not None
    assert (corner.spec.kind, corner.parameter) == (joint, "corner")
    draft = Draft("ring")
    ring_upright(
        draft, "f", PLY, x=0, depth=400, height=900, member=60, build=build, boards=boards, corner=corner
    )
    assert [j.kind for j in draft.done().joints] == [joint] * 4


@pytest.mark.parametrize(("wide", "dowels"), [(30, 1), (60, 2), (120, None)])
def test_wider_boards_on_edge_take_more_dowels_in_their_ends(wide, dowels):
    corner = ring_corner(
        chosen("corner", CORNERS, "dowelled"), "butted rails", RingSizes(PLY, wide, "on edge")
    )
    assert corner is not None
    assert corner.spec == dowelled(dowels)


def test_a_corner_that_does_not_suit_is_refused_with_those_that_do():
    with pytest.raises(InputError) as caught:
        ring_corner(chosen("corner", CORNERS, "tenoned"), "butted rails", RingSizes(PLY, 60, "on edge"))
    assert str(caught.value) == (
        "corner = tenoned: does not join a butted rails frame of boards on edge; dowelled, finger would fit"
    )
    assert ring_corner(chosen("corner", CORNERS, "usual"), "one piece", RingSizes(PLY, 60, "flat")) is None
    with pytest.raises(InputError, match="has no corner joints; usual would fit"):
        ring_corner(chosen("corner", CORNERS, "spline"), "one piece", RingSizes(PLY, 60, "flat"))


# -- what carries shelves ----------------------------------------------------------------------


def rack(word, boards, build="mitred", below=300.0):
    draft = Draft("rack")
    sizes = RingSizes(PLY, 60, boards)
    support = shelf_support(chosen("support", SUPPORTS, word), build, sizes)
    inner = sizes.outline
    frames = [
        ring_upright(draft, f"f.{n}", PLY, x=x, depth=400, height=900, member=60, build=build, boards=boards)
        for n, x in enumerate((100.0, 500.0, 900.0), 1)
    ]
    shelf = draft.board("shelf", THIN, (0, inner, below), (1100, 400 - inner, below + S), grain="x")
    bearer = ChosenJoint("bearer_joint", "dowelled", dowelled())
    strips = carry_shelves(draft, frames, [shelf], support, tall=40, bearer_joint=bearer)
    bays = open_bays(draft, [f["front"] for f in frames], [shelf], 900, strips)
    return draft.done(), strips, bays


@pytest.mark.parametrize(
    ("word", "boards", "build", "strips"),
    [
        ("usual", "on edge", "mitred", 3),
        ("usual", "flat", "mitred", 3),
        ("usual", "flat", "one piece", 3),
        ("cleat", "on edge", "mitred", 6),
        ("cleat", "flat", "mitred", 3),
        ("notch", "flat", "mitred", 0),
        ("screws", "on edge", "mitred", 0),
    ],
)
def test_every_frame_carries_the_shelf(word, boards, build, strips):
    piece, _, _ = rack(word, boards, build)
    made = [p for p in piece.placements if p.label not in ("shelf",) and p.role in ("bearer", "cleat")]
    assert len(made) == strips
    for strip in made:
        assert piece.bounds_of(strip).hi[2] == pytest.approx(300)
        assert (Fact.TAKES_NO_GOODS in strip.facts) == (boards == "on edge")
    carried = {j.a for j in piece.joints if j.b == "shelf"}
    assert len(carried) == (strips or 6)


def test_a_shelf_on_the_bottom_rails_needs_nothing_else():
    piece, _, _ = rack("usual", "flat", below=60.0)
    assert {j.a for j in piece.joints if j.b == "shelf"} == {"f.1.bottom", "f.2.bottom", "f.3.bottom"}


def test_bays_end_at_the_cleats_that_stand_in_them():
    """Cleats stand to the right of the first two frames and to the left of the last."""
    piece, strips, bays = rack("cleat", "flat")
    assert set(strips) == {(1, 1), (2, 1), (3, 1)}
    assert [b.label for b in bays] == ["bay.1.0", "bay.1.1", "bay.2.0", "bay.2.1"]
    under, over = {b.label: b for b in bays}, {b.label: b for b in piece.openings}
    assert under["bay.1.0"].clear_mm[0] == pytest.approx(400 - 2 * T)
    assert under["bay.2.0"].clear_mm[0] == pytest.approx(400 - 3 * T)
    assert over["bay.2.1"].clear_mm == pytest.approx((400 - T, 280, 900 - 300 - S))
    assert (under["bay.2.0"].bound("left"), under["bay.2.0"].bound("right")) == (strips[2, 1], strips[3, 1])
    assert under["bay.1.0"].bound("right") == "f.2.front"


@pytest.mark.parametrize(
    ("word", "boards", "build", "says"),
    [
        ("rail", "flat", "mitred", "support = rail: rails lie in frames of boards on edge; bearer would fit"),
        ("notch", "flat", "one piece", "support = notch: a frame sawn in one piece carries its shelves on"),
    ],
)
def test_a_support_that_does_not_suit_is_refused(word, boards, build, says):
    with pytest.raises(InputError) as caught:
        rack(word, boards, build)
    assert str(caught.value).startswith(says)


def test_bearers_thicker_than_the_boards_are_wide_are_refused():
    thin = RingSizes(PLY, 12, "on edge")
    with pytest.raises(
        InputError, match=r"support = bearer: a bearer 17\.6 mm thick stands out.*rail would fit"
    ):
        check_bearer(chosen("support", SUPPORTS, "bearer"), thin)
    check_bearer(chosen("support", SUPPORTS, "rail"), thin)
