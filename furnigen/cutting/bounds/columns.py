"""Column generation: a proven bound on cost, and whole numbers of the cuttings found on the way.

Take whole weights p of parts, none negative, and let z be the most weight any cutting of a sheet of cost c
holds (a `Pricer` says it exactly). Then every weight costs at least c / z, whatever made the weights: the
linear program only proposes them.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from fractions import Fraction
from math import ceil
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from furnigen.cutting.effort import Effort

FINE = 1 << 34
"""Weights are rounded down to whole numbers of 1 / FINE of the dearest sheet's cost."""

Counts = tuple[int, ...]
KEPT = 2
"""Cuttings kept for each part while rounding goes on."""


@contextmanager
def quiet() -> Iterator[None]:
    """Nothing is written to standard output: the solver's library has lines of debugging it prints there."""
    sys.stdout.flush()
    kept = os.dup(1)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


class Stock(Protocol):
    """A kind of sheet or bar: its cost, and how many there are."""

    @property
    def cost(self) -> int:
        """Cost of one."""

    @property
    def copies(self) -> int:
        """How many there are."""


class Pricer(Protocol):
    """Finds the best cutting of one kind of sheet or bar."""

    work: int
    """Additions one call takes, roughly."""

    def best(
        self, weights: NDArray[np.int64], wanted: NDArray[np.int64]
    ) -> tuple[int, list[tuple[Counts, object]]]:
        """A weight no cutting exceeds, and good cuttings: how many of each part, and how to cut it."""


def proven_cost(weight: int, best: Sequence[int], kinds: Sequence[Stock], wanted: Sequence[int]) -> Fraction:
    """The cost that weights prove: weight of all parts wanted, best weight of a sheet of each kind.

    With a price of r for a unit of weight, sheets that give more weight than they cost are worth having:
    their surplus counts for each copy there is. The best r is one at which some kind breaks even.
    """
    prices = {Fraction(k.cost, z) for k, z in zip(kinds, best, strict=True) if z > 0}
    total = sum(wanted)
    proven = Fraction(0)
    for r in prices:
        cost = r * weight
        for k, z in zip(kinds, best, strict=True):
            surplus = r * z - k.cost
            if surplus > 0:
                cost -= surplus * min(k.copies, total)
        proven = max(proven, cost)
    return proven


def whole_numbers(
    costs: NDArray[np.float64], rows: NDArray[np.float64], sides: NDArray[np.float64], nodes: int
) -> list[int]:
    """Whole numbers from 0 of least cost with rows @ x <= sides, as good as found within so many nodes; []
    if none."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    with quiet():
        answer = milp(
            costs,
            integrality=np.ones(len(costs)),
            bounds=Bounds(0, np.inf),
            constraints=LinearConstraint(rows, -np.inf, sides),
            options={"node_limit": nodes, "mip_rel_gap": 0.0},
        )
    return [] if answer.x is None else [round(x) for x in answer.x]


class Columns:
    """Column generation, continued as long as work is allowed.

    Args:
        stocks: kinds of sheet or bar.
        wanted: how many of each part.
        pricers: one for each kind.
    """

    def __init__(self, stocks: Sequence[Stock], wanted: Sequence[int], pricers: Sequence[Pricer]) -> None:
        self._stocks, self._wanted, self._pricers = stocks, list(wanted), pricers
        self._limited = [t for t, k in enumerate(stocks) if k.copies < sum(wanted)]
        self._known: dict[tuple[int, Counts], object] = {}
        self._dearest = max(1, *(k.cost for k in stocks))
        self.proven = Fraction(0)
        self.converged = False

    def add(self, kind: int, counts: Counts, how: object = None) -> bool:
        """Note a cutting; False if it is known."""
        if (kind, counts) in self._known:
            return False
        self._known[kind, counts] = how
        return True

    @property
    def cost(self) -> int:
        """The cost proven so far."""
        return ceil(self.proven)

    def _program(
        self, columns: list[tuple[int, Counts]], wanted: NDArray[np.int64], copies: list[int]
    ) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """Costs (shares of the dearest), rows and sides (at most) of the linear program."""
        costs = np.array([self._stocks[t].cost / self._dearest for t, _ in columns], float)
        rows = [-np.array([c for _, c in columns], float).T]
        sides = [-wanted.astype(float)]
        if self._limited:
            rows.append(np.array([[float(t == k) for t, _ in columns] for k in self._limited]))
            sides.append(np.array([copies[k] for k in self._limited], float))
        return costs, np.vstack(rows), np.concatenate(sides)

    def _propose(
        self, columns: list[tuple[int, Counts]], wanted: NDArray[np.int64], copies: list[int]
    ) -> tuple[NDArray[np.float64], NDArray[np.int64], dict[int, float]] | None:
        """Solve the linear program: numbers of the cuttings, weights of the parts, prices of limited
        kinds."""
        from scipy.optimize import linprog

        costs, rows, sides = self._program(columns, wanted, copies)
        answer = linprog(costs, A_ub=rows, b_ub=sides, method="highs")
        if answer.status != 0:
            return None
        marginals = -answer.ineqlin.marginals
        n = len(wanted)
        weights = np.floor(np.maximum(marginals[:n], 0.0) * FINE).astype(np.int64)
        return (
            answer.x,
            weights,
            {k: self._dearest * max(0.0, marginals[n + j]) for j, k in enumerate(self._limited)},
        )

    def _price(
        self, weights: NDArray[np.int64], wanted: NDArray[np.int64], extra: dict[int, float]
    ) -> tuple[list[int], list[tuple[int, Counts, object]], int]:
        """Best weights of the kinds, cuttings worth more than they cost, work done."""
        best, worthy, done = [], [], 0
        for t, pricer in enumerate(self._pricers):
            z, found = pricer.best(weights, wanted)
            done += pricer.work
            best.append(z)
            price = self._stocks[t].cost + extra.get(t, 0.0)
            for counts, how in found:
                if float(np.dot(counts, weights)) * self._dearest / FINE > price + 1e-7 * self._dearest:
                    worthy.append((t, counts, how))
        return best, worthy, done

    def run(self, work: int, target: int, effort: Effort) -> int:
        """Improve the bound until it reaches the target, nothing is left to gain, or the work is done."""
        done = 0
        wanted = np.array(self._wanted, np.int64)
        copies = [k.copies for k in self._stocks]
        while done < work and self.cost < target and not self.converged and not effort.over():
            answer = self._propose(list(self._known), wanted, copies)
            done += 200_000 + 300 * len(self._known) * len(wanted)
            if answer is None:
                break
            _, weights, extra = answer
            best, worthy, spent = self._price(weights, wanted, extra)
            done += spent
            weight = sum(int(p) * q for p, q in zip(weights, self._wanted, strict=True))
            self.proven = max(self.proven, proven_cost(weight, best, self._stocks, self._wanted))
            self.converged = sum(self.add(*w) for w in worthy) == 0
        return done

    def dive(self, work: int, effort: Effort, single: bool = False) -> list[tuple[int, Counts, object, int]]:
        """Round the linear program step by step: fix what it takes whole, price anew for what is left.

        Args:
            work: additions after which no new cuttings are sought.
            effort: for a stop.
            single: fix one cutting at a time, that with the largest number.

        Returns:
            (kind, counts, how, number) of cuttings that together give all parts; none when it did not come
            to that.
        """
        wanted = np.array(self._wanted, np.int64)
        copies = [k.copies for k in self._stocks]
        known = dict(self._known)
        chosen = []
        done = 0
        weights = None
        unit = self._dearest / FINE
        while wanted.any() and not effort.over():
            clipped: dict[tuple[int, Counts], object] = {}
            for (t, counts), how in known.items():
                short = tuple(np.minimum(counts, wanted).tolist())
                if any(short) and copies[t]:
                    clipped.setdefault((t, short), how)
            known = clipped
            if weights is not None and len(known) > KEPT * len(wanted):
                # only cuttings nearly worth their cost are of use further on
                lost = {c: self._stocks[c[0]].cost - float(np.dot(c[1], weights)) * unit for c in known}
                known = {c: known[c] for c in sorted(known, key=lambda c: (lost[c], c))[: KEPT * len(wanted)]}
                for i in np.flatnonzero(wanted):
                    known.update(self._alone(int(i), copies))
            for _ in range(12):
                columns = list(known)
                answer = self._propose(columns, wanted, copies) if columns else None
                if answer is None:
                    return []
                x, weights, extra = answer
                if done > work:
                    break
                _, worthy, spent = self._price(weights, wanted, extra)
                done += spent + 200_000 + 300 * len(columns) * len(wanted)
                fresh = [w for w in worthy if copies[w[0]] and w[:2] not in known]
                if not fresh:
                    break
                known.update({(t, counts): how for t, counts, how in fresh})
                for column in fresh:
                    self.add(*column)
            x = x[: len(columns)]
            whole = np.floor(x + 1e-6).astype(int)
            if single or not whole.any():
                whole = np.zeros(len(x), int)
                whole[int(np.argmax(np.round(x, 9)))] = 1
            for j in np.flatnonzero(whole):
                t, counts = columns[j]
                number = min(int(whole[j]), copies[t])
                if not number:
                    return []
                chosen.append((t, counts, known[t, counts], number))
                copies[t] -= number
                wanted = np.maximum(0, wanted - number * np.array(counts, np.int64))
        return [] if wanted.any() else chosen

    def _alone(self, part: int, copies: list[int]) -> dict[tuple[int, Counts], object]:
        """The cuttings known that hold one of a part and nothing else."""
        unit = tuple(int(j == part) for j in range(len(self._wanted)))
        return {
            (t, unit): self._known[t, unit]
            for t in range(len(copies))
            if copies[t] and (t, unit) in self._known
        }

    def whole(self, nodes: int) -> list[tuple[int, Counts, object, int]]:
        """Whole numbers of the cuttings known that give all parts (or more) at the least cost found.

        Args:
            nodes: most nodes of the branching.

        Returns:
            (kind, counts, how, number) of each cutting used; none when nothing was found.
        """
        columns = list(self._known)
        costs, rows, sides = self._program(columns, np.array(self._wanted), [k.copies for k in self._stocks])
        numbers = whole_numbers(costs, rows, sides, nodes)
        return [
            (t, counts, self._known[t, counts], x)
            for (t, counts), x in zip(columns, numbers, strict=False)
            if x
        ]
