"""Joints in words, as one marks a part out: how many, what size, in which face, where from which end.

Faces and ends are named as the first copy of the part stands in the room (left, right, front, back, bottom,
top), positions are measured to the nearer side of a cut and to the middle of a hole.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise

from furnigen.core.pose import Pose, Vector
from furnigen.core.quantities import format_length
from furnigen.cutting.features import (
    TOUCH_MM,
    Feature,
    Hole,
    Other,
    Pocket,
    SawnEnd,
    Slanted,
)
from furnigen.cutting.sections import Rect, left_over

Units = str
_ROOM = {"x": ("left", "right"), "y": ("front", "back"), "z": ("bottom", "top")}
_PLAIN = {
    "x-": "one end", "x+": "other end", "y-": "one edge", "y+": "other edge", "z-": "under", "z+": "upper",
}  # fmt: skip
AT_END = 0.25
"""A cut within this share of the length is told as one at that end."""
MOST_PLACES = 8
"""More places than this are told by their step where they have one."""


def size_text(mm: float, units: Units) -> str:
    """A length in a sentence: without its unit in mm, with inch marks in inches.

    >>> size_text(262.0, "mm"), size_text(19.05, "in")
    ('262', '3/4"')
    """
    if units == "mm":
        return format_length(mm, "mm").removesuffix(" mm").removesuffix(".0")
    return format_length(mm, "in", mark_inexact=True)


class Sides:
    """Names of a part's faces, edges and ends, by how one copy of it stands.

    Args:
        pose: sends the part's frame to the room; None where nothing is known of it.
        size: length, width, thickness (mm).
    """

    def __init__(self, pose: Pose | None, size: Vector) -> None:
        self.size = size
        self._names: dict[str, str] = {}
        taken: set[str] = set()
        for axis, letter in enumerate("xyz"):
            for sign in (-1, 1):
                key = f"{letter}{'-' if sign < 0 else '+'}"
                name = _PLAIN[key]
                if pose is not None:
                    v = [row[axis] * sign for row in pose.rotation]
                    most = max(range(3), key=lambda k: abs(v[k]))
                    name = _ROOM["xyz"[most]][v[most] > 0]
                if name in taken:  # leaning half way between two: only one of them can bear the name
                    name = _PLAIN[key]
                taken.add(name)
                self._names[key] = name

    def name(self, face: str) -> str:
        """What a face, edge or end is called."""
        return self._names[face]

    def datum(self, axis: int) -> str:
        """The end that positions along an axis are measured from: bottom, left or front, as it stands."""
        letter = "xyz"[axis]
        low, high = self.name(f"{letter}-"), self.name(f"{letter}+")
        return (
            f"{letter}+"
            if high in ("left", "bottom", "front") and low not in ("left", "bottom")
            else f"{letter}-"
        )

    def place(self, axis: int, lo: float, hi: float) -> float:
        """Distance of the nearer side of a stretch from the end that positions are measured from (mm)."""
        return lo if self.datum(axis).endswith("-") else self.size[axis] - hi

    def whole(self, axis: int, lo: float, hi: float) -> bool:
        """Whether a stretch is the whole of an axis."""
        return lo <= TOUCH_MM and hi >= self.size[axis] - TOUCH_MM


def joint_words(features: Iterable[Feature], sides: Sides, units: Units = "mm") -> tuple[str, ...]:
    """Sentences for the features of one part, like ones together."""
    groups: dict[tuple[object, ...], list[Feature]] = {}
    features = list(features)
    tenons, rest = _tenons(features, sides, units)
    for feature in rest:
        groups.setdefault(_alike(feature, sides, units), []).append(feature)
    return (*tenons, *(_sentence(group, sides, units) for group in groups.values()))


def _alike(feature: Feature, sides: Sides, units: Units) -> tuple[object, ...]:
    """What features share that one sentence tells together."""
    text = _teller(units)
    if isinstance(feature, Pocket):
        long, wide = (sides.whole(k, feature.lo[k], feature.hi[k]) for k in (0, 1))
        across = "" if wide else text(sides.place(1, feature.lo[1], feature.hi[1]))
        return ("pocket", feature.name, feature.face, *map(text, feature.size), across, feature.through, long)
    if isinstance(feature, Slanted):
        return (
            "slanted",
            feature.name,
            feature.face,
            text(feature.wide),
            text(feature.depth),
            round(feature.angle, 1),
        )
    if isinstance(feature, Hole):
        sizes = (text(feature.diameter), text(feature.depth), feature.through, round(feature.tilt, 1))
        return ("hole", feature.name, feature.face, *sizes)
    if isinstance(feature, SawnEnd):
        return ("end", feature.name, round(feature.mitre, 1), round(feature.bevel, 1))
    if _end_of(feature, sides):
        through = (text(feature.lo[2]), text(feature.hi[2]))
        breadth = text(feature.hi[1] - feature.lo[1])
        return ("at an end", feature.name, *map(text, _from_end(feature, sides)), breadth, *through)
    return ("other", feature.name, *map(text, feature.lo), *map(text, feature.hi))


def _end_of(feature: Other, sides: Sides) -> str:
    """The end of the part that a cut lies at; "" where it lies at neither."""
    near = AT_END * sides.size[0]
    low, high = feature.hi[0] <= near, feature.lo[0] >= sides.size[0] - near
    return "" if low == high else "x-" if low else "x+"


def _from_end(feature: Other, sides: Sides) -> tuple[float, float]:
    """Where a cut begins and ends, measured from the end it lies at (mm)."""
    lo, hi, long = feature.lo[0], feature.hi[0], sides.size[0]
    return (lo, hi) if _end_of(feature, sides) == "x-" else (long - hi, long - lo)


def _teller(units: Units) -> Callable[[float], str]:
    """What tells a length in some units."""
    return lambda mm: size_text(mm, units)


def _sentence(group: Sequence[Feature], sides: Sides, units: Units) -> str:
    first = group[0]
    if isinstance(first, Pocket):
        return _pocket_words([f for f in group if isinstance(f, Pocket)], sides, units)
    if isinstance(first, Slanted):
        return _slanted_words([f for f in group if isinstance(f, Slanted)], sides, units)
    if isinstance(first, Hole):
        return _hole_words([f for f in group if isinstance(f, Hole)], sides, units)
    if isinstance(first, SawnEnd):
        return _end_words([f for f in group if isinstance(f, SawnEnd)], sides)
    return _other_words([f for f in group if isinstance(f, Other)], sides, units)


def counted(number: int, name: str) -> str:
    """A number of things: "3 housings", "a mortise"; one is told without its number."""
    if number == 1:
        return name
    name, of, rest = name.partition(" for ")
    plural = (
        name[:-1] + "ves"
        if name.endswith("elf")
        else name + ("es" if name.endswith(("s", "x", "ch")) else "s")
    )
    return f"{number} {plural}{of}{rest}"


def places_text(places: Iterable[float], units: Units) -> str:
    """Positions in order; many in equal steps by their first and step."""
    found = sorted(places)
    if len(found) > MOST_PLACES:
        steps = [b - a for a, b in pairwise(found)]
        if max(steps) - min(steps) < 0.01:
            return f"{size_text(found[0], units)} and every {size_text(steps[0], units)}"
    return ", ".join(size_text(p, units) for p in found)


def _pocket_words(group: Sequence[Pocket], sides: Sides, units: Units) -> str:
    p = group[0]
    text = _teller(units)
    along, across, _ = p.size
    whole_long, whole_wide = sides.whole(0, p.lo[0], p.hi[0]), sides.whole(1, p.lo[1], p.hi[1])
    face = sides.name(p.face)
    head = counted(len(group), p.name)
    if p.face[0] != "z":  # into an edge or end
        axis = "xyz".index(p.face[0])
        other = 1 - axis
        sizes = f"{text(p.size[other])} x {text(p.size[2])}, {text(p.depth)} deep"
        row = places_text((sides.place(other, q.lo[other], q.hi[other]) for q in group), units)
        edge = "end" if axis == 0 else "edge"
        return f"{head} {sizes} in the {face} {edge} at {row} from the {sides.name(sides.datum(other))}"
    where = "through" if p.through else f"in the {face} face"
    depth = "" if p.through else f" x {text(p.depth)}"
    ends = [f for f in ("x-", "x+") if any(f in q.opens for q in group)]
    if whole_wide and ends and not whole_long and all(set(q.opens) & {"x-", "x+"} for q in group):
        at = " and ".join(sides.name(f) for f in ends)
        return f"{head} {text(along)}{depth} {where} at the {at} end{'s' if len(ends) > 1 else ''}"
    if whole_wide and not whole_long:
        row = places_text((sides.place(0, q.lo[0], q.hi[0]) for q in group), units)
        return f"{head} {text(along)}{depth} {where} at {row} from the {sides.name(sides.datum(0))}"
    edge = next((f for f in ("y-", "y+") if f in p.opens), "")
    if whole_long:
        if edge:
            return f"{head} {text(across)}{depth} {where} along the {sides.name(edge)} edge"
        row = places_text((sides.place(1, q.lo[1], q.hi[1]) for q in group), units)
        return (
            f"{head} {text(across)}{depth} {where} lengthways at {row} from the {sides.name(sides.datum(1))}"
        )
    row = places_text((sides.place(0, q.lo[0], q.hi[0]) for q in group), units)
    sizes = f"{text(along)} x {text(across)}" + ("" if p.through else f", {text(p.depth)} deep")
    side = (
        f"open to the {sides.name(edge)} edge"
        if edge
        else f"{text(sides.place(1, p.lo[1], p.hi[1]))} from the {sides.name(sides.datum(1))}"
    )
    return f"{head} {sizes} {where} at {row} from the {sides.name(sides.datum(0))}, {side}"


def _slanted_words(group: Sequence[Slanted], sides: Sides, units: Units) -> str:
    p = group[0]
    # where the cut meets the edge y = 0, or comes nearest to it
    starts = []
    for q in group:
        low = min(y for _, y in q.outline)
        xs = [x for x, y in q.outline if y <= low + TOUCH_MM]
        starts.append(sides.place(0, min(xs), max(xs)))
    where = "through" if p.through else f"in the {sides.name(p.face)} face"
    depth = "" if p.through else f" x {size_text(p.depth, units)}"
    return (
        f"{counted(len(group), p.name)} {size_text(p.wide, units)}{depth} {where},"
        f" {p.angle:.1f}° off square, at {places_text(starts, units)} from the {sides.name(sides.datum(0))}"
        f" along the {sides.name('y-')} edge"
    )


def _hole_words(group: Sequence[Hole], sides: Sides, units: Units) -> str:
    h = group[0]
    text = _teller(units)
    axis = "xyz".index(h.face[0])
    depth = "through" if h.through else f"{text(h.depth)} deep"
    place = "face" if axis == 2 else ("end" if axis == 0 else "edge")
    runs, across = {2: (0, 1), 1: (0, 2), 0: (1, 2)}[axis]
    rows: dict[str, list[float]] = {}
    for q in group:
        row = text(sides.place(across, q.at[across], q.at[across]))
        rows.setdefault(row, []).append(sides.place(runs, q.at[runs], q.at[runs]))
    # rows that are drilled at the same places are one: by places, the distances of the rows
    alike: dict[str, list[str]] = {}
    for row, places in rows.items():
        alike.setdefault(places_text(places, units), []).append(row)
    tilt = f", {h.tilt:.1f}° off square" if h.tilt else ""
    datum = sides.name(sides.datum(across))
    from_face = f"{datum} face" if across == 2 else datum
    at = "; ".join(
        f"at {places} from the {sides.name(sides.datum(runs))}, {' and '.join(heights)} from the {from_face}"
        for places, heights in alike.items()
    )
    head = f"{counted(len(group), h.name)} ⌀{text(h.diameter)} {depth}{tilt}"
    return f"{head} in the {sides.name(h.face)} {place} {at}"


def _end_words(group: Sequence[SawnEnd], sides: Sides) -> str:
    e = group[0]
    ends = [sides.name(q.face) for q in group]
    where = "edge" if e.face[0] == "y" else "end"
    settings = []
    if e.mitre > 0.05:
        settings.append(f"gauge {e.mitre:.1f}° off square")
    if e.bevel > 0.05:
        settings.append(f"blade tilted {e.bevel:.1f}°")
    many = "s" if len(ends) > 1 else ""
    return f"{e.name} at the {' and '.join(ends)} {where}{many}: {', '.join(settings) or 'square'}"


def _other_words(group: Sequence[Other], sides: Sides, units: Units) -> str:
    p = group[0]
    if not _end_of(p, sides):
        spans = [s for axis in range(3) if (s := _span_words(group[:1], axis, sides, units))]
        within = f" within {', '.join(spans)}" if spans else ""
        return f"{counted(len(group), p.name)}, sides slanted{within}"
    by_end: dict[str, list[Other]] = {}
    for q in group:
        by_end.setdefault(_end_of(q, sides), []).append(q)
    # ends cut alike are told together
    alike: dict[tuple[str, int], list[str]] = {}
    for end, cuts in by_end.items():
        across = _span_words(cuts, 1, sides, units)
        alike.setdefault((across, len(cuts)), []).append(end)
    near, far = _from_end(p, sides)
    opens = near <= TOUCH_MM
    thick = _span_words(group[:1], 2, sides, units)
    said = []
    for (across, number), ends in alike.items():
        where = " and ".join(sides.name(e) for e in ends)
        of_ends = f"the {where} end{'s' if len(ends) > 1 else ''}"
        each = " each" if number > 1 and len(ends) > 1 else ""
        head = f"{counted(number, p.name)}{each} {'in' if opens else 'at'} {of_ends}"
        whose = "each" if len(ends) > 1 else "it"
        reach = f"{size_text(far, units)} deep"
        if not opens:
            reach = f"{size_text(near, units)} to {size_text(far, units)} from {whose}"
        said.append(", ".join(w for w in (head, reach, "sides slanted", across, thick) if w))
    return "; ".join(said)


def _span_words(group: Sequence[Other], axis: int, sides: Sides, units: Units) -> str:
    """Where cuts lie along an axis: from and to; "" where they take all of it."""
    p = group[0]
    if sides.whole(axis, p.lo[axis], p.hi[axis]):
        return ""
    starts = sorted((sides.place(axis, q.lo[axis], q.hi[axis]), q.hi[axis] - q.lo[axis]) for q in group)
    places = " and ".join(
        f"{size_text(low, units)} to {size_text(low + long, units)}" for low, long in starts
    )
    word = ("length", "width", "thickness")[axis]
    return f"{places} of its {word} from the {sides.name(sides.datum(axis))}"


def _tenons(features: list[Feature], sides: Sides, units: Units) -> tuple[tuple[str, ...], list[Feature]]:
    """Tenons and tongues left by shoulders at the ends, by what stays; and all other features."""
    told: dict[tuple[float, tuple[Rect, ...]], list[str]] = {}
    used: set[int] = set()
    width, thick = sides.size[1], sides.size[2]
    for end in ("x-", "x+"):
        at_end = [
            (k, f)
            for k, f in enumerate(features)
            if isinstance(f, Pocket)
            and f.name == "shoulder"
            and end in f.opens
            and not sides.whole(0, f.lo[0], f.hi[0])
        ]
        if not at_end or max(f.size[0] for _, f in at_end) - min(f.size[0] for _, f in at_end) > TOUCH_MM:
            continue
        left = left_over([(f.lo[1:], f.hi[1:]) for _, f in at_end], width, thick)
        if not left:
            continue
        used |= {k for k, _ in at_end}
        key = (
            round(at_end[0][1].size[0], 3),
            tuple((round(a, 3), round(b, 3), round(c, 3), round(d, 3)) for a, b, c, d in left),
        )
        told.setdefault(key, []).append(end)
    words = []
    for (long, rects), ends in told.items():
        name = "tenon" if any(b - a < width - TOUCH_MM for a, b, _, _ in rects) else "tongue"
        where = " and ".join(sides.name(e) for e in ends)
        for a, b, c, d in rects:
            set_in = []
            if not sides.whole(1, a, b):
                set_in.append(
                    f"{size_text(sides.place(1, a, b), units)} from the {sides.name(sides.datum(1))} edge"
                )
            if not sides.whole(2, c, d):
                set_in.append(
                    f"{size_text(sides.place(2, c, d), units)} from the {sides.name(sides.datum(2))} face"
                )
            words.append(
                f"{name} {size_text(b - a, units)} x {size_text(d - c, units)},"
                f" {size_text(long, units)} long, at the {where} end{'s' if len(ends) > 1 else ''}"
                + (f", {', '.join(set_in)}" if set_in else "")
            )
    return tuple(words), [f for k, f in enumerate(features) if k not in used]
