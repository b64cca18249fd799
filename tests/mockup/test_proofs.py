"""The proof of a mesh: it finds every fault put into a mesh on purpose, and measures walls known by hand."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from manifold3d import CrossSection, Manifold

from furnigen.mockup.letters import text_section
from furnigen.mockup.mesh_proof import prove_mesh
from furnigen.mockup.print_solids import printable_mesh, without_slivers
from furnigen.mockup.wall_thickness import thinnest_wall


def box(x: float, y: float, z: float, at: tuple[float, float, float] = (0, 0, 0)) -> tuple:
    return printable_mesh(Manifold.cube((x, y, z)).translate(at))


def both(*meshes: tuple) -> tuple:
    """Meshes laid together as they are, not joined, equal places one corner."""
    v = np.concatenate([m[0] for m in meshes])
    start = np.cumsum([0, *(len(m[0]) for m in meshes)])
    f = np.concatenate([m[1] + s for m, s in zip(meshes, start, strict=False)])
    v, index = np.unique(v, axis=0, return_inverse=True)
    return v, index.reshape(-1)[f]


def test_a_box_is_sound() -> None:
    proof = prove_mesh(*box(10, 20, 2), 5.0)
    assert proof.sound
    assert (proof.volume_mm3, proof.wall_mm) == pytest.approx((400.0, 2.0))


def test_a_hole_is_found() -> None:
    v, f = box(10, 20, 2)
    assert prove_mesh(v, f[1:], 5.0).open_edges == 3
    assert not prove_mesh(v, f[1:], 5.0).sound


def test_a_triangle_turned_over_is_found() -> None:
    v, f = box(10, 20, 2)
    f = f.copy()
    f[0] = f[0, ::-1]
    assert prove_mesh(v, f, 5.0).open_edges == 3


def test_a_mesh_inside_out_is_found() -> None:
    v, f = box(10, 20, 2)
    assert prove_mesh(v, f[:, ::-1], 5.0).volume_mm3 == pytest.approx(-400.0)
    assert not prove_mesh(v, f[:, ::-1], 5.0).sound


def test_two_boxes_that_meet_in_an_edge_are_no_manifold() -> None:
    assert prove_mesh(*both(box(1, 1, 1), box(1, 1, 1, (1, 1, 0))), 5.0).open_edges == 1


def test_two_boxes_that_meet_in_a_point_pinch_it() -> None:
    proof = prove_mesh(*both(box(1, 1, 1), box(1, 1, 1, (1, 1, 1))), 5.0)
    assert (proof.open_edges, proof.pinched) == (0, 1)


def test_two_boxes_through_each_other_cross() -> None:
    proof = prove_mesh(*both(box(10, 10, 10), box(3, 3, 30, (4, 3, -7))), 50.0)
    assert proof.open_edges == 0
    assert proof.crossings > 0


def test_two_boxes_face_on_face_cover_each_other() -> None:
    assert prove_mesh(*both(box(4, 4, 4), box(2, 2, 4, (1, 1, 4))), 50.0).crossings > 0


def test_slivers_are_traded_for_triangles_with_a_normal() -> None:
    # the third corner lies a tenth of a micrometre beside the edge of 100 mm
    v = np.array([[0, 0, 0], [100, 0, 0], [50, 1e-4, 0], [50, -20, 0], [50, 20, 0]])
    f = np.array([[0, 1, 2], [0, 3, 1], [2, 1, 4], [0, 2, 4]])
    found = without_slivers(v, f)
    assert {frozenset(t) for t in found.tolist()} == {
        frozenset(t) for t in [(0, 3, 2), (3, 1, 2), (2, 1, 4), (0, 2, 4)]
    }
    assert (np.cross(v[found[:, 1]] - v[found[:, 0]], v[found[:, 2]] - v[found[:, 0]])[:, 2] > 100).all()


@pytest.mark.parametrize("turn", [0.0, 17.0, 45.0])
def test_walls_are_measured_whichever_way_they_stand(turn: float) -> None:
    # a tray: walls of 1.25 and 2 mm, a floor of 0.75 mm
    tray = Manifold.cube((30, 20, 8)) - Manifold.cube((26.75, 16, 8)).translate((1.25, 2, 0.75))
    wall, at = thinnest_wall(*printable_mesh(tray.rotate((turn, 2 * turn, 0.0))), 3.0)
    assert wall == pytest.approx(0.75, abs=2e-4)
    assert np.isfinite(at).all()


def test_a_tapering_wall_is_as_thick_as_its_thin_end() -> None:
    # from 0.5 to 1.5 mm over 20 mm, 3 degrees
    wedge = CrossSection([[(0, 0), (20, 0), (20, 1.5), (0, 0.5)]])
    assert thinnest_wall(*printable_mesh(Manifold.extrude(wedge, 10)), 3.0)[0] == pytest.approx(0.5, abs=2e-4)


def test_a_gap_is_no_wall() -> None:
    # a slot of 0.3 mm of air between legs of 5 mm
    fork = Manifold.cube((10.3, 5, 20)) - Manifold.cube((0.3, 5, 10)).translate((5, 0, 10))
    assert thinnest_wall(*printable_mesh(fork), 3.0)[0] == 3.0


@pytest.mark.parametrize("char", "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-+/_.")
def test_every_letter_prints_at_the_width_of_its_strokes(char: str) -> None:
    section = text_section(char, 0.8)
    assert len(section.decompose()) == 1
    v, f = printable_mesh(Manifold.extrude(section, 2.0))
    proof = prove_mesh(v, f, 2.0)
    assert proof.sound
    # 0.8 mm is the limit; simplifying moves a face by up to 0.002 mm
    assert proof.wall_mm >= 0.8 - 0.004


def test_no_two_letters_look_alike() -> None:
    letters = {char: text_section(char, 0.8) for char in "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-+/_."}
    for (a, one), (b, two) in combinations(letters.items(), 2):
        # a part of a stroke at least
        assert (one - two).area() + (two - one).area() > 0.8**2, (a, b)
