"""Read any STEP assembly: its solids, where each copy stands, and what they are called.

furnigen's own files and others: nested assemblies, shared parts, parts without a name or with
several solids, any unit of length (the kernel turns it into millimetres). A mirrored or scaled copy
is refused, and a placement that gives no position. What the kernel left out is for
`furnigen.pipeline.step_proof` to find, from what the file says of itself.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from OCP.Quantity import Quantity_Color
from OCP.TCollection import TCollection_AsciiString
from OCP.TDataStd import TDataStd_Name, TDataStd_TreeNode
from OCP.TDF import TDF_Label, TDF_LabelSequence, TDF_Tool
from OCP.XCAFDoc import (
    XCAFDoc,
    XCAFDoc_ColorGen,
    XCAFDoc_ColorSurf,
    XCAFDoc_ColorTool,
    XCAFDoc_DocumentTool,
    XCAFDoc_Material,
    XCAFDoc_ShapeTool,
)

from furnigen.core.array_types import Floats
from furnigen.core.errors import InputError
from furnigen.core.pose import Vector
from furnigen.exchange.contents import Contents, contents
from furnigen.exchange.numbers import refuse_numbers
from furnigen.exchange.part21 import exchange_file
from furnigen.exchange.placing import refuse_placements
from furnigen.exchange.units import refuse_units
from furnigen.kernel.shapes import solids_in
from furnigen.kernel.step_load import Complaint, ignored, load_document, step_content
from furnigen.kernel.tessellation import location_matrix

_GREY: Vector = (0.5, 0.5, 0.5)
_UNKNOWN = "unknown"


@dataclass(frozen=True, eq=False)
class StepSolid:
    """One distinct solid of a STEP file.

    Attributes:
        name: unique in the file.
        product: the name of its product; "" where it has none.
        shape: the OCP solid in its own frame, mm.
        colour: linear red, green, blue from 0 to 1; grey where the file has none.
        material: the material's name; "unknown" where the file has none.
    """

    name: str
    product: str
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
        stated: what the file holds by its own product structure.
        complaints: what the kernel's reader found amiss in single rows.
    """

    name: str
    solids: tuple[StepSolid, ...]
    copies: tuple[StepCopy, ...]
    without_solid: tuple[str, ...]
    stated: Contents
    complaints: tuple[Complaint, ...] = ()


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


def shown_name(text: str, names: Collection[str]) -> str:
    """A name of the file as people are told it; empty for a bare number that the file does not call anything.

    Args:
        names: what the file calls things. Where it says no name the kernel puts an identifier in its place,
            which is a number in most files.
    """
    text = "".join(c if c.isprintable() else " " for c in text).strip()
    return "" if text.isdigit() and text not in names else text


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

    def __init__(self, document: Any, names: Collection[str]) -> None:
        self._stated_names = names
        self._colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
        self._solid_names, self._copy_names = _Names(), _Names()
        self._known: dict[str, list[int]] = {}
        self.solids: list[StepSolid] = []
        self.copies: list[StepCopy] = []
        self.without_solid: list[str] = []

    def name(self, label: Any) -> str:
        """What a label is called; empty for no name, and for the identifier the kernel puts in its place."""
        name = _attribute(label, TDataStd_Name.GetID_s(), TDataStd_Name)
        return "" if name is None else shown_name(name.Get().ToExtString(), self._stated_names)

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
                product = self.name(label)
                name = self._solid_names.unique(product)
                self.solids.append(
                    StepSolid(name, product, solid, self._colour(label, solid), _material(label))
                )
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
            name = self.name(component) or self.name(inner)
            self.item(inner, name and within + name, at, path, shared)


def read_step(
    path: str | Path, *, most_copies: int | None = None, on_complaint: Callable[[str], None] = ignored
) -> StepFile:
    """Read a STEP file.

    A part with several solids gives several, each with a label of its own. Names that a file repeats
    are made unique: "leg", "leg.2". What has no name is called "solid.1", "solid.2".

    Args:
        most_copies: placed solids, counted before any is made, beyond which the file is refused; None for
            no limit.
        on_complaint: told what the kernel's reader finds amiss, before the shapes are built.

    Raises:
        InputError: naming the file, when it can not be read, is no STEP file, has a placement that is none,
            too many copies, or no solid.
        GeometryError: when the kernel can not build its shapes.
    """
    path = Path(path)
    content = step_content(path)
    stated = _stated(path, content, most_copies)
    document, complaints = load_document(path, content, on_complaint)
    roots = TDF_LabelSequence()
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).GetFreeShapes(roots)
    walk = _Walk(document, stated.names)
    name = ""
    for root in _labels(roots):
        if roots.Length() == 1 and XCAFDoc_ShapeTool.IsAssembly_s(root):
            name = walk.name(root)
            walk.assembly(root, np.eye(4), ())
        else:
            walk.item(root, walk.name(root), np.eye(4), ())
    if not walk.copies:
        raise InputError("STEP file", path, _nothing(walk, stated, complaints))
    return StepFile(
        name or path.stem,
        tuple(walk.solids),
        tuple(walk.copies),
        tuple(walk.without_solid),
        stated,
        complaints,
    )


def _stated(path: Path, content: bytes, most_copies: int | None) -> Contents:
    """What the file says it holds, when that can be read at all."""
    try:
        stated = contents(exchange_file(content))
    except InputError as error:
        raise InputError("STEP file", path, f"{error.value} {error.allowed}") from None
    refuse_units(path, stated.file)
    refuse_numbers(path, stated)
    refuse_placements(path, stated)
    if most_copies is not None and stated.solids_placed > most_copies:
        raise InputError(
            "STEP file",
            path,
            f"places {stated.solids_placed:,} solids, and at most {most_copies:,} are taken",
            "save an assembly within it by itself, or allow more copies",
        )
    return stated


def _nothing(walk: _Walk, stated: Contents, complaints: Sequence[Complaint]) -> str:
    """Why a file gave no solid."""
    if stated.elsewhere:
        return (
            f"holds no solid: its parts lie in other files ({', '.join(stated.elsewhere[:5])}); check those"
        )
    if stated.solids_placed:
        number = stated.solids_placed
        why = f"; its reader says: {complaints[0].text}" if complaints else ""
        return f"is damaged: it states {number} solid{'s' * (number > 1)}, and none could be read{why}"
    held = f": only {', '.join(walk.without_solid[:5])}" if walk.without_solid else ""
    return f"holds no solid{held}; export solids, not sheets or wires"
