"""Linear elasticity of whole solids: a STEP file meshed by gmsh, solved with scikit-fem. Knows no beams.

gmsh runs in a process of its own, for it carries another build of the kernel.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import meshio
import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import splu
from skfem import (
    Basis,
    ElementTetP2,
    ElementVector,
    FacetBasis,
    Functional,
    LinearForm,
    MeshTet,
    condense,
    solve,
)
from skfem.helpers import dot
from skfem.models.elasticity import lame_parameters, linear_elasticity

from furnigen.kernel.solids import solids
from furnigen.kernel.step import step_bytes
from furnigen.piece.description import Piece

Where = Callable[[np.ndarray], np.ndarray]

MESHER = """
import sys
import gmsh

source, target, size = sys.argv[1], sys.argv[2], float(sys.argv[3])
gmsh.initialize(interruptible=False)
gmsh.option.setNumber("General.Terminal", 0)
gmsh.option.setString("Geometry.OCCTargetUnit", "MM")
gmsh.model.occ.importShapes(source)
volumes = gmsh.model.occ.getEntities(3)
if len(volumes) > 1:  # parts that touch share the nodes of their faces: bonded
    gmsh.model.occ.fragment(volumes[:1], volumes[1:])
gmsh.model.occ.synchronize()
gmsh.option.setNumber("Mesh.MeshSizeMax", size)
gmsh.option.setNumber("Mesh.MeshSizeMin", size / 3)
gmsh.model.mesh.generate(3)
gmsh.write(target)
gmsh.finalize()
"""


def mesh_step(piece: Piece, folder: Path, size_mm: float) -> MeshTet:
    """Tetrahedra of a piece as exported; parts that touch are bonded."""
    source, target = folder / "piece.step", folder / "piece.msh"
    source.write_bytes(step_bytes(piece, solids(piece)))
    subprocess.run([sys.executable, "-c", MESHER, str(source), str(target), str(size_mm)], check=True)
    read = meshio.read(target)
    cells = np.vstack([block.data for block in read.cells if block.type == "tetra"])
    used, packed = np.unique(cells, return_inverse=True)
    return MeshTet(read.points[used].T.copy(), packed.reshape(cells.shape).T.copy())


@dataclass
class Deformed:
    """A solved solid."""

    mesh: MeshTet
    moved: np.ndarray

    def at(self, *p: float) -> np.ndarray:
        """(ux, uy, uz) of the corner nearest to a point, mm."""
        nearest = int(np.argmin(((self.mesh.p.T - p) ** 2).sum(1)))
        return self.moved[:, nearest]


def plane(axis: int, value: float, *more: tuple[int, float]) -> Where:
    """Points of a plane, or of a line where planes meet."""
    limits = ((axis, value), *more)
    return lambda x: np.all([np.abs(x[a] - v) < 1e-6 for a, v in limits], axis=0)


def symmetric(matrix: csr_matrix, right: np.ndarray) -> np.ndarray:
    """Solve a symmetric, positive definite system directly."""
    order = {"permc_spec": "MMD_AT_PLUS_A", "diag_pivot_thresh": 0.0, "options": {"SymmetricMode": True}}
    return splu(matrix.tocsc(), **order).solve(right)


def solve_solid(
    mesh: MeshTet,
    *,
    moe: float,
    poisson: float,
    held: list[tuple[Where, tuple[int, ...]]],
    pressed: Where,
    force: tuple[float, float, float],
) -> Deformed:
    """Displacements under a force spread evenly over the boundary facets whose middle `pressed` picks.

    Args:
        held: points of the solid that are held, by a test of their coordinates, in which directions.
        force: the whole force, N.
    """
    element = ElementVector(ElementTetP2())
    basis = Basis(mesh, element, intorder=2)  # exact: gradients are linear in straight-sided tetrahedra
    stiffness = linear_elasticity(*lame_parameters(moe, poisson)).assemble(basis)
    facets = mesh.facets_satisfying(pressed, boundaries_only=True)
    surface = FacetBasis(mesh, element, facets=facets)
    share = np.array(force) / Functional(lambda w: 1.0 + 0 * w.x[0]).assemble(surface)
    load = LinearForm(lambda v, w: dot(share[:, None, None] * np.ones_like(w.x), v)).assemble(surface)
    ends = mesh.p[:, mesh.edges]
    fixed = []
    for where, directions in held:
        nodes = np.flatnonzero(where(mesh.p))
        edges = np.flatnonzero(where(ends[:, 0]) & where(ends[:, 1]))
        assert nodes.size, "nothing is held there"
        for d in directions:
            fixed += [basis.nodal_dofs[d, nodes], basis.edge_dofs[d, edges]]
    u = solve(*condense(stiffness, load, D=np.unique(np.concatenate(fixed))), solver=symmetric)
    return Deformed(mesh, u[basis.nodal_dofs])
