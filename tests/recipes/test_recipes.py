"""The six recipes: one number each worked by hand, and what must hold over their whole parameter space."""

from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from space import space

from furnigen import Box, InputError, Piece, Recipe, find_recipe, list_recipes

RECIPES = list_recipes()
NOISE_MM = 1e-6
THOROUGH = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
by_name = pytest.mark.parametrize("recipe", RECIPES, ids=lambda r: r.name)


def clear(piece: Piece) -> dict[str, tuple[float, float, float]]:
    return {o.label: o.clear_mm for o in piece.openings}


def count(piece: Piece) -> dict[str, int]:
    """Placements of each role."""
    roles = [p.role for p in piece.placements]
    return {role: roles.count(role) for role in dict.fromkeys(roles)}


# -- defaults, by hand -------------------------------------------------------------------------
# Birch plywood sold as 12, 15, 18, 21 and 24 mm is 12.0, 14.8, 17.6, 20.4 and 23.2 mm thick; 6.5 is 6.4
# (the stock table, whose source is beside each row).


def test_ring_rack_by_hand():
    """Frames 60 mm wide at 150, 870 and 1590 mm; shelves at 250, 696, 1142 and 1588 mm in their windows."""
    piece = find_recipe("ring_rack")(frames=3)
    assert count(piece) == {"frame upright": 6, "frame rail": 6, "shelf": 4, "bearer": 12, "spline": 12}
    assert piece.bounds.size == pytest.approx((1800, 400, 1800))
    front = piece.bounds_of(piece.placement("frame.2.front"))
    assert front.lo == pytest.approx((870, 0, 0))
    assert front.size == pytest.approx((60, 20.4, 1800))
    assert piece.bounds_of(piece.placement("shelf.2")).lo == pytest.approx((0, 20.4, 696))
    # clear: 720 - 60 wide, 400 - 2 x 20.4 deep, 446 - 12 high
    assert clear(piece)["bay.1.1"] == pytest.approx((660, 359.2, 434))


def test_ring_rack_of_flat_boards_by_hand():
    """Frames at 150, 889.8 and 1629.6 mm; shelves at 250, 696, 1142 and 1588 mm, each between two posts."""
    piece = find_recipe("ring_rack")(boards="flat", frames=3)
    assert count(piece) == {"frame upright": 6, "frame rail": 6, "shelf": 4, "bearer": 12, "spline": 12}
    assert piece.bounds.size == pytest.approx((1800, 400, 1800))
    assert piece.bounds_of(piece.placement("frame.2.front")).lo[0] == pytest.approx(889.8)
    assert piece.bounds_of(piece.placement("shelf.2")).lo[2] == pytest.approx(250 + (1588 - 250) / 3)
    # clear: 739.8 - 20.4 wide, 400 - 2 x 60 deep, 446 - 12 high
    assert clear(piece)["bay.1.1"] == pytest.approx((719.4, 280, 434))


def test_divided_case_by_hand():
    """Rows of (820 - 4 x 17.6)/3 = 249.867 mm; two openings in the lowest, three, four."""
    piece = find_recipe("divided_case")(board="birch-ply-18-2440", leg_height=180)
    assert count(piece)["divider"] == 1 + 2 + 3
    assert (count(piece)["shelf"], count(piece)["leg"]) == (2, 4)
    assert len(piece.openings) == 2 + 3 + 4
    assert clear(piece)["row.1.1"] == pytest.approx(((1164.8 - 17.6) / 2, 343.6, 249.8666667))
    assert clear(piece)["row.3.4"][0] == pytest.approx((1164.8 - 3 * 17.6) / 4)


def test_ladder_rack_by_hand():
    """Shelves at 200, 711.7, 1223.5 and 1735.2 mm: steps of (1900 - 150 - 14.8 - 200)/3 = 511.733 mm."""
    piece = find_recipe("ladder_rack")()
    assert count(piece) == {"post": 8, "rung": 20, "shelf": 4}
    assert piece.bounds.size == pytest.approx((1600, 450, 1900))
    # between four posts of 38.1 mm (a 2x2) over 1600 - 2 x 120 = 1360 mm
    bay = ((1360 - 4 * 38.1) / 3, 450 - 2 * 38, 511.7333333 - 14.8)
    assert clear(piece)["bay.1.2"] == pytest.approx(bay)


def test_panel_bookcase_by_hand():
    """Bays of (1800 - 3 x 17.6)/2 = 873.6 mm; heights of (2000 - 80 - 2 x 17.6 - 4 x 17.6)/5 = 362.88 mm."""
    piece = find_recipe("panel_bookcase")(width=1800.0)
    assert count(piece) == {
        "side": 2, "bottom": 1, "top": 1, "plinth": 2, "upright": 1, "shelf": 8, "back": 2,
    }  # fmt: skip
    assert piece.bounds.size == pytest.approx((1800, 320, 2000))
    assert clear(piece)["bay.2.3"] == pytest.approx((873.6, 313.6, 362.88))


def test_a_bookcase_of_four_bays_by_ten_has_about_fifty_parts():
    piece = find_recipe("panel_bookcase")(bays=4, shelves=10, width="2.4 m")
    # sides, bottom, top, plinth of two, uprights between, shelves, a back for each bay
    assert len(piece.placements) == 2 + 1 + 1 + 2 + 3 + 40 + 4 == 53


def test_crate_wall_by_hand():
    """Crates of (1200 - 5 x 12)/4 = 285 by (900 - 4 x 12)/3 = 284 mm; the rail takes depth above."""
    piece = find_recipe("crate_wall")()
    assert count(piece) == {"side": 2, "bottom": 1, "top": 1, "upright": 3, "shelf": 2, "rail": 4}
    assert piece.bounds.size == pytest.approx((1200, 250, 900))
    assert piece.bounds.lo[2] == 900
    assert clear(piece)["crate.1.1"] == pytest.approx((285, 250, 284))
    assert clear(piece)["crate.4.3"] == pytest.approx((285, 250 - 17.6, 284))
    assert piece.walls[0].point[1] == 250


def test_leaning_shelf_by_hand():
    """Wall at 1900 tan 10° + (90 / cos 10°)/2 = 380.715 mm; the first shelf starts at 267.6 tan 10°."""
    piece = find_recipe("leaning_shelf")()
    assert count(piece) == {"post": 2, "shelf": 5, "rail": 1}
    assert piece.bounds.size == pytest.approx((700, 380.7155, 1900), abs=1e-3)
    depths = [piece.bounds_of(piece.placement(f"shelf.{n}")).size[1] for n in range(1, 6)]
    assert depths[0] == pytest.approx(380.7155 - 47.185, abs=1e-3)
    # steps of (1900 - 250 - 17.6 - 250)/4 = 345.6 mm: each shelf is 345.6 tan 10° = 60.939 mm shallower
    assert [a - b for a, b in pairwise(depths)] == pytest.approx([60.939] * 4, abs=1e-3)


# -- what must hold over the whole space -------------------------------------------------------


def made(recipe: Recipe, data: st.DataObject) -> tuple[Piece | None, dict[str, object]]:
    """A piece from anywhere in the recipe's space, or None where it refuses, by a parameter of its own."""
    given_values = data.draw(space(recipe))
    try:
        return recipe(**given_values), recipe.read(given_values)
    except InputError as error:
        refusal = error
    names = {p.name for p in recipe.parameters}
    assert refusal.what in names, str(refusal)
    assert refusal.allowed
    message = str(refusal)
    assert len(message.splitlines()) == 1
    assert "  " not in message
    return None, {}


def overlaps(one: Box, other: Box) -> bool:
    return all(one.lo[i] < other.hi[i] - NOISE_MM and other.lo[i] < one.hi[i] - NOISE_MM for i in range(3))


def check_openings(piece: Piece) -> None:
    """Nothing stands in an opening, and what is said to close a side of it lies in that plane beside it."""
    boxes = {p.label: piece.bounds_of(p) for p in piece.placements}
    for opening in piece.openings:
        inside = [label for label, box in boxes.items() if overlaps(box, opening.box)]
        assert inside == [], f"{inside} in {opening.label}"
        for side, label in opening.bounded_by:
            axis = ("left", "right", "front", "back", "bottom", "top").index(side) // 2
            box = boxes[label]
            low = side in ("left", "front", "bottom")
            gap = opening.box.lo[axis] - box.hi[axis] if low else box.lo[axis] - opening.box.hi[axis]
            assert abs(gap) < NOISE_MM, f"{label} is {gap} mm off the {side} of {opening.label}"
            for other in {0, 1, 2} - {axis}:
                assert box.lo[other] <= opening.box.hi[other] + NOISE_MM, (label, opening.label)
                assert box.hi[other] >= opening.box.lo[other] - NOISE_MM, (label, opening.label)


def check_sums(piece: Piece) -> None:
    """Straight up through the middle of any opening, clear heights and boards sum to the height passed.

    As deep as the middle of the highest opening: leaning shelves grow shallower upward, to the wall.
    """
    y = max(piece.openings, key=lambda o: o.box.lo[2]).box.centre[1]
    for opening in piece.openings:
        x = opening.box.centre[0]
        spans = []
        for box in (*(o.box for o in piece.openings), *(piece.bounds_of(p) for p in piece.placements)):
            if box.lo[0] < x < box.hi[0] and box.lo[1] < y < box.hi[1]:
                spans.append((box.lo[2], box.hi[2]))
        spans.sort()
        top = spans[0][1]
        for low, high in spans[1:]:
            # boards let into each other may overlap here; a gap would be a height that nobody told
            assert low <= top + NOISE_MM, f"nothing from {top} to {low} mm above {opening.label}"
            top = max(top, high)
        # the rail by which a leaning shelf is fixed lies at the wall, behind the middle of its highest bay
        rails = [
            piece.bounds_of(p) for p in piece.placements if p.role == "rail" and not piece.bounds.lo[2] > 0
        ]
        assert max([top, *(r.hi[2] for r in rails if r.lo[2] == pytest.approx(top))]) == pytest.approx(
            piece.bounds.hi[2]
        )


def check_size(piece: Piece, values: dict[str, object]) -> None:
    """The piece is as large as was asked; leaning legs and posts may choose their own depth."""
    size, low = piece.bounds.size, piece.bounds.lo
    splayed = piece.name == "divided_case" and values["legs"] != "none"
    if not splayed:
        assert size[0] == pytest.approx(values["width"], abs=NOISE_MM)
    if not splayed and "depth" in values:
        assert size[1] == pytest.approx(values["depth"], abs=NOISE_MM)
    assert size[2] == pytest.approx(values["height"], abs=NOISE_MM)
    assert low[2] == pytest.approx(values.get("above_floor", 0.0), abs=NOISE_MM)
    if splayed:
        case = [piece.bounds_of(p) for p in piece.placements if p.role != "leg"]
        around = Box.around([c for b in case for c in (b.lo, b.hi)])
        assert around.size[:2] == pytest.approx((values["width"], values["depth"]), abs=NOISE_MM)


@by_name
@THOROUGH
@given(data=st.data())
def test_every_input_makes_a_piece_that_adds_up_or_is_refused_by_name(recipe, data):
    piece, values = made(recipe, data)
    if piece is None:
        return
    labels = [p.label for p in piece.placements]
    assert len(set(labels)) == len(labels)
    names = [p.name for p in piece.parts]
    assert len(set(names)) == len(names)
    assert all(piece.quantities)
    assert piece.openings
    check_openings(piece)
    check_sums(piece)
    check_size(piece, values)


@by_name
def test_the_default_is_sound_and_fits_its_stock(recipe):
    piece = recipe()
    check_openings(piece)
    check_sums(piece)
    check_size(piece, recipe.read({}))
    for part in piece.parts:
        length, width, _ = part.form.blank_mm
        assert length <= part.stock.length_mm, f"{part.name} is longer than {part.stock.name}"
        assert width <= part.stock.width_mm, f"{part.name} is wider than {part.stock.name}"


@by_name
def test_every_parameter_tells_what_it_means(recipe):
    for parameter in recipe.parameters:
        assert 5 <= len(parameter.meaning) <= 200, parameter.name
        assert parameter.meaning[0].islower() or parameter.meaning[0].isdigit(), parameter.name
        if parameter.kind in ("length", "angle", "count", "counts"):
            assert parameter.low < parameter.high


@by_name
def test_recipes_use_the_public_face_only(recipe):
    with open(recipe.function.__code__.co_filename, encoding="utf-8") as lines:  # noqa: PTH123
        imports = [line.split()[1] for line in lines if line.startswith(("from ", "import "))]
    assert {i for i in imports if i.split(".")[0] == "furnigen"} == {"furnigen"}


REFUSED = [
    ("ring_rack", {"overhang": 500, "width": 1000}, "overhang"),
    ("ring_rack", {"frames": 40, "width": 500, "overhang": 0, "boards": "flat"}, "frames"),
    ("ring_rack", {"frames": 25, "width": 511.2, "overhang": 0, "boards": "flat"}, "frames"),
    ("ring_rack", {"frames": 40, "width": 500, "overhang": 0}, "member"),
    ("ring_rack", {"first": 25}, "first"),
    ("ring_rack", {"first": 20}, "first"),
    ("ring_rack", {"below_top": 20}, "below_top"),
    ("ring_rack", {"below_top": 30, "last_to": "underside"}, "below_top"),
    ("ring_rack", {"below_top": 32.4, "last_to": "underside"}, None),
    ("ring_rack", {"shelves": 16, "height": 900}, "shelves"),
    ("ring_rack", {"support": "cleat", "first": 60, "bearer": 80}, "first"),
    ("ring_rack", {"support": "cleat", "first": 100.4, "bearer": 80}, None),
    # boards on edge wider than the step between frames
    ("ring_rack", {"frames": 12, "member": 150}, "member"),
    ("ring_rack", {"frames": 12, "member": 124}, None),
    # boards thicker than the frame leaves a window, shelves that no window takes
    ("ring_rack", {"frame_board": "pine-2x4@38", "depth": 150, "support": "cleat"}, "frame_board"),
    (
        "ring_rack",
        {"member": 140, "height": 300, "shelves": 1, "shelf_board": "birch-ply-24", "boards": "flat"},
        "shelf_board",
    ),
    ("ring_rack", {"support": "bearer", "member": 20}, "support"),
    ("ring_rack", {"member": 10}, "bearer_joint"),  # no dowel is so thin
    ("ring_rack", {"member": 10, "bearer_joint": "screwed"}, None),
    ("ring_rack", {"build": "one piece"}, "build"),
    ("ring_rack", {"corner": "finger"}, "corner"),
    ("ring_rack", {"corner": "half-lap", "build": "butted rails"}, "corner"),
    ("ring_rack", {"corner": "finger", "build": "butted rails", "boards": "flat"}, "corner"),
    ("ring_rack", {"support": "rail", "boards": "flat"}, "support"),
    ("ring_rack", {"first": 80, "boards": "flat"}, "first"),
    ("ring_rack", {"first": 40, "boards": "flat"}, "first"),
    ("ring_rack", {"below_top": 30, "boards": "flat"}, "below_top"),
    ("ring_rack", {"member": 150, "depth": 300, "boards": "flat"}, "member"),
    (
        "ring_rack",
        {"member": 74.99, "depth": 150, "first": 300, "support": "cleat", "boards": "flat"},
        "member",
    ),
    ("ring_rack", {"support": "cleat", "first": 60, "bearer": 80, "boards": "flat"}, None),
    ("ring_rack", {"support": "cleat", "first": 70, "bearer": 80, "boards": "flat"}, "first"),
    ("divided_case", {"shelves": 12, "height": 400, "leg_height": 200}, "shelves"),
    ("divided_case", {"dividers": "1,2,3,4"}, "dividers"),
    ("divided_case", {"dividers": "12", "width": 300, "shelves": 0}, None),
    ("divided_case", {"inset": 20, "leg_joint": "screwed"}, "inset"),
    ("divided_case", {"inset": 300}, "inset"),
    ("divided_case", {"depth": 195}, "block"),
    ("divided_case", {"depth": 195, "inset": 45.2}, None),
    ("divided_case", {"leg_top": 70}, "leg_blank"),
    ("divided_case", {"leg_height": 900, "height": 900}, "height"),
    ("ladder_rack", {"overhang": 600, "width": 1200}, "overhang"),
    ("ladder_rack", {"first": 30}, "first"),
    ("ladder_rack", {"below_top": 30}, "below_top"),
    ("ladder_rack", {"post": 120, "depth": 240}, "post"),
    ("ladder_rack", {"shelves": 16, "height": 1000}, "shelves"),
    ("panel_bookcase", {"shelves": 16, "height": 400, "plinth": 250}, "shelves"),
    ("panel_bookcase", {"bays": 12, "width": 300}, "bays"),
    ("panel_bookcase", {"toe": 150, "depth": 180}, "toe"),
    ("crate_wall", {"columns": 12, "width": 200, "board": "birch-ply-18"}, "columns"),
    ("crate_wall", {"rows": 12, "height": 900, "rail": 80}, "rail"),
    ("crate_wall", {"depth": 80, "rail_board": "pine-2x4@38"}, None),
    ("leaning_shelf", {"below_top": 20, "lean": 5}, "below_top"),
    ("leaning_shelf", {"shelves": 12, "height": 500}, "shelves"),
    ("leaning_shelf", {"post": 200, "height": 500, "lean": 4, "shelves": 1, "first": 100}, "post"),
]


@pytest.mark.parametrize(("name", "given_values", "blamed"), REFUSED)
def test_what_can_not_stand_is_refused_and_what_can_is_made(name, given_values, blamed):
    recipe = find_recipe(name)
    if blamed is None:
        assert recipe(**given_values).placements
        return
    with pytest.raises(InputError) as caught:
        recipe(**given_values)
    assert caught.value.what == blamed, str(caught.value)


@pytest.mark.parametrize(
    ("name", "given_values", "fits"),
    [
        ("ring_rack", {"first": 80, "boards": "flat"}, {"first": 100}),
        ("ring_rack", {"first": 80, "boards": "flat"}, {"first": 60}),
        ("ring_rack", {"first": 30}, {"first": 20.4}),
        ("ring_rack", {"first": 30}, {"first": 40.8}),
        ("ring_rack", {"frames": 12, "member": 150}, {"member": 124.9}),
        ("ring_rack", {"overhang": 500, "width": 1000}, {"overhang": 379}),
        ("divided_case", {"inset": 20, "leg_joint": "screwed"}, {"inset": 30}),
        ("leaning_shelf", {"below_top": 20, "lean": 8}, {"below_top": 300}),
    ],
)
def test_what_a_refusal_offers_does_fit(name, given_values, fits):
    recipe = find_recipe(name)
    with pytest.raises(InputError) as caught:
        recipe(**given_values)
    (wrong,) = fits
    assert caught.value.what == wrong
    recipe(**(given_values | fits))
