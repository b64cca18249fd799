"""Part sheets: one for each distinct part, with the views it needs and every cut located from one datum."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from furnigen.core.errors import InputError
from furnigen.core.progress import Sink, silent
from furnigen.cutting.cut_rows import CutRow, Order, cut_rows
from furnigen.cutting.joint_words import Sides
from furnigen.cutting.own_stock import Shop
from furnigen.cutting.short_labels import short_labels
from furnigen.drawings.cut_tables import TABLE_TEXT, table_columns, table_rows
from furnigen.drawings.dimensions import Said
from furnigen.drawings.figures import arrowhead, figure_of
from furnigen.drawings.layout import Laid, frame_space, notes_height, slid
from furnigen.drawings.leg_views import GUIDE_MM, guide_items, guide_of, leg_items, leg_laid, leg_shape
from furnigen.drawings.legible import centre_lines, legible
from furnigen.drawings.marks import Room, mark_items
from furnigen.drawings.part_data import PartData, part_data
from furnigen.drawings.part_views import board_laid, folded, mark_face, other_laid, sightlines
from furnigen.drawings.running import running_fits
from furnigen.drawings.sheet import Rect, Setting, Sheet, note_items, overlap, scales
from furnigen.drawings.views import Placed
from furnigen.paper.frame import Column, Space, table, table_height
from furnigen.paper.lettering import width_of
from furnigen.paper.page import NARROW, PAPER_MM, Item, Point, Text, line
from furnigen.parts.part import Part
from furnigen.piece.description import LegNote, Piece

MOST_TABLE_MM = 105.0
"""A table taller than this goes on, on a sheet of its own."""
GAPS_MM = (12.0, 7.0, 3.0)
"""Between views, with all that stands beside them."""
BESIDE_MM = 150.0
"""The least width of a table on the left of the title block; else it stands above the notes."""


def part_sheets(piece: Piece, solids: Sequence[Any], setting: Setting, on_step: Sink = silent) -> list[Sheet]:
    """The sheets of all parts, in the order of `piece.parts`.

    Raises: InputError where the paper is too small for a part at any standard scale.
    """
    rows: dict[str, list[CutRow]] = {}
    for row in cut_rows([Order(piece)], Shop(), setting.units):
        if row.source is not None:
            rows.setdefault(row.source[0].name, []).append(row)
    sheets = []
    for number, (part, made) in enumerate(zip(piece.parts, solids, strict=True)):
        on_step(f"drawing part {number + 1} of {len(piece.parts)}")
        guide = guide_of(number, piece.legs)
        sheets += _PartSheet(part, made, rows[part.name], guide, setting).sheets()
    return sheets


class _PartSheet:
    """One part: its views, table and notes, set on paper."""

    def __init__(
        self, part: Part, made: Any, rows: Sequence[CutRow], guide: LegNote | None, setting: Setting
    ) -> None:
        self.part, self.rows, self.setting, self.guide = part, rows, setting, guide
        self.data = part_data(part)
        source = rows[0].source
        assert source is not None
        self.sides = Sides(source[1] @ self.data.turn.inverse(), part.form.blank_mm)
        leg = part.form.as_leg
        self.shape = None if leg is None else leg_shape(part, leg)
        units = setting.units
        if self.shape is not None:
            self.laid = leg_laid(part, made, self.shape, units)
        elif self.data.is_board:
            self.laid = board_laid(part, made, self.data, self.sides, units)
        else:
            self.laid = other_laid(part, made, units)
        self.notes = _notes(part, self.data, rows, setting, len(self.laid))
        self.cells = table_rows(self.data, self.sides, units) if self.data.is_board else []

    def sheets(self) -> list[Sheet]:
        """The sheet, and one more where its table goes on."""
        setting = self.setting
        left, low, _, top = setting.inner
        block = setting.block
        wide = block[2] - block[0] - 2.4
        info_top = block[3] + notes_height(self.notes, wide) - 1.0
        keeps: list[Rect] = [block, (block[0], block[3], block[2], info_top)]
        beside = block[0] - left - 4.0
        guide_at: Point | None = None
        if self.guide is not None:
            guide_at = (left + 2.0, low + 2.0) if beside >= BESIDE_MM else (left + 2.0, info_top)
            keeps.append((*guide_at, guide_at[0] + GUIDE_MM[0], guide_at[1] + GUIDE_MM[1]))
        columns = table_columns(max(beside - 2.0, 176.0), self.cells)
        floor = low + 2.0 if beside >= BESIDE_MM else info_top
        space, (scale, laid, places) = self._with_table(columns, floor, keeps)
        if space is not None:
            keeps.append(_table_rect(columns, space))
        items = self._drawn(scale, laid, places, keeps)
        if self.guide is not None and guide_at is not None:
            items += guide_items(self.guide, guide_at)
        items += note_items(self.notes, block[0] + 1.2, info_top - 2.5, wide)[0]
        kind, name = f"Part, {sum(r.quantity for r in self.rows)} off", self.part.name
        if space is None:
            return [Sheet(kind, name, scale, tuple(items), (name,))]
        full, first = Space(left + 1.0, block[3] + 4.0, top - 4.0), space
        tables = table(columns, self.cells, lambda n: first if n == 0 else full, TABLE_TEXT)
        sheets = [Sheet(kind, name, scale, (*items, *tables[0]), (name,))]
        for more in tables[1:]:
            sheets.append(Sheet(kind, f"{name}: cuts, continued", 0.0, tuple(more), (name,)))
        return sheets

    def _with_table(
        self, columns: Sequence[Column], floor: float, keeps: Sequence[Rect]
    ) -> tuple[Space | None, tuple[float, list[Laid], list[Point]]]:
        """Where the table stands, and the views: all of the table on this sheet unless that costs scale."""
        if not self.cells:
            return None, self._fitted(keeps)
        left, _, _, top = self.setting.inner
        high = table_height(columns, self.cells, TABLE_TEXT)

        def space(deep: float) -> Space:
            return Space(left + 1.0, floor, floor + deep + 2.0)

        def with_space(deep: float) -> list[Rect]:
            return [*keeps, _table_rect(columns, space(deep))]

        part = min(high, MOST_TABLE_MM)
        found = self._fitted(with_space(part))
        if high > part and floor + high + 4.0 < top:
            whole = _fit(self.laid, self.setting, with_space(high))
            if whole is not None and whole[0] <= found[0]:
                return space(high), whole
        return space(part), found

    def _drawn(
        self, scale: float, laid: Sequence[Laid], places: Sequence[Point], keeps: Sequence[Rect]
    ) -> list[Item]:
        said = Said()
        items: list[Item] = []
        outers = [o.outer(Placed(o.view, 1 / scale, at)) for o, at in zip(laid, places, strict=True)]
        for number, (one, at) in enumerate(zip(laid, places, strict=True)):
            on = Placed(one.view, 1 / scale, at)
            drawn = legible(on)
            start = len(items)
            items += drawn
            items += one.dimensions(on, said)
            items += centre_lines(on)
            titles = one.title_items(on)
            items += titles
            if number == 0:
                items += self._grain(on, one.name, titles[0].at[1])
                if self.data.is_board and not one.running and self.cells:
                    items.append(
                        Text((on.box[0] - 2.0, on.box[1] - 3.0), "0", 2.5, "middle", "middle", layer="text")
                    )
            if self.shape is not None:
                items += leg_items(on, self.shape, number, items[start:])
            mine = [c for c in self.data.cuts if mark_face(c, [o.key for o in laid]) == one.key]
            sight = sightlines(on, mine)
            room = Room(
                frame_space(self.setting), (*keeps, *(r for k, r in enumerate(outers) if k != number))
            )
            beside = items[start + len(drawn) :]
            items += [*sight, *mark_items(on, mine, [*drawn, *sight], beside, room)]
        return items

    def _grain(self, on: Placed, name: str, level: float) -> list[Item]:
        """A double arrow along the grain, beside the name of the main view."""
        part = self.part
        x, y = on.box[0] + width_of(name, 2.5) + 6.0, level + 1.2
        if not part.stock.grain and part.stock.kind == "sheet":
            return [Text((x, level), "no grain", 2.5, layer="text")]
        projection = on.view.projection
        grain = self.data.turn.turn(part.form.grain)
        if self.shape is None and abs(sum(a * b for a, b in zip(projection.right, grain, strict=True))) > 0.5:
            a, b = (x, y), (x + 14.0, y)
            say = Text((b[0] + 2.0, level), "grain", 2.5, layer="text")
        else:
            x, y = on.box[2] + 5.0, on.box[3]
            a, b = (x, y - 14.0), (x, y)
            say = Text((x + 1.5, y - 8.0), "grain", 2.5, layer="text")
        return [line(a, b, NARROW, "text"), arrowhead(a, b, layer="text"), arrowhead(b, a, layer="text"), say]

    def _fitted(self, keeps: Sequence[Rect]) -> tuple[float, list[Laid], list[Point]]:
        """The largest standard scale at which the views fit, what is on them, and their corners.

        Raises: InputError where none does.
        """
        found = _fit(self.laid, self.setting, keeps)
        if found is not None:
            return found
        fits = [
            name
            for name in PAPER_MM
            if PAPER_MM[name][0] * PAPER_MM[name][1]
            > PAPER_MM[self.setting.sheet][0] * PAPER_MM[self.setting.sheet][1]
        ]
        raise InputError(
            "sheet", self.setting.sheet, f"is too small for the part {self.part.name} at any standard scale",
            f"choose {' or '.join(fits)}" if fits else "",
        )  # fmt: skip


def _table_rect(columns: Sequence[Column], space: Space) -> Rect:
    """What a table takes of a sheet (mm)."""
    return space.left, space.bottom - 2.0, space.left + sum(c.width for c in columns), space.top + 2.0


def _fit(
    laid: Sequence[Laid], setting: Setting, keeps: Sequence[Rect]
) -> tuple[float, list[Laid], list[Point]] | None:
    first = setting.projection == "first"
    for scale in scales(setting.units):
        shown = [_readable(one, scale) for one in laid]
        for gap in GAPS_MM:
            for way in _ways(shown, scale, first, gap):
                rects = [o.outer(Placed(o.view, 1 / scale, c)) for o, c in zip(shown, way, strict=True)]
                if any(overlap(a, b) for k, a in enumerate(rects) for b in rects[:k]):
                    continue
                moved = slid(rects, frame_space(setting), keeps)
                if moved is not None:
                    return float(scale), shown, [(x + moved[0], y + moved[1]) for x, y in way]
    return None


def _readable(one: Laid, scale: float) -> Laid:
    """A view without the running dimensions that have no room at a scale: the table has them all."""
    kept = tuple(
        (side, datum, stops)
        for side, datum, stops in one.running
        if running_fits(sorted((datum, *stops)), 1 / scale, one.units)
    )
    return replace(one, running=kept)


def _ways(laid: Sequence[Laid], scale: float, first: bool, gap: float) -> list[tuple[Point, ...]]:
    """Corners of the views to each other: in line with the main one; else side by side."""
    if laid[0].key == "z+":
        return [folded(laid, scale, first, gap)]
    row, column = [], []
    x = y = 0.0
    for one in laid:
        a, b, c, d = one.rooms(scale)
        w, h = one.view.size[0] / scale, one.view.size[1] / scale
        row.append((x + a, 0.0))
        x += a + w + c + gap
        column.append((0.0, y - d - h))
        y -= d + h + b + gap
    return [tuple(row), tuple(column)]


def _notes(part: Part, data: PartData, rows: Sequence[CutRow], setting: Setting, views: int) -> list[str]:
    row, units = rows[0], setting.units
    size = " x ".join(figure_of(v, units) for v in part.form.blank_mm)
    rough = " x ".join(figure_of(v, units) for v in (row.rough.length, row.rough.width, row.rough.thickness))
    hand = f", {part.hand} hand" if part.hand else ""
    notes = [f"{part.name}: {sum(r.quantity for r in rows)} off{hand}"]
    for r in rows:
        notes.append(f"labels: {short_labels(r, r.labels)}")
    notes.append(f"stock: {part.stock.title} ({_short_name(part.stock.name)})")
    if part.form.as_leg is not None:
        notes.append(f"blank {size}; both ends, and the shoulder of a tenon, are cut parallel")
    else:
        notes.append(f"finished {size}" + (f", cut out {rough}" if rough != size else ""))
    if data.is_board and views == 1:
        notes.append(f"thickness {figure_of(data.size[2], units)} all over")
    notes.append(f"mass {_mass_words(row.mass_kg)} each")
    bands = [f"{b.edge}: {b.band.name}" for b in row.bands]
    if bands:
        notes.append(f"bands: {', '.join(bands)}")
    if not data.is_board and part.form.as_leg is None:
        notes += row.settings
    if row.note:
        notes.append(row.note)
    if data.round_edge is not None:
        notes.append(
            f"{data.kind}: edge rounded R{figure_of(data.round_edge[1], units)} over its whole thickness"
        )
    return notes


def _mass_words(kg: float) -> str:
    """A mass in kilograms, and in grams where these would show little of it.

    >>> _mass_words(4.054), _mass_words(0.0436), _mass_words(0.00062)
    ('4.05 kg', '44 g', '0.6 g')
    """
    grams = 1000 * kg
    return f"{kg:.2f} kg" if kg >= 0.1 else f"{grams:.0f} g" if grams >= 9.5 else f"{grams:.1g} g"


def _short_name(stock: str) -> str:
    """The name of a stock, its measured thickness to a hundredth of a millimetre.

    >>> _short_name("beech-strip-18@7.733333333"), _short_name("birch-ply-18@17.8")
    ('beech-strip-18@7.73', 'birch-ply-18@17.8')
    """
    base, at, mm = stock.partition("@")
    return f"{base}@{round(float(mm), 2):g}" if at else stock
