"""DXF for a router: read back by two other programs, each board rebuilt from its drawings alone."""

from __future__ import annotations

import io
from itertools import pairwise
from math import asin, atan, cos, hypot, pi, sin, tan

import ezdxf
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from furnigen import Draft, find_recipe, find_stock, ring
from furnigen.core.pose import Pose
from furnigen.cutting.contours import with_arcs
from furnigen.cutting.cut_rows import Order, cut_rows
from furnigen.cutting.own_stock import Shop
from furnigen.cutting.part_dxf import part_files
from furnigen.parts.forms.prism import Prism
from furnigen.parts.volume.moments import volume_mm3

BOARDS = ("panel_bookcase", "crate_wall", "divided_case")


def ring_area(points) -> float:
    """Area of a closed polyline with bulges (mm²), signed: shoelace, and the segments of its arcs."""
    total = 0.0
    for (x0, y0, bulge), (x1, y1, _) in zip(points, [*points[1:], points[0]], strict=True):
        total += (x0 * y1 - x1 * y0) / 2
        if bulge:
            angle, chord = 4 * atan(bulge), hypot(x1 - x0, y1 - y0)
            radius = chord / 2 / sin(abs(angle) / 2)
            total += (1 if bulge > 0 else -1) * radius**2 / 2 * (abs(angle) - sin(abs(angle)))
    return total


def removed(document, thickness: float) -> tuple[float, float]:
    """Volume within the outline, and what pockets and holes of a drawing take out (mm³), from the DXF alone.

    Pockets are rectangles that may cross: where they do, the deeper one counts.
    """
    whole = taken = 0.0
    pockets: list[tuple[float, float, float, float, float]] = []
    for e in document.modelspace():
        layer = e.dxf.layer
        if e.dxftype() == "LWPOLYLINE":
            assert e.closed
            points = [(x, y, b) for x, y, b in e.get_points("xyb")]
            if layer == "cut_through":
                whole += ring_area(points) * thickness
            elif layer.startswith("pocket_"):
                xs, ys = [p[0] for p in points], [p[1] for p in points]
                pockets.append((min(xs), max(xs), min(ys), max(ys), float(layer.split("_")[1])))
        elif e.dxftype() == "CIRCLE" and layer.startswith("drill_"):
            depth = layer.split("_")[2]
            taken += pi * e.dxf.radius**2 * (thickness if depth == "through" else float(depth))
    xs = sorted({v for p in pockets for v in p[:2]})
    ys = sorted({v for p in pockets for v in p[2:4]})
    for x0, x1 in pairwise(xs):
        for y0, y1 in pairwise(ys):
            x, y = (x0 + x1) / 2, (y0 + y1) / 2
            deepest = max((p[4] for p in pockets if p[0] < x < p[1] and p[2] < y < p[3]), default=0.0)
            taken += (x1 - x0) * (y1 - y0) * deepest
    return whole, taken


@pytest.mark.parametrize("name", BOARDS)
def test_each_board_is_rebuilt_from_its_drawings_alone(name):
    rows = cut_rows([Order(find_recipe(name)())], Shop())
    files = part_files(rows)
    checked = 0
    for row in rows:
        if row.form != "board" or any("askew" in w or "off square" in w for w in row.joints):
            continue
        part = row.source[0]
        thickness = part.form.blank_mm[2]
        whole = taken = 0.0
        for drawing in (row.part, f"{row.part}-under"):
            if drawing not in files:
                continue
            document = ezdxf.read(io.StringIO(files[drawing].decode()))
            audit = document.audit()
            assert not audit.errors
            outline, cut = removed(document, thickness)
            whole, taken = whole + outline, taken + cut
            points = [p for e in document.modelspace().query("LWPOLYLINE") for p in e.get_points("xy")]
            assert min(p[0] for p in points) == pytest.approx(0, abs=1e-6)
            assert min(p[1] for p in points) == pytest.approx(0, abs=1e-6)
        # layers name depths to a hundredth of a millimetre
        assert whole - taken == pytest.approx(volume_mm3(part), rel=2e-4), row.part
        checked += 1
    assert checked >= 4


def test_a_second_reader_finds_the_same_outlines():
    rows = cut_rows([Order(find_recipe("crate_wall")())], Shop())
    shelf = next(r for r in rows if r.part == "shelf")
    path = trimesh.load_path(io.BytesIO(part_files([shelf])["shelf"]), file_type="dxf")
    loops = [e for e in path.entities if e.closed]
    assert len(loops) == 1
    f = shelf.finished
    # three laps of 12.2 x 125 are cut out of its outline
    corners = path.vertices[loops[0].points]
    assert [*corners.min(axis=0), *corners.max(axis=0)] == pytest.approx([0, 0, f.length, f.width])
    area = abs(ring_area([(x, y, 0.0) for x, y in corners[:-1]]))
    assert area == pytest.approx(f.length * f.width - 3 * 12.2 * 125, rel=1e-6)


def one(form, stock="birch-ply-18") -> dict[str, bytes]:
    draft = Draft("one")
    draft.place("piece", form, find_stock(stock), Pose())
    return part_files(cut_rows([Order(draft.done())], Shop()))


def test_windows_are_closed_polylines_of_their_own():
    files = one(ring(900, 300, 17.6, 60))
    document = ezdxf.read(io.StringIO(next(iter(files.values())).decode()))
    outlines = document.modelspace().query('LWPOLYLINE[layer=="cut_through"]')
    sizes = sorted(abs(ring_area([(x, y, 0.0) for x, y in e.get_points("xy")])) for e in outlines)
    assert sizes == pytest.approx([780 * 180, 900 * 300])


def test_a_bowed_front_comes_out_as_an_arc():
    """A front drawn as 48 chords of a circle of 1000 mm is one arc of that radius."""
    half, radius, depth = 300.0, 1000.0, 250.0
    turn = asin(half / radius)
    angles = [-turn + 2 * turn * k / 48 for k in range(49)]
    bow = [(half + radius * sin(a), radius * (1 - cos(a))) for a in angles]
    outline = (*bow, (600.0, depth), (0.0, depth))
    files = one(Prism(600.0, depth, 17.6, tuple(outline)))
    document = ezdxf.read(io.StringIO(next(iter(files.values())).decode()))
    (polyline,) = document.modelspace().query('LWPOLYLINE[layer=="cut_through"]')
    points = list(polyline.get_points("xyb"))
    assert len(points) == 4
    (arc,) = [p for p in points if p[2]]
    assert abs(arc[2]) == pytest.approx(tan(2 * turn / 4), rel=1e-6)


@settings(deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0, 6.28), st.floats(50, 300)),
        min_size=3,
        max_size=40,
        unique_by=lambda p: round(p[0], 2),
    )
)
def test_arcs_keep_the_area_of_any_outline(polar):
    outline = tuple((500 + r * cos(a), 500 + r * sin(a)) for a, r in sorted(polar))
    straight = ring_area([(x, y, 0.0) for x, y in outline])
    assert ring_area(with_arcs(outline)) == pytest.approx(straight, rel=1e-3, abs=50.0)


def test_the_hole_schedule_marks_what_is_drilled_into_edges():
    rows = cut_rows([Order(find_recipe("ring_rack")())], Shop())
    bearer = next(r for r in rows if r.part == "bearer")
    document = ezdxf.read(io.StringIO(part_files([bearer])["bearer"].decode()))
    said = [t.dxf.text for t in document.modelspace().query('TEXT[layer=="schedule"]')]
    assert "holes (4):" in said
    assert sum(line.startswith("edge at x ") and "height 10.2: d 10, 29.6 deep" in line for line in said) == 4
    layers = {e.dxf.layer for e in document.modelspace()}
    assert "edge_drill_10_29.6" in layers
    assert not any(layer.startswith("drill_") for layer in layers)
