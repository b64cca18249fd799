"""Will its uprights and legs hold: findings on pressing and buckling, joints of legs, thrust, feet."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from furnigen.checks.boards import KNOWN, grouped, over_limit, unknown_strength
from furnigen.checks.standing import MOST_USED
from furnigen.construction.load_path import FLOOR
from furnigen.core.finding import PASS, WARN, Finding, name_labels, not_estimated, stable_maximum
from furnigen.core.wording import in_words
from furnigen.strength.assess import Strength
from furnigen.strength.formulas.column import FLOOR_FRICTION, find_end_condition, foot_mpa
from furnigen.strength.members.legs import LegJoint
from furnigen.strength.members.posts import Post
from furnigen.strength.members.stability import LIFTS_N
from furnigen.strength.model.members import LEG, Member

STRONGER = {"N/mm2": "a thicker or deeper tenon", "N": "longer or more screws, a tenon instead of them"}
"""What makes the joint of a leg bear more, by the unit of what it bears."""
SLIPPERY = 0.4
"""Friction that no floor is sure to have. Common practice, no source."""


def upright_findings(strength: Strength) -> Iterator[Finding]:
    """Uprights and legs pressed and bent beyond what they bear, or the one nearest to it."""
    known = [p for p in strength.posts if p.pressed is not None]
    for group in grouped(known, _post_used, lambda p: p.axial_n):
        p = group[0]
        used = _post_used(p)
        over = used > 1
        held = find_end_condition(p.ends)
        words = f"{name_labels([one.label for one in group])}: {p.axial_n:.0f} N from {in_words(p.low)} to"
        words += f" {in_words(p.high)}"
        bent = [
            f"{m / 1000:.1f} N m {by}"
            for m, by in ((p.moment, "beside it"), (p.from_lean, "by its lean"))
            if m > 0
        ]
        yield Finding(
            "upright",
            over_limit(strength.carried) if over else PASS,
            used,
            1.0,
            "",
            words + "".join(f", {one}" for one in bent),
            f"pressing and bending together (EN 1995-1-1 6.3.2); ends: {p.ends} ({p.why_ends}), Euler's K"
            f" {held.used:g} ({held.source}); strength: {_basis(strength.bodies[p.label])}",
            _firmer(strength.bodies[p.label].kind) if over else "",
            used,
            labels=tuple(one.label for one in group),
        )
    yield from _unknown(strength)


def _basis(body: Member) -> str:
    """What the strength of an upright is that of, in words."""
    return body.material.strength_source.text


def _unknown(strength: Strength) -> Iterator[Finding]:
    """What presses on uprights of whose wood no strength is known."""
    posts = [p for p in strength.posts if p.pressed is None]
    if posts:
        most = max(p.axial_n for p in posts)
        yield not_estimated(
            "upright",
            "whether it breaks or buckles",
            f"{name_labels([p.label for p in posts])}: the largest load is {most:.0f} N",
            unknown_strength(strength.bodies[p.label].material.name for p in posts),
            KNOWN,
        )


def _firmer(kind: str) -> str:
    """What would make an upright or a leg hold."""
    if kind == LEG:
        return "thicker legs, less lean, or stretchers between them"
    return "a thicker upright, or a level that holds it halfway"


def _post_used(p: Post) -> float:
    assert p.pressed is not None
    return min(p.pressed.used, MOST_USED) if p.pressed.amplifier < inf else MOST_USED


def leg_findings(strength: Strength) -> Iterator[Finding]:
    """The joints of leaning legs, and whether their feet slide."""
    if not strength.legs:
        return
    counted = strength.demands.floor_friction
    friction = "statics of a leaning leg, " + (
        f"floor friction {counted:g} as stated" if counted else "no friction of the floor counted on"
    )
    unknown = next((leg for leg in strength.legs if leg.used is None), None)
    if unknown is not None:
        yield not_estimated(
            "leg-joint",
            "whether it holds",
            f"{unknown.label}: it must take {unknown.held / 1000:.1f} N m ({friction})",
            unknown.unknown or "no strength of its wood is known",
            "join the legs, and see that the joint takes this moment",
        )
    else:
        worst = stable_maximum(strength.legs, lambda leg: leg.used or 0.0)
        bears, used = worst.bears[0], worst.used or 0.0
        over = used > 1
        yield Finding(
            "leg-joint",
            over_limit(strength.carried) if over else PASS,
            bears.value,
            bears.allowed,
            bears.unit,
            f"{worst.label}: {bears.what}, from {worst.held / 1000:.1f} N m{_by_friction(worst)}",
            f"{friction}; {bears.source}",
            f"{STRONGER[bears.unit]}, less lean, or stretchers between the legs" if over else "",
            used,
        )
    slope = max(leg.leaned.friction for leg in strength.legs)
    leg = stable_maximum(strength.legs, lambda one: one.leaned.thrust)
    slides = slope > SLIPPERY
    yield Finding(
        "leg-thrust",
        WARN if slides else PASS,
        leg.leaned.thrust,
        None,
        "N",
        f"{leg.label}: pushes outward with {leg.leaned.thrust:.0f} N. A stretcher between the feet would have"
        f" to take that; without one the joint at its top takes {leg.leaned.moment / 1000:.1f} N m, unless"
        f" the floor's friction is at least {slope:.2f}",
        friction,
        "tie the feet with stretchers, or lean the legs less" if slides else "",
    )


def _by_friction(leg: LegJoint) -> str:
    """What the floor's friction takes, or would take, in words."""
    taken = (leg.leaned.moment - leg.held) / 1000
    if taken > 0:
        return f"; the floor takes {taken:.1f} N m by its friction"
    left = leg.leaned.held(FLOOR_FRICTION) / 1000
    return f"; on a floor of friction {FLOOR_FRICTION:g} (from memory) it would be {left:.1f} N m"


def foot_findings(strength: Strength) -> Iterator[Finding]:
    """The foot that presses hardest on the floor, and feet that would lift off it."""
    pressed: dict[str, float] = {}
    area: dict[str, float] = {}
    for foot in strength.feet:
        if foot.ground == FLOOR:
            pressed[foot.label] = pressed.get(foot.label, 0.0) + foot.newton
            area[foot.label] = max(area.get(foot.label, 0.0), foot.area)
    if pressed:
        pressures = {label: foot_mpa(max(n, 0.0), area[label]) for label, n in pressed.items()}
        label = stable_maximum(sorted(pressures), pressures.__getitem__)
        yield Finding(
            "foot-pressure",
            PASS,
            pressures[label],
            None,
            "N/mm2",
            f"{label}: {pressed[label]:.0f} N",
            "load on its contact with the floor; soft floors dent",
        )
    pulled: dict[str, float] = {}
    for foot in strength.feet:
        if foot.ground == FLOOR and foot.two_way < -LIFTS_N:
            pulled[foot.label] = pulled.get(foot.label, 0.0) - foot.two_way
    if pulled:
        label = stable_maximum(sorted(pulled), pulled.__getitem__)
        yield Finding(
            "foot-lifts",
            WARN,
            pulled[label],
            0.0,
            "N",
            f"{name_labels(list(pulled))}: lifts off the floor where it would have to be held down",
            "statics of its feet: a floor pushes, it does not pull; the others carry the piece",
            "move a foot or the load so that every foot is pressed down, or fix the foot to the floor",
        )
