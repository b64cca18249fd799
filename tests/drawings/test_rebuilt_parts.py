"""A maker can make each board from its sheet alone: boards put together anew from what their sheets state.

The judge shares nothing with the part: blocks, holes and convex bodies in manifold3d from the sheet's values,
against volume, centre and moments of inertia of the kernel's solid.
"""

from __future__ import annotations

from collections.abc import Callable
from math import cos, inf, pi, sin, sqrt

import numpy as np
import pytest
import trimesh
from drawn_cases import CASES, RECIPES, built
from manifold3d import CrossSection, Manifold
from read_back import rounding, value_of

from furnigen import find_recipe
from furnigen.cutting.features import Other, features_of
from furnigen.drawings.figures import figure_of
from furnigen.drawings.part_data import PartData, StatedCut, part_data

SIDES = 128
"""Of the polygon that stands for a hole; it has the area of the circle."""
OVER_MM = 50.0
"""Tools reach this far out of the wood."""
MARKS = [
    pytest.param(c, marks=() if c in ("divided_case", "leaning_shelf") else pytest.mark.slow) for c in CASES
]

Read = Callable[[float], float]
"""A stated value as it is read off the sheet."""


def exactly(mm: float) -> float:
    return mm


def as_printed(units: str) -> Read:
    return lambda mm: mm if mm == inf else value_of(figure_of(mm, units), units)


def block(lo: np.ndarray, hi: np.ndarray) -> Manifold:
    return Manifold.cube((hi - lo).tolist()).translate(lo.tolist())


def hole(at: np.ndarray, toward: np.ndarray, diameter: float, depth: float) -> Manifold:
    """A round hole from where its axis enters the wood; its mouth reaches out of it."""
    long = depth if depth != inf else 10_000.0
    out = OVER_MM
    radius = diameter / 2 * sqrt(2 * pi / (SIDES * sin(2 * pi / SIDES)))
    rod = Manifold.cylinder(long + out, radius, radius, SIDES).translate((0, 0, -out))
    w = toward / np.linalg.norm(toward)
    u = np.cross(w, [1.0, 0, 0] if abs(w[0]) < 0.9 else [0, 1.0, 0])
    u /= np.linalg.norm(u)
    turn = np.column_stack([u, np.cross(w, u), w, at])
    return rod.transform(turn)


def taken(cut: StatedCut, size: np.ndarray, read: Read) -> list[Manifold]:
    """What a line of the table takes out of the board, at each of its places."""
    if cut.shape == "outline":  # the outline has it already
        return []
    if cut.shape == "hull":
        first = np.array(cut.places[0])
        return [
            Manifold.hull_points(
                np.array([[read(v) for v in np.add(p, np.subtract(at, first))] for p in cut.corners])
            )
            for at in cut.places
        ]
    found = []
    for place in cut.places:
        at = np.array([read(v) for v in place])
        if cut.shape == "hole":
            found.append(hole(at, np.array(cut.toward), read(cut.diameter), read(cut.depth)))
            continue
        lo, hi = at.copy(), at + [read(v) for v in cut.size]
        # a cut that runs out of the wood takes all of it
        lo[lo < 0.06] = -OVER_MM
        hi[hi > size - 0.06] += OVER_MM
        found.append(block(lo, hi))
    return found


def rebuilt(data: PartData, read: Read) -> Manifold:
    size = np.array([read(v) for v in data.size])
    body = block(np.zeros(3), size)
    if data.outline:
        ring = [[read(v) for v in p] for p in data.outline]
        body = Manifold.extrude(CrossSection([ring]), size[2])
    for window in data.windows:
        ring = [[read(v) for v in p] for p in window]
        body -= Manifold.extrude(CrossSection([ring]), size[2] + 2 * OVER_MM).translate((0, 0, -OVER_MM))
    if data.round_edge is not None:
        body -= nosing(data.round_edge, size)
    for cut in data.cuts:
        for tool in taken(cut, size, read):
            body -= tool
    return body


def nosing(edge: tuple[str, float], size: np.ndarray) -> Manifold:
    """What rounding an edge over takes off it: a block less a half round."""
    face, radius = edge
    x, y, z = size
    middle = y - radius if face == "y+" else radius
    turns = np.linspace(-pi / 2, pi / 2, 257)
    # the area of the polygon is that of the half round
    r = radius * sqrt((pi / 256) / sin(pi / 256))
    sign = 1 if face == "y+" else -1
    arc = [[middle + sign * r * cos(t), z / 2 + r * sin(t)] for t in turns]
    ring = [*arc, [middle - sign * OVER_MM, z / 2 + r], [middle - sign * OVER_MM, z / 2 - r]]
    round_over = Manifold.extrude(CrossSection([ring if sign > 0 else ring[::-1]]), x + 2 * OVER_MM)
    # extruded along z: turn it to run along x
    along = round_over.transform(np.array([[0, 0, 1.0, -OVER_MM], [1.0, 0, 0, 0], [0, 1.0, 0, 0]]))
    lo, hi = (middle, y + OVER_MM) if sign > 0 else (-OVER_MM, middle)
    return block(np.array([-OVER_MM, lo, -OVER_MM]), np.array([x + OVER_MM, hi, z + OVER_MM])) - along


def mass_of(body: Manifold) -> tuple[float, np.ndarray, np.ndarray]:
    mesh = body.to_mesh64()
    solid = trimesh.Trimesh(mesh.vert_properties[:, :3], mesh.tri_verts, process=False)
    return solid.volume, solid.center_mass, solid.moment_inertia


def mass_of_solid(solid, turn: np.ndarray) -> tuple[float, np.ndarray, np.ndarray]:
    """Volume, centre and moments of inertia about it, of a kernel's solid as it lies on the bench."""
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    p = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, p)
    c, m = p.CentreOfMass(), p.MatrixOfInertia()
    inertia = np.array([[m.Value(r, k) for k in (1, 2, 3)] for r in (1, 2, 3)])
    rotation = turn[:3, :3]
    return (
        p.Mass(),
        rotation @ [c.X(), c.Y(), c.Z()] + turn[:3, 3],
        rotation @ inertia @ rotation.T,
    )


def boards(case: str):
    one = built(case)
    for part, solid in zip(one.piece.parts, one.solids, strict=True):
        data = part_data(part)
        if data.is_board:
            yield part, data, solid


@pytest.mark.parametrize("case", MARKS)
def test_boards_made_from_their_sheets_are_those_of_the_model(case):
    count = 0
    for part, data, solid in boards(case):
        volume, centre, inertia = mass_of_solid(solid, np.array(data.turn.matrix()))
        found, middle, moments = mass_of(rebuilt(data, exactly))
        assert found == pytest.approx(volume, rel=2e-6), part.name
        assert middle == pytest.approx(centre, abs=2e-3), part.name
        scale = np.abs(inertia).max()
        assert np.abs(moments - inertia).max() < 1e-5 * scale, part.name
        count += 1
    assert count


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("case", [c for c in MARKS if c.values[0] in RECIPES])
def test_boards_made_from_the_rounded_figures_differ_by_their_rounding_alone(case, units):
    for part, data, solid in boards(case):
        volume, _, _ = mass_of_solid(solid, np.eye(4))
        body = rebuilt(data, as_printed(units))
        faces = rebuilt(data, exactly).surface_area() + sum(
            2 * (a * b + b * c + c * a) for a, b, c in [data.size]
        )
        assert abs(body.volume() - volume) <= faces * rounding(units), part.name


def test_a_slot_within_the_thickness_is_not_cut_from_a_face():
    """Such as for the spline of a mitre: a router that came from the face would cut the cheek away."""
    upright = next(p for p in find_recipe("ring_rack")(boards="flat").parts if p.name == "frame upright")
    slots = [f for f in features_of(upright) if "spline" in f.name]
    assert slots
    assert all(isinstance(f, Other) and 0 < f.lo[2] < f.hi[2] < upright.form.blank_mm[2] for f in slots)
