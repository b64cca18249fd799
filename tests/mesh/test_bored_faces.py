"""Faces bored through in many places: their contacts, and what finding them takes."""

from __future__ import annotations

import tracemalloc

import numpy as np
import pytest
from mesh_shapes import at, block, model, part

from furnigen.core.caches import forget_all
from furnigen.mesh import shared_areas
from furnigen.mesh.contacts import find_contacts
from furnigen.mesh.model import MeshModel
from furnigen.mesh.scene import scene_of

HOLES, PITCH, RADIUS, SIDES = 80, 20.0, 4.0, 16


def bored_boards() -> MeshModel:
    """Two boards face to face, bored through in two rows of holes that do not line up."""
    from manifold3d import Manifold

    long = HOLES * PITCH
    placed = []
    for name, z, off in (("low", 0.0, 0.0), ("high", 18.0, 5.0)):
        solid = block((0, 0, z), (long, 100, z + 18))
        for k in range(HOLES):
            for y in (30.0, 70.0):
                hole = Manifold.cylinder(20.0, RADIUS, circular_segments=SIDES)
                solid -= hole.translate((10.0 + PITCH * k + off, y, z - 1.0))
        placed.append((name, part(name, solid), at()))
    return model(*placed)


def test_the_area_is_that_of_the_face_less_all_holes() -> None:
    (contact,) = find_contacts(scene_of(bored_boards()))
    # a regular polygon of n sides in a circle: n r² sin(2 pi / n) / 2
    hole = SIDES * RADIUS**2 * np.sin(2 * np.pi / SIDES) / 2
    x, y = np.meshgrid(np.linspace(-RADIUS, RADIUS + 5.0, 1801), np.linspace(-RADIUS, RADIUS, 1601))
    angle = np.pi / SIDES
    inside = [np.full(x.shape, True), np.full(x.shape, True)]
    for k in range(SIDES):
        turn = 2 * angle * k + angle
        for n, off in enumerate((0.0, 5.0)):
            inside[n] &= (x - off) * np.cos(turn) + y * np.sin(turn) <= RADIUS * np.cos(angle)
    cell = (x[0, 1] - x[0, 0]) * (y[1, 0] - y[0, 0])
    lens = np.count_nonzero(inside[0] & inside[1]) * cell
    expected = HOLES * PITCH * 100.0 - 2 * HOLES * (2 * hole - lens)
    assert contact.area_mm2 == pytest.approx(expected, rel=1e-4)


def test_small_blocks_give_the_same_to_the_last_bit(monkeypatch: pytest.MonkeyPatch) -> None:
    scene = scene_of(bored_boards())
    (whole,) = find_contacts(scene)
    forget_all()
    monkeypatch.setattr(shared_areas, "BLOCK", 500)
    monkeypatch.setattr(shared_areas, "MANY", 10**9)
    (small,) = find_contacts(scene)
    assert (small.area_mm2, small.lo, small.hi, small.patches) == (
        whole.area_mm2,
        whole.lo,
        whole.hi,
        whole.patches,
    )


def test_memory_follows_the_pieces_and_not_their_pairs() -> None:
    scene = scene_of(bored_boards())
    pieces = np.diff(scene.facets.piece_first)
    pairs = int(np.sort(pieces)[-1]) ** 2
    assert pairs > 2_000_000
    forget_all()
    tracemalloc.start()
    find_contacts(scene)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    # one number of eight bytes for each pair would already be this much
    assert peak < 8 * pairs * 4
