"""The most valuable parts one sheet holds, where the rules are those of strips: strips found, then chosen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from furnigen.cutting.bounds.columns import whole_numbers
from furnigen.cutting.bounds.strips import Strip, StripPricer, Strips
from furnigen.cutting.effort import Effort
from furnigen.cutting.instance import Instance
from furnigen.cutting.panels import Panel
from furnigen.cutting.search.run import Search

ROUNDS = 80
MOST_STRIPS = 1500
VARIATIONS = 40
SEARCH_WORK = 18_000_000


def fill_sheet(instance: Instance, values: list[int], nodes: int = 250) -> tuple[Panel | None, int, int]:
    """Fill one sheet (the first kind) with parts of the greatest value, each at most as often as wanted.

    Args:
        instance: the problem, its rules those of strips.
        values: of one of each shape.
        nodes: most nodes of the branching that chooses among strips.

    Returns:
        The cut tree (None if nothing fits), its value, and a value no cutting exceeds as far as the linear
        program can be trusted.
    """
    best: tuple[Panel | None, int] = (None, 0)
    limit = 0
    for way in StripPricer(instance, 0).ways:
        strips, bound = _strips(instance, way, values)
        limit = max(limit, bound)
        if bound <= best[1]:
            continue
        chosen = _choose(instance, way, values, strips, nodes)
        left = [s.quantity for s in instance.shapes]
        tree = way.tree(chosen, left)
        value = sum(v * (s.quantity - n) for v, s, n in zip(values, instance.shapes, left, strict=True))
        if value > best[1]:
            best = tree, value
    if best[1] < limit:
        one = replace(instance, kinds=(replace(instance.kinds[0], copies=1),))
        search = Search(one, values)
        search.run(SEARCH_WORK, 0, Effort())
        laid = search.best()
        value = sum(v * s.quantity for v, s in zip(values, instance.shapes, strict=True)) - laid.left_value
        if value > best[1]:
            best = laid.sheets[0][1], value
    return best[0], best[1], limit


def _matrix(instance: Instance, way: Strips, strips: list[Strip]) -> np.ndarray:
    """One column a strip: its width, then how many of each shape it takes."""
    n = len(instance.shapes)
    return np.array([[s[0], *way.counts(s, n)] for s in strips], float).T


def _strips(instance: Instance, way: Strips, values: list[int]) -> tuple[list[Strip], int]:
    """Strips worth choosing from, by column generation, and the value the linear program allows."""
    from scipy.optimize import linprog

    wanted = np.array([s.quantity for s in instance.shapes], np.int64)
    scale = (1 << 34) / max(values)
    worth = np.array(values, float)
    known: dict[Strip, None] = {}
    weights = np.floor(worth * scale).astype(np.int64)
    sides = np.array([way.width, *wanted], float)
    bound = 0.0
    for _ in range(ROUNDS):
        before = len(known)
        prices = 0.0
        if known:
            rows = _matrix(instance, way, list(known))
            answer = linprog(-(worth @ rows[1:]), A_ub=rows, b_ub=sides, method="highs")
            duals = -answer.ineqlin.marginals
            prices, bound = max(0.0, duals[0]), -answer.fun
            weights = np.floor(np.maximum(0.0, worth - duals[1:]) * scale).astype(np.int64)
        for value, strip in way.best(weights, wanted):
            if (
                strip[1]
                and value / scale > prices * strip[0] - 1e-3 * max(values)
                and len(known) < MOST_STRIPS
            ):
                known[strip] = None
        if len(known) == before:
            break
    # strips that are not the best for any prices may still go well together: others by chance
    chance = np.random.default_rng(1)
    duals_of = np.maximum(0.0, worth - weights / scale)
    for _ in range(VARIATIONS):
        if len(known) >= MOST_STRIPS:
            break
        some = np.where(chance.random(len(wanted)) < 0.25, 0, wanted)
        varied = np.maximum(0.0, worth - duals_of * chance.uniform(0.0, 1.6, len(wanted)))
        for _, strip in way.best(np.floor(varied * scale).astype(np.int64), some):
            if strip[1] and len(known) < MOST_STRIPS:
                known[strip] = None
    return list(known), int(bound + 1e-6)


def _choose(
    instance: Instance, way: Strips, values: list[int], strips: list[Strip], nodes: int
) -> list[Strip]:
    """Whole numbers of strips of the greatest value."""
    rows = _matrix(instance, way, strips)
    sides = np.array([way.width, *(s.quantity for s in instance.shapes)], float)
    numbers = whole_numbers(-(np.array(values, float) @ rows[1:]), rows, sides, nodes)
    return [s for s, x in zip(strips, numbers, strict=False) for _ in range(x)]
