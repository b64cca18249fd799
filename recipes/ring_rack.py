"""A run of ring-frame uprights; thin shelves pass through all of them and overhang both ends.

The frames' boards stand on edge, so that a frame is a thin outline as seen along the run, or lie flat in it.
"""

from furnigen import (
    RING_BOARDS,
    RING_BUILDS,
    SHELF_DATUMS,
    SHELF_FACES,
    ChosenJoint,
    Draft,
    Piece,
    RingSizes,
    Stock,
    asked_as,
    butt,
    carry_shelves,
    check_bearer,
    choice,
    count,
    dowelled,
    finger_joint,
    from_stock,
    half_lap,
    housing,
    joint_choice,
    length,
    levels,
    mitre,
    open_bays,
    rabbet,
    recipe,
    require,
    ring_corner,
    ring_upright,
    room_under,
    shelf_support,
    shelves_through,
    tenon,
    upright_places,
)

CORNERS = {
    "usual": None,
    "glued": mitre(),
    "spline": mitre("spline"),
    "key": mitre("key"),
    "dowelled": dowelled(),
    "tenoned": tenon(),
    "half-lap": half_lap(),
    "screwed": butt(),
    "rabbet": rabbet(),
    "finger": finger_joint(),
}
SUPPORTS = {
    "usual": None,
    "bearer": None,  # bearers and rails meet the uprights as bearer_joint says
    "rail": None,
    "cleat": butt(),
    "notch": housing(),
    "screws": butt(),
}
BEARER_JOINTS = {"dowelled": dowelled(), "tenoned": tenon(), "screwed": butt()}


@recipe("A run of ring-frame uprights with thin shelves passing through them", SHELF_DATUMS)
def ring_rack(
    width: float = length("1800 mm", "500 mm", "6 m", "length of the shelves, overhangs included"),
    depth: float = length("400 mm", "150 mm", "900 mm", "depth of the frames, front to back"),
    height: float = length("1800 mm", "300 mm", "2.8 m", "height of the frames"),
    frames: int = count(4, 2, 40, "frames at equal steps, the end ones an overhang in from the shelf ends"),
    overhang: float = length("150 mm", "0 mm", "600 mm", "how far the shelves reach past the end frames"),
    shelves: int = count(4, 1, 16, "shelves at equal steps"),
    first: float = length("250 mm", "20 mm", "1.5 m", "floor to the first shelf, as first_to says"),
    first_to: str = choice("underside", SHELF_FACES, "what of the first shelf first is measured to"),
    below_top: float = length(
        "200 mm", "20 mm", "1.5 m", "top of the frames to the last shelf, as last_to says"
    ),
    last_to: str = choice("top", SHELF_FACES, "what of the last shelf below_top is measured to"),
    boards: str = choice(
        "on edge",
        RING_BOARDS,
        "how the frames' boards stand: on edge, their thickness shows in the frame's outline and their width"
        " runs along the run; flat, their width lies in the plane of the frame",
    ),
    member: float = length(
        "60 mm",
        "10 mm",
        "150 mm",
        "width of the frame's boards: along the run on edge, in its plane flat",
    ),
    build: str = choice(
        "mitred", RING_BUILDS, "how a frame is made: its corners, or sawn from one sheet (flat only)"
    ),
    corner: ChosenJoint = joint_choice(
        "usual", CORNERS, "how the frame's corners are joined; usual: splined mitres, dowelled butts"
    ),
    support: ChosenJoint = joint_choice(
        "usual",
        SUPPORTS,
        "what carries a shelf: standing bearers, lying rails, cleats on the boards, notches in them or screws"
        " through them; usual: rails on edge, bearers flat, cleats where a frame is one piece",
    ),
    bearer_joint: ChosenJoint = joint_choice(
        "dowelled", BEARER_JOINTS, "how bearers or rails under shelves meet the uprights"
    ),
    bearer: float = length("40 mm", "15 mm", "120 mm", "height of the bearers or cleats"),
    fit: float = length("0.1 mm", "0 mm", "0.5 mm", "room left at each face of a joint"),
    frame_board: Stock = from_stock("birch-ply-21-2440", "frames and bearers", ("sheet", "board")),
    shelf_board: Stock = from_stock("birch-ply-12-2440", "shelves", ("sheet", "board")),
) -> Piece:
    """Build the rack."""
    t, s = frame_board.thickness_mm, shelf_board.thickness_mm
    sizes = RingSizes(frame_board, member, boards)
    on_edge, rail = sizes.on_edge, sizes.outline
    support = shelf_support(support, build, sizes)
    saw = "a frame sawn from one sheet lies flat in it"
    require(build != "one piece" or not on_edge, "build", saw, "boards=flat would fit")
    corner = ring_corner(corner, build, sizes)
    with asked_as("member" if on_edge else "frames"):
        starts = upright_places(width, frames, sizes.along, overhang=overhang)
    on_cleats = support.word == "cleat"
    with asked_as("frame_board"):
        sizes.check_window(depth, height, strips=2 if on_cleats else 0)
    clear = height - 2 * rail
    takes = f"is {s:g} mm thick, and the frames' windows are {clear:.1f} mm high"
    require(not 0 < clear <= s, "shelf_board", takes, f"less than {clear:.1f} mm would fit")
    check_bearer(support, sizes)
    tall = {"rail": t, "notch": 0.0, "screws": 0.0}.get(support.word, bearer)
    with asked_as("shelves"):
        heights = levels(height, shelves, first, below_top, s, last_to, first_to=first_to, rail=rail)
        room_under(heights, s, tall, support.word, rail=rail, above_rail=on_edge or not on_cleats)
    between = starts[1] - starts[0] - t
    tight = f"leave {between:.1f} mm between them, and two cleats need {2 * t:.1f} mm"
    require(on_edge or not on_cleats or between > 2 * t, "frames", tight, "fewer frames would fit")

    draft = Draft("ring_rack", "Ring rack", fit_mm=fit)
    with asked_as("member"):
        sizing = {"depth": depth, "height": height, "member": member, "build": build, "boards": boards}
        rings = [
            ring_upright(draft, f"frame.{n}", frame_board, x=x, corner=corner, **sizing)
            for n, x in enumerate(starts, 1)
        ]
        # a shelf lies in the windows, its edges against the front and back boards of every frame
        labels = shelves_through(draft, shelf_board, heights, width, rail, depth - rail)
    uprights = [ring["front"] for ring in rings]
    draft.note_pitch("frames", uprights, "x")
    draft.note_pitch("shelves", labels, "z")
    cleats = carry_shelves(
        draft, rings, labels, support, tall=bearer, bearer_joint=bearer_joint, asked="shelf_board"
    )
    with asked_as("frames"):
        open_bays(draft, uprights, labels, height, cleats)
    draft.load("all", "folded-textiles")
    return draft.done()
