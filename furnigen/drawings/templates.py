"""Templates: parts with an outline at full size, in tiles for a home printer, to be glued to the wood.

Tiles touch each other: each is framed by the line it is trimmed along, with registration marks on its corners
that fall on those of its neighbours. Every page has a bar of 100 mm to measure before anything is cut.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan, ceil, cos, hypot, inf, pi, sin

from furnigen.core.pose import Pose
from furnigen.cutting.contours import Corner, through_contours
from furnigen.cutting.features import features_of
from furnigen.drawings.figures import arrowhead, figure_of
from furnigen.drawings.part_data import PartData, part_data
from furnigen.drawings.sheet import Rect, Setting
from furnigen.paper.lettering import wrapped
from furnigen.paper.page import NARROW, Arc, Item, Page, Pen, Point, Polyline, Text, line, paper
from furnigen.parts.forms.form import Board
from furnigen.parts.part import Part
from furnigen.piece.description import Piece

EDGE_MM, FOOT_MM = 12.0, 22.0
"""Kept free at the sides of a page, for printers; and below the tile for words and the test bar."""
BAR_MM = 100.0
WORDS_MM = 2.2
CLEAR_MM = 6.0
"""Between the part and the edges of its tiles, so that none of its lines lies on the line of the trim."""
CHORD_MM = 0.02
"""How far the chords of an arc may leave it."""
CUT, WORK, TRIM = Pen(0.35), Pen(0.18), Pen(0.13, "chain")


@dataclass(frozen=True)
class Template:
    """A part's lines at full size (mm), from the corner its part sheet measures from.

    Attributes:
        turned: whether it is turned a quarter, so that it takes fewer pages.
        size: across and up, as it is turned, with what is kept clear at its edges.
        cut, work: chains of points of what is cut through, and of what is cut into the face that lies up.
        holes: centre and radius.
    """

    part: Part
    turned: bool
    size: Point
    cut: tuple[tuple[Point, ...], ...]
    work: tuple[tuple[Point, ...], ...]
    holes: tuple[tuple[Point, float], ...]


def templated(part: Part) -> bool:
    """Whether a part is worth a template: a board whose outline is no rectangle, or that has windows."""
    board = part.form.as_board
    return board is not None and bool(
        board.windows or not (board.rectangular or board.shaped_edge is not None)
    )


def template_pages(piece: Piece, setting: Setting) -> list[Page]:
    """The pages of all parts with an outline; none where there is none.

    Args:
        setting: gives the paper, A4 or letter, and the units of what is said.
    """
    name = "letter" if setting.sheet in ("letter", "tabloid") else "A4"
    pages: list[Page] = []
    for part in piece.parts:
        board = part.form.as_board
        if board is not None and templated(part):
            pages += _tiled(piece, _template(part, board, paper(name)), paper(name), setting.units)
    return pages


def tile_size(page: Point) -> Point:
    """Width and height of a tile on a page (mm)."""
    return page[0] - 2 * EDGE_MM, page[1] - 2 * EDGE_MM - FOOT_MM


def _template(part: Part, board: Board, page: Point) -> Template:
    data = part_data(part)
    flipped = data.turn != Pose()
    long, wide = data.size[0], data.size[1]
    a, b = long + 2 * CLEAR_MM, wide + 2 * CLEAR_MM
    tile = tile_size(page)
    straight, quarter = (ceil(w / tile[0] - 1e-9) * ceil(h / tile[1] - 1e-9) for w, h in ((a, b), (b, a)))
    turned = quarter < straight

    def spot(p: Sequence[float]) -> Point:
        """A point of the part as it lies, on the template: a quarter to the left where it is turned."""
        x, y = p[0] + CLEAR_MM, p[1] + CLEAR_MM
        return (b - y, x) if turned else (x, y)

    cut = []
    for contour in through_contours(board, features_of(part)):
        points = [(x, wide - y) if flipped else (x, y) for x, y in chords(contour)]
        cut.append(tuple(spot(p) for p in (*points, points[0])))
    work, holes = _work(data)
    return Template(
        part, turned, (b, a) if turned else (a, b), tuple(cut),
        tuple(tuple(spot(p) for p in chain) for chain in work),
        tuple((spot(at), radius) for at, radius in holes),
    )  # fmt: skip


def _work(data: PartData) -> tuple[list[tuple[Point, ...]], list[tuple[Point, float]]]:
    """What is cut into the face that lies up, not through: outlines, and holes."""
    work: list[tuple[Point, ...]] = []
    holes: list[tuple[Point, float]] = []
    for cut in data.cuts:
        for x, y, _ in cut.places:
            if cut.shape == "hole" and cut.face[0] == "z" and (cut.face == "z+" or cut.depth == inf):
                holes.append(((x, y), cut.diameter / 2))
            elif cut.face != "z+" or cut.depth == inf:
                continue
            elif cut.shape == "box":
                a, b = x + cut.size[0], y + cut.size[1]
                work.append(((x, y), (a, y), (a, b), (x, b), (x, y)))
            elif cut.shape == "hull" and cut.stated[0][0] is not None and cut.stated[0][1] is not None:
                shift = x - cut.places[0][0]
                ring = [(p[0] + shift, p[1]) for p in cut.corners[: len(cut.stated)]]
                work.append((*ring, ring[0]))
    return work, holes


def chords(contour: Sequence[Corner]) -> list[Point]:
    """A closed outline with its arcs as chords (mm)."""
    found: list[Point] = []
    for (x0, y0, bulge), (x1, y1, _) in zip(contour, (*contour[1:], contour[0]), strict=True):
        found.append((x0, y0))
        if not bulge:
            continue
        swept, chord = 4 * atan(bulge), hypot(x1 - x0, y1 - y0)
        radius = chord * (1 + bulge * bulge) / (4 * bulge)
        # the centre lies on the left of the chord for an arc that turns left
        off = radius * cos(swept / 2)
        cx = (x0 + x1) / 2 - (y1 - y0) / chord * off
        cy = (y0 + y1) / 2 + (x1 - x0) / chord * off
        steps = max(2, ceil(abs(swept) / (2 * (2 * CHORD_MM / max(abs(radius), 0.1)) ** 0.5)))
        for k in range(1, steps):
            t = swept * k / steps
            dx, dy = x0 - cx, y0 - cy
            found.append((cx + dx * cos(t) - dy * sin(t), cy + dx * sin(t) + dy * cos(t)))
    return found


def _tiled(piece: Piece, template: Template, page: Point, units: str) -> list[Page]:
    tile = tile_size(page)
    columns, rows = (max(1, ceil(s / t - 1e-9)) for s, t in zip(template.size, tile, strict=True))
    cells = [(c, r) for r in range(rows) for c in range(columns)]
    drawn = [(cell, _tile_items(template, cell, tile)) for cell in cells]
    used = [(cell, items) for cell, items in drawn if items]
    pages = []
    for number, ((column, row), items) in enumerate(used, 1):
        name = f"{template.part.name}: column {column + 1} of {columns}, row {row + 1} of {rows} from below"
        foot = _foot(piece, template, f"{name}; page {number} of {len(used)}", page, units)
        frame = _registration(tile)
        pages.append(Page(page[0], page[1], (*items, *frame, *foot), f"{piece.title}: template of {name}"))
    return pages


def _tile_items(template: Template, cell: tuple[int, int], tile: Point) -> list[Item]:
    """What of a template falls into a tile, on paper."""
    x0, y0 = cell[0] * tile[0], cell[1] * tile[1]
    window = (x0, y0, x0 + tile[0], y0 + tile[1])
    dx, dy = EDGE_MM - x0, EDGE_MM + FOOT_MM - y0
    items: list[Item] = []
    for chains, pen, layer in ((template.cut, CUT, "cut"), (template.work, WORK, "work")):
        for chain in chains:
            items += [
                Polyline(tuple((x + dx, y + dy) for x, y in piece), False, pen, layer)
                for piece in clipped_chain(chain, window)
            ]
    for (x, y), radius in template.holes:
        if not (window[0] - radius < x < window[2] + radius and window[1] - radius < y < window[3] + radius):
            continue
        turns = [2 * pi * k / 48 for k in range(49)]
        ring = tuple((x + radius * cos(t), y + radius * sin(t)) for t in turns)
        r = radius + 2.0
        crosses: tuple[tuple[Point, ...], ...] = (((x - r, y), (x + r, y)), ((x, y - r), (x, y + r)))
        for chain in (ring, *crosses):
            items += [
                Polyline(tuple((a + dx, b + dy) for a, b in piece), False, WORK, "work")
                for piece in clipped_chain(chain, window)
            ]
    return items


def clipped_chain(chain: Sequence[Point], window: Rect) -> list[tuple[Point, ...]]:
    """What of a chain of straight lines lies in a rectangle, as chains."""
    found: list[list[Point]] = []
    for (x0, y0), (x1, y1) in pairwise(chain):
        enter, leave = 0.0, 1.0
        for start, delta, low, high in (
            (x0, x1 - x0, window[0], window[2]),
            (y0, y1 - y0, window[1], window[3]),
        ):
            if abs(delta) < 1e-12:
                if not low <= start <= high:
                    enter, leave = 1.0, 0.0
                continue
            a, b = sorted(((low - start) / delta, (high - start) / delta))
            enter, leave = max(enter, a), min(leave, b)
        if leave - enter <= 1e-12:
            continue
        p, q = ((x0 + (x1 - x0) * t, y0 + (y1 - y0) * t) for t in (enter, leave))
        if found and hypot(found[-1][-1][0] - p[0], found[-1][-1][1] - p[1]) < 1e-9:
            found[-1].append(q)
        else:
            found.append([p, q])
    return [tuple(points) for points in found]


def _registration(tile: Point) -> list[Item]:
    """The frame a tile is trimmed along, and a mark on each corner and the middle of each side."""
    left, low = EDGE_MM, EDGE_MM + FOOT_MM
    right, top = left + tile[0], low + tile[1]
    corners = ((left, low), (right, low), (right, top), (left, top))
    items: list[Item] = [Polyline(corners, True, TRIM, "registration")]
    x, y = (left + right) / 2, (low + top) / 2
    middles = ((x, low), (x, top), (left, y), (right, y))
    for x, y in (*corners, *middles):
        items += [
            Arc((x, y), 2.0, pen=NARROW, layer="registration"),
            line((x - 4.0, y), (x + 4.0, y), NARROW, "registration"),
            line((x, y - 4.0), (x, y + 4.0), NARROW, "registration"),
        ]
    return items


def _foot(piece: Piece, template: Template, said: str, page: Point, units: str) -> list[Item]:
    """The name of the tile, the test bar, and how it is printed."""
    low, room = EDGE_MM, page[0] - 2 * EDGE_MM
    x0, y = EDGE_MM, low + 3.0
    part, stock = template.part, template.part.stock
    size = " x ".join(figure_of(v, units) for v in part.form.blank_mm)
    hand = f", {part.hand} hand" if part.hand else ""
    told = (
        f"{piece.title}: template of {said}",
        f"{size}{hand}, {stock.title}; grain along the arrow; wide lines are cut through, fine ones cut into"
        " this face",
    )
    lines = [one for text in told for one in wrapped(text, room, WORDS_MM)][:3]
    items: list[Item] = [
        Text((x0, low + 14.5 - 3.6 * k), one, WORDS_MM, layer="text") for k, one in enumerate(lines)
    ]
    items.append(line((x0, y), (x0 + BAR_MM, y), Pen(0.35), "test bar"))
    for k in range(11):
        tall = 2.5 if k % 5 == 0 else 1.2
        items.append(line((x0 + 10.0 * k, y), (x0 + 10.0 * k, y + tall), Pen(0.18), "test bar"))
    items.append(
        Text(
            (x0 + BAR_MM + 3.0, y),
            "100 mm: print at 100 %, measure before you cut. Grain:",
            WORDS_MM,
            layer="text",
        )
    )
    a, b = (page[0] - EDGE_MM - 14.0, low + 4.0), (page[0] - EDGE_MM, low + 4.0)
    if template.turned:
        a, b = (page[0] - EDGE_MM - 3.0, low - 2.0), (page[0] - EDGE_MM - 3.0, low + 8.0)
    items += [line(a, b, NARROW, "text"), arrowhead(a, b, layer="text"), arrowhead(b, a, layer="text")]
    return items
