"""A case of two sides and equally spaced fixed shelves, its rows divided, on four leaning legs."""

from itertools import pairwise
from math import gcd

from furnigen import (
    Box,
    Draft,
    InputError,
    Opening,
    Piece,
    Stock,
    angle,
    asked_as,
    butt,
    choice,
    count,
    counts,
    cross_bolt,
    dowelled,
    equal_clear,
    four_legs,
    from_stock,
    housing,
    lapped_grid,
    legs_on_blocks,
    length,
    rabbet,
    recipe,
)

JOINTS = {"housing": housing, "dowelled": dowelled, "screwed": butt, "knock-down": cross_bolt}
DIVIDER_JOINTS = ("housing", "dowelled", "screwed", "cross-lap")
LEG_FIELDS = {
    "leg stock": "leg_blank",
    "leg inset": "inset",
    "inset across": "inset",
    "inset deep": "inset",
    "leg lean": "splay",
    "lean of the leg": "splay",
    "leg top": "leg_top",
    "leg foot": "leg_foot",
    "leg height": "leg_height",
}
"""What leg messages call a size, and the parameter it comes from."""


@recipe("A case of fixed shelves whose rows are divided by uprights, on four tapered legs")
def divided_case(
    width: float = length("1200 mm", "300 mm", "2.4 m", "overall width of the case"),
    height: float = length("1000 mm", "250 mm", "2.4 m", "overall height, legs included"),
    depth: float = length("350 mm", "150 mm", "700 mm", "overall depth of the case"),
    shelves: int = count(2, 0, 12, "shelves between bottom and top, leaving equal clear rows"),
    dividers: tuple[int, ...] = counts(
        (1, 2, 3), 0, 12, 13, "dividers in each row from the bottom; rows not named get none"
    ),
    shelf_joint: str = choice("housing", JOINTS, "how shelves and bottom meet the sides"),
    divider_joint: str = choice(
        "housing", DIVIDER_JOINTS, "how dividers meet shelves; cross-lapped ones run through all rows"
    ),
    back: str = choice(
        "inset", ("none", "planted", "inset"), "no back, one planted on behind, or one in a rabbet"
    ),
    legs: str = choice("turned", ("turned", "square", "none"), "round or square tapered legs, or none"),
    leg_joint: str = choice(
        "block", ("block", "screwed"), "legs tenoned into blocks under the case, or screwed from inside it"
    ),
    leg_height: float = length("180 mm", "60 mm", "900 mm", "floor to the underside of the case"),
    leg_top: float = length("50 mm", "15 mm", "120 mm", "thickness of a leg at its top, square to its axis"),
    leg_foot: float = length(
        "28 mm", "10 mm", "120 mm", "thickness of a leg at its foot, square to its axis"
    ),
    inset: float = length("70 mm", "10 mm", "400 mm", "edges of the case to a leg's axis at its top"),
    splay: float = angle(5, 0, 25, "lean of the legs outward, left and right"),
    rake: float = angle(3, 0, 25, "lean of the legs outward, front and back"),
    block: float = length("90 mm", "30 mm", "300 mm", "side of the block a leg is tenoned into"),
    fit: float = length("0.1 mm", "0 mm", "0.5 mm", "room left at each face of a joint"),
    board: Stock = from_stock(
        "birch-ply-18-2440", "sides, top, bottom, shelves and dividers", ("sheet", "board")
    ),
    back_board: Stock = from_stock("birch-ply-6.5-2440", "the back", ("sheet",)),
    leg_blank: Stock = from_stock("beech-blank-63", "the legs", ("blank", "bar")),
    block_board: Stock = from_stock("beech-8-4-rough", "the blocks", ("board",)),
) -> Piece:
    """Build the case."""
    t = board.thickness_mm
    z0 = 0.0 if legs == "none" else leg_height
    rows = shelves + 1
    named = ",".join(map(str, dividers))
    if len(dividers) > rows:
        raise InputError("dividers", named, f"name {len(dividers)} rows, but {shelves} shelves make {rows}")
    lapped = divider_joint == "cross-lap" and shelves > 0
    if lapped and (len(dividers) < rows or len(set(dividers)) > 1):
        raise InputError(
            "divider_joint",
            divider_joint,
            f"dividers that run through the shelves need the same number in all {rows} rows, not {named}",
            f"dividers={','.join([str(dividers[0])] * rows)} would fit",
        )
    if divider_joint == "screwed" and shelves:
        _check_reach(dividers)
    if width <= 3 * t:
        raise InputError("width", f"{width:g} mm", f"must be more than {3 * t:.1f} mm")
    if height - z0 <= 3 * t:
        raise InputError(
            "height", f"{height:g} mm", f"must be more than {z0 + 3 * t:.1f} mm, legs and boards"
        )

    draft = Draft("divided_case", "Divided case", fit_mm=fit)
    joint = JOINTS[shelf_joint]
    at_end = rabbet if shelf_joint == "housing" else joint
    b = back_board.thickness_mm
    rear = depth if back == "none" else depth - b
    outer = depth if back == "inset" else rear
    left = draft.board("side.left", board, (0.0, 0.0, z0), (t, outer, height), grain="z", role="side")
    right = draft.board(
        "side.right", board, (width - t, 0.0, z0), (width, outer, height), grain="z", role="side"
    )
    bottom = draft.board("bottom", board, (t, 0.0, z0), (width - t, outer, z0 + t), grain="x")
    top = draft.board("top", board, (t, 0.0, height - t), (width - t, outer, height), grain="x")
    asked = ("shelf_joint", shelf_joint)
    for side in (left, right):
        # at the very end of a side a housing would have one cheek only: there it is a rabbet
        draft.join(side, bottom, at_end(), asked=asked)
        draft.join(side, top, at_end(), asked=asked)
    sides = {"left": left, "right": right, "bottom": bottom, "top": top}
    if back != "none":
        x, z = (t, t) if back == "inset" else (0.0, 0.0)
        sides["back"] = draft.board(
            "back", back_board, (x, rear, z0 + z), (width - x, depth, height - z), role="back"
        )
        for edge in (left, right, bottom, top):
            draft.join(edge, sides["back"], rabbet() if back == "inset" else butt(), asked=("back", back))
    room = draft.opening("row", (t, 0.0, z0 + t), (width - t, rear, height - t), **sides)
    if lapped:
        _lapped(draft, room, shelves, dividers[0], board, shelf_joint)
    else:
        # without shelves there is nothing to lap
        each = "housing" if divider_joint == "cross-lap" else divider_joint
        _rows(draft, room, shelves, dividers, board, shelf_joint, each)
    if legs != "none":
        sizes = {"kind": legs, "top": leg_top, "foot": leg_foot, "inset": inset, "rake": rake, "splay": splay}
        given = {
            "leg_blank": leg_blank.name,
            "inset": f"{inset:g} mm",
            "splay": f"{splay:g}°",
            "leg_top": f"{leg_top:g} mm",
            "leg_foot": f"{leg_foot:g} mm",
            "leg_height": f"{leg_height:g} mm",
        }
        try:
            if leg_joint == "block":
                legs_on_blocks(draft, bottom, leg_blank, block_board, block=block, **sizes)
            else:
                under = Box((0.0, 0.0, z0), (width, rear, height))
                for leg in four_legs(draft, leg_blank, under, **sizes):
                    draft.join(bottom, leg, butt(), asked=("leg_joint", leg_joint))
        except InputError as error:
            name = LEG_FIELDS.get(error.what, "block")
            raise InputError(name, given.get(name, f"{block:g} mm"), error.allowed, error.fits) from None
    draft.load("all", "folded-textiles")
    return draft.done()


def _check_reach(dividers: tuple[int, ...]) -> None:
    """Refuse screws whose heads the divider of the next row would cover."""
    for n, (below, above) in enumerate(pairwise(dividers), 1):
        # n dividers stand at the parts of n + 1: two rows share a place where those have a common factor
        if below and above and gcd(below + 1, above + 1) > 1:
            raise InputError(
                "divider_joint",
                "screwed",
                f"dividers of rows {n} and {n + 1} stand over each other and hide each other's screws",
                "housing would fit",
            )


def _rows(
    draft: Draft,
    room: Opening,
    shelves: int,
    dividers: tuple[int, ...],
    board: Stock,
    shelf_joint: str,
    divider_joint: str,
) -> None:
    """Shelves across the case, and each row's own dividers."""
    named = ",".join(map(str, dividers))
    with asked_as("shelves", shelves):
        made, bays = draft.divide(
            room, "z", equal_clear(shelves), board, role="shelf", label="shelf", grain="x"
        )
    for shelf in made:
        draft.join(room.bound("left"), shelf, JOINTS[shelf_joint](), asked=("shelf_joint", shelf_joint))
        draft.join(room.bound("right"), shelf, JOINTS[shelf_joint](), asked=("shelf_joint", shelf_joint))
    for n, (bay, number) in enumerate(zip(bays, dividers, strict=False), 1):
        with asked_as("dividers", named):
            uprights, _ = draft.divide(
                bay, "x", equal_clear(number), board, role="divider", label=f"divider.{n}", grain="z"
            )
        for upright in uprights:
            draft.join(
                bay.bound("bottom"), upright, JOINTS[divider_joint](), asked=("divider_joint", divider_joint)
            )
            draft.join(
                bay.bound("top"), upright, JOINTS[divider_joint](), asked=("divider_joint", divider_joint)
            )


def _lapped(draft: Draft, room: Opening, shelves: int, number: int, board: Stock, shelf_joint: str) -> None:
    """Shelves and dividers that run through each other, slotted half and half."""
    with asked_as("dividers", number):
        uprights, made, _ = lapped_grid(
            draft,
            room,
            board,
            columns=equal_clear(number),
            rows=equal_clear(shelves),
            upright="divider",
            cell="row",
        )
    for shelf in made:
        for side in ("left", "right"):
            draft.join(room.bound(side), shelf, JOINTS[shelf_joint](), asked=("shelf_joint", shelf_joint))
    for upright in uprights:
        for end in ("bottom", "top"):
            draft.join(room.bound(end), upright, JOINTS[shelf_joint](), asked=("shelf_joint", shelf_joint))
