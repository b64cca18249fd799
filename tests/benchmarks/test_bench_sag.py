"""Sag of 10,000 shelves at once: at most 1 s, the project's own target."""

from time import perf_counter

import numpy as np
import pytest

from furnigen.strength.solver.one_sided_supports import solve_one_sided
from furnigen.strength.solver.stiffness import BeamArrays

SHELVES = 10_000


def shelves(supports: int, loose: bool) -> BeamArrays:
    """Shelves of 600 to 2400 mm over uprights at random places, full of books, and a heavy pot on each."""
    rng = np.random.default_rng(7)
    length = rng.uniform(600.0, 2400.0, SHELVES)
    inner = np.sort(rng.uniform(0.05, 0.95, (SHELVES, supports - 2)), axis=1)
    share = np.hstack([np.zeros((SHELVES, 1)), inner, np.ones((SHELVES, 1))])
    nil = np.zeros(SHELVES)
    return BeamArrays(
        length=length,
        bending=rng.uniform(5e8, 5e9, SHELVES),
        shear=np.full(SHELVES, np.inf),
        supports=share * length[:, None],
        turning=np.zeros((SHELVES, supports)),
        pulls=np.full((SHELVES, supports), not loose),
        sunk=np.zeros((SHELVES, supports)),
        neck=np.zeros((SHELVES, supports)),
        spread=np.stack([nil, length, np.full(SHELVES, 0.4)], axis=1)[:, None, :],
        points=np.stack([length * rng.uniform(size=SHELVES), np.full(SHELVES, 100.0)], axis=1)[:, None, :],
    )


@pytest.mark.benchmark
@pytest.mark.parametrize(("supports", "loose"), [(2, True), (4, False), (4, True)])
def test_ten_thousand_shelves_in_a_second(supports: int, loose: bool) -> None:
    beams = shelves(supports, loose)
    solve_one_sided(beams.rows(np.arange(10)))
    best = np.inf
    for _ in range(3):
        start = perf_counter()
        result = solve_one_sided(beams)
        best = min(best, perf_counter() - start)
    print(f"{SHELVES} shelves on {supports} {'loose' if loose else 'fixed'} supports: {best:.2f} s")
    assert result.stands.all()
    assert best <= 1.0
