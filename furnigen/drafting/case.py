"""Corners of a case: two sides with a bottom and a top between them."""

from __future__ import annotations

from furnigen.catalogue.stock import Stock
from furnigen.core.pose import Vector
from furnigen.drafting.draft import Draft
from furnigen.joints.chosen import ChosenJoint, Joining, settled_joint
from furnigen.joints.housing import Housing, rabbet


def case_of_boards(
    draft: Draft,
    stock: Stock,
    lo: Vector,
    hi: Vector,
    joint: Joining,
    *,
    raised: float = 0.0,
    bottom_back: float | None = None,
) -> dict[str, str]:
    """Place two sides, and a bottom and a top joined between them, that fill a box (mm).

    A housing at the very end of a side would have one cheek only: there it is made a rabbet.

    Args:
        stock: of all four boards.
        lo, hi: corners of the box.
        joint: how bottom and top meet the sides.
        raised: foot of the sides to the underside of the bottom, such as for a plinth.
        bottom_back: where the bottom ends at the back, when it stays before the sides' back edges.

    Returns: labels by the side of the room within: left, right, bottom, top, as `Draft.opening` takes them.

    Raises: InputError when the boards have no room or the joint does not suit them.

    >>> from furnigen import Draft, find_stock, housing
    >>> draft = Draft("box")
    >>> case_of_boards(draft, find_stock("birch-ply-18-2440"), (0, 0, 0), (900, 300, 600), housing())
    {'left': 'side.left', 'right': 'side.right', 'bottom': 'bottom', 'top': 'top'}
    """
    t = stock.thickness_mm
    (x0, y0, z0), (x1, y1, z1) = lo, hi
    low = z0 + raised
    left = draft.board("side.left", stock, lo, (x0 + t, y1, z1), grain="z", role="side")
    right = draft.board("side.right", stock, (x1 - t, y0, z0), hi, grain="z", role="side")
    back = y1 if bottom_back is None else bottom_back
    bottom = draft.board("bottom", stock, (x0 + t, y0, low), (x1 - t, back, low + t), grain="x")
    top = draft.board("top", stock, (x0 + t, y0, z1 - t), (x1 - t, y1, z1), grain="x")
    at_end = _at_end(joint)
    for side in (left, right):
        draft.join(side, bottom, joint if raised > 0 else at_end)
        draft.join(side, top, at_end)
    return {"left": left, "right": right, "bottom": bottom, "top": top}


def _at_end(joint: Joining) -> Joining:
    """A joint as it is made at the very end of a board."""
    spec, _ = settled_joint(joint)
    if not isinstance(spec, Housing):
        return joint
    return joint.cut_as(rabbet()) if isinstance(joint, ChosenJoint) else rabbet()
