"""Check of wood movement: solid wood glued, screwed or shut in across its grain."""

from __future__ import annotations

from collections.abc import Iterable

from furnigen.construction.wood_movement import Restraint
from furnigen.core.finding import FAIL, PASS, WARN, Finding, stable_maximum
from furnigen.core.wording import in_words

GLUED_LIMIT_MM = 1.5
"""Movement a glued joint may hold, mm: that of cross-grain faces of about 100 mm (4 in) of a middling
hardwood over 6 to 12 % moisture (cherry: 100 x 0.00248 x 6). Common practice, no source."""
FASTENED_LIMIT_MM = 1.5
"""Movement that screws and dowels take up by bending and crushing, mm. Common practice, no source."""
TRAPPED_LIMIT_MM = 0.5
"""Movement a board without a gap takes up by crushing its edges, mm. Common practice, no source."""

MOVEMENT_LIMITS = {"glued": GLUED_LIMIT_MM, "fastened": FASTENED_LIMIT_MM, "trapped": TRAPPED_LIMIT_MM}
STATUS = {"glued": FAIL, "fastened": WARN, "trapped": WARN}


def check_movement(held: Iterable[Restraint]) -> list[Finding]:
    """What is held by more than it bears, with the slot or gap it needs; else the worst that was found."""
    held = list(held)
    findings = []
    for h in held:
        limit = MOVEMENT_LIMITS[h.how]
        if h.movement_mm > limit:
            findings.append(
                Finding(
                    f"wood-movement-{h.how}",
                    STATUS[h.how],
                    h.movement_mm,
                    limit,
                    "mm",
                    f"{h.label} and {', '.join(h.by)}",
                    f"limit: common practice, no source; movement: {h.source}",
                    _remedy(h),
                    labels=(h.label,),
                )
            )
    if not findings:
        if not held:
            return [
                Finding("wood-movement", PASS, 0.0, None, "mm", "", "no solid wood is held across its grain")
            ]
        worst = stable_maximum(held, lambda h: h.movement_mm / MOVEMENT_LIMITS[h.how])
        where = f"{worst.label} and {', '.join(worst.by)}"
        source = f"limit: common practice, no source; movement: {worst.source}"
        findings.append(
            Finding("wood-movement", PASS, worst.movement_mm, MOVEMENT_LIMITS[worst.how], "mm", where, source)
        )
    return findings


def _remedy(h: Restraint) -> str:
    moves = in_words(h.movement_mm)
    over = in_words(h.extent_mm)
    if h.how == "glued":
        most = in_words(h.extent_mm * GLUED_LIMIT_MM / h.movement_mm)
        return (
            f"{over} of glue across the grain hold {moves} of movement: glue no more than {most} of it and"
            f" fix the rest with screws in slots {moves} longer than the screw is thick, or use sheet goods"
        )
    if h.how == "fastened":
        return (
            f"it moves {moves} between its outer fasteners: fix one, in the middle or at the front, and give"
            f" the others slots {moves} longer than they are thick"
        )
    return f"it swells by {moves} over {over}: leave a gap of {moves} in all beside it"
