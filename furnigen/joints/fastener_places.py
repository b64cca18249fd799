"""Where fasteners go in the face where two boards meet, and the holes they need."""

from __future__ import annotations

from furnigen.catalogue.hardware import places_along
from furnigen.core.errors import InputError
from furnigen.core.facts import Fact, FastenerKind
from furnigen.core.pose import Vector, axis_vector
from furnigen.joints.meeting import Meeting, Span
from furnigen.joints.meeting_face import contact_outline
from furnigen.parts.cuts import Bore
from furnigen.parts.forms.outline import Outline

WIDE_FACE_MM = 100.0
"""A meeting face wider than this takes two lines of fasteners. Common practice, no source."""
LINE_SHARE = 0.2
"""The outer of several lines from the edge, as a share of the face. Common practice, no source."""


def _line_places(m: Meeting, count: int | None, span: Span) -> list[float]:
    """Places along the joint from its front, low or left end: by the usual spacing, or `count` evenly."""
    run = m.across[0]
    length = span[1] - span[0]
    if count is None:
        along = places_along(length)
    elif count == 1:
        along = (length / 2,)
    else:
        first = min(places_along(length)[0], length / (2 * count))
        step = (length - 2 * first) / (count - 1)
        along = tuple(first + i * step for i in range(count))
    return [span[0] + p if m.low[run] < 0 else span[1] - p for p in along]


def along_line(outline: Outline, place: int, at: float) -> Span | None:
    """Where a convex outline crosses the line on which coordinate `place` is `at`, along the other one."""
    hits = []
    for p, q in zip(outline, outline[1:] + outline[:1], strict=True):
        u, v = p[place] - at, q[place] - at
        if u == v:
            continue
        s = u / (u - v)
        if 0 <= s <= 1:
            hits.append(p[1 - place] + s * (q[1 - place] - p[1 - place]))
    return (min(hits), max(hits)) if hits else None


def fastener_sites(m: Meeting, count: int | None, lines: int | None = None) -> list[dict[int, float]]:
    """Points of the meeting face where fasteners go, in b's frame: `count` in each of some lines."""
    if count is not None and count < 1:
        raise InputError(f"number of fasteners ({m.kind}, {m.where})", count, "must be 1 or more")
    run, cheek = m.across
    one = min(run, cheek)
    outline = contact_outline(m)
    place = 0 if cheek == one else 1
    values = [p[place] for p in outline]
    lo, hi = min(values), max(values)
    lines = lines or (2 if m.axis == 2 and hi - lo > WIDE_FACE_MM else 1)
    margin = (hi - lo) / 2 if lines == 1 else (hi - lo) * LINE_SHARE
    step = (hi - lo - 2 * margin) / max(1, lines - 1)
    found = []
    for at in (lo + margin + i * step for i in range(lines)):
        span = along_line(outline, place, at)
        if span is not None:
            found += [{run: p, cheek: at, m.axis: m.plane} for p in _line_places(m, count, span)]
    return found


def even_sites(m: Meeting, count: int | None) -> list[dict[int, float]]:
    """The same in one line, evenly from both ends, so that boards bored alike stay alike turned over."""
    if count is None:
        lo, hi = m.shared_on(m.across[0])
        count = len(places_along(hi - lo))
    return fastener_sites(m, count, 1)


def way_in(m: Meeting, into_a: bool) -> Vector:
    """The way fasteners go, in b's frame: into a, or into b."""
    return axis_vector(m.axis, float(m.sign if into_a else -m.sign))


def hardware_bore(
    m: Meeting,
    site: dict[int, float],
    into_a: bool,
    diameter: float,
    depth: float,
    name: str,
    takes: FastenerKind,
    blind: bool = True,
) -> Bore:
    """A hole for hardware in b's frame, from the meeting face into a or into b."""
    start = (site[0], site[1], site[2])
    return Bore(start, way_in(m, into_a), diameter, depth, name, blind, Fact.HARDWARE_HOLE, takes)
