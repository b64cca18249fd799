"""STEP files of many pieces that share parts: what the kernel wrote of a part once is not written again."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from OCP.BRep import BRep_Builder
from OCP.Geom import Geom_Circle, Geom_Plane
from OCP.gp import gp_Ax2, gp_Ax3, gp_Pnt
from OCP.IFSelect import IFSelect_RetDone
from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer
from OCP.TopAbs import TopAbs_FORWARD, TopAbs_REVERSED
from OCP.TopoDS import TopoDS_Edge, TopoDS_Face, TopoDS_Shell, TopoDS_Solid, TopoDS_Vertex, TopoDS_Wire

from furnigen.core.caches import FAMILY_PARTS, Kept
from furnigen.core.errors import GeometryError
from furnigen.kernel.flat_solid import CLOSE_MM
from furnigen.kernel.settings import kernel_settings
from furnigen.kernel.step import OPTIONS, placed, root_id, step_bytes, stream, written
from furnigen.kernel.step_rows import Rows, assembled, rows_of_solids
from furnigen.kernel.step_text import LayoutError
from furnigen.parts.part import Part
from furnigen.piece.description import Piece


def _token(number: int) -> Any:
    """What stands for the solid of a part: the least that the kernel writes as one, a disc of that radius."""
    build, axes = BRep_Builder(), gp_Ax2()
    corner, edge, wire = TopoDS_Vertex(), TopoDS_Edge(), TopoDS_Wire()
    build.MakeVertex(corner, gp_Pnt(float(number), 0.0, 0.0), CLOSE_MM)
    build.MakeEdge(edge, Geom_Circle(axes, float(number)), CLOSE_MM)
    build.Add(edge, corner.Oriented(TopAbs_FORWARD))
    build.Add(edge, corner.Oriented(TopAbs_REVERSED))
    build.MakeWire(wire)
    build.Add(wire, edge)
    face, shell, solid = TopoDS_Face(), TopoDS_Shell(), TopoDS_Solid()
    build.MakeFace(face, Geom_Plane(gp_Ax3(axes)), CLOSE_MM)
    build.Add(face, wire)
    build.MakeShell(shell)
    build.Add(shell, face)
    shell.Closed(True)
    build.MakeSolid(solid)
    build.Add(solid, shell)
    return solid


def _rows_of(solids: Sequence[Any]) -> list[Rows]:
    """The rows of a STEP file that describe some solids, each by itself.

    Raises: GeometryError when the kernel can not write one; LayoutError when it writes them otherwise than
    known.
    """
    with kernel_settings(OPTIONS):
        writer = STEPControl_Writer()
        for solid in solids:
            if writer.Transfer(solid, STEPControl_AsIs) != IFSelect_RetDone:
                raise GeometryError("the kernel could not turn a solid into STEP")
        found = rows_of_solids(stream(writer))
    if len(found) != len(solids):
        raise LayoutError(f"it holds {len(found)} of {len(solids)} solids")
    return found


class StepCache:
    """Writes STEP files, each as `furnigen.kernel.step.step_bytes` writes it, and keeps the rows of its
    parts.

    It relies on how the kernel lays its text out. Where that is not as it is known to be, the plain writer
    makes the file.

    Args:
        most: how many parts it keeps rows of.
    """

    def __init__(self, most: int = FAMILY_PARTS) -> None:
        self._rows: Kept[Part, Rows] = Kept(most)

    def step_bytes(self, piece: Piece, solids: Sequence[Any]) -> bytes:
        """The STEP file of a piece.

        Args and raises: as `furnigen.kernel.step.step_bytes`.
        """
        try:
            return self._assembled(piece, solids)
        except LayoutError:
            return step_bytes(piece, solids)

    def _assembled(self, piece: Piece, solids: Sequence[Any]) -> bytes:
        """The file from rows: they take the place of tokens in an assembly that the kernel writes."""
        used = placed(piece)
        rows = {k: known for k in used if (known := self._rows.get(piece.parts[k])) is not None}
        new = [k for k in used if k not in rows]
        if new:
            for k, made in zip(new, _rows_of([solids[k] for k in new]), strict=True):
                rows[k] = self._rows.keep(piece.parts[k], made)
        tokens = {k: _token(k + 1) for k in used}
        return assembled(written(piece, tokens), root_id(piece), rows)
