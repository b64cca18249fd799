"""Which candidates to try early, so that what they show rules many others out.

One that holds rules out all with a higher score; one that fails rules out all that are weaker. Tried all over
the range of scores, they leave a narrow band between.
"""

from __future__ import annotations

from collections.abc import Sequence

from furnigen.solve.grid import Grid

Entry = tuple[float, int, int]
"""Floor, stages still to come (as a negative depth), number of a candidate that waits."""


def spread(entries: Sequence[Entry], many: int) -> list[int]:
    """Candidates at equal shares of the range of scores, the last one too."""
    ranked = sorted(entries)
    return sorted({ranked[(len(ranked) - 1) * k // many][2] for k in range(1, many + 1)})


def around(grid: Grid, entries: Sequence[Entry], bases: int) -> list[int]:
    """Some candidates and their neighbours, a step off in one parameter: pairs that test its direction."""
    alive = {e[2] for e in entries}
    ranked = sorted(entries)
    found: dict[int, None] = {}
    for k in range(1, bases + 1):
        base = ranked[(len(ranked) - 1) * k // (bases + 1)][2]
        found[base] = None
        steps = grid.steps(base)
        for axis, (at, size) in enumerate(zip(steps, grid.sizes, strict=True)):
            if grid.ranks[axis] is None or size == 1:
                continue
            # the nearest three along the parameter make three pairs
            near = sorted(range(size), key=lambda p: (abs(p - at), p))[:3]
            moved = (grid.number((*steps[:axis], p, *steps[axis + 1 :])) for p in near)
            found |= dict.fromkeys(n for n in moved if n in alive)
    return list(found)
