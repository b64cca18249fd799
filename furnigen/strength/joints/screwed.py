"""Screws and nails: pulled out, pulled through, pushed sideways.

Below 6 mm by the allowable rule (NDS), from 6 mm by the characteristic one (EN 1995-1-1). Threads in end
grain count nothing against being pulled out. In boards of particles the published values are means at
failure: they are divided by the ratio of both for solid wood before anything is held against them.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from math import inf

from furnigen.catalogue.joint_values import joint_value, value_source
from furnigen.core.facts import FastenerKind
from furnigen.core.pose import Vector, dot
from furnigen.core.wording import in_words
from furnigen.joints.joint import Fastener
from furnigen.strength.formulas import screws
from furnigen.strength.formulas.yield_modes import (
    SideMember,
    bearing_allowable_mpa,
    bending_yield_mpa,
    lateral_allowable,
    lateral_characteristic,
    yield_moment,
)
from furnigen.strength.joints.actions import (
    NOISE_N,
    Action,
    Bears,
    LoadedJoint,
    NotKnownError,
    Rule,
    group_of,
    share_used,
)
from furnigen.strength.joints.wood import EDGE, END, Wood, design

NAILS = frozenset({FastenerKind.NAIL})


class ScrewRule(Rule):
    """What the screws or nails of a joint bear of an action, each by the one that is loaded most."""

    def __init__(self, one: LoadedJoint, fastener: Fastener) -> None:
        assert one.a is not None
        site, way = fastener.sites[0]
        through = abs(dot(tuple(c - s for c, s in zip(one.seat.centre, site, strict=True)), way))  # type: ignore[arg-type]
        self._head, self._holder = (one.b, one.a) if dot(way, one.seat.into) > 0 else (one.a, one.b)
        self._fastener, self._way = fastener, way
        self._point = fastener.length_mm - through
        self._group = group_of(fastener, one.seat)
        self._across, self._source = 0.0, ""
        if self._point > 0:
            self._across, self._source = sideways_n(
                self._head, self._holder, fastener, through, self._point, way
            )
        super().__init__(self._bears)

    @cached_property
    def _out(self) -> tuple[float, str]:
        """What one bears against being pulled out, N, and by which rule. Raises: as `withdrawal_n`."""
        return withdrawal_n(self._holder, self._fastener, self._point, self._way)

    @cached_property
    def _through(self) -> float:
        """What one bears against its head being pulled through, N; inf for nails."""
        if self._fastener.kind in NAILS:
            return inf
        mpa, size = joint_value("head pull-through"), joint_value("screw head") * self._fastener.diameter_mm
        return design(screws.pull_through(mpa, size, self._head.density_k), self._head)

    def _together(self, shear: float, pull: float, out: float) -> float:
        """Both shares of a fastener that is pushed sideways and pulled at once."""
        v, t = shear / self._across, pull / out
        # screws add by their squares, smooth nails plainly (EN 1995-1-1 8.27 and 8.28)
        return v + t if self._fastener.kind in NAILS else (v * v + t * t) ** 0.5

    def used(self, action: Action) -> float | None:
        """As `_bears` has it, without its words."""
        shear, pull = self._group.most(action)
        if self._point <= 0:
            return share_used(max(shear, pull), 0.0)
        pushed = share_used(shear, self._across) if shear > NOISE_N else None
        if pull <= NOISE_N:
            return pushed
        out = self._out[0]
        both = self._together(shear, pull, out) if shear > NOISE_N and out > 0 else 0.0
        return max(share_used(pull, out), share_used(pull, self._through), both, pushed or 0.0)

    def _bears(self, action: Action) -> Iterator[Bears]:
        shear, pull = self._group.most(action)
        kind = self._fastener.kind.value
        if self._point <= 0:
            what = f"{kind} that does not reach {self._holder.label}"
            yield Bears(what, max(shear, pull), 0.0, "N", "geometry")
            return
        if shear > NOISE_N:
            yield Bears(f"push sideways on each {kind}", shear, self._across, "N", self._source)
        if pull <= NOISE_N:
            return
        out, out_source = self._out
        yield Bears(f"pull on each {kind}", pull, out, "N", out_source)
        if self._fastener.kind not in NAILS:
            yield Bears(
                f"pull of each {kind} through {self._head.label}",
                pull,
                self._through,
                "N",
                f"f_head dh² (rho_k / 350)^0.8, EN 1995-1-1 8.7.2; {value_source('head pull-through')}",
            )
        if shear > NOISE_N and out > 0:
            yield Bears(
                f"pull and push together on each {kind}",
                self._together(shear, pull, out),
                1.0,
                "",
                f"EN 1995-1-1 8.27 and 8.28; {out_source}; {self._source}",
            )


def withdrawal_n(holder: Wood, fastener: Fastener, point: float, way: Vector) -> tuple[float, str]:
    """What one fastener bears against being pulled out, N, and by which rule.

    Args:
        point: how much of it is in the wood that holds it, mm.

    Raises: NotKnownError where no rule speaks of that wood.
    """
    d = fastener.diameter_mm
    met = holder.met_by(way)
    if fastener.kind in NAILS:
        if met in (END, EDGE):
            return 0.0, "a smooth nail in end grain or a board's edge holds nothing (EN 1995-1-1 8.3.2)"
        if holder.of_particles:
            raise NotKnownError(f"no rule is published for nails pulled out of {holder.kind}")
        held = screws.nail_withdrawal(d, point, holder.density_k)
        return design(held, holder), "20e-6 rho_k² d t, EN 1995-1-1 8.25, x k_mod / 1.3 / 1.5"
    thread = min(point, joint_value("screw thread") * fastener.length_mm)
    if met == END:
        return 0.0, "a thread in end grain is not counted against being pulled out (NDS 12.2.2)"
    share, where = 1.0, ""
    if met == EDGE:
        share, where = joint_value("panel edge pull"), f" x {joint_value('panel edge pull'):g} in the edge"
    if holder.kind == "hardboard":
        raise NotKnownError("no rule is published for screws pulled out of hardboard")
    if holder.of_particles:
        if thread <= d / 3:
            return 0.0, "a thread shorter than a third of its diameter holds nothing"
        mean = screws.particleboard_ultimate(holder.gravity, d, thread, edge=met == EDGE)
        allowed = mean / screws.ULTIMATE_OVER_ALLOWED * holder.time_share
        return allowed, (
            "mean at failure K d^0.5 (l - d/3)^1.25 G², particleboard, Wood Handbook ch. 8 (from memory; MDF"
            " and OSB alike: common practice, no source), / 5.51 (ultimate over allowable of solid wood), x"
            f" {holder.time_share:.2g} for time"
        )
    if holder.kind == "plywood":
        share *= joint_value("plywood pull")
        where += f" x {joint_value('plywood pull'):g} in plywood ({value_source('plywood pull')})"
    angle = 90.0 if holder.panel else holder.grain_degrees(way)
    if screws.characteristic_holds(d, thread, angle):
        held = share * screws.withdrawal_characteristic(d, thread, holder.density_k, angle)
        return design(held, holder), f"f_ax d l k_d, EN 1995-1-1 8.38, x k_mod / 1.3 / 1.5{where}"
    allowed = share * screws.withdrawal_allowable(holder.gravity, d, thread) * holder.time_share
    return allowed, f"19.65 G² d l, NDS 12.2.2, allowable, x {holder.time_share:.2g} for time{where}"


def sideways_n(
    head: Wood, holder: Wood, fastener: Fastener, through: float, point: float, way: Vector
) -> tuple[float, str]:
    """What one fastener bears pushed sideways, N, and by which rule."""
    d = fastener.diameter_mm
    nail = fastener.kind in NAILS
    root = d if nail else joint_value("screw root") * d
    least = joint_value("screw penetration")
    share, words = min(1.0, point / (least * d)), ""
    splits = screws.undrilled_thickness(d, head.density_k)
    if not head.panel and through < splits:
        words = f"; drill for it: undrilled, wood under {in_words(splits, digits=0)} splits (8.18)"
    if share < 1:
        words += f" x {share:.2g} for {in_words(point, digits=0)} in, less than {least:g} diameters"
    if not holder.panel and holder.met_by(way) == END:
        share *= joint_value("end grain sideways")
        words += " x 2/3 in end grain"
    if d >= screws.CHARACTERISTIC_FROM_MM - 1e-6:
        effective = d if nail else 1.1 * root
        moment = yield_moment(joint_value("screw steel"), effective)
        first = SideMember(through, head.embedment(effective))
        second = SideMember(point, holder.embedment(effective))
        held = lateral_characteristic(first, second, effective, moment)
        rule = "EN 1995-1-1 8.6, without rope effect, x k_mod / 1.3 / 1.5"
        return share * design(held, head, holder), rule + words
    side, main = (SideMember(at, _allowable_bearing(w, d)) for at, w in ((through, head), (point, holder)))
    held = lateral_allowable(side, main, d, root, bending_yield_mpa(d))
    time = min(head.time_share, holder.time_share)
    return share * held * time, f"yield modes of NDS table 12.3.1A, allowable, x {time:.2g} for time{words}"


def _allowable_bearing(wood: Wood, diameter: float) -> float:
    """What wood presses back with, for the allowable rule, N/mm²; boards of particles by EN 1995-1-1."""
    if wood.of_particles and wood.kind != "osb":
        return wood.embedment(diameter)
    most = joint_value("panel gravity") if wood.panel else wood.gravity
    return bearing_allowable_mpa(min(wood.gravity, most))
