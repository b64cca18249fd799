"""Shelves and other level boards: sag at once and in the long run, stress, reactions, and how sure that is.

All shelves are bent together. A shelf over several uprights is tried with all, single, every other and
neighbouring bays full (`furnigen.strength.members.load_patterns`), its own weight always there: it sags more
with one bay full than with all. The long run scales what lasts by 1 + k_def and the rest by 1 + psi2 k_def
(see `furnigen.strength.formulas.creep`) and bends the shelf again, so a loose board lifts off as it would
then.

A board with strips glued along it, or with an edge held by a back, bends as a plate: it is a beam of its own
section that sags and is stressed by the shares in `furnigen.strength.model.plates`.

A support may sink, as a divider does that stands on another shelf. Then all bays full are tried once more
with the supports sunk, and the sag is taken between those that stay, or else between the outermost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from furnigen.catalogue.loads import GRAVITY, Load
from furnigen.catalogue.materials import Material
from furnigen.catalogue.sag_limits import SagLimit
from furnigen.core.errors import InputError
from furnigen.core.finding import ALIKE, stable_maximum
from furnigen.strength.formulas.allowable import LOAD_FACTOR, find_allowable
from furnigen.strength.formulas.creep import Creep, find_creep
from furnigen.strength.formulas.section import Section
from furnigen.strength.formulas.shear import IN_MODULUS, ShearRule
from furnigen.strength.formulas.uncertainty import SagSpread, ends_with_fixed_part, sag_spread
from furnigen.strength.members.cut_boards import CutShear, bending_at_cuts, shear_at_cuts
from furnigen.strength.members.load_patterns import (
    Bays,
    Pattern,
    bays_between,
    full_runs,
    patterns,
    patterns_over_supports,
)
from furnigen.strength.members.sunk_supports import STAYS_MM, sag_between_stays
from furnigen.strength.model.net_sections import NetSection
from furnigen.strength.model.plates import BOARD_ALONE, PlateShares
from furnigen.strength.solver.beam import (
    Beam,
    BeamResult,
    BeamSupport,
    PointLoad,
    Segment,
    SpreadLoad,
    solve_beams,
)
from furnigen.strength.solver.together import Ask, Steps, alone

Rated = tuple[float, float | None, float | None, int, float]
"""Stress and what is allowed (N/mm²), the share used, the index of the material, and where (mm)."""


@dataclass(frozen=True)
class Shelf:
    """One level board on its supports; two are equal whatever their names.

    Attributes:
        label: its name, for the report.
        length: along the board, mm.
        depth: mean size across it, mm.
        section: its section, without what is glued along it.
        materials: of each strip of the section, the board first, then of each strip glued along it.
        supports: where it is carried.
        load: what lies on it.
        own_kg_m: its own weight, kg/m.
        limit: how much it may sag.
        climate: service class 1, 2 or 3.
        creep_rule: one of `creep.RULES`.
        shear: whether the shear deflection comes on top, and why (`furnigen.strength.formulas.shear`).
        dead, live: what stands on it by its own weight and by what it carries, at once.
        sunk: how far each support sinks at once under dead and under live load, mm; empty where none does.
        across: of each material, its modulus along the span over that along its grain: its strength is taken
            to fall as that does where it bends across its grain; empty where all bend along it.
        plate: shares of the sag and stress of its section that strips glued along it and backs leave.
        over_supports: the same over its supports, where strips may stop.
        cuts: where joints cut it, and what they leave.
        row: length of the row that goods by the metre make on it, mm; 0 where that is its own length.
        ends: light and heavy end of what varies of its load, over its design value: of its own load, or of
            what stands on it; None for those of `load`.
    """

    label: str = field(compare=False)
    length: float
    depth: float
    section: Section
    materials: tuple[Material, ...]
    supports: tuple[BeamSupport, ...]
    load: Load
    own_kg_m: float
    limit: SagLimit
    climate: int = 1
    creep_rule: str = "eurocode"
    shear: ShearRule = IN_MODULUS
    dead: tuple[PointLoad, ...] = ()
    live: tuple[PointLoad, ...] = ()
    sunk: tuple[tuple[float, float], ...] = ()
    across: tuple[float, ...] = ()
    plate: PlateShares = BOARD_ALONE
    over_supports: PlateShares = BOARD_ALONE
    cuts: tuple[NetSection, ...] = ()
    row: float = 0.0
    ends: tuple[float, float] | None = None

    def grain(self, i: int) -> float:
        """Share of its strength along the grain that a material bears along the span."""
        return self.across[i] if self.across else 1.0

    def __post_init__(self) -> None:
        strips = (len(self.section.strips) or 1) + len(self.plate.strips)
        if len(self.materials) != strips:
            raise InputError(
                f"materials of {self.label}", len(self.materials), f"must be one for each of {strips} boards"
            )
        if not self.own_kg_m >= 0:
            raise InputError(f"weight of {self.label}", f"{self.own_kg_m:g} kg/m", "must be zero or more")


@dataclass(frozen=True)
class ShelfResult:
    """What a loaded shelf does.

    Attributes:
        shelf: the shelf.
        segment: the span or overhang nearest to its limit, in the long run.
        loaded: which bays were full then.
        first_mm: sag there at once.
        final_mm: sag there in the long run.
        limit_mm: how much it may be.
        creep: the creep factor used: the largest of the materials.
        spread: the law of the final sag.
        stress_mpa: largest bending stress over what its material bears.
        stress_allowed_mpa: that design strength over the load factor; None where no strength is known.
        stress_used: stress over what is allowed; None likewise.
        stress_in: index of the material it is in.
        stress_at: where along the board, mm.
        most, least: largest and smallest reaction of each support over all patterns, N.
        held: largest moment by which each support keeps the board from turning, N mm.
        shear: shear where joints cut it; None where none does, or no strength is known.
        loose_ends: whether some support lifts off with every bay full.
    """

    shelf: Shelf
    segment: Segment
    loaded: str
    first_mm: float
    final_mm: float
    limit_mm: float
    creep: Creep
    spread: SagSpread
    stress_mpa: float
    stress_allowed_mpa: float | None
    stress_used: float | None
    stress_in: int
    stress_at: float
    most: tuple[float, ...]
    least: tuple[float, ...]
    held: tuple[float, ...]
    shear: CutShear | None
    loose_ends: bool

    @property
    def used(self) -> float:
        """Share of the sag limit that is used; above 1 the shelf fails."""
        return self.final_mm / self.limit_mm

    @property
    def across_mm(self) -> tuple[float, float, float]:
        """The final sag of its low edge across the span, of the middle of its depth and of its high edge."""
        plate = self.shelf.plate
        worst = self.final_mm / plate.most
        return worst * plate.front, worst * plate.middle, worst * plate.rear

    @property
    def chance(self) -> float:
        """The probability that the sag stays within its limit."""
        return self.spread.chance(self.limit_mm)


def beam_of(
    shelf: Shelf,
    bays: Bays,
    full: tuple[int, ...],
    own: float,
    live: float,
    *,
    settling: bool = False,
    extra: tuple[PointLoad, ...] = (),
) -> Beam:
    """The shelf with these bays full, own weight and load scaled, on supports that stay or sink.

    Args:
        extra: what stands on it besides.
    """
    ei, ga = shelf.section.for_beam(with_shear=shelf.shear.apart, raised=False)
    spread = []
    own_load = own * shelf.own_kg_m * GRAVITY / 1000
    if own_load > 0:
        spread.append(SpreadLoad(0.0, shelf.length, own_load))
    even = live * shelf.load.newton_per_mm(shelf.depth, shelf.length, shelf.row)
    if even > 0:
        spread += [SpreadLoad(bays[first][0], bays[last][1], even) for first, last in full_runs(full)]
    # a single thing stands where it stands: it is in every pattern
    points = [(at, live * force) for at, force in shelf.load.points(shelf.length)]
    points += [(p.at, own * p.newton) for p in shelf.dead]
    points += [
        (p.at, live * p.newton) for p in shelf.live if any(bays[i][0] <= p.at <= bays[i][1] for i in full)
    ]
    points += [(p.at, p.newton) for p in extra]
    together: dict[float, float] = {}
    for at, newton in points:
        together[at] = together.get(at, 0.0) + newton
    supports = shelf.supports
    if settling:
        supports = tuple(
            replace(s, sunk=own * dead + live * passing)
            for s, (dead, passing) in zip(supports, shelf.sunk, strict=True)
        )
    loads = tuple(PointLoad(at, newton) for at, newton in together.items())
    left = shelf.plate.most
    return Beam(shelf.length, ei / left, supports, tuple(spread), loads, ga / left)


def _sinks(shelf: Shelf) -> bool:
    return any(abs(dead) + abs(live) > STAYS_MM for dead, live in shelf.sunk)


def _largest_creep(shelf: Shelf) -> Creep:
    return max(
        (find_creep(m, shelf.climate, shelf.creep_rule) for m in shelf.materials), key=lambda c: c.factor
    )


def _sag_in(bent: BeamResult, segment: Segment) -> float:
    """Sag at a place of another loading of the same shelf."""
    return max((s.down for s in bent.segments if s.start <= segment.down_at <= s.end), default=0.0)


def _rated(shelf: Shelf, stress: float, i: int, place: float) -> Rated:
    """A stress in one of its materials beside what that bears."""
    strength = find_allowable(shelf.materials[i], climate=shelf.climate).bending_mpa
    allowed = None if strength is None else strength * shelf.grain(i) / LOAD_FACTOR
    return stress, allowed, None if allowed is None else stress / allowed, i, place


def largest_stress(shelf: Shelf, bents: Sequence[BeamResult]) -> Rated:
    """Stress, what is allowed, share used, strip and place: of the strip used most."""
    sagging = stable_maximum(bents, lambda b: b.moment_most)
    hogging = stable_maximum(bents, lambda b: -b.moment_least)
    cases = [
        (shelf.plate, sagging.moment_most, sagging.moment_most_at),
        (shelf.over_supports, hogging.moment_least, hogging.moment_least_at),
    ]
    rated = []
    for plate, moment, place in cases:
        own = shelf.section.stresses(moment)
        stresses = [*(one * plate.board for one in own), *(max(own) * one for one in plate.strips)]
        # over its supports a board may be without its last strips
        for i, stress in enumerate(stresses[: len(shelf.materials)]):
            rated.append(_rated(shelf, stress, i, place))
    for stress, place, sags in bending_at_cuts(shelf.cuts, bents):
        plate = shelf.plate if sags else shelf.over_supports
        rated.append(_rated(shelf, stress * plate.board, 0, place))
    known = [r for r in rated if r[2] is not None]
    return stable_maximum(known, lambda r: r[2] or 0.0) if known else stable_maximum(rated, lambda r: r[0])


def check_shelves(shelves: Sequence[Shelf]) -> tuple[ShelfResult | None, ...]:
    """As `shelves_in_steps`, at once."""
    return alone(shelves_in_steps(shelves))


def shelves_in_steps(shelves: Sequence[Shelf]) -> Steps[tuple[ShelfResult | None, ...]]:
    """What each shelf does; None for one that its supports can not hold in some loading: it tips off.

    The shelves of a piece are mostly alike: each kind is worked out once.

    Raises: InputError for a load that does not fit the shelf, or a climate its material can not stand in.
    """
    kinds: dict[Shelf, int] = {}
    which = [kinds.setdefault(shelf, len(kinds)) for shelf in shelves]
    beams: list[Beam] = []
    cases: list[tuple[Creep, tuple[Pattern, ...], tuple[Pattern, ...]]] = []
    for shelf in kinds:
        creep = _largest_creep(shelf)
        bays = bays_between((s.at for s in shelf.supports), shelf.length)
        sets, over_supports = patterns(len(bays)), patterns_over_supports(len(bays))
        cases.append((creep, sets, over_supports))
        at_once, last = (1.0, 1.0), (creep.final(1.0), creep.final(0.0, 1.0, shelf.load.sustained))
        for _, full in sets:
            beams += [beam_of(shelf, bays, full, *factors) for factors in (at_once, last)]
        if _sinks(shelf):
            full = sets[0][1]
            beams += [beam_of(shelf, bays, full, *factors, settling=True) for factors in (at_once, last)]
            beams.append(beam_of(shelf, bays, (), last[0], 0.0, settling=True))
        beams += [beam_of(shelf, bays, full, *at_once) for _, full in over_supports]
    bent = iter((yield Ask(solve_beams, beams)))
    results: list[ShelfResult | None] = []
    for shelf, (creep, sets, over_supports) in zip(kinds, cases, strict=True):
        pairs = [(words, next(bent), next(bent)) for words, _ in sets]
        sunk = (next(bent), next(bent), next(bent)) if _sinks(shelf) else None
        more = [next(bent) for _ in over_supports]
        results.append(_result(shelf, creep, pairs, sunk, more))
    return tuple(_named(results[kind], shelf) for kind, shelf in zip(which, shelves, strict=True))


def _named(result: ShelfResult | None, shelf: Shelf) -> ShelfResult | None:
    """The result of one like it as that of this shelf."""
    return result if result is None or result.shelf is shelf else replace(result, shelf=shelf)


def _result(
    shelf: Shelf,
    creep: Creep,
    pairs: Sequence[tuple[str, BeamResult | None, BeamResult | None]],
    sunk: tuple[BeamResult | None, BeamResult | None, BeamResult | None] | None,
    over_supports: Sequence[BeamResult | None],
) -> ShelfResult | None:
    """The worst of all its loadings; None where its supports can not hold it in one of them.

    Args:
        pairs: each loading at once and in the long run, its own weight and single things alone last.
        sunk: all bays with its supports sunk, at once, in the long run, and there by its own weight alone.
        over_supports: loadings that count for moments over supports and reactions, at once.
    """
    firsts: list[BeamResult] = []
    worst: tuple[float, str, float, Segment] | None = None
    for words, first, final in pairs:
        if first is None or final is None:
            return None
        firsts.append(first)
        for segment in final.segments:
            share = segment.down / shelf.limit.mm(segment.length, segment.kind)
            # a later pattern must be worse by more than rounding, so that ties read alike everywhere
            if worst is None or share > worst[0] * (1 + ALIKE):
                worst = (share, words, _sag_in(first, segment), segment)
    for one in over_supports:
        if one is None:
            return None
        firsts.append(one)
    if worst is None:
        return None
    certain = _sag_in(pairs[-1][2], worst[3]) if pairs[-1][2] is not None else 0.0
    stressed = list(firsts)
    if sunk is not None and sunk[0] is not None and sunk[1] is not None:
        stressed.append(sunk[0])
        stays = shelf.supports, shelf.sunk, shelf.length
        at_once = sag_between_stays(*stays, sunk[0])
        alone = sag_between_stays(*stays, sunk[2]) if sunk[2] is not None else []
        for n, (segment, before) in enumerate(zip(sag_between_stays(*stays, sunk[1]), at_once, strict=True)):
            share = segment.down / shelf.limit.mm(segment.length, segment.kind)
            if share > worst[0] * (1 + ALIKE):
                worst = (share, "all bays, with what carries it sinking", before.down, segment)
                certain = alone[n].down if n < len(alone) else 0.0
    _, words, first_mm, segment = worst
    stress, allowed, used, strip, at = largest_stress(shelf, stressed)
    allowables = [find_allowable(m) for m in shelf.materials]
    spread = sag_spread(
        segment.down * shelf.materials[0].moe_mpa / allowables[0].moe_mean_mpa,
        moe_spread=max(a.moe_spread for a in allowables),
        load_ends=ends_with_fixed_part(
            shelf.ends or (shelf.load.least, shelf.load.most),
            1 - certain / segment.down if segment.down > 0 else 0.0,
        ),
    )
    reactions = list(zip(*(b.reactions for b in firsts), strict=True))
    return ShelfResult(
        shelf=shelf,
        segment=segment,
        loaded=words,
        first_mm=first_mm,
        final_mm=segment.down,
        limit_mm=shelf.limit.mm(segment.length, segment.kind),
        creep=creep,
        spread=spread,
        stress_mpa=stress,
        stress_allowed_mpa=allowed,
        stress_used=used,
        stress_in=strip,
        stress_at=at,
        most=tuple(max(r) for r in reactions),
        least=tuple(min(r) for r in reactions),
        held=tuple(max(map(abs, m)) for m in zip(*(b.held for b in firsts), strict=True)),
        shear=shear_at_cuts(shelf.cuts, stressed, shelf.materials[0], shelf.climate, shelf.grain(0)),
        loose_ends=not all(firsts[0].touching),
    )
