"""Each part as DXF for a router: origin at its lower left corner, layers by depth and tool, hole schedule.

A face that is worked on is a drawing of its own, as the part lies with that face up: `NAME.dxf` for the face
with most to do, `NAME-under.dxf` for the other, turned over about its length. Lines:

    cut_through            the outline and all that is cut right through, closed
    outline                the same in the second drawing, where it is cut already: to line up by
    pocket_6.5             a groove or pocket 6.5 deep, closed
    drill_5_12 / _through  holes by diameter and depth, from this face
    edge_drill_8_30        holes into an edge or end: a mark for where and how deep, never machined from above
    saw                    cuts the router does not make: a mitre or bevel, its settings beside it
    label, schedule        text only
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from furnigen.cutting.contours import Corner, through_contours, with_arcs
from furnigen.cutting.cut_rows import CutRow
from furnigen.cutting.features import (
    Feature,
    Hole,
    Other,
    Pocket,
    SawnEnd,
    Slanted,
    features_of,
    worked_faces,
)
from furnigen.cutting.joint_words import size_text
from furnigen.paper.dxf import dxf_bytes
from furnigen.paper.page import Arc, Contour, Item, Pen, Point, Text, line
from furnigen.parts.forms.form import Board

CUT, OUTLINE, LABEL, SCHEDULE, SAW = "cut_through", "outline", "label", "schedule", "saw"
THIN = Pen(0.25)
DASHED = Pen(0.25, "dashed")
SQUARE_TILT = 0.05
"""A hole less askew than this (degrees) is drilled from above."""


def depth_name(mm: float) -> str:
    """A depth or diameter in the name of a layer: at most two decimals, none that is not needed."""
    return f"{mm:.2f}".rstrip("0").rstrip(".")


def part_files(rows: Iterable[CutRow], units: str = "mm") -> dict[str, bytes]:
    """DXF files of the board-like parts, by the name of each; finished sizes, millimetres.

    Args:
        units: of the words in them.
    """
    found: dict[str, bytes] = {}
    for row in rows:
        board = row.source[0].form.as_board if row.source else None
        if board is None:
            continue
        assert row.source is not None
        features = features_of(row.source[0])
        up, under = worked_faces(features)
        found[row.part] = dxf_bytes(_drawing(row, board, features, up, units), _layers())
        if under:
            second = _drawing(row, board, features, under, units, outline=OUTLINE)
            found[f"{row.part}-under"] = dxf_bytes(second, _layers())
    return found


def _layers() -> list[tuple[str, str]]:
    return [(CUT, "red"), (LABEL, "grey"), (SCHEDULE, "grey"), (SAW, "magenta")]


class _Side:
    """The part's plane as it lies with one face up: seen from above, turned over about its length."""

    def __init__(self, board: Board, up: str) -> None:
        self.board, self.up = board, up
        self.flipped = up == "z-"

    def point(self, x: float, y: float) -> Point:
        return (x + 0.0, (self.board.width - y if self.flipped else y) + 0.0)

    def contour(self, corners: Sequence[Corner], layer: str, pen: Pen = THIN) -> Contour:
        """An outline on a layer; turned over, it runs the other way round again."""
        if not self.flipped:
            return Contour(tuple(corners), pen, layer)
        n = len(corners)
        # the side from corner k to k + 1 is met from its other end, and mirrored: its bulge stays
        turned = [(*self.point(corners[k][0], corners[k][1]), corners[k - 1][2]) for k in range(n)]
        return Contour(tuple(turned[::-1]), pen, layer)


def _drawing(
    row: CutRow, board: Board, features: Sequence[Feature], up: str, units: str, outline: str = CUT
) -> list[Item]:
    side = _Side(board, up)
    items: list[Item] = [side.contour(c, outline) for c in through_contours(board, features)]
    schedule: list[str] = []
    for f in features:
        if isinstance(f, Pocket):
            items += _pocket(f, side)
        elif isinstance(f, Slanted) and not f.through and f.face == up:
            items.append(side.contour(with_arcs(f.outline), f"pocket_{depth_name(f.depth)}"))
        elif isinstance(f, Hole):
            items += _hole(f, side, schedule, units)
        elif isinstance(f, SawnEnd | Other):
            items += _by_saw(f, side)
    return [*items, *_words(row, board, up, schedule, units)]


def _pocket(p: Pocket, side: _Side) -> list[Item]:
    if p.through:
        return []  # in the outline
    box = [(p.lo[0], p.lo[1]), (p.hi[0], p.lo[1]), (p.hi[0], p.hi[1]), (p.lo[0], p.hi[1])]
    if p.face[0] != "z":
        mark = [(x, y, 0.0) for x, y in box]
        return [side.contour(mark, f"edge_pocket_{depth_name(p.depth)}", DASHED)]
    if p.face != side.up:
        return []
    return [side.contour([(x, y, 0.0) for x, y in box], f"pocket_{depth_name(p.depth)}")]


def _hole(h: Hole, side: _Side, schedule: list[str], units: str) -> list[Item]:
    across = depth_name(h.diameter)
    depth = "through" if h.through else depth_name(h.depth)
    x, y = side.point(h.at[0], h.at[1])
    said = (
        f"d {size_text(h.diameter, units)}, {'through' if h.through else size_text(h.depth, units) + ' deep'}"
    )
    if h.face[0] == "z" and h.tilt < SQUARE_TILT:
        if h.face != side.up and not h.through:
            return []
        schedule.append(f"x {size_text(x, units)}, y {size_text(y, units)}: {said}")
        return [Arc((x, y), h.diameter / 2, pen=THIN, layer=f"drill_{across}_{depth}")]
    # into an edge, or askew: a mark from where it enters, along its way
    ex, ey = side.point(h.at[0] + h.toward[0] * h.depth, h.at[1] + h.toward[1] * h.depth)
    where = (
        f"height {size_text(_height(h.at[2], side), units)}"
        if h.face[0] != "z"
        else f"{h.tilt:.1f} deg off square"
    )
    kind = "edge" if h.face[0] != "z" else "askew"
    schedule.append(f"{kind} at x {size_text(x, units)}, y {size_text(y, units)}, {where}: {said}")
    layer = f"{kind}_drill_{across}_{depth}"
    r = h.diameter / 2
    dx, dy = ex - x, ey - y
    long = (dx * dx + dy * dy) ** 0.5
    if long < 1e-6:
        return [Arc((x, y), r, pen=DASHED, layer=layer)]
    nx, ny = -dy / long * r, dx / long * r
    ends = ((x + nx, y + ny), (ex + nx, ey + ny), (ex - nx, ey - ny), (x - nx, y - ny))
    sides = [line(a, b, DASHED, layer) for a, b in pairwise(ends)]
    return [*sides, line((x, y), (ex, ey), Pen(0.25, "chain"), layer)]


def _height(z: float, side: _Side) -> float:
    """Height of a hole in an edge above the face the part lies on (mm)."""
    return side.board.thickness - z if side.flipped else z


def _by_saw(f: SawnEnd | Other, side: _Side) -> list[Item]:
    """A mark and words for what is sawn, not routed."""
    board = side.board
    if isinstance(f, Other):
        lo, hi = f.lo, f.hi
        corners = [(lo[0], lo[1], 0.0), (hi[0], lo[1], 0.0), (hi[0], hi[1], 0.0), (lo[0], hi[1], 0.0)]
        x, y = side.point(lo[0], hi[1] if side.flipped else lo[1])
        return [side.contour(corners, SAW, DASHED), Text((x, y), f"{f.name}, slanted", 4.0, layer=SAW)]
    if f.bevel < SQUARE_TILT:
        return []  # the outline shows it
    x = 0.0 if f.face == "x-" else board.length
    y = board.width / 2
    if f.face[0] == "y":
        x, y = board.length / 2, (0.0 if f.face == "y-" else board.width)
    said = f"{f.name}: gauge {f.mitre:.1f} deg, blade {f.bevel:.1f} deg"
    turn = 90.0 if f.face[0] == "x" else 0.0
    return [Text(side.point(x, y), said, 4.0, "middle", "middle", turn, layer=SAW)]


def _words(row: CutRow, board: Board, up: str, schedule: Sequence[str], units: str) -> list[Item]:
    """Name and size on the part; the hole schedule below it."""
    size = " x ".join(size_text(v, units) for v in (board.length, board.width, board.thickness))
    middle = (board.length / 2, board.width / 2)
    named = f"{row.part}: {row.quantity} off, {size}, {row.stock.name}"
    items: list[Item] = [
        Text(middle, named, min(8.0, max(2.5, board.width / 8)), "middle", "middle", layer=LABEL)
    ]
    face = "as described" if up == "z+" else "turned over about its length"
    lines = [f"face up: {face}; x along the grain from the left end, y from the lower edge"]
    if schedule:
        lines += [f"holes ({len(schedule)}):", *schedule]
    if board.shaped_edge is not None:
        lines.append(f"{board.kind}: the shaped edge is not routed from above")
    for k, said in enumerate(lines):
        items.append(Text((0.0, -12.0 - 7.0 * k), said, 4.0, layer=SCHEDULE))
    return items
