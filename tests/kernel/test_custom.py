"""Forms made by a user's own CadQuery function."""

from __future__ import annotations

import math
from typing import Any

import cadquery as cq
import pytest
from kernel_pieces import is_closed_manifold, mesh_volume, part

from furnigen.core.errors import InputError, RecipeError
from furnigen.core.pose import Pose
from furnigen.kernel.custom import custom_form
from furnigen.kernel.measure import measure
from furnigen.kernel.solids import solid
from furnigen.kernel.tessellation import triangles
from furnigen.parts.cuts import BoxCut


def round_knob(diameter: float, height: float) -> Any:
    return cq.Workplane("XY", origin=(40, 30, 0)).circle(diameter / 2).extrude(height)


def block_as_shape() -> Any:
    return cq.Solid.makeBox(30, 20, 10).moved(cq.Location((100, 0, 5), (0, 0, 1), 90))


def two_blocks() -> Any:
    return cq.Workplane().box(10, 10, 10).union(cq.Workplane(origin=(50, 0, 0)).box(10, 10, 10))


def a_sheet() -> Any:
    return cq.Workplane().box(10, 10, 10).faces(">Z")


def nothing() -> None:
    return None


def a_number() -> int:
    return 42


def fails(width: float) -> Any:
    raise ValueError(f"width {width} is odd")


def refuses(width: float) -> Any:
    raise InputError("knob width", width, "must be at most 10 mm")


def test_a_workplane_is_measured_where_it_was_left() -> None:
    form = custom_form(round_knob, height=20.0, diameter=30.0)
    assert form.kind == "round knob"
    assert form.arguments == (("diameter", 30.0), ("height", 20.0))
    assert form.volume_mm3 == pytest.approx(math.pi * 15**2 * 20, rel=1e-12)
    assert form.centroid_mm == pytest.approx((40, 30, 10), abs=1e-9)
    assert form.box.lo == pytest.approx((25, 15, 0), abs=1e-6)
    assert form.blank_mm == pytest.approx((30, 30, 20), abs=1e-6)
    assert not form.flat
    assert measure(solid(part(form))).volume_mm3 == pytest.approx(form.volume_mm3, rel=1e-12)


def test_a_moved_shape_stays_moved_and_carries_cuts() -> None:
    form = custom_form(block_as_shape)
    assert form.flat
    assert form.box.lo == pytest.approx((80, 0, 5), abs=1e-6)
    assert form.box.hi == pytest.approx((100, 30, 15), abs=1e-6)
    shape = solid(part(form, cuts=(BoxCut(Pose.at(80, 0, 5), (20, 10, 5)),)))
    assert measure(shape).volume_mm3 == pytest.approx(30 * 20 * 10 - 20 * 10 * 5)
    vertices, faces = triangles(shape)
    assert is_closed_manifold(faces)
    assert mesh_volume(vertices, faces) == pytest.approx(30 * 20 * 10 - 20 * 10 * 5)


def test_a_shape_a_function_keeps_is_not_shared_between_parts() -> None:
    """Two parts of one shape would become one product in a STEP file."""
    kept = cq.Solid.makeBox(10, 10, 10)
    form = custom_form(lambda: kept)
    one, two = solid(part(form, "one")), solid(part(form, "two"))
    assert not one.IsPartner(two)


def test_a_shape_inside_out_is_turned() -> None:
    def inside_out() -> Any:
        box = cq.Solid.makeBox(10, 10, 10).wrapped
        return cq.Shape.cast(box.Reversed())

    assert custom_form(inside_out).volume_mm3 == pytest.approx(1000)


@pytest.mark.parametrize(
    ("function", "arguments", "message"),
    [
        (fails, {"width": 3}, "form function fails failed: ValueError: width 3 is odd"),
        (fails, {"depth": 3}, "form function fails failed: TypeError: .*unexpected keyword"),
        (nothing, {}, "form function nothing returned nothing; return a CadQuery Workplane"),
        (two_blocks, {}, "form function two_blocks returned 2 solids; a part is one"),
        (a_sheet, {}, r"form function a_sheet returned no solid \(Workplane holding face\)"),
        (a_number, {}, r"form function a_number returned no solid \(int\)"),
    ],
    ids=lambda v: getattr(v, "__name__", ""),
)
def test_what_is_no_solid_is_refused_by_name(function: Any, arguments: dict[str, Any], message: str) -> None:
    with pytest.raises(RecipeError, match=message):
        custom_form(function, **arguments)


def test_a_function_that_refuses_its_arguments_says_so_itself() -> None:
    with pytest.raises(InputError, match=r"knob width = 12: must be at most 10 mm"):
        custom_form(refuses, width=12)


def test_arguments_that_can_not_be_compared_are_refused() -> None:
    def knob(sizes: list[float]) -> Any:
        return cq.Workplane().box(*sizes)

    with pytest.raises(RecipeError, match=r"knob: its arguments \(sizes=\[1.0, 2.0, 3.0\]\).*as a tuple"):
        custom_form(knob, sizes=[1.0, 2.0, 3.0])
    assert custom_form(knob, sizes=(1.0, 2.0, 3.0)).volume_mm3 == pytest.approx(6.0)
