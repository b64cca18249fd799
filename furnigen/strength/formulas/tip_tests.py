"""Published test loads for tipping, and one over the weakest front line of a piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import tan

from furnigen.catalogue.loads import GRAVITY, parse_load
from furnigen.catalogue.materials import Source
from furnigen.core.pose import Vector
from furnigen.core.quantities import parse_length
from furnigen.core.tables import look_up, read_table
from furnigen.strength.formulas.partial_loads import Goods, with_worst_goods
from furnigen.strength.formulas.tipping import TippingStability, TipResult, rear_slope, tip_over_line

SAFE_FACTOR = 1.5
"""Resisting over overturning moment asked of a test load. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class TipTest:
    """A published test load, or one of our own where none is published.

    Attributes:
        name, title: for the command line and for people.
        least_height: the test holds for pieces at least this tall, mm.
        pull_n: level pull outward, N; 0 for none.
        pull_height: at this height or the top, whichever is lower, mm.
        weight_n: weight on the front edge, N; 0 for none.
        rear_raised: how far the far feet are raised, mm.
        source: where from.
        note: what a careful reader must know.
    """

    name: str
    title: str
    least_height: float
    pull_n: float
    pull_height: float
    weight_n: float
    rear_raised: float
    source: Source
    note: str


def _test(row: dict[str, str]) -> TipTest:
    def length(column: str) -> float:
        return parse_length(row[column]) if row[column] else 0.0

    def force(column: str) -> float:
        return parse_load(f"{row[column]} spread").spread_kg * GRAVITY if row[column] else 0.0

    return TipTest(
        row["name"],
        row["title"],
        length("least_height"),
        force("pull"),
        length("pull_height"),
        force("weight"),
        length("rear_raised"),
        Source(row["source"], row["provenance"]),
        row["note"],
    )


@cache
def list_tests() -> tuple[TipTest, ...]:
    """Every test load, in the order of the table."""
    return tuple(_test(row) for row in read_table("tipping"))


def find_test(name: str) -> TipTest:
    """The test load called `name`.

    Raises: InputError for an unknown one, with the nearest.
    """
    return look_up("tipping test", name, {t.name: t for t in list_tests()})


def run_test(
    test: TipTest,
    standing: TippingStability,
    height: float,
    front_edge: Vector,
    goods: Sequence[Goods] = (),
) -> TipResult | None:
    """One test load over the weakest front line; None where the piece is too low for it, or has no front.

    Args:
        test: the test load.
        standing: how the piece stands, empty.
        height: of the piece, mm.
        front_edge: where the weight hangs: the front edge of a shelf, mm.
        goods: what may lie on it: whatever part of it makes the test worst.
    """
    fronts = standing.side("front")
    if height < test.least_height or not fronts:
        return None
    results = []
    for edge in fronts:
        slope = rear_slope(standing, edge, test.rear_raised)
        worst, line = with_worst_goods(standing, edge, goods, tan(slope))
        results.append(
            tip_over_line(
                worst,
                line,
                weight_n=test.weight_n,
                weight_at=front_edge,
                pull_n=test.pull_n,
                pull_height=min(test.pull_height, height),
                rear_raised=test.rear_raised,
            )
        )
    return min(results, key=lambda r: r.resisting - r.overturning)
