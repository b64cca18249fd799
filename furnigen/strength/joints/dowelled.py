"""Glued wooden dowels: pulled out, and pushed across."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from furnigen.catalogue.joint_values import joint_value, value_source
from furnigen.core.pose import dot
from furnigen.joints.joint import Fastener
from furnigen.strength.formulas.dowels import bending_moment, bond_pull, shear_cap
from furnigen.strength.formulas.yield_modes import SideMember, lateral_characteristic
from furnigen.strength.joints.actions import NOISE_N, Action, Bears, LoadedJoint, Rule, group_of, share_used
from furnigen.strength.joints.wood import Wood, design


class DowelRule(Rule):
    """What the dowels of a joint bear of an action, each by the one that is loaded most."""

    def __init__(self, one: LoadedJoint, fastener: Fastener) -> None:
        assert one.a is not None
        a, b, d = one.a, one.b, fastener.diameter_mm
        site, way = fastener.sites[0]
        first = abs(dot(tuple(c - s for c, s in zip(one.seat.centre, site, strict=True)), way))  # type: ignore[arg-type]
        in_b, in_a = first, fastener.length_mm - first
        if dot(way, one.seat.into) < 0:
            in_a, in_b = in_b, in_a
        self._group = group_of(fastener, one.seat)
        self._reaches = min(in_a, in_b) > 0
        self._across = _across_n(a, b, d, in_a, in_b) if self._reaches else 0.0
        self._held, self._source = 0.0, _DRY
        if self._reaches and one.joint.glued:
            self._held, self._source = _pull_n(a, b, d, min(in_a, in_b))
        super().__init__(self._bears)

    def used(self, action: Action) -> float | None:
        """As `_bears` has it, without its words."""
        shear, pull = self._group.most(action)
        if not self._reaches:
            return share_used(max(shear, pull), 0.0)
        pushed = shear / self._across if shear > NOISE_N else None
        if pull <= NOISE_N:
            return pushed
        pulled = share_used(pull, self._held)
        both = pull / self._held + shear / self._across if shear > NOISE_N and self._held > 0 else 0.0
        return max(pulled, both, pushed or 0.0)

    def _bears(self, action: Action) -> Iterator[Bears]:
        shear, pull = self._group.most(action)
        if not self._reaches:
            yield Bears("dowel that does not reach both boards", max(shear, pull), 0.0, "N", "geometry")
            return
        if shear > NOISE_N:
            yield Bears("push across each dowel", shear, self._across, "N", _across_source())
        if pull <= NOISE_N:
            return
        yield Bears("pull on each dowel", pull, self._held, "N", self._source)
        if shear > NOISE_N and self._held > 0:
            yield Bears(
                "pull and push together on each dowel",
                pull / self._held + shear / self._across,
                1.0,
                "",
                f"shares added, the cautious way (common practice, no source); {self._source}",
            )


_DRY = "a dry dowel holds nothing against being pulled out"


@cache
def _across_source() -> str:
    return (
        "yield modes of EN 1995-1-1 8.6 with the bending of a wooden dowel f_m pi d³ / 32 (hand-derived),"
        " at most pi d² / 4 x 2 f_v (common practice, no source), x k_mod / 1.3 / 1.5; dowel"
        f" {value_source('dowel shear')}"
    )


def _pull_n(a: Wood, b: Wood, d: float, least: float) -> tuple[float, str]:
    """What one glued dowel bears against being pulled out, N, and by which rule.

    Args:
        least: how deep it is in the board that holds less of it, mm.
    """
    name = "dowel bond in boards of particles" if a.of_particles or b.of_particles else "dowel bond"
    mean = bond_pull(joint_value(name), d, least)
    return design(joint_value("mean to 5-percentile") * mean, a, b), (
        f"tau pi d l with tau {joint_value(name):g} N/mm², the low end ({value_source(name)}), mean x"
        f" {joint_value('mean to 5-percentile'):g} to a characteristic value"
        f" ({value_source('mean to 5-percentile')}), x k_mod / 1.3 / 1.5"
    )


def _across_n(a: Wood, b: Wood, d: float, in_a: float, in_b: float) -> float:
    """What one dowel bears pushed across, so deep in either board, N."""
    first, second = SideMember(in_b, b.embedment(d)), SideMember(in_a, a.embedment(d))
    bends = lateral_characteristic(first, second, d, bending_moment(joint_value("dowel bending"), d))
    return design(min(bends, shear_cap(d, joint_value("dowel shear"))), a, b)
