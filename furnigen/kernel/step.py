"""A piece as a STEP file: an assembly tree in which each distinct part and sub-assembly is placed as often
as it stands in the piece.

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
from OCP.gp import gp_Trsf
from OCP.IFSelect import IFSelect_RetDone
from OCP.Quantity import Quantity_Color, Quantity_TOC_RGB
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPConstruct import STEPConstruct_Styles
from OCP.STEPControl import STEPControl_AsIs
from OCP.StepRepr import StepRepr_HArray1OfRepresentationItem
from OCP.StepVisual import StepVisual_MechanicalDesignGeometricPresentationRepresentation
from OCP.TCollection import TCollection_ExtendedString, TCollection_HAsciiString
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.XCAFDoc import XCAFDoc_DocumentTool

from furnigen.catalogue.materials import find_material
from furnigen.core.errors import GeometryError, InputError
from furnigen.core.pose import Pose
from furnigen.kernel.settings import kernel_settings
from furnigen.kernel.step_text import HASH, one_entity_a_line, plain, repaired
from furnigen.kernel.subassemblies import Subassembly, tree_of
from furnigen.piece.description import Piece

OPTIONS: dict[str, str | int] = {
    # edges without their curves in surface parameters, which a reader finds for itself (and then is off
    # by 2e-7 of a leaned leg's volume, measured): half the file
    "write.surfacecurve.mode": 0,
    "write.step.schema": "AP214IS",
    "write.step.unit": "MM",
    "xstep.cascade.unit": "MM",
    # the least tolerance of a shape, the same for the assembly whatever its parts are
    "write.precision.mode": -1,
    "write.stepcaf.subshapes.name": 0,
}
KG_M3_PER_G_CM3 = 1000.0
MADE_HERE = "furnigen"
"""What the header of our files names as the system that made the model."""
# Plain ASCII stays. Not so blanks at the ends, which the kernel's writer drops, nor an apostrophe before what
# follows a string: the kernel's reader takes it for the string's end, doubled or not.
_TO_ENCODE = re.compile(r"[^\x20-\x5b\x5d-\x7e]+|\A +| +\Z|'(?= *[,)])")


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
    looks like a directive for one; other apostrophes are doubled by the kernel.

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


def pose_location(pose: Pose) -> Any:
    """A pose as the kernel's location."""
    transform = gp_Trsf()
    rows = pose.matrix()[:3]
    transform.SetValues(*(value for row in rows for value in row))
    return TopLoc_Location(transform)


class _Tree:
    """The document in the making: labels of parts and of sub-assemblies, each made on first use.

    Attributes:
        shapes: the shape of each part that is placed, by its number.
    """

    def __init__(self, piece: Piece, shapes: Mapping[int, Any]) -> None:
        self.document = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
        self.shapes = shapes
        self._piece = piece
        main = self.document.Main()
        self._tool = XCAFDoc_DocumentTool.ShapeTool_s(main)
        self._materials = XCAFDoc_DocumentTool.MaterialTool_s(main)
        self._part_labels: dict[int, Any] = {}
        self._assembly_labels: dict[int, Any] = {}
        self._fill(tree_of(piece), piece.title or piece.name)
        self._tool.UpdateAssemblies()

    def _fill(self, node: Subassembly, title: str) -> Any:
        """The label of a sub-assembly, and in it all that it holds."""
        label = self._assembly_labels.get(id(node))
        if label is None:
            label = self._assembly_labels[id(node)] = self._tool.NewShape()
            _name(label, title)
            for component in node.components:
                inner = component.inner
                shape = self._part(component.part) if inner is None else self._fill(inner, inner.title)
                placed = self._tool.AddComponent(label, shape, pose_location(component.pose))
                _name(placed, node.local(component))
        return label

    def _part(self, index: int) -> Any:
        label = self._part_labels.get(index)
        if label is None:
            part = self._piece.parts[index]
            label = self._part_labels[index] = self._tool.AddShape(self.shapes[index], False)
            _name(label, part.name)
            material = find_material(part.stock.material)
            self._materials.SetMaterial(
                label,
                _text(material.name),
                _text(material.title),
                material.density_kg_m3 / KG_M3_PER_G_CM3,
                _text("density"),
                _text("POSITIVE_RATIO_MEASURE"),
            )
        return label


def _colour(writer: Any, piece: Piece, shapes: Mapping[int, Any]) -> None:
    """Give each shape in the file the colour of its material's look, one style for each material.

    The kernel's own way orders colours by where its shapes lie in memory, which no two runs share.
    """
    session, model = writer.ChangeWriter().WS(), writer.ChangeWriter().Model()
    looks: dict[str, Any] = {}
    styled: list[Any] = []
    styles = STEPConstruct_Styles(session)
    for index, shape in shapes.items():
        material = piece.parts[index].stock.material
        look = looks.get(material)
        if look is None:
            # the kernel takes linear colour and writes sRGB, as STEP readers expect
            rgb = Quantity_Color(*find_material(material).colour, Quantity_TOC_RGB)
            colour = STEPConstruct_Styles.EncodeColor_s(rgb)
            look = looks[material] = styles.GetColorPSA(None, colour)
        styled.append(styles.AddStyle(shape, look, None))
    # to hand an entity over takes the binding milliseconds: all go in one, and `repaired` takes them apart
    shown = StepVisual_MechanicalDesignGeometricPresentationRepresentation()
    shown.Init(_text(""), _items(styled), styles.FindContext(next(iter(shapes.values()))))
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
    header.SetOriginatingSystem(_text(MADE_HERE))
    header.SetAuthorisation(_text(""))


def stream(writer: Any) -> bytes:
    """What a writer of the kernel wrote."""
    stream = BytesIO()
    if writer.WriteStream(stream) != IFSelect_RetDone:
        raise GeometryError("the kernel could not write its STEP file")
    return stream.getvalue()


def placed(piece: Piece) -> list[int]:
    """The parts that stand somewhere, in the order in which they are first placed."""
    if not piece.placements:
        raise GeometryError(f"{piece.name}: nothing is placed, so there is no STEP file to write")
    return list(dict.fromkeys(p.part for p in piece.placements))


def written(piece: Piece, shapes: Mapping[int, Any]) -> bytes:
    """The file of a piece as the kernel writes it, with a shape for each of its parts."""
    tree = _Tree(piece, shapes)
    with kernel_settings(OPTIONS):
        writer = STEPCAFControl_Writer()
        writer.SetNameMode(True)
        writer.SetColorMode(False)  # see _colour
        writer.SetMaterialMode(True)
        if not writer.Transfer(tree.document, STEPControl_AsIs):
            raise GeometryError(f"{piece.name}: the kernel could not turn the piece into STEP")
        _colour(writer, piece, shapes)
        _header(writer.ChangeWriter().Model(), piece)
        return stream(writer)


def root_id(piece: Piece) -> bytes:
    """The id of the root product, as it stands in a file."""
    return encoded(piece.name).replace("'", "''").encode("ascii").replace(b"#", HASH)


def step_bytes(piece: Piece, solids: Sequence[Any]) -> bytes:
    """The STEP file of `piece`.

    The root product carries the piece's title and has its name for an id. Sub-assemblies follow the
    placements' paths; those that hold the same are one product placed several times
    (`furnigen.kernel.subassemblies`). Instances carry the placements' labels, in a sub-assembly placed
    several times without its own name. Products carry the parts' names, each part with the colour of its
    material's look and the material's name and density.

    Args:
        solids: from `furnigen.kernel.solids.solids`, in the order of `piece.parts`.

    Raises: GeometryError when there is nothing to write or the kernel can not write it; InputError
        for a SOURCE_DATE_EPOCH that is no number.
    """
    shapes = {k: solids[k] for k in placed(piece)}
    return plain(repaired(one_entity_a_line(written(piece, shapes)), root_id(piece)))
