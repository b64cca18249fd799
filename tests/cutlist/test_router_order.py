"""The order in which a router cuts a nested sheet: nothing is cut free before what lies in it or on it."""

from __future__ import annotations

import io
from itertools import pairwise
from math import dist
from random import Random

import ezdxf
import pytest
from shapely.geometry import Polygon
from test_pages import nest_of_frames

from furnigen.cutting.costing import costs_of
from furnigen.cutting.cutting_json import cutting_report
from furnigen.cutting.plan import Plan
from furnigen.cutting.plan_pages import sheet_pages
from furnigen.cutting.router_order import router_passes, small_parts
from furnigen.cutting.sheet_dxf import sheets_dxf
from furnigen.cutting.true_outline import placed_outline, windows_on_sheet


@pytest.fixture(scope="module")
def nest() -> Plan:
    return nest_of_frames()


def test_each_outline_and_window_is_cut_once(nest):
    for done, laid in nest.layouts:
        rings = [
            (k, ring)
            for k, (placed, row) in enumerate(zip(laid.layout.placed, laid.rows, strict=True))
            for ring in (placed_outline(placed, row), *windows_on_sheet(placed, row))
        ]
        passes = router_passes(done, laid)
        assert [p.number for p in passes] == list(range(1, len(rings) + 1))
        assert sorted((k, sorted(r)) for k, r in rings) == sorted(
            (p.placed, sorted(p.corners)) for p in passes
        )
        assert any(p.window for p in passes)


def test_nothing_is_cut_free_before_what_lies_in_it(nest):
    for done, laid in nest.layouts:
        passes = router_passes(done, laid)
        shapes = [Polygon(p.corners) for p in passes]
        inside = [
            (n, m)
            for n, inner in enumerate(shapes)
            for m, outer in enumerate(shapes)
            if n != m and outer.contains(inner)
        ]
        assert inside
        assert all(n < m for n, m in inside)


def test_small_parts_go_before_the_outlines_of_large_ones(nest):
    for done, laid in nest.layouts:
        small = small_parts(laid.layout)
        order = [small[p.placed] for p in router_passes(done, laid)]
        assert [laid.rows[k].part != "frame" for k in range(len(small))] == small
        assert order == sorted(order, reverse=True)


def test_hardly_an_order_by_chance_has_a_shorter_way_between(nest):
    chance = Random(1)
    for done, laid in nest.layouts:
        passes = router_passes(done, laid)

        def way(order):
            return sum(dist(a.corners[0], b.corners[0]) for a, b in pairwise(order))

        def rank(p, small=small_parts(laid.layout)):
            return 0 if small[p.placed] else 1 if p.window else 2

        shuffled = [way(sorted(passes, key=lambda p: (rank(p), chance.random()))) for _ in range(50)]
        assert way(passes) <= sorted(shuffled)[len(shuffled) // 10]


def test_files_and_pages_tell_the_order(nest):
    report = cutting_report(nest, costs_of(nest), None, "mm")
    document = ezdxf.read(io.StringIO(sheets_dxf(nest).decode()))
    rings = document.modelspace().query('LWPOLYLINE[layer=="cut"]')
    numbers = document.modelspace().query('TEXT[layer=="order"]')
    told = [p for s in report["sheets"] for p in s["passes"]]
    assert len(rings) == len(numbers) == len(told)
    assert [t.dxf.text for t in numbers] == [str(p["number"]) for p in told]
    for ring, p in zip(rings, told, strict=True):
        corners = [Polygon(ring.get_points("xy")).length, *ring.get_points("xy")[0]]
        assert corners[0] == pytest.approx(p["length_mm"])
        assert corners[2] == pytest.approx(p["at_mm"][1])
    words = [t.text for page in sheet_pages(nest, costs_of(nest), None, "mm") for t in page.texts]
    assert "pass" in words
    assert "window" in words
