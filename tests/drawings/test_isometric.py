"""Isometric line views against plain geometry and against the CAD kernel's own removal of hidden lines."""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pytest

from furnigen import build, find_recipe
from furnigen.drawings.exploded import exploded
from furnigen.drawings.isometric import NEAR, RIGHT, Picture, Shown, skeleton_of, skeletons_of
from furnigen.drawings.picture_items import inner_point
from furnigen.mesh.light_mesh import light_mesh, without_hardware_holes
from furnigen.mesh.model import PartMesh

CORNERS = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=float)
QUADS = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
FACES = np.array([t for a, b, c, d in QUADS for t in ((a, b, c), (a, c, d))])


def cube(name: str, size: float, at: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Shown:
    mesh = PartMesh(name, CORNERS * size, FACES, (0.5, 0.5, 0.5), "x")
    matrix = np.eye(4)
    matrix[:3, 3] = at
    return Shown(name, skeleton_of(mesh), matrix)


def length(lines) -> float:
    return float(sum(np.hypot(*(b - a)) for a, b in lines))


def test_a_cube_shows_nine_edges_each_foreshortened_alike():
    # ISO 5456-3: in isometry every axis is shortened by the root of two thirds
    ((_, lines),) = Picture([cube("a", 100.0)]).visible_edges()
    assert len(lines) == 9
    assert length(lines) == pytest.approx(9 * 100.0 * sqrt(2 / 3), rel=1e-9)


def test_the_faces_of_a_cube_fill_its_hexagon():
    areas = Picture([cube("a", 100.0)]).visible_areas()
    assert {way for _, way in areas} == {0, 1, 2}
    for rings in areas.values():
        (x, y) = np.concatenate(rings).T
        area = abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2
        assert area == pytest.approx(100.0**2 / sqrt(3), rel=1e-6)


def test_what_stands_behind_is_hidden_wholly_or_where_it_is_covered():
    way = np.array(NEAR) * -1000.0
    small = cube("small", 50.0, tuple(way + 25.0))
    picture = Picture([cube("front", 100.0), small])
    assert [picture.shown[k].name for k, _ in picture.visible_edges()] == ["front"]
    half = cube("half", 100.0, tuple(way + np.array(RIGHT) * 40.0))
    seen = dict(Picture([cube("front", 100.0), half]).visible_edges())
    assert 0 < length(seen[1]) < length(seen[0])


def test_a_part_that_touches_another_keeps_its_edges():
    # the small cube stands on the face of the large one: none of its nine edges is lost
    picture = Picture([cube("base", 100.0), cube("top", 20.0, (40.0, 40.0, 100.0))])
    seen = dict(picture.visible_edges())
    assert length(seen[1]) == pytest.approx(9 * 20.0 * sqrt(2 / 3), rel=1e-6)


def kernel_lines(piece, solids):
    """Visible sharp edges and outlines as the kernel finds them, as points 2 mm apart or nearer."""
    from OCP.BRep import BRep_Builder
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.BRepLib import BRepLib
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
    from OCP.HLRAlgo import HLRAlgo_Projector
    from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS, TopoDS_Compound

    from furnigen.kernel.step import pose_location

    whole, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(whole)
    for p in piece.placements:
        builder.Add(whole, solids[p.part].Moved(pose_location(p.pose)))
    algo = HLRBRep_Algo()
    algo.Add(whole)
    algo.Projector(HLRAlgo_Projector(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(*NEAR), gp_Dir(*RIGHT))))
    algo.Update()
    algo.Hide()
    shapes = HLRBRep_HLRToShape(algo)
    points = []
    for found in (shapes.VCompound(), shapes.OutLineVCompound()):
        if found is None or found.IsNull():
            continue
        BRepLib.BuildCurves3d_s(found)
        walk = TopExp_Explorer(found, TopAbs_EDGE)
        while walk.More():
            curve = BRepAdaptor_Curve(TopoDS.Edge_s(walk.Current()))
            a, b = curve.FirstParameter(), curve.LastParameter()
            p, q = curve.Value(a), curve.Value(b)
            n = max(int(p.Distance(q)) // 2, 2)
            for k in range(n + 1):
                v = curve.Value(a + (b - a) * k / n)
                points.append((v.X(), v.Y()))
            walk.Next()
    return np.array(points)


@pytest.mark.parametrize("name", ["crate_wall", "panel_bookcase"])
def test_lines_are_those_the_kernel_finds(name):
    from scipy.spatial import cKDTree

    piece = find_recipe(name)()
    kernel = kernel_lines(piece, build(piece).solids)
    made = {p.name: light_mesh(p) for p in piece.parts}
    skeletons = skeletons_of(piece.parts, made)
    shown = [Shown(p.label, skeletons[p.part], np.array(p.pose.matrix())) for p in piece.placements]
    lines = np.concatenate([lines for _, lines in Picture(shown).visible_edges()])
    mine = []
    for a, b in lines:
        n = max(int(np.hypot(*(b - a))) // 2, 2)
        mine.append(a + np.linspace(0, 1, n + 1)[:, None] * (b - a))
    mine = np.concatenate(mine)
    # nearest points of two rows 2 mm apart are at most 1 mm along, and must not be off the line
    off = cKDTree(kernel).query(mine)[0]
    assert np.mean(off > 1.5) < 0.005
    off = cKDTree(mine).query(kernel)[0]
    assert np.mean(off > 1.5) < 0.005


def test_holes_for_hardware_are_left_out_and_curves_show_their_outline_only():
    piece = find_recipe("divided_case")()
    leg = next(p for p in piece.parts if p.name == "leg")
    skeleton = skeletons_of([leg], {})[0]
    assert len(skeleton.edges) == len(skeleton_of(light_mesh(without_hardware_holes(leg))).edges)
    picture = Picture([Shown("leg", skeleton, np.eye(4))])
    long = [e for e in picture.edges if np.linalg.norm(e[1] - e[0]) > 60.0]
    assert len(long) == 2  # the two outlines of the taper, of more than a dozen facets


def test_the_point_for_a_balloon_is_in_the_middle_of_an_area():
    square = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
    (x, y), room = inner_point([square])
    assert (x, y, room) == pytest.approx((5.0, 5.0, 5.0))
    turns = np.linspace(0, 2 * pi, 5)[:-1]
    hole = np.stack([5 + 4 * np.cos(-turns), 5 + 4 * np.sin(-turns)], axis=1)
    (x, y), room = inner_point([square, hole])
    assert room > 0.5
    assert abs(x - 5) + abs(y - 5) > 4.0
    assert inner_point([]) is None


@pytest.mark.parametrize("name", ["crate_wall", "divided_case", "panel_bookcase", "leaning_shelf"])
def test_an_exploded_view_comes_apart_along_the_proven_ways(name):
    piece = find_recipe(name)()
    order = build(piece).construction.assembly
    boxes = {p.label: piece.bounds_of(p) for p in piece.placements}
    offsets = exploded(order.steps, boxes, {})
    assert set(offsets) == set(boxes)
    assert len({tuple(np.round(o, 3)) for o in offsets.values()}) > len(order.steps) / 3
    for step in order.steps:
        for label in step.parts:
            if step.way is not None:
                by = np.array(offsets[label])
                assert np.linalg.norm(by) > 1.0
                assert by / np.linalg.norm(by) == pytest.approx(-np.array(step.way), abs=1e-9)
