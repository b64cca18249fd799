"""Small words of a booklet: names in a row, directions as a person says them."""

from __future__ import annotations

from collections.abc import Iterable

from furnigen.core.pose import Vector
from furnigen.formats.report_construction import WAY_NAMES

SLANT = 0.02
"""Smaller components of a direction are left out."""
_PUSHED = {
    (0, -1): "Push {what} straight to the left{onto}.",
    (0, 1): "Push {what} straight to the right{onto}.",
    (1, -1): "Push {what} from behind straight toward the front{onto}.",
    (1, 1): "Push {what} from the front straight toward the back{onto}.",
    (2, -1): "Lower {what} straight down{onto}.",
    (2, 1): "Push {what} straight up from below{onto}.",
}
"""By axis of the room and sign."""


def sentence(text: str) -> str:
    """Text that begins with a capital.

    >>> sentence("drill driver")
    'Drill driver'
    """
    return text[:1].upper() + text[1:]


def listed(names: Iterable[str], most: int = 0) -> str:
    """Names in a sentence; where there are more than `most`, the others are counted.

    >>> listed(["a", "b", "c"]), listed(["a", "b", "c", "d"], 2)
    ('a, b and c', 'a, b and 2 more')
    """
    all_names = list(names)
    if most and len(all_names) > most + 1:
        all_names = [*all_names[:most], f"{len(all_names) - most} more"]
    if len(all_names) < 2:
        return "".join(all_names)
    return f"{', '.join(all_names[:-1])} and {all_names[-1]}"


def way_words(way: Vector) -> str:
    """A direction of the room as a person says it.

    >>> way_words((0.0, 0.0, -1.0))
    'down'
    >>> way_words((0.087, -0.052, 0.995))
    'up, slanting a little to the right and to the front'
    """
    shares = sorted(((abs(c), k) for k, c in enumerate(way) if abs(c) > SLANT), reverse=True)
    words = []
    for _, k in shares:
        unit = tuple((1.0 if way[k] > 0 else -1.0) if i == k else 0.0 for i in range(3))
        words.append(WAY_NAMES[unit[0], unit[1], unit[2]])
    if len(words) == 1:
        return words[0]
    if shares[0][0] - shares[-1][0] < SLANT:
        return "slanting " + " and ".join(words)
    return f"{words[0]}, slanting a little {' and '.join(words[1:])}"


def pushed(what: str, way: Vector, onto: str) -> str:
    """How something is brought home, as a sentence.

    Args:
        onto: what it goes onto; empty for nothing.

    >>> pushed("shelf.1", (0.0, -1.0, 0.0), "upright.1")
    'Push shelf.1 from behind straight toward the front, onto upright.1.'
    """
    to = f", onto {onto}" if onto else ""
    main = [k for k, c in enumerate(way) if abs(c) > SLANT]
    if len(main) == 1:
        sign = 1 if way[main[0]] > 0 else -1
        return _PUSHED[main[0], sign].format(what=what, onto=to)
    return f"Bring {what} {way_words(way)}{to}, in a straight line."
