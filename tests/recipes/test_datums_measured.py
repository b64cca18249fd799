"""The distance asked of a recipe is the distance found on the kernel's solids, whatever it is measured to.

Solids are measured by the CAD kernel itself (bounding boxes) and by sections of their fine meshes, not by
what furnigen knows of its parts.
"""

from __future__ import annotations

from itertools import product
from math import radians, tan
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from furnigen import LEG_DATUMS, SHELF_DATUMS, InputError, build, find_recipe, to_cadquery
from furnigen.cli.main import main
from furnigen.piece.description import Piece

INCH = 25.4
FINE_MM = 0.005
"""Facets of meshes stand off by this at most."""
RACKS = {"ring_rack": {}, "ladder_rack": {}, "leaning_shelf": {}}


def made(name: str, values: dict[str, Any], units: str = "mm") -> Piece:
    """A piece of a recipe, its bare numbers in a unit."""
    recipe = find_recipe(name)
    return recipe(**recipe.read({n: str(v) for n, v in values.items()}, units))


def spans(piece: Piece) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    """Low and high corners of each solid where it stands, by label, as the CAD kernel finds them."""
    found = {}
    assembly = to_cadquery(piece)
    for shape, name, place, _ in assembly:
        box = shape.moved(place).BoundingBox(1e-6)
        found[name.rsplit("/", 1)[-1]] = (
            np.array([box.xmin, box.ymin, box.zmin]), np.array([box.xmax, box.ymax, box.zmax])
        )  # fmt: skip
    return found


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("recipe", RACKS)
def test_shelves_stand_where_they_were_measured_to(recipe: str, units: str) -> None:
    # 12 1/2 and 11 in, or 310 and 280 mm
    first, below = (12.5, 11.0) if units == "in" else (310.0, 280.0)
    size = INCH if units == "in" else 1.0
    for first_to, last_to in product(("underside", "top"), repeat=2):
        piece = made(
            recipe,
            {"first": first, "below_top": below, "first_to": first_to, "last_to": last_to, "shelves": 3},
            units,
        )
        boxes = spans(piece)
        shelves = [boxes[f"shelf.{n}"] for n in (1, 2, 3)]
        top = max(high[2] for _, high in boxes.values())
        low = shelves[0][first_to == "top"][2]
        last = shelves[2][last_to == "top"][2]
        assert low == pytest.approx(first * size, abs=1e-4)
        assert top - last == pytest.approx(below * size, abs=1e-4)
        steps = np.diff([s[0][2] for s in shelves])
        assert steps[0] == pytest.approx(steps[1], abs=1e-4)


def corners(built: Any) -> dict[str, np.ndarray]:
    """(n, 3) corners of each mesh where it stands, by label."""
    meshes = built.meshes
    return {i.label: meshes.world_vertices(i) for i in meshes.instances}


LEGS = {"leg_height": 200, "leg_top": 44, "leg_foot": 30, "dividers": "0", "shelves": 1}
CORNERS = {
    "front.left": (-1, -1), "front.right": (1, -1), "back.right": (1, 1), "back.left": (-1, 1)
}  # fmt: skip


def outside(points: dict[str, np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    """Low and high corners of the case, back included, legs and blocks left out."""
    case = np.concatenate([p for label, p in points.items() if not label.startswith(("leg", "block"))])
    return case.min(axis=0), case.max(axis=0)


def at_level(points: np.ndarray, z: float) -> np.ndarray:
    """Corners of a leg at a level where it has an end."""
    found = points[np.abs(points[:, 2] - z) < 1e-3]
    assert len(found) >= 4
    return found


@pytest.mark.parametrize("back", ["none", "planted", "inset"])
@pytest.mark.parametrize(
    ("joint", "inset_to"),
    [("block", "axis"), ("block", "top"), ("block", "foot"), ("block", "block"),
     ("screwed", "axis"), ("screwed", "top"), ("screwed", "foot")],
)  # fmt: skip
@pytest.mark.parametrize("kind", ["turned", "square"])
def test_legs_stand_where_they_were_measured_to(kind: str, joint: str, inset_to: str, back: str) -> None:
    asked = 62.0
    straight = {"leg_top": 40, "leg_foot": 40} if inset_to == "axis" else {}
    values = LEGS | {"legs": kind, "leg_joint": joint, "inset_to": inset_to, "inset": asked, "back": back}
    piece = made("divided_case", values | straight | {"splay": 6, "rake": 4, "block": 80})
    found = insets(piece, joint, inset_to, 200.0)
    assert found == pytest.approx(np.full((4, 2), asked), abs=2 * FINE_MM)


@pytest.mark.parametrize(("joint", "inset_to"), [("block", "block"), ("block", "top"), ("screwed", "foot")])
def test_legs_stand_where_they_were_measured_to_in_inches(joint: str, inset_to: str) -> None:
    # 2 1/4 in = 57.15 mm; the leg is 8 in = 203.2 mm high
    values = {"legs": "turned", "leg_joint": joint, "inset_to": inset_to, "inset": "2 1/4", "back": "planted"}
    values |= {"leg_height": 8, "leg_top": "1 3/4", "leg_foot": "1 1/8", "shelves": 1, "dividers": "0"}
    found = insets(made("divided_case", values, "in"), joint, inset_to, 8 * INCH)
    assert found == pytest.approx(np.full((4, 2), 2.25 * INCH), abs=2 * FINE_MM)


def insets(piece: Piece, joint: str, inset_to: str, leg_height: float) -> np.ndarray:
    """(4, 2) distances from the outside of a case to what is measured of its legs, across and deep (mm)."""
    points = corners(build(piece, tolerance_mm=FINE_MM))
    low, high = outside(points)
    rows = []
    for corner, (sx, sy) in CORNERS.items():
        leg = points[f"leg.{corner}"]
        top = leg_height
        if joint == "block":
            block = points[f"block.{corner}"]
            top = float(block[:, 2].min())
        measured = at_level(leg, 0.0 if inset_to == "foot" else top)
        if inset_to == "block":
            measured = block
        row = []
        for axis, sign in ((0, sx), (1, sy)):
            edge = low[axis] if sign < 0 else high[axis]
            near = measured[:, axis].min() if sign < 0 else measured[:, axis].max()
            if inset_to == "axis":
                # legs that do not taper: the middle of their level section is their axis
                near = (measured[:, axis].min() + measured[:, axis].max()) / 2
            row.append(float(abs(near - edge)))
        rows.append(row)
    return np.array(rows)


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("joint", ["block", "screwed"])
@pytest.mark.parametrize("kind", ["turned", "square"])
def test_feet_stand_out_as_far_as_asked(kind: str, joint: str, units: str) -> None:
    # 1 1/4 and 3/4 in, or 30 and 18 mm; by hand: lean = atan(out / height of the leg)
    out = (1.25, 0.75) if units == "in" else (30.0, 18.0)
    size = INCH if units == "in" else 1.0
    values = {"legs": kind, "leg_joint": joint, "splay_out": out[0], "rake_out": out[1], "shelves": 1}
    values |= {n: f"{v} mm" for n, v in (("leg_top", 40), ("leg_foot", 40), ("leg_height", 200))}
    values["dividers"] = "0"
    piece = made("divided_case", values, units)
    points = corners(build(piece, tolerance_mm=FINE_MM))
    for corner, signs in CORNERS.items():
        leg = points[f"leg.{corner}"]
        top = float(points[f"block.{corner}"][:, 2].min()) if joint == "block" else 200.0
        middles = [(e.min(axis=0) + e.max(axis=0)) / 2 for e in (at_level(leg, 0.0), at_level(leg, top))]
        for axis, sign in enumerate(signs):
            assert sign * (middles[0] - middles[1])[axis] == pytest.approx(out[axis] * size, abs=2 * FINE_MM)
    note = next(iter(piece.legs.values())) if isinstance(piece.legs, dict) else piece.legs[0]
    assert tan(radians(note.splay)) * top == pytest.approx(out[0] * size, abs=1e-6)


@pytest.mark.parametrize(("out", "units"), [(450.0, "mm"), (600.0, "mm"), (20.0, "in")])
def test_a_leaning_shelf_stands_out_as_far_as_asked(out: float, units: str) -> None:
    piece = made("leaning_shelf", {"out": out}, units)
    boxes = spans(piece)
    wall = max(high[1] for _, high in boxes.values())
    front = min(low[1] for label, (low, _) in boxes.items() if label.startswith("post"))
    assert wall - front == pytest.approx(out * (INCH if units == "in" else 1.0), abs=1e-4)
    (touched,) = piece.walls
    assert touched.point[1] == pytest.approx(wall, abs=1e-6)


@pytest.mark.parametrize(
    ("recipe", "values", "says"),
    [
        (
            "divided_case",
            {"splay_out": 200},
            r"splay_out = 200.0 mm: must be at most 34.6 mm for legs 74.2 mm high",
        ),
        ("divided_case", {"leg_joint": "screwed", "inset_to": "block"}, "inset_to.*no block"),
        ("divided_case", {"inset_to": "side"}, "inset_to"),
        ("leaning_shelf", {"out": 50}, r"out = 50.0 mm: must be from \d+.\d mm to \d+.\d mm"),
        ("ladder_rack", {"first_to": "middle"}, "first_to"),
    ],
)
def test_what_can_not_be_measured_so_is_refused(recipe: str, values: dict[str, Any], says: str) -> None:
    with pytest.raises(InputError, match=says):
        made(recipe, values)


@pytest.mark.parametrize("recipe", ["divided_case", *RACKS])
def test_describe_draws_the_datums(recipe: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["describe", recipe]) == 0
    said = capsys.readouterr().out
    drawing = find_recipe(recipe).drawing
    assert drawing
    assert drawing in said
    assert max(map(len, drawing.splitlines())) <= 80
    assert drawing.isascii()
    # every size it draws is one the recipe asks for
    asked = {p.name for p in find_recipe(recipe).parameters}
    drawn = {w.strip(",:=").split("=")[0] for w in drawing.split() if "_" in w.strip("_|,")}
    assert {w for w in drawn if w.isidentifier() and w.strip("_") == w} <= asked


def test_the_readme_draws_the_datums() -> None:
    text = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    assert SHELF_DATUMS in text
    assert LEG_DATUMS in text
