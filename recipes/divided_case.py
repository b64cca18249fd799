"""A case of two sides and equally spaced fixed shelves, its rows divided, on four leaning legs."""

from itertools import pairwise
from math import gcd

from furnigen import (
    BLOCK_INSETS_TO,
    LEG_DATUMS,
    Box,
    ChosenJoint,
    Draft,
    Piece,
    Stock,
    angle,
    asked_as,
    asked_by,
    butt,
    case_of_boards,
    choice,
    count,
    counts,
    cross_bolt,
    dowelled,
    equal_clear,
    foot_out,
    four_legs,
    from_stock,
    housing,
    join_ends,
    joint_choice,
    lapped_grid,
    lean_to_foot,
    legs_on_blocks,
    length,
    rabbet,
    recipe,
    require,
)

JOINTS = {"housing": housing(), "dowelled": dowelled(), "screwed": butt(), "knock-down": cross_bolt()}
# without shelves there is nothing to lap, and dividers are housed
DIVIDER_JOINTS = {"housing": housing(), "dowelled": dowelled(), "screwed": butt(), "cross-lap": housing()}
BACKS = {"none": None, "planted": butt(), "inset": rabbet()}
LEG_JOINTS = {"block": None, "screwed": butt()}
MOST_LEAN = 25
LEG_TERMS = {
    "leg stock": "leg_blank",
    "leg inset": "inset",
    "leg lean": "splay",
    "lean of the leg": "splay",
}
"""What refusals of legs call a size, and the parameter it comes from."""


@recipe("A case of fixed shelves whose rows are divided by uprights, on four tapered legs", LEG_DATUMS)
def divided_case(
    width: float = length("1200 mm", "300 mm", "2.4 m", "overall width of the case"),
    height: float = length("1000 mm", "250 mm", "2.4 m", "overall height, legs included"),
    depth: float = length("350 mm", "150 mm", "700 mm", "overall depth of the case"),
    shelves: int = count(2, 0, 12, "shelves between bottom and top, leaving equal clear rows"),
    dividers: tuple[int, ...] = counts(
        (1, 2, 3), 0, 12, 13, "dividers in each row from the bottom; rows not named get none"
    ),
    shelf_joint: ChosenJoint = joint_choice("housing", JOINTS, "how shelves and bottom meet the sides"),
    divider_joint: ChosenJoint = joint_choice(
        "housing", DIVIDER_JOINTS, "how dividers meet shelves; cross-lapped ones run through all rows"
    ),
    back: ChosenJoint = joint_choice("inset", BACKS, "no back, one planted on behind, or one in a rabbet"),
    legs: str = choice("turned", ("turned", "square", "none"), "round or square tapered legs, or none"),
    leg_joint: ChosenJoint = joint_choice(
        "block", LEG_JOINTS, "legs tenoned into blocks under the case, or screwed from inside it"
    ),
    leg_height: float = length("125 mm", "60 mm", "900 mm", "floor to the underside of the case"),
    leg_top: float = length("50 mm", "15 mm", "120 mm", "thickness of a leg at its top, square to its axis"),
    leg_foot: float = length(
        "28 mm", "10 mm", "120 mm", "thickness of a leg at its foot, square to its axis"
    ),
    inset: float = length("60 mm", "0 mm", "400 mm", "outside of the case to a leg, as inset_to says"),
    inset_to: str = choice(
        "axis",
        BLOCK_INSETS_TO,
        "what of a leg inset is measured to: its axis at its top, the outer edge of its top or foot, or its"
        " block",
    ),
    splay: float = angle(5, 0, MOST_LEAN, "lean of the legs outward, left and right"),
    splay_out: float = length(
        "0 mm",
        "0 mm",
        "450 mm",
        "how far the feet stand outside the tops, left and right; 0: as splay says",
    ),
    rake: float = angle(3, 0, MOST_LEAN, "lean of the legs outward, front and back"),
    rake_out: float = length(
        "0 mm", "0 mm", "450 mm", "how far the feet stand outside the tops, front and back; 0: as rake says"
    ),
    block: float = length("90 mm", "30 mm", "300 mm", "side of the block a leg is tenoned into"),
    fit: float = length("0.1 mm", "0 mm", "0.5 mm", "room left at each face of a joint"),
    board: Stock = from_stock(
        "birch-ply-21-2440", "sides, top, bottom, shelves and dividers", ("sheet", "board")
    ),
    back_board: Stock = from_stock("birch-ply-6.5-2440", "the back", ("sheet",)),
    leg_blank: Stock = from_stock("beech-blank-63", "the legs", ("blank", "bar")),
    block_board: Stock = from_stock("beech-8-4-rough", "the blocks", ("board",)),
) -> Piece:
    """Build the case."""
    t = board.thickness_mm
    z0 = 0.0 if legs == "none" else leg_height
    rows, numbers = shelves + 1, ",".join(map(str, dividers))
    named = f"name {len(dividers)} rows, but {shelves} shelves make {rows}"
    require(len(dividers) <= rows, "dividers", named, f"at most {rows} numbers would fit")
    lapped = divider_joint.word == "cross-lap" and shelves > 0
    require(
        not lapped or (len(dividers) == rows and len(set(dividers)) == 1),
        "divider_joint",
        f"dividers that run through the shelves need the same number in all {rows} rows, not {numbers}",
        f"dividers={','.join([str(dividers[0])] * rows)} would fit",
    )
    if divider_joint.word == "screwed":
        for n, (below, above) in enumerate(pairwise(dividers), 1):
            # n dividers stand at the parts of n + 1: two rows share a place where those have a common factor
            hidden = f"dividers of rows {n} and {n + 1} stand over each other and hide each other's screws"
            apart = not below or not above or gcd(below + 1, above + 1) == 1
            require(apart, "divider_joint", hidden, "housing would fit")
    require(width > 3 * t, "width", f"must be more than {3 * t:.1f} mm")
    least = f"must be more than {z0 + 3 * t:.1f} mm, legs and boards"
    require(height - z0 > 3 * t, "height", least)

    draft = Draft("divided_case", "Divided case", fit_mm=fit)
    rear = depth if back.word == "none" else depth - back_board.thickness_mm
    outer = depth if back.word == "inset" else rear
    sides = case_of_boards(draft, board, (0.0, 0.0, z0), (width, outer, height), shelf_joint)
    if back.word != "none":
        i = t if back.word == "inset" else 0.0
        lo, hi = (i, rear, z0 + i), (width - i, depth, height - i)
        behind = draft.board("back", back_board, lo, hi, role="back")
        for edge in sides.values():
            draft.join(edge, behind, back)
        sides["back"] = behind
    room = draft.opening("row", (t, 0.0, z0 + t), (width - t, rear, height - t), **sides)
    if lapped:
        with asked_as("dividers"):
            columns, shelving = equal_clear(dividers[0]), equal_clear(shelves)
            uprights, made, _ = lapped_grid(
                draft, room, board, columns=columns, rows=shelving, upright="divider", cell="row"
            )
        join_ends(draft, room, made, shelf_joint)
        join_ends(draft, room, uprights, shelf_joint, "z")
    else:
        with asked_as("shelves"):
            made, bays = draft.divide(
                room, "z", equal_clear(shelves), board, role="shelf", label="shelf", grain="x"
            )
        join_ends(draft, room, made, shelf_joint)
        for n, (bay, number) in enumerate(zip(bays, dividers, strict=False), 1):
            with asked_as("dividers"):
                uprights, _ = draft.divide(
                    bay, "x", equal_clear(number), board, role="divider", label=f"divider.{n}", grain="z"
                )
            join_ends(draft, bay, uprights, divider_joint, "z")
    if legs != "none":
        on_blocks = leg_joint.word == "block"
        require(on_blocks or inset_to != "block", "inset_to", "there is no block where legs are screwed")
        tall = z0 - block_board.thickness_mm if on_blocks else z0
        require(tall > 0, "leg_height", f"must be more than the block's {block_board.thickness_mm:g} mm")
        lean = {
            "splay": _lean("splay_out", tall, splay_out, splay),
            "rake": _lean("rake_out", tall, rake_out, rake),
        }
        # measured from the outside of the case, a planted back included
        edges = Box((0.0, 0.0, z0), (width, depth, height))
        shape = {"kind": legs, "top": leg_top, "foot": leg_foot, "inset": inset, "inset_to": inset_to}
        leaning = {"leg lean": "splay_out", "lean of the leg": "splay_out"} if splay_out else {}
        with asked_by(LEG_TERMS | leaning, other="block"):
            if on_blocks:
                more = {"block": block, "edges": edges}
                legs_on_blocks(draft, sides["bottom"], leg_blank, block_board, **shape, **lean, **more)
            else:
                under = Box((0.0, 0.0, z0), (width, outer, height))
                for leg in four_legs(draft, leg_blank, under, edges=edges, **shape, **lean):
                    draft.join(sides["bottom"], leg, leg_joint)
    draft.load("all", "folded-textiles")
    return draft.done()


def _lean(name: str, tall: float, out: float, lean: float) -> float:
    """The lean of legs `tall` mm high: as given, or as it brings the feet `out` mm outside the tops."""
    most = foot_out(tall, MOST_LEAN)
    require(out <= most, name, f"must be at most {most:.1f} mm for legs {tall:.1f} mm high, at {MOST_LEAN}°")
    return lean_to_foot(tall, out) if out > 0 else lean
