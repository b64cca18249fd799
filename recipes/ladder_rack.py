"""Ladders of two posts and rungs; shelves lie on the rungs between the posts."""

from itertools import pairwise

from furnigen import (
    Draft,
    InputError,
    Piece,
    Stock,
    asked_as,
    butt,
    choice,
    count,
    dowelled,
    from_stock,
    ladder_upright,
    length,
    levels,
    recipe,
    tenon,
    upright_places,
    wedged_tenon,
)

RUNG_JOINTS = {"tenoned": tenon, "wedged": wedged_tenon, "dowelled": dowelled, "screwed": butt}


@recipe("Ladder uprights, shelves lying on their rungs")
def ladder_rack(
    width: float = length("1600 mm", "400 mm", "6 m", "length of the shelves, overhangs included"),
    depth: float = length("450 mm", "150 mm", "900 mm", "depth of the ladders, front to back"),
    height: float = length("1900 mm", "300 mm", "2.8 m", "height of the posts"),
    ladders: int = count(3, 2, 40, "ladders at equal steps"),
    overhang: float = length("120 mm", "0 mm", "600 mm", "how far the shelves reach past the end ladders"),
    shelves: int = count(4, 1, 16, "shelves at equal steps"),
    first: float = length("200 mm", "20 mm", "1.5 m", "floor to the underside of the first shelf"),
    below_top: float = length("150 mm", "20 mm", "1.5 m", "top of the last shelf to the top of the posts"),
    post: float = length("38 mm", "18 mm", "120 mm", "width of a post, front to back"),
    rung: float = length("60 mm", "15 mm", "120 mm", "height of a rung"),
    rung_joint: str = choice("tenoned", RUNG_JOINTS, "how rungs meet the posts"),
    fit: float = length("0.1 mm", "0 mm", "0.5 mm", "room left at each face of a joint"),
    post_board: Stock = from_stock("spruce-2x2", "posts", ("board", "bar", "sheet")),
    rung_board: Stock = from_stock("spruce-2x3", "rungs", ("board", "bar", "sheet")),
    shelf_board: Stock = from_stock("birch-ply-15-2440", "shelves", ("sheet", "board")),
) -> Piece:
    """Build the rack."""
    t, s = post_board.thickness_mm, shelf_board.thickness_mm
    run = width - 2 * overhang
    if run <= 2 * t:
        raise InputError(
            "overhang",
            f"{overhang:g} mm",
            f"leaves a run of {run:.1f} mm for the ladders",
            f"less than {(width - 2 * t) / 2:.1f} mm would fit",
        )
    with asked_as("ladders", ladders):
        starts = [overhang + x for x in upright_places(run, ladders, t)]
    if shelves > 1 and below_top < rung:
        raise InputError("below_top", f"{below_top:g} mm", f"must be at least {rung:g} mm, the top rung")
    with asked_as("shelves", shelves):
        heights = levels(height, shelves, first, below_top, s)
    if first < rung:
        raise InputError("first", f"{first:g} mm", f"must be at least {rung:g} mm, the height of a rung")
    if heights[-1] + s > height - rung:
        raise InputError(
            "first", f"{first:g} mm", f"must be at most {height - rung - s:.1f} mm, below the top rung"
        )
    if shelves > 1 and heights[1] - heights[0] - s < rung:
        raise InputError(
            "shelves",
            shelves,
            f"leave {heights[1] - heights[0] - s:.1f} mm between them, less than a rung of {rung:g} mm",
            "fewer shelves or lower rungs would fit",
        )
    draft = Draft("ladder_rack", "Ladder rack", fit_mm=fit)
    # a rung under every shelf, and one that ties the posts at the top
    tops = (*heights, height)
    made = []
    for n, x in enumerate(starts, 1):
        with asked_as("post", f"{post:g} mm"):
            made.append(
                ladder_upright(
                    draft,
                    f"ladder.{n}",
                    post_board,
                    rung_board,
                    x=x,
                    depth=depth,
                    height=height,
                    post=post,
                    rung=rung,
                    rung_tops=tops,
                )
            )
    labels = []
    for n, z in enumerate(heights, 1):
        lo, hi = (0.0, post, z), (width, depth - post, z + s)
        with asked_as("post", f"{post:g} mm"):
            labels.append(draft.board(f"shelf.{n}", shelf_board, lo, hi, grain="x", role="shelf"))
    for ladder in made:
        for name, label in ladder.items():
            if name not in ("front", "back"):
                draft.join(
                    ladder["front"], label, RUNG_JOINTS[rung_joint](), asked=("rung_joint", rung_joint)
                )
                draft.join(ladder["back"], label, RUNG_JOINTS[rung_joint](), asked=("rung_joint", rung_joint))
        for n, label in enumerate(labels, 1):
            draft.join(ladder[f"rung.{n}"], label, butt(), asked=("shelf_board", shelf_board.name))
    floors = [(0.0, "")] + [(z + s, label) for z, label in zip(heights, labels, strict=True)]
    ceilings = [*zip(heights, labels, strict=True), (height, "")]
    for n, (a, b) in enumerate(pairwise(starts), 1):
        for m, ((z0, below), (z1, above)) in enumerate(zip(floors, ceilings, strict=True)):
            sides = {"left": made[n - 1]["front"], "right": made[n]["front"], "bottom": below, "top": above}
            bounds = {k: v for k, v in sides.items() if v}
            with asked_as("ladders", ladders):
                draft.opening(f"bay.{n}.{m}", (a + t, post, z0), (b, depth - post, z1), **bounds)
    draft.load("all", "books")
    return draft.done()
