"""Overlapping parts against closed forms, brute force and booleans of whole world-placed meshes."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import Manifold
from mesh_shapes import at, block, drawn_up, model, part, prism, star, turned
from numpy.typing import NDArray

from furnigen.core.errors import GeometryError
from furnigen.mesh import broadphase, interference
from furnigen.mesh.broadphase import meeting_boxes
from furnigen.mesh.convex_pieces import Solid, convex_pieces
from furnigen.mesh.interference import Interference, Overlap, find_interference
from furnigen.mesh.model import MeshModel, PartMesh
from furnigen.mesh.scene import scene_of
from furnigen.mesh.tolerances import Tolerances

# positions on a quarter-millimetre grid: two boxes touch exactly, or overlap by far more than the tolerance
steps = st.integers(-8, 8)
sizes = st.integers(1, 12)
boxes = st.tuples(st.tuples(steps, steps, steps), st.tuples(sizes, sizes, sizes))
poses = st.builds(
    lambda axis, degrees, shift: at(*shift, turned(axis, degrees)),
    st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda a: np.linalg.norm(a) > 0.1),
    st.floats(-180, 180),
    st.tuples(*[st.floats(-3000, 3000)] * 3),
)


def found(m: MeshModel, deflection_mm: float = 0.0) -> Interference:
    return find_interference(scene_of(m), deflection_mm)


def only(m: MeshModel, deflection_mm: float = 0.0) -> Overlap:
    result = found(m, deflection_mm)
    assert len(result.overlaps) == 1
    assert result.curved_fits == ()
    return result.overlaps[0]


def clean(m: MeshModel, deflection_mm: float = 0.0) -> bool:
    return found(m, deflection_mm) == Interference((), ())


@given(a=boxes, b=boxes, pose=poses)
@settings(max_examples=150, deadline=None)
def test_two_boxes_share_the_product_of_their_shared_lengths(
    a: tuple, b: tuple, pose: NDArray[np.float64]
) -> None:
    (lo_a, size_a), (lo_b, size_b) = ((np.array(lo) * 0.25, np.array(size) * 0.25) for lo, size in (a, b))
    one, two = part("one", block((0, 0, 0), size_a)), part("two", block((0, 0, 0), size_b))
    m = model(("one.1", one, pose @ at(*lo_a)), ("two.1", two, pose @ at(*lo_b)))
    lo, hi = np.maximum(lo_a, lo_b), np.minimum(lo_a + size_a, lo_b + size_b)
    if np.any(hi <= lo):
        assert clean(m)
        return
    overlap = only(m)
    assert (overlap.a, overlap.b) == ("one.1", "two.1")
    assert overlap.volume_mm3 == pytest.approx(np.prod(hi - lo), rel=1e-5)
    centre = pose[:3, :3] @ ((lo + hi) / 2) + pose[:3, 3]
    assert overlap.centre == pytest.approx(centre, abs=1e-5)
    corners = np.array([[x, y, z] for x in (lo[0], hi[0]) for y in (lo[1], hi[1]) for z in (lo[2], hi[2])])
    world = corners @ pose[:3, :3].T + pose[:3, 3]
    assert overlap.lo == pytest.approx(world.min(axis=0), abs=1e-5)
    assert overlap.hi == pytest.approx(world.max(axis=0), abs=1e-5)


def agrees_with_world_boolean(
    solids: list[Manifold], one: NDArray[np.float64], two: NDArray[np.float64]
) -> None:
    """Our report against one boolean of the two solids where they stand in the world."""
    parts = [part(name, s) for name, s in zip(("one", "two"), solids, strict=True)]
    result = found(model(("one.1", parts[0], one), ("two.1", parts[1], two)))
    shared = solids[0].transform(one[:3]) ^ solids[1].transform(two[:3])
    if shared.volume() == 0.0:
        assert result.overlaps == ()
    # the thinnest overlaps may be told either way
    elif 2 * shared.volume() / shared.surface_area() > 0.0101 and shared.volume() > 0.00101:
        assert [o.volume_mm3 for o in result.overlaps] == [pytest.approx(shared.volume(), rel=1e-4)]


# brought near each other, so that about half of the pairs meet
near = st.tuples(*[st.floats(-60, 60)] * 3)
hulls = st.builds(
    lambda outline, t: Manifold.hull_points([(x, y, z) for x, y in outline for z in (0.0, t)]),
    st.lists(st.tuples(st.floats(-60, 60), st.floats(-60, 60)), min_size=3, max_size=7),
    st.floats(2, 80),
).filter(lambda solid: solid.volume() > 1.0)
hollows = st.builds(
    lambda radii, t, hole: drawn_up([star(radii), [(-2, -2), (-2, 2), (2, 2), (2, -2)]][: 1 + hole], t),
    st.lists(st.integers(6, 60), min_size=3, max_size=9),
    st.floats(2, 80),
    st.integers(0, 1),
)


@given(a=hulls, b=hulls, one=poses, turn=poses, shift=near)
@settings(max_examples=100, deadline=None)
def test_leaning_convex_parts_agree_with_a_boolean_in_the_world(
    a: Manifold, b: Manifold, one: NDArray[np.float64], turn: NDArray[np.float64], shift: tuple
) -> None:
    agrees_with_world_boolean([a, b], one, at(*(one[:3, 3] + shift), turn[:3, :3]))


@given(a=hollows, b=hollows | hulls, one=poses, turn=poses, shift=near)
@settings(max_examples=100, deadline=None)
def test_leaning_hollow_parts_agree_with_a_boolean_in_the_world(
    a: Manifold, b: Manifold, one: NDArray[np.float64], turn: NDArray[np.float64], shift: tuple
) -> None:
    agrees_with_world_boolean([a, b], one, at(*(one[:3, 3] + shift), turn[:3, :3]))


def l_shape() -> PartMesh:
    """A 300 x 200 board 18 thick with a notch of 100 x 80 out of its far corner."""
    return part("shelf", prism([(0, 0), (300, 0), (300, 120), (200, 120), (200, 200), (0, 200)], 18))


@pytest.mark.parametrize("turn", [np.eye(3), turned((1, 2, 3), 37.0)], ids=["straight", "leaning"])
def test_a_post_in_a_notch_touches_and_one_half_a_millimetre_too_far_overlaps(
    turn: NDArray[np.float64],
) -> None:
    post = part("post", block((0, 0, 0), (100, 80, 500)))
    world = at(100, -50, 700, turn)
    shelf = ("shelf.1", l_shape(), world)
    assert clean(model(shelf, ("post.1", post, world @ at(200, 120, -200))))
    # half a millimetre over 80 mm of the notch's side and the shelf's 18 mm
    overlap = only(model(shelf, ("post.1", post, world @ at(199.5, 120, -200))))
    assert overlap.volume_mm3 == pytest.approx(0.5 * 80 * 18, rel=1e-5)


def housed_side() -> PartMesh:
    """A side 18 x 400 x 900 with three housings 18.0 high and 6 deep in its +x face."""
    side = block((0, 0, 0), (18, 400, 900))
    for z in (100, 400, 700):
        side -= block((12, -1, z), (19, 401, z + 18))
    return part("side", side)


def test_shelves_in_housings_touch_and_a_shelf_too_long_overlaps() -> None:
    side = housed_side()
    shelf = part("shelf", block((0, 0, 0), (600, 400, 18)))
    right = at(612 + 12, 400, 0, turned((0, 0, 1), 180))
    placed = [("side.1", side, at()), ("side.2", side, right)]
    shelves = [(f"shelf.{z}", shelf, at(12, 0, z)) for z in (100, 400, 700)]
    assert clean(model(*placed, *shelves))
    overlap = only(model(*placed, *shelves[:2], ("shelf.700", shelf, at(11.5, 0, 700))))
    assert (overlap.a, overlap.b) == ("side.1", "shelf.700")
    assert overlap.volume_mm3 == pytest.approx(0.5 * 400 * 18, rel=1e-5)
    assert overlap.lo == pytest.approx((11.5, 0, 700), abs=1e-4)
    assert overlap.hi == pytest.approx((12, 400, 718), abs=1e-4)


def test_a_mesh_met_before_is_not_cut_again_and_overlaps_as_it_did(monkeypatch: pytest.MonkeyPatch) -> None:
    side, shelf = housed_side(), part("shelf", block((0, 0, 0), (600, 400, 18)))
    first = model(("side", side, at()), ("shelf", shelf, at(11.5, 0, 100)), ("low", shelf, at(12, 0, 400)))
    overlaps = found(first).overlaps
    assert [o.b for o in overlaps] == ["shelf"]
    cut: list[int] = []

    def counted(solids: Sequence[Manifold], tol: Tolerances) -> list[list[Solid] | None]:
        cut.append(len(solids))
        return convex_pieces(solids, tol)

    monkeypatch.setattr(interference, "convex_pieces", counted)
    assert found(first).overlaps == overlaps
    assert cut == []
    # one met before beside one that is not: both are cut to pieces once
    other = replace(side, name="other")
    both = [*((i.label, side, i.matrix) for i in first.instances[:1]), ("shelf", shelf, at(12, 0, 100))]
    assert clean(model(*both, ("other", other, at(624, 400, 0, turned((0, 0, 1), 180)))))
    assert cut == [1]


def test_a_part_inside_another_overlaps_by_its_whole_volume() -> None:
    outer, inner = (
        part("outer", block((0, 0, 0), (100, 100, 100))),
        part("inner", block((0, 0, 0), (10, 20, 30))),
    )
    overlap = only(model(("outer.1", outer, at()), ("inner.1", inner, at(40, 40, 40))))
    assert overlap.volume_mm3 == pytest.approx(6000, rel=1e-6)
    assert overlap.centre == pytest.approx((45, 50, 55))


def test_a_part_in_the_hollow_of_a_closed_box_is_free() -> None:
    hollow = part("box", block((0, 0, 0), (100, 100, 100)) - block((10, 10, 10), (90, 90, 90)))
    inner = part("inner", block((0, 0, 0), (80, 80, 80)))
    assert clean(model(("box.1", hollow, at()), ("inner.1", inner, at(10, 10, 10))))


@pytest.mark.parametrize(
    "shape", [l_shape(), part("board", block((0, 0, 0), (300, 200, 18)))], ids=["l", "board"]
)
def test_two_parts_in_one_place_overlap_by_all_of_it(shape: PartMesh) -> None:
    where = at(5, 6, 7, turned((1, 1, 0), 20))
    volume = trimesh.Trimesh(shape.vertices, shape.faces, process=False).volume
    assert only(model(("one", shape, where), ("two", shape, where))).volume_mm3 == pytest.approx(
        volume, rel=1e-5
    )
    twin = PartMesh("twin", shape.vertices, shape.faces, shape.colour, "birch")
    assert only(model(("one", shape, where), ("two", twin, where))).volume_mm3 == pytest.approx(
        volume, rel=1e-5
    )


def test_a_shelf_through_a_frame_s_window_is_free_and_one_too_deep_is_not() -> None:
    ring = part(
        "frame",
        drawn_up(
            [[(0, 0), (400, 0), (400, 900), (0, 900)], [(60, 60), (60, 840), (340, 840), (340, 60)]], 18
        ),
    )
    upright = at(0, 0, 0, np.array([[0.0, 0, 1], [1, 0, 0], [0, 1, 0]]))
    shelf = part("shelf", block((0, 0, 0), (700, 280, 12)))
    assert clean(model(("frame.1", ring, upright), ("shelf.1", shelf, at(-300, 60, 60))))
    deep = part("shelf", block((0, 0, 0), (700, 284, 12)))
    overlap = only(model(("frame.1", ring, upright), ("shelf.1", deep, at(-300, 58, 200))))
    # 2 mm into each stile
    assert overlap.volume_mm3 == pytest.approx(2 * 2 * 18 * 12, rel=1e-5)


def test_touching_is_told_from_overlapping_at_a_hundredth_of_a_millimetre() -> None:
    board = part("board", block((0, 0, 0), (800, 300, 18)))
    assert clean(model(("one", board, at()), ("two", board, at(0, 0, 18 - 0.005))))
    overlap = only(model(("one", board, at()), ("two", board, at(0, 0, 18 - 0.02))))
    assert overlap.volume_mm3 == pytest.approx(0.02 * 800 * 300, rel=1e-4)


def test_a_repeated_relation_is_reported_at_each_of_its_places() -> None:
    board = part("board", block((0, 0, 0), (50, 50, 50)))
    placed = [(f"{n}.{k}", board, at(200 * k + x)) for k in range(5) for n, x in (("a", 0), ("b", 40))]
    overlaps = found(model(*placed)).overlaps
    assert [(o.a, o.b) for o in overlaps] == [(f"a.{k}", f"b.{k}") for k in range(5)]
    assert [o.lo[0] for o in overlaps] == pytest.approx([200 * k + 40 for k in range(5)])
    assert [o.volume_mm3 for o in overlaps] == pytest.approx([10 * 50 * 50] * 5)


def by_trimesh(one: PartMesh, two: PartMesh, pose: NDArray[np.float64]) -> trimesh.Trimesh:
    """What two parts share, by trimesh's own boolean; it hands the engine single precision."""
    meshes = [trimesh.Trimesh(m.vertices, m.faces, process=False) for m in (one, two)]
    meshes[1].apply_transform(pose)
    return trimesh.boolean.intersection(meshes, engine="manifold")


@given(a=hollows, b=hollows | hulls, turn=poses, shift=near)
@settings(max_examples=60, deadline=None)
def test_overlaps_agree_with_trimesh_s_own_boolean(
    a: Manifold, b: Manifold, turn: NDArray[np.float64], shift: tuple
) -> None:
    one, two = part("one", a), part("two", b)
    pose = at(*shift, turn[:3, :3])
    for overlap in found(model(("one.1", one, at()), ("two.1", two, pose))).overlaps:
        reference = by_trimesh(one, two, pose)
        # seven digits of the parts, some 100 mm long
        assert overlap.volume_mm3 == pytest.approx(reference.volume, rel=1e-3, abs=0.05)
        if reference.volume > 1.0:
            assert overlap.centre == pytest.approx(reference.center_mass, abs=0.01)


@pytest.mark.parametrize("size", [1e3, 1e5, 1e6, 1e7])
@pytest.mark.parametrize("turn", [0.0, 37.0])
def test_overlaps_are_measured_at_any_size(size: float, turn: float) -> None:
    """Beams of up to 10 km, 0.02 mm into each other: single precision is lost at 100 m."""
    beam = part("beam", block((0, 0, 0), (size, 200, 100)))
    world = at(3 * size, -size, size / 2, turned((1, 2, 3), turn))
    overlap = only(model(("one", beam, world), ("two", beam, world @ at(size / 2, 0, 100 - 0.02))))
    # the rounding of a pose 1e7 mm from the origin is 2e-9 mm
    assert overlap.volume_mm3 == pytest.approx(0.02 * 200 * size / 2, rel=1e-5)
    centre = world @ [size * 0.75, 100, 99.99, 1]
    assert overlap.centre == pytest.approx(centre[:3], abs=1e-9 * size + 1e-6)


# ---- curved parts: a round dowel of 16 facets in a bored board ----

RADIUS, FACETS = 8.0, 16
SAGITTA = RADIUS * (1 - np.cos(np.pi / FACETS))


def dowelled(dowel_turn: float = 0.0, aside: float = 0.0, curved: bool = True) -> MeshModel:
    bored = block((-30, -30, 0), (30, 30, 40)) - Manifold.cylinder(40, RADIUS, RADIUS, FACETS).translate(
        (0, 0, 10)
    )
    dowel = Manifold.cylinder(60, RADIUS, RADIUS, FACETS)
    return model(
        ("block.1", part("block", bored, curved=curved), at()),
        ("dowel.1", part("dowel", dowel, curved=curved), at(aside, 0, 10, turned((0, 0, 1), dowel_turn))),
    )


def test_a_dowel_fits_its_bore_whatever_the_phase_of_the_facets() -> None:
    assert clean(dowelled(), SAGITTA)
    for turn in (5.0, 180 / FACETS):
        result = found(dowelled(turn), SAGITTA)
        assert result.overlaps == ()
        assert [(f.a, f.b) for f in result.curved_fits] == [("block.1", "dowel.1")]
        assert 0 < result.curved_fits[0].sliver_mm3 < SAGITTA * 2 * np.pi * RADIUS * 30


def test_slivers_count_where_no_curve_explains_them() -> None:
    assert len(found(dowelled(180 / FACETS, curved=False), SAGITTA).overlaps) == 1
    # twice the deflection is all that two tessellations explain
    assert len(found(dowelled(180 / FACETS), SAGITTA / 20).overlaps) == 1


def test_a_dowel_beside_its_bore_overlaps() -> None:
    overlap = only(dowelled(aside=2.0), SAGITTA)
    # two discs of radius r whose centres lie d apart: the crescent is the disc less the lens (plane geometry)
    r, d = RADIUS, 2.0
    lens = 2 * r * r * np.arccos(d / (2 * r)) - d / 2 * np.sqrt(4 * r * r - d * d)
    assert overlap.volume_mm3 == pytest.approx((np.pi * r * r - lens) * 30, rel=0.05)


def test_a_flat_end_pushed_into_a_board_is_no_curved_fit() -> None:
    leg = part("leg", Manifold.cylinder(200, 15, 20, 32), curved=True)
    board = part("board", block((-100, -100, 0), (100, 100, 18)))
    m = model(("leg.1", leg, at()), ("board.1", board, at(0, 0, 200 - 0.15)))
    polygon = 32 / 2 * np.sin(2 * np.pi / 32) * 20**2
    assert only(m, 0.1).volume_mm3 == pytest.approx(0.15 * polygon, rel=1e-2)


# ---- broad phase ----


@given(st.lists(st.tuples(*[st.integers(-20, 20)] * 3, *[st.integers(0, 30)] * 3), max_size=40))
@settings(max_examples=100, deadline=None)
def test_meeting_boxes_are_those_brute_force_finds(rows: list) -> None:
    table = np.array(rows, dtype=float).reshape(-1, 6)
    lo, hi = table[:, :3], table[:, :3] + table[:, 3:]
    wanted = [
        [i, j]
        for i in range(len(lo))
        for j in range(i + 1, len(lo))
        if np.all(lo[i] <= hi[j] + 0.01) and np.all(lo[j] <= hi[i] + 0.01)
    ]
    with pytest.MonkeyPatch.context() as patch:
        for few in (0, broadphase.FEW):
            patch.setattr(broadphase, "FEW", few)
            assert meeting_boxes(lo, hi, 0.01).tolist() == wanted


# ---- bad input ----


def test_meshes_that_are_no_solid_are_refused_by_name() -> None:
    good = part("lid", block((0, 0, 0), (1, 2, 3)))
    beyond = good.faces.copy()
    beyond[0, 0] = 99
    broken = {
        "not closed": (good.vertices, good.faces[1:]),
        "encloses -6": (good.vertices, good.faces[:, ::-1]),
        "not a finite number": (np.where(good.vertices == 3, np.nan, good.vertices), good.faces),
        "encloses 0": (good.vertices * [1, 1, 0], good.faces),
        "no faces": (good.vertices, good.faces[:0]),
        "corner 99 of 8": (good.vertices, beyond),
    }
    for message, (vertices, faces) in broken.items():
        bad = PartMesh("lid", vertices, faces, good.colour, "birch")
        with pytest.raises(GeometryError, match=f"part lid.*{message}"):
            scene_of(model(("base.1", part("base", block((0, 0, 0), (5, 5, 5))), at()), ("lid.1", bad, at())))


@pytest.mark.parametrize(
    "matrix", [np.diag([2.0, 1, 1, 1]), np.diag([-1.0, 1, 1, 1]), np.full((4, 4), np.nan)]
)
def test_a_placement_that_is_not_rigid_is_refused_by_label(matrix: NDArray[np.float64]) -> None:
    board = part("board", block((0, 0, 0), (5, 5, 5)))
    with pytest.raises(GeometryError, match=r"placement board\.7"):
        scene_of(model(("board.1", board, at()), ("board.7", board, matrix)))


def test_nothing_placed_overlaps_nothing() -> None:
    assert clean(MeshModel("empty", (), ()))


def test_a_clean_model_is_checked_without_loading_trimesh() -> None:
    # trimesh takes as long to load as all of the rest of a small check
    code = (
        "import sys; from mesh_shapes import *; from furnigen.mesh.scene import scene_of;"
        "from furnigen.mesh.interference import find_interference as f;"
        "b = part('b', block((0, 0, 0), (1, 1, 1)));"
        "assert not f(scene_of(model(('1', b, at()), ('2', b, at(1))))).overlaps;"
        "print('trimesh' in sys.modules)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=Path(__file__).parent, check=True
    )
    assert ran.stdout.strip() == "False"
