"""Parts and pieces built by hand for the tests of the kernel layer."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from furnigen.catalogue.stock import find_stock
from furnigen.core.pose import Pose
from furnigen.parts.cuts import Bore, BoxCut, Cut
from furnigen.parts.forms.form import Form
from furnigen.parts.forms.prism import Prism, mitred, rectangle, ring
from furnigen.parts.forms.rod import Rod
from furnigen.parts.forms.square_leg import SquareLeg
from furnigen.parts.forms.turned_leg import TurnedLeg
from furnigen.parts.part import Part
from furnigen.piece.description import Piece, Placement

PLY, OAK = "birch-ply-18", "oak-square-30"


def part(form: Form, name: str = "part", cuts: tuple[Cut, ...] = (), stock: str = PLY) -> Part:
    return Part(name, form, find_stock(stock), cuts)


def mesh_volume(vertices: NDArray[np.float64], faces: NDArray[np.int64]) -> float:
    """Divergence theorem over the triangles: a sixth of the sum of a . (b x c)."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)


def is_closed_manifold(faces: NDArray[np.int64]) -> bool:
    """Every edge is walked exactly once in either direction."""
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    one_way = {(int(a), int(b)) for a, b in edges}
    return len(one_way) == len(edges) and all((b, a) in one_way for a, b in one_way)


def glaze_case() -> Piece:
    """A small case on splayed legs: every form, shared parts, two levels of sub-assembly."""
    shelf = part(rectangle(600, 250, 18), "shelf", (BoxCut(Pose.at(100, 0, 12), (18, 250, 6), "housing"),))
    side = part(
        rectangle(400, 250, 18), "side", tuple(Bore((x, 30, 18), (0, 0, -1), 5, 12) for x in (50, 82, 114))
    )
    frame = part(ring(400, 250, 18, 40), "frame")
    rail = part(mitred(600, 40, 18), "rail")
    rod = part(Rod(560, 16), "rod", stock=OAK)
    leg = part(TurnedLeg(150, 40, 25, 12), "leg", stock=OAK)
    foot = part(SquareLeg(150, 40, 25, 8, 6), "foot", stock=OAK)
    spare = part(rectangle(10, 10, 10), "never placed")
    quarter = Pose.turned("y", -90.0)
    placements = [
        Placement("shelf.1", 0, Pose.at(0, 0, 150), ("case",), "shelf"),
        Placement("shelf.2", 0, Pose.at(0, 0, 300), ("case",), "shelf"),
        Placement("side.1", 1, Pose.at(0, 0, 168) @ quarter, ("case", "left end"), "side"),
        Placement("side.2", 1, Pose.at(700, 0, 168) @ quarter, ("case", "right end"), "side"),
        Placement("frame.1", 2, Pose.at(0, 0, 700), ("case",)),
        Placement("rail.1", 3, Pose.turned("x", 90.0, (0, 0, 800))),
        Placement("rod.1", 4, Pose.at(20, 100, 900)),
        *(
            Placement(f"leg.{k}", 5, Pose.turned("z", 33.0 + 90 * k, (150.0 * k, 0, 0)), ("base",))
            for k in range(4)
        ),
        Placement("foot.1", 6, Pose.at(900, 0, 0), ("base",)),
    ]
    parts = (shelf, side, frame, rail, rod, leg, foot, spare)
    return Piece("glaze_case", "Glaze case", parts, tuple(placements))


def board(length: float = 300.0) -> Prism:
    return rectangle(length, 100.0, 18.0)
