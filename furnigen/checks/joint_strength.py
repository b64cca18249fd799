"""Will its joints hold: the joint that is used most, all that are used beyond what they bear, and what no
rule speaks of.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from furnigen.checks.boards import grouped, over_limit
from furnigen.checks.standing import MOST_USED
from furnigen.core.facts import FastenerKind, Joinery
from furnigen.core.finding import PASS, Finding, name_labels, not_estimated
from furnigen.strength.assess import Strength
from furnigen.strength.joints.check import JointResult

_STRONGER = {
    FastenerKind.SCREW: "more, thicker or longer screws, thicker boards, or a housing or tenon instead",
    FastenerKind.NAIL: "screws instead of nails",
    FastenerKind.DOWEL: "more or thicker dowels, or a housing or tenon instead",
    FastenerKind.SHELF_PIN: "less load on the shelf, a shorter shelf, thicker pins, or a housing or cleats",
    FastenerKind.BOLT: "more bolts, or barrel nuts further from the end",
    FastenerKind.SPLINE: "a thicker or deeper spline, or keys across the corner",
    FastenerKind.KEY: "more or thicker keys",
}
LITTLE_NM = 0.1
"""A smaller moment turns no joint. Our own choice."""
_WALL = "more fixings, each into a stud or with a plug its maker rates for this, or less load"
_WOOD = "a deeper or wider joint, thicker boards, glue, or screws and dowels besides"


def joint_findings(strength: Strength) -> Iterator[Finding]:
    """Joints used beyond what they bear, or the one nearest to it; and those of which nothing is
    published.
    """
    known = [j for j in strength.joints if j.known]
    for group in joints_alike(known):
        yield _finding(group, strength, len(known))
    yield from _unfixed(strength)
    groups: dict[str, list[JointResult]] = {}
    for one in strength.joints:
        if one.unknown and not one.known:
            groups.setdefault(one.unknown, []).append(one)
    for why, ones in groups.items():
        most = max(max((abs(c) for c in a.force), default=0.0) for j in ones for a in j.loaded.actions)
        yield not_estimated(
            "joint",
            "whether it holds",
            f"{_pairs(ones)}: {ones[0].loaded.joint.kind}, up to {most:.0f} N",
            why,
            "hold it against its maker's figure, or choose a joint that a rule speaks of",
        )


def _unfixed(strength: Strength) -> Iterator[Finding]:
    """Boards that hang on a wall by fixings that are not stated."""
    hung = {w.wall for w in strength.walls if w.hangs}
    fixed = {(j.loaded.joint.a, j.loaded.joint.b) for j in strength.joints}
    loose: dict[str, float] = {}
    for push in strength.stack.pushes:
        if push.by in hung and (push.by, push.label) not in fixed:
            loose[push.label] = loose.get(push.label, 0.0) + push.dead + push.live
    if loose:
        yield not_estimated(
            "joint",
            "whether its fixings into the wall hold",
            f"{name_labels(list(loose))}: {sum(loose.values()):.0f} N down",
            "no screws into the wall are stated",
            "state them with fix_to_wall, or hold yours against these figures",
        )


JointFamily = tuple[bool, Joinery, tuple[FastenerKind, ...]]
"""Whether it is into a wall, how its wood meets, and its kinds of fasteners."""


def family_of(one: JointResult) -> JointFamily:
    """What a joint is by its facts: joints of one family are looked at together."""
    joint = one.loaded.joint
    return one.loaded.a is None, joint.joinery, tuple(f.kind for f in joint.fasteners if f.sites)


def joints_alike(joints: Iterable[JointResult]) -> list[list[JointResult]]:
    """Joints used alike as groups, the most used first: all beyond what they bear, or else the worst
    alone.
    """
    found: dict[JointFamily, list[JointResult]] = {}
    for one in joints:
        if one.known:
            found.setdefault(family_of(one), []).append(one)
    groups = [g for of in found.values() for g in grouped(_worst(of), _used, lambda j: j.bears[0].value)]
    groups.sort(key=lambda g: -_used(g[0]))
    return [g for g in groups if _used(g[0]) > 1] or groups[:1]


def _worst(joints: list[JointResult]) -> list[JointResult]:
    """Those that a finding may name: beyond what they bear, or used most; of the others nothing is asked."""
    used = [round(_used(one), 4) for one in joints]
    least = min(1.0, max(used))
    return [one for one, share in zip(joints, used, strict=True) if share >= least]


def _used(one: JointResult) -> float:
    return min(one.used or 0.0, MOST_USED)


def _finding(group: list[JointResult], strength: Strength, count: int) -> Finding:
    worst = group[0]
    bears, used = worst.bears[0], _used(worst)
    joint = worst.loaded.joint
    over = used > 1
    labels = [label for one in group for label in (one.loaded.joint.a, one.loaded.joint.b)]
    own = [strength.carried.get(label) for label in labels]
    by = "" if bears.action == "load" else f", under {bears.action}"
    return Finding(
        "joint",
        over_limit(strength.carried, own) if over else PASS,
        bears.value,
        bears.allowed,
        bears.unit,
        f"{_pairs(group)}: {joint.kind}{_hardware(worst)}, {bears.what}{by}",
        f"{bears.source}. {_forces(worst)}. {count} joints carry load; the worst is shown{_drawn(strength)}",
        stronger(worst) if over else "",
        used,
    )


def stronger(one: JointResult) -> str:
    """What would make a joint bear more, in words."""
    if one.loaded.a is None:
        return _WALL
    kinds = [f.kind for f in one.loaded.joint.fasteners if f.sites]
    words = next((_STRONGER[k] for k in kinds if k in _STRONGER), _WOOD)
    if one.loaded.joint.joinery is Joinery.RABBET:
        words = "screws through the side into its end, or a housing: what carries should lie on wood"
    return words


def _hardware(one: JointResult) -> str:
    found = [
        f"{len(f.sites)} {f.kind.value}{'s' if len(f.sites) > 1 else ''}"
        f" {f.diameter_mm:.3g} x {f.length_mm:.3g} mm"
        for f in one.loaded.joint.fasteners
        if f.sites
    ]
    return f" ({', '.join(found)})" if found else ", glued" if one.loaded.joint.glued else ", dry"


def _forces(one: JointResult) -> str:
    loaded = one.loaded
    worst = next((a for a in loaded.actions if a.name == one.bears[0].action), loaded.actions[0])
    pull, side = worst.pull(loaded.seat), worst.shear(loaded.seat)
    ways = [f"{side:.0f} N sideways"] if side >= 1 else []
    ways += (
        [f"{abs(pull):.0f} N {'pulling apart' if pull > 0 else 'pressing together'}"]
        if abs(pull) >= 1
        else []
    )
    ways += [f"{worst.moment / 1000:.1f} N m turning"] if worst.moment > 0 else []
    dead = f"its own weight {abs(loaded.dead_n):.0f} N and load {abs(loaded.live_n):.0f} N"
    return f"{dead}: {', '.join(ways) or 'nothing'}"


def _drawn(strength: Strength) -> str:
    """What is not estimated of joints that turn with their boards, in words."""
    most = max((one.loaded.held_nmm for one in strength.joints), default=0.0) / 1000
    if most < LITTLE_NM:
        return ""
    return (
        ". Not estimated: whether joints bear the moments that their own stiffness draws to them with the"
        f" load, up to {most:.1f} N m, because they relax where a joint gives; sag counts that stiffness at"
        " its low end"
    )


def _pairs(group: list[JointResult]) -> str:
    """Which joints: what is joined to the same carriers together."""
    by: dict[str, list[str]] = {}
    for one in group:
        by.setdefault(one.loaded.joint.b, []).append(one.loaded.joint.a)
    on: dict[str, list[str]] = {}
    for label, others in by.items():
        on.setdefault(name_labels(list(dict.fromkeys(others))), []).append(label)
    return "; ".join(f"{name_labels(labels)} to {others}" for others, labels in on.items())
