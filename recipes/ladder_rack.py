"""Ladders of two posts and rungs; shelves lie on the rungs between the posts."""

from furnigen import (
    SHELF_DATUMS,
    SHELF_FACES,
    ChosenJoint,
    Draft,
    Piece,
    Stock,
    asked_as,
    butt,
    choice,
    count,
    dowelled,
    from_stock,
    joint_choice,
    ladder_upright,
    length,
    levels,
    open_bays,
    recipe,
    room_under,
    shelves_through,
    tenon,
    upright_places,
    wedged_tenon,
)

RUNG_JOINTS = {"tenoned": tenon(), "wedged": wedged_tenon(), "dowelled": dowelled(), "screwed": butt()}


@recipe("Ladder uprights, shelves lying on their rungs", SHELF_DATUMS)
def ladder_rack(
    width: float = length("1600 mm", "400 mm", "6 m", "length of the shelves, overhangs included"),
    depth: float = length("450 mm", "150 mm", "900 mm", "depth of the ladders, front to back"),
    height: float = length("1900 mm", "300 mm", "2.8 m", "height of the posts"),
    ladders: int = count(4, 2, 40, "ladders at equal steps"),
    overhang: float = length("120 mm", "0 mm", "600 mm", "how far the shelves reach past the end ladders"),
    shelves: int = count(4, 1, 16, "shelves at equal steps"),
    first: float = length("200 mm", "20 mm", "1.5 m", "floor to the first shelf, as first_to says"),
    first_to: str = choice("underside", SHELF_FACES, "what of the first shelf first is measured to"),
    below_top: float = length(
        "150 mm", "20 mm", "1.5 m", "top of the posts to the last shelf, as last_to says"
    ),
    last_to: str = choice("top", SHELF_FACES, "what of the last shelf below_top is measured to"),
    post: float = length("38 mm", "18 mm", "120 mm", "width of a post, front to back"),
    rung: float = length("60 mm", "15 mm", "120 mm", "height of a rung"),
    rung_joint: ChosenJoint = joint_choice("tenoned", RUNG_JOINTS, "how rungs meet the posts"),
    fit: float = length("0.1 mm", "0 mm", "0.5 mm", "room left at each face of a joint"),
    post_board: Stock = from_stock("spruce-2x2", "posts", ("board", "bar", "sheet")),
    rung_board: Stock = from_stock("spruce-2x3", "rungs", ("board", "bar", "sheet")),
    shelf_board: Stock = from_stock("birch-ply-15-2440", "shelves", ("sheet", "board")),
) -> Piece:
    """Build the rack."""
    t, s = post_board.thickness_mm, shelf_board.thickness_mm
    with asked_as("ladders"):
        starts = upright_places(width, ladders, t, overhang=overhang)
    with asked_as("shelves"):
        heights = levels(height, shelves, first, below_top, s, last_to, first_to=first_to, rail=rung)
        room_under(heights, s, rung, "rung")
    draft = Draft("ladder_rack", "Ladder rack", fit_mm=fit)
    # a rung under every shelf, and one that ties the posts at the top
    tops = (*heights, height)
    with asked_as("post"):
        sizes = {"depth": depth, "height": height, "post": post, "rung": rung, "rung_tops": tops}
        made = [
            ladder_upright(draft, f"ladder.{n}", post_board, rung_board, x=x, **sizes)
            for n, x in enumerate(starts, 1)
        ]
        labels = shelves_through(draft, shelf_board, heights, width, post, depth - post)
    for ladder in made:
        rungs = [ladder[f"rung.{n}"] for n in range(1, len(tops) + 1)]
        for label in rungs:
            draft.join(ladder["front"], label, rung_joint)
            draft.join(ladder["back"], label, rung_joint)
        for label, shelf in zip(rungs, labels, strict=False):
            draft.join(label, shelf, butt(), asked="shelf_board")
    with asked_as("ladders"):
        open_bays(draft, [ladder["front"] for ladder in made], labels, height)
    draft.load("all", "books")
    return draft.done()
