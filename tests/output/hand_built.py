"""A small case on turned legs, meshed by hand, with volumes known in closed form (mm, mm³).

Nothing here comes from furnigen's kernel: the writers and the picture are tried on meshes whose
truth is written beside them.
"""

from __future__ import annotations

import math

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.mesh.model import MeshInstance, MeshModel, PartMesh

BIRCH = ("birch plywood", (0.693, 0.518, 0.319))
OAK = ("oak", (0.337, 0.204, 0.102))
STEEL = ("Stahl, geölt", (0.10, 0.11, 0.12))

LEG_SIDES = 48
LEG_TOP, LEG_FOOT, LEG_HEIGHT = 22.0, 13.0, 150.0
# a frustum between regular polygons: h/3 (A1 + A2 + sqrt(A1 A2)), polygon area n/2 r² sin(2π/n)
LEG_VOLUME = (
    (LEG_SIDES / 2 * math.sin(2 * math.pi / LEG_SIDES))
    * LEG_HEIGHT
    / 3
    * (LEG_TOP**2 + LEG_FOOT**2 + LEG_TOP * LEG_FOOT)
)


def box(x: float, y: float, z: float) -> tuple[Floats, Ints]:
    """A block with a corner at the origin."""
    corners = np.array([(i, j, k) for i in (0.0, x) for j in (0.0, y) for k in (0.0, z)])
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    return corners, np.array([t for a, b, c, d in quads for t in ((a, b, c), (a, c, d))])


def leg() -> tuple[Floats, Ints]:
    """A turned, tapered leg about Z, foot at the origin."""
    turns = 2 * math.pi * np.arange(LEG_SIDES) / LEG_SIDES
    ring = np.column_stack([np.cos(turns), np.sin(turns)])
    foot = np.column_stack([ring * LEG_FOOT, np.zeros(LEG_SIDES)])
    top = np.column_stack([ring * LEG_TOP, np.full(LEG_SIDES, LEG_HEIGHT)])
    centres = np.array([(0.0, 0.0, 0.0), (0.0, 0.0, LEG_HEIGHT)])
    n = LEG_SIDES
    faces = []
    for i in range(n):
        j = (i + 1) % n
        faces += [(i, j, n + j), (i, n + j, n + i), (2 * n, j, i), (2 * n + 1, n + i, n + j)]
    return np.vstack([foot, top, centres]), np.array(faces)


def at(x: float = 0.0, y: float = 0.0, z: float = 0.0, turn: Floats | None = None) -> Floats:
    """A placement: a turn, then a shift."""
    m = np.eye(4)
    if turn is not None:
        m[:3, :3] = turn
    m[:3, 3] = (x, y, z)
    return m


def about(axis: int, degrees: float) -> Floats:
    """A right-handed turn about X, Y or Z (0, 1, 2)."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    j, k = (axis + 1) % 3, (axis + 2) % 3
    m = np.zeros((3, 3))
    m[axis, axis] = 1.0
    m[j, j], m[j, k], m[k, j], m[k, k] = c, -s, s, c
    return m


def part(name: str, mesh: tuple[Floats, Ints], look: tuple[str, tuple[float, float, float]]) -> PartMesh:
    """A part mesh with the look of one of the materials above."""
    return PartMesh(name, *mesh, colour=look[1], material=look[0])


def small_case() -> MeshModel:
    """A case 864 wide, 320 deep and 1050 high, front at Y = 0: 18 copies of 7 distinct parts."""
    parts = (
        part("side", box(900.0, 320.0, 18.0), BIRCH),
        part("top and bottom", box(828.0, 320.0, 18.0), BIRCH),
        part("shelf", box(828.0, 300.0, 18.0), BIRCH),
        part("divider", box(200.0, 290.0, 12.0), BIRCH),
        part("back", box(864.0, 900.0, 6.0), OAK),
        part("pied tourné", leg(), OAK),
        part('Griff <Ø 12> & "Öse"', box(120.0, 12.0, 12.0), STEEL),
    )
    # boards are blanks with length along X: uprights stand with X up
    upright = about(1, -90.0)
    placed = [
        MeshInstance("side.left", 0, at(18.0, 0.0, 150.0, upright), ("case",)),
        MeshInstance("side.right", 0, at(864.0, 0.0, 150.0, upright), ("case",)),
        MeshInstance("bottom", 1, at(18.0, 0.0, 150.0), ("case",)),
        MeshInstance("top", 1, at(18.0, 0.0, 1032.0), ("case",)),
    ]
    clear = (864.0 - 3 * 18.0) / 4
    heights = [168.0 + clear + k * (clear + 18.0) for k in range(3)]
    placed += [
        MeshInstance(f"shelf.{k + 1}", 2, at(18.0, 20.0, z), ("case", "inside"))
        for k, z in enumerate(heights)
    ]
    for row, count in ((0, 1), (1, 2), (2, 3)):
        step = (828.0 - 12.0 * count) / (count + 1)
        floor = 168.0 if row == 0 else heights[row - 1] + 18.0
        placed += [
            MeshInstance(
                f"divider.{row + 1}.{i + 1}",
                3,
                at(18.0 + (i + 1) * (step + 12.0), 25.0, floor, upright),
                ("case", "inside"),
            )
            for i in range(count)
        ]
    placed.append(MeshInstance("back", 4, at(0.0, 326.0, 150.0, about(0, 90.0)), ("case",)))
    for i, (x, y) in enumerate(((60.0, 50.0), (804.0, 50.0), (60.0, 270.0), (804.0, 270.0))):
        placed.append(MeshInstance(f"leg.{i + 1}", 5, at(x, y, 0.0), ("base",)))
    placed.append(MeshInstance("Griff", 6, at(372.0, -12.0, 1035.0)))
    return MeshModel("glaze case · Größe 2", parts, tuple(placed))


PART_VOLUMES = {
    "side": 900 * 320 * 18.0,
    "top and bottom": 828 * 320 * 18.0,
    "shelf": 828 * 300 * 18.0,
    "divider": 200 * 290 * 12.0,
    "back": 864 * 900 * 6.0,
    "pied tourné": LEG_VOLUME,
    'Griff <Ø 12> & "Öse"': 120 * 12 * 12.0,
}
BOUNDS = ((0.0, -12.0, 0.0), (864.0, 326.0, 1050.0))


def whole_volume() -> float:
    """Volume of all copies together."""
    model = small_case()
    return sum(PART_VOLUMES[model.parts[i.part].name] for i in model.instances)
