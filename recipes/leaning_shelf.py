"""Two posts that lean against the wall, with level shelves between them that grow shallower upward."""

from math import acos, atan2, cos, degrees, hypot, radians, sin, tan

from furnigen import (
    LEANING_DATUMS,
    SHELF_DATUMS,
    SHELF_FACES,
    ChosenJoint,
    Draft,
    Piece,
    Pose,
    Prism,
    Stock,
    angle,
    asked_as,
    butt,
    choice,
    count,
    dowelled,
    fix_to_wall,
    from_stock,
    housing,
    joint_choice,
    length,
    levels,
    recipe,
    require,
)

SHALLOWEST_MM = 80.0
LEAST_LEAN, MOST_LEAN = 4, 25
JOINTS = {"housing": housing(), "dowelled": dowelled(), "screwed": butt()}
BEARS_SCREWS_MM = 10.0
UNDER_RAIL_MM = 1.0
"""Room left between the last shelf and the rail at least. Our own choice."""
TWO_FASTENERS_MM = 56.0
"""From this height on there is room for two dowels or screws in the end of the rail."""
RAIL_JOINTS = {"dowelled": dowelled(), "screwed": butt()}


@recipe(
    "Leaning posts with level shelves between them, shallower upward", f"{LEANING_DATUMS}\n{SHELF_DATUMS}"
)
def leaning_shelf(
    width: float = length("700 mm", "250 mm", "1.6 m", "overall width"),
    height: float = length("1900 mm", "500 mm", "2.6 m", "overall height"),
    lean: float = angle(10, LEAST_LEAN, MOST_LEAN, "lean of the posts from upright, toward the wall"),
    out: float = length("0 mm", "0 mm", "1.5 m", "the wall to the front of the foot; 0: as lean says"),
    post: float = length("90 mm", "40 mm", "200 mm", "width of a post, square to its length"),
    shelves: int = count(5, 1, 12, "shelves at equal steps"),
    first: float = length("250 mm", "20 mm", "1.2 m", "floor to the first shelf, as first_to says"),
    first_to: str = choice("underside", SHELF_FACES, "what of the first shelf first is measured to"),
    below_top: float = length(
        "250 mm", "20 mm", "1.2 m", "top of the posts to the last shelf, as last_to says"
    ),
    last_to: str = choice("top", SHELF_FACES, "what of the last shelf below_top is measured to"),
    joint: ChosenJoint = joint_choice("housing", JOINTS, "how shelves meet the posts"),
    rail: float = length("60 mm", "30 mm", "150 mm", "height of the rail by which it is screwed to the wall"),
    rail_joint: ChosenJoint = joint_choice("dowelled", RAIL_JOINTS, "how the rail meets the posts"),
    screws: int = count(2, 1, 6, "screws of the rail into the wall: each must meet a stud or a plug"),
    fit: float = length("0.1 mm", "0 mm", "0.5 mm", "room left at each face of a joint"),
    post_board: Stock = from_stock("birch-ply-24-2440", "posts", ("sheet", "board")),
    shelf_board: Stock = from_stock("birch-ply-18-2440", "shelves and the rail", ("sheet", "board")),
) -> Piece:
    """Build the shelf."""
    t, s = post_board.thickness_mm, shelf_board.thickness_mm
    require(width > 3 * t, "width", f"must be more than {3 * t:.1f} mm")
    with asked_as("shelves"):
        heights = levels(height, shelves, first, below_top, s, last_to, first_to=first_to)
    if out > 0:
        lean = _lean_to(out, height, post)
    a = radians(lean)
    level = post / cos(a)  # width of a post measured level
    wall = _wall(height, post, lean)
    touch = level / 2 / tan(a)  # height of the plumb cut
    require(touch < height, "post", f"is too wide for a height of {height:g} mm at this lean")
    require(
        rail <= touch, "rail", f"must be at most {touch:.1f} mm, the height by which the posts touch the wall"
    )
    require(
        s < level / 2, "shelf_board", f"is {s:g} mm thick, and the tops of the posts {level / 2:.1f} mm deep"
    )
    require(
        s >= BEARS_SCREWS_MM,
        "shelf_board",
        f"is {s:g} mm thick: the head of a screw pulls through a rail of it",
    )
    last = wall - (heights[-1] + s) * tan(a)
    enough = below_top + (SHALLOWEST_MM - last) / tan(a)
    require(
        last >= SHALLOWEST_MM,
        "below_top",
        f"leaves the last shelf {last:.1f} mm deep",
        f"a larger lean or at least {enough:.1f} mm would fit",
    )
    require(below_top > rail, "below_top", f"must be more than {rail:g} mm, the height of the rail")

    draft = Draft("leaning_shelf", "Leaning shelf", fit_mm=fit)
    draft.wall("wall", (0.0, wall, 0.0), (0.0, -1.0, 0.0))

    def along(y: float, z: float) -> tuple[float, float]:
        """A point of the post in its own length and width."""
        return (y * sin(a) + z * cos(a), y * cos(a) - z * sin(a))

    corners = tuple(
        along(y, z)
        for y, z in (
            (0.0, 0.0),
            (height * tan(a), height),
            (wall, height),
            (wall, height - touch),
            (level, 0.0),
        )
    )
    form = Prism(max(p[0] for p in corners), post, t, corners)
    up, out = (0.0, sin(a), cos(a)), (0.0, cos(a), -sin(a))
    posts = [
        draft.place(
            f"post.{name}",
            form,
            post_board,
            Pose.columns(up, out, (-1.0, 0.0, 0.0), (x, 0.0, 0.0)),
            role="post",
        )
        for name, x in (("left", t), ("right", width))
    ]
    made = [
        draft.board(
            f"shelf.{n}",
            shelf_board,
            (t, (z + s) * tan(a), z),  # the upper front edge lies in the front of the posts
            (width - t, wall, z + s),
            grain="x",
            role="shelf",
        )
        for n, z in enumerate(heights, 1)
    ]
    for shelf in made:
        for side in posts:
            draft.join(side, shelf, joint)
    most = height - heights[-1] - s - UNDER_RAIL_MM
    require(
        rail <= most,
        "rail",
        f"must be {most:.1f} mm or less to stay above the last shelf"
        if most > 0
        else "has no room above the last shelf",
        "a larger below_top makes room",
    )
    # a rail between the tops of the posts lies flat on the wall: through it the shelf is screwed there
    held = draft.board(
        "rail", shelf_board, (t, wall - s, height - rail), (width - t, wall, height), grain="x", role="rail"
    )
    for side in posts:
        draft.join(side, held, rail_joint.with_fasteners(2 if rail >= TWO_FASTENERS_MM else 1))
    fix_to_wall(draft, held, "wall", screws, asked="screws")
    tops = [*zip(heights[1:], made[1:], strict=True), (height - rail, held)]
    for n, (z, below, (top, above)) in enumerate(zip(heights, made, tops, strict=True), 1):
        sides = {"left": posts[0], "right": posts[1], "bottom": below, "top": above}
        draft.opening(
            f"bay.{n}",
            (t, (z + s) * tan(a), z + s),
            (width - t, wall, top),
            **{k: v for k, v in sides.items() if v},
        )
    draft.load("all", "folded-textiles")
    return draft.done()


def _wall(height: float, post: float, lean: float) -> float:
    """The front of the foot to the wall (mm): half the top stays level, the rest is cut plumb to the wall."""
    a = radians(lean)
    return height * tan(a) + post / cos(a) / 2


def _lean_to(out: float, height: float, post: float) -> float:
    """The lean (degrees) that brings the front of the foot `out` from the wall.

    out cos a - height sin a = post / 2: a cosine of a sum of two angles.
    """
    low, high = (_wall(height, post, lean) for lean in (LEAST_LEAN, MOST_LEAN))
    must = f"must be from {low:.1f} mm to {high:.1f} mm for posts {height:g} mm high"
    require(low <= out <= high, "out", must)
    return degrees(acos(post / 2 / hypot(out, height)) - atan2(height, out))
