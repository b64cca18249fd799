"""Glued wooden dowels: pulled out, and pushed across."""

from __future__ import annotations

from collections.abc import Iterator

from furnigen.catalogue.joint_values import joint_value, value_source
from furnigen.core.pose import dot
from furnigen.joints.joint import Fastener
from furnigen.strength.formulas.dowels import bending_moment, bond_pull, shear_cap
from furnigen.strength.formulas.yield_modes import SideMember, lateral_characteristic
from furnigen.strength.joints.actions import NOISE_N, Action, Bears, LoadedJoint, fastener_forces
from furnigen.strength.joints.wood import Wood, design


def dowel_rules(one: LoadedJoint, action: Action, fastener: Fastener) -> Iterator[Bears]:
    """What the dowels of a joint bear of an action, each by the one that is loaded most."""
    assert one.a is not None
    a, b, d = one.a, one.b, fastener.diameter_mm
    site, way = fastener.sites[0]
    first = abs(dot(tuple(c - s for c, s in zip(one.seat.centre, site, strict=True)), way))  # type: ignore[arg-type]
    in_b, in_a = first, fastener.length_mm - first
    if dot(way, one.seat.into) < 0:
        in_a, in_b = in_b, in_a
    forces = fastener_forces([s for s, _ in fastener.sites], one.seat, action)
    shear, pull = max(f[0] for f in forces), max(f[1] for f in forces)
    if min(in_a, in_b) <= 0:
        yield Bears("dowel that does not reach both boards", max(shear, pull), 0.0, "N", "geometry")
        return
    across = _across_n(a, b, d, in_a, in_b)
    if shear > NOISE_N:
        yield Bears(
            "push across each dowel",
            shear,
            across,
            "N",
            "yield modes of EN 1995-1-1 8.6 with the bending of a wooden dowel f_m pi d³ / 32 (hand-derived),"
            " at most pi d² / 4 x 2 f_v (common practice, no source), x k_mod / 1.3 / 1.5; dowel"
            f" {value_source('dowel shear')}",
        )
    if pull <= NOISE_N:
        return
    name = "dowel bond in boards of particles" if a.of_particles or b.of_particles else "dowel bond"
    held, rule = 0.0, "a dry dowel holds nothing against being pulled out"
    if one.joint.glued:
        mean = bond_pull(joint_value(name), d, min(in_a, in_b))
        held = design(joint_value("mean to 5-percentile") * mean, a, b)
        rule = (
            f"tau pi d l with tau {joint_value(name):g} N/mm², the low end ({value_source(name)}), mean x"
            f" {joint_value('mean to 5-percentile'):g} to a characteristic value"
            f" ({value_source('mean to 5-percentile')}), x k_mod / 1.3 / 1.5"
        )
    yield Bears("pull on each dowel", pull, held, "N", rule)
    if shear > NOISE_N and held > 0:
        yield Bears(
            "pull and push together on each dowel",
            pull / held + shear / across,
            1.0,
            "",
            f"shares added, the cautious way (common practice, no source); {rule}",
        )


def _across_n(a: Wood, b: Wood, d: float, in_a: float, in_b: float) -> float:
    """What one dowel bears pushed across, so deep in either board, N."""
    first, second = SideMember(in_b, b.embedment(d)), SideMember(in_a, a.embedment(d))
    bends = lateral_characteristic(first, second, d, bending_moment(joint_value("dowel bending"), d))
    return design(min(bends, shear_cap(d, joint_value("dowel shear"))), a, b)
