"""Every joint of a piece: its forces, what it bears, how much of that is used, by which rule."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property

from furnigen.catalogue.joint_values import WallMaterial
from furnigen.core.facts import FastenerKind
from furnigen.strength.formulas.embedment import PANEL_KINDS
from furnigen.strength.joints.actions import Bears, LoadedJoint, NotKnownError, Rule
from furnigen.strength.joints.bolted import bolt_rules
from furnigen.strength.joints.dowelled import DowelRule
from furnigen.strength.joints.pinned import pin_rules
from furnigen.strength.joints.screwed import ScrewRule
from furnigen.strength.joints.tongued import tongue_rules
from furnigen.strength.joints.walled import wall_rules

WOODS = PANEL_KINDS | {"softwood", "hardwood", "lvl"}
"""Kinds of material that the rules speak of."""
_SCREWS = (FastenerKind.SCREW, FastenerKind.CONNECTOR, FastenerKind.NAIL)


@dataclass(frozen=True, eq=False)
class JointResult:
    """What one joint does.

    Attributes:
        loaded: the joint and all it must carry.
        rule: the rule that speaks of it; None where none does, or no load passes.
        known: whether something is borne of which a rule speaks.
        used: share of what it bears that is used; None where that is not known.
        unknown: why no rule speaks of it; "" where one does or none is needed.
    """

    loaded: LoadedJoint
    rule: Rule | None
    known: bool
    used: float | None
    unknown: str

    @cached_property
    def bears(self) -> tuple[Bears, ...]:
        """Every rule that could be applied, the most used first; empty where no load passes.

        Worked out when asked for: of most joints only the share used is.
        """
        found: list[Bears] = []
        if self.rule is None or not self.known:
            return ()
        for action in self.loaded.actions:
            if not action.idle:
                with suppress(NotKnownError):
                    found += [b._replace(action=action.name) for b in self.rule.bears(action)]
        return tuple(sorted(found, key=lambda b: -b.used))


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
    most: float | None = None
    unknown: dict[str, None] = {}
    rule = rules.get(id(one.joint))
    for action in one.actions:
        if action.idle:
            continue
        try:
            if rule is None:
                rule = rules[id(one.joint)] = _rule(one, wall)
            used = rule.used(action)
        except NotKnownError as why:
            unknown[str(why)] = None
            continue
        if used is not None and (most is None or used > most):
            most = used
    known = most is not None
    return JointResult(one, rule, known, most if known or unknown else 0.0, "; ".join(unknown))


def _rule(one: LoadedJoint, wall: WallMaterial) -> Rule:
    """The rule that speaks of a joint. Raises: NotKnownError where none does."""
    fasteners = [f for f in one.joint.fasteners if f.sites]
    if one.a is None:
        if not fasteners:
            raise NotKnownError("no fixing into the wall is stated")
        return Rule(lambda action: wall_rules(one, action, fasteners[0], wall))
    by_kind = {f.kind: f for f in fasteners}
    # what lies on pins may be of anything: only the wood round them is asked
    asked = (one.a,) if FastenerKind.SHELF_PIN in by_kind else one.woods
    strange = next((w for w in asked if w.kind not in WOODS), None)
    if strange is not None:
        raise NotKnownError(f"{strange.label} is of {strange.kind}, and the rules are those of wood")
    for kind in _SCREWS:
        if kind in by_kind:
            return ScrewRule(one, by_kind[kind])
    if FastenerKind.DOWEL in by_kind:
        return DowelRule(one, by_kind[FastenerKind.DOWEL])
    if FastenerKind.SHELF_PIN in by_kind:
        return Rule(lambda action: pin_rules(one, action, by_kind[FastenerKind.SHELF_PIN]))
    if FastenerKind.BOLT in by_kind:
        return Rule(lambda action: bolt_rules(one, action, by_kind[FastenerKind.BOLT]))
    if FastenerKind.BRACKET in by_kind:
        raise NotKnownError("no strength of brackets is published: ask their maker")
    return Rule(lambda action: tongue_rules(one, action))
