"""The true outline of a part where it lies on a sheet, and of a part by itself."""

from __future__ import annotations

from furnigen.cutting.cut_rows import CutRow
from furnigen.cutting.layout import Placed
from furnigen.cutting.problem import um

UmPoint = tuple[float, float]


def corner_on_sheet(placed: Placed, x_um: float, y_um: float) -> UmPoint:
    """A point of a part's own frame on the sheet it lies on (micrometres)."""
    a, b = placed.length_um, placed.width_um
    angle = placed.angle or (90 if placed.turned else 0)
    u, v = {0: (x_um, y_um), 90: (b - y_um, x_um), 180: (a - x_um, b - y_um), 270: (y_um, a - x_um)}[angle]
    return placed.x_um + u, placed.y_um + v


def placed_outline(placed: Placed, row: CutRow) -> list[UmPoint]:
    """The corners of a placed part on its sheet (micrometres): its true outline where it is cut out to size."""
    board = row.source[0].form.as_board if row.source else None
    a, b = placed.length_um, placed.width_um
    corners: list[UmPoint] = [(0, 0), (a, 0), (a, b), (0, b)]
    if board is not None and not board.rectangular and row.finished == row.rough:
        corners = [(min(max(um(x), 0), a), min(max(um(y), 0), b)) for x, y in board.corners]
    return [corner_on_sheet(placed, x, y) for x, y in corners]


def windows_on_sheet(placed: Placed, row: CutRow) -> list[list[UmPoint]]:
    """The windows of a placed part on its sheet (micrometres)."""
    board = row.source[0].form.as_board if row.source else None
    if board is None or row.finished != row.rough:
        return []
    return [[corner_on_sheet(placed, um(x), um(y)) for x, y in w] for w in board.windows]
