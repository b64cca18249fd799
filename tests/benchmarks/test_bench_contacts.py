"""Interference, contacts and floating parts on long runs: the project's speed target for mesh checks.

Each run is furniture a maker would stand along a studio wall, its solids given: a ring rack of mitred frames,
the same with frames cut in one piece, and a bookcase with housed shelves. All are clean, as a run that
is about to be cut is.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "mesh"))

from mesh_shapes import at, block, drawn_up, model, part, prism, turned

from furnigen.mesh.contacts import find_contacts
from furnigen.mesh.interference import find_interference
from furnigen.mesh.model import MeshModel
from furnigen.mesh.scene import scene_of
from furnigen.mesh.support import find_support

SHELVES, PITCH, THICK, WIDE, DEEP, TALL = 8, 600.0, 18.0, 60.0, 400.0, 1900.0


def shelves_of_rack(frames: int) -> list:
    long = part("shelf", block((0, 0, 0), (PITCH * frames, DEEP - 2 * WIDE, 12)))
    rise = (TALL - 2 * WIDE - 12) / (SHELVES - 1)
    return [(f"shelf.{k}", long, at(-PITCH / 2, WIDE, WIDE + k * rise)) for k in range(SHELVES)]


def mitred_rack(placements: int) -> MeshModel:
    """Frames of four mitred boards at equal steps; thin shelves pass through all of them."""
    frames = (placements - SHELVES) // 4
    stile = part("stile", prism([(0, 0), (WIDE, WIDE), (WIDE, TALL - WIDE), (0, TALL)], THICK, "x"))
    rail = part("rail", prism([(0, 0), (DEEP, 0), (DEEP - WIDE, WIDE), (WIDE, WIDE)], THICK, "x"))
    over = turned((1, 0, 0), 180)
    placed = []
    for k in range(frames):
        x = PITCH * k
        placed += [
            (f"frame.{k}.front", stile, at(x)),
            (f"frame.{k}.back", stile, at(x, DEEP, TALL, over)),
            (f"frame.{k}.bottom", rail, at(x)),
            (f"frame.{k}.top", rail, at(x, DEEP, TALL, over)),
        ]
    return model(*placed, *shelves_of_rack(frames))


def one_piece_rack(placements: int) -> MeshModel:
    """The same rack, each frame cut from a sheet with a window in it."""
    frames = placements - SHELVES
    outer = [(0, 0), (DEEP, 0), (DEEP, TALL), (0, TALL)]
    inner = [(WIDE, WIDE), (WIDE, TALL - WIDE), (DEEP - WIDE, TALL - WIDE), (DEEP - WIDE, WIDE)]
    ring = part("frame", drawn_up([outer, inner], THICK).rotate((90, 0, 90)))
    return model(*((f"frame.{k}", ring, at(PITCH * k)) for k in range(frames)), *shelves_of_rack(frames))


def housed_bookcase(placements: int) -> MeshModel:
    """Panels with housings on both faces, shelves of each bay let 6 mm into them."""
    levels = 6
    bays = (placements - 1) // (levels + 1)
    panel = block((0, 0, 0), (THICK, DEEP, TALL))
    heights = [80 + k * 300.0 for k in range(levels)]
    for z in heights:
        panel -= block((-1, -1, z), (6, DEEP + 1, z + THICK))
        panel -= block((THICK - 6, -1, z), (THICK + 1, DEEP + 1, z + THICK))
    upright = part("panel", panel)
    shelf = part("shelf", block((0, 0, 0), (PITCH - THICK + 12, DEEP, THICK)))
    placed = [(f"panel.{k}", upright, at(PITCH * k)) for k in range(bays + 1)]
    placed += [
        (f"shelf.{k}.{n}", shelf, at(PITCH * k + THICK - 6, 0, z))
        for k in range(bays)
        for n, z in enumerate(heights)
    ]
    return model(*placed)


def check(run: MeshModel) -> tuple[int, int, int]:
    """Overlaps, contacts and floating islands of a run."""
    scene = scene_of(run)
    found = find_interference(scene)
    contacts = find_contacts(scene)
    support = find_support(scene, contacts, curved_fits=found.curved_fits)
    return len(found.overlaps), len(contacts), len(support.floating)


def best_of(*jobs: Callable[[], object], times: int = 7) -> list[float]:
    """Shortest wall time of each job in seconds: what the work itself costs, other processes left out.

    The jobs take turns, so that a machine that slows down slows all of them.
    """
    spans: list[list[float]] = [[] for _ in jobs]
    for _ in range(times):
        for job, span in zip(jobs, spans, strict=True):
            start = perf_counter()
            job()
            span.append(perf_counter() - start)
    return [min(span) for span in spans]


RUNS = [mitred_rack, one_piece_rack, housed_bookcase]


@pytest.mark.benchmark
@pytest.mark.parametrize("build", RUNS, ids=lambda f: f.__name__)
def test_a_run_of_2000_placements(build: Callable[[int], MeshModel]) -> None:
    small, large = build(500), build(2000)
    assert 480 <= len(small.instances) <= 500
    assert 1980 <= len(large.instances) <= 2000
    overlaps, contacts, floating = check(large)
    assert (overlaps, floating) == (0, 0)
    assert contacts > len(large.instances)
    short, long = best_of(lambda: check(small), lambda: check(large))
    # the limits of the project's speed target
    print(
        f"\n{build.__name__}: 500 in {short * 1e3:.0f} ms, 2,000 in {long * 1e3:.0f} ms, x {long / short:.2f}"
    )
    assert long <= 1.0
    assert long <= 5.0 * short


@pytest.mark.benchmark
def test_a_small_piece_costs_next_to_nothing() -> None:
    run = housed_bookcase(50)
    (spent,) = best_of(lambda: check(run), times=20)
    print(f"\n{len(run.instances)} placements in {spent * 1e3:.1f} ms")
    # imported once, a small piece must not feel the machinery built for long runs
    assert spent <= 0.03


def test_the_runs_are_the_furniture_they_claim() -> None:
    # by hand: 4 mitres a frame; 8 shelves meet 2 stiles a frame, lowest and highest also a rail
    frames = 10
    assert check(mitred_rack(4 * frames + SHELVES)) == (0, frames * (4 + 2 * SHELVES + 2), 0)
    assert check(one_piece_rack(frames + SHELVES)) == (0, frames * SHELVES, 0)
    # each shelf meets the panel at either end
    run = housed_bookcase(50)
    shelves = sum(i.label.startswith("shelf") for i in run.instances)
    assert check(run) == (0, 2 * shelves, 0)
    assert np.isclose(run.parts[1].vertices[:, 0].max(), PITCH - THICK + 12)
