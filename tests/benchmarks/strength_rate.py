"""Rates of candidates as a search works them out, measured in one run.

python tests/benchmarks/strength_rate.py        prints them

All strength checks with joints of a rack: one piece after another on one core, in one process with its
imports done, nothing kept of the piece before, no remedies; against two workers of a search. Both make the
piece from its recipe. They are run in turn and compared pair by pair, since shared machines drift.

That baseline lies between the two ways in which a person would do it, in processor time for each rack: a
command each (`furnigen check ring_rack ... --only sag,strength,standing`) 0.86 s, most of it the start; this
one 0.104 s; a loop over `Built(piece).findings_of(...)`, whose caches stay warm, 0.079 s; one worker 0.069 s,
or 0.052 s where a stage before has made the piece. (All on a busy machine.)
"""

from __future__ import annotations

import os
import random
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Any

from timing import IMPORT_KERNEL, run

CHECKS = ("sag", "strength", "standing")
RACK = """
recipe = "ring_rack"
[vary]
width = [1800, 1900, 2000, 2100, 2200, 2300]
depth = [300, 350, 400]
frames = [3, 4, 5]
shelves = [3, 4, 5]
member = [50, 60, 70]
shelf_board = ["birch-ply-12-2440", "birch-ply-15-2440"]
[goal]
minimise = "mass"
"""
"""972 racks of 40 to 75 placements: wider and shallower ones, of more frames, of other boards."""
SHELF = """
recipe = "leaning_shelf"
cap = 20000
[vary]
width = { from = 600, to = 1000, count = 100 }
shelves = [2, 3, 4, 5]
height = { from = 1700, to = 2180, count = 25 }
[goal]
minimise = "mass"
"""
"""10,000 leaning shelves of 4 to 7 parts."""


@dataclass(frozen=True)
class Search:
    """Candidates of a goal file and the workers that work them out."""

    space: Any
    workers: Any

    def rate(self, numbers: list[int], stage: str) -> float:
        """Candidates a second, all of them worked out to a stage."""
        from furnigen.solve.setup import Trial

        made = [self.space.grid.candidate(n) for n in numbers]
        trials = [Trial(n, str(n), one.values, stage=stage) for n, one in zip(numbers, made, strict=True)]
        start = time.perf_counter()
        found = list(self.workers.run(trials))
        seconds = time.perf_counter() - start
        assert len(found) == len(numbers)
        assert not [one for one in found if one.status == "crashed"]
        return len(numbers) / seconds


@contextmanager
def searched(text: str, workers: int) -> Iterator[Search]:
    """A search of a goal file by some workers."""
    from furnigen.family.engine import Choice, engine
    from furnigen.solve.goal_file import read_goal_file
    from furnigen.solve.search import space_of

    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "goal.toml"
        file.write_text(text)
        space = space_of(read_goal_file(file))
    with engine(Choice(workers), space.setup, 1 << 30) as made:
        yield Search(space, made)


def one_after_another(search: Search, numbers: list[int]) -> float:
    """Pieces a second on one core, each worked out with nothing kept of those before."""
    from furnigen.core.caches import forget_all
    from furnigen.pipeline.built import Built

    recipe = search.space.asked.family.recipe
    made = [search.space.grid.candidate(n) for n in numbers]
    start = time.perf_counter()
    for one in made:
        forget_all()
        Built(recipe(**one.values)).findings_of(CHECKS)
    return len(numbers) / (time.perf_counter() - start)


@dataclass(frozen=True)
class Rates:
    """Racks a second.

    Attributes:
        one: one after another on one core.
        two: by two workers.
        gain: how many times that is, the median of pairs.
    """

    one: float
    two: float
    gain: float


def rack_rates(pairs: int = 3, few: int = 12, many: int = 96) -> Rates:
    """All strength of varied racks, as a search meets them."""
    chance = random.Random(1)
    with searched(RACK, 2) as search:
        fit = list(search.space.numbers)
        chance.shuffle(fit)
        search.rate(fit[:32], "strength")  # workers start, and learn the boards there are
        one_after_another(search, fit[:2])
        ones, twos = [], []
        for k in range(pairs):
            ones.append(one_after_another(search, fit[k * few : (k + 1) * few]))
            twos.append(search.rate(sorted(fit[100 + k * many : 100 + (k + 1) * many]), "strength"))
    gains = [two / one for one, two in zip(ones, twos, strict=True)]
    return Rates(median(ones), median(twos), median(gains))


def shelf_seconds(every: int = 1) -> float:
    """Seconds for 10,000 leaning shelves: sizes, mass, parts and sag, on two cores.

    They are worked out in the rounds of a search whose goal is known once sag is: some are described, then
    their sag is found, then the next.

    Args:
        every: only each so many is worked out, and the time multiplied.
    """
    from furnigen.solve.best_first import ROUND
    from furnigen.solve.setup import FIT, SAG

    start = time.perf_counter()
    with searched(SHELF, 2) as search:
        numbers = list(search.space.numbers)[::every]
        for described in _chunks(numbers, ROUND[FIT]):
            search.rate(described, FIT)
            for few in _chunks(described, ROUND[SAG]):
                search.rate(few, SAG)
    return (time.perf_counter() - start) * every


def _chunks(numbers: list[int], size: int) -> Iterator[list[int]]:
    return (numbers[k : k + size] for k in range(0, len(numbers), size))


def main() -> None:
    """Print all of it."""
    rates = rack_rates()
    kernel = median(run(IMPORT_KERNEL).seconds for _ in range(3))
    print(f"racks a second, one after another on one core   {rates.one:8.1f}")
    print(f"racks a second, a search on two cores           {rates.two:8.1f}   {rates.gain:.1f} times")
    print(f"one rack on two cores / import cadquery         {1 / rates.two / kernel:8.4f}")
    print(f"10,000 leaning shelves, sizes, mass, parts, sag {shelf_seconds():8.1f} s")


if __name__ == "__main__":
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    sys.path.insert(0, str(Path(__file__).parent))
    main()
