"""A wall-hung grid of crossing boards, lapped into each other, on a rail fixed to the wall."""

from furnigen import (
    Box,
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


@recipe("A wall-hung grid of crates: crossing boards lapped into each other")
def crate_wall(
    width: float = length("1200 mm", "200 mm", "2.4 m", "overall width"),
    height: float = length("900 mm", "200 mm", "2.4 m", "overall height of the grid"),
    depth: float = length("250 mm", "80 mm", "500 mm", "depth from the wall"),
    above_floor: float = length("900 mm", "0 mm", "2 m", "floor to the underside of the grid"),
    columns: int = count(4, 1, 12, "crates side by side"),
    rows: int = count(3, 1, 12, "crates one above the other"),
    rail: float = length("60 mm", "30 mm", "150 mm", "height of the rail that is screwed to the wall"),
    board: Stock = from_stock("birch-ply-12-2440", "all boards", ("sheet", "board")),
) -> Piece:
    """Build the grid."""
    t = board.thickness_mm
    z0, z1 = above_floor, above_floor + height
    if min(width, height) <= 3 * t:
        raise InputError(
            "board", board.name, f"of {t:g} mm is too thick for a grid of {min(width, height):g} mm"
        )
    draft = Draft("crate_wall", "Crate wall")
    draft.wall("wall", (0.0, depth, 0.0), (0.0, -1.0, 0.0))
    left = draft.board("side.left", board, (0.0, 0.0, z0), (t, depth, z1), grain="z", role="side")
    right = draft.board("side.right", board, (width - t, 0.0, z0), (width, depth, z1), grain="z", role="side")
    bottom = draft.board("bottom", board, (t, 0.0, z0), (width - t, depth, z0 + t), grain="x", role="bottom")
    top = draft.board("top", board, (t, 0.0, z1 - t), (width - t, depth, z1), grain="x", role="top")
    with asked_as("columns", columns):
        across = equal_clear(columns - 1)(width - 2 * t, t)
    with asked_as("rows", rows):
        up = equal_clear(rows - 1)(height - 2 * t, t)
    if up.clear[-1] <= rail:
        raise InputError(
            "rail", f"{rail:g} mm", f"must be less than {up.clear[-1]:.1f} mm, the clear height of a crate"
        )
    xs = [t + s for s in across.starts]
    zs = [z0 + t + s for s in up.starts]
    uprights = [
        draft.board(
            f"upright.{n}", board, (x, 0.0, z0 + t), (x + t, depth, z1 - t), grain="z", role="upright"
        )
        for n, x in enumerate(xs, 1)
    ]
    shelves = [
        draft.board(f"shelf.{n}", board, (t, 0.0, z), (width - t, depth, z + t), grain="x", role="shelf")
        for n, z in enumerate(zs, 1)
    ]
    # at a crossing the upright gives its front half, the shelf its back half
    for upright, x in zip(uprights, xs, strict=True):
        for shelf, z in zip(shelves, zs, strict=True):
            draft.cut(upright, Box((x, 0.0, z), (x + t, depth / 2, z + t)), "cross lap")
            draft.cut(shelf, Box((x, depth / 2, z), (x + t, depth, z + t)), "cross lap")
    lefts, rights = [left, *uprights], [*uprights, right]
    bottoms, tops = [bottom, *shelves], [*shelves, top]
    x_ends = list(zip([t, *(x + t for x in xs)], [*xs, width - t], strict=True))
    z_ends = list(zip([z0 + t, *(z + t for z in zs)], [*zs, z1 - t], strict=True))
    for i, (x0, x1) in enumerate(x_ends):
        draft.board(
            f"rail.{i + 1}",
            board,
            (x0, depth - t, z1 - t - rail),
            (x1, depth, z1 - t),
            grain="x",
            role="rail",
        )
        for j, (a, b) in enumerate(z_ends):
            last = j == len(z_ends) - 1
            draft.opening(
                f"crate.{i + 1}.{j + 1}",
                (x0, 0.0, a),
                (x1, depth - (t if last else 0.0), b),
                left=lefts[i],
                right=rights[i],
                bottom=bottoms[j],
                top=tops[j],
            )
    return draft.done()
