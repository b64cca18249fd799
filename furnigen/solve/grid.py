"""The candidates: their numbers, values and neighbours."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from furnigen.catalogue.stock import find_stock
from furnigen.family.axes import Axis
from furnigen.family.family_file import Family
from furnigen.family.variants import Skipped, Variant, variant_of

Steps = tuple[int, ...]
"""Where a candidate stands on each axis, from 0."""


class Grid:
    """All candidates of a family; the last axis turns fastest.

    Attributes:
        family: the family.
        sizes: how many values each axis has.
        ranks: for each axis, the rank of each of its values by size; None where they have no order.
    """

    def __init__(self, family: Family) -> None:
        self.family = family
        self.sizes = tuple(len(a) for a in family.axes)
        self.ranks = tuple(_ranks(a, family) for a in family.axes)
        self._known: dict[int, Variant | None] = {}

    @property
    def count(self) -> int:
        """How many candidates the axes span, before any is left out."""
        return self.family.count

    def steps(self, number: int) -> Steps:
        """Where a candidate stands."""
        found = []
        for size in reversed(self.sizes):
            number, step = divmod(number, size)
            found.append(step)
        return tuple(reversed(found))

    def number(self, steps: Steps) -> int:
        """The candidate that stands there."""
        found = 0
        for size, step in zip(self.sizes, steps, strict=True):
            found = found * size + step
        return found

    def candidate(self, number: int) -> Variant | None:
        """The values of a candidate; None where [only] leaves it out.

        Raises: InputError when an expression can not be worked out.
        """
        if number not in self._known:
            found = variant_of(self.family, number)
            self._known[number] = None if isinstance(found, Skipped) else found
        return self._known[number]

    def members(self) -> Iterator[int]:
        """The candidates that are not left out."""
        return (n for n in range(self.count) if self.candidate(n) is not None)

    def line(self, steps: Steps, axis: int, most: int) -> list[int]:
        """Candidates that differ in one axis only: all, or `most` of them, closer ones nearby."""
        size, here = self.sizes[axis], steps[axis]
        places: set[int] = set(range(size))
        if size > most:
            places = {round(k * (size - 1) / (most // 2)) for k in range(most // 2 + 1)}
            reach = 1
            while len(places) < most and reach < size:
                places |= {p for p in (here - reach, here + reach) if 0 <= p < size}
                reach *= 2
        moved = (self.number((*steps[:axis], p, *steps[axis + 1 :])) for p in sorted(places))
        return [n for n in moved if self.candidate(n) is not None]

    def varied(self, number: int) -> dict[str, Any]:
        """What distinguishes a candidate from the others."""
        found = self.candidate(number)
        assert found is not None
        return {n: v for n, v in {**found.values, **found.helpers}.items() if n in self.family.varied}


def _ranks(axis: Axis, family: Family) -> tuple[int, ...] | None:
    """Ranks of the values of an axis: numbers by size, stock of one material by thickness."""
    if len(axis.names) != 1 or len(axis) > 100_000:
        return None
    values = [axis.row(k)[0] for k in range(len(axis))]
    if all(isinstance(v, int | float) and not isinstance(v, bool) for v in values):
        keys = values
    else:
        parameter = next((p for p in family.recipe.parameters if p.name == axis.names[0]), None)
        if parameter is None or parameter.kind != "stock":
            return None
        stocks = [find_stock(v) for v in values]
        if len({(s.material, s.kind) for s in stocks}) > 1:
            return None
        keys = [s.thickness_mm for s in stocks]
    order = sorted(set(keys))
    return tuple(order.index(k) for k in keys)
