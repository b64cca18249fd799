"""How a piece is built: its joints, what carries what, the order of assembly, movement of its wood."""

from __future__ import annotations

from dataclasses import dataclass, replace

from furnigen.check.finding import Finding
from furnigen.check.joints import check_joints
from furnigen.check.loadpath import check_load_path
from furnigen.check.movement import check_movement
from furnigen.check.sequence import check_assembly
from furnigen.check.solid import SolidChecks
from furnigen.loadpath import LoadPath, find_load_path
from furnigen.mesh.drafted import drafted_mesh, filled
from furnigen.mesh.scene import Scene, scene_of
from furnigen.movement import Held, held_wood
from furnigen.piece import Piece
from furnigen.sequence import Assembly, find_assembly


@dataclass(frozen=True)
class Building:
    """What was found, whole."""

    findings: tuple[Finding, ...]
    path: LoadPath
    assembly: Assembly
    held: tuple[Held, ...]


def _without_holes(piece: Piece, scene: Scene) -> Scene:
    """The scene with the holes for hardware filled: they stop no part on its way."""
    parts = list(scene.model.parts)
    for n, part in enumerate(piece.parts):
        whole = filled(part)
        if whole is not part:
            parts[n] = drafted_mesh(whole)
    if parts == list(scene.model.parts):
        return scene
    return scene_of(replace(scene.model, parts=tuple(parts)), scene.tol)


def check_building(piece: Piece, solid: SolidChecks, deflection_mm: float) -> Building:
    """All checks of how a piece is built.

    Args:
        solid: the mesh checks of the piece.
        deflection_mm: tessellation tolerance of curved faces.
    """
    path = find_load_path(piece, solid.contacts, solid.support.grounded)
    held = tuple(held_wood(piece, solid.contacts))
    assembly = find_assembly(piece, _without_holes(piece, solid.scene), solid.contacts, path, deflection_mm)
    findings = [
        *check_joints(piece),
        *check_load_path(path),
        *check_assembly(assembly),
        *check_movement(held),
    ]
    return Building(tuple(findings), path, assembly, held)
