"""How a piece is built: its joints, what carries what, the order of assembly, movement of its wood."""

from __future__ import annotations

from dataclasses import dataclass, replace

from furnigen.checks.as_drawn import check_as_drawn
from furnigen.checks.hardware import check_hardware
from furnigen.checks.joint_rules import check_joints
from furnigen.checks.load_path import check_load_path
from furnigen.checks.loose_parts import with_loose
from furnigen.checks.solids import SolidChecks
from furnigen.checks.wood_movement import check_movement
from furnigen.construction.assembly_order import AssemblyOrder, find_assembly_order
from furnigen.construction.load_path import LoadPath, find_load_path
from furnigen.construction.wood_movement import Restraint, find_restraints
from furnigen.core.finding import FAIL, PASS, Finding, name_labels
from furnigen.mesh.contacts import Contact
from furnigen.mesh.light_mesh import light_mesh, without_hardware_holes
from furnigen.mesh.scene import Scene, scene_of
from furnigen.mesh.support import GroundContact
from furnigen.piece.description import Piece


@dataclass(frozen=True)
class ConstructionChecks:
    """What was found, whole.

    Attributes:
        frame_path: what carries what, loose parts of joints aside.
        path: the same with the loose parts, each carried by the two members of its joint.
    """

    findings: tuple[Finding, ...]
    frame_path: LoadPath
    path: LoadPath
    assembly: AssemblyOrder
    held: tuple[Restraint, ...]


def _without_holes(piece: Piece, scene: Scene) -> Scene:
    """The scene with the holes for hardware filled: they stop no part on its way."""
    parts = list(scene.model.parts)
    for n, part in enumerate(piece.parts):
        whole = without_hardware_holes(part)
        if whole is not part:
            parts[n] = light_mesh(whole)
    if parts == list(scene.model.parts):
        return scene
    return scene_of(replace(scene.model, parts=tuple(parts)), scene.tol)


def frame_touching(piece: Piece, solid: SolidChecks) -> tuple[tuple[Contact, ...], tuple[GroundContact, ...]]:
    """What touches in a piece, and what stands on floor and walls, loose parts of joints aside."""
    loose = piece.loose
    if not loose:
        return solid.contacts, solid.support.grounded
    return (
        tuple(c for c in solid.contacts if c.a not in loose and c.b not in loose),
        tuple(g for g in solid.support.grounded if g.label not in loose),
    )


def check_construction(piece: Piece, solid: SolidChecks, deflection_mm: float) -> ConstructionChecks:
    """All checks of how a piece is built.

    Args:
        solid: the mesh checks of the piece.
        deflection_mm: tessellation tolerance of curved faces.
    """
    frame, touching = piece.without_loose, frame_touching(piece, solid)
    frame_path = find_load_path(frame, *touching)
    path = with_loose(frame_path, piece, solid.contacts)
    held = tuple(find_restraints(frame, touching[0]))
    assembly = find_assembly_order(
        piece, _without_holes(piece, solid.scene), solid.contacts, path, deflection_mm
    )
    findings = [
        *check_joints(piece),
        *check_as_drawn(piece, solid),
        *check_hardware(piece, solid.scene.model.parts),
        *check_load_path(path),
        *check_assembly_order(assembly),
        *check_movement(held),
    ]
    return ConstructionChecks(tuple(findings), frame_path, path, assembly, held)


ASSEMBLY_SOURCE = (
    "every part must come in along a straight way, free of what is there before it (swept meshes)"
)


def check_assembly_order(assembly: AssemblyOrder) -> list[Finding]:
    """Whether the piece goes together; parts that lock each other are named."""
    if not assembly.locked:
        return [Finding("assembly-order", PASS, len(assembly.steps), None, "steps", "", ASSEMBLY_SOURCE)]
    findings = []
    for labels in assembly.locked:
        remedy = (
            "they lock each other: run a housing out at one edge, split one of them, or join it by something"
            " that goes in last (a screw, a pin, a loose tenon); tilting or turning a part in is not tried"
        )
        findings.append(
            Finding(
                "assembly-order", FAIL, len(labels), 0, "parts", name_labels(labels), ASSEMBLY_SOURCE, remedy
            )
        )
    return findings
