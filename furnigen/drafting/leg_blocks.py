"""Legs on mounting blocks under a case: each block is bored at its leg's compound angle for a round tenon."""

from __future__ import annotations

from furnigen.catalogue.stock import Stock
from furnigen.core.errors import InputError
from furnigen.core.pose import Box
from furnigen.core.wording import in_words
from furnigen.drafting.arrays import CORNERS, corner_points
from furnigen.drafting.draft import Draft
from furnigen.drafting.legs import INSETS_TO, four_legs, leg_insets
from furnigen.joints.fastened import butt
from furnigen.joints.round_tenons import round_tenon

BLOCK_INSETS_TO = (*INSETS_TO, "block")
"""What of a leg on a block its inset is measured to: also the block's outer edges."""


def legs_on_blocks(
    draft: Draft,
    case: str,
    leg_stock: Stock,
    block_stock: Stock,
    *,
    kind: str = "turned",
    top: float,
    foot: float,
    inset: float,
    rake: float = 0.0,
    splay: float = 0.0,
    inset_to: str = "axis",
    block: float,
    tenon: float | None = None,
    through: bool = False,
    screws: int = 2,
    edges: Box | None = None,
) -> tuple[list[str], list[str]]:
    """Four legs from the floor into square blocks screwed under a case (mm, degrees).

    Args:
        case: label of the board the blocks are screwed to, its underside level.
        kind, top, foot, inset, rake, splay: as in `four_legs`; the top is where the leg meets its block.
        edges: the outside of the case that insets are measured from, such as sides beyond the board and a
            back planted on behind; the board's own when None.
        inset_to: one of BLOCK_INSETS_TO.
        block: side of a block; it is as thick as its stock, and its middle is the leg's axis.
        tenon: diameter of the round tenon; None for the usual share of the leg.
        through: the tenon goes through its block.
        screws: in each of two lines in each block.

    Returns: labels of the legs, and of the blocks block.front.left ...

    Raises: InputError when a block reaches past the case or meets another, or as `four_legs` and the joints.

    >>> from furnigen import Draft, find_stock
    >>> draft, blank, block = Draft("stool"), find_stock("beech-blank-50"), find_stock("beech-6-4")
    >>> seat = draft.board("seat", find_stock("birch-ply-18"), (0, 0, 400), (400, 400, 417.6))
    >>> legs, blocks = legs_on_blocks(draft, seat, blank, block, top=40, foot=25, inset=60, block=90)
    >>> blocks[0]
    'block.front.left'
    """
    box = draft.box(case)
    z = box.lo[2] - block_stock.thickness_mm
    if inset_to == "block":
        inset, inset_to = inset + block / 2, "axis"
    across, deep = leg_insets(kind, z, top, foot, inset, rake, splay, inset_to)
    outside = edges or box
    near = min(across, deep)
    if not top < block <= 2 * near:
        raise InputError(
            "side of a leg block",
            in_words(block),
            f"must be more than the leg's {in_words(top)} and at most {in_words(2 * near)}",
            "the latter is twice the inset of the leg's axis",
        )
    under = Box((outside.lo[0], outside.lo[1], z), outside.hi)
    legs = four_legs(
        draft,
        leg_stock,
        under,
        kind=kind,
        top=top,
        foot=foot,
        inset=inset,
        rake=rake,
        splay=splay,
        inset_to=inset_to,
    )
    middles = corner_points(under, across, deep, 0.0)
    apart = min(middles[1][0] - middles[0][0], middles[3][1] - middles[0][1])
    if block > apart:
        raise InputError(
            "side of a leg block",
            in_words(block),
            f"must be at most {in_words(apart)}, where two blocks meet",
            "set the legs closer to the corners, or make the case larger",
        )
    blocks = []
    for leg, corner, (x, y, _) in zip(legs, CORNERS, middles, strict=True):
        lo, hi = (x - block / 2, y - block / 2, z), (x + block / 2, y + block / 2, box.lo[2])
        blocks.append(draft.board(f"block.{corner}", block_stock, lo, hi, grain="x", role="leg block"))
        draft.join(case, blocks[-1], butt(screws, lines=2))
        draft.join(blocks[-1], leg, round_tenon(tenon, through=through))
    return legs, blocks
