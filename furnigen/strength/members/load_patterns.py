"""Which stretches of a board are full while others stand empty.

A board over several supports is bent most within a bay with that and every other bay full. It is bent most
over a support, and presses it hardest, with the two bays beside it full and every other one from there on; it
presses that support least, or lifts off it, with just the others full (influence lines of the continuous
beam). Single bays and pairs come besides, for boards that may lift off. tests/strength/test_load_patterns.py
tries all subsets.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from furnigen.core.caches import STRENGTH_WORDS, kept

Bays = tuple[tuple[float, float], ...]
"""From where to where each stretch of a shelf reaches that may be loaded apart, mm."""
Pattern = tuple[str, tuple[int, ...]]
"""Which bays are full: in words, and by index."""

SHORTEST_BAY_MM = 80.0
"""Nothing is loaded onto a shorter stretch apart from its neighbours. Our own choice."""


def bays_between(places: Iterable[float], length: float) -> Bays:
    """The stretches of a board that may be loaded apart, from end to end: overhangs and spans (mm).

    Supports closer than SHORTEST_BAY_MM, such as the two edges of one post, part the bays once.
    """
    cuts = sorted({0.0, length, *(min(max(at, 0.0), length) for at in places)})
    groups = [[cuts[0]]]
    for cut in cuts[1:]:
        if cut - groups[-1][-1] < SHORTEST_BAY_MM:
            groups[-1].append(cut)
        else:
            groups.append([cut])
    inner = [sum(g) / len(g) for g in groups if 0.0 not in g and length not in g]
    return tuple(pairwise([0.0, *inner, length]))


def full_runs(full: Sequence[int]) -> list[tuple[int, int]]:
    """First and last of bays that are full side by side."""
    runs: list[tuple[int, int]] = []
    for i in full:
        if runs and i == runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], i)
        else:
            runs.append((i, i))
    return runs


def _in_words(count: int, sets: Iterable[Iterable[int]]) -> dict[tuple[int, ...], str]:
    """Each set once, with words for it."""
    found: dict[tuple[int, ...], str] = {}
    for one in sets:
        full = tuple(sorted(one))
        if full not in found:
            names = ", ".join(str(i + 1) for i in full)
            words = f"bay{'s' * (len(full) > 1)} {names}" if full else "no bay"
            found[full] = "all bays" if len(full) == count else words
    return found


def _beside(count: int, i: int) -> set[int]:
    """Bays i and i + 1, and every other one from there on."""
    return {*range(i, -1, -2), *range(i + 1, count, 2)}


@kept(STRENGTH_WORDS)
def patterns(count: int) -> tuple[Pattern, ...]:
    """The loadings of `count` bays that may bend a board most, all bays full first and none last.

    >>> [words for words, _ in patterns(3)]
    ['all bays', 'bays 1, 3', 'bay 2', 'bay 1', 'bay 3', 'bays 1, 2', 'bays 2, 3', 'no bay']
    """
    sets: list[Iterable[int]] = [range(count), range(0, count, 2), range(1, count, 2)]
    sets += [(i,) for i in range(count)]
    sets += [(i, i + 1) for i in range(count - 1)]
    found = _in_words(count, (one for one in sets if tuple(one)))
    return (*((words, full) for full, words in found.items()), ("no bay", ()))


@kept(STRENGTH_WORDS)
def patterns_over_supports(count: int) -> tuple[Pattern, ...]:
    """What comes besides `patterns` for the moment over each support and for its reaction.

    >>> [words for words, _ in patterns_over_supports(4)]
    ['bays 1, 2, 4', 'bays 1, 3, 4', 'bays 1, 4']
    """
    known = {full for _, full in patterns(count)}
    beside = [_beside(count, i) for i in range(count - 1)]
    sets = [*beside, *({*range(count)} - one for one in beside)]
    found = _in_words(count, sets)
    return tuple((words, full) for full, words in found.items() if full not in known)
