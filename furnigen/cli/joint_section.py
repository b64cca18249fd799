"""A small picture of a joint: its section in characters for the terminal, and its two boards drawn apart.

Both are drawn from the meshes of the joined boards, so they show what the joint cuts.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from furnigen.cli.joint_guide import A, B, Entry
from furnigen.core.array_types import Floats
from furnigen.mesh.light_mesh import light_model
from furnigen.mesh.model import MeshModel
from furnigen.piece.description import Piece

COLUMNS = 44
TALL = 2.0
"""A character is about this much taller than wide. Common practice, no source."""
SIGNS = {A: "#", B: "="}
STRIP = "%"
CLEAR_MM = 30.0
"""How far the entering board is drawn from where it clears the other."""


def section(entry: Entry) -> list[str]:
    """A joint cut open, as lines: # is what receives, = what enters, % a strip of its own."""
    piece = entry.piece()
    model = light_model(piece)
    right, up = (i for i in range(3) if i != entry.across)
    lo, hi = np.array(piece.bounds.lo), np.array(piece.bounds.hi)
    step = (hi[right] - lo[right]) / COLUMNS
    rows = round((hi[up] - lo[up]) / (TALL * step))
    points = np.zeros((rows, COLUMNS, 3))
    points[..., entry.across] = _cut_at(entry, piece)
    points[..., right] = lo[right] + (np.arange(COLUMNS) + 0.5) * step
    points[..., up] = (hi[up] - (np.arange(rows) + 0.5) * (hi[up] - lo[up]) / rows)[:, None]
    shown = np.full((rows, COLUMNS), " ")
    for copy in model.instances:
        corners = model.world_vertices(copy)[model.parts[copy.part].faces]
        inside = winding(points.reshape(-1, 3), corners).reshape(rows, COLUMNS) > 0.5
        shown[inside] = SIGNS.get(copy.label, STRIP)
    return ["".join(row).rstrip() for row in shown]


def _cut_at(entry: Entry, piece: Piece) -> float:
    """Where the section lies: through the hardware if there is any, else through the middle."""
    (joint, *_) = piece.joints
    low, high = (piece.bounds_of(piece.placement(label)) for label in (A, B))
    least = max(low.lo[entry.across], high.lo[entry.across])
    most = min(low.hi[entry.across], high.hi[entry.across])
    for fastener in joint.fasteners:
        for point, _ in fastener.sites:
            # a spline goes in at the very edge, and is there all along
            if least < point[entry.across] < most:
                return point[entry.across] + 0.01
    return (least + most) / 2 + 0.01


def winding(points: Floats, corners: Floats) -> Floats:
    """How often a closed mesh runs round each point: 1 inside, 0 outside.

    Args:
        points: (n, 3), mm.
        corners: (m, 3, 3) of the triangles, counter-clockwise seen from outside, mm.

    The solid angles of the triangles over a full one, each by van Oosterom and Strackee (1983; from memory).
    """
    a, b, c = (corners[None, :, i] - points[:, None] for i in range(3))
    na, nb, nc = (np.linalg.norm(side, axis=2) for side in (a, b, c))
    volume = np.einsum("ijk,ijk->ij", a, np.cross(b, c))
    flat = na * nb * nc
    flat += np.einsum("ijk,ijk->ij", a, b) * nc
    flat += np.einsum("ijk,ijk->ij", b, c) * na
    flat += np.einsum("ijk,ijk->ij", c, a) * nb
    found: Floats = np.arctan2(volume, flat).sum(axis=1) / (2 * np.pi)
    return found


def apart(entry: Entry) -> MeshModel:
    """The joined boards with the entering one drawn out the way it comes home, to be drawn."""
    piece = entry.piece()
    model = light_model(piece)
    joint = next(j for j in piece.joints if j.b == B)
    home = np.array(joint.home if joint.home is not None else (-1.0, 0.0, 0.0))
    copies = []
    for copy in model.instances:
        matrix = copy.matrix.copy()
        if copy.label == B:
            matrix[:3, 3] -= home * (joint.travel_mm + CLEAR_MM)
        copies.append(replace(copy, matrix=matrix))
    return MeshModel(entry.name, model.parts, tuple(copies))
