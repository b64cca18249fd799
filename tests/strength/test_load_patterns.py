"""No loading of a board is worse than those tried: every subset of bays against a beam worked out here.

The judge is a beam of Hermite elements (direct stiffness, Bernoulli), written here with numpy alone. On
supports
that hold both ways effects add up: each bay is bent once, and all subsets are summed. On supports that only
push every subset is solved with every set of supports that may act.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise, product

import numpy as np
import pytest

from furnigen.catalogue.loads import GRAVITY, parse_load
from furnigen.catalogue.materials import find_material
from furnigen.catalogue.sag_limits import find_limit
from furnigen.strength.formulas.section import rectangular_section
from furnigen.strength.members.load_patterns import patterns, patterns_over_supports
from furnigen.strength.members.shelf import Shelf, ShelfResult, check_shelves
from furnigen.strength.solver.beam import BeamSupport

BIRCH = find_material("plywood-birch-18")
STEPS = 20
W = 40 * GRAVITY / 1000


class Judge:
    """A beam of Hermite elements, `STEPS` to a stretch, each stretch loaded apart."""

    def __init__(self, cuts: list[float], ei: float) -> None:
        nodes = [cuts[0]]
        self.bays: list[list[int]] = []
        for a, b in pairwise(cuts):
            self.bays.append(list(range(len(nodes) - 1, len(nodes) - 1 + STEPS)))
            nodes += np.linspace(a, b, STEPS + 1)[1:].tolist()
        self.x = np.array(nodes)
        self.ei, n = ei, 2 * len(nodes)
        self.k = np.zeros((n, n))
        self.loads = np.zeros((len(self.bays), n))
        for e, h in enumerate(np.diff(self.x)):
            at = slice(2 * e, 2 * e + 4)
            self.k[at, at] += self._element(h)
        for bay, elements in enumerate(self.bays):
            for e in elements:
                h = self.x[e + 1] - self.x[e]
                self.loads[bay, 2 * e : 2 * e + 4] += W * np.array([h / 2, h * h / 12, h / 2, -h * h / 12])

    def _element(self, h: float) -> np.ndarray:
        rows = [[12, 6 * h, -12, 6 * h], [6 * h, 4 * h * h, -6 * h, 2 * h * h]]
        rows += [[-12, -6 * h, 12, -6 * h], [6 * h, 2 * h * h, -6 * h, 4 * h * h]]
        return self.ei / h**3 * np.array(rows)

    def subsets(self, on: np.ndarray, held: list[int]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Of each loading (a row of `on`): deflection of each node, moments at the ends of each element, and
        the upward force at each held node."""
        forces, fixed = on @ self.loads, [2 * i for i in held]
        free = np.setdiff1d(np.arange(len(self.k)), fixed)
        u = np.zeros((len(self.k), forces.shape[0]))
        u[free] = np.linalg.solve(self.k[np.ix_(free, free)], forces.T[free])
        reaction = (forces.T - self.k @ u)[fixed]
        moments = []
        for e, h in enumerate(np.diff(self.x)):
            end = self._element(h) @ u[2 * e : 2 * e + 4]
            even = np.zeros((4, forces.shape[0]))
            for bay, elements in enumerate(self.bays):
                if e in elements:
                    even += W * np.outer([h / 2, h * h / 12, h / 2, -h * h / 12], on[:, bay])
            moments += [-(end - even)[1], (end - even)[3]]
        return u[::2], np.array(moments), reaction


def checked(supports: list[float], length: float, *, holds: bool) -> ShelfResult:
    shelf = Shelf(
        label="board",
        length=length,
        depth=300.0,
        section=rectangular_section(300.0, 18.0, BIRCH.moe_mpa),
        materials=(BIRCH,),
        supports=tuple(BeamSupport(at, 0.0, holds) for at in supports),
        load=parse_load("40 kg/m"),
        own_kg_m=0.0,
        limit=find_limit("visible"),
    )
    shelf = replace(shelf, shear=replace(shelf.shear, apart=False))
    (result,) = check_shelves([shelf])
    assert result is not None
    return result


SPANS = [
    [800.0],
    [800.0, 800.0],
    [500.0, 900.0, 700.0],
    [600.0] * 4,
    [400.0, 900.0, 450.0, 800.0, 500.0],
    [700.0, 300.0, 700.0, 300.0, 700.0, 300.0, 700.0],
    [300.0, 800.0] * 5,
    [600.0] * 10,
]


@pytest.mark.parametrize("overhang", [0.0, 150.0])
@pytest.mark.parametrize("spans", SPANS, ids=lambda spans: f"{len(spans)} spans")
def test_no_subset_of_bays_is_worse(spans: list[float], overhang: float) -> None:
    if overhang and len(spans) > 8:
        spans = spans[:8]
    supports = (np.concatenate([[0.0], np.cumsum(spans)]) + overhang).tolist()
    length = supports[-1] + overhang
    cuts = sorted({0.0, *supports, length})
    judge = Judge(cuts, rectangular_section(300.0, 18.0, BIRCH.moe_mpa).bending)
    held = [int(np.abs(judge.x - at).argmin()) for at in supports]
    on = np.array(list(product((0.0, 1.0), repeat=len(cuts) - 1)))
    # effects add up: each bay is bent once
    moved, moments, reactions = (each @ on.T for each in judge.subsets(np.eye(len(cuts) - 1), held))
    ours = checked(supports, length, holds=True)
    # of every span its largest deflection, over its own limit
    worst = 0.0
    for (a, b), elements in zip(pairwise(cuts), judge.bays, strict=True):
        nodes = moved[elements[0] : elements[-1] + 2]
        free = a < supports[0] or b > supports[-1]
        worst = max(worst, nodes.max() / ((b - a) * (2 if free else 1) / 240))
    assert ours.first_mm / ours.limit_mm == pytest.approx(worst, rel=5e-3)
    stress = np.abs(moments).max() / (300 * 18**2 / 6)
    assert ours.stress_mpa == pytest.approx(stress, rel=5e-3)
    assert ours.stress_mpa >= stress * (1 - 1e-6)
    assert ours.most == pytest.approx(reactions.max(1), rel=1e-6)
    assert ours.least == pytest.approx(reactions.min(1), rel=1e-6, abs=1e-6)


@pytest.mark.slow
def test_no_subset_is_worse_on_supports_that_only_push() -> None:
    """Every subset of four bays, each with the set of supports that carries it without a pull or a gap."""
    supports, length = [0.0, 700.0, 1100.0, 1900.0, 2400.0], 2400.0
    judge = Judge(supports, rectangular_section(300.0, 18.0, BIRCH.moe_mpa).bending)
    held = [int(np.abs(judge.x - at).argmin()) for at in supports]
    worst, most = 0.0, np.zeros(len(supports))
    for one in product((0.0, 1.0), repeat=4):
        if not any(one):
            continue
        found = False
        for count in range(2, 6):
            for some in combinations(range(5), count):
                moved, _, reaction = judge.subsets(np.array([one]), [held[i] for i in some])
                lifted = [i for i in range(5) if i not in some]
                if reaction.min() < -1e-7 or any(moved[held[i], 0] > 1e-9 for i in lifted):
                    continue
                found = True
                most[list(some)] = np.maximum(most[list(some)], reaction[:, 0])
                cuts = [supports[i] for i in some]
                if lifted:
                    cuts = supports
                for a, b in pairwise(cuts):
                    inside = (judge.x >= a) & (judge.x <= b)
                    worst = max(worst, moved[inside, 0].max() / ((b - a) / 240))
        assert found
    ours = checked(supports, length, holds=False)
    assert ours.first_mm / ours.limit_mm >= worst * (1 - 5e-3)
    assert (np.array(ours.most) >= most * (1 - 1e-6)).all()


def test_the_loadings_of_the_influence_lines_are_among_those_tried() -> None:
    every = {full for _, full in (*patterns(5), *patterns_over_supports(5))}
    assert {(0, 1, 3), (1, 2, 4), (0, 2, 3), (1, 3, 4), (0, 2, 4), (1, 3)} <= every
    assert {(2, 4), (0, 3), (1, 4), (0, 2)} <= every
