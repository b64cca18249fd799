"""Where views stand: as large as fits, related as first or third angle asks, clear of the title block.

Views that belong together are tried on one sheet, then on two or three, at each standard scale from the
largest down; the first that fits is taken, so a further sheet is used only where it wins a larger scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import product

from furnigen.core.errors import InputError
from furnigen.drawings.dimensions import Run, Said, Side, draw_runs, room_for
from furnigen.drawings.running import draw_running, running_away, running_overrun, running_room
from furnigen.drawings.sheet import Rect, Setting, overlap, scales
from furnigen.drawings.views import Placed, View
from furnigen.paper.frame import LEADING
from furnigen.paper.lettering import width_of, wrapped
from furnigen.paper.page import PAPER_MM, Item, Point, Text

TITLE_MM = 5.5
"""Above a view, for its name."""
FRAME_MM = 1.0
"""Between the frame and what stands in it."""
GAPS_MM = (18.0, 10.0, 5.0)
"""Between views with all that stands beside them: wide where there is room."""
OVERRUN_MM = 12.0
"""Figures of running dimensions further beyond the end of their view than this leave no room on the sheet."""
SPREAD = (0.5, 0.375, 0.625, 0.25, 0.75, 0.125, 0.875, 0.0, 1.0)
"""Where in the spare room a group of views stands, the best first."""
NOTE_MM, NOTE_LEAD_MM = 2.5, 4.2
"""Height of notes, and from line to line."""


@dataclass(frozen=True)
class Laid:
    """A view and what stands beside it, to be set on paper.

    Attributes:
        key: "front", "side", "plan" or "section".
        name: its title.
        runs: dimension lines, nearest first.
        running: side, datum and stops of running dimensions, outside of the runs.
        more: further room on the left, below, right, above (mm on paper).
        title: height of its title (mm).
        after: room that something takes beside its title (mm).
        busy: how far from its left edge what `more` has above it stands (mm, real); None for nothing.
    """

    key: str
    name: str
    view: View
    runs: tuple[Run, ...] = ()
    running: tuple[tuple[Side, float, tuple[float, ...]], ...] = ()
    more: Rect = (0.0, 0.0, 0.0, 0.0)
    units: str = "mm"
    title: float = 3.5
    after: float = 0.0
    busy: float | None = None

    def rooms(self, scale: float) -> Rect:
        """What stands beside it on the left, below, right, above at a scale (mm on paper)."""
        found = []
        running = self._running(scale)
        sides: tuple[Side, ...] = ("left", "below", "right", "above")
        for side, more in zip(sides, self.more, strict=True):
            room = room_for(self.runs, side, self.units) + more
            for at, datum, stops in running:
                if at == side:
                    away = running_away(self.runs, at, self.units)
                    room = max(room, away + running_room(stops, datum, self.units))
            found.append(room)
        for at, datum, stops in running:
            axis = 1 if at in ("left", "right") else 0
            for end, beyond in zip((axis, axis + 2), self._overrun(at, datum, stops, scale), strict=True):
                found[end] = max(found[end], beyond)
        lines = self._title_lines(scale)
        long = max(width_of(said, self.title) for said in lines) + self.after
        right = max(found[2], long - self.view.size[0] / scale + 1.0)
        title = TITLE_MM + (len(lines) - 1) * self.title * LEADING
        if self._beside_figure(scale):
            title = 1.6
        elif self._beside_plane(scale):
            title = 0.0
        return found[0], found[1], right, found[3] + title

    def _overrun(self, side: Side, datum: float, stops: Sequence[float], scale: float) -> tuple[float, float]:
        """How far figures of running dimensions reach beyond its ends (mm on paper)."""
        axis = 1 if side in ("left", "right") else 0
        low = self.view.lo[axis]
        return running_overrun(stops, datum, (low, low + self.view.size[axis]), 1 / scale, self.units)

    def _running(self, scale: float) -> list[tuple[Side, float, tuple[float, ...]]]:
        """Running dimensions that can be read at a scale; the sheets of the parts have the others."""
        return [one for one in self.running if max(self._overrun(*one, scale)) <= OVERRUN_MM]

    def _title_lines(self, scale: float) -> list[str]:
        """Its title, in two lines over a view that is narrower."""
        wide = self.view.size[0] / scale
        if self.after or " " not in self.name or width_of(self.name, self.title) <= wide + 3.0:
            return [self.name]
        return self.name.split(" ", 1)

    def _beside_plane(self, scale: float) -> bool:
        """Whether its title stands on the left of what `more` has above it."""
        return self.busy is not None and self.busy / scale > width_of(self.name, self.title) + 14.0

    def _beside_figure(self, scale: float) -> bool:
        """Whether its title stands over the outermost dimension line above it, on the left of the figure."""
        above = [r for r in self.runs if r.side == "above"]
        if not above or self.after or self.more[3] or any(side == "above" for side, _, _ in self.running):
            return False
        half = (above[-1].stops[-1] - above[-1].stops[0]) / scale / 2
        return half - 12.0 > width_of(self.name, self.title)

    def title_items(self, on: Placed) -> list[Text]:
        """Its title on paper."""
        lines = self._title_lines(1 / on.scale)
        x, y = self._title_at(on)
        return [
            Text((x, y - k * self.title * LEADING), said, self.title, layer="text")
            for k, said in enumerate(lines)
        ]

    def _title_at(self, on: Placed) -> Point:
        """Where its title begins, on the base line of its first line."""
        outer = self.outer(on)
        if self._beside_figure(1 / on.scale):
            return on.box[0] + 2.5, outer[3] - self.title - 1.5
        if self._beside_plane(1 / on.scale):
            return on.box[0], on.box[3] + 2.5
        return on.box[0], outer[3] - self.title - 0.7

    def dimensions(self, on: Placed, said: Said) -> list[Item]:
        """Its dimension lines on paper."""
        items = draw_runs(on, self.runs, self.units, said)
        for side, datum, stops in self._running(1 / on.scale):
            away = running_away(self.runs, side, self.units)
            items += draw_running(on, side, datum, stops, self.units, away)
        return items

    def outer(self, placed: Placed) -> Rect:
        """The view on paper with all that stands beside it."""
        (a, b, c, d), (p, q, r, s) = placed.box, self.rooms(1 / placed.scale)
        return a - p, b - q, c + r, d + s


@dataclass(frozen=True)
class SheetPlan:
    """One sheet of views: the lower left corner of each, and where the notes stand."""

    views: tuple[tuple[Laid, Point], ...]
    notes: Rect | None = None


@dataclass(frozen=True)
class Layout:
    """Sheets at one scale (real over paper)."""

    scale: float
    sheets: tuple[SheetPlan, ...] = field(default=())


PARTITIONS: tuple[tuple[tuple[str, ...], ...], ...] = (
    (("front", "side", "plan", "section"),),
    (("front", "side", "plan"), ("section",)),
    (("front", "side"), ("plan", "section")),
    (("front", "side"), ("plan",), ("section",)),
    (("front", "plan"), ("side", "section")),
)
"""Views by sheets, fewest sheets first."""
APART = ((("front",), ("side", "section"), ("plan",)), (("front",), ("side",), ("plan",), ("section",)))
"""Only where the views fit together at no scale."""


def layout(laid: Sequence[Laid], setting: Setting, notes: Sequence[str]) -> Layout:
    """The largest standard scale at which the views fit, on as few sheets as it takes.

    Raises: InputError naming a sheet that is large enough.
    """
    found = _layout(laid, setting, notes)
    if found is not None:
        return found
    fits = []
    for name in PAPER_MM:
        other = Setting(name, setting.units, setting.projection)
        if name != setting.sheet and _layout(laid, other, notes) is not None:
            fits.append(name)
    raise InputError(
        "sheet", setting.sheet, "is too small for this piece at any standard scale",
        f"choose {' or '.join(fits)}" if fits else "",
    )  # fmt: skip


def _layout(laid: Sequence[Laid], setting: Setting, notes: Sequence[str]) -> Layout | None:
    by_key = {one.key: one for one in laid}
    for partitions in (PARTITIONS, APART):
        for scale in scales(setting.units):
            for partition in partitions:
                groups = [[by_key[k] for k in keys if k in by_key] for keys in partition]
                plans = []
                for number, group in enumerate(g for g in groups if g):
                    plan = place_group(group, setting, scale, notes if number == 0 else ())
                    if plan is None:
                        break
                    plans.append(plan)
                else:
                    return Layout(float(scale), tuple(plans))
    return None


def place_group(
    group: Sequence[Laid], setting: Setting, scale: float, notes: Sequence[str]
) -> SheetPlan | None:
    """Views on one sheet, the notes beside them; None where they do not fit."""
    inner = frame_space(setting)
    spots = [None] if not notes else note_rects(setting, notes)
    for gap in GAPS_MM:
        for at in _related(group, setting, scale, gap):
            rects = [o.outer(Placed(o.view, 1 / scale, c)) for o, c in zip(group, at, strict=True)]
            if any(overlap(a, b) for k, a in enumerate(rects) for b in rects[:k]):
                continue
            for spot in spots:
                moved = slid(rects, inner, [setting.block, *([spot] if spot else [])])
                if moved is not None:
                    dx, dy = moved
                    views = tuple((o, (cx + dx, cy + dy)) for o, (cx, cy) in zip(group, at, strict=True))
                    return SheetPlan(views, spot)
    return None


def frame_space(setting: Setting) -> Rect:
    """Where views may stand: a little within the frame."""
    left, low, right, top = setting.inner
    return left + FRAME_MM, low + FRAME_MM, right - FRAME_MM, top - FRAME_MM


def slid(rects: Sequence[Rect], inner: Rect, keeps: Sequence[Rect]) -> Point | None:
    """How far rectangles are moved together so that they stand within `inner` and clear of `keeps` (mm)."""
    x0, y0 = min(r[0] for r in rects), min(r[1] for r in rects)
    x1, y1 = max(r[2] for r in rects), max(r[3] for r in rects)
    spare_x, spare_y = inner[2] - inner[0] - (x1 - x0), inner[3] - inner[1] - (y1 - y0)
    if spare_x < 0 or spare_y < 0:
        return None
    for fx, fy in sorted(product(SPREAD, SPREAD), key=lambda f: SPREAD.index(f[0]) + SPREAD.index(f[1])):
        dx, dy = inner[0] - x0 + fx * spare_x, inner[1] - y0 + fy * spare_y
        moved = [(a + dx, b + dy, c + dx, d + dy) for a, b, c, d in rects]
        if not any(overlap(r, k) for r in moved for k in keeps):
            return dx, dy
    return None


def note_rects(setting: Setting, notes: Sequence[str]) -> list[Rect]:
    """Where notes may stand: above the title block, on its left, at the top."""
    left, low, right, top = setting.inner
    a, _, c, high = setting.block
    found = [(a, high, c, high + notes_height(notes, c - a - 2.4))]
    if a - left > 100.0:
        found.append((left, low, a, low + notes_height(notes, a - left - 8.0)))
    tall = notes_height(notes, c - a - 2.4)
    return [*found, (right - (c - a), top - tall, right, top), (left, top - tall, left + (c - a), top)]


def notes_height(notes: Sequence[str], width: float) -> float:
    """How tall notes are, wrapped to a width (mm)."""
    return NOTE_LEAD_MM * sum(len(wrapped(n, width, NOTE_MM)) for n in notes) + 6.0


def _related(group: Sequence[Laid], setting: Setting, scale: float, gap: float) -> list[tuple[Point, ...]]:
    """Corners of the views of a group, where they stand to each other; several ways for a section."""
    first = setting.projection == "first"
    one = {o.key: o for o in group}
    size = {k: (o.view.size[0] / scale, o.view.size[1] / scale) for k, o in one.items()}
    room = {k: o.rooms(scale) for k, o in one.items()}
    at: dict[str, Point] = {}
    main = next(k for k in ("front", "side", "plan", "section") if k in one)
    at[main] = (0.0, 0.0)

    def beside(key: str, of: str, after: bool) -> None:
        """On the right of a view, or on its left; their feet level."""
        x, y = at[of]
        if after:
            at[key] = (x + size[of][0] + room[of][2] + gap + room[key][0], y)
        else:
            at[key] = (x - room[of][0] - gap - room[key][2] - size[key][0], y)

    def stacked(key: str, of: str, above: bool) -> None:
        x, y = at[of]
        if above:
            at[key] = (x, y + size[of][1] + room[of][3] + gap + room[key][1])
        else:
            at[key] = (x, y - room[of][1] - gap - room[key][3] - size[key][1])

    if "side" in one and main != "side":
        beside("side", "front", first)
    if "plan" in one and main != "plan":
        stacked("plan", main, not first)
    ways: list[dict[str, Point]] = []
    if "section" in one and main != "section":
        last = "side" if "side" in one else main
        beside("section", last, first or main == "plan")
        ways.append(dict(at))
        beside("section", last, not (first or main == "plan"))
        ways.append(dict(at))
        for above in (False, True):
            stacked("section", last, above)
            ways.append(dict(at))
        if "plan" in one and "side" in one:  # the free corner
            at["section"] = (at["side"][0], at["plan"][1])
            ways.append(dict(at))
    else:
        ways.append(at)
    return [tuple(way[o.key] for o in group) for way in ways]
