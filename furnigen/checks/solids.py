"""Checks on the placed meshes: nothing overlaps, nothing floats, nothing sinks into floor or wall."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from furnigen.core.finding import FAIL, PASS, Finding, name_labels
from furnigen.core.wording import in_words
from furnigen.mesh.contacts import Contact, find_contacts
from furnigen.mesh.interference import Interference, find_interference
from furnigen.mesh.model import MeshModel
from furnigen.mesh.scene import Scene, scene_of
from furnigen.mesh.support import HeldModel, find_support
from furnigen.piece.description import Wall


@dataclass(frozen=True)
class SolidChecks:
    """What the mesh checks found, whole."""

    findings: tuple[Finding, ...]
    interference: Interference
    contacts: tuple[Contact, ...]
    support: HeldModel
    scene: Scene


def check_solid(model: MeshModel, walls: Sequence[Wall] = (), deflection_mm: float = 0.0) -> SolidChecks:
    """All mesh checks of a placed model.

    Args:
        walls: planes that carry parts besides the floor z = 0.
        deflection_mm: tessellation tolerance of curved faces.

    Raises: GeometryError naming a part whose mesh is no closed solid.
    """
    scene = scene_of(model)
    interference = find_interference(scene, deflection_mm)
    contacts = find_contacts(scene)
    support = find_support(scene, contacts, walls, interference.curved_fits)
    findings = [*_overlap_findings(interference), *_floating_findings(support), *_sunk_findings(support)]
    return SolidChecks(tuple(findings), interference, contacts, support, scene)


def _overlap_findings(interference: Interference) -> list[Finding]:
    source = "two parts can not fill one space"
    if not interference.overlaps:
        return [Finding("interference", PASS, 0.0, 0.0, "mm3", "", source)]
    found = []
    for o in interference.overlaps:
        size = in_words(*(h - a for a, h in zip(o.lo, o.hi, strict=True)))
        at = in_words(*o.centre, between=", ")
        remedy = f"they overlap by {size} about ({at}): move or shorten one, or cut a joint"
        found.append(
            Finding("interference", FAIL, o.volume_mm3, 0.0, "mm3", f"{o.a} and {o.b}", source, remedy)
        )
    return found


def _floating_findings(support: HeldModel) -> list[Finding]:
    source = "every part needs a chain of face contacts to the floor or a declared wall"
    if not support.floating:
        return [Finding("floating-parts", PASS, 0, 0, "parts", "", source)]
    return [
        Finding(
            "floating-parts",
            FAIL,
            len(island),
            0,
            "parts",
            name_labels(island),
            source,
            "lengthen the part or move it until faces touch",
        )
        for island in support.floating
    ]


def _sunk_findings(support: HeldModel) -> list[Finding]:
    source = "the floor and declared walls are solid"
    if not support.sunk:
        return [Finding("below-floor", PASS, 0, 0, "parts", "", source)]
    remedy = "raise it, or bring it in front of the wall"
    return [
        Finding("below-floor", FAIL, len(support.sunk), 0, "parts", name_labels(support.sunk), source, remedy)
    ]
