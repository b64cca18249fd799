"""Labels for narrow columns: those that differ in numbers or one word only, told together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from furnigen.cutting.cut_rows import CutRow

MOST_LABELS = 8
"""So many labels of one piece are written out; of more those alike are told together, and what is still more
than this is counted in a narrow column: the label pages and lists have them all."""
_Words = tuple[tuple[str, ...], ...]
"""A label by its words; of each, all that it may be."""


def short_labels(row: CutRow, labels: Sequence[str], most: int = MOST_LABELS) -> str:
    """Labels for a narrow column: without what their part's name says already, those alike together.

    >>> from furnigen import find_stock
    >>> from furnigen.cutting.cut_rows import Size
    >>> size = Size(600.0, 200.0, 17.6)
    >>> row = CutRow("rack shelf", (), find_stock("birch-ply-18"), size, size, True, piece="rack")
    >>> short_labels(row, ["rack-1.shelf.1", "rack-2.shelf.1", "rack-1.shelf.2"])
    'shelf.1 of 1-2, shelf.2 of 1'
    """
    if not row.piece:
        if len(labels) <= MOST_LABELS:
            return " ".join(labels)
        said = [".".join(map(_told, words)) for words in _together(_split(labels))]
    else:
        found = []
        for label in labels:
            copy, _, tail = label.removeprefix(row.piece).partition(".")
            found.append((*_word(tail), (copy.removeprefix("-"),)))
        said = []
        for *words, copies in _together(found):
            tail = ".".join(map(_told, words))
            said.append(f"{tail} of {_told(copies)}" if copies[0] else tail)
    more = f" and {len(said) - most} more" if len(said) > most else ""
    return (", " if row.piece else " ").join(said[:most]) + more


def _word(label: str) -> _Words:
    return tuple((w,) for w in label.split("."))


def _split(labels: Iterable[str]) -> list[_Words]:
    return [_word(label) for label in labels]


def _together(labels: Sequence[_Words]) -> list[_Words]:
    """Labels that differ in one place only become one, place by place from the last."""
    for place in range(1, max(map(len, labels), default=0) + 1):
        merged: dict[tuple[object, ...], tuple[_Words, list[str]]] = {}
        for words in labels:
            if len(words) < place:
                merged[words, len(words)] = (words, [])
                continue
            at = len(words) - place
            key = (words[:at], words[at + 1 :], words[at][0].isdecimal())
            values = merged.setdefault(key, (words, []))[1]
            values += [v for v in words[at] if v not in values]
        labels = [
            words
            if not values
            else (*words[: len(words) - place], tuple(sorted(values)), *words[len(words) - place + 1 :])
            for words, values in merged.values()
        ]
    return list(labels)


def _told(values: Sequence[str]) -> str:
    """All that a word may be: runs of numbers by their ends, words with strokes between.

    >>> _told(("1", "2", "3", "7")), _told(("back", "front"))
    ('1-3,7', 'back/front')
    """
    if not all(v.isdecimal() for v in values):
        return "/".join(values)
    numbers = sorted(map(int, values))
    starts = [numbers[0], *(b for a, b in pairwise(numbers) if b != a + 1)]
    ends = [*(a for a, b in pairwise(numbers) if b != a + 1), numbers[-1]]
    return ",".join(str(a) if a == b else f"{a}-{b}" for a, b in zip(starts, ends, strict=True))
