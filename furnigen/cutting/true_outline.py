"""The true outline of a part where it lies on a sheet, and of a part by itself."""

from __future__ import annotations

from furnigen.cutting.cut_rows import CutRow
from furnigen.cutting.features import features_of, worked_faces
from furnigen.cutting.layout import Placed
from furnigen.cutting.problem import um

UmPoint = tuple[float, float]


def corner_on_sheet(placed: Placed, x_um: float, y_um: float) -> UmPoint:
    """A point of a part's own frame on the sheet it lies on (micrometres)."""
    a, b = placed.length_um, placed.width_um
    angle = placed.angle or (90 if placed.turned else 0)
    u, v = {0: (x_um, y_um), 90: (b - y_um, x_um), 180: (a - x_um, b - y_um), 270: (y_um, a - x_um)}[angle]
    return placed.x_um + u, placed.y_um + v


def lying_outlines(row: CutRow) -> list[list[UmPoint]]:
    """The true outline of a part and its windows as it lies with its worked face up (micrometres).

    The first is its outline; empty where it is a plain rectangle, or cut out larger than its finished size. A
    part that is worked from below lies turned over about its length.
    """
    board = row.source[0].form.as_board if row.source else None
    if board is None or board.rectangular or row.finished != row.rough:
        return []
    assert row.source is not None
    over = worked_faces(features_of(row.source[0]))[0] == "z-"
    a, b = um(board.length), um(board.width)
    found = []
    for ring in (board.corners, *board.windows):
        points = [(min(max(um(x), 0), a), min(max(um(y), 0), b)) for x, y in ring]
        found.append([(x, b - y) for x, y in points[::-1]] if over else points)
    return found  # type: ignore[return-value]


def lying_point(row: CutRow, x: float, y: float) -> UmPoint:
    """A point of a part's plane (mm) as it lies with its worked face up (micrometres)."""
    assert row.source is not None
    over = worked_faces(features_of(row.source[0]))[0] == "z-"
    return um(x), um(row.finished.width - y if over else y)


def placed_outline(placed: Placed, row: CutRow) -> list[UmPoint]:
    """The corners of a placed part on its sheet (micrometres): its true outline if cut to size."""
    a, b = placed.length_um, placed.width_um
    rings = lying_outlines(row)
    corners: list[UmPoint] = rings[0] if rings else [(0, 0), (a, 0), (a, b), (0, b)]
    return [corner_on_sheet(placed, x, y) for x, y in corners]


def windows_on_sheet(placed: Placed, row: CutRow) -> list[list[UmPoint]]:
    """The windows of a placed part on its sheet (micrometres)."""
    return [[corner_on_sheet(placed, x, y) for x, y in w] for w in lying_outlines(row)[1:]]
