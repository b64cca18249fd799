"""Taking a piece apart: what can leave along a straight way, one after another.

Taking something off never blocks what was free, so no choice has to be undone. Sub-assemblies named by the
placements' paths come off whole where they can. Where no single part is free, the smallest group that can
leave together is looked for in the graphs of what blocks what along each way (Wilson and Latombe, 1994):
if no direction gives one, the parts lock each other for all straight ways tried.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from heapq import heappop, heappush
from typing import TYPE_CHECKING

from furnigen.construction.load_path import LoadPath
from furnigen.core.pose import Vector, dot
from furnigen.joints.pins import laid_on_pins
from furnigen.piece.description import Piece

if TYPE_CHECKING:
    from furnigen.mesh.contacts import Contact
    from furnigen.mesh.sweep import Sweeper

AXIS_WAYS: tuple[Vector, ...] = (
    (0.0, 0.0, 1.0),
    (0.0, -1.0, 0.0),
    (0.0, 1.0, 0.0),
    (1.0, 0.0, 0.0),
    (-1.0, 0.0, 0.0),
    (0.0, 0.0, -1.0),
)
"""Directions out, the easiest first: up, then level, then down (which means turning the piece over)."""
WAY_WORDS = 0.9998
"""Cosine above which a way agrees with a joint's own: 1°."""
MOST_NARROWED = 60
"""Locked sets of more parts than this are reported as they are, not narrowed down."""


@dataclass(frozen=True)
class MovedUnit:
    """What is moved as one: a placement, or a sub-assembly with what it is made of."""

    name: str
    mask: int
    inner: tuple[MovedUnit, ...] = ()


@dataclass(frozen=True)
class Removal:
    """Something taken off: the unit, the way it leaves, and what was left behind (bits)."""

    unit: MovedUnit
    way: Vector
    rest: int


def bits_of(mask: int) -> Iterator[int]:
    """The bits set in `mask`, rising."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


@dataclass(frozen=True)
class _Known:
    """What does not change about a unit while a piece is taken apart.

    Attributes:
        lies: 1 where all of it lies on shelf pins alone, else 0.
        far: steps of its furthest part from the ground.
        top: height of its highest point (mm).
        ways: for each way out, what blocks it there, and what it would leave against a joint's own way.
    """

    lies: int
    far: int
    top: float
    ways: tuple[tuple[Vector, int, int], ...]


@dataclass
class Disassembly:
    """Takes a piece apart; sets of placements are the bits of whole numbers, in the order of the piece."""

    piece: Piece
    contacts: Sequence[Contact]
    path: LoadPath
    sweeper: Sweeper
    locked: list[tuple[str, ...]] = field(default_factory=list)

    def __post_init__(self) -> None:
        piece = self.piece
        self.labels = [p.label for p in piece.placements]
        self.number = {label: k for k, label in enumerate(self.labels)}
        self.joints = [j for j in piece.joints if j.a in self.number and j.b in self.number]
        # parts that nothing carries come last
        rank = {label: rank or len(self.labels) for label, rank in self.path.rank}
        self.rank = [rank[label] for label in self.labels]
        self.boxes = [piece.bounds_of(p) for p in piece.placements]
        self.near = [0] * len(self.labels)
        joined = [(self.number[j.a], self.number[j.b], j.home) for j in self.joints]
        # a loose part goes into both members the way its slot runs
        joined += [
            (self.number[member], self.number[label], way)
            for j in self.joints
            for label, way in j.loose
            if label in self.number
            for member in (j.a, j.b)
        ]
        touching = [(self.number[c.a], self.number[c.b]) for c in self.contacts]
        for i, j in [*touching, *((i, j) for i, j, _ in joined)]:
            self.near[i] |= 1 << j
            self.near[j] |= 1 << i
        self.lying = sum(1 << self.number[label] for label in laid_on_pins(self.joints))
        self.homing = [(i, j, home) for i, j, home in joined if home is not None]
        self.homes = list(dict.fromkeys(home for _, _, home in self.homing))
        self.groups = 0
        self.blocked: dict[Vector, list[int]] = {}
        self.against: dict[Vector, list[int]] = {}
        self.known: dict[int, _Known] = {}
        self._learn([*AXIS_WAYS, *self.homes])
        self.contact_ways = False

    def _learn(self, ways: Iterable[Vector]) -> None:
        """Sweep every part along more ways."""
        from furnigen.mesh.sweep import directions_of

        known = len(self.blocked)
        new = directions_of([*self.blocked, *dict.fromkeys(ways)])[known:]
        self.sweeper.sweep(new)
        for way in new:
            self.blocked[way] = self.sweeper.blockers(way)
            self.against[way] = self._against_joints(way)
        self.known.clear()

    def _against_joints(self, way: Vector) -> list[int]:
        """For each placement, those it is joined to and would leave some other way than the joint's own."""
        masks = [0] * len(self.labels)
        along = {home: dot(way, home) for home in self.homes}
        for a, b, home in self.homing:
            if along[home] < WAY_WORDS:
                masks[a] |= 1 << b
            if -along[home] < WAY_WORDS:
                masks[b] |= 1 << a
        return masks

    # -- what is moved as one --------------------------------------------------------------------

    def units(self) -> tuple[MovedUnit, ...]:
        """Placements and the sub-assemblies their paths name, nested as the paths are."""
        return self._nested([(p.path, k) for k, p in enumerate(self.piece.placements)], "")

    def _nested(self, items: list[tuple[tuple[str, ...], int]], prefix: str) -> tuple[MovedUnit, ...]:
        groups: dict[object, list[tuple[tuple[str, ...], int]]] = {}
        for path, k in items:
            groups.setdefault(path[0] if path else k, []).append((path[1:], k))
        units: list[MovedUnit] = []
        for key, inside in groups.items():
            if isinstance(key, int):
                units.append(MovedUnit(self.labels[key], 1 << key))
                continue
            name = f"{prefix}{key}"
            inner = self._nested(inside, f"{name}/")
            mask = sum(1 << k for _, k in inside)
            # parts that are not connected can not be moved as one
            if len(inner) > 1 and self.connected(mask):
                units.append(MovedUnit(name, mask, inner))
            else:
                units += inner
        return tuple(units)

    def connected(self, mask: int) -> bool:
        """Whether some placements hang together by contacts and joints."""
        seen = wave = mask & -mask
        while wave and seen != mask:
            low = wave & -wave
            found = self.near[low.bit_length() - 1] & mask & ~seen
            seen |= found
            wave ^= low | found
        return seen == mask

    # -- taking apart ----------------------------------------------------------------------------

    def take_apart(self, units: list[MovedUnit]) -> tuple[MovedUnit, list[Removal]]:
        """The unit that is left at the end, and what was taken off before it, in that order."""
        taken: list[Removal] = []
        left = _FreeUnits(self, units)
        while len(left.units) > 1:
            choice = left.best()
            if choice is None:
                units = list(left.units.values())
                compound = next((u for u in reversed(units) if u.inner), None)
                if compound is not None:
                    # it can not be inserted as a unit: insert its parts one by one
                    at = units.index(compound)
                    units[at : at + 1] = compound.inner
                    left = _FreeUnits(self, units)
                    continue
                if not self.contact_ways:
                    self._learn(p.normal for c in self.contacts for p in c.patches)
                    self.contact_ways = True
                    left = _FreeUnits(self, units)
                    continue
                choice = self._free_group(units, left.rest)
            if choice is None:
                self.locked.append(self._narrowed(left.rest))
                return MovedUnit("locked parts", left.rest), taken
            unit, way = choice
            left.take_off(unit.mask)
            taken.append(Removal(unit, way, left.rest))
        return next(iter(left.units.values())), taken

    def stay_connected(self, rest: int, gone: int) -> bool:
        """Whether what is left hangs together without `gone`, given that `rest` did: whether what `gone`
        touches still does, in steps from one of it to the others, which are near as a rule.
        """
        left = rest & ~gone
        beside = self._outside(gone, self.near) & left
        seen = wave = beside & -beside
        while wave and beside & ~seen:
            found = 0
            for k in bits_of(wave):
                found |= self.near[k]
            wave = found & left & ~seen
            seen |= wave
        return not beside & ~seen

    def _outside(self, mask: int, masks: list[int]) -> int:
        """What the members of a set have in `masks`, the set itself aside."""
        out = 0
        for k in bits_of(mask):
            out |= masks[k]
        return out & ~mask

    def known_of(self, mask: int) -> _Known:
        """What does not change about a unit."""
        found = self.known.get(mask)
        if found is None:
            found = self.known[mask] = _Known(
                lies=int(not mask & ~self.lying),
                far=max(self.rank[k] for k in bits_of(mask)),
                top=round(max(self.boxes[k].hi[2] for k in bits_of(mask)), 3),
                ways=tuple(
                    (way, self._outside(mask, masks), self._outside(mask, self.against[way]))
                    for way, masks in self.blocked.items()
                ),
            )
        return found

    def _free_group(self, units: list[MovedUnit], rest: int) -> tuple[MovedUnit, Vector] | None:
        """The fewest units that can leave together."""
        best: tuple[tuple[int, int, int], list[MovedUnit], Vector] | None = None
        for handy, (way, masks) in enumerate(self.blocked.items()):
            for unit in units:
                group = self._closed(unit.mask, units, masks)
                if group == rest:
                    continue
                inside = [u for u in units if u.mask & group]
                against = (self._outside(group, self.against[way]) & rest).bit_count()
                key = (against, len(inside), handy)
                if best is None or key < best[0]:
                    best = (key, inside, way)
        if best is None:
            return None
        _, inside, way = best
        if len(inside) == 1:
            return inside[0], way
        self.groups += 1
        return MovedUnit(f"group {self.groups}", sum(u.mask for u in inside), tuple(inside)), way

    def _closed(self, mask: int, units: Sequence[MovedUnit], masks: list[int]) -> int:
        """What must leave with `mask`: all it runs into, all that runs into, and so on."""
        while True:
            hit = self._outside(mask, masks)
            more = sum(u.mask for u in units if u.mask & hit and not u.mask & mask)
            if not more:
                return mask
            mask |= more

    def _narrowed(self, mask: int) -> tuple[str, ...]:
        """A smallest set of parts within `mask` that lock each other, as labels."""
        singles = [MovedUnit(self.labels[k], 1 << k) for k in bits_of(mask)]
        if len(singles) <= MOST_NARROWED:
            for unit in list(singles):
                fewer = [u for u in singles if u is not unit]
                if len(fewer) > 1 and self._stuck(fewer):
                    singles = fewer
        return tuple(u.name for u in singles)

    def _stuck(self, units: list[MovedUnit]) -> bool:
        rest = sum(u.mask for u in units)
        return all(
            self._closed(unit.mask, units, masks) == rest for masks in self.blocked.values() for unit in units
        )


Entry = tuple[int, int, int, float, int, int]
"""How well a unit is taken off next, least first: joints it leaves against their own way, whether more than
shelf pins hold it, nearness to the ground, lowness, how far down the list its way is, and its place from the
end."""


class _FreeUnits:
    """Units not taken off yet, and which of them is best taken off next.

    A unit's place in the order changes only when a way is freed, or when something goes that it is joined to.
    Of all that blocks a way one is watched, the one placed first, since that goes late: only when it goes is
    the way looked at again.

    Attributes:
        units: those left, by their place.
        rest: all their placements as bits.
    """

    def __init__(self, down: Disassembly, units: Sequence[MovedUnit]) -> None:
        self._down = down
        self.units = dict(enumerate(units))
        self.rest = sum(u.mask for u in units)
        self._owner = {k: at for at, unit in self.units.items() for k in bits_of(unit.mask)}
        self._concerned: dict[int, set[int]] = {}
        self._watched: dict[int, dict[int, int]] = {at: {} for at in self.units}
        self._way: dict[int, tuple[Entry, Vector]] = {}
        self._waiting: list[Entry] = []
        self._whole = down.connected(self.rest)
        for at, unit in self.units.items():
            met = 0
            for _, _, joined in down.known_of(unit.mask).ways:
                met |= joined
            for k in bits_of(met & self.rest):
                self._concerned.setdefault(k, set()).add(at)
            self._look(at)

    def _look(self, at: int) -> None:
        """See whether and how a unit can leave now."""
        known, watched = self._down.known_of(self.units[at].mask), self._watched[at]
        best: tuple[int, int, Vector] | None = None
        for handy, (way, blockers, joined) in enumerate(known.ways):
            seen = watched.get(handy, 0)
            if seen & self.rest:
                continue
            there = blockers & self.rest
            if there:
                watched[handy] = there & -there
                self._concerned.setdefault(watched[handy].bit_length() - 1, set()).add(at)
                continue
            against = (joined & self.rest).bit_count()
            if best is None or against < best[0]:
                best = (against, handy, way)
            if not against:
                break
        if best is not None:
            entry = (best[0], -known.lies, -known.far, -known.top, best[1], -at)
            if at not in self._way or self._way[at][0] != entry:
                self._way[at] = (entry, best[2])
                heappush(self._waiting, entry)

    def best(self) -> tuple[MovedUnit, Vector] | None:
        """The unit best taken off next: by its joints' own way, loose on pins, far from the ground, high,
        placed last.

        One that leaves the others in one piece, if any is as good by its joints.
        """
        aside: list[Entry] = []
        found: Entry | None = None
        while self._waiting:
            entry = heappop(self._waiting)
            at = -entry[5]
            if at not in self.units or self._way[at][0] != entry:
                continue  # gone, or looked at again since
            if aside and entry[0] != aside[0][0]:
                heappush(self._waiting, entry)
                break
            aside.append(entry)
            if self._leaves_whole(self.units[at].mask):
                found = entry
                break
        for entry in aside:
            heappush(self._waiting, entry)
        if found is None and aside:
            found = aside[0]
        return None if found is None else (self.units[-found[5]], self._way[-found[5]][1])

    def _leaves_whole(self, mask: int) -> bool:
        if self._whole:
            return self._down.stay_connected(self.rest, mask)
        return self._down.connected(self.rest & ~mask)

    def take_off(self, mask: int) -> None:
        """Units leave."""
        self._whole = self._leaves_whole(mask)
        self.rest &= ~mask
        again: set[int] = set()
        for k in bits_of(mask):
            self.units.pop(self._owner[k], None)
            again.update(self._concerned.get(k, ()))
        for at in sorted(again & self.units.keys()):
            self._look(at)
