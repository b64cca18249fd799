"""A grid of boards on edge that run through each other, slotted half and half at every crossing."""

from __future__ import annotations

from furnigen.catalogue.stock import Stock
from furnigen.drafting.division import Rule
from furnigen.drafting.draft import Draft
from furnigen.joints.laps import cross_lap
from furnigen.piece.description import Opening


def lapped_grid(
    draft: Draft,
    opening: Opening,
    stock: Stock,
    *,
    columns: Rule,
    rows: Rule,
    upright: str = "upright",
    shelf: str = "shelf",
    cell: str = "cell",
) -> tuple[list[str], list[str], list[Opening]]:
    """Divide an opening into cells with crossing boards, cross-lapped; it is replaced by the cells.

    Args:
        columns, rows: rules that place the uprights across and the shelves up.
        upright, shelf: roles of the boards, which are called upright.1 ..., shelf.1 ...
        cell: openings are called cell.COLUMN.ROW, counted from the left and from below.

    Returns: labels of the uprights, of the shelves, and the cells by column.

    Raises: InputError when a division is impossible.

    >>> from furnigen import Draft, equal_clear, find_stock
    >>> draft = Draft("grid")
    >>> room = draft.opening("room", (0, 0, 0), (900, 300, 600))
    >>> rules = {"columns": equal_clear(2), "rows": equal_clear(1)}
    >>> uprights, shelves, cells = lapped_grid(draft, room, find_stock("birch-ply-18"), **rules)
    >>> len(uprights), len(shelves), len(cells)
    (2, 1, 6)
    """
    t = stock.thickness_mm
    (x0, y0, z0), (x1, y1, z1) = opening.box.lo, opening.box.hi
    xs = [x0 + s for s in columns(x1 - x0, t).starts]
    zs = [z0 + s for s in rows(z1 - z0, t).starts]
    draft.drop_opening(opening)
    uprights = [
        draft.board(f"{upright}.{n}", stock, (x, y0, z0), (x + t, y1, z1), grain="z", role=upright)
        for n, x in enumerate(xs, 1)
    ]
    shelves = [
        draft.board(f"{shelf}.{n}", stock, (x0, y0, z), (x1, y1, z + t), grain="x", role=shelf)
        for n, z in enumerate(zs, 1)
    ]
    for lower in shelves:
        for standing in uprights:
            draft.join(lower, standing, cross_lap())
    sides = dict(opening.bounded_by)
    lefts, rights = [sides.get("left", ""), *uprights], [*uprights, sides.get("right", "")]
    bottoms, tops = [sides.get("bottom", ""), *shelves], [*shelves, sides.get("top", "")]
    across = list(zip([x0, *(x + t for x in xs)], [*xs, x1], strict=True))
    up = list(zip([z0, *(z + t for z in zs)], [*zs, z1], strict=True))
    cells = []
    for i, (a, b) in enumerate(across):
        for j, (low, high) in enumerate(up):
            bounds = {
                **{k: v for k, v in sides.items() if k in ("front", "back")},
                "left": lefts[i],
                "right": rights[i],
                "bottom": bottoms[j],
                "top": tops[j],
            }
            cells.append(
                draft.opening(
                    f"{cell}.{i + 1}.{j + 1}",
                    (a, y0, low),
                    (b, y1, high),
                    **{k: v for k, v in bounds.items() if v},
                )
            )
    return uprights, shelves, cells
