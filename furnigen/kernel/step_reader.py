"""Read any STEP assembly: its solids, where each copy stands, and what they are called.

furnigen's own files and others: nested assemblies, shared parts, parts without a name or with
several solids, any unit of length (the kernel turns it into millimetres). A mirrored or scaled copy
is refused.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
from OCP.IFSelect import IFSelect_RetDone
from OCP.Quantity import Quantity_Color
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.StepGeom import StepGeom_CartesianTransformationOperator3d
from OCP.TCollection import TCollection_AsciiString, TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name, TDataStd_TreeNode
from OCP.TDF import TDF_Label, TDF_LabelSequence, TDF_Tool
from OCP.TDocStd import TDocStd_Document
from OCP.XCAFDoc import (
    XCAFDoc,
    XCAFDoc_ColorGen,
    XCAFDoc_ColorSurf,
    XCAFDoc_ColorTool,
    XCAFDoc_DocumentTool,
    XCAFDoc_Material,
    XCAFDoc_ShapeTool,
)

from furnigen.errors import GeometryError, InputError
from furnigen.kernel.explore import is_flat, solids_in
from furnigen.kernel.failures import FAILURES
from furnigen.kernel.settings import settings
from furnigen.kernel.tessellate import ANGLE_RADIANS, TOLERANCE_MM, location_matrix, triangles
from furnigen.mesh.model import Floats, MeshInstance, MeshModel, PartMesh
from furnigen.pose import Vector, cross, dot

_GREY: Vector = (0.5, 0.5, 0.5)
_UNKNOWN = "unknown"
_MAGIC = b"ISO-10303-21"
_SAME_SCALE = 1e-9
"""Rounding of the numbers in a file, which have twelve digits."""
_BEARING = ("StepBasic", "StepGeom", "StepRepr", "StepShape")
"""Families of entities that carry the shapes: the kernel falls over when one of them is broken."""


@dataclass(frozen=True, eq=False)
class StepSolid:
    """One distinct solid of a STEP file.

    Attributes:
        name: unique in the file.
        shape: the OCP solid in its own frame, mm.
        colour: linear red, green, blue from 0 to 1; grey where the file has none.
        material: the material's name; "unknown" where the file has none.
    """

    name: str
    shape: Any
    colour: Vector = _GREY
    material: str = _UNKNOWN


@dataclass(frozen=True, eq=False)
class StepCopy:
    """One placed copy of a solid.

    Attributes:
        label: unique in the file.
        solid: index into `StepFile.solids`.
        matrix: (4, 4) rigid placement, mm, column-vector convention.
        path: the assemblies it is in, outermost first, without the root.
    """

    label: str
    solid: int
    matrix: Floats
    path: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class StepFile:
    """What a STEP file holds.

    Attributes:
        name: of the root assembly, or of the file.
        solids: each distinct solid once.
        copies: where they stand, in the order of the file.
        without_solid: labels of placed items that hold no solid: sheets, wires, points.
    """

    name: str
    solids: tuple[StepSolid, ...]
    copies: tuple[StepCopy, ...]
    without_solid: tuple[str, ...] = ()


def _content(path: Path) -> bytes:
    what = "STEP file"
    try:
        content = path.read_bytes()
    except IsADirectoryError:
        raise InputError(what, path, "is a folder; name a STEP file in it") from None
    except FileNotFoundError:
        raise InputError(what, path, "does not exist") from None
    except OSError as error:
        raise InputError(what, path, f"cannot be read: {error.strerror}") from error
    if _MAGIC not in content[:1024]:
        raise InputError(what, path, f"is not a STEP file: it does not begin with {_MAGIC.decode()}")
    return content


def _broken(model: Any) -> str:
    """The first thing in a loaded file that would bring the kernel down; empty when there is none."""
    for i in range(1, model.NbEntities() + 1):
        if model.IsErrorEntity(i):
            family, _, kind = type(model.Value(i)).__name__.partition("_")
            if family in _BEARING:
                check = model.Check(i, True)
                return f"{kind}: {check.CFail(1) if check.NbFails() else 'cannot be read'}"
    return ""


def _mirrored(model: Any) -> bool:
    """Whether a loaded file mirrors or scales a copy: the kernel would turn it instead, and say nothing."""
    for i in range(1, model.NbEntities() + 1):
        entity = model.Value(i)
        if not isinstance(entity, StepGeom_CartesianTransformationOperator3d):
            continue
        if entity.HasScale() and abs(entity.Scale() - 1.0) > _SAME_SCALE:
            return True
        axes = (entity.Axis1(), entity.Axis2(), entity.Axis3())
        if None not in axes:
            x, y, z = (tuple(axis.DirectionRatiosValue(k) for k in (1, 2, 3)) for axis in axes)
            if dot(cross(x, y), z) < 0:
                return True
    return False


def _load(path: Path) -> Any:
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.SetColorMode(True)
    reader.SetMatMode(True)
    document = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
    # the kernel is told no name of the file: it takes none that is not UTF-8
    if reader.ReadStream("model.step", BytesIO(_content(path))) != IFSelect_RetDone:
        raise InputError("STEP file", path, "is not a STEP file that the kernel can read, or is cut short")
    model = reader.ChangeReader().StepModel()
    broken = _broken(model)
    if broken:
        raise InputError("STEP file", path, f"is damaged: {broken}")
    if _mirrored(model):
        raise InputError(
            "STEP file",
            path,
            "mirrors or scales a copy of a part; save it with that copy as a part of its own",
        )
    try:
        with settings({"xstep.cascade.unit": "MM"}):
            done = reader.Transfer(document)
    except FAILURES as error:
        raise GeometryError(f"{path}: the kernel could not build its shapes: {error}") from error
    if not done:
        raise InputError("STEP file", path, "holds no shape")
    return document


def _labels(sequence: Any) -> Iterator[Any]:
    for i in range(1, sequence.Length() + 1):
        yield sequence.Value(i)


def _attribute(label: Any, key: Any, kind: Any) -> Any:
    """The attribute of a label, None where it has none: to look for one that is not there is fatal."""
    if not label.IsAttribute(key):
        return None
    found = kind()
    label.FindAttribute(key, found)
    return found


def _name(label: Any) -> str:
    """What a label is called; empty for no name, and for the bare number the kernel puts in its place."""
    name = _attribute(label, TDataStd_Name.GetID_s(), TDataStd_Name)
    if name is None:
        return ""
    text = "".join(c if c.isprintable() else " " for c in name.Get().ToExtString()).strip()
    return "" if text.isdigit() else text


def _entry(label: Any) -> str:
    entry = TCollection_AsciiString()
    TDF_Tool.Entry_s(label, entry)
    return str(entry.ToCString())


def _material(label: Any) -> str:
    node = _attribute(label, XCAFDoc.MaterialRefGUID_s(), TDataStd_TreeNode)
    if node is None or not node.HasFather():
        return _UNKNOWN
    material = _attribute(node.Father().Label(), XCAFDoc_Material.GetID_s(), XCAFDoc_Material)
    name = material.GetName() if material else None
    return (str(name.ToCString()).strip() if name else "") or _UNKNOWN


class _Names:
    """Names made unique: the second "leg" becomes "leg.2", a nameless one counts from "solid.1"."""

    def __init__(self) -> None:
        self._taken: set[str] = set()
        self._last: dict[str, int] = {}

    def unique(self, name: str) -> str:
        stem, wanted = name or "solid", name
        number = self._last.get(stem, 1 if name else 0)
        while not wanted or wanted in self._taken:
            number += 1
            wanted = f"{stem}.{number}"
        self._last[stem] = number
        self._taken.add(wanted)
        return wanted


class _Walk:
    """Collects solids and copies from the tree of a document."""

    def __init__(self, document: Any) -> None:
        self._colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
        self._solid_names, self._copy_names = _Names(), _Names()
        self._known: dict[str, list[int]] = {}
        self.solids: list[StepSolid] = []
        self.copies: list[StepCopy] = []
        self.without_solid: list[str] = []

    def _colour(self, label: Any, solid: Any) -> Vector:
        colour = Quantity_Color()
        for kind in (XCAFDoc_ColorSurf, XCAFDoc_ColorGen):
            if self._colours.GetColor(solid, kind, colour) or XCAFDoc_ColorTool.GetColor_s(
                label, kind, colour
            ):
                return (colour.Red(), colour.Green(), colour.Blue())
        return _GREY

    def _solids_of(self, label: Any) -> list[int]:
        entry = _entry(label)
        if entry not in self._known:
            found = solids_in(XCAFDoc_ShapeTool.GetShape_s(label))
            first = len(self.solids)
            for solid in found:
                name = self._solid_names.unique(_name(label))
                self.solids.append(StepSolid(name, solid, self._colour(label, solid), _material(label)))
            self._known[entry] = list(range(first, len(self.solids)))
        return self._known[entry]

    def item(self, label: Any, name: str, outer: Floats, path: tuple[str, ...], shared: bool = False) -> None:
        """Everything in the assembly or shape at `label`, called `name`, standing at `outer`."""
        if XCAFDoc_ShapeTool.IsAssembly_s(label):
            self.assembly(label, outer, (*path, name or "assembly"), shared)
            return
        indices = self._solids_of(label)
        if not indices:
            self.without_solid.append(name or "nameless")
        for index in indices:
            self.copies.append(StepCopy(self._copy_names.unique(name), index, outer, path))

    def assembly(self, label: Any, outer: Floats, path: tuple[str, ...], shared: bool = False) -> None:
        """Everything placed in the assembly at `label`.

        In one that is placed several times, or lies in such a one (`shared`), names are told apart by the
        name of the copy they are in: `front` in `frame.1` is `frame.1.front`.
        """
        components = TDF_LabelSequence()
        shared = shared or XCAFDoc_ShapeTool.GetUsers_s(label, TDF_LabelSequence(), False) > 1
        within = f"{path[-1]}." if shared and path else ""
        XCAFDoc_ShapeTool.GetComponents_s(label, components, False)
        for component in _labels(components):
            inner = TDF_Label()
            XCAFDoc_ShapeTool.GetReferredShape_s(component, inner)
            at = outer @ location_matrix(XCAFDoc_ShapeTool.GetLocation_s(component))
            name = _name(component) or _name(inner)
            self.item(inner, name and within + name, at, path, shared)


def read_step(path: str | Path) -> StepFile:
    """Read a STEP file.

    A part with several solids gives several, each with a label of its own. Names that a file repeats
    are made unique: "leg", "leg.2". What has no name is called "solid.1", "solid.2".

    Errors:
        InputError: naming the file, when it can not be read, is no STEP file, is damaged, or holds no
            solid.
        GeometryError: when the kernel can not build its shapes.
    """
    path = Path(path)
    document = _load(path)
    roots = TDF_LabelSequence()
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).GetFreeShapes(roots)
    walk = _Walk(document)
    name = ""
    for root in _labels(roots):
        if roots.Length() == 1 and XCAFDoc_ShapeTool.IsAssembly_s(root):
            name = _name(root)
            walk.assembly(root, np.eye(4), ())
        else:
            walk.item(root, _name(root), np.eye(4), ())
    if not walk.copies:
        held = f": only {', '.join(walk.without_solid[:5])}" if walk.without_solid else ""
        raise InputError("STEP file", path, f"holds no solid{held}; export solids, not sheets or wires")
    return StepFile(name or path.stem, tuple(walk.solids), tuple(walk.copies), tuple(walk.without_solid))


def _outward(part: PartMesh) -> PartMesh:
    """The mesh with its triangles counter-clockwise seen from outside, however the file had them."""
    a, b, c = (part.vertices[part.faces[:, k]] for k in range(3))
    if np.einsum("ij,ij->", a, np.cross(b, c)) < 0:
        return replace(part, faces=part.faces[:, ::-1])
    return part


def step_mesh_model(
    path: str | Path, *, tolerance_mm: float = TOLERANCE_MM, angle_radians: float = ANGLE_RADIANS
) -> MeshModel:
    """The meshes of a STEP file, one for each distinct solid, and their placed copies.

    Args:
        tolerance_mm, angle_radians: as in `furnigen.kernel.tessellate.triangles`.

    Errors: as `read_step`; GeometryError naming a solid that can not be meshed.
    """
    file = read_step(path)
    parts = []
    for solid in file.solids:
        try:
            vertices, faces = triangles(solid.shape, tolerance_mm=tolerance_mm, angle_radians=angle_radians)
        except GeometryError as error:
            raise GeometryError(f"{path}: solid {solid.name!r}: {error}") from error
        curved = not is_flat(solid.shape)
        mesh = PartMesh(solid.name, vertices, faces, solid.colour, solid.material, curved=curved)
        parts.append(_outward(mesh))
    copies = tuple(MeshInstance(c.label, c.solid, c.matrix, c.path) for c in file.copies)
    return MeshModel(file.name, tuple(parts), copies)
