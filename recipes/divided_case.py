"""A case of two sides and equally spaced fixed shelves, its rows divided, on four leaning legs."""

from furnigen import (
    Box,
    Draft,
    InputError,
    Piece,
    Stock,
    angle,
    asked_as,
    choice,
    count,
    counts,
    equal_clear,
    four_legs,
    from_stock,
    length,
    recipe,
)


@recipe("A case of fixed shelves whose rows are divided by uprights, on four tapered legs")
def divided_case(
    width: float = length("1200 mm", "300 mm", "2.4 m", "overall width of the case"),
    height: float = length("1000 mm", "250 mm", "2.4 m", "overall height, legs included"),
    depth: float = length("350 mm", "150 mm", "700 mm", "overall depth of the case"),
    shelves: int = count(2, 0, 12, "shelves between bottom and top, leaving equal clear rows"),
    dividers: tuple[int, ...] = counts(
        (1, 2, 3), 0, 12, 13, "dividers in each row from the bottom; rows not named get none"
    ),
    back: str = choice(
        "inset", ("none", "planted", "inset"), "no back, one planted on behind, or one between the sides"
    ),
    legs: str = choice("turned", ("turned", "square", "none"), "round or square tapered legs, or none"),
    leg_height: float = length("180 mm", "50 mm", "900 mm", "floor to the underside of the case"),
    leg_top: float = length("42 mm", "15 mm", "120 mm", "thickness of a leg at its top, square to its axis"),
    leg_foot: float = length(
        "24 mm", "10 mm", "120 mm", "thickness of a leg at its foot, square to its axis"
    ),
    inset: float = length("55 mm", "10 mm", "400 mm", "edges of the case to a leg's axis at its top"),
    splay: float = angle(10, 0, 25, "lean of the legs outward, left and right"),
    rake: float = angle(6, 0, 25, "lean of the legs outward, front and back"),
    board: Stock = from_stock(
        "birch-ply-18-2440", "sides, top, bottom, shelves and dividers", ("sheet", "board")
    ),
    back_board: Stock = from_stock("birch-ply-6.5-2440", "the back", ("sheet",)),
    leg_blank: Stock = from_stock("beech-blank-50", "the legs", ("blank", "bar")),
) -> Piece:
    """Build the case."""
    t = board.thickness_mm
    z0 = 0.0 if legs == "none" else leg_height
    rows = shelves + 1
    if len(dividers) > rows:
        raise InputError(
            "dividers",
            ",".join(map(str, dividers)),
            f"name {len(dividers)} rows, but {shelves} shelves make {rows}",
        )
    if width <= 3 * t:
        raise InputError("width", f"{width:g} mm", f"must be more than {3 * t:.1f} mm")
    if height - z0 <= 3 * t:
        raise InputError(
            "height", f"{height:g} mm", f"must be more than {z0 + 3 * t:.1f} mm, legs and boards"
        )

    draft = Draft("divided_case", "Divided case")
    b = back_board.thickness_mm
    rear = depth if back == "none" else depth - b
    side_rear = depth if back == "inset" else rear
    left = draft.board("side.left", board, (0.0, 0.0, z0), (t, side_rear, height), grain="z", role="side")
    right = draft.board(
        "side.right", board, (width - t, 0.0, z0), (width, side_rear, height), grain="z", role="side"
    )
    bottom = draft.board("bottom", board, (t, 0.0, z0), (width - t, rear, z0 + t), grain="x", role="bottom")
    top = draft.board("top", board, (t, 0.0, height - t), (width - t, rear, height), grain="x", role="top")
    sides = {"left": left, "right": right, "bottom": bottom, "top": top}
    if back != "none":
        x = t if back == "inset" else 0.0
        sides["back"] = draft.board(
            "back", back_board, (x, rear, z0), (width - x, depth, height), role="back"
        )
    room = draft.opening("row", (t, 0.0, z0 + t), (width - t, rear, height - t), **sides)
    with asked_as("shelves", shelves):
        _, bays = draft.divide(room, "z", equal_clear(shelves), board, role="shelf", label="shelf", grain="x")
    for n, (bay, number) in enumerate(zip(bays, dividers, strict=False), 1):
        with asked_as("dividers", ",".join(map(str, dividers))):
            draft.divide(
                bay, "x", equal_clear(number), board, role="divider", label=f"divider.{n}", grain="z"
            )
    if legs != "none":
        four_legs(
            draft,
            leg_blank,
            Box((0.0, 0.0, z0), (width, rear, height)),
            kind=legs,
            top=leg_top,
            foot=leg_foot,
            inset=inset,
            rake=rake,
            splay=splay,
        )
    return draft.done()
