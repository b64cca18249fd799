"""Screws and nails: pulled out, pulled through, pushed sideways.

Below 6 mm by the allowable rule (NDS), from 6 mm by the characteristic one (EN 1995-1-1). Threads in end
grain count nothing against being pulled out. In boards of particles the published values are means at
failure: they are divided by the ratio of both for solid wood before anything is held against them.
"""

from __future__ import annotations

from collections.abc import Iterator

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
)
from furnigen.strength.joints.wood import EDGE, END, Wood, design

NAILS = frozenset({FastenerKind.NAIL})


def screw_rules(one: LoadedJoint, fastener: Fastener) -> Rule:
    """What the screws or nails of a joint bear of an action, each by the one that is loaded most."""
    assert one.a is not None
    site, way = fastener.sites[0]
    through = abs(dot(tuple(c - s for c, s in zip(one.seat.centre, site, strict=True)), way))  # type: ignore[arg-type]
    head, holder = (one.b, one.a) if dot(way, one.seat.into) > 0 else (one.a, one.b)
    point = fastener.length_mm - through
    group, kind = group_of(fastener, one.seat), fastener.kind.value
    across, across_source = (0.0, "")
    if point > 0:
        across, across_source = sideways_n(head, holder, fastener, through, point, way)

    def bears(action: Action) -> Iterator[Bears]:
        shear, pull = group.most(action)
        if point <= 0:
            what = f"{kind} that does not reach {holder.label}"
            yield Bears(what, max(shear, pull), 0.0, "N", "geometry")
            return
        if shear > NOISE_N:
            yield Bears(f"push sideways on each {kind}", shear, across, "N", across_source)
        if pull <= NOISE_N:
            return
        out, out_source = withdrawal_n(holder, fastener, point, way)
        yield Bears(f"pull on each {kind}", pull, out, "N", out_source)
        if fastener.kind not in NAILS:
            mpa, size = joint_value("head pull-through"), joint_value("screw head") * fastener.diameter_mm
            yield Bears(
                f"pull of each {kind} through {head.label}",
                pull,
                design(screws.pull_through(mpa, size, head.density_k), head),
                "N",
                f"f_head dh² (rho_k / 350)^0.8, EN 1995-1-1 8.7.2; {value_source('head pull-through')}",
            )
        if shear > NOISE_N and out > 0:
            v, t = shear / across, pull / out
            # screws add by their squares, smooth nails plainly (EN 1995-1-1 8.27 and 8.28)
            both = v + t if fastener.kind in NAILS else (v * v + t * t) ** 0.5
            yield Bears(
                f"pull and push together on each {kind}",
                both,
                1.0,
                "",
                f"EN 1995-1-1 8.27 and 8.28; {out_source}; {across_source}",
            )

    return bears


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
