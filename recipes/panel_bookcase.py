"""A bookcase of upright panels on a plinth, with a back, in equal bays."""

from itertools import pairwise

from furnigen import (
    Draft,
    InputError,
    Piece,
    Stock,
    asked_as,
    count,
    equal_clear,
    from_stock,
    length,
    recipe,
)


@recipe("A bookcase of upright panels on a plinth, with a back: bays side by side, shelves in each")
def panel_bookcase(
    width: float = length("1800 mm", "300 mm", "4.8 m", "overall width"),
    height: float = length("2000 mm", "400 mm", "2.8 m", "overall height"),
    depth: float = length("320 mm", "150 mm", "700 mm", "overall depth, back included"),
    plinth: float = length("80 mm", "30 mm", "250 mm", "height of the plinth"),
    toe: float = length("40 mm", "0 mm", "150 mm", "how far the plinth stays back from the front"),
    bays: int = count(2, 1, 12, "bays side by side"),
    shelves: int = count(4, 0, 16, "shelves in each bay, leaving equal clear heights"),
    board: Stock = from_stock("birch-ply-18-2440", "panels, shelves and plinth", ("sheet", "board")),
    back_board: Stock = from_stock("birch-ply-6.5-2440", "the back", ("sheet",)),
) -> Piece:
    """Build the bookcase."""
    t, b = board.thickness_mm, back_board.thickness_mm
    rear = depth - b
    if toe + 2 * t >= rear:
        raise InputError(
            "toe", f"{toe:g} mm", f"must be less than {rear - 2 * t:.1f} mm to leave room for the plinth"
        )
    if height - plinth <= 3 * t:
        raise InputError(
            "height", f"{height:g} mm", f"must be more than {plinth + 3 * t:.1f} mm, plinth and boards"
        )
    draft = Draft("panel_bookcase", "Panel bookcase")
    left = draft.board("side.left", board, (0.0, 0.0, 0.0), (t, rear, height), grain="z", role="side")
    right = draft.board(
        "side.right", board, (width - t, 0.0, 0.0), (width, rear, height), grain="z", role="side"
    )
    inner = (t, width - t)
    bottom = draft.board(
        "bottom", board, (inner[0], 0.0, plinth), (inner[1], rear, plinth + t), grain="x", role="bottom"
    )
    top = draft.board(
        "top", board, (inner[0], 0.0, height - t), (inner[1], rear, height), grain="x", role="top"
    )
    for name, y in (("front", toe), ("back", rear - t)):
        draft.board(
            f"plinth.{name}", board, (inner[0], y, 0.0), (inner[1], y + t, plinth), grain="x", role="plinth"
        )
    room = draft.opening(
        "bay",
        (inner[0], 0.0, plinth + t),
        (inner[1], rear, height - t),
        left=left,
        right=right,
        bottom=bottom,
        top=top,
    )
    with asked_as("bays", bays):
        panels, columns = draft.divide(
            room, "x", equal_clear(bays - 1), board, role="upright", label="upright", grain="z"
        )
    for n, column in enumerate(columns, 1):
        with asked_as("shelves", shelves):
            draft.divide(
                column, "z", equal_clear(shelves), board, role="shelf", label=f"shelf.{n}", grain="x"
            )
    # one back for each bay, meeting on the middle of the upright they are fixed to
    seams = [0.0, *(draft.box(p).centre[0] for p in panels), width]
    for n, (x0, x1) in enumerate(pairwise(seams), 1):
        draft.board(f"back.{n}", back_board, (x0, rear, plinth), (x1, depth, height), grain="z", role="back")
    return draft.done()
