"""A board carried at some places along its length: how far it bends, and what its supports feel.

Lengths in mm, forces in N, deflection and load positive downward, x from the left end of the board.
The method and its derivation are in `furnigen.strength.solver.stiffness`; this is its plain face.

Worked once by hand, the middle support of two equal spans L under an even load w. By symmetry the board
does not turn there, so each span is a beam held at one end and resting on the other:
4 EI/L t - w L²/12 = 0 at the outer end gives t = w L³ / (48 EI); the moment over the middle is
-(w L²/12 + 2 EI/L t) = -w L²/8, and the outer reaction w L/2 - w L/8 = 3/8 w L:

>>> uprights = (BeamSupport(0.0), BeamSupport(800.0), BeamSupport(1600.0))
>>> shelf = Beam(1600.0, 1.465e9, uprights, (SpreadLoad(0.0, 1600.0, 0.5),))
>>> result = solve_beams([shelf])[0]
>>> [round(r, 6) for r in result.reactions], round(result.moment_least, 6) == -0.5 * 800**2 / 8
([150.0, 500.0, 150.0], True)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil, inf, isfinite, isnan, nan
from operator import attrgetter
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from furnigen.core.errors import InputError
from furnigen.core.quantities import SAME_MM
from furnigen.strength.solver.deflection import DeflectionArrays
from furnigen.strength.solver.one_sided_supports import solve_one_sided
from furnigen.strength.solver.stiffness import Array, BeamArrays, acting, at_supports, sums_at_supports


@dataclass(frozen=True, slots=True)
class BeamSupport:
    """A place where a board is carried.

    Attributes:
        at: mm from the left end of the board.
        turning: stiffness against turning, N mm per radian: 0 turns freely, inf is clamped.
        holds_down: whether it can pull the board down too; a board that only lies on it may lift off.
        sunk: how far it has sunk, mm.
        neck: how the board turns against itself over it for a moment there, radian per N mm: more where the
            board is softer over the support than along its spans.
    """

    at: float
    turning: float = 0.0
    holds_down: bool = True
    sunk: float = 0.0
    neck: float = 0.0


@dataclass(frozen=True, slots=True)
class SpreadLoad:
    """An even load from `start` to `end` (mm), N/mm."""

    start: float
    end: float
    newton_per_mm: float


@dataclass(frozen=True, slots=True)
class PointLoad:
    """A load at one place (mm), N."""

    at: float
    newton: float


@dataclass(frozen=True)
class Beam:
    """A straight board of one section on its supports.

    Attributes:
        length: mm.
        bending: EI, N mm².
        supports: in any order, no two at one place.
        spread, points: loads.
        shear: kGA, N; inf where the stiffness was measured in bending without correction, as the
            handbooks' is: then the shear deflection is in EI already.

    Raises: InputError for sizes, places or loads that make no sense.
    """

    length: float
    bending: float
    supports: tuple[BeamSupport, ...]
    spread: tuple[SpreadLoad, ...] = ()
    points: tuple[PointLoad, ...] = ()
    shear: float = inf

    def __post_init__(self) -> None:
        for what, value in (("length of a beam", self.length), ("bending stiffness", self.bending)):
            if not (isfinite(value) and value > 0):
                raise InputError(what, f"{value:g}", "must be more than zero")
        if not self.shear > 0:
            raise InputError("shear stiffness", f"{self.shear:g}", "must be more than zero")
        for load in self.spread:
            self._check_place("start of a load", load.start)
            self._check_place("end of a load", load.end)
            if not load.end > load.start:
                raise InputError(
                    "end of a load", f"{load.end:g} mm", f"must be beyond its start {load.start:g} mm"
                )
            if not isfinite(load.newton_per_mm):
                raise InputError("load", load.newton_per_mm, "must be a finite number")
        for point in self.points:
            self._check_place("point load", point.at)
            if not isfinite(point.newton):
                raise InputError("load", point.newton, "must be a finite number")
        at_rest = sorted(s.at for s in self.supports)
        for a, b in pairwise(at_rest):
            if b - a < SAME_MM:
                raise InputError("supports", f"{a:g} mm", "two supports can not stand at one place")
        for s in self.supports:
            self._check_place("support", s.at)
            if not (isfinite(s.neck) and s.neck >= 0):
                raise InputError("softness over a support", f"{s.neck:g}", "must be zero or more")
            if not isfinite(s.sunk):
                raise InputError("sinking of a support", s.sunk, "must be a finite number of mm")
            if not s.turning >= 0:
                raise InputError("stiffness against turning", f"{s.turning:g}", "must be zero or more")
            if s.turning > 0 and not s.holds_down:
                raise InputError(
                    "support", f"{s.at:g} mm", "holds the board from turning, so it must hold it down"
                )

    def _check_place(self, what: str, at: float) -> None:
        if not -SAME_MM <= at <= self.length + SAME_MM:
            raise InputError(what, f"{at:g} mm", f"must be from 0 mm to {self.length:g} mm along the board")


class Segment(NamedTuple):
    """A span between two supports that touch, or an overhang.

    Attributes:
        kind: "span" or "overhang".
        start, end: mm along the board.
        down, down_at: largest deflection downward, mm, and where.
        up, up_at: largest deflection upward (a positive number), mm, and where.
    """

    kind: str
    start: float
    end: float
    down: float
    down_at: float
    up: float
    up_at: float

    @property
    def length(self) -> float:
        """Clear of supports (mm)."""
        return self.end - self.start


class _Line(NamedTuple):
    place: Array
    deflection: Array


@dataclass(frozen=True)
class BeamResult:
    """What a loaded board does.

    Attributes:
        segments: from the left.
        reactions: upward force of each support in the order given, N; negative where it holds down.
        held: moment by which each support keeps the board from turning, N mm.
        touching: whether each support carries or holds; False where the board lifts off.
        moment_most, moment_most_at: largest sagging moment, N mm, and where.
        moment_least, moment_least_at: largest hogging moment (negative), N mm, and where.
        shear_most, shear_most_at: largest shear force, N, and where.
        drawn: places along the board and the deflection at each, (n,) mm.
        beam: the board itself, or one like it.
    """

    segments: tuple[Segment, ...]
    reactions: tuple[float, ...]
    held: tuple[float, ...]
    touching: tuple[bool, ...]
    moment_most: float
    moment_most_at: float
    moment_least: float
    moment_least_at: float
    shear_most: float
    shear_most_at: float
    drawn: _Line = field(repr=False, compare=False)
    beam: Beam = field(repr=False, compare=False)

    @property
    def line(self) -> tuple[tuple[float, float], ...]:
        """(place, deflection) pairs along the board, mm."""
        return tuple(zip(self.drawn.place.tolist(), self.drawn.deflection.tolist(), strict=True))

    @property
    def sag(self) -> float:
        """Largest downward deflection anywhere (mm)."""
        return max(s.down for s in self.segments)

    @property
    def sag_at(self) -> float:
        """Where the board sags most (mm); the leftmost of places that sag alike."""
        alike = self.sag * (1 - 1e-9)  # mirror images differ by rounding only
        return next(s.down_at for s in self.segments if s.down >= alike)

    @property
    def moment(self) -> float:
        """Largest moment either way, as a positive number (N mm)."""
        return max(self.moment_most, -self.moment_least)


def pad_beams(beams: Sequence[Beam]) -> BeamArrays:
    """The beams as padded arrays, supports sorted."""
    s, p, q = (max([1, *(len(getattr(b, of)) for b in beams)]) for of in ("supports", "spread", "points"))
    nowhere, nil, none = (nan, 0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 0.0), (0.0, 0.0)
    resting, spread, points = [], [], []
    for beam in beams:
        on = [
            # what is soft over a support is shared by its two sides
            (one.at, one.turning, one.holds_down, one.sunk, one.neck / 2)
            for one in sorted(beam.supports, key=_at)
        ]
        resting.append(on + [nowhere] * (s - len(on)))
        loads = [(one.start, one.end, one.newton_per_mm) for one in beam.spread]
        spread.append(loads + [nil] * (p - len(loads)))
        single = [(one.at, one.newton) for one in beam.points]
        points.append(single + [none] * (q - len(single)))
    length, bending, shear = np.array([(b.length, b.bending, b.shear) for b in beams], dtype=float).T
    supports, turning, pulls, sunk, neck = np.moveaxis(np.array(resting, dtype=float), 2, 0)
    even, single_loads = np.array(spread, dtype=float), np.array(points, dtype=float)
    even[:, :, :2] = np.clip(even[:, :, :2], 0.0, length[:, None, None])
    single_loads[:, :, 0] = np.clip(single_loads[:, :, 0], 0.0, length[:, None])
    return BeamArrays(
        length=length,
        bending=bending,
        shear=shear,
        supports=np.clip(supports, 0.0, length[:, None]),
        turning=turning,
        pulls=pulls > 0.0,
        sunk=sunk,
        neck=neck,
        spread=even,
        points=single_loads,
    )


_at = attrgetter("at")
_MOST = (
    "moment_most", "moment_most_at", "moment_least", "moment_least_at", "shear_most", "shear_most_at"
)  # fmt: skip


def _unpack(beams: Sequence[Beam], bent: DeflectionArrays) -> list[BeamResult | None]:
    """The answers to some beams as values."""
    segments = np.stack([bent.start, bent.end, bent.down, bent.down_at, bent.up, bent.up_at], axis=2).tolist()
    along = zip(bent.reaction.tolist(), bent.held.tolist(), bent.touching.tolist(), strict=True)
    most = np.stack([getattr(bent, name) for name in _MOST], axis=1).tolist()
    found: list[BeamResult | None] = []
    for i, (beam, of_supports) in enumerate(zip(beams, along, strict=True)):
        if not bent.stands[i]:
            found.append(None)
            continue
        last = sum(of_supports[2])
        given = _ranks(beam)
        reactions, held, touching = (tuple([row[k] for k in given]) for row in of_supports)
        found.append(
            BeamResult(
                tuple(
                    [
                        Segment("span" if 0 < k < last else "overhang", *segment)
                        for k, segment in enumerate(segments[i][: last + 1])
                        if not isnan(segment[0])
                    ]
                ),
                reactions,
                held,
                touching,
                **dict(zip(_MOST, most[i], strict=True)),
                drawn=_Line(bent.places[i], bent.deflection[i]),
                beam=beam,
            )
        )
    return found


def _ranks(beam: Beam) -> list[int]:
    """For each support in the order given, its place from the left."""
    at = [s.at for s in beam.supports]
    order = sorted(range(len(at)), key=at.__getitem__)
    rank = [0] * len(at)
    for place, k in enumerate(order):
        rank[k] = place
    return rank


def _alike(beams: Sequence[Beam], packed: BeamArrays) -> tuple[NDArray[np.intp], list[int]]:
    """One beam of each kind, and which of those every beam is like, to the last bit."""
    order = np.zeros(packed.supports.shape)
    for i, beam in enumerate(beams):
        order[i, : len(beam.supports)] = _ranks(beam)
    columns = [np.reshape(value, (len(beams), -1)) for value in (*vars(packed).values(), order)]
    table = np.concatenate(columns, axis=1) + 0.0
    first: dict[bytes, int] = {}
    which = [first.setdefault(row.tobytes(), i) for i, row in enumerate(table)]
    chosen = list(first.values())
    place = {i: k for k, i in enumerate(chosen)}
    return np.array(chosen), [place[i] for i in which]


def solve_beams(beams: Sequence[Beam]) -> tuple[BeamResult | None, ...]:
    """What each beam does; None for one that its supports can not hold: it falls or tips off.

    Each kind is bent once; what it does hangs on nothing but the beam itself.
    """
    if not beams:
        return ()
    packed = pad_beams(beams)
    chosen, which = _alike(beams, packed)
    bent = solve_one_sided(packed.rows(chosen))
    answers = _unpack([beams[i] for i in chosen.tolist()], bent)
    return tuple(answers[k] for k in which)


def two_way_reactions(beams: Sequence[Beam]) -> tuple[tuple[float, ...], ...]:
    """The upward force of each support, in the order given, where every support holds both ways (N)."""
    if not beams:
        return ()
    packed = pad_beams(beams)
    reactions = at_supports(acting(packed, sums_at_supports(packed))[0]).reaction
    found = []
    for beam, row in zip(beams, reactions.tolist(), strict=True):
        found.append(tuple(row[k] for k in _ranks(beam)))
    return tuple(found)


LONGEST_BEARING_STEP = 10.0
"""A long bearing becomes places no further apart than this many board thicknesses. Our own choice: a board
spanning ten thicknesses sags some hundred-thousandths of its length."""


def bearing_places(start: float, end: float, thickness: float) -> tuple[float, ...]:
    """Where a board of this thickness counts as carried on a bearing from `start` to `end` (mm).

    A bearing narrower than the board is thick counts at its middle. A wider one counts half a
    thickness in from each of its edges (the effective span of EN 1992-1-1 5.3.2.2: clear span and half
    the depth at each end, from memory, taken over for boards), and between them where it is long. Let
    such places only push: the outer one then lifts off by itself when the board sags.

    Raises: InputError for a bearing without width or a board without thickness.
    """
    if not end >= start:
        raise InputError("end of a bearing", f"{end:g} mm", f"must not lie before its start {start:g} mm")
    if not thickness > 0:
        raise InputError("thickness", f"{thickness:g} mm", "must be more than zero")
    width = end - start
    if width <= thickness:
        return ((start + end) / 2,)
    first, last = start + thickness / 2, end - thickness / 2
    steps = max(1, ceil((last - first) / (LONGEST_BEARING_STEP * thickness)))
    if last - first < SAME_MM:
        return ((start + end) / 2,)
    return tuple(first + (last - first) * i / steps for i in range(steps + 1))
