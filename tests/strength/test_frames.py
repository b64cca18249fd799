"""Plane frames against PyNiteFEA, an independent frame program, and against closed forms."""

import random
from math import inf, isclose

import numpy as np
import pytest
from Pynite import FEModel3D

from furnigen.core.errors import InputError
from furnigen.strength.model.racking import Rack, find_turning, push_sideways
from furnigen.strength.solver.beam import Beam, BeamSupport, SpreadLoad, solve_beams
from furnigen.strength.solver.frame import (
    FrameMember,
    ShearPanel,
    fastener_slip,
    panel_shear,
    solve_frame,
    sway_safety,
)

E = 1e4


def random_rack(seed: int):  # type: ignore[no-untyped-def]
    """A rack of two to four uprights on two to four levels, a brace or two, loads, some hinged ends."""
    rng = random.Random(seed)
    xs = np.cumsum([0.0] + [rng.uniform(400, 1000) for _ in range(rng.randint(1, 3))])
    zs = np.cumsum([0.0] + [rng.uniform(200, 600) for _ in range(rng.randint(2, 4))])
    nodes = [(float(x), float(z)) for x in xs for z in zs]
    rows = len(zs)
    members = [
        FrameMember(i * rows + j, i * rows + j + 1, E * 720.0, E * 2e4)
        for i in range(len(xs))
        for j in range(rows - 1)
    ]
    for i in range(len(xs) - 1):
        for j in range(1, rows):
            ends = [rng.choice([inf, inf, 0.0]) for _ in range(2)]
            load = (rng.uniform(-0.1, 0.1), -rng.uniform(0.1, 0.6))
            members.append(FrameMember(i * rows + j, (i + 1) * rows + j, E * 5400.0, E * 1.4e5, *ends, load))
    members.append(FrameMember(0, rows + 1, E * 400.0, E * 1e3, 0.0, 0.0))
    held = {i * rows: (True, True, rng.random() < 0.5) for i in range(len(xs))}
    forces = {rng.randrange(1, rows): (rng.uniform(10, 100), 0.0, rng.uniform(-1e4, 1e4)) for _ in range(3)}
    return nodes, members, held, forces


@pytest.mark.parametrize("seed", range(8))
def test_random_frames(seed: int) -> None:
    nodes, members, held, forces = random_rack(seed)
    mine = solve_frame(nodes, members, held, forces)
    model = FEModel3D()
    model.add_material("wood", E, 6e2, 0.3, 5e-6)
    for i, (x, z) in enumerate(nodes):
        model.add_node(f"n{i}", x, z, 0)
        x_held, z_held, turn_held = held.get(i, (False, False, False))
        model.def_support(f"n{i}", x_held, z_held, True, True, True, turn_held)
    for i, m in enumerate(members):
        model.add_section(f"s{i}", m.ea / E, 1e5, m.ei / E, 1e5)
        model.add_member(f"m{i}", f"n{m.a}", f"n{m.b}", "wood", f"s{i}")
        model.def_releases(f"m{i}", Rzi=m.spring_a == 0.0, Rzj=m.spring_b == 0.0)
        for direction, w in zip(("FX", "FY"), m.load, strict=True):
            model.add_member_dist_load(f"m{i}", direction, w, w)
    for i, (fx, fz, moment) in forces.items():
        for direction, size in (("FX", fx), ("FY", fz), ("MZ", moment)):
            model.add_node_load(f"n{i}", direction, size)
    model.analyze_linear(check_stability=False)
    scale = abs(mine.moved[:, :2]).max()
    for i in range(len(nodes)):
        node = model.nodes[f"n{i}"]
        assert abs(mine.moved[i, 0] - node.DX["Combo 1"]) < 1e-6 * scale
        assert abs(mine.moved[i, 1] - node.DY["Combo 1"]) < 1e-6 * scale
    force = abs(mine.reactions[:, :2]).max()
    for i in held:
        node = model.nodes[f"n{i}"]
        assert abs(mine.reactions[i, 0] - node.RxnFX["Combo 1"]) < 1e-6 * force
        assert abs(mine.reactions[i, 1] - node.RxnFY["Combo 1"]) < 1e-6 * force
    for i, m in enumerate(members):
        there = model.members[f"m{i}"].f("Combo 1").ravel()
        theirs = [there[0], there[1], there[5], there[6], there[7], there[11]]
        assert np.allclose(mine.ends[i], theirs, rtol=1e-5, atol=1e-5 * force * 100), m


@pytest.mark.parametrize("springs", [(3e6, 7e5), (0.0, 2e6), (inf, 4e5), (1e6, 0.0)])
def test_joints_that_give_under_an_even_load(springs: tuple[float, float]) -> None:
    """A member between clamped nodes is a beam whose ends its springs hold."""
    length, ei, load = 850.0, 1.4e9, 0.6
    clamped = {0: (True, True, True), 1: (True, True, True)}
    for up in (False, True):  # the same standing upright, pushed sideways
        nodes = [(0.0, 0.0), (0.0, length) if up else (length, 0.0)]
        member = FrameMember(0, 1, 1e6, ei, *springs, (load, 0.0) if up else (0.0, -load))
        ends = solve_frame(nodes, [member], clamped, {}).ends[0]
        supports = tuple(BeamSupport(at, turning=k) for at, k in zip((0.0, length), springs, strict=True))
        bent = solve_beams([Beam(length, ei, supports, (SpreadLoad(0.0, length, load),))])[0]
        assert bent is not None
        assert np.allclose(abs(ends[[1, 4]]), bent.reactions, rtol=1e-12)
        assert np.allclose(abs(ends[[2, 5]]), np.abs(bent.held), rtol=1e-9, atol=1e-6)


STIFF = 1e12


def portal(joint: float, **more: float) -> Rack:
    return Rack((0.0, 800.0), (700.0,), 700.0, 2e9, 3e9, STIFF, STIFF, joint, **more)


@pytest.mark.parametrize("joint", [1e5, 1e6, 1e9])
def test_portal_on_hinges(joint: float) -> None:
    """Virtual work: F h² w / 12 EI_b + F h³ / 6 EI_c + F h² / 2 k, and the joint moment F h / 2."""
    result = push_sideways(portal(joint))
    sway = 700**2 * 800 / (12 * 3e9) + 700**3 / (6 * 2e9) + 700**2 / (2 * joint)
    assert isclose(1 / result.stiffness, sway, rel_tol=1e-5)
    assert isclose(result.joint_moment, 350.0, rel_tol=1e-5)
    assert result.joints_only


def test_back_and_brace() -> None:
    """Hinged joints: a sheet sways F h / (G t w); a diagonal F d³ / (EA w²)."""
    levels, shear = (0.0, 700.0), 500.0
    sheet = Rack((0.0, 800.0), levels, 700.0, 1e2, 1e2, STIFF, STIFF, 0.0, back=shear)
    result = push_sideways(sheet)
    assert isclose(result.stiffness, shear * 800 / 700, rel_tol=1e-4)
    assert (result.joints_alone, result.joints_only) == (0.0, False)
    brace = Rack((0.0, 800.0), levels, 700.0, 1e2, 1e2, STIFF, STIFF, 0.0, brace_ea=1e6)
    diagonal = (800**2 + 700**2) ** 0.5
    assert isclose(push_sideways(brace).stiffness, 1e6 * 800**2 / diagonal**3, rel_tol=1e-4)
    with_joints = push_sideways(portal(1e6, back=shear))
    assert with_joints.stiffness == push_sideways(portal(1e6)).stiffness  # one level: nothing to brace


def test_sheet_between_posts_by_energy() -> None:
    """Half a newton-millimetre of work: four nodes, posts hinged, the sheet alone stores the energy."""
    nodes = [(0.0, 0.0), (600.0, 0.0), (0.0, 400.0), (600.0, 400.0)]
    members = [FrameMember(a, b, STIFF, 1.0, 0.0, 0.0) for a, b in ((0, 2), (1, 3), (2, 3), (0, 1))]
    held = {0: (True, True, False), 1: (True, True, False)}
    panel = ShearPanel(0, 1, 2, 3, 250.0)
    result = solve_frame(nodes, members, held, {2: (1.0, 0.0, 0.0)}, [panel])
    assert isclose(result.moved[2, 0], 400 / (250 * 600), rel_tol=1e-6)
    # the bars are some 10^7 times as stiff as the sheet: their rounding is seen in the sum
    assert isclose(float(result.reactions[:, 0].sum()), -1.0, rel_tol=1e-8)


def test_fixings_of_a_sheet() -> None:
    """Energy, fastener by fastener: 1 N of shear flow per mm along 2 (w + h) of edge, each giving q s / K."""
    g, t, w, h, pitch, slip = 800.0, 6.0, 900.0, 1200.0, 100.0, 400.0
    q = 1.0
    sheet = q**2 / (g * t) * w * h / 2
    fasteners = 2 * (w + h) / pitch * (q * pitch) ** 2 / slip / 2
    strain = 2 * (sheet + fasteners) / (q * w * h)  # work of the edge forces = q w h gamma / 2
    assert isclose(panel_shear(g, t, w, h, pitch, slip), q / strain, rel_tol=1e-12)
    assert panel_shear(g, t, w, h) == g * t
    # EN 1995-1-1 Table 7.1 (from memory), a 4 mm screw in wood of 450 kg/m3
    assert isclose(fastener_slip(450.0, 4.0, drilled=True), 450**1.5 * 4 / 23, rel_tol=1e-12)
    assert fastener_slip(450.0, 2.0, drilled=False) < fastener_slip(450.0, 4.0, drilled=False)


def test_stiffer_joints_and_more_levels_sway_less() -> None:
    last = 0.0
    for joint in (1e5, 1e6, 1e7):
        stiffness = push_sideways(portal(joint)).stiffness
        assert stiffness > last
        last = stiffness
    two = Rack((0.0, 800.0), (350.0, 700.0), 700.0, 2e9, 3e9, STIFF, STIFF, 1e6)
    assert push_sideways(two).stiffness > push_sideways(portal(1e6)).stiffness
    loose = push_sideways(portal(0.0))
    assert (loose.stiffness, loose.joints_only) == (0.0, True)


def test_sway_safety_is_where_a_pushed_post_falls() -> None:
    """A rigid post of height h on a hinge with a spring K at its top: W u / h against K u."""
    assert isclose(sway_safety(2.0, 1000.0, 1800.0), 3.6)


def test_joint_table() -> None:
    assert find_turning("pins", glued=False).design == 0.0
    housing, dry = find_turning("housing", glued=True), find_turning("housing", glued=False)
    assert housing.low <= housing.design <= housing.high
    assert dry.design < housing.design
    assert find_turning("bolted", glued=True) == find_turning("bolted", glued=False)
    with pytest.raises(InputError, match="known only for pins"):
        find_turning("tape", glued=False)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: push_sideways(Rack((0.0,), (1.0,), 2.0, 1, 1, 1, 1, 1)), "two uprights"),
        (lambda: push_sideways(Rack((0.0, 1.0), (), 2.0, 1, 1, 1, 1, 1)), "two uprights and a level"),
        (lambda: push_sideways(Rack((0.0, 1.0), (3.0,), 2.0, 1, 1, 1, 1, 1)), "levels"),
        (lambda: panel_shear(1.0, 0.0, 1.0, 1.0), "panel"),
        (lambda: fastener_slip(0.0, 1.0, drilled=True), "fastener"),
        (lambda: sway_safety(1.0, 0.0, 1.0), "weight"),
        (lambda: solve_frame([(0, 0), (0, 0)], [FrameMember(0, 1, 1.0, 1.0)], {}, {}), "must have a length"),
        (
            lambda: solve_frame([(0, 0), (0, 1)], [FrameMember(0, 1, 1.0, 0.0)], {}, {}),
            "stiffness above zero",
        ),
        (
            lambda: solve_frame(
                [(0, 0), (0, 9)], [FrameMember(0, 1, 1.0, 1.0)], {0: (True, True, False)}, {1: (1.0, 0, 0)}
            ),
            "move freely",
        ),
        (
            lambda: solve_frame([(0, 0), (1, 0), (0, 0), (1, 0)], [], {}, {}, [ShearPanel(0, 1, 2, 3, 1.0)]),
            "must have a size",
        ),
    ],
)
def test_what_is_no_frame_is_refused(call, words: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(InputError, match=words):
        call()
