"""Shelf pins: the wood round each pin, and the pin itself."""

from __future__ import annotations

from collections.abc import Iterator

from furnigen.catalogue.joint_values import joint_value, value_source
from furnigen.core.wording import as_given
from furnigen.joints.joint import Fastener
from furnigen.strength.formulas.allowable import LOAD_FACTOR
from furnigen.strength.formulas.embedment import SOURCE
from furnigen.strength.formulas.shelf_pins import pin_bearing, pin_moment, steel_pin_moment
from furnigen.strength.joints.actions import NOISE_N, Action, Bears, LoadedJoint, group_of
from furnigen.strength.joints.wood import design


def pin_rules(one: LoadedJoint, action: Action, fastener: Fastener) -> Iterator[Bears]:
    """What the pins under one end of a shelf bear, each by the one that is loaded most."""
    assert one.a is not None
    d = fastener.diameter_mm
    collar = min(joint_value("pin collar"), fastener.length_mm / 2)
    depth, reach = fastener.length_mm - collar, collar / 2
    load, _ = group_of(fastener, one.seat).most(action)
    if load <= NOISE_N:
        return
    if action.force[2] < 0:
        yield Bears("shelf that lifts off its pins", load, 0.0, "N", "a shelf only lies on pins")
        return
    crush = one.a.embedment(d)
    yield Bears(
        "wood round each pin",
        load,
        design(pin_bearing(crush, d, depth, reach), one.a),
        "N",
        f"f_h d (sqrt((h + 2e)² + h²) - h - 2e), a rigid pin (hand-derived), h {as_given(depth)} in the"
        f" wood, load {as_given(reach)} from its face ({value_source('pin collar')}); f_h {SOURCE}, x k_mod"
        f" {one.a.k_mod:.2g} / 1.3 / 1.5",
    )
    yield Bears(
        "bending of each pin",
        pin_moment(load, crush, d, reach) / 1000,
        steel_pin_moment(joint_value("pin steel"), d) / joint_value("pin safety") / LOAD_FACTOR / 1000,
        "N m",
        f"P (e + P / (2 f_h d)) against f_y d³ / 6 (hand-derived); {value_source('pin steel')}",
    )
