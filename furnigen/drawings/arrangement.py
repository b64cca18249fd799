"""The general arrangement: front, left side and plan, first or third angle, as large as fits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from furnigen.core.errors import InputError
from furnigen.core.facts import Fact
from furnigen.core.quantities import format_length
from furnigen.drawings.chains import unsaid_openings, view_runs
from furnigen.drawings.dimensions import Run, Said, draw_runs, room_for
from furnigen.drawings.figures import figure_of
from furnigen.drawings.legible import legible
from furnigen.drawings.section import section_plane, section_sheet
from furnigen.drawings.sheet import SCALES, Rect, Setting, Sheet, note_items, overlap, within
from furnigen.drawings.views import FRONT, LEFT, PLAN, Placed, View, length_of, view_of
from furnigen.kernel.solids import solid
from furnigen.paper.frame import Column, Row, Space, table
from furnigen.paper.page import PAPER_MM, Item, Pen, Text, line
from furnigen.parts.cuts import Bore
from furnigen.parts.part import Part
from furnigen.piece.description import Piece

GAP_MM = 5.0
"""Between views with all that stands beside them."""
TITLE_MM = 6.0
"""Above a view, for its name."""


@dataclass(frozen=True)
class Laid:
    """A view and its runs, to be set on paper."""

    name: str
    view: View
    runs: tuple[Run, ...]
    units: str = "mm"

    def rooms(self) -> Rect:
        """What stands beside it on the left, below, right, above (mm on paper)."""
        left, below, right, above = (
            room_for(self.runs, s, self.units) for s in ("left", "below", "right", "above")
        )
        return left, below, right, above + TITLE_MM

    def outer(self, placed: Placed) -> Rect:
        """The view on paper with all that stands beside it."""
        (a, b, c, d), (p, q, r, s) = placed.box, self.rooms()
        return a - p, b - q, c + r, d + s


def plain_part(part: Part) -> Part:
    """A part without its holes for hardware, which a general arrangement does not show."""
    kept = tuple(c for c in part.cuts if not (isinstance(c, Bore) and Fact.HARDWARE_HOLE in c.facts))
    return replace(part, cuts=kept) if len(kept) < len(part.cuts) else part


def plain_solids(piece: Piece, solids: Sequence[Any]) -> list[Any]:
    """The solid of each part without holes for hardware: those given, where a part has none."""
    found = []
    for part, made in zip(piece.parts, solids, strict=True):
        plain = plain_part(part)
        found.append(made if plain is part else solid(plain))
    return found


def arrangement_sheets(piece: Piece, solids: Sequence[Any], setting: Setting) -> list[Sheet]:
    """The general arrangement: one sheet, and one more with a table where openings are on no dimension line.

    Args:
        solids: of each part, without holes for hardware (`plain_solids`).

    Raises: InputError where the paper is too small at any standard scale.
    """
    placed = [(p.label, solids[p.part], p.pose) for p in piece.placements]
    front, side, plan = (view_of(placed, projection) for projection in (FRONT, LEFT, PLAN))
    first = setting.projection == "first"
    outside: tuple[Any, Any] = (("below",), ("left",)) if not first else (("above",), ("left",))
    laid = (
        Laid("Front", front, tuple(view_runs(piece, front, (0, 2), outside)), setting.units),
        Laid(
            "Left side", side,
            tuple(view_runs(piece, side, (1, 2), ((outside[0][0],), ("right",)), overall=(True, False),
                            chained=(True, False))),
            setting.units,
        ),
        Laid("Plan", plan, (), setting.units),
    )  # fmt: skip
    scale, at = _fitted(laid, setting, first, len(_notes(piece, side, setting)))
    said, items = Said(), list[Item]()
    for one, corner in zip(laid, at, strict=True):
        on = Placed(one.view, 1 / scale, corner)
        items += legible(on)
        items += draw_runs(on, one.runs, setting.units, said)
        outer = one.outer(on)
        items.append(
            Text(((on.box[0] + on.box[2]) / 2, outer[3] - 4.5), one.name, 3.5, "middle", layer="text")
        )
    cut_at = section_plane(piece, side)
    if cut_at is not None:
        on_plan = Placed(plan, 1 / scale, at[2])
        x, low, high = on_plan.point((cut_at, 0.0, 0.0))[0], on_plan.box[1], on_plan.box[3]
        items.append(line((x, low - 1.5), (x, high + 1.5), Pen(0.25, "chain"), "centre"))
    items += _note_block(_notes(piece, side, setting), setting)
    every = tuple(p.name for p in piece.parts)
    sheets = [Sheet("General arrangement", "front, left side, plan", scale, tuple(items), every)]
    if cut_at is not None:
        sheets += section_sheet(piece, solids, cut_at, setting)
    runs = [(2 if r.upright else 0, 1.0, r) for r in laid[0].runs]
    left = unsaid_openings(piece, runs)
    return sheets + _opening_tables(left, setting)


def _notes(piece: Piece, side: View, setting: Setting) -> list[str]:
    """Angles of legs and of what leans, and what to heed."""
    notes = []
    for note in piece.legs:
        if note.resultant > 0.05:
            notes.append(
                f"{piece.parts[note.part].name}: rake {note.rake:.1f}°, splay {note.splay:.1f}°,"
                f" resultant {note.resultant:.1f}°, sightline {note.sightline:.1f}° from the front-back line"
            )
    if not piece.legs:
        lean = _lean(side)
        if lean:
            notes.append(f"leans {lean:.1f}° from upright, seen from the left")
    bottom = piece.bounds.lo[2]
    if bottom > 1.0:
        high = figure_of(bottom, setting.units)
        notes.append(f"hangs on the wall: its underside is {high} above the floor")
    for p in piece.pitches:
        step = (
            f"{round(p.step_mm, 2):.10g}"
            if setting.units == "mm"
            else f"{round(p.step_mm / 25.4, 4):.10g} in"
        )
        notes.append(f"{p.what}: {p.count} at steps of {step}")
    notes.append("Sizes are finished sizes. Measure your stock before you cut.")
    return notes


def _lean(side: View) -> float:
    """Off upright, of the longest visible line of the side view where it leans at all (degrees)."""
    from math import atan2, degrees

    lines = [line for line in side.lines if line.visible and line.arc is None and len(line.points) == 2]
    if not lines:
        return 0.0
    (x0, y0), (x1, y1) = max(lines, key=length_of).points
    angle = degrees(atan2(abs(x1 - x0), abs(y1 - y0)))
    return angle if 0.05 < angle < 45.0 else 0.0


def _note_rect(setting: Setting, count: int) -> Rect:
    left, _, right, high = setting.block
    return left, high, right, high + 4.2 * count + 6.0


def _note_block(notes: Sequence[str], setting: Setting) -> list[Item]:
    left, _, right, high = _note_rect(setting, len(notes))
    return note_items(notes, left + 1.2, high - 3.0, right - left - 2.4)[0]


def _fitted(
    laid: Sequence[Laid], setting: Setting, first: bool, notes: int
) -> tuple[float, tuple[tuple[float, float], ...]]:
    """The largest standard scale at which the views fit, and where each stands.

    Raises: InputError naming a sheet that is large enough.
    """
    for scale in SCALES:
        at = _places(laid, setting, scale, first, notes)
        if at is not None:
            return float(scale), at
    fits = [
        name
        for name in PAPER_MM
        if any(_places(laid, replace(setting, sheet=name), s, first, notes) is not None for s in SCALES)
    ]
    size = " x ".join(format_length(s, setting.units) for s in laid[0].view.size)
    raise InputError(
        "sheet",
        setting.sheet,
        f"is too small for a piece of {size} at any standard scale down to 1:{SCALES[-1]}",
        f"choose {' or '.join(fits)}" if fits else "draw its parts as pieces of their own",
    )


def _places(
    laid: Sequence[Laid], setting: Setting, scale: float, first: bool, notes: int
) -> tuple[tuple[float, float], ...] | None:
    """Lower left corners of front, side and plan at a scale; None where they do not fit."""
    left, low, right, top = setting.inner
    (fl, fb, fr, fa), (sl, sb, sr, sa), (pl, pb, pr, pa) = (one.rooms() for one in laid)
    (fw, fh), (sw, sh), (pw, ph) = ((v / scale for v in one.view.size) for one in laid)
    ml, mr = max(fl, pl), max(fr, pr)
    wide = ml + max(fw, pw) + mr + GAP_MM + sl + sw + sr
    tall = pb + ph + pa + GAP_MM + max(fb, sb) + max(fh, sh) + max(fa, sa)
    spare_x, spare_y = right - left - wide, top - low - tall
    if spare_x < 0 or spare_y < 0:
        return None
    x, y = left + spare_x / 3, low + spare_y / 2
    if first:
        front = (x + ml, y + pb + ph + pa + GAP_MM + max(fb, sb))
        side = (front[0] + fw + mr + GAP_MM + sl, front[1])
        plan = (front[0], y + pb)
    else:
        side = (x + sl, y + max(fb, sb))
        front = (side[0] + sw + sr + GAP_MM + ml, side[1])
        plan = (front[0], front[1] + fh + max(fa, sa) + GAP_MM + pb)
    block = _note_rect(setting, notes)
    keep = (block[0], setting.block[1], block[2], block[3])
    for lift in (0.0, spare_y / 2):
        for shift in (0.0, -spare_x / 3):
            corners = [(cx + shift, cy + lift) for cx, cy in (front, side, plan)]
            rects = [o.outer(Placed(o.view, 1 / scale, c)) for o, c in zip(laid, corners, strict=True)]
            if all(within(r, setting.inner) and not overlap(r, keep) for r in rects):
                return tuple(corners)
    return None


def _opening_tables(openings: Sequence[Any], setting: Setting) -> list[Sheet]:
    """Clear sizes of openings in a table, where no dimension line gives them."""
    if not openings:
        return []
    left, _, _, top = setting.inner
    columns = (
        Column("Opening", 60.0), Column("Width", 35.0, "right"), Column("Depth", 35.0, "right"),
        Column("Height", 35.0, "right"),
    )  # fmt: skip
    rows = [Row((o.label, *(figure_of(v, setting.units) for v in o.clear_mm))) for o in openings]
    space = Space(left + 5.0, setting.block[3] + 5.0, top - 8.0)
    tables = table(columns, rows, lambda _: space, 2.5)
    return [Sheet("General arrangement", "clear openings", 0.0, tuple(items)) for items in tables]
