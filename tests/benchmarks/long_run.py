"""A run of housed shelving along a studio wall, as long as one likes: for measuring what size costs."""

from furnigen import Draft, Piece, Stock, count, from_stock, housing, length, recipe


@recipe("Shelving along a wall: uprights on the floor, shelves housed in them")
def long_run(
    bays: int = count(125, 1, 2000, "bays side by side"),
    levels: int = count(9, 1, 16, "shelves in each bay"),
    pitch: float = length("618 mm", "200 mm", "1000 mm", "from upright to upright"),
    height: float = length("2200 mm", "1000 mm", "2400 mm", "overall height"),
    depth: float = length("300 mm", "150 mm", "600 mm", "overall depth"),
    board: Stock = from_stock("birch-ply-18-2440", "uprights and shelves", ("sheet", "board")),
) -> Piece:
    """Build the run."""
    thick = board.thickness_mm
    draft = Draft("long_run", "Shelving along a wall", fit_mm=0.1)
    uprights = []
    for k in range(bays + 1):
        low, high = (pitch * k, 0.0, 0.0), (pitch * k + thick, depth, height)
        uprights.append(draft.board(f"upright.{k + 1}", board, low, high, grain="z", role="upright"))
    step = (height - 100.0 - thick) / levels
    for k in range(bays):
        for n in range(levels):
            z = 100.0 + step * n
            low, high = (pitch * k + thick, 0.0, z), (pitch * (k + 1), depth, z + thick)
            shelf = draft.board(f"shelf.{k + 1}.{n + 1}", board, low, high, grain="x", role="shelf")
            for upright in (uprights[k], uprights[k + 1]):
                draft.join(upright, shelf, housing())
    draft.load("all", "dishes")
    return draft.done()
