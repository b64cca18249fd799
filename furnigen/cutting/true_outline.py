"""The true outline of a part where it lies on a sheet, and of a part by itself."""

from __future__ import annotations

from furnigen.cutting.cut_rows import CutRow
from furnigen.cutting.features import features_of, worked_faces
from furnigen.cutting.layout import Placed, Rect
from furnigen.cutting.problem import um

UmPoint = tuple[float, float]
GRID = 24
"""A part is so many squares each way where room for its name is sought."""


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


def room_for_words(placed: Placed, row: CutRow) -> Rect:
    """A large rectangle of material within a placed part: all of it if it is one; never in a window.

    Other parts may lie in its windows and in the corners of the rectangle round it.
    """
    whole = Rect(placed.x_um, placed.y_um, placed.along_x_um, placed.along_y_um)
    if not lying_outlines(row):
        return whole
    rings = [placed_outline(placed, row), *windows_on_sheet(placed, row)]
    xs = [whole.x_um + whole.along_x_um * (k + 0.5) / GRID for k in range(GRID)]
    ys = [whole.y_um + whole.along_y_um * (k + 0.5) / GRID for k in range(GRID)]
    heights = [0] * GRID
    best = (0.0, 0, 0, GRID, GRID)
    for j, y in enumerate(ys):
        heights = [h + 1 if in_material(x, y, rings) else 0 for h, x in zip(heights, xs, strict=True)]
        for i in range(GRID):
            low = GRID
            for k in range(i, GRID):
                low = min(low, heights[k])
                if not low:
                    break
                wide, high = whole.along_x_um * (k - i + 1), whole.along_y_um * low
                best = max(best, (wide * high * 1.0, i, j - low + 1, k - i + 1, low))
    area, i, j, across, up = best
    if not area:
        return whole
    step_x, step_y = whole.along_x_um // GRID, whole.along_y_um // GRID
    return Rect(whole.x_um + i * step_x, whole.y_um + j * step_y, across * step_x, up * step_y)


def in_material(x: float, y: float, rings: list[list[UmPoint]]) -> bool:
    """Whether a point is within the outline and outside all windows."""
    inside = False
    for ring in rings:
        for (x0, y0), (x1, y1) in zip(ring, [*ring[1:], ring[0]], strict=True):
            if (y0 > y) != (y1 > y) and x < x0 + (x1 - x0) * (y - y0) / (y1 - y0):
                inside = not inside
    return inside
