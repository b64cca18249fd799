"""Hand-worked counts: which boards of each recipe are one part, and which are handed pairs."""

import pytest

from furnigen import find_recipe

COUNTS = {
    # three frames of two uprights and two rails; four shelves on a bearer in each frame
    "ring_rack": {"frame upright": 8, "frame rail": 8, "shelf": 4, "bearer": 16, "spline": 16},
    # the back's rabbet makes the sides a pair; bottom and top, and the two shelves, take other dividers
    # (1 + 2 + 3 alike); a block bored two ways and its mirror image are a pair, a turned leg is not
    "divided_case": {
        "side left": 1,
        "side right": 1,
        "bottom": 1,
        "top": 1,
        "back": 1,
        "shelf 1": 1,
        "shelf 2": 1,
        "divider": 6,
        "leg": 4,
        "leg block left": 2,
        "leg block right": 2,
    },
    # four ladders of two posts; a rung under each of four shelves, and one at the top
    "ladder_rack": {"post": 8, "rung": 20, "shelf": 4},
    # two bays of four shelves
    "panel_bookcase": {
        "side left": 1,
        "side right": 1,
        "bottom": 1,
        "top": 1,
        "plinth": 2,
        "upright": 1,
        "shelf": 8,
        "back": 2,
    },
    # four columns by three rows: three uprights and two shelves lapped, a rail in each column
    "crate_wall": {"side": 2, "bottom/top": 2, "upright": 3, "shelf": 2, "rail": 4},
    # five shelves, each shallower; the posts' housings make them a pair
    "leaning_shelf": {
        "post left": 1,
        "post right": 1,
        **{f"shelf {n}": 1 for n in range(1, 6)},
        "rail": 1,
    },
}


@pytest.mark.parametrize("name", COUNTS)
def test_parts_and_quantities(name):
    piece = find_recipe(name)()
    assert {p.name: q for p, q in zip(piece.parts, piece.quantities, strict=True)} == COUNTS[name]


def test_butted_boards_that_turn_over_are_one_part():
    piece = find_recipe("divided_case")(
        shelf_joint="screwed", divider_joint="screwed", leg_joint="screwed", back="none"
    )
    # without joints cut in them, both sides are one part; top, bottom and shelves another
    found = {p.name: q for p, q in zip(piece.parts, piece.quantities, strict=True)}
    assert found == {"side": 2, "bottom/top/shelf": 4, "divider": 6, "leg": 4}


def test_square_legs_of_equal_lean_are_one_part_and_of_unequal_lean_a_pair():
    recipe = find_recipe("divided_case")
    alike = recipe(legs="square", leg_joint="screwed", rake=8, splay=8)
    assert [q for p, q in zip(alike.parts, alike.quantities, strict=True) if "leg" in p.name] == [4]
    unlike = recipe(legs="square", leg_joint="screwed", rake=5, splay=10)
    legs = {p.name: q for p, q in zip(unlike.parts, unlike.quantities, strict=True) if "leg" in p.name}
    assert legs == {"leg left": 2, "leg right": 2}
