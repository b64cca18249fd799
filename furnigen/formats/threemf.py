"""3MF: the piece for slicers and printers, with names, colours, millimetres.

Own code, not trimesh's writer: that one stamps random ids into the file, so no two exports are
alike, carries neither material nor colour, and costs more time to import than all four mesh
formats take to write.

A 3MF component has no name of its own, so each placed copy is an object of its own (name: its
label, part number: its part's name) that holds one component: the part's mesh, in place. Its
assemblies are objects above it, up to one build item. (3MF Core Specification 1.3, sections 4 and
5, from memory.)
"""

from __future__ import annotations

import io
import zipfile
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from furnigen.core.array_types import Floats
from furnigen.core.colour import srgb_hex
from furnigen.formats.assembly_tree import AssemblyTree, assembly_tree
from furnigen.formats.exportable import require_exportable
from furnigen.mesh.model import MeshModel, PartMesh

_CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_MODEL_PATH = "3D/3dmodel.model"
_XML = '<?xml version="1.0" encoding="UTF-8"?>\n'
_CONTENT_TYPES = (
    f'{_XML}<Types xmlns="{_PACKAGE}/content-types">'
    f'<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    f'<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>'
    f"</Types>"
)
_RELATIONSHIPS = (
    f'{_XML}<Relationships xmlns="{_PACKAGE}/relationships">'
    f'<Relationship Id="rel0" Target="/{_MODEL_PATH}"'
    f' Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'
)
_ZIP_EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest date a zip entry can bear: no clock in the file
_MATERIALS_ID = 1


def threemf_bytes(model: MeshModel) -> bytes:
    """The whole piece, millimetres, Z up: one mesh object per distinct part, one named object per copy.

    Raises:
        GeometryError: see `require_exportable`.
    """
    require_exportable(model)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for path, text in (
            ("[Content_Types].xml", _CONTENT_TYPES),
            ("_rels/.rels", _RELATIONSHIPS),
            (_MODEL_PATH, _model_xml(model)),
        ):
            entry = zipfile.ZipInfo(path, _ZIP_EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = 0  # not the machine's own: the same bytes on every system
            archive.writestr(entry, text.encode(), compresslevel=6)
    return packed.getvalue()


def _model_xml(model: MeshModel) -> str:
    looks = sorted({(p.material, srgb_hex(p.colour)) for p in model.parts})
    objects = _Objects()
    mesh_ids = [
        objects.add_mesh(part, looks.index((part.material, srgb_hex(part.colour)))) for part in model.parts
    ]
    piece = _add_assembly(assembly_tree(model), model, mesh_ids, objects)
    bases = "".join(f"<base name={quoteattr(name)} displaycolor={quoteattr(c)}/>" for name, c in looks)
    title = escape(model.name)
    return (
        f'{_XML}<model xmlns="{_CORE}" unit="millimeter" xml:lang="en">'
        f'<metadata name="Title">{title}</metadata><metadata name="Application">furnigen</metadata>'
        f'<resources><basematerials id="{_MATERIALS_ID}">{bases}</basematerials>'
        f"{''.join(objects.written)}</resources>"
        f'<build><item objectid="{piece}" partnumber={quoteattr(model.name)}/></build></model>'
    )


class _Objects:
    """The objects of the file, numbered after the materials, each after those it refers to."""

    def __init__(self) -> None:
        self.written: list[str] = []

    def _add(self, attributes: str, body: str) -> int:
        number = _MATERIALS_ID + 1 + len(self.written)
        self.written.append(f'<object id="{number}" type="model" {attributes}>{body}</object>')
        return number

    def add_mesh(self, part: PartMesh, look: int) -> int:
        # repr of a float is its shortest exact text; + 0.0 turns a negative zero into zero
        vertices = "".join(
            f'<vertex x="{x!r}" y="{y!r}" z="{z!r}"/>' for x, y, z in (part.vertices + 0.0).tolist()
        )
        triangles = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in part.faces.tolist())
        return self._add(
            f'name={quoteattr(part.name)} pid="{_MATERIALS_ID}" pindex="{look}"',
            f"<mesh><vertices>{vertices}</vertices><triangles>{triangles}</triangles></mesh>",
        )

    def add_components(self, name: str, components: list[str], part_number: str = "") -> int:
        number = f" partnumber={quoteattr(part_number)}" if part_number else ""
        return self._add(f"name={quoteattr(name)}{number}", f"<components>{''.join(components)}</components>")


def _add_assembly(assembly: AssemblyTree, model: MeshModel, mesh_ids: list[int], objects: _Objects) -> int:
    """Write the assembly after all below it; return its object number."""
    held = []
    for i in assembly.instances:
        placed = _component(mesh_ids[i.part], i.matrix)
        held.append(_component(objects.add_components(i.label, [placed], model.parts[i.part].name)))
    held += [
        _component(_add_assembly(child, model, mesh_ids, objects)) for child in assembly.children.values()
    ]
    return objects.add_components(assembly.name, held)


def _component(number: int, matrix: Floats | None = None) -> str:
    if matrix is None or np.array_equal(matrix, np.eye(4)):
        return f'<component objectid="{number}"/>'
    # row vectors: the transpose of the placement, its last column left out (section 3.3)
    values = " ".join(repr(v) for v in (matrix[:3, :].T + 0.0).ravel().tolist())
    return f'<component objectid="{number}" transform="{values}"/>'
