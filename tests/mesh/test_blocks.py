"""Arrays are made in blocks: what is worked on at a time does not grow with the model, nor do results change.

Memory is counted as Python and numpy ask for it (tracemalloc), so these bounds are the same on every machine.
"""

from __future__ import annotations

import sys
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from mesh_shapes import at, block, model, part, prism, turned

from furnigen.mesh import interference, scene, sweep
from furnigen.mesh.interference import find_interference
from furnigen.mesh.model import MeshModel
from furnigen.mesh.scene import scene_of
from furnigen.mesh.sweep import Sweeper

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
from test_bench_contacts import housed_bookcase

MIB = 1 << 20


def peak_mib(work: Callable[[], object]) -> float:
    """Most memory that work asked for at a time (MiB)."""
    tracemalloc.start()
    try:
        work()
        return tracemalloc.get_traced_memory()[1] / MIB
    finally:
        tracemalloc.stop()


def stairs(steps: int, copies: int) -> MeshModel:
    """Nested bands of stairs: all their boxes meet, and so do those of most of their steps; none overlaps."""
    up = [p for k in range(steps) for p in ((20.0 * k, 20.0 * k), (20.0 * k + 20.0, 20.0 * k))]
    band = part("band", prism([*up, *((x - 0.5, y + 0.5) for x, y in reversed(up))], 20.0))
    return model(*((f"band.{k}", band, at(-0.6 * k, 0.6 * k)) for k in range(copies)))


def test_pieces_of_nested_parts_are_compared_in_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    nested = scene_of(stairs(10, 150))
    assert len(nested.pairs) == 150 * 149 / 2
    find_interference(scene_of(stairs(10, 2)))  # libraries loaded
    peak = peak_mib(lambda: find_interference(nested))
    print(f"{peak:.0f} MiB")
    assert peak <= 60
    band = stairs(3, 1).parts[0]
    crossing = scene_of(
        model(
            ("a", band, at(0.0)),
            ("b", band, at(-0.3, 0.3)),
            ("c", band, at(-9.0, 0.0)),
            ("d", band, at(-2.0, 2.0)),
        )
    )
    whole = find_interference(crossing)
    assert {(o.a, o.b) for o in whole.overlaps} == {("a", "b"), ("a", "c"), ("b", "c"), ("c", "d")}
    monkeypatch.setattr(interference, "BLOCK", 1)
    assert find_interference(crossing) == whole


def test_corners_are_placed_in_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    band = stairs(200, 1).parts[0]
    many = model(*((f"band.{k}", band, at(0.0, 0.0, 30.0 * k)) for k in range(400)))
    ready = scene_of(many)
    peak = peak_mib(lambda: scene_of(many))
    print(f"{peak:.0f} MiB")
    assert peak <= 60
    monkeypatch.setattr(scene, "BLOCK", 1)
    again = scene_of(many)
    for name in ("lo", "hi", "facet_lo", "facet_hi", "pairs"):
        assert np.array_equal(getattr(ready, name), getattr(again, name))


def test_what_blocks_the_way_out_of_a_long_run_takes_little_memory_and_work(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    clipped: list[int] = []
    clip = sweep.clip_convex

    def counted(subject, window):  # type: ignore[no-untyped-def]
        clipped.append(len(subject))
        return clip(subject, window)

    monkeypatch.setattr(sweep, "clip_convex", counted)
    ways = [(1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)]
    work, peaks = [], []
    for placements in (250, 1000):
        sweeper = Sweeper(scene_of(housed_bookcase(placements)))
        clipped.clear()
        peaks.append(peak_mib(lambda s=sweeper: s.sweep(ways)))  # type: ignore[misc]
        work.append(sum(clipped))
    print(work, [f"{p:.0f} MiB" for p in peaks])
    # four times the placements: faces in each other's way are clipped once for each two lines of equal copies
    assert work[1] <= 5 * work[0]
    assert peaks[1] <= 60


@st.composite
def crowds(draw: st.DrawFn) -> MeshModel:
    """Equal notched boards and blocks in rows, some turned, some aside: lines along each axis, and none."""
    notched = part("notched", block((0, 0, 0), (40, 30, 10)) - block((10, 10, -1), (30, 31, 11)))
    plain = part("plain", block((0, 0, 0), (15, 15, 15)))
    turns = [turned((0, 0, 1), 90), turned((1, 0, 0), 90), turned((0, 1, 1), 30), None]
    placed = []
    for k in range(draw(st.integers(2, 7))):
        which = draw(st.sampled_from([notched, plain]))
        x, y, z = (draw(st.integers(0, 3)) for _ in range(3))
        turn = draw(st.sampled_from(turns))
        place = (60.0 * x + draw(st.sampled_from([0.0, 5.0])), 45.0 * y, 50.0 * z)
        placed.append((f"{which.name}.{k}", which, at(*place) if turn is None else at(*place, turn)))
    return model(*placed)


WAYS = [(1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0), (0.6, 0.8, 0.0)]


@settings(max_examples=80, deadline=None)
@given(crowds(), st.sampled_from(WAYS))
def test_lines_of_copies_block_as_each_two_copies_do_alone(crowd: MeshModel, way: sweep.Point) -> None:
    """Swept two by two nothing stands in a line of more than two."""
    found = Sweeper(scene_of(crowd)).blockers(way)
    copies = crowd.instances
    for i, one in enumerate(copies):
        for j, two in enumerate(copies):
            if i < j:
                alone = Sweeper(scene_of(MeshModel("two", crowd.parts, (one, two)))).blockers(way)
                assert [found[i] >> j & 1, found[j] >> i & 1] == [alone[0] >> 1 & 1, alone[1] & 1]
