"""Bolts with barrel nuts in the end of a board: nut, plug, bolt, washer, and the bolt pushed across."""

from __future__ import annotations

from collections.abc import Iterator

from furnigen.catalogue.joint_values import joint_value, value_source
from furnigen.core.facts import FastenerKind
from furnigen.core.pose import dot
from furnigen.joints.joint import Fastener
from furnigen.strength.formulas.allowable import LOAD_FACTOR
from furnigen.strength.formulas.barrel_nuts import bolt_tension, end_plug, nut_bearing
from furnigen.strength.formulas.embedment import k_90
from furnigen.strength.formulas.yield_modes import SideMember, lateral_characteristic, yield_moment
from furnigen.strength.joints.actions import NOISE_N, Action, Bears, LoadedJoint, group_of
from furnigen.strength.joints.wood import END, Wood, design


def bolt_rules(one: LoadedJoint, action: Action, bolt: Fastener) -> Iterator[Bears]:
    """What the bolts of a joint bear of an action, each by the one that is loaded most."""
    assert one.a is not None
    a, b, d = one.a, one.b, bolt.diameter_mm
    site, way = bolt.sites[0]
    through = abs(dot(tuple(c - s for c, s in zip(one.seat.centre, site, strict=True)), way))  # type: ignore[arg-type]
    shear, pull = group_of(bolt, one.seat).most(action)
    steel = joint_value("bolt steel")
    point = bolt.length_mm - through
    if shear > NOISE_N:
        sides = [SideMember(at, _bolt_bearing(w, d, along=False)) for at, w in ((through, a), (point, b))]
        held = lateral_characteristic(sides[0], sides[1], d, yield_moment(steel, d))
        yield Bears(
            "push across each bolt",
            shear,
            design(held, a, b),
            "N",
            "EN 1995-1-1 8.5.1 and 8.6, embedment across the grain on both sides, x k_mod / 1.3 / 1.5",
        )
    if pull <= NOISE_N:
        return
    nut = next((f for f in one.joint.fasteners if f.kind is FastenerKind.BARREL_NUT and f.sites), None)
    if nut is not None:
        at, _ = nut.sites[0]
        inset = abs(dot(tuple(c - s for c, s in zip(one.seat.centre, at, strict=True)), one.seat.into))  # type: ignore[arg-type]
        along = b.met_by(one.seat.into) == END
        crush = _bolt_bearing(b, nut.diameter_mm, along=along)
        held = nut_bearing(crush, nut.diameter_mm, nut.length_mm)
        yield Bears(
            "wood under each barrel nut",
            pull,
            design(held, b),
            "N",
            "f_h D Lb, embedment by EN 1995-1-1 8.5.1, x k_mod / 1.3 / 1.5",
        )
        yield Bears(
            "plug of wood before each barrel nut",
            pull,
            end_plug(inset, nut.length_mm, b.shear_mpa),
            "N",
            f"2 a Lb f_v (hand-derived), f_v: {b.bears.shear_source or value_source('board shear')}",
        )
    yield Bears(
        "each bolt itself",
        pull,
        bolt_tension(steel, d) / joint_value("bolt safety") / LOAD_FACTOR,
        "N",
        f"0.9 f_ub A_s, EN 1993-1-8 table 3.4 (from memory); {value_source('bolt steel')}",
    )
    across = a.bears.bearing_mpa
    if across is not None and not a.panel:
        size, hole = joint_value("washer"), d + 1
        area = 3.14159265 / 4 * (size**2 - hole**2)
        yield Bears(
            f"wood of {a.label} under each washer",
            pull,
            joint_value("washer bearing") * across * area / LOAD_FACTOR,
            "N",
            f"{value_source('washer bearing')}; {value_source('washer')}",
        )


def _bolt_bearing(wood: Wood, diameter: float, *, along: bool) -> float:
    """Characteristic embedment, N/mm²; across the grain of solid wood divided by k_90."""
    own = wood.embedment(diameter)
    return own if along or wood.panel else own / k_90(diameter, hardwood=wood.kind == "hardwood")
