"""A mesh model as a scene of the mesh library trimesh."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import trimesh

from furnigen.core.colour import srgb
from furnigen.formats.assembly_tree import AssemblyTree, assembly_tree
from furnigen.formats.exportable import require_exportable
from furnigen.mesh.model import MeshModel, PartMesh
from furnigen.piece.description import free_name


def trimesh_scene(model: MeshModel, stocks: Mapping[str, str]) -> trimesh.Scene:
    """The scene of a model, mm, Z up: one geometry for each part, one named node for each copy.

    Args:
        stocks: what each part is cut from, by the part's name: goes into its metadata.

    Raises: GeometryError for a model that no format could carry (`require_exportable`).
    """
    require_exportable(model)
    labels = {copy.label for copy in model.instances}
    root = free_name(model.name, labels)
    scene = trimesh.Scene(base_frame=root)
    scene.units = "mm"
    scene.geometry.update({part.name: _geometry(part, stocks[part.name]) for part in model.parts})
    taken = labels | {root}

    def add(level: AssemblyTree, node: str) -> None:
        for copy in level.instances:
            scene.graph.update(
                frame_from=node,
                frame_to=copy.label,
                matrix=copy.matrix,
                geometry=model.parts[copy.part].name,
            )
        for name, inner in level.children.items():
            own = free_name(name, taken)
            taken.add(own)
            scene.graph.update(frame_from=node, frame_to=own, matrix=np.eye(4))
            add(inner, own)

    add(assembly_tree(model), root)
    return scene


def _geometry(part: PartMesh, stock: str) -> trimesh.Trimesh:
    colour = [*np.round(255 * srgb(np.array(part.colour))).astype(np.uint8), 255]
    colours = np.tile(np.array(colour, dtype=np.uint8), (len(part.faces), 1))
    mesh = trimesh.Trimesh(part.vertices, part.faces, process=False, face_colors=colours)
    mesh.units = "mm"
    mesh.metadata |= {"name": part.name, "material": part.material, "stock": stock}
    return mesh
