"""Every joint of a piece: its forces, what it bears, how much of that is used, by which rule."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from furnigen.catalogue.joint_values import WallMaterial
from furnigen.core.facts import FastenerKind
from furnigen.core.finding import stable_maximum
from furnigen.strength.formulas.embedment import PANEL_KINDS
from furnigen.strength.joints.actions import Bears, LoadedJoint, NotKnownError, Rule
from furnigen.strength.joints.bolted import bolt_rules
from furnigen.strength.joints.dowelled import dowel_rules
from furnigen.strength.joints.pinned import pin_rules
from furnigen.strength.joints.screwed import screw_rules
from furnigen.strength.joints.tongued import tongue_rules
from furnigen.strength.joints.walled import wall_rules

WOODS = PANEL_KINDS | {"softwood", "hardwood", "lvl"}
"""Kinds of material that the rules speak of."""
_SCREWS = (FastenerKind.SCREW, FastenerKind.CONNECTOR, FastenerKind.NAIL)


@dataclass(frozen=True)
class JointResult:
    """What one joint does.

    Attributes:
        loaded: the joint and all it must carry.
        bears: every rule that could be applied, the most used first; empty where no load passes.
        unknown: why no rule speaks of it; "" where one does or none is needed.
    """

    loaded: LoadedJoint
    bears: tuple[Bears, ...]
    unknown: str

    @property
    def used(self) -> float | None:
        """Share of what it bears that is used; None where that is not known."""
        if self.bears:
            return self.bears[0].used
        return None if self.unknown else 0.0


def check_joint_strength(
    loaded: Iterable[LoadedJoint], walls: WallMaterial, rules: dict[int, Rule] | None = None
) -> tuple[JointResult, ...]:
    """Every loaded joint by the rules that speak of it.

    Args:
        rules: of joints that were checked before under other loads of the same duration, by their id; those
            found now are added.
    """
    known = {} if rules is None else rules
    return tuple(_checked(one, walls, known) for one in loaded)


def _checked(one: LoadedJoint, wall: WallMaterial, rules: dict[int, Rule]) -> JointResult:
    found: list[Bears] = []
    unknown: dict[str, None] = {}
    rule = rules.get(id(one.joint))
    for action in one.actions:
        if action.idle:
            continue
        try:
            if rule is None:
                rule = rules[id(one.joint)] = _rule(one, wall)
            found += [b._replace(action=action.name) for b in rule(action)]
        except NotKnownError as why:
            unknown[str(why)] = None
    found.sort(key=lambda b: -b.used)
    if found:
        worst = stable_maximum(found, lambda b: min(b.used, 1e9))
        found = [worst, *(b for b in found if b is not worst)]
    return JointResult(one, tuple(found), "; ".join(unknown))


def _rule(one: LoadedJoint, wall: WallMaterial) -> Rule:
    """The rule that speaks of a joint. Raises: NotKnownError where none does."""
    fasteners = [f for f in one.joint.fasteners if f.sites]
    if one.a is None:
        if not fasteners:
            raise NotKnownError("no fixing into the wall is stated")
        return lambda action: wall_rules(one, action, fasteners[0], wall)
    by_kind = {f.kind: f for f in fasteners}
    # what lies on pins may be of anything: only the wood round them is asked
    asked = (one.a,) if FastenerKind.SHELF_PIN in by_kind else one.woods
    strange = next((w for w in asked if w.kind not in WOODS), None)
    if strange is not None:
        raise NotKnownError(f"{strange.label} is of {strange.kind}, and the rules are those of wood")
    for kind in _SCREWS:
        if kind in by_kind:
            return screw_rules(one, by_kind[kind])
    if FastenerKind.DOWEL in by_kind:
        return dowel_rules(one, by_kind[FastenerKind.DOWEL])
    if FastenerKind.SHELF_PIN in by_kind:
        return lambda action: pin_rules(one, action, by_kind[FastenerKind.SHELF_PIN])
    if FastenerKind.BOLT in by_kind:
        return lambda action: bolt_rules(one, action, by_kind[FastenerKind.BOLT])
    if FastenerKind.BRACKET in by_kind:
        raise NotKnownError("no strength of brackets is published: ask their maker")
    return lambda action: tongue_rules(one, action)
