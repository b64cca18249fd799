"""Does it sway: findings on a push sideways."""

from __future__ import annotations

from collections.abc import Iterator

from furnigen.checks.boards import over_limit
from furnigen.checks.standing import MOST_USED
from furnigen.core.finding import PASS, WARN, Finding, name_labels
from furnigen.core.wording import marked
from furnigen.strength.assess import Strength
from furnigen.strength.members.sway import Sideways

FOLDS = "fix a back or a diagonal brace, stiffer joints, or anchor it to the wall"
JOINTS = "only its joints resist a push sideways: a back, a brace or a wall anchor would make it stiff"
LEGS = "only the joints of its legs resist a push sideways: shorter or thicker legs, or stretchers between"
SWAY_LEAST = 2.0
"""How many times its weight and load a piece should carry before it folds sideways. Our own choice."""
HOLDS = {
    "joints": "its joints hold",
    "a back": "the back holds",
    "its own panels": "its own panels hold",
    "legs": "its legs hold",
    "the wall": "the wall holds",
}
"""What resists, by `Sideways.by`, as the beginning of a sentence."""


def sideways_findings(strength: Strength) -> Iterator[Finding]:
    """What resists a push each way, and how far from folding the piece is."""
    if strength.sideways and all(one.by == "the wall" for one in strength.sideways):
        yield Finding("sideways", PASS, 1, None, "wall", "", "a wall takes a push sideways", title="racking")
        return
    for one in strength.sideways:
        panels = f" ({name_labels(one.panels)})" if one.panels else ""
        where = f"{one.way}: {HOLDS[one.by]} {_times(one.safety)} x the load ({SWAY_LEAST:g} needed){panels}"
        weak = one.safety < SWAY_LEAST
        if not strength.joined:
            status = WARN
            remedy = "the piece declares no joints: join its parts to know how stiff it is sideways"
        elif one.safety < 1:
            status = over_limit(strength.carried)
            remedy = LEGS if one.by == "legs" else FOLDS + _would(one)
        elif one.by == "joints" or weak:
            status = WARN
            remedy = LEGS if one.by == "legs" else JOINTS + _would(one)
        else:
            status, remedy = PASS, ""
        yield Finding(
            "sideways",
            status,
            min(one.safety, MOST_USED),
            SWAY_LEAST,
            "times",
            where,
            "its weight and load times this would fold it, K h / W; " + _assumed(one),
            remedy,
            min(SWAY_LEAST / one.safety if one.safety > 0 else MOST_USED, MOST_USED),
            least=True,
            title=f"racking {one.way}",
        )


def _times(safety: float) -> str:
    """How many times its weight and load, in words: no more digits than it is known to."""
    many = f"{min(safety, MOST_USED):.{0 if safety >= 10 else 1}f}"
    return f"more than {many}" if safety > MOST_USED else many


def _assumed(one: Sideways) -> str:
    """What was taken of joints, and both ends of what follows, in words."""
    if not one.joint:
        return "its boards bend and shear in their own plane, and stand on their whole foot"
    ends = [_times(safety) for safety in (one.safety, one.at_best)]
    return (
        f"pinned feet; joints: {one.joint}; from the soft to the stiff end of that range it is {ends[0]} to"
        f" {ends[1]} times, and it is judged at the soft end"
    )


def _would(one: Sideways) -> str:
    """What a back and a brace would make of it, a line each."""
    return "".join(
        f"\n{marked(w.what)}: it would hold {_times(w.safety)} times its weight and load" for w in one.would
    )
