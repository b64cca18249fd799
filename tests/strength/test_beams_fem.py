"""Random beams against PyNiteFEA, an independent frame program."""

import random
from itertools import pairwise
from math import inf

import pytest
from Pynite import FEModel3D

from furnigen.strength.solver.beam import Beam, BeamSupport, PointLoad, SpreadLoad, solve_beams

EI, LENGTH = 1.5e9, 1500.0
STEPS = 60


def random_beam(seed: int) -> Beam:
    """Supports, loads and ends as furniture has them, on a grid of 1/60 of the length: nodes fall on it."""
    rng = random.Random(seed)
    cells = sorted(rng.sample(range(STEPS + 1), rng.randint(2, 6)))
    supports = tuple(
        BeamSupport(
            c * LENGTH / STEPS,
            rng.choice([0.0, 0.0, 0.0, inf, 10 ** rng.uniform(5, 8)]),
            sunk=rng.choice([0.0, 0.0, rng.uniform(-1, 4)]),
        )
        for c in cells
    )
    spread = [SpreadLoad(0.0, LENGTH, rng.uniform(0.05, 0.8))]
    for _ in range(rng.randint(0, 2)):
        a, b = sorted(rng.sample(range(STEPS + 1), 2))
        spread.append(SpreadLoad(a * LENGTH / STEPS, b * LENGTH / STEPS, rng.uniform(-0.3, 0.9)))
    points = tuple(
        PointLoad(rng.randint(0, STEPS) * LENGTH / STEPS, rng.uniform(20, 300))
        for _ in range(rng.randint(0, 3))
    )
    return Beam(LENGTH, EI, supports, tuple(spread), points)


def reference(beam: Beam) -> FEModel3D:
    model = FEModel3D()
    model.add_material("wood", 1e4, 6e2, 0.3, 5e-6)
    model.add_section("board", 5e3, 1e5, beam.bending / 1e4, 1e5)
    for i in range(STEPS + 1):
        model.add_node(f"n{i}", i * LENGTH / STEPS, 0, 0)
    for i in range(STEPS):
        model.add_member(f"m{i}", f"n{i}", f"n{i + 1}", "wood", "board")
    model.def_support("n0", support_DX=True, support_DZ=True, support_RX=True, support_RY=True)
    for s in beam.supports:
        i = round(s.at * STEPS / LENGTH)
        first = i == 0
        model.def_support(f"n{i}", first, True, first, first, first, s.turning == inf)
        if s.sunk:
            model.def_node_disp(f"n{i}", "DY", -s.sunk)
        if 0 < s.turning < inf:
            model.def_support_spring(f"n{i}", "RZ", s.turning)
    for load in beam.spread:
        for i in range(round(load.start * STEPS / LENGTH), round(load.end * STEPS / LENGTH)):
            model.add_member_dist_load(f"m{i}", "FY", -load.newton_per_mm, -load.newton_per_mm)
    for p in beam.points:
        model.add_node_load(f"n{round(p.at * STEPS / LENGTH)}", "FY", -p.newton)
    model.analyze_linear(check_stability=False)
    return model


@pytest.mark.parametrize("seed", range(12))
def test_random_beams(seed: int) -> None:
    beam = random_beam(seed)
    result = solve_beams([beam])[0]
    assert result is not None
    model = reference(beam)
    scale = max(abs(y) for _, y in result.line)
    mine = dict(result.line)
    for i in range(STEPS + 1):
        at = i * LENGTH / STEPS
        near = min(mine, key=lambda x, at=at: abs(x - at))
        if abs(near - at) < 1e-9:
            assert abs(mine[near] + model.nodes[f"n{i}"].DY["Combo 1"]) < 1e-6 * scale
    for s, r in zip(beam.supports, result.reactions, strict=True):
        there = model.nodes[f"n{round(s.at * STEPS / LENGTH)}"].RxnFY["Combo 1"]
        assert abs(r - there) < 1e-6 * sum(map(abs, result.reactions))
    members = [model.members[f"m{i}"] for i in range(STEPS)]
    most = max(m.max_moment("Mz") for m in members)
    least = min(m.min_moment("Mz") for m in members)
    # the reference samples the moment along each member: it may miss the very top by a little
    assert abs(result.moment - max(most, -least)) < 2e-4 * result.moment
    sag = max(-m.min_deflection("dy") for m in members)
    assert abs(result.sag - sag) < 2e-4 * scale


@pytest.mark.parametrize("seed", range(6))
def test_beams_soft_over_their_supports(seed: int) -> None:
    """Softness over a support stands for a short soft stretch: here half a millimetre on either side."""
    rng = random.Random(1000 + seed)
    cells = sorted(rng.sample(range(4, STEPS - 3, 4), rng.randint(1, 3)))
    places = [0.0, *(c * LENGTH / STEPS for c in cells), LENGTH]
    necks = [0.0, *(10 ** rng.uniform(-8, -6) for _ in cells), 0.0]
    supports = tuple(BeamSupport(at, neck=neck) for at, neck in zip(places, necks, strict=True))
    spread = (SpreadLoad(0.0, LENGTH, rng.uniform(0.05, 0.8)),)
    beam = Beam(LENGTH, EI, supports, spread, (PointLoad(rng.randint(1, STEPS - 1) * LENGTH / STEPS, 150.0),))
    result = solve_beams([beam])[0]
    assert result is not None

    half = 0.5
    model = FEModel3D()
    model.add_material("wood", 1e4, 6e2, 0.3, 5e-6)
    model.add_section("board", 5e3, 1e5, EI / 1e4, 1e5)
    nodes = {i * LENGTH / STEPS for i in range(STEPS + 1)}
    soft = dict(zip(places[1:-1], necks[1:-1], strict=True))
    nodes |= {at + side for at in soft for side in (-half, half)}
    along = sorted(nodes)
    for i, at in enumerate(along):
        model.add_node(f"n{i}", at, 0, 0)
    for i, (a, b) in enumerate(pairwise(along)):
        neck = soft.get(a if a in soft else b) if b - a < 2 * half else None
        if neck is not None:
            model.add_section(f"soft{i}", 5e3, 1e5, half / (neck / 2) / 1e4, 1e5)
        model.add_member(f"m{i}", f"n{i}", f"n{i + 1}", "wood", "board" if neck is None else f"soft{i}")
        model.add_member_dist_load(f"m{i}", "FY", -spread[0].newton_per_mm, -spread[0].newton_per_mm)
    for at in places:
        first = at == 0.0
        model.def_support(f"n{along.index(at)}", first, True, first, first, first, False)
    model.def_support("n0", True, True, True, True, True, False)
    model.add_node_load(f"n{along.index(beam.points[0].at)}", "FY", -beam.points[0].newton)
    model.analyze_linear(check_stability=False)
    for s, r in zip(supports, result.reactions, strict=True):
        there = model.nodes[f"n{along.index(s.at)}"].RxnFY["Combo 1"]
        assert r == pytest.approx(there, abs=2e-3 * sum(map(abs, result.reactions)))
    sag = max(-model.nodes[f"n{i}"].DY["Combo 1"] for i in range(len(along)))
    assert result.sag == pytest.approx(sag, rel=5e-3)
