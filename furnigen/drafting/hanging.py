"""Hanging a piece on its wall: which boards are screwed to it, and how."""

from __future__ import annotations

from furnigen.core.errors import InputError
from furnigen.core.wording import as_given
from furnigen.drafting.draft import Draft
from furnigen.drafting.fixing import SCREW_MM, WallFixing


def fix_to_wall(
    draft: Draft,
    label: str,
    wall: str,
    screws: int = 2,
    *,
    diameter: float = SCREW_MM,
    length: float | None = None,
    asked: str | None = None,
) -> None:
    """Screw a board that lies flat against a declared wall to it, in one line along the board.

    What the screws meet is a matter of the room: `Demands.wall_material` says it, studs by default. In
    masonry each takes a plug.

    Args:
        screws: how many, evenly along it.
        diameter, length: of the screws, mm; by default long enough for plasterboard and six diameters of a
            stud.
        asked: the recipe's parameter the screws come from, for refusals.

    Raises: InputError, here or by `Draft.done`, for no screws or more than there is room for, a size that is
        none, a screw that ends in the board, a wall that is not declared, or a board that does not lie flat
        against it.

    >>> from furnigen import Draft, find_stock
    >>> draft, ply = Draft("rail"), find_stock("birch-ply-18@18")
    >>> draft.wall("wall", (0.0, 18.0, 0.0), (0.0, -1.0, 0.0))
    >>> rail = draft.board("rail", ply, (0.0, 0.0, 1000.0), (600.0, 18.0, 1060.0), grain="x")
    >>> fix_to_wall(draft, rail, "wall", screws=3)
    >>> [(j.a, len(j.fasteners[0].sites)) for j in draft.done().joints]
    [('wall', 3)]
    """
    if screws < 1:
        raise InputError(f"screws of {label} into the wall", screws, "must be 1 or more")
    if not diameter > 0:
        raise InputError(f"screw of {label} into the wall", as_given(diameter), "must be more than zero")
    draft.fixings.append(WallFixing(label, wall, screws, diameter, length, asked))
