"""The load path: what carries each placement, from the floor and the walls upward.

Each meeting of two placements bears (one rests on a level face of the other), holds (by a joint that can
carry) or only touches. What bears may go both ways (a shelf in a snug housing rests on the lower cheek and
pushes up on the upper one), so of two placements the one nearer the ground carries the other, and nothing
is carried by what hangs on it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from heapq import heappop, heappush
from math import atan2, cos, pi, radians
from typing import TYPE_CHECKING

from furnigen.core.facts import Fact, FastenerKind
from furnigen.core.pose import LEVEL_DEGREES, Box, Vector
from furnigen.joints.joint import Joint
from furnigen.piece.description import Piece

if TYPE_CHECKING:
    from furnigen.mesh.contacts import Contact
    from furnigen.mesh.support import GroundContact


BEARS, HOLDS, TOUCHES = "bears", "holds", "touches"
FLOOR = "floor"


@dataclass(frozen=True, slots=True)
class SupportPlace:
    """One place where a placement is carried.

    Attributes:
        by: label of what carries it, "floor", or the name of a wall.
        kind: "bears" (it rests there) or "holds" (a joint carries it).
        joint: kind of the joint between the two, "" when there is none.
        area_mm2: area of the face; 0 where only a joint is known, as of a round tenon in its bore.
        centre: middle of the face (mm, room).
        lo, hi: bounds of the face (mm, room).
        normal: unit vector out of what carries, toward what is carried.
    """

    by: str
    kind: str
    joint: str
    area_mm2: float
    centre: Vector
    lo: Vector
    hi: Vector
    normal: Vector


@dataclass(frozen=True)
class LoadPath:
    """What carries what.

    Attributes:
        supports: for each placement, in their order, where it is carried.
        touches: for each placement, labels of what it only touches.
        order: labels from the ground upward: each after everything that carries it.
        rank: for each placement, the fewest steps from the ground, 1 on it; 0 when no chain leads there.
        islands: placements that no chain leads to from the ground, in sets that would carry one another.
        loose: labels without a joint whose centre of mass lies beside what bears them: they tip off.
    """

    supports: tuple[tuple[str, tuple[SupportPlace, ...]], ...]
    touches: tuple[tuple[str, tuple[str, ...]], ...]
    order: tuple[str, ...]
    rank: tuple[tuple[str, int], ...]
    islands: tuple[tuple[str, ...], ...]
    loose: tuple[str, ...]

    @cached_property
    def under(self) -> Mapping[str, tuple[SupportPlace, ...]]:
        """Where each placement is carried, by label."""
        return dict(self.supports)

    @cached_property
    def on(self) -> Mapping[str, tuple[tuple[str, SupportPlace], ...]]:
        """What each placement, the floor and each wall carries: (label carried, where), by label or name."""
        found: dict[str, list[tuple[str, SupportPlace]]] = {label: [] for label, _ in self.supports}
        for label, places in self.supports:
            for place in places:
                found.setdefault(place.by, []).append((label, place))
        return {label: tuple(places) for label, places in found.items()}


def can_carry(joint: Joint) -> bool:
    """Whether a joint carries load by itself: glued, fastened, or interlocking by its shape."""
    fastened = any(f.sites for f in joint.fasteners)
    return joint.glued or fastened or Fact.CARRIES_BY_ITS_SHAPE in joint.facts


_Pair = tuple[str, str]
_Places = dict[_Pair, list[SupportPlace]]


def find_load_path(piece: Piece, contacts: Iterable[Contact], grounded: Iterable[GroundContact]) -> LoadPath:
    """The load path of a piece.

    Args:
        contacts: which placements touch, from `furnigen.checks.solids` or `furnigen.mesh.light_mesh`.
        grounded: what touches the floor or a wall.
    """
    labels = [p.label for p in piece.placements]
    number = {label: k for k, label in enumerate(labels)}
    contacts, grounded = tuple(contacts), tuple(grounded)
    joints = _joint_of_pair(piece.joints)
    could = _meetings(piece, contacts, joints)
    ground = _on_ground(piece, grounded, joints)
    rank = _ranks(labels, ground, could)
    kept = _choose(labels, rank, ground, could, joints)
    under = {label: [*ground.get(label, ())] for label in labels}
    for by, label in sorted(kept, key=lambda pair: (rank[pair[0]], number[pair[0]])):
        under[label] += could[by, label]
    near: dict[str, dict[str, None]] = {label: {} for label in labels}
    for c in contacts:
        if not {(c.a, c.b), (c.b, c.a)} & kept:
            near[c.a][c.b] = near[c.b][c.a] = None
    joined = {label for pair in joints for label in pair}
    return LoadPath(
        supports=tuple((label, tuple(under[label])) for label in labels),
        touches=tuple((label, tuple(near[label])) for label in labels),
        order=_upward(labels, rank, kept),
        rank=tuple((label, rank[label] if rank[label] <= len(labels) else 0) for label in labels),
        islands=_islands(labels, rank, could),
        loose=tuple(
            label
            for label in labels
            if label not in joined and _tips(piece, label, under[label], grounded, could)
        ),
    )


def _joint_of_pair(joints: Iterable[Joint]) -> dict[_Pair, Joint]:
    """The joint of each pair, in both orders; of several, the first that carries."""
    found: dict[_Pair, Joint] = {}
    for joint in joints:
        known = found.get((joint.a, joint.b))
        if known is None or (can_carry(joint) and not can_carry(known)):
            found[joint.a, joint.b] = found[joint.b, joint.a] = joint
    return found


def _meetings(piece: Piece, contacts: Iterable[Contact], joints: dict[_Pair, Joint]) -> _Places:
    """Every way one placement could carry another: by a level face, or by a joint that can carry."""
    level = cos(radians(LEVEL_DEGREES))
    could: _Places = {}
    side: dict[_Pair, Contact] = {}
    for c in contacts:
        side[c.a, c.b] = c
        joint = joints.get((c.a, c.b))
        kind = joint.kind if joint else ""
        for patch in c.patches:
            up = patch.normal[2]
            if abs(up) < level:
                continue
            by, label = (c.a, c.b) if up > 0 else (c.b, c.a)
            normal = patch.normal if up > 0 else _opposite(patch.normal)
            place = SupportPlace(by, BEARS, kind, patch.area_mm2, patch.centre, patch.lo, patch.hi, normal)
            could.setdefault((by, label), []).append(place)
    for (by, label), joint in joints.items():
        if (by, label) in could or not can_carry(joint):
            continue
        if by in piece.by_label and label in piece.by_label:
            could[by, label] = [_held(piece, by, label, joint, side)]
    return could


def _opposite(v: Vector) -> Vector:
    return (0.0 - v[0], 0.0 - v[1], 0.0 - v[2])


def _held(piece: Piece, by: str, label: str, joint: Joint, side: dict[_Pair, Contact]) -> SupportPlace:
    """Where a joint carries `label`: at pins, else on faces, else at fasteners, else where the two meet."""
    home = joint.home or (0.0, 0.0, -1.0)
    normal = _opposite(home) if label == joint.b else home
    sites = [site for f in joint.fasteners for site, _ in f.sites]
    pinned = any(f.kind is FastenerKind.SHELF_PIN for f in joint.fasteners)
    contact = side.get((joint.a, joint.b)) or side.get((joint.b, joint.a))
    if contact is not None and not (pinned and sites):
        normal = contact.normal if label == contact.b else _opposite(contact.normal)
        where = (contact.area_mm2, contact.centre, contact.lo, contact.hi)
        return SupportPlace(by, HOLDS, joint.kind, *where, normal)
    if sites:
        box = Box.around(sites)
    else:
        one, two = (piece.bounds_of(piece.placement(x)) for x in (by, label))
        inner = [
            sorted((max(a, b), min(c, d))) for a, b, c, d in zip(one.lo, two.lo, one.hi, two.hi, strict=True)
        ]
        (x0, x1), (y0, y1), (z0, z1) = inner
        box = Box((x0, y0, z0), (x1, y1, z1))
    return SupportPlace(by, HOLDS, joint.kind, 0.0, box.centre, box.lo, box.hi, normal)


def _on_ground(
    piece: Piece, grounded: Iterable[GroundContact], joints: dict[_Pair, Joint]
) -> dict[str, list[SupportPlace]]:
    """Where placements stand on the floor, or are fixed to a declared wall."""
    normals: dict[str, Vector] = {w.name: w.normal for w in piece.walls}
    found: dict[str, list[SupportPlace]] = {}
    for g in grounded:
        joint = joints.get((g.ground, g.label))
        box = Box.around(list(g.outline))
        found.setdefault(g.label, []).append(
            SupportPlace(
                g.ground,
                HOLDS if g.ground in normals else BEARS,
                joint.kind if joint else "",
                g.area_mm2,
                g.centre,
                box.lo,
                box.hi,
                normals.get(g.ground, (0.0, 0.0, 1.0)),
            )
        )
    for (by, label), joint in joints.items():
        sites = [site for f in joint.fasteners for site, _ in f.sites]
        known = any(s.by == by for s in found.get(label, ()))
        if by in normals and label in piece.by_label and sites and not known:
            box = Box.around(sites)
            place = SupportPlace(by, HOLDS, joint.kind, 0.0, box.centre, box.lo, box.hi, normals[by])
            found.setdefault(label, []).append(place)
    return found


def _ranks(labels: list[str], ground: Mapping[str, object], could: Iterable[_Pair]) -> dict[str, int]:
    """Fewest steps from the ground to each label; more than there are labels where no chain leads."""
    rank = dict.fromkeys(labels, len(labels) + 1)
    above: dict[str, list[str]] = {}
    for by, label in could:
        above.setdefault(by, []).append(label)
    wave = [label for label in labels if label in ground]
    step = 1
    while wave:
        for label in wave:
            rank[label] = step
        step += 1
        reached = dict.fromkeys(x for label in wave for x in above.get(label, ()))
        wave = [x for x in reached if rank[x] > len(labels)]
    return rank


def _choose(
    labels: list[str],
    rank: dict[str, int],
    ground: Mapping[str, object],
    could: _Places,
    joints: dict[_Pair, Joint],
) -> set[_Pair]:
    """Which of the possible ways load really takes: (what carries, what is carried), without a cycle.

    First everything carries what is further from the ground. Then a face that bears wins over a joint that
    would hang the bearer from what it bears (a divider props the shelf above it, and does not hang there),
    so long as the bearer keeps another support and no cycle comes of it. Where a joint would hold either on
    the other, what is joined into carries what is joined into it: pins in an upright hold the shelf up,
    however far the upright stands from the ground.
    """
    place = {label: (rank[label], k) for k, label in enumerate(labels)}
    kept = {pair for pair in could if place[pair[0]] < place[pair[1]]}
    above: dict[str, set[str]] = {label: set() for label in labels}
    count = {label: int(label in ground) for label in labels}
    for by, label in kept:
        above[by].add(label)
        count[label] += 1
    others = [(u, v) for u, v in could if place[u] > place[v]]
    for u, v in sorted(others, key=lambda pair: (place[pair[0]], place[pair[1]])):
        back = (v, u) in kept
        bears = could[u, v][0].kind == BEARS
        same = back and (could[v, u][0].kind == BEARS) == bears
        by_joint = same and (u, v) in joints and joints[u, v].a == u
        if not (bears and not same) and not by_joint:
            continue
        if count[u] - back < 1:
            continue
        above[v].discard(u)
        if _reaches(above, v, u):
            if back:
                above[v].add(u)
            continue
        if back:
            kept.discard((v, u))
            count[u] -= 1
        kept.add((u, v))
        above[u].add(v)
        count[v] += 1
    return kept


def _reaches(above: dict[str, set[str]], start: str, end: str) -> bool:
    seen, waiting = {start}, [start]
    while waiting:
        for label in above[waiting.pop()]:
            if label == end:
                return True
            if label not in seen:
                seen.add(label)
                waiting.append(label)
    return False


def _upward(labels: list[str], rank: dict[str, int], kept: set[_Pair]) -> tuple[str, ...]:
    """Labels, each after all that carries it; nearest the ground first where that leaves a choice."""
    above: dict[str, list[str]] = {label: [] for label in labels}
    waits = dict.fromkeys(labels, 0)
    for by, label in kept:
        above[by].append(label)
        waits[label] += 1
    number = {label: k for k, label in enumerate(labels)}
    ready: list[tuple[int, int, str]] = []
    for label in labels:
        if not waits[label]:
            heappush(ready, (rank[label], number[label], label))
    order = []
    while ready:
        label = heappop(ready)[2]
        order.append(label)
        for x in above[label]:
            waits[x] -= 1
            if not waits[x]:
                heappush(ready, (rank[x], number[x], x))
    return tuple(order)


def _islands(labels: list[str], rank: dict[str, int], could: Iterable[_Pair]) -> tuple[tuple[str, ...], ...]:
    """Labels that no chain leads to, in sets that would carry one another."""
    lost = [label for label in labels if rank[label] > len(labels)]
    near: dict[str, set[str]] = {label: set() for label in lost}
    for by, label in could:
        if by in near and label in near:
            near[by].add(label)
            near[label].add(by)
    islands, seen = [], set[str]()
    for label in lost:
        if label in seen:
            continue
        members = {label} | {x for x in lost if _reaches(near, label, x)}
        seen |= members
        islands.append(tuple(x for x in lost if x in members))
    return tuple(islands)


def _tips(
    piece: Piece,
    label: str,
    places: list[SupportPlace],
    grounded: Iterable[GroundContact],
    could: _Places,
) -> bool:
    """Whether a part that only rests would tip off: its centre of mass lies outside its supports.

    One that something grips from above is left out: it can not tip.
    """
    gripped = any((label, p.by) in could for p in places)
    if not places or gripped or any(p.kind == HOLDS for p in places):
        return False
    corners = [
        (x, y) for p in places if p.by != FLOOR for x in (p.lo[0], p.hi[0]) for y in (p.lo[1], p.hi[1])
    ]
    corners += [(x, y) for g in grounded if g.label == label for x, y, _ in g.outline]
    placement = piece.placement(label)
    x, y, _ = placement.pose.apply(piece.part_of(placement).form.centroid_mm)
    around = sorted(atan2(b - y, a - x) for a, b in corners if (a, b) != (x, y))
    if len(around) < len(corners):
        return False
    gaps = [b - a for a, b in zip(around, [*around[1:], around[0] + 2 * pi], strict=True)]
    # with its centre exactly over the edge of its support it still stands
    return max(gaps) > pi + 1e-9
