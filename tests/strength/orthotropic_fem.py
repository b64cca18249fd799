"""Linear elasticity of a board with strips glued under it: orthotropic brick elements of scikit-fem.

Knows nothing of plates or beams: 20-node bricks, each with the stiffness of its own material.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from scipy.sparse import coo_matrix
from skfem import (
    Basis,
    ElementHexS2,
    ElementVector,
    FacetBasis,
    LinearForm,
    MeshHex,
    condense,
    solve,
)


@dataclass(frozen=True)
class Wood:
    """Moduli of an orthotropic board, N/mm²: along the span, across it, through its thickness."""

    ex: float
    ey: float
    ez: float
    gxy: float
    gxz: float
    gyz: float
    nuxy: float = 0.04

    def stiffness(self) -> np.ndarray:
        """6 x 6 in the order xx, yy, zz, xy, xz, yz (engineering shear strains)."""
        s = np.diag([1 / self.ex, 1 / self.ey, 1 / self.ez, 1 / self.gxy, 1 / self.gxz, 1 / self.gyz])
        s[0, 1] = s[1, 0] = -self.nuxy / self.ex
        return np.linalg.inv(s)


@dataclass(frozen=True)
class Glued:
    """A strip on edge under the board: its front face, mm from the board's front; thickness, height, wood."""

    front: float
    thick: float
    high: float
    wood: Wood


def solve_shelf(
    span: float,
    depth: float,
    thick: float,
    wood: Wood,
    strips: tuple[Glued, ...] = (),
    *,
    press: float = 1e-3,
    held_rear: bool = False,
    runs_on: bool = False,
    gap: float = 0.0,
) -> Solved:
    """The board under an even load. Half the span is modelled, or one of two spans.
    The board's end and those of the strips are held upright and across; the board
       is pressed by `press` N/mm² from above.

       Args:
           held_rear: whether the board's rear edge is held upright, as by a back.
           gap: how far from the middle of the span the strips stop, mm.
        runs_on: whether the board and its strips run on over a support at the end of the span to another
               span like it.
    """
    half = span if runs_on else span / 2
    xs = np.linspace(0, half, max(8, round(half / 60)) + 1)
    if gap:
        xs = _filled([0.0, half - gap, half], 10.0)
    marks = {0.0, depth / 2, depth}
    for s in strips:
        marks |= {s.front, s.front + s.thick}
    ys = _filled(sorted(marks), 45.0)
    lows = {0.0, thick} | {-s.high for s in strips}
    zs = _filled(sorted(lows), 25.0)
    mesh = MeshHex.init_tensor(xs, ys, zs)
    middle = mesh.p[:, mesh.t].mean(axis=1)
    kind = np.full(middle.shape[1], -1)
    kind[middle[2] > 0] = 0
    for n, s in enumerate(strips, 1):
        inside = (middle[1] > s.front) & (middle[1] < s.front + s.thick)
        kind[(middle[2] < 0) & (middle[2] > -s.high) & inside & ((middle[0] < half - gap) | (gap == 0))] = n
    mesh = mesh.restrict(np.flatnonzero(kind >= 0))
    kind = kind[kind >= 0]
    woods = np.stack([w.stiffness() for w in (wood, *(s.wood for s in strips))])[kind]
    element = ElementVector(ElementHexS2())
    basis = Basis(mesh, element, intorder=4)

    stiffness = _stiffness(basis, woods)
    top = FacetBasis(
        mesh, element, facets=mesh.facets_satisfying(lambda x: np.abs(x[2] - thick) < 1e-6, True)
    )
    load = LinearForm(lambda v, w: -press * v[2]).assemble(top)
    place = basis.doflocs
    which = np.empty(basis.N, dtype=int)
    for rows in (basis.nodal_dofs, basis.edge_dofs, basis.facet_dofs, basis.interior_dofs):
        for i in range(rows.shape[0]):
            which[rows[i]] = i % 3
    end = np.abs(place[0]) < 1e-6
    mid = np.abs(place[0] - half) < 1e-6
    fixed = (end & (which > 0)) | (mid & (which == 0))
    if runs_on:
        fixed |= mid & (which == 2) & (np.abs(place[2]) < 1e-6)
    if held_rear:
        # along the underside of the rear edge
        fixed |= (np.abs(place[1] - depth) < 1e-6) & (np.abs(place[2]) < 1e-6) & (which == 2)
    u = solve(*condense(stiffness, load, D=np.flatnonzero(fixed)))

    return Solved(place, which, u, half)


@dataclass(frozen=True)
class Solved:
    """Movements u of a solved shelf, each at a place (3, n) in a direction, mm; and where its middle is."""

    place: np.ndarray
    which: np.ndarray
    u: np.ndarray
    middle: float

    def moves(self, direction: int, x: float | None, y: float, z: float) -> np.ndarray:
        """Movements along a direction at a place, or at all x."""
        near = [np.abs(self.place[i] - at) < 1e-6 for i, at in ((1, y), (2, z))]
        if x is not None:
            near.append(np.abs(self.place[0] - x) < 1e-6)
        return self.u[np.logical_and.reduce([*near, self.which == direction])]

    def stretch(self, y: float, z: float) -> float:
        """Strain along the span at the middle of the span, where it is a plane of symmetry."""
        before = max(x for x in self.place[0] if x < self.middle - 1e-6)
        (move,) = self.moves(0, before, y, z)
        return float(-move / (self.middle - before))


def shelf_sags(
    span: float, depth: float, thick: float, wood: Wood, strips: tuple[Glued, ...] = (), **how: Any
) -> tuple[float, float, float]:
    """Sag at front, middle and rear of the board, mm: at the middle of the span, or where it is largest.

    Args and keywords: as `solve_shelf`.
    """
    solved = solve_shelf(span, depth, thick, wood, strips, **how)
    x = None if how.get("runs_on") else solved.middle
    front, middle, rear = (float(-solved.moves(2, x, y, thick).min()) for y in (0.0, depth / 2, depth))
    return front, middle, rear


def _stiffness(basis: Basis, woods: np.ndarray) -> coo_matrix:
    """The stiffness of all bricks: strains of each movement of a brick, times C, times strains."""
    strains = []
    for (movement,) in basis.basis:
        g = movement.grad
        strains.append([g[0, 0], g[1, 1], g[2, 2], g[0, 1] + g[1, 0], g[0, 2] + g[2, 0], g[1, 2] + g[2, 1]])
    b = np.array(strains)  # movements, strains, bricks, points
    weighed = np.einsum("nij,ajnq,nq->ainq", woods, b, basis.dx, optimize=True)
    own = np.einsum("ainq,binq->nab", b, weighed, optimize=True)
    rows = basis.element_dofs.T
    return coo_matrix(
        (
            own.ravel(),
            (np.repeat(rows, rows.shape[1], axis=1).ravel(), np.tile(rows, rows.shape[1]).ravel()),
        ),
        shape=(basis.N, basis.N),
    ).tocsr()


def _filled(marks: list[float], step: float) -> np.ndarray:
    """The marks, and between them even steps of at most `step`."""
    found = [marks[0]]
    for a, b in pairwise(marks):
        n = max(1, int(np.ceil((b - a) / step - 1e-9)))
        found += [a + (b - a) * i / n for i in range(1, n + 1)]
    return np.array(found)
