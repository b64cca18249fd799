"""A piece as a STEP file: an assembly tree in which each distinct part has one shape.

Schema AP214 (AUTOMOTIVE_DESIGN): every STEP reader in use knows it, it carries assemblies, colours
and a material with its density, and the kernel writes its final edition (of AP242 only a draft one).
Millimetres. Same piece, same bytes, in one process or another.
"""

from __future__ import annotations

import os
import re
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from io import BytesIO
from typing import Any

from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
from OCP.BRep import BRep_Builder
from OCP.Geom import Geom_Circle, Geom_Plane
from OCP.gp import gp_Ax2, gp_Ax3, gp_Pnt, gp_Trsf
from OCP.IFSelect import IFSelect_RetDone
from OCP.Quantity import Quantity_Color, Quantity_TOC_RGB
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPConstruct import STEPConstruct_Styles
from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer
from OCP.StepRepr import StepRepr_HArray1OfRepresentationItem
from OCP.StepVisual import StepVisual_MechanicalDesignGeometricPresentationRepresentation
from OCP.TCollection import TCollection_ExtendedString, TCollection_HAsciiString
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.TopAbs import TopAbs_FORWARD, TopAbs_REVERSED
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Edge, TopoDS_Face, TopoDS_Shell, TopoDS_Solid, TopoDS_Vertex, TopoDS_Wire
from OCP.XCAFDoc import XCAFDoc_DocumentTool

from furnigen.errors import GeometryError, InputError
from furnigen.kernel.flat import CLOSE_MM
from furnigen.kernel.settings import settings
from furnigen.kernel.step_text import Rows, assembled, rows_of_solids
from furnigen.materials import find_material
from furnigen.parts.part import Part
from furnigen.piece import Piece
from furnigen.pose import Pose

_OPTIONS: dict[str, str | int] = {
    # edges without their curves in surface parameters, which a reader finds for itself (and then is off
    # by 2e-7 of a leaned leg's volume, measured): half the file
    "write.surfacecurve.mode": 0,
    "write.step.schema": "AP214IS",
    "write.step.unit": "MM",
    "xstep.cascade.unit": "MM",
    "write.precision.mode": 0,
    "write.stepcaf.subshapes.name": 0,
}
_KG_M3_PER_G_CM3 = 1000.0
_TO_ENCODE = re.compile(r"[^\x20-\x5b\x5d-\x7e]+")


def _stamp() -> str:
    """The time in the header: SOURCE_DATE_EPOCH of the environment (reproducible-builds.org), else 1970."""
    text = os.environ.get("SOURCE_DATE_EPOCH", "0")
    try:
        return datetime.fromtimestamp(int(text), UTC).strftime("%Y-%m-%dT%H:%M:%S")
    except (ValueError, OverflowError, OSError):
        raise InputError("SOURCE_DATE_EPOCH", text, "must be whole seconds since 1970-01-01") from None


def _directive(run: re.Match[str]) -> str:
    if max(run[0]) > "\uffff":
        return "\\X4\\" + run[0].encode("utf-32-be").hex().upper() + "\\X0\\"
    return "\\X2\\" + run[0].encode("utf-16-be").hex().upper() + "\\X0\\"


def encoded(text: str) -> str:
    r"""`text` in the alphabet of a STEP file: all but plain ASCII as hexadecimal directives.

    ISO 10303-21, \X2\ and \X4\ (from memory). The backslash too, for the kernel takes text that
    looks like a directive for one; the apostrophe is doubled by the kernel.

    >>> print(encoded("Räck"))
    R\X2\00E4\X0\ck
    """
    # a lone surrogate is no character: no file can carry it
    whole = text.encode("utf-8", "replace").decode("utf-8")
    return _TO_ENCODE.sub(_directive, whole)


def _text(text: str) -> Any:
    return TCollection_HAsciiString(encoded(text))


def _name(label: Any, text: str) -> None:
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(encoded(text)))


def _location(pose: Pose) -> Any:
    transform = gp_Trsf()
    rows = pose.matrix()[:3]
    transform.SetValues(*(value for row in rows for value in row))
    return TopLoc_Location(transform)


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


class _Tree:
    """The document in the making: labels of parts and of sub-assemblies, each made on first use.

    Attributes:
        tokens: what stands for the solid of each part that is placed, by its number.
    """

    def __init__(self, piece: Piece) -> None:
        self.document = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
        main = self.document.Main()
        self._shapes = XCAFDoc_DocumentTool.ShapeTool_s(main)
        self._materials = XCAFDoc_DocumentTool.MaterialTool_s(main)
        self._part_labels: dict[int, Any] = {}
        self.tokens: dict[int, Any] = {}
        root = self._shapes.NewShape()
        _name(root, piece.name)
        self._assemblies: dict[tuple[str, ...], Any] = {(): root}
        for placement in piece.placements:
            within = self._assembly(placement.path)
            shape = self._part(placement.part, piece.parts[placement.part])
            _name(self._shapes.AddComponent(within, shape, _location(placement.pose)), placement.label)
        self._shapes.UpdateAssemblies()

    def _assembly(self, path: tuple[str, ...]) -> Any:
        label = self._assemblies.get(path)
        if label is None:
            within = self._assembly(path[:-1])
            label = self._shapes.NewShape()
            _name(label, path[-1])
            _name(self._shapes.AddComponent(within, label, TopLoc_Location()), path[-1])
            self._assemblies[path] = label
        return label

    def _part(self, index: int, part: Part) -> Any:
        label = self._part_labels.get(index)
        if label is None:
            token = self.tokens[index] = _token(index + 1)
            label = self._shapes.AddShape(token, False)
            _name(label, part.name)
            material = find_material(part.stock.material)
            self._materials.SetMaterial(
                label,
                _text(material.name),
                _text(material.title),
                material.density_kg_m3 / _KG_M3_PER_G_CM3,
                _text("density"),
                _text("POSITIVE_RATIO_MEASURE"),
            )
            self._part_labels[index] = label
        return label


def _colour(writer: Any, piece: Piece, tokens: Mapping[int, Any]) -> None:
    """Give each shape in the file the colour of its material's look, one style for each material.

    The kernel's own way orders colours by where its shapes lie in memory, which no two runs share.
    """
    session, model = writer.ChangeWriter().WS(), writer.ChangeWriter().Model()
    looks: dict[str, Any] = {}
    styled: list[Any] = []
    styles = STEPConstruct_Styles(session)
    for index, token in tokens.items():
        material = piece.parts[index].stock.material
        look = looks.get(material)
        if look is None:
            # the kernel takes linear colour and writes sRGB, as STEP readers expect
            rgb = Quantity_Color(*find_material(material).colour, Quantity_TOC_RGB)
            colour = STEPConstruct_Styles.EncodeColor_s(rgb)
            look = looks[material] = styles.GetColorPSA(None, colour)
        styled.append(styles.AddStyle(token, look, None))
    # to hand an entity over takes the binding milliseconds: all go in one, and `assembled` takes them apart
    shown = StepVisual_MechanicalDesignGeometricPresentationRepresentation()
    shown.Init(_text(""), _items(styled), styles.FindContext(next(iter(tokens.values()))))
    model.AddWithRefs(shown)


def _items(entities: Sequence[Any]) -> Any:
    found = StepRepr_HArray1OfRepresentationItem(1, len(entities))
    for i, entity in enumerate(entities, 1):
        found.SetValue(i, entity)
    return found


def _header(model: Any, piece: Piece) -> None:
    header = APIHeaderSection_MakeHeader(model)
    header.SetName(_text(piece.name))
    header.SetTimeStamp(_text(_stamp()))
    header.SetDescriptionValue(1, _text(piece.title))
    header.SetAuthorValue(1, _text(""))
    header.SetOrganizationValue(1, _text(""))
    header.SetOriginatingSystem(_text("furnigen"))
    header.SetAuthorisation(_text(""))


def rows_of(solids: Sequence[Any]) -> list[Rows]:
    """The rows of a STEP file that describe some solids, each by itself: what `assembly_bytes` puts together.

    Args:
        solids: OCP solids, mm.

    Errors: GeometryError when the kernel can not write one.
    """
    with settings(_OPTIONS):
        writer = STEPControl_Writer()
        for solid in solids:
            if writer.Transfer(solid, STEPControl_AsIs) != IFSelect_RetDone:
                raise GeometryError("the kernel could not turn a solid into STEP")
        found = rows_of_solids(_stream(writer))
    if len(found) != len(solids):
        raise GeometryError(f"the kernel wrote {len(found)} of {len(solids)} solids")
    return found


def _stream(writer: Any) -> bytes:
    stream = BytesIO()
    if writer.WriteStream(stream) != IFSelect_RetDone:
        raise GeometryError("the kernel could not write its STEP file")
    return stream.getvalue()


def assembly_bytes(piece: Piece, rows: Mapping[int, Rows]) -> bytes:
    """The STEP file of `piece`, from the rows of its parts: see `step_bytes`.

    The kernel writes it with a token for each solid, so what it has written of a part once, for another
    piece, is not written again.

    Args:
        rows: from `rows_of`, by the number of the part; of every part that is placed.

    Errors: as `step_bytes`.
    """
    if not piece.placements:
        raise GeometryError(f"{piece.name}: nothing is placed, so there is no STEP file to write")
    tree = _Tree(piece)
    with settings(_OPTIONS):
        writer = STEPCAFControl_Writer()
        writer.SetNameMode(True)
        writer.SetColorMode(False)  # see _colour
        writer.SetMaterialMode(True)
        if not writer.Transfer(tree.document, STEPControl_AsIs):
            raise GeometryError(f"{piece.name}: the kernel could not turn the piece into STEP")
        _colour(writer, piece, tree.tokens)
        _header(writer.ChangeWriter().Model(), piece)
        return assembled(_stream(writer), rows)


def step_bytes(piece: Piece, solids: Sequence[Any]) -> bytes:
    """The STEP file of `piece`.

    The root product is named by the piece; sub-assemblies follow the placements' paths; instances
    carry the placements' labels, products the parts' names, each part with the colour of its
    material's look and the material's name and density.

    Args:
        solids: from `furnigen.kernel.solids.solids`, in the order of `piece.parts`.

    Errors: GeometryError when there is nothing to write or the kernel can not write it; InputError
        for a SOURCE_DATE_EPOCH that is no number.
    """
    used = sorted({p.part for p in piece.placements})
    return assembly_bytes(piece, dict(zip(used, rows_of([solids[k] for k in used]), strict=True)))
