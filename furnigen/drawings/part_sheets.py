"""Part sheets: one for each distinct part, with the views it needs and every cut located from one datum."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from furnigen.core.errors import InputError
from furnigen.core.pose import Pose
from furnigen.cutting.cut_rows import CutRow, Order, cut_rows, short_labels
from furnigen.cutting.features import Hole, Pocket, Slanted, worked_faces
from furnigen.cutting.joint_words import Sides
from furnigen.cutting.own_stock import Shop
from furnigen.drawings.cut_tables import CutLine, Lying, cut_lines, lying
from furnigen.drawings.dimensions import Run, Said, draw_runs, room_for
from furnigen.drawings.figures import arrowhead, figure_of
from furnigen.drawings.legible import centre_lines, legible
from furnigen.drawings.marks import mark_items
from furnigen.drawings.sheet import SCALES, Rect, Setting, Sheet, note_items
from furnigen.drawings.views import Placed, Projection, View, view_of
from furnigen.paper.frame import Column, Row, Space, table, table_height
from furnigen.paper.lettering import width_of, wrapped
from furnigen.paper.page import NARROW, Item, Text, line
from furnigen.parts.part import Part
from furnigen.piece.description import Piece

GAP_MM, TITLE_MM = 4.0, 6.5
TABLE_TEXT = 2.0
"""Height of capitals in tables (mm)."""
MOST_TABLE_MM = 105.0
"""A table taller than this goes on, on a sheet of its own."""
_X, _Y, _Z = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)


def _minus(v: tuple[float, float, float]) -> tuple[float, float, float]:
    return (0.0 - v[0], 0.0 - v[1], 0.0 - v[2])


BY_FACE = {
    "z+": Projection("z+", _X, _Y),
    "z-": Projection("z-", _X, _minus(_Y)),
    "y-": Projection("y-", _X, _Z),
    "y+": Projection("y+", _minus(_X), _Z),
    "x-": Projection("x-", _minus(_Y), _Z),
    "x+": Projection("x+", _Y, _Z),
}
"""Each face of a part seen square, in its own frame."""


@dataclass(frozen=True)
class _Shown:
    """A view on a part sheet: its face, name and dimension runs."""

    face: str
    name: str
    view: View
    runs: tuple[Run, ...]


def part_sheets(piece: Piece, solids: Sequence[Any], setting: Setting) -> list[Sheet]:
    """The sheets of all parts, in the order of `piece.parts`.

    Raises: InputError where the paper is too small for a part at any standard scale.
    """
    rows: dict[str, list[CutRow]] = {}
    for row in cut_rows([Order(piece)], Shop(), setting.units):
        if row.source is not None:
            rows.setdefault(row.source[0].name, []).append(row)
    sheets = []
    for part, made in zip(piece.parts, solids, strict=True):
        sheets += _sheets_of(part, made, rows[part.name], setting)
    return sheets


def _sheets_of(part: Part, made: Any, rows: Sequence[CutRow], setting: Setting) -> list[Sheet]:
    source = rows[0].source
    assert source is not None
    board = part.form.as_board
    lies = lying(part, board) if board is not None else Lying((), Pose(), ())
    sides = Sides(source[1] @ lies.turn, part.form.blank_mm)
    shown = _shown(part, made, sides, lies)
    lines = cut_lines(lies.features, setting.units)
    notes = _notes(part, rows, setting)
    wide = setting.block[2] - setting.block[0] - 2.4
    notes_high = 4.2 * sum(len(wrapped(n, wide, 2.5)) for n in notes) + 5.0
    columns, cells = _table(lies, lines, sides, setting)
    left, low, right, top = setting.inner
    beside = setting.block[0] - left - 4.0
    high = table_height(columns, cells, TABLE_TEXT) if cells else 0.0
    info_top = setting.block[3] + notes_high
    if not cells:
        space, floor = None, info_top
    elif beside >= 150.0:
        deep = min(high, MOST_TABLE_MM)
        space = Space(left + 2.0, low + 2.0, low + 4.0 + deep)
        floor = max(info_top, space.top)
    else:
        deep = min(high, MOST_TABLE_MM)
        space = Space(left + 1.0, info_top, info_top + 2.0 + deep)
        floor = space.top
    scale, places = _fitted(part, shown, (left, floor + 4.0, right, top), setting)
    items: list[Item] = []
    said = Said()
    for one, at in zip(shown, places, strict=True):
        on = Placed(one.view, 1 / scale, at)
        drawn = legible(on)
        items += drawn
        dims = draw_runs(on, one.runs, setting.units, said)
        items += dims
        items += centre_lines(on)
        items.append(Text((on.box[0], on.box[3] + 2.5), one.name, 2.5, layer="text"))
        if one is shown[0]:
            items += _grain(part, on, one.name)
            if cells:
                items.append(
                    Text((on.box[0] - 2.0, on.box[1] - 3.0), "0", 2.5, "middle", "middle", layer="text")
                )
        items += mark_items(on, one.face, lines, drawn)
    items += note_items(notes, setting.block[0] + 1.2, info_top - 2.5, wide)[0]
    quantity = sum(r.quantity for r in rows)
    kind = f"Part, {quantity} off"
    if space is None:
        return [Sheet(kind, part.name, scale, tuple(items), (part.name,))]
    full = Space(left + 2.0, setting.block[3] + 4.0, top - 4.0)
    first = space
    tables = table(columns, cells, lambda n: first if n == 0 else full, TABLE_TEXT)
    sheets = [Sheet(kind, part.name, scale, (*items, *tables[0]), (part.name,))]
    for more in tables[1:]:
        sheets.append(Sheet(kind, f"{part.name}: cuts, continued", 0.0, tuple(more), (part.name,)))
    return sheets


def _shown(part: Part, made: Any, sides: Sides, lies: Lying) -> list[_Shown]:
    """The views a part needs: its main face, one edge, and each face that is worked on besides."""
    board = part.form.as_board
    if board is None:
        faces = ["y-", "x-"] if part.form.as_leg is not None else ["z+", "x+"]
    else:
        worked = [f.face for f in lies.features if isinstance(f, Hole | Pocket | Slanted)]
        faces = ["z+", *(["z-"] if worked_faces(lies.features)[1] else [])]
        edges = [f for f in ("y-", "y+") if f in worked] or ["y-"]
        faces += edges + [f for f in ("x-", "x+") if f in worked]
    shown: list[_Shown] = []
    for k, face in enumerate(faces):
        view = view_of([(part.name, made, lies.turn)], BY_FACE[face])
        runs: list[Run] = []
        if k == 0:
            runs = [Run("below", (view.lo[0], view.hi[0])), Run("right", (view.lo[1], view.hi[1]))]
        elif not any(s.face[0] == face[0] for s in shown) and not any(len(s.runs) == 1 for s in shown):
            last = board is None and part.form.as_leg is not None
            runs = (
                [Run("below", (view.lo[0], view.hi[0]))] if last else [Run("right", (view.lo[1], view.hi[1]))]
            )
        where = {"x": "end", "y": "edge", "z": "face"}[face[0]]
        name = sides.name(face)
        title = f"{name[0].upper()}{name[1:]}" + ("" if where in name or board is None else f" {where}")
        shown.append(
            _Shown(face, title if board is not None else f"Seen from {_SEEN[face]}", view, tuple(runs))
        )
    return shown


_SEEN = {"y-": "the front", "x-": "the left", "z+": "above", "x+": "its end"}


def _notes(part: Part, rows: Sequence[CutRow], setting: Setting) -> list[str]:
    row, units = rows[0], setting.units
    size = " x ".join(figure_of(v, units) for v in part.form.blank_mm)
    rough = " x ".join(figure_of(v, units) for v in (row.rough.length, row.rough.width, row.rough.thickness))
    notes = [f"{part.name}: {sum(r.quantity for r in rows)} off{f', {part.hand} hand' if part.hand else ''}"]
    for r in rows:
        notes.append(f"labels: {short_labels(r, r.labels)}")
    notes.append(f"stock: {part.stock.title} ({part.stock.name})")
    notes.append(f"finished {size}" + (f", cut out {rough}" if rough != size else ""))
    notes.append(f"mass {row.mass_kg:.2f} kg each")
    bands = [f"{b.edge}: {b.band.name}" for b in row.bands]
    if bands:
        notes.append(f"bands: {', '.join(bands)}")
    notes += row.settings
    if row.note:
        notes.append(row.note)
    board = part.form.as_board
    if board is not None and board.shaped_edge is not None:
        notes.append(f"{board.kind}: the shape of its edge is seen on the view of its end")
    return notes


def _table(
    lies: Lying, lines: Sequence[CutLine], sides: Sides, setting: Setting
) -> tuple[tuple[Column, ...], list[Row]]:
    left, _, right, _ = setting.inner
    wide = min(right - left - 4.0, max(setting.block[0] - left - 6.0, 176.0))
    shares = (0.05, 0.22, 0.1, 0.22, 0.09, 0.09, 0.14, 0.09)
    heads = ("no", "what", "face", "x", "y", "z", "size", "depth")
    columns = tuple(Column(h, wide * s) for h, s in zip(heads, shares, strict=True))
    cells = [Row(one.cells(sides, setting.units)) for one in lines]
    for name, x, y in lies.corners:
        at = (figure_of(x, setting.units), figure_of(y, setting.units))
        cells.append(Row(("", name, "", at[0], at[1], "", "", "")))
    if cells:
        said = "from corner 0, the part lying as first drawn: x along it, y across, z up from the bench"
        cells.insert(0, Row((said, *[""] * 7), spans=True))
    return columns, cells


def _grain(part: Part, on: Placed, name: str) -> list[Item]:
    """A double arrow along the grain, beside the name of the main view."""
    x, y = on.box[0] + width_of(name, 2.5) + 6.0, on.box[3] + 3.7
    projection = on.view.projection
    across = abs(sum(a * b for a, b in zip(projection.right, part.form.grain, strict=True))) > 0.5
    if not part.stock.grain and part.stock.kind == "sheet":
        return [Text((x, y - 1.2), "no grain", 2.5, layer="text")]
    if not across:
        x, y = on.box[0] - 4.0, (on.box[1] + on.box[3]) / 2
    a, b = ((x, y), (x + 14.0, y)) if across else ((x, y - 7.0), (x, y + 7.0))
    say = Text((b[0] + 2.0, y - 1.2), "grain", 2.5, layer="text")
    if not across:
        say = Text((x - 1.2, y), "grain", 2.5, "middle", turn=90.0, layer="text")
    return [line(a, b, NARROW, "text"), arrowhead(a, b, layer="text"), arrowhead(b, a, layer="text"), say]


def _fitted(
    part: Part, shown: Sequence[_Shown], area: Rect, setting: Setting
) -> tuple[float, list[tuple[float, float]]]:
    """The largest standard scale at which the views fit one above the other, and their corners.

    Raises: InputError where none does.
    """
    for scale in SCALES:
        for beside in (False, True):
            places = _stacked(shown, area, scale, beside, setting.units)
            if places is not None:
                return float(scale), places
    raise InputError(
        "sheet", setting.sheet, f"is too small for the part {part.name} at any standard scale",
        "choose A3 or tabloid" if setting.sheet not in ("A3", "tabloid") else "",
    )  # fmt: skip


def _stacked(
    shown: Sequence[_Shown], area: Rect, scale: float, beside: bool, units: str
) -> list[tuple[float, float]] | None:
    """Corners of views one below the other, or, for upright parts, side by side."""
    left, low, right, top = area
    places = []
    x, y = left + 8.0, top
    widest = 0.0
    for one in shown:
        w, h = (v / scale for v in one.view.size)
        below, after = max(room_for(one.runs, "below", units), 5.0), room_for(one.runs, "right", units)
        if beside:
            if x + max(w, 30.0) + after > right or low + below + h + TITLE_MM + 3.0 > top:
                return None
            places.append((x, top - TITLE_MM - 3.0 - h))
            x += max(w, 30.0) + after + 12.0
        else:
            y -= TITLE_MM + h
            if y - below < low or x + w + after > right:
                return None
            places.append((x, y))
            y -= below + GAP_MM
        widest = max(widest, w)
    if beside:
        return places
    shift = max(0.0, min(20.0, (right - x - widest - 25.0) / 2))
    drop = max(0.0, min(12.0, (y - low) / 2))
    return [(px + shift, py - drop) for px, py in places]
