"""A piece whose title and labels are not what a page expects."""

from furnigen import Draft, Piece, find_stock, housing

HOSTILE = (
    "<script>globalThis.ran = 1</script>",
    "'\"><img src=x onerror=ran=2>",
    "\u05de\u05d3\u05e3",
    "\U0001f3fa &amp; @TITLE@",
)
"""Names that would run in a page that took them for its own: markup, quotes, right to left, an emoji."""


def hostile_piece() -> Piece:
    """A small case whose title and labels are not what a page expects."""
    board = find_stock("birch-ply-18-2440")
    left, right, low, high = HOSTILE
    t = board.thickness_mm
    draft = Draft("case", f"{left} {low} {high} </script></title>")
    draft.board(left, board, (0, 0, 0), (t, 300, 400), grain="z")
    draft.board(right, board, (600 - t, 0, 0), (600, 300, 400), grain="z")
    draft.board(low, board, (t, 0, 40), (600 - t, 300, 40 + t))
    draft.board(high, board, (t, 0, 400 - t), (600 - t, 300, 400))
    draft.opening(
        "<b>room</b>", (t, 0, 40 + t), (600 - t, 300, 400 - t), left=left, right=right, top=high, bottom=low
    )
    for side in (left, right):
        for level in (low, high):
            draft.join(side, level, housing())
    return draft.done()
