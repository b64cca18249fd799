"""What level boards carry: findings on those of which nothing is said, for nothing passes in silence."""

from __future__ import annotations

from collections.abc import Iterator

from furnigen.construction.load_path import FLOOR
from furnigen.core.facts import Fact
from furnigen.core.finding import Finding, name_labels, not_estimated
from furnigen.core.wording import in_words
from furnigen.drafting.goods import GOODS, NARROW_MM, is_narrow
from furnigen.strength.assess import LoadedBoards, Strength
from furnigen.strength.model.demands import STANDARD
from furnigen.strength.model.members import LEVEL, LUMP

SAY_LOAD = "say what it carries, with --load or in the recipe"
SAY_EITHER = f"{SAY_LOAD}, or that it takes no goods"


def load_findings(on: Strength | LoadedBoards) -> Iterator[Finding]:
    """Boards whose load is assumed, boards that carry nothing, shapes whose load can not be reckoned."""
    assumed = [label for label, carried in on.carried.items() if not carried.said]
    if assumed:
        why = f"nothing is said of its use; the checks assume {STANDARD}"
        yield not_estimated("load", "what really lies on it", name_labels(assumed), why, SAY_LOAD)
    narrow, covered = _idle(on)
    if narrow:
        why = f"it is narrower than {in_words(NARROW_MM)}, and no load is said of it"
        yield not_estimated("load", "what lies on it", name_labels(narrow), why, SAY_EITHER)
    if covered:
        why = "it has no room above it, and no load is said of it"
        yield not_estimated("load", "what lies on it", name_labels(covered), why, SAY_EITHER)
    odd = [
        label
        for label, b in on.bodies.items()
        if b.kind == LUMP and Fact.TAKES_GOODS in b.facts and label not in on.carried
    ]
    if odd:
        why = "it has a shape of its own, and no load is said of it"
        yield not_estimated("load", "what lies on it", name_labels(odd), why, SAY_LOAD)
    if not on.carried and not odd:
        why = "no board of it takes goods, and no load is said of one"
        yield not_estimated("load", "what it carries", "", why, "say of a level board that it takes goods")


def _idle(on: Strength | LoadedBoards) -> tuple[list[str], list[str]]:
    """Level boards that carry nothing but themselves and of which nothing is said: narrow, and covered."""
    narrow: list[str] = []
    covered: list[str] = []
    for board in on.boards:
        body = on.bodies[board.label]
        idle = board.carried is None and not board.resting.carried and not body.facts & GOODS
        floor = any(place.by == FLOOR for place in on.ground.places[board.label])
        if body.kind == LEVEL and idle and not floor:
            (narrow if is_narrow(body.form) else covered).append(board.label)
    return narrow, covered
