"""A mockup too large for the bed, cut into the fewest pieces at the faces of shelves and uprights.

Every cut runs along a face of boards that stand square to it, so that a piece ends in a whole shelf and the
next one stands on it. Pegs grown from the uprights that end at the cut go into slots of the shelf: they place
the pieces while the glue sets.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise, permutations, product

import numpy as np
from manifold3d import CrossSection, Manifold

from furnigen.core.array_types import Floats
from furnigen.mockup.joined_solid import JoinedSolid
from furnigen.mockup.keys import Key, MeetingPlane, make_key, meeting_section, tab_layouts
from furnigen.mockup.print_solids import on_grid, separate_solids, solid_mesh, union
from furnigen.mockup.printer import SLACK_MM, Printer
from furnigen.mockup.scaled_bodies import ScaledBody
from furnigen.mockup.wall_thickness import LOST_MM, thinnest_wall

SQUARE = 1e-6
"""Boards whose faces lean more than this (cosine) against a cut are not cut at."""
FILM = 0.02
"""Share of a slice that may stick out of other bodies: rounding, and the allowance of a joint."""
MOST_TRIED = 40
"""Ways to place the cuts that are compared by what they leave."""
MOST_PEGS = 4
"""Pegs between two pieces: more do not place them any better."""


@dataclass(frozen=True, slots=True)
class SplitPlane:
    """One plane a mockup is cut along.

    Attributes:
        axis: 0, 1 or 2: the axis it is square to.
        at: where on that axis (mm of the model, in the room).
        upward: whether the board whose face it is lies above it.
        thickness_mm: of that board.
        board: its label.
    """

    axis: int
    at: float
    upward: bool
    thickness_mm: float
    board: str


@dataclass(frozen=True, eq=False)
class SplitMockup:
    """A mockup in pieces.

    Attributes:
        pieces: in place, largest first.
        cuts: where it was cut.
        pegs: how many registration pegs there are.
        unpegged: pairs of pieces that meet at a cut without a peg.
    """

    pieces: tuple[Manifold, ...]
    cuts: tuple[SplitPlane, ...]
    pegs: int
    unpegged: int


def furthest_apart(
    whole: JoinedSolid, bodies: Sequence[ScaledBody], printer: Printer
) -> tuple[float, int] | None:
    """How far boards to cut a mockup at stand apart at most (mm), and on which axis; None if it can be cut.

    It can where every piece, its pegs included, fits the bed.
    """
    box = np.array(whole.solid.bounding_box())
    places = _places(bodies, box, printer)
    if _options(box, places, printer):
        return None
    ends = [[box[k], *(c.at for c in places[k]), box[k + 3]] for k in range(3)]
    gap, axis = max((max(b - a for a, b in pairwise(e)), k) for k, e in enumerate(ends))
    return float(gap), axis


def split_for_bed(whole: JoinedSolid, bodies: Sequence[ScaledBody], printer: Printer) -> SplitMockup:
    """Cut a mockup so that every piece fits the bed, which must be possible (see `furthest_apart`)."""
    box = np.array(whole.solid.bounding_box())
    options = _options(box, _places(bodies, box, printer), printer)
    crumb = printer.nozzle_mm**3
    best: tuple[tuple[int, float], tuple[SplitPlane, ...]] | None = None
    for cuts in options[:MOST_TRIED]:
        pieces = _split(whole.members, cuts, crumb)
        largest = max(float(np.prod(_size(p))) for p in pieces)
        key = (len(pieces), round(largest, 3))
        if best is None or key < best[0]:
            best = (key, cuts)
    assert best is not None
    return _pegged(whole, best[1], bodies, printer)


def _places(bodies: Sequence[ScaledBody], box: Floats, printer: Printer) -> list[list[SplitPlane]]:
    """Faces of boards that a cut may follow, by axis, from the low end; one for each place."""
    found: list[dict[float, SplitPlane]] = [{}, {}, {}]
    for body in bodies:
        square = np.abs(body.axes[2]) > 1 - SQUARE
        if body.kind != "board" or not square.any():
            continue
        axis = int(np.flatnonzero(square)[0])
        lo, hi = (b[axis] for b in body.bounds)
        for at, upward in ((lo, True), (hi, False)):
            # bodies stand on one grid, so faces in one plane agree to the last bit, and a cut leaves no film
            cut = SplitPlane(axis, float(at), upward, float(hi - lo), body.label)
            if box[axis] + printer.wall_mm < at < box[axis + 3] - printer.wall_mm:
                held = found[axis].setdefault(cut.at, cut)
                if held.thickness_mm < cut.thickness_mm:
                    found[axis][cut.at] = cut
    return [[by[at] for at in sorted(by) if not _slices(bodies, by[at], printer)] for by in found]


def _slices(bodies: Sequence[ScaledBody], cut: SplitPlane, printer: Printer) -> bool:
    """Whether a cut takes a slice thinner than a wall off some body, but for one that lies in other bodies.

    A shelf let into an upright loses its end there, which stays in the upright.
    """
    axis = np.eye(3)[cut.axis]
    for body in bodies:
        lo, hi = (b[cut.axis] for b in body.bounds)
        if not (lo < cut.at < hi and min(cut.at - lo, hi - cut.at) < printer.wall_mm):
            continue
        sign = 1.0 if hi - cut.at < cut.at - lo else -1.0
        thin = body.solid.trim_by_plane(sign * axis, sign * cut.at)
        others = [b.solid for b in bodies if b is not body and _overlap(b.solid, thin)]
        left = thin - union(others) if others else thin
        if left.volume() > FILM * thin.volume():
            return True
    return False


def _overlap(a: Manifold, b: Manifold) -> bool:
    one, two = np.array(a.bounding_box()), np.array(b.bounding_box())
    return bool((one[:3] < two[3:]).all() and (two[:3] < one[3:]).all())


def _options(box: Floats, places: list[list[SplitPlane]], printer: Printer) -> list[tuple[SplitPlane, ...]]:
    """Sets of cuts with the fewest blocks that fit the bed, evenly spread ones first."""
    size = box[3:] - box[:3]
    found: dict[tuple[SplitPlane, ...], tuple[int, float]] = {}
    for beds in sorted(set(permutations(printer.room_mm))):
        per_axis = []
        for axis in range(3):
            fewest = _fewest(places[axis], box[axis], box[axis + 3], beds[axis])
            if fewest is None:
                break
            per_axis.append(list(_spread(places[axis], box[axis], box[axis + 3], beds[axis], fewest)))
        else:
            for chosen in product(*per_axis):
                cuts = tuple(c for axis in chosen for c in axis)
                blocks = int(np.prod([len(c) + 1 for c in chosen]))
                ends = [[box[k], *(c.at for c in chosen[k]), box[k + 3]] for k in range(3)]
                uneven = sum(max(b - a for a, b in pairwise(e)) / s for e, s in zip(ends, size, strict=True))
                found.setdefault(cuts, (blocks, round(float(uneven), 6)))
    least = min((blocks for blocks, _ in found.values()), default=0)
    return sorted((c for c, (blocks, _) in found.items() if blocks == least), key=lambda c: found[c])


def _room(cut: SplitPlane, upper: bool) -> float:
    """How far pegs reach out of the piece above (or below) a cut."""
    return cut.thickness_mm if cut.upward != upper else 0.0


def _fits(low: float, high: float, a: SplitPlane | None, b: SplitPlane | None, bed: float) -> bool:
    reach = (_room(a, True) if a else 0.0) + (_room(b, False) if b else 0.0)
    return high - low + reach <= bed + SLACK_MM


def _fewest(places: list[SplitPlane], low: float, high: float, bed: float) -> int | None:
    """The fewest cuts along one axis that leave slabs no wider than the bed; None when no cuts do."""
    best: dict[int, int] = {}
    for k in range(len(places) - 1, -1, -1):
        if _fits(places[k].at, high, places[k], None, bed):
            best[k] = 1
            continue
        after = [
            best[m] for m in range(k + 1, len(places))
            if m in best and _fits(places[k].at, places[m].at, places[k], places[m], bed)
        ]  # fmt: skip
        if after:
            best[k] = 1 + min(after)
    if _fits(low, high, None, None, bed):
        return 0
    return min((n for k, n in best.items() if _fits(low, places[k].at, None, places[k], bed)), default=None)


def _spread(
    places: list[SplitPlane], low: float, high: float, bed: float, count: int
) -> Iterator[tuple[SplitPlane, ...]]:
    """Ways to place `count` cuts along one axis, those nearest to equal slabs first."""
    if count == 0:
        yield ()
        return
    ideal = [low + (high - low) * (n + 1) / (count + 1) for n in range(count)]
    near = [sorted(places, key=lambda c: (abs(c.at - at), c.at))[:8] for at in ideal]
    ways = [w for w in product(*near) if all(a.at < b.at for a, b in pairwise(w))]
    ways.sort(
        key=lambda w: (
            round(sum(abs(c.at - at) for c, at in zip(w, ideal, strict=True)), 4),
            [c.at for c in w],
        )
    )
    for way in ways:
        ends = [(low, None), *((c.at, c) for c in way), (high, None)]
        if all(_fits(a, b, p, q, bed) for (a, p), (b, q) in pairwise(ends)):
            yield way


def _split(solids: Sequence[Manifold], cuts: Sequence[SplitPlane], crumb: float) -> list[Manifold]:
    """What a mockup of these solids falls into.

    Each solid is cut for itself, and only where a cut runs through it: faces in the plane of a cut, of which
    there is one at every cut, never meet the tool, which would leave films of no thickness on them.
    """
    blocks = [list(solids)]
    for cut in cuts:
        n, m, k = np.eye(3)[cut.axis], -np.eye(3)[cut.axis], cut.axis
        halves: list[list[Manifold]] = []
        for block in blocks:
            below: list[Manifold] = []
            above: list[Manifold] = []
            for solid in block:
                box = solid.bounding_box()
                if box[k + 3] <= cut.at:
                    below.append(solid)
                elif box[k] >= cut.at:
                    above.append(solid)
                else:
                    above.append(on_grid(solid.trim_by_plane(n, cut.at)))
                    below.append(on_grid(solid.trim_by_plane(m, -cut.at)))
            halves += [half for half in (below, above) if half]
        blocks = halves
    return [piece for block in blocks for piece in separate_solids(union(block), crumb)]


def _size(piece: Manifold) -> Floats:
    box = np.array(piece.bounding_box())
    size: Floats = box[3:] - box[:3]
    return size


def _pegged(
    whole: JoinedSolid, cuts: tuple[SplitPlane, ...], bodies: Sequence[ScaledBody], printer: Printer
) -> SplitMockup:
    plain = _split(whole.members, cuts, printer.nozzle_mm**3)
    pieces, keys, unpegged = list(plain), list[Key](), 0
    for cut in cuts:
        for i, j in permutations(range(len(plain)), 2):
            if not _sides(plain[i], plain[j], cut):
                continue
            found = _pegs(plain[i], plain[j], cut, cuts, bodies, printer, keys)
            if found is None:
                continue
            unpegged += not found
            keys += found
            for key in found:
                pieces[i], pieces[j] = pieces[i] + key.male, pieces[j] - key.female
    pieces.sort(key=lambda p: (-round(p.volume(), 4), p.bounding_box()))
    return SplitMockup(tuple(pieces), cuts, sum(k.count for k in keys), unpegged)


def _sides(male: Manifold, female: Manifold, cut: SplitPlane) -> bool:
    """Whether two pieces end at a cut, the second one with the board."""
    m, f = np.array(male.bounding_box()), np.array(female.bounding_box())
    near = 0.02
    if cut.upward:
        return bool(f[cut.axis] >= cut.at - near and m[cut.axis] < cut.at - near <= m[cut.axis + 3])
    return bool(f[cut.axis + 3] <= cut.at + near and m[cut.axis + 3] > cut.at + near >= m[cut.axis])


def _pegs(
    male: Manifold,
    female: Manifold,
    cut: SplitPlane,
    cuts: Sequence[SplitPlane],
    bodies: Sequence[ScaledBody],
    printer: Printer,
    others: Sequence[Key],
) -> list[Key] | None:
    """Pegs from the boards of one piece that end at the cut into the other, clear of other pegs.

    None when the two pieces do not meet.
    """
    up = np.eye(3)[cut.axis] * (1.0 if cut.upward else -1.0)
    plane = MeetingPlane.at(np.eye(3)[cut.axis] * cut.at, up, np.eye(3)[(cut.axis + 1) % 3])
    first, second = plane.local(male), plane.local(female)
    section = meeting_section(first, second)
    wall, gap = printer.wall_mm, printer.clearance_mm
    if section.area() < wall**2:
        return None
    section = _clear_of(section, plane, cut, cuts, wall + gap)
    least = thinnest_wall(*solid_mesh(female), wall)[0]
    found: list[Key] = []
    ends = [(b, _ends(b, plane)) for b in bodies]
    for _, end in sorted(
        ((b.label, e) for b, e in ends if e is not None), key=lambda x: -round(x[1].area(), 3)
    ):
        for shapes in tab_layouts(end ^ section, wall):
            key = make_key(plane, plane.local(female), shapes, cut.thickness_mm, True, gap, wall, "peg")
            if key is None or any(_meet(key, k, gap + wall) for k in (*others, *found)):
                continue
            left = female - key.female
            if thinnest_wall(*solid_mesh(left), wall)[0] < least - LOST_MM:
                continue
            found.append(key)
            female = left
            break
        if len(found) >= MOST_PEGS:
            break
    return found


def _ends(body: ScaledBody, plane: MeetingPlane) -> CrossSection | None:
    """The section of a body that crosses or ends at a plane from below; None when it does not."""
    local = plane.local(body.solid)
    box = local.bounding_box()
    if box[2] > -1.0 or box[5] < -0.06:
        return None
    return local.slice(-0.05)


def _clear_of(
    section: CrossSection, plane: MeetingPlane, cut: SplitPlane, cuts: Sequence[SplitPlane], room: float
) -> CrossSection:
    """A section without the strips that other cuts run through."""
    far = 1e4
    for other in cuts:
        if other.axis == cut.axis:
            continue
        normal = plane.matrix[:, :3].T @ np.eye(3)[other.axis]
        at = other.at - plane.matrix[other.axis, 3]
        strip = CrossSection.square((2 * far, 2 * room), True).translate((0.0, float(at)))
        turn = float(np.degrees(np.arctan2(normal[1], normal[0]))) - 90.0
        section = section - strip.rotate(turn)
    return section


def _meet(a: Key, b: Key, room: float) -> bool:
    return bool(a.female.min_gap(b.female, room) < room)
