"""A bookcase of upright panels on a plinth, with a back, in equal bays."""

from itertools import pairwise
from math import ceil

from furnigen import (
    ChosenJoint,
    Draft,
    Opening,
    Piece,
    Stock,
    asked_as,
    butt,
    case_of_boards,
    count,
    cross_bolt,
    dowelled,
    equal_clear,
    from_stock,
    housing,
    join_ends,
    joint_choice,
    length,
    on_pin_rows,
    rabbet,
    recipe,
    require,
    shelf_pins,
)

JOINTS = {"housing": housing(), "dowelled": dowelled(), "screwed": butt(), "knock-down": cross_bolt()}
PLINTH_IN_MM = 50.0
NARROWEST_MM = 40.0
"""In a narrower bay no screw into the plinth keeps clear of the uprights. Our own choice."""
PITCH_MM = 32.0
PIN_DEPTH_MM = 12.5
"""Usual shelf-pin holes (common practice, no source); two from both sides meet in a thinner upright."""


@recipe("A bookcase of upright panels on a plinth, with a back: bays side by side, shelves in each")
def panel_bookcase(
    width: float = length("1700 mm", "300 mm", "4.8 m", "overall width"),
    height: float = length("2000 mm", "400 mm", "2.8 m", "overall height"),
    depth: float = length("320 mm", "150 mm", "700 mm", "overall depth, back included"),
    plinth: float = length("80 mm", "30 mm", "250 mm", "height of the plinth"),
    toe: float = length("40 mm", "0 mm", "150 mm", "how far the plinth stays back from the front"),
    bays: int = count(2, 1, 12, "bays side by side"),
    shelves: int = count(4, 0, 16, "shelves in each bay, leaving equal clear heights"),
    case_joint: ChosenJoint = joint_choice(
        "housing", JOINTS, "how bottom, uprights and fixed shelves are joined"
    ),
    shelf_joint: ChosenJoint = joint_choice(
        "fixed", {"fixed": None, "pins": None}, "shelves fixed like the case, or loose on pins"
    ),
    back_joint: ChosenJoint = joint_choice(
        "rabbet", {"rabbet": rabbet(), "planted": butt()}, "back let into the case, or planted on behind"
    ),
    fit: float = length("0.1 mm", "0 mm", "0.5 mm", "room left at each face of a joint"),
    board: Stock = from_stock("birch-ply-18-2440", "panels, shelves and plinth", ("sheet", "board")),
    back_board: Stock = from_stock("birch-ply-6.5-2440", "the back", ("sheet",)),
) -> Piece:
    """Build the bookcase."""
    t, b = board.thickness_mm, back_board.thickness_mm
    rear = depth - b
    require(
        toe + 2 * t < rear, "toe", f"must be less than {rear - 2 * t:.1f} mm to leave room for the plinth"
    )
    least = f"must be more than {plinth + 3 * t:.1f} mm, plinth and boards"
    require(height - plinth > 3 * t, "height", least)
    screwed = shelf_joint.word == "fixed" and case_joint.word in ("screwed", "knock-down")
    require(
        bays == 1 or not shelves or not screwed,
        "case_joint",
        "an upright between two bays hides the heads of what would hold its second shelf",
        "case_joint=housing, shelf_joint=pins or bays=1 would fit",
    )
    clear = (width - (bays + 1) * t) / bays
    most = int((width - t) // (NARROWEST_MM + t))
    require(
        clear >= NARROWEST_MM,
        "bays",
        f"must leave bays {NARROWEST_MM:.0f} mm wide or more, not {max(clear, 0.0):.1f} mm",
        f"at most {most} would fit" if most else "a wider case would do",
    )
    draft = Draft("panel_bookcase", "Panel bookcase", fit_mm=fit)
    rabbeted = back_joint.word == "rabbet"
    outer = depth if rabbeted else rear
    low, high = t, width - t
    sides = case_of_boards(
        draft, board, (0.0, 0.0, 0.0), (width, outer, height), case_joint, raised=plinth, bottom_back=rear
    )
    left, right, bottom, top = (sides[side] for side in ("left", "right", "bottom", "top"))
    # the rear plinth stays clear of the screws that hold the back
    for name, y in (("front", toe), ("back", rear - t - min(PLINTH_IN_MM, (rear - toe - 2 * t) / 2))):
        board_label = draft.board(
            f"plinth.{name}", board, (low, y, 0.0), (high, y + t, plinth), grain="x", role="plinth"
        )
        draft.join(bottom, board_label, butt(), asked="plinth")
        for side in (left, right):
            draft.join(side, board_label, butt(), asked="plinth")

    room = draft.opening("bay", (low, 0.0, plinth + t), (high, rear, height - t), **sides)
    with asked_as("bays"):
        panels, columns = draft.divide(
            room, "x", equal_clear(bays - 1), board, role="upright", label="upright", grain="z"
        )
    join_ends(draft, room, panels, case_joint, "z")
    _shelves(draft, columns, (left, right), shelves, board, case_joint, shelf_joint, plinth + t)

    # one back for each bay, meeting on the middle of the upright they are fixed to
    ends = (low, high) if rabbeted else (0.0, width)
    seams = [ends[0], *(draft.box(p).centre[0] for p in panels), ends[1]]
    upper = height - t if rabbeted else height
    behind = [left, *panels, right]
    for n, (x0, x1) in enumerate(pairwise(seams), 1):
        back = draft.board(
            f"back.{n}", back_board, (x0, rear, plinth), (x1, depth, upper), grain="z", role="back"
        )
        draft.join(bottom, back, back_joint.cut_as(butt()))
        draft.join(top, back, back_joint)
        for edge in (behind[n - 1], behind[n]):
            # two backs share an upright's edge: too little wood for screws, so they are glued
            shared = back_joint.cut_as(butt(screws=0, glued=True))
            draft.join(edge, back, back_joint if edge in (left, right) else shared)
    draft.load("all", "books")
    return draft.done()


def _shelves(
    draft: Draft,
    columns: list[Opening],
    outer: tuple[str, str],
    shelves: int,
    board: Stock,
    case_joint: ChosenJoint,
    shelf_joint: ChosenJoint,
    floor: float,
) -> None:
    """Shelves of each bay, fixed like the case or on pins."""
    t = board.thickness_mm
    # the lowest hole of a side: the first of the pattern from its foot that is clear of the bottom board
    first = PITCH_MM * ceil((floor + PITCH_MM) / PITCH_MM)
    for n, column in enumerate(columns, 1):
        on_pins = shelf_joint.word == "pins"
        with asked_as("shelves"):
            rule = equal_clear(shelves)
            # pins stand on the 32 mm pattern of the outer panels; an upright starts on the bottom board
            rule = on_pin_rows(rule, floor, first=first) if on_pins and shelves else rule
            labels, _ = draft.divide(column, "z", rule, board, role="shelf", label=f"shelf.{n}", grain="x")
        if not on_pins:
            join_ends(draft, column, labels, case_joint)
            continue
        for label in labels:
            for end in (column.bound("left"), column.bound("right")):
                outermost = end in outer
                through = not outermost and t < 2 * PIN_DEPTH_MM
                pins = shelf_pins(first if outermost else None, through=through)
                draft.join(end, label, shelf_joint.cut_as(pins))
