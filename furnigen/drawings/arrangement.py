"""The general arrangement: front, left side, plan and a section, first or third angle, as large as fits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from furnigen.core.facts import Fact
from furnigen.drawings.angles import angle_figure
from furnigen.drawings.axes import (
    LEAN_ROOM_MM,
    OVER_MM,
    lean_angle,
    lean_of,
    leaning_line,
    leg_angle,
    leg_axes,
    middle_line,
)
from furnigen.drawings.chains import (
    MOST_UNCHAINED,
    opening_chains,
    unchained_stops,
    unsaid_openings,
    view_runs,
)
from furnigen.drawings.dimensions import Run, Said, Side
from furnigen.drawings.figures import figure_of
from furnigen.drawings.hole_rows import HoleRow, hole_rows
from furnigen.drawings.layout import Laid, SheetPlan, layout
from furnigen.drawings.legible import centre_lines, legible
from furnigen.drawings.running import running_fits
from furnigen.drawings.section import PLANE_MM, Section, hatch, plane_items, section_at, section_plane
from furnigen.drawings.sheet import Rect, Setting, Sheet, note_items, scales
from furnigen.drawings.views import FRONT, LEFT, PLAN, Placed, view_of
from furnigen.kernel.solids import solid
from furnigen.paper.frame import Column, Row, Space, table
from furnigen.paper.page import NARROW, Arc, Item, line
from furnigen.parts.cuts import Bore
from furnigen.parts.part import Part
from furnigen.piece.description import Piece

LEAST_RADIUS_MM = 0.3
"""A hole drawn smaller than this on paper is a blot: its centre line alone shows it."""


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


class Arrangement:
    """The views of a piece, what is dimensioned on them, and their sheets.

    Args:
        solids: of each part, without holes for hardware (`plain_solids`).
    """

    def __init__(self, piece: Piece, solids: Sequence[Any], setting: Setting) -> None:
        self.piece, self.setting = piece, setting
        placed = [(p.label, solids[p.part], p.pose) for p in piece.placements]
        self.front, self.side, self.plan = (view_of(placed, at) for at in (FRONT, LEFT, PLAN))
        cut_at = section_plane(piece, self.side)
        self.section = None if cut_at is None else section_at(piece, solids, cut_at)
        self.rows = () if cut_at is None else hole_rows(piece, cut_at)
        self.lean = None if piece.legs else leaning_line(self.side)
        self.said = Said()

    def sheets(self) -> list[Sheet]:
        """One sheet or more, and one with a table where openings are on no dimension line.

        Raises: InputError where the paper is too small at any standard scale.
        """
        notes = self._notes()
        laid = self._laid()
        found = layout(laid, self.setting, notes)
        every = tuple(p.name for p in self.piece.parts)
        sheets = []
        for plan in found.sheets:
            items = self._drawn(plan, found.scale)
            if plan.notes is not None:
                items += _note_block(notes, plan.notes)
            shows = ", ".join(one.name[:1].lower() + one.name[1:] for one, _ in plan.views)
            sheets.append(Sheet("General arrangement", shows, found.scale, tuple(items), every))
        runs = [(2 if r.upright else 0, 1.0, r) for r in laid[0].runs]
        return sheets + _opening_tables(unsaid_openings(self.piece, runs), self.setting)

    def _laid(self) -> list[Laid]:
        """The views with their dimension lines."""
        piece, units = self.piece, self.setting.units
        # dimensions stand on the sides that face no other view
        out: Side = "above" if self.setting.projection == "first" else "below"
        beside: Rect = (0.0, 0.0, LEAN_ROOM_MM, 0.0) if self.lean else (0.0, 0.0, 0.0, 0.0)
        front_runs = view_runs(piece, self.front, (0, 2), ((out,), ("left",)))
        side_runs = view_runs(
            piece, self.side, (1, 2), ((out,), ("right",)), overall=(True, False), chained=(True, False)
        )
        ends: Rect = (0.0, PLANE_MM - 2.0, 0.0, PLANE_MM - 2.0) if self.section else (0.0, 0.0, 0.0, 0.0)
        busy = None if self.section is None else self.section.x - piece.bounds.lo[0]
        below = OVER_MM if piece.legs else 0.0
        beside = (0.0, below, beside[2], 0.0)
        laid = [
            Laid("front", "Front", self.front, tuple(front_runs), more=(0.0, below, 0.0, 0.0), units=units),
            Laid("side", "Left side", self.side, tuple(side_runs), more=beside, units=units),
            Laid("plan", "Plan", self.plan, more=ends, units=units, busy=busy),
        ]  # fmt: skip
        if self.section is not None:
            heights = [s for r in front_runs if r.upright for s in r.stops]
            laid.append(self._section_laid(self.section, {r.stops for r in side_runs}, heights))
        return laid

    def _section_laid(self, section: Section, said: set[tuple[float, ...]], heights: Sequence[float]) -> Laid:
        """The section, with what only it shows: depths no other view gives, and rows of holes."""
        piece, units = self.piece, self.setting.units
        chains = opening_chains(piece, section.view, 1, upright=False)
        runs = [Run("below", chain) for chain in chains[:1] if chain not in said]
        depths = [s for stops in (*said, *chains) for s in stops]
        running: list[tuple[Side, float, tuple[float, ...]]] = []
        if self.rows:
            row = self.rows[0]
            if any(running_fits((row.foot, *row.heights), 1 / s, units) for s in scales(units)[:4]):
                running.append(("left", row.foot, row.heights))
            elif row.step:
                runs.append(_stepped(row, units))
            running.append(("above", -row.front, tuple(-r.y for r in self.rows)))
        # rails, rungs, plinths: heights from the foot of the piece, depths from its front
        found = unchained_stops(piece, section.view, 2, heights, upright=True)
        if found and len(found) <= MOST_UNCHAINED:
            running.append(("right", piece.bounds.lo[2], found))
        found = unchained_stops(piece, section.view, 1, depths, upright=False)
        if found and len(found) <= MOST_UNCHAINED and not self.rows:
            running.append(("above", -piece.bounds.lo[1], found))
        return Laid("section", "Section A-A", section.view, tuple(runs), tuple(running), units=units)

    def _drawn(self, plan: SheetPlan, scale: float) -> list[Item]:
        items: list[Item] = []
        for one, corner in plan.views:
            on = Placed(one.view, 1 / scale, corner)
            drawn = on.items(hidden=None) if one.key == "section" else legible(on)
            if one.key == "section" and self.section is not None:
                drawn += [item for cut in self.section.cuts for item in hatch(on, cut)]
                drawn += _row_items(self.rows, on)
            drawn += centre_lines(on)
            drawn += one.dimensions(on, self.said)
            drawn += self._axes(one.key, on, drawn)
            drawn += one.title_items(on)
            items += drawn
        return items

    def _axes(self, key: str, on: Placed, drawn: Sequence[Item]) -> list[Item]:
        """Centre lines, the cutting plane, and how things lean."""
        items: list[Item] = []
        if key in ("front", "plan"):
            items += middle_line(self.piece, on)
        if key in ("front", "side"):
            items += leg_axes(self.piece, on)
        if key == "front":
            items += leg_angle(self.piece, on, "splay", drawn)
        if key == "side":
            items += leg_angle(self.piece, on, "rake", drawn)
            items += lean_angle(on, self.lean, drawn)
        if key == "plan" and self.section is not None:
            items += plane_items(on, self.section.x)
        return items

    def _notes(self) -> list[str]:
        """Angles of legs and of what leans, and what to heed."""
        piece, units = self.piece, self.setting.units
        notes = []
        for note in piece.legs:
            if note.resultant > 0.05:
                notes.append(
                    f"{piece.parts[note.part].name}: rake {angle_figure(note.rake)},"
                    f" splay {angle_figure(note.splay)},"
                    f" resultant {angle_figure(note.resultant)},"
                    f" sightline {angle_figure(note.sightline)} from the"
                    " front-back line"
                )
        notes += _leg_places(piece, units)
        if self.lean is not None:
            notes.append(f"leans {angle_figure(lean_of(self.lean))} from upright, seen from the left")
        bottom = piece.bounds.lo[2]
        if bottom > 1.0:
            notes.append(f"hangs on the wall: its underside is {figure_of(bottom, units)} above the floor")
        for p in piece.pitches:
            exact = "" if units == "mm" else f' ({round(p.step_mm / 25.4, 3):.10g}")'
            notes.append(f"{p.what}: {p.count} at steps of {figure_of(p.step_mm, units)}{exact}")
        if self.section is not None:
            far = figure_of(self.section.x - piece.bounds.lo[0], units)
            notes.append(f"section A-A is cut {far} from the left end and seen from the left")
        for row in self.rows[:1]:
            notes.append(f"holes in rows: ⌀{figure_of(row.diameter, units)}, {len(row.heights)} in each row")
        if units == "in":
            notes.append('~ marks a size rounded to 1/32"')
        notes.append("Sizes are finished sizes. Measure your stock before you cut.")
        return notes


def _leg_places(piece: Piece, units: str) -> list[str]:
    """Where the axes of legs meet their upper ends, from the ends of the piece and its front and back."""
    lo, hi = piece.bounds.lo, piece.bounds.hi
    found: dict[str, None] = {}
    for placement in piece.placements:
        leg = piece.part_of(placement).form.as_leg
        if leg is None:
            continue
        x, y, _ = placement.pose.apply(leg.axis_at(leg.height))
        beside, before = min(x - lo[0], hi[0] - x), min(y - lo[1], hi[1] - y)
        ends = "left" if x - lo[0] <= hi[0] - x else "right"
        faces = "front" if y - lo[1] <= hi[1] - y else "back"
        name = piece.part_of(placement).name
        found[
            f"{name}, {faces} {ends}: its axis meets its upper end {figure_of(beside, units)} from the"
            f" {ends} end, {figure_of(before, units)} from the {faces}"
        ] = None
    sizes = {text.split(": ", 1)[1].replace("left", "right").replace("front", "back") for text in found}
    if len(sizes) == 1 and len(found) > 1:
        one = next(iter(found)).split(": ", 1)[1]
        for side, both in (("the left end", "each end"), ("the right end", "each end"),
                           ("the front", "front and back"), ("the back", "front and back")):  # fmt: skip
            one = one.replace(side, both)
        return [
            f"legs: the axis of each meets its upper end {one.removeprefix('its axis meets its upper end ')}"
        ]
    return list(found)


def arrangement_sheets(piece: Piece, solids: Sequence[Any], setting: Setting) -> list[Sheet]:
    """The sheets of the general arrangement.

    Args:
        solids: of each part, without holes for hardware (`plain_solids`).

    Raises: InputError where the paper is too small at any standard scale.
    """
    return Arrangement(piece, solids, setting).sheets()


def _stepped(row: HoleRow, units: str) -> Run:
    """A row too close for running dimensions: its first hole, and its last by the number of steps."""
    note = f"{len(row.heights) - 1} steps of {figure_of(row.step, units)}"
    return Run("left", (row.foot, row.heights[0], row.heights[-1]), notes=("", note))


def _row_items(rows: Sequence[HoleRow], on: Placed) -> list[Item]:
    """Holes in rows: the cross of their centre, and the circle where it can be seen at its scale."""
    items: list[Item] = []
    for row in rows:
        radius = row.diameter / 2 * on.scale
        for z in row.heights:
            x, y = on.flat((-row.y, z))
            over = max(radius, LEAST_RADIUS_MM) + 0.6
            items += [
                line((x - over, y), (x + over, y), NARROW, "visible"),
                line((x, y - over), (x, y + over), NARROW, "visible"),
            ]
            if radius >= LEAST_RADIUS_MM:
                items.append(Arc((x, y), radius, pen=NARROW, layer="visible"))
    return items


def _note_block(notes: Sequence[str], at: Rect) -> list[Item]:
    left, _, right, top = at
    return note_items(notes, left + 1.2, top - 3.0, right - left - 2.4)[0]


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
