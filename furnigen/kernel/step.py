"""A piece as a STEP file: an assembly tree in which each distinct part has one shape.

Schema AP214 (AUTOMOTIVE_DESIGN): every STEP reader in use knows it, it carries assemblies, colours
and a material with its density, and the kernel writes its final edition (of AP242 only a draft one).
Millimetres. Same piece, same bytes, in one process or another.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import UTC, datetime
from io import BytesIO
from itertools import chain, count
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

from furnigen.errors import GeometryError, InputError
from furnigen.kernel.settings import settings
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


class _Tree:
    """The document in the making: labels of parts and of sub-assemblies, each made on first use."""

    def __init__(self, piece: Piece, solids: Sequence[Any]) -> None:
        self.document = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
        main = self.document.Main()
        self._shapes = XCAFDoc_DocumentTool.ShapeTool_s(main)
        self._materials = XCAFDoc_DocumentTool.MaterialTool_s(main)
        self._solids = solids
        self.part_labels: dict[int, Any] = {}
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
        label = self.part_labels.get(index)
        if label is None:
            label = self._shapes.AddShape(self._solids[index], False)
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
            self.part_labels[index] = label
        return label


def _colour(writer: Any, piece: Piece, solids: Sequence[Any], used: Iterable[int]) -> None:
    """Give each shape in the file the colour of its material's look, one style for each material.

    The kernel's own way orders colours by where its shapes lie in memory, which no two runs share.
    """
    session, model = writer.ChangeWriter().WS(), writer.ChangeWriter().Model()
    looks: dict[str, Any] = {}
    styled: list[Any] = []
    styles = STEPConstruct_Styles(session)
    for index in used:
        material = piece.parts[index].stock.material
        look = looks.get(material)
        if look is None:
            # the kernel takes linear colour and writes sRGB, as STEP readers expect
            rgb = Quantity_Color(*find_material(material).colour, Quantity_TOC_RGB)
            colour = STEPConstruct_Styles.EncodeColor_s(rgb)
            look = looks[material] = styles.GetColorPSA(None, colour)
        styled.append(styles.AddStyle(solids[index], look, None))
    # to hand an entity over takes the binding milliseconds: all go in one, and `_repaired` takes them apart
    shown = StepVisual_MechanicalDesignGeometricPresentationRepresentation()
    shown.Init(_text(""), _items(styled), styles.FindContext(solids[next(iter(used))]))
    model.AddWithRefs(shown)


def _items(entities: Sequence[Any]) -> Any:
    found = StepRepr_HArray1OfRepresentationItem(1, len(entities))
    for i, entity in enumerate(entities, 1):
        found.SetValue(i, entity)
    return found


_NUMBER = re.compile(rb"#\d+")
_OCCURRENCE = re.compile(rb"(#\d+ = \w+\()\s*'[^']*'((?:[^;']|'(?:[^']|'')*')*);")
_LINE_BREAK = re.compile(rb"\n\s*")
_PRODUCT = re.compile(rb"(#\d+ = \w+\(\s*)'(?:[^']|'')*'(,\s*'((?:[^']|'')*)')")
_UNIT = re.compile(rb"#\d+ = \w+\(\(\s*(#\d+),\s*(#\d+)\s*\)\)")
_UNIT_PART = re.compile(rb"((#\d+) = \w+\(\s*#\d+,\s*)[^)]*\)")

_SHOWN = b"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION"
_REPRESENTATION = re.compile(rb"#\d+ = \w+\(\s*'(?:[^']|'')*',\s*\(([^()]*)\),\s*(#\d+)\)")
_STYLED = re.compile(rb"(#\d+) = \w+\('color',\s*\([^()]*\),\s*(#\d+)\)")


def _found(data: bytes, kind: bytes, pattern: re.Pattern[bytes]) -> Iterator[re.Match[bytes]]:
    """The entities of one kind. A file is long and they are few: a plain search finds them soonest."""
    mark = b" = " + kind + b"("
    at = data.find(mark)
    while at >= 0:
        start = data.rfind(b"\n", 0, at) + 1
        match = pattern.match(data, start) if _NUMBER.fullmatch(data, start, at) else None
        if match:
            yield match
        at = data.find(mark, at + 1)


def _changed(
    data: bytes, kind: bytes, pattern: re.Pattern[bytes], change: Callable[[re.Match[bytes]], bytes]
) -> bytes:
    parts, done = [], 0
    for match in _found(data, kind, pattern):
        parts += [data[done : match.start()], change(match)]
        done = match.end()
    return b"".join([*parts, data[done:]])


def _repaired(data: bytes) -> bytes:
    """What the kernel wrote made repeatable and right.

    It numbers occurrences through the whole process, and gives density as g³ cm² for g / cm³. In its model
    that takes far longer to find than in its file.
    """
    occurrences = count(1)
    taken: set[bytes] = set()

    def occurrence(m: re.Match[bytes]) -> bytes:
        # where the kernel broke the line depends on how long its own number was
        return b"%s'%d'%s;" % (m[1], next(occurrences), _LINE_BREAK.sub(b"", m[2]))

    def product(m: re.Match[bytes]) -> bytes:
        names = chain((m[3],), (b"%s (%d)" % (m[3], n) for n in count(2)))
        unique = next(name for name in names if name not in taken)
        taken.add(unique)
        return b"%s'%s'%s" % (m[1], unique, m[2])

    exponents: dict[bytes, bytes] = {}
    for unit in _found(data, b"DERIVED_UNIT", _UNIT):
        exponents |= {unit[1]: b"1.", unit[2]: b"-3."}
    contexts = {
        item: shape[2]
        for shape in _found(data, b"ADVANCED_BREP_SHAPE_REPRESENTATION", _REPRESENTATION)
        for item in _NUMBER.findall(shape[1])
    }
    context = {styled[1]: contexts[styled[2]] for styled in _found(data, b"STYLED_ITEM", _STYLED)}
    free = count(data.count(b"\n#") + 1)

    def shown(m: re.Match[bytes]) -> bytes:
        """A representation for the style of each shape, in that shape's own context."""
        numbers = chain((m[0].split(b" ", 1)[0],), (b"#%d" % n for n in free))
        rows = zip(numbers, _NUMBER.findall(m[1]), strict=False)
        return b";\n".join(b"%s = %s('',(%s),%s)" % (n, _SHOWN, item, context[item]) for n, item in rows)

    data = _changed(data, _SHOWN, _REPRESENTATION, shown)
    data = _changed(data, b"NEXT_ASSEMBLY_USAGE_OCCURRENCE", _OCCURRENCE, occurrence)
    data = _changed(data, b"PRODUCT", _PRODUCT, product)
    return _changed(data, b"DERIVED_UNIT_ELEMENT", _UNIT_PART, lambda m: m[1] + exponents[m[2]] + b")")


def _header(model: Any, piece: Piece) -> None:
    header = APIHeaderSection_MakeHeader(model)
    header.SetName(_text(piece.name))
    header.SetTimeStamp(_text(_stamp()))
    header.SetDescriptionValue(1, _text(piece.title))
    header.SetAuthorValue(1, _text(""))
    header.SetOrganizationValue(1, _text(""))
    header.SetOriginatingSystem(_text("furnigen"))
    header.SetAuthorisation(_text(""))


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
    if not piece.placements:
        raise GeometryError(f"{piece.name}: nothing is placed, so there is no STEP file to write")
    tree = _Tree(piece, solids)
    stream = BytesIO()
    with settings(_OPTIONS):
        writer = STEPCAFControl_Writer()
        writer.SetNameMode(True)
        writer.SetColorMode(False)  # see _colour
        writer.SetMaterialMode(True)
        if not writer.Transfer(tree.document, STEPControl_AsIs):
            raise GeometryError(f"{piece.name}: the kernel could not turn the piece into STEP")
        _colour(writer, piece, solids, tree.part_labels)
        model = writer.ChangeWriter().Model()
        _header(model, piece)
        if writer.WriteStream(stream) != IFSelect_RetDone:
            raise GeometryError(f"{piece.name}: the kernel could not write its STEP file")
    # the kernel breaks lines even within a name, where a reader may take the break as part of it
    return _repaired(_unbroken(stream.getvalue()))


def _unbroken(data: bytes) -> bytes:
    """A STEP file without the line breaks within its strings; a doubled apostrophe is two strings here."""
    parts = data.split(b"'")
    parts[1::2] = [text.replace(b"\n", b"") for text in parts[1::2]]
    return b"'".join(parts)
