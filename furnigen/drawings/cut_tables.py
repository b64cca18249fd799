"""What a part sheet states, as rows of its table: every cut from one datum, its size, depth and face."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import inf

from furnigen.core.pose import Vector
from furnigen.cutting.joint_words import Sides
from furnigen.drawings.angles import angle_figure
from furnigen.drawings.figures import figure_of
from furnigen.drawings.part_data import SQUARE_TILT, PartData, StatedCut
from furnigen.paper.frame import CELL_MM, Column, Row
from furnigen.paper.lettering import width_of, words_of
from furnigen.paper.page import Point

HEADS = ("no", "what", "face", "x", "y", "z", "size: x, y, z", "depth")
TABLE_TEXT = 2.0
"""Height of capitals in tables (mm)."""
MOST_PLACES = 6
"""More places than this in equal steps are told by their step."""
STEP_MM = 0.02
SHARES = (0.05, 0.24, 0.09, 0.21, 0.09, 0.09, 0.14, 0.09)
"""Of the width of the table."""


def table_columns(wide: float, rows: Sequence[Row]) -> tuple[Column, ...]:
    """The columns of a table of some width (mm), wide enough for the longest figure or word in each.

    What a column lacks the others give, each by what it has to spare.
    """
    widths = [wide * s for s in SHARES]
    cells = [HEADS, *(r.cells for r in rows if not r.spans)]
    least = [
        max(width_of(w, TABLE_TEXT) for c in cells for w in words_of(c[k])) + 2 * CELL_MM + 0.1
        for k in range(len(HEADS))
    ]
    spare = [max(w - n, 0.0) for w, n in zip(widths, least, strict=True)]
    lacking = sum(max(n - w, 0.0) for w, n in zip(widths, least, strict=True))
    if 0.0 < lacking <= sum(spare):
        share = lacking / sum(spare)
        widths = [max(w, n) - share * s for w, n, s in zip(widths, least, spare, strict=True)]
    return tuple(Column(h, w) for h, w in zip(HEADS, widths, strict=True))


def table_rows(data: PartData, sides: Sides, units: str) -> list[Row]:
    """The table of a board: cuts by number, corners of its outline and windows; empty for a plain board."""
    rows: list[Row] = []
    for cut in data.cuts:
        rows += [Row(cells) for cells in _cells(cut, data.size, sides, units)]
    for name, (x, y) in outline_points(data):
        rows.append(Row(("", name, "", figure_of(x, units), figure_of(y, units), "", "", "")))
    if rows:
        said = "from corner 0, the part lying as first drawn: x along it, y across, z up from the bench"
        rows.insert(0, Row((said, *[""] * 7), spans=True))
    return rows


def outline_points(data: PartData) -> list[tuple[str, Point]]:
    """Corners of an outline that is no rectangle, and of windows, each with its name (mm)."""
    found = [(f"outline {k}", p) for k, p in enumerate(data.outline, 1)]
    for n, window in enumerate(data.windows, 1):
        found += [(f"window {n}, {k}", p) for k, p in enumerate(window, 1)]
    return found


_Cells = tuple[str, ...]


def _cells(cut: StatedCut, board: Vector, sides: Sides, units: str) -> list[_Cells]:
    """A cut as lines of the table: one, or one more for each of its corners."""
    if cut.shape == "outline":
        return [_line(cut, sides, size=_saw(cut.angle))]
    if cut.shape == "hull":
        return _hull(cut, board, sides, units)

    depth = "through" if cut.depth == inf else figure_of(cut.depth, units)
    what, size = cut.what, f"⌀{figure_of(cut.diameter, units)}"
    if cut.shape == "box":
        size = " x ".join(figure_of(v, units) for v in cut.size)
    elif cut.tilt > SQUARE_TILT:
        what += f", {angle_figure(cut.tilt)} off square"
        if cut.face[0] == "z":
            what += f" along a line {angle_figure(cut.sightline)} from x towards y"
    lines: list[_Cells] = []
    for places in _rows_of_places(cut):
        x, y, z = (_at(cut, axis, places, units) for axis in range(3))
        if not lines:
            lines.append(_line(cut, sides, x, y, z, size, depth, what))
        else:
            lines.append(("", "and", "", x, y, z, "", ""))
    if cut.shape == "hole" and cut.tilt > SQUARE_TILT and cut.depth < inf:
        ends = [tuple(p[k] + cut.toward[k] * cut.depth for k in range(3)) for p in cut.places]
        cells = (_places([e[k] for e in ends], units) for k in range(3))
        lines.append(("", "the middle of its bottom", "", *cells, "", ""))
    return lines


def _at(cut: StatedCut, axis: int, places: Sequence[Vector], units: str) -> str:
    """A coordinate of some places; none along the depth of a cut, which is stated from its face."""
    if "xyz"[axis] == cut.face[0] and (axis != 0 or cut.shape == "box"):
        return ""
    if axis == 2 and cut.depth == inf and cut.face[0] == "z":
        return ""
    return _places([p[axis] for p in places], units)


def _rows_of_places(cut: StatedCut) -> list[tuple[Vector, ...]]:
    """The places of like cuts by lines of the table: all of a grid on one, else those in line on one each."""
    rows: dict[tuple[float, float], list[Vector]] = {}
    for p in cut.places:
        rows.setdefault((round(p[1], 3), round(p[2], 3)), []).append(p)
    xs = {tuple(round(p[0], 3) for p in row) for row in rows.values()}
    grid = len(xs) == 1 and (len({y for y, _ in rows}) == 1 or len({z for _, z in rows}) == 1)
    return [cut.places] if grid else [tuple(row) for row in rows.values()]


def _line(
    cut: StatedCut,
    sides: Sides,
    x: str = "",
    y: str = "",
    z: str = "",
    size: str = "",
    depth: str = "",
    what: str = "",
) -> _Cells:
    return (str(cut.number), what or cut.what, sides.name(cut.face), x, y, z, size, depth)


def _places(values: list[float], units: str) -> str:
    """Coordinates of like cuts, each once; many in equal steps by the first, the step and the last."""
    distinct = sorted({round(v, 3) for v in values})
    step = equal_step(distinct)
    if len(distinct) > MOST_PLACES and step:
        first, last, each = (figure_of(v, units) for v in (distinct[0], distinct[-1], step))
        return f"{first} to {last} in {len(distinct) - 1} steps of {each}"
    return ", ".join(dict.fromkeys(figure_of(v, units) for v in values))


def equal_step(values: Sequence[float]) -> float:
    """From value to value, in order, where all steps are equal; 0 where they are not."""
    gaps = [b - a for a, b in pairwise(values)]
    return gaps[0] if gaps and max(gaps) - min(gaps) < STEP_MM else 0.0


def _saw(angle: tuple[float, float]) -> str:
    return ", ".join(
        f"{what} {angle_figure(value)}"
        for what, value in zip(("gauge", "blade"), angle, strict=True)
        if value > SQUARE_TILT
    )


def _hull(cut: StatedCut, board: Vector, sides: Sides, units: str) -> list[_Cells]:
    """A slanted cut: the corners of its section or outline, and how far it runs."""
    run = next((k for k in range(3) if all(p[k] is None for p in cut.stated)), None)
    size, start = _saw(cut.angle), ["", "", ""]
    depth = "" if cut.depth == inf else figure_of(cut.depth, units)
    if cut.size[0] > 0:
        size = f"{figure_of(cut.size[0], units)} wide"
    elif run is not None:
        low, high = min(p[run] for p in cut.corners), max(p[run] for p in cut.corners)
        if high - low < board[run] - 0.1:
            size = f"{figure_of(high - low, units)} along {'xyz'[run]}"
            start[run] = _places([p[run] + low - cut.corners[0][run] for p in cut.places], units)
    if run == 2 and cut.size[0] > 0 and cut.depth == inf:
        depth = "through"
    lines = [_line(cut, sides, start[0], start[1], start[2], size, depth)]
    for number, point in enumerate(cut.stated, 1):
        cells = ["", "", ""]
        for axis, value in enumerate(point):
            if value is None:
                continue
            shift = [p[axis] - cut.places[0][axis] for p in cut.places]
            cells[axis] = _places([value + s for s in shift], units)
        name = "corner" if cut.angle == (0.0, 0.0) else "sawn through point"
        lines.append(("", f"{name} {number}", "", *cells, "", ""))
    return lines
