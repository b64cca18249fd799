"""The search on an instance: arrays made, portions of work done, the best solution read back as cut trees."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from furnigen.cutting.effort import Effort
from furnigen.cutting.instance import Instance
from furnigen.cutting.panels import Division, Panel, in_order
from furnigen.cutting.problem import FirstCut
from furnigen.cutting.search import ruin
from furnigen.cutting.search.recreate import LIMIT
from furnigen.cutting.search.ruin import BEST_COST, BEST_LEFT_OUT, BEST_LEFT_VALUE, GATHER, LEFT_OUT
from furnigen.cutting.search.tree import (
    BIN_FIELDS,
    COLUMN,
    COST,
    COUNT_FREE,
    FIELDS,
    FIRST,
    ITEM,
    KIND,
    NEXT,
    OPENED,
    PART,
    RANDOM,
    ROOM,
    ROOT,
    ROW,
    SHEET,
    TURN,
    WORK,
    H,
    State,
    W,
    append,
    new_node,
    refresh,
)

WORK_A_LEVEL = 27_000_000
"""Nodes looked at in about 0.4 s of one core: with its bound, a problem of 100 parts takes less than 1 s."""
PORTION = 10_000_000
SEED = 88172645463325252
NO_LIMIT = 1 << 60
KINDS = {Division.PART: PART, Division.ROW: ROW, Division.COLUMN: COLUMN}
TUNING = np.array([0.1, 0.02, 0.002, 27_000_000, 2, 0, 100, 12, 15, 0], np.float64)
"""Reward for room in one place, highest and lowest temperature, work a cycle, rules of fit, first rule,
places passed over (one in so many), most parts taken out, share of whole sheets [%], and 1 to look for one
large offcut. Measured on the 500 published instances of tests/benchmarks/cutting.py."""


@dataclass(frozen=True)
class Laid:
    """Sheets as the search lays them: (kind, tree) each; shapes left out; total cost; whether it was cut
    short."""

    sheets: tuple[tuple[int, Panel], ...]
    left_out: tuple[int, ...]
    cost: int
    left_value: int
    cut_short: bool = False


class Search:
    """Ruin and recreate on one instance; it can be continued portion by portion.

    Args:
        instance: the problem.
        values: what leaving out one of each shape costs; its area if None.
    """

    def __init__(self, instance: Instance, values: list[int] | None = None) -> None:
        self.instance = instance
        shapes, kinds = instance.shapes, instance.kinds
        count = instance.parts
        self._iw = np.array([s.w for s in shapes], np.int32)
        self._ih = np.array([s.h for s in shapes], np.int32)
        self._areas = self._iw.astype(np.int64) * self._ih
        self._values = self._areas.copy() if values is None else np.array(values, np.int64)
        own = [1 if s.members else 0 for s in shapes]
        self._ok = np.array([[*s.fits, max(own), o] for s, o in zip(shapes, own, strict=True)], np.int64)
        self._sw = np.array([k.w for k in kinds], np.int32)
        self._sh = np.array([k.h for k in kinds], np.int32)
        rules = instance.rules
        exact = 2 if rules.equal_last else 0 if rules.trimming else 1
        first = {FirstCut.EITHER: 0, FirstCut.RIP: COLUMN, FirstCut.CROSSCUT: ROW}[rules.first_cut]
        strip = rules.largest_strip_um or 0
        self._rules = np.array([rules.stages or 0, exact, first, NO_LIMIT, strip, rules.kerf_um], np.int64)
        self._slots = max(1, min(count, sum(k.copies for k in kinds)))
        self._state, self._best, self._kept = self._empty(), self._empty(), self._empty()
        self._room = (
            np.empty(count, np.int32),
            np.empty(count, np.float64),
            np.empty(2 * count + 8, np.int32),
            np.empty(4, np.int64),
        )
        todo, meters = self._state[5], self._state[3]
        todo[:] = np.repeat(np.arange(len(shapes)), [s.quantity for s in shapes])
        meters[LEFT_OUT] = meters[BEST_LEFT_OUT] = count
        meters[BEST_COST] = NO_LIMIT
        meters[BEST_LEFT_VALUE] = NO_LIMIT
        self.done = False

    def _empty(self) -> State:
        count = self.instance.parts
        nodes = 2 * count + 8
        sheets = np.zeros((self._slots, BIN_FIELDS), np.int64)
        sheets[:, ROOT] = -1
        meters = np.zeros(16, np.int64)
        meters[COUNT_FREE], meters[RANDOM] = nodes, SEED
        stock = np.array([[k.cost, k.copies] for k in self.instance.kinds], np.int64)
        return (
            np.zeros((nodes, FIELDS), np.int32),
            sheets,
            np.arange(nodes - 1, -1, -1).astype(np.int32),
            meters,
            stock,
            np.zeros(count, np.int32),
        )

    def start(self, laid: Sequence[tuple[int, Panel]], left_out: Sequence[int]) -> None:
        """Go on from sheets that are laid already; only before the first `run`.

        Args:
            laid: kind and tree of each.
            left_out: shapes that are on none of them.
        """
        nodes, sheets, _, meters, stock, out = self._state
        for b, (kind, tree) in enumerate(laid):
            sheets[b, SHEET] = kind
            sheets[b, ROOT] = self._write(tree)
            room = np.int64(self._sw[kind]) * self._sh[kind]
            sheets[b, ROOM] = room - sum(int(self._areas[i]) for i in tree.shapes())
            stock[kind, 1] -= 1
            meters[COST] += stock[kind, 0]
            refresh(nodes, sheets, b, self._sw[kind], self._sh[kind])
        out[: len(left_out)] = left_out
        meters[OPENED] = len(laid)
        meters[LEFT_OUT] = meters[BEST_LEFT_OUT] = len(left_out)
        meters[BEST_LEFT_VALUE] = sum(int(self._values[i]) for i in left_out)
        if not left_out:
            meters[BEST_COST] = meters[COST]
        ruin.copy_state(self._state, self._best)

    def _write(self, tree: Panel) -> int:
        """Write a tree into the nodes; the number of its root."""
        nodes, _, spare, meters, _, _ = self._state
        x = int(new_node(nodes, spare, meters))
        nodes[x, [KIND, W, H]] = KINDS[tree.division], tree.w, tree.h
        if tree.division is Division.PART:
            nodes[x, [ITEM, TURN]] = tree.shape, tree.turned
        for panel in tree.panels[::-1]:
            append(nodes, x, self._write(panel))
        return x

    @property
    def work(self) -> int:
        """Work done so far."""
        return int(self._state[3][WORK])

    @property
    def cost(self) -> int:
        """Cost of the best so far; NO_LIMIT when parts are left out."""
        return int(self._state[3][BEST_COST]) if self._state[3][BEST_LEFT_OUT] == 0 else NO_LIMIT

    @property
    def left_out(self) -> int:
        """Number of shapes the best so far leaves out."""
        return int(self._state[3][BEST_LEFT_OUT])

    def gather(self, work: int, effort: Effort) -> bool:
        """Among solutions of the best cost seek one with a large offcut; False when it was cut short."""
        ruin.copy_state(self._best, self._state)
        meters = self._state[3]
        meters[LEFT_OUT] = 0
        meters[BEST_LEFT_OUT] = meters[BEST_LEFT_VALUE] = 0
        self._rules[LIMIT] = meters[BEST_COST]
        tuning = TUNING.copy()
        tuning[GATHER] = 1
        return self.run(work, -1, effort, tuning)

    def run(self, work: int, bound: int, effort: Effort, tuning: NDArray[np.float64] = TUNING) -> bool:
        """Search until `work` more is done or the bound is reached; False when it was cut short."""
        end = self.work + work
        while self.work < end and self.cost > bound:
            if self.work and effort.over():
                return False
            portion = min(PORTION, end - self.work)
            ruin.search(
                self._state,
                self._best,
                self._kept,
                self._rules,
                self._sw,
                self._sh,
                self._iw,
                self._ih,
                self._areas,
                self._values,
                self._ok,
                self._room,
                portion,
                bound,
                tuning,
            )
        return True

    def limit(self, cost: int) -> None:
        """Allow no solution of a higher cost."""
        self._rules[LIMIT] = min(self._rules[LIMIT], cost)

    def best(self) -> Laid:
        """The best solution so far."""
        nodes, sheets, _, _, _, out = self._best
        left = int(self._state[3][BEST_LEFT_OUT])
        laid = [
            (int(sheets[b, SHEET]), in_order(read_tree(nodes, int(sheets[b, ROOT]))))
            for b in range(len(sheets))
            if sheets[b, ROOT] >= 0
        ]
        kinds = self.instance.kinds
        return Laid(
            tuple(laid),
            tuple(int(i) for i in sorted(out[:left])),
            sum(kinds[k].cost for k, _ in laid),
            int(self._values[out[:left]].sum()),
        )


def read_tree(nodes: np.ndarray, x: int) -> Panel:
    """The tree below a node as values."""
    w, h = int(nodes[x, W]), int(nodes[x, H])
    if nodes[x, KIND] == PART:
        return Panel(Division.PART, w, h, int(nodes[x, ITEM]), bool(nodes[x, TURN]))
    inner = []
    c = int(nodes[x, FIRST])
    while c >= 0:
        inner.append(read_tree(nodes, c))
        c = int(nodes[c, NEXT])
    division = Division.ROW if nodes[x, KIND] == ROW else Division.COLUMN
    return Panel(division, w, h, panels=tuple(inner))
