"""Rules of joints a maker may break with open eyes: weak grooves, thin walls, edges and fasteners too near.

What no maker could cut is refused when the joint is declared or the piece is done (`furnigen.joints`).
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from furnigen.core.facts import Fact, FastenerKind
from furnigen.core.finding import FAIL, PASS, WARN, Finding
from furnigen.core.pose import Box, dot
from furnigen.core.quantities import SAME_MM
from furnigen.core.wording import in_words
from furnigen.joints.joint import Fastener, Joint
from furnigen.joints.sizes import LEAST_WALL_MM, THIRD
from furnigen.mesh.broadphase import meeting_boxes
from furnigen.parts.cuts import Bore, FlatCut
from furnigen.parts.part import Part
from furnigen.parts.volume.bores import bore_span
from furnigen.parts.volume.polytope import overlap
from furnigen.parts.volume.round_holes import axis_gap
from furnigen.piece.description import Piece, Placement

PRACTICE = "common practice, no source"
SET_MM = 0.6
"""A groove set to the next half millimetre, and its fit, is still a third."""
LEAST_WEB = 1 / 4
"""Wood left between grooves on both faces, as a share of the board. Common practice, no source."""
HOLE_BOTTOM_MM = 2.0
"""Wood left behind a blind hole. Common practice, no source."""
EDGE_DIAMETERS = {FastenerKind.SCREW: 2.0, FastenerKind.NAIL: 2.0, FastenerKind.DOWEL: 1.0}
"""Axis of a fastener from an edge it runs along, in diameters: a dowel is at most half its board (a dowel
maker's page); a screw nearer than twice its diameter splits wood (common practice, no source)."""

CROSS_BOLT = (FastenerKind.BOLT, FastenerKind.BARREL_NUT)
"""Two that cross in one hole and belong together."""


def check_joints(piece: Piece) -> list[Finding]:
    """All rules of joints, in a fixed order; nothing for a piece without joints."""
    if not piece.joints:
        return []
    return [
        *_grooves(piece),
        *_hole_bottoms(piece),
        *_edges(piece),
        *_meeting_fasteners(piece),
    ]


def _labels(piece: Piece, index: int) -> str:
    return ", ".join(p.label for p in piece.placements if p.part == index)


def _faces_cut(part: Part) -> list[tuple[Box, float, float]]:
    """Grooves in a board's faces: bounds, depth from the low face, depth from the high face (mm)."""
    found = []
    thick = part.form.blank_mm[2]
    for cut in part.cuts:
        if not isinstance(cut, FlatCut) or Fact.GROOVE not in cut.facts:
            continue
        box = cut.spans()
        low = box.hi[2] if box.lo[2] <= SAME_MM else 0.0
        high = thick - box.lo[2] if box.hi[2] >= thick - SAME_MM else 0.0
        # cut from an edge or end it goes through the whole thickness
        if max(low, high) < thick - SAME_MM:
            found.append((box, low, high))
    return found


def _grooves(piece: Piece) -> Iterator[Finding]:
    """A groove takes at most a third of its board; two from both faces leave enough between them."""
    seen, bad = 0, False
    for index, part in enumerate(piece.parts):
        board = part.form.as_board
        if board is None:
            continue
        thick = board.thickness
        grooves = _faces_cut(part)
        seen += len(grooves)
        deepest = max((max(low, high) for _, low, high in grooves), default=0.0)
        if deepest > thick * THIRD + SET_MM:
            bad = True
            remedy = f"let it in {in_words(thick * THIRD)}, or use a thicker board"
            yield Finding(
                "groove-depth", WARN, deepest, thick * THIRD, "mm", _labels(piece, index), PRACTICE, remedy
            )
        web = _thinnest_web(thick, grooves)
        if web < thick * LEAST_WEB - SAME_MM:
            bad = True
            limit = thick * LEAST_WEB
            status = FAIL if web < LEAST_WALL_MM else WARN
            remedy = "make the grooves shallower, or set them off from each other"
            where = _labels(piece, index)
            yield Finding(
                "web-between-grooves", status, web, limit, "mm", where, PRACTICE, remedy, least=True
            )
    if seen and not bad:
        yield Finding("groove-depth", PASS, seen, None, "grooves", "", PRACTICE)


def _thinnest_web(thick: float, grooves: list[tuple[Box, float, float]]) -> float:
    """Least wood between grooves from either face that lie above each other (mm)."""
    from_low = [(_seen_flat(box), low) for box, low, _ in grooves if low]
    from_high = [(_seen_flat(box), high) for box, _, high in grooves if high]
    web = thick
    for low_box, low in from_low:
        for high_box, high in from_high:
            left = thick - low - high
            if left < web and overlap(low_box, high_box):
                web = left
    return web


def _seen_flat(box: Box) -> Box:
    """A box as it covers the board, seen square to it: boxes overlap where they cover each other."""
    return Box((box.lo[0], box.lo[1], 0.0), (box.hi[0], box.hi[1], 1.0))


def _hole_bottoms(piece: Piece) -> Iterator[Finding]:
    """A blind hole leaves some wood behind it."""
    seen, bad = 0, False
    for index, part in enumerate(piece.parts):
        blank = part.form.bounds()
        for cut in part.cuts:
            if not isinstance(cut, Bore) or not cut.blind:
                continue
            seen += 1
            left = min(
                (blank.hi[i] - cut.end[i] if cut.direction[i] > 0 else cut.end[i] - blank.lo[i])
                / abs(cut.direction[i])
                for i in range(3)
                if abs(cut.direction[i]) > 0.7
            )
            if left < HOLE_BOTTOM_MM - SAME_MM:
                bad = True
                yield Finding(
                    "hole-bottom",
                    WARN,
                    left,
                    HOLE_BOTTOM_MM,
                    "mm",
                    f"{cut.name} in {_labels(piece, index)}",
                    PRACTICE,
                    f"bore it {in_words(HOLE_BOTTOM_MM - left)} less deep",
                    least=True,
                )
                break
    if seen and not bad:
        yield Finding("hole-bottom", PASS, seen, None, "holes", "", PRACTICE)


def _edges(piece: Piece) -> Iterator[Finding]:
    """Fasteners stay off the edges they run along."""
    seen, bad = 0, False
    for joint in piece.joints:
        for fastener in joint.fasteners:
            share = EDGE_DIAMETERS.get(fastener.kind)
            if share is None:
                continue
            least = share * fastener.diameter_mm
            for label in (one for one in (joint.a, joint.b) if one in piece.by_label):
                gaps = _edge_gaps(piece, label, fastener)
                seen += len(gaps)
                if gaps and min(gaps) < least - SAME_MM:
                    bad = True
                    yield Finding(
                        "edge-distance",
                        WARN,
                        min(gaps),
                        least,
                        "mm",
                        f"{fastener.kind} of {joint.b} to {joint.a}, in {label}",
                        PRACTICE,
                        "use a thinner one, or set it further in",
                        least=True,
                    )
    if seen and not bad:
        yield Finding("edge-distance", PASS, seen, None, "fasteners", "", PRACTICE)


def _edge_gaps(piece: Piece, label: str, fastener: Fastener) -> list[float]:
    """Least distance of each axis from the faces it runs along in one placement (mm)."""
    place = piece.placement(label)
    inside = place.pose.inverse()
    blank = piece.part_of(place).form.bounds()
    found = []
    for point, way in fastener.sites:
        start, direction = inside.apply(point), inside.turn(way)
        found.append(
            min(
                min(start[i] - blank.lo[i], blank.hi[i] - start[i])
                for i in range(3)
                if abs(direction[i]) < 0.3
            )
        )
    return found


_Round = tuple[str, Bore, Box]
"""Something round in the room: what it is, the space it takes, its bounds (mm)."""


def _shafts(joint: Joint) -> list[_Round]:
    """The space each piece of a joint's hardware takes."""
    found = []
    for fastener in joint.fasteners:
        # loose parts are placements: what runs into them is an overlap
        if fastener.kind is FastenerKind.SHELF_PIN or fastener.parts:
            continue
        name = f"{fastener.kind} of {joint.b} to {joint.a}"
        for point, way in fastener.sites:
            shaft = Bore(
                point, way, fastener.diameter_mm, fastener.length_mm, fastener.kind, takes=fastener.kind
            )
            found.append((name, shaft, bore_span(shaft)))
    return found


def _holes(piece: Piece, place: Placement) -> list[_Round]:
    """The holes bored in one placement."""
    bores = [cut.moved(place.pose) for cut in piece.part_of(place).cuts if isinstance(cut, Bore)]
    return [(f"{bore.name} in {place.label}", bore, bore_span(bore)) for bore in bores]


def _meeting_fasteners(piece: Piece) -> Iterator[Finding]:
    """Hardware of different joints does not run into each other, nor into holes bored for another."""
    fitted = [(joint, shafts) for joint in piece.joints if (shafts := _shafts(joint))]
    members = {label for joint, _ in fitted for label in (joint.a, joint.b)}
    holes = {p.label: _holes(piece, p) for p in piece.placements if p.label in members}
    hulls = [Box.around([c for _, _, span in shafts for c in (span.lo, span.hi)]) for _, shafts in fitted]
    order = {label: n for n, label in enumerate(holes)}
    meeting: dict[int, list[int]] = {}
    if fitted:
        corners = np.array([(hull.lo, hull.hi) for hull in hulls])
        for i, k in meeting_boxes(corners[:, 0], corners[:, 1], 0.0).tolist():
            meeting.setdefault(i, []).append(k)
    bad = False
    for i, (joint, shafts) in enumerate(fitted):
        near = [other for k in meeting.get(i, ()) if overlap(hulls[i], hulls[k]) for other in fitted[k][1]]
        own = sorted({joint.a, joint.b} & holes.keys(), key=order.__getitem__)
        bored = [hole for label in own for hole in holes[label]]
        for name, shaft, span in shafts:
            others = [(n, second) for n, second, box in near if overlap(span, box)]
            others += [(n, h) for n, h, box in bored if overlap(span, box) and not _own(shaft, h)]
            for other, second in others:
                room = axis_gap(shaft, second) - (shaft.diameter + second.diameter) / 2
                if room < -SAME_MM:
                    bad = True
                    yield Finding(
                        "fasteners-meet",
                        FAIL,
                        room,
                        0.0,
                        "mm",
                        f"{name} and {other}",
                        "two can not fill one space",
                        "set one off, choose shorter ones, or another joint on one side",
                    )
    if fitted and not bad:
        count = sum(len(shafts) for _, shafts in fitted)
        yield Finding("fasteners-meet", PASS, count, None, "fasteners", "", "two can not fill one space")


def _own(shaft: Bore, hole: Bore) -> bool:
    """Whether a hole is the fastener's own: on its axis, or the barrel its bolt goes into."""
    same_way = abs(dot(shaft.direction, hole.direction)) > 0.999
    crossing = shaft.takes in CROSS_BOLT and hole.takes in CROSS_BOLT
    return (same_way and axis_gap(shaft, hole) < SAME_MM) or crossing
