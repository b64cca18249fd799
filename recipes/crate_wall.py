"""A wall-hung grid of crossing boards, lapped into each other, on rails fixed to the wall."""

from furnigen import (
    ChosenJoint,
    Draft,
    Fact,
    Piece,
    Stock,
    asked_as,
    butt,
    case_of_boards,
    count,
    dowelled,
    equal_clear,
    fix_to_wall,
    from_stock,
    housing,
    join_ends,
    joint_choice,
    lapped_grid,
    length,
    recipe,
    require,
)

BEARS_SCREWS_MM = 10.0
JOINTS = {"housing": housing(), "dowelled": dowelled(), "screwed": butt(screws=3)}


@recipe("A wall-hung grid of crates: crossing boards lapped into each other")
def crate_wall(
    width: float = length("1200 mm", "200 mm", "2.4 m", "overall width"),
    height: float = length("900 mm", "200 mm", "2.4 m", "overall height of the grid"),
    depth: float = length("250 mm", "80 mm", "500 mm", "depth from the wall"),
    above_floor: float = length("900 mm", "0 mm", "2 m", "floor to the underside of the grid"),
    columns: int = count(4, 1, 12, "crates side by side"),
    rows: int = count(3, 1, 12, "crates one above the other"),
    rail: float = length("60 mm", "30 mm", "150 mm", "height of the rails that are screwed to the wall"),
    screws: int = count(3, 1, 6, "screws of each rail into the wall: every one must meet a stud or a plug"),
    joint: ChosenJoint = joint_choice("housing", JOINTS, "how the ends of the boards meet the frame"),
    fit: float = length("0.1 mm", "0 mm", "0.5 mm", "room left at each face of a joint"),
    board: Stock = from_stock("birch-ply-12-2440", "sides, uprights and shelves", ("sheet", "board")),
    rail_board: Stock = from_stock("birch-ply-18-2440", "the rails", ("sheet", "board")),
) -> Piece:
    """Build the grid."""
    t = board.thickness_mm
    r = rail_board.thickness_mm
    z0, z1 = above_floor, above_floor + height
    thin = f"is {r:g} mm thick: the head of a screw pulls through a rail thinner than {BEARS_SCREWS_MM:g} mm"
    require(r >= BEARS_SCREWS_MM, "rail_board", thin)
    require(r < depth, "rail_board", f"is {r:g} mm thick, and the grid is {depth:g} mm deep")
    small = min(width, height)
    thick = f"is {t:g} mm thick, too much for a grid of {small:g} mm"
    require(small > 3 * t, "board", thick, f"less than {small / 3:.1f} mm would fit")
    draft = Draft("crate_wall", "Crate wall", fit_mm=fit)
    draft.wall("wall", (0.0, depth, 0.0), (0.0, -1.0, 0.0))
    sides = case_of_boards(draft, board, (0.0, 0.0, z0), (width, depth, z1), joint)
    room = draft.opening("room", (t, 0.0, z0 + t), (width - t, depth, z1 - t), **sides)
    with asked_as("columns"):
        equal_clear(columns - 1)(room.clear_mm[0], t)
    with asked_as("rows"):
        clear = equal_clear(rows - 1)(room.clear_mm[2], t).clear[-1]
    require(rail < clear, "rail", f"must be less than {clear:.1f} mm, the clear height of a crate")
    uprights, shelves, cells = lapped_grid(
        draft, room, board, columns=equal_clear(columns - 1), rows=equal_clear(rows - 1), cell="crate"
    )
    join_ends(draft, room, shelves, joint)
    join_ends(draft, room, uprights, joint, "z")
    # a rail under the top in every upper crate: through it the grid is screwed to the wall
    for n, cell in enumerate(cells[rows - 1 :: rows], 1):
        (x0, _, _), (x1, _, high) = cell.box.lo, cell.box.hi
        lo, hi = (x0, depth - r, high - rail), (x1, depth, high)
        label = draft.board(
            f"rail.{n}", rail_board, lo, hi, grain="x", role="rail", facts=Fact.FIXED_TO_THE_WALL
        )
        draft.join(sides["top"], label, butt(), asked="rail_board")
        fix_to_wall(draft, label, "wall", screws, asked="screws")
        draft.drop_opening(cell)
        draft.opening(cell.label, cell.box.lo, (x1, depth - r, high), **dict(cell.bounded_by))
    draft.load("all", "glazed-ware")
    return draft.done()
