"""Banded stiffness matrices against numpy's full solver."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from furnigen.strength.solver.banded import LEAST_BLOCK, BandedStiffness


@settings(max_examples=30, deadline=None)
@given(st.integers(1, 5 * LEAST_BLOCK), st.integers(1, 60), st.integers(0, 10_000))
def test_it_solves_what_the_full_matrix_solves(size: int, band: int, seed: int) -> None:
    """Springs between rows near each other, some rows held."""
    random = np.random.default_rng(seed)
    near = min(band, size - 1)
    ends = random.integers(0, size, (4 * size, 1)) + random.integers(0, near + 1, (4 * size, 2))
    ends = np.minimum(ends, size - 1)
    parts = random.uniform(1.0, 5.0, len(ends))[:, None, None] * np.array([[2.0, -1.0], [-1.0, 2.0]])
    matrix, full = BandedStiffness(size, near), np.zeros((size, size))
    matrix.add(ends, parts[None])
    np.add.at(full, (ends[:, :, None], ends[:, None, :]), parts)
    still = (random.uniform(size=size) < 0.2) | (np.diagonal(full) == 0.0)
    force = random.normal(size=size)
    (moved,), (softest,) = matrix.solved(force[None], still[None])
    free = np.flatnonzero(~still)
    assert np.allclose(matrix.diagonal[0], np.diagonal(full))
    assert np.allclose(moved[free], np.linalg.solve(full[free][:, free], force[free]), rtol=1e-9, atol=1e-12)
    assert not np.any(moved[still])
    assert np.allclose(matrix.times(moved[None])[0], full @ moved, atol=1e-9)
    assert softest > 0.0 or not free.size


@pytest.mark.parametrize("size", [3, 4 * LEAST_BLOCK])
def test_what_moves_freely_has_no_pivot(size: int) -> None:
    ends = np.column_stack([np.arange(size - 1), np.arange(1, size)])
    chain = BandedStiffness(size, 1)
    chain.add(ends, np.broadcast_to(np.array([[1.0, -1.0], [-1.0, 1.0]]), (1, size - 1, 2, 2)))
    assert chain.solved(np.ones((1, size)), np.zeros((1, size), dtype=bool))[1] < 1e-11


@pytest.mark.parametrize("size", [20, 4 * LEAST_BLOCK])
def test_several_come_out_as_each_alone(size: int) -> None:
    """To the last bit, also beside one that moves freely."""
    random = np.random.default_rng(size)
    ends = np.column_stack([np.arange(size - 1), np.arange(1, size)])
    parts = random.uniform(1.0, 5.0, (3, size - 1))[:, :, None, None] * np.array([[1.0, -1.0], [-1.0, 1.0]])
    still = np.zeros((3, size), dtype=bool)
    still[[0, 2], 0] = True
    force = random.normal(size=(3, size))
    together = BandedStiffness(size, 1, 3)
    together.add(ends, parts)
    moved, softest = together.solved(force, still)
    for k in range(3):
        alone = BandedStiffness(size, 1)
        alone.add(ends, parts[k : k + 1])
        own, pivot = alone.solved(force[k : k + 1], still[k : k + 1])
        assert np.array_equal(moved[k], own[0])
        assert softest[k] == pivot[0]
        assert np.array_equal(together.times(moved)[k], alone.times(own)[0])
    assert softest[1] < 1e-11 < softest[0]
