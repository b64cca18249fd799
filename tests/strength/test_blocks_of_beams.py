"""Beams on very many supports are worked on in blocks, and bend as they do at once."""

import tracemalloc

import numpy as np
import pytest

from furnigen.strength.solver import deflection, stiffness
from furnigen.strength.solver.deflection import DeflectionArrays
from furnigen.strength.solver.one_sided_supports import solve_one_sided
from furnigen.strength.solver.stiffness import BeamArrays


def beams(supports: int, count: int = 2) -> BeamArrays:
    """Long boards on many uprights with a pot between each two, and books all along."""
    at = np.tile(np.linspace(0.0, 500.0 * supports, supports), (count, 1))
    pots = np.stack([(at[:, 1:] + at[:, :-1]) / 2, np.full((count, supports - 1), 50.0)], axis=2)
    even = np.zeros((count, 1, 3))
    even[:, 0, 1], even[:, 0, 2] = at[:, -1], 0.3
    return BeamArrays(
        length=at[:, -1].copy(),
        bending=np.linspace(1e9, 2e9, count),
        shear=np.full(count, np.inf),
        supports=at,
        turning=np.zeros_like(at),
        pulls=np.ones(at.shape, dtype=bool),
        sunk=np.zeros_like(at),
        neck=np.zeros_like(at),
        spread=even,
        points=pots,
    )


def test_memory_does_not_grow_with_the_square_of_the_supports() -> None:
    solve_one_sided(beams(3))
    tracemalloc.start()
    try:
        solve_one_sided(beams(1600))
        peak = tracemalloc.get_traced_memory()[1] / 2**20
    finally:
        tracemalloc.stop()
    print(f"{peak:.0f} MiB")
    assert peak <= 120


def test_blocks_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = solve_one_sided(beams(12))
    for module in (stiffness, deflection):
        monkeypatch.setattr(module, "BLOCK", 1)
    blocks = solve_one_sided(beams(12))
    for name in vars(whole):
        assert np.array_equal(getattr(whole, name), getattr(blocks, name), equal_nan=True), name
    assert isinstance(blocks, DeflectionArrays)
