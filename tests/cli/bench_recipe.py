"""A small recipe that the tests of the commands make, spoil and refuse."""

BENCH = """
from furnigen import Draft, count, from_stock, length, recipe

@recipe("A bench of two sides and a seat")
def bench(
    width: float = length("900 mm", "300 mm", "2 m", "overall width"),
    board=from_stock("birch-ply-18-2440", "all boards", ("sheet",)),
    seats: int = count(1, 1, 3, "seats, one above the other"),
):
    t = board.thickness_mm
    draft = Draft("bench")
    draft.board("side.left", board, (0, 0, 0), (t, 300, 420), grain="z")
    draft.board("side.right", board, (width - t, 0, 0), (width, 300, 420), grain="z")
    for n in range(seats):
        draft.board(f"seat.{n + 1}", board, (0, 0, 420 + n * t), (width, 300, 420 + (n + 1) * t), role="top")
    return draft.done()
"""
