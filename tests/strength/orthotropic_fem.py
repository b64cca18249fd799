"""Linear elasticity of a board with strips glued under it: orthotropic brick elements of scikit-fem.

Knows nothing of plates or beams: 20-node bricks, each with the stiffness of its own material.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from skfem import (
    Basis,
    BilinearForm,
    ElementHexS2,
    ElementVector,
    FacetBasis,
    LinearForm,
    MeshHex,
    condense,
    solve,
)
from skfem.helpers import sym_grad


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


def shelf_sags(
    span: float,
    depth: float,
    thick: float,
    wood: Wood,
    strips: tuple[Glued, ...] = (),
    *,
    press: float = 1e-3,
    held_rear: bool = False,
) -> tuple[float, float, float]:
    """Sag at the middle of the span at front, middle and rear of the board, mm.

    Half the span is modelled. The board's end and those of the strips are held upright and across; the board
    is pressed by `press` N/mm² from above.

    Args:
        held_rear: whether the board's rear edge is held upright, as by a back.
    """
    half = span / 2
    xs = np.linspace(0, half, max(8, round(half / 60)) + 1)
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
        kind[(middle[2] < 0) & (middle[2] > -s.high) & inside] = n
    mesh = mesh.restrict(np.flatnonzero(kind >= 0))
    kind = kind[kind >= 0]
    woods = np.stack([w.stiffness() for w in (wood, *(s.wood for s in strips))])[kind]
    element = ElementVector(ElementHexS2())
    basis = Basis(mesh, element)

    @BilinearForm
    def elastic(u, v, w):
        a, b = sym_grad(u), sym_grad(v)
        pairs = ((0, 0, 1), (1, 1, 1), (2, 2, 1), (0, 1, 2), (0, 2, 2), (1, 2, 2))
        total = 0.0
        for i, (p, q, f) in enumerate(pairs):
            for j, (r, s, g) in enumerate(pairs):
                c = woods[:, i, j][:, None]
                if np.any(c):
                    total = total + c * f * a[p, q] * g * b[r, s]
        return total

    stiffness = elastic.assemble(basis)
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
    if held_rear:
        # along the underside of the rear edge
        fixed |= (np.abs(place[1] - depth) < 1e-6) & (np.abs(place[2]) < 1e-6) & (which == 2)
    u = solve(*condense(stiffness, load, D=np.flatnonzero(fixed)))

    def sag(y: float) -> float:
        at = (np.abs(place[0] - half) < 1e-6) & (np.abs(place[1] - y) < 1e-6) & (which == 2)
        at &= np.abs(place[2] - thick) < 1e-6
        (found,) = -u[at]
        return float(found)

    return sag(0.0), sag(depth / 2), sag(depth)


def _filled(marks: list[float], step: float) -> np.ndarray:
    """The marks, and between them even steps of at most `step`."""
    found = [marks[0]]
    for a, b in pairwise(marks):
        n = max(1, int(np.ceil((b - a) / step - 1e-9)))
        found += [a + (b - a) * i / n for i in range(1, n + 1)]
    return np.array(found)
