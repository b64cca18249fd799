"""What is not checked: boards and shapes under load whose sag or twist is not worked out, each with its why.

Nothing that carries a load passes in silence: what has no result among the boards is listed here.
"""

from __future__ import annotations

from collections.abc import Iterator

from furnigen.catalogue.loads import EMPTY
from furnigen.construction.load_path import FLOOR
from furnigen.core.facts import Fact
from furnigen.core.finding import Finding, name_labels, not_estimated
from furnigen.strength.assess import LoadedBoards, Strength
from furnigen.strength.model.members import LEVEL, LUMP, RAIL, SLOPED, Member, turns_a_corner

TRY = "hold it against a trial of your own, with more load than it will carry"
COUNTS = "its weight and load count in all else"
LITTLE_NM = 0.1
"""A smaller moment twists nothing that one would see. Our own choice."""


def unchecked_findings(on: Strength | LoadedBoards) -> Iterator[Finding]:
    """Loaded boards and shapes of which no sag is known, by the reason."""
    known = {label for b in on.boards for label in (b.label, *b.span.others)}
    groups: dict[tuple[str, str], list[str]] = {}
    for label, body in on.bodies.items():
        carried = on.carried.get(label)
        loaded = carried is not None and carried.load.text != EMPTY.text
        if label in known or not (loaded or _may_carry(body)) or (loaded and _at_rest(on, label, body)):
            continue
        groups.setdefault(_why(body), []).append(label)
    for (why, remedy), labels in groups.items():
        yield not_estimated("sag-unknown", "sag and bending", name_labels(labels), why, remedy)


def _may_carry(body: Member) -> bool:
    """Whether a board that slopes may be a shelf: nobody says that it takes no goods."""
    return body.kind == SLOPED and Fact.TAKES_NO_GOODS not in body.facts


def _at_rest(on: Strength | LoadedBoards, label: str, body: Member) -> bool:
    """Whether a board has no sag to speak of: it lies on the floor, or on all that carries it, or is part of
    what hangs on a wall, whose uprights hold the front of the top."""
    if body.kind != LEVEL or turns_a_corner(body.form):
        return False
    return on.ground.hangs or any(place.by == FLOOR for place in on.ground.places[label])


def _why(body: Member) -> tuple[str, str]:
    """Why no sag of a body is known, and what to do."""
    if body.kind == SLOPED:
        return (
            f"it slopes by 5 degrees or more, and boards are worked out level; {COUNTS}",
            TRY,
        )
    if body.kind == LUMP:
        return (
            "it has a shape of its own, whose section is not known; its weight and load count in all else",
            TRY,
        )
    if turns_a_corner(body.form):
        return (
            f"it turns a corner: it twists as well as bends, and is no beam; {COUNTS}",
            "carry it at both ends and along the wall in its corner, or divide it into two boards",
        )
    return (
        "it is carried along one edge, or lies on nearly all of what carries it, and sag is worked out"
        " between two places or beyond one",
        "carry it at both ends, or ask the maker of what holds it how much it bears",
    )


def twist_findings(strength: Strength) -> Iterator[Finding]:
    """Rails and boards that a cantilever twists: they are beams here, and no twist is worked out."""
    twisted: dict[str, float] = {}
    for board in strength.boards:
        turned = board.resting.turned
        if turned is None:
            continue
        for place in board.span.stations[0].places:
            carrier = strength.bodies.get(place.by)
            if carrier is not None and carrier.kind in (RAIL, LEVEL) and turned.moment > LITTLE_NM * 1000:
                twisted[place.by] = max(twisted.get(place.by, 0.0), turned.moment)
    if twisted:
        most = max(twisted.values()) / 1000
        yield not_estimated(
            "twist",
            "whether it twists",
            f"{name_labels(list(twisted))}: by up to {most:.1f} N m",
            "what is carried at one place turns it about its length, and rails and boards are beams here",
            "carry what hangs on it at a second place, or hang it on an upright",
        )
