"""Grooves from faces, by one boolean with all tools, and one after the other: what `kernel.solids` keeps.

A side with housed shelves is the commonest cut part of a case. Measured in one process in turn, as ratios.
"""

from __future__ import annotations

from statistics import median
from time import perf_counter

import cadquery as cq
import pytest

from furnigen.catalogue.stock import find_stock
from furnigen.core.pose import Pose
from furnigen.kernel import solids as kernel
from furnigen.parts.cuts import BoxCut
from furnigen.parts.forms.prism import rectangle
from furnigen.parts.part import Part
from furnigen.parts.polyhedron import polyhedron_of

PLY = find_stock("birch-ply-18@18")
SIDE = rectangle(2200.0, 300.0, 18.0)


def grooves(count: int) -> tuple[BoxCut, ...]:
    pitch = 2100.0 / count
    return tuple(
        BoxCut(Pose.at(60 + k * pitch, 0.0, 11.9), (18.1, 300.0, 6.1), "housing") for k in range(count)
    )


def by_faces(cuts):
    polyhedron_of.cache_clear()
    kernel.solid(Part("side", SIDE, PLY, cuts))


def by_one_boolean(cuts):
    cq.Solid.makeBox(*SIDE.blank_mm).cut(*map(tool, cuts))


def by_one_boolean_each(cuts):
    shape = cq.Solid.makeBox(*SIDE.blank_mm)
    for c in cuts:
        shape = shape.cut(tool(c))


def tool(cut):
    return cq.Solid.makeBox(*cut.size, pnt=cq.Vector(*cut.pose.origin))


def seconds(ways, cuts, rounds=7):
    """Median time of each way, taken in turn."""
    times = [[] for _ in ways]
    for way in ways:
        way(cuts)
    for _ in range(rounds):
        for way, mine in zip(ways, times, strict=True):
            start = perf_counter()
            way(cuts)
            mine.append(perf_counter() - start)
    return [median(t) for t in times]


@pytest.mark.benchmark
@pytest.mark.parametrize("count", [4, 10, 18])
def test_faces_beat_one_boolean_which_beats_many(count):
    faces, boolean, each = seconds([by_faces, by_one_boolean, by_one_boolean_each], grooves(count))
    print(f"{count} grooves against one boolean: faces {faces / boolean:.2f}, each {each / boolean:.1f}")
    assert 2 * faces < boolean < each
