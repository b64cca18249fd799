"""The plan of one print: pieces on their beds, and what was checked."""

from __future__ import annotations

from dataclasses import dataclass, field

from furnigen.core.finding import FAIL, PASS, Finding
from furnigen.formats.report import Json
from furnigen.mesh.model import MeshModel
from furnigen.mockup.beds import Bed, PrintPiece
from furnigen.mockup.mesh_proof import MeshProof
from furnigen.mockup.plastic import mass_g
from furnigen.mockup.printer import Printer
from furnigen.mockup.scale import Scale
from furnigen.mockup.wall_thickness import LOST_MM

WALL_SOURCE = "two lines of the nozzle (printing guides agree; see the facts on printing)"
PROOF_SOURCE = "a mesh to print is closed, manifold, wound one way, and does not go through itself"


@dataclass(frozen=True, eq=False)
class PrintPlan:
    """A mockup printed one way.

    Attributes:
        name: "whole" or "kit".
        pieces: what is printed.
        beds: what lies where.
        assembled: the mockup as it stands, for its picture.
        apart: its pieces drawn apart; None for a mockup in one piece.
        details: what mockup.json says of this plan.
        findings: its checks.
    """

    name: str
    pieces: tuple[PrintPiece, ...]
    beds: tuple[Bed, ...]
    assembled: MeshModel
    apart: MeshModel | None = None
    details: Json = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()


def check_pieces(way: str, pieces: tuple[PrintPiece, ...], printer: Printer, scale: Scale) -> list[Finding]:
    """Whether every mesh is sound, and no wall is thinner than prints."""
    unsound = [p.name for p in pieces if not p.proof.sound]
    findings = [
        Finding(
            f"{way}-meshes",
            FAIL if unsound else PASS,
            len(unsound),
            0,
            "meshes",
            ", ".join(unsound),
            PROOF_SOURCE,
            "this is a fault of furnigen: another scale may do" if unsound else "",
        )
    ]
    thinnest = min(pieces, key=lambda p: p.proof.wall_mm)
    wall = thinnest.proof.wall_mm
    thin = wall < printer.wall_mm - LOST_MM
    remedy = ""
    if thin:
        x, y, z = (f"{c:.1f}" for c in thinnest.proof.wall_at)
        larger = max(int(scale.denominator * wall / printer.wall_mm), 1)
        remedy = (
            f"the wall at ({x}, {y}, {z}) on the bed is too thin to print:"
            f" 1:{larger} or larger, or a finer nozzle, would do"
        )
    findings.append(
        Finding(
            f"{way}-walls",
            FAIL if thin else PASS,
            wall,
            printer.wall_mm,
            "mm",
            thinnest.name,
            WALL_SOURCE,
            remedy,
            least=True,
        )
    )
    return findings


def proof_row(proof: MeshProof, printer: Printer) -> Json:
    """A proof as mockup.json has it."""
    return {
        "closed": not proof.open_edges,
        "manifold": not proof.open_edges and not proof.pinched,
        "crossings": proof.crossings,
        "thinnest_wall_mm": proof.wall_mm,
        "walls_measured_to_mm": proof.reach_mm,
    }


def piece_rows(beds: tuple[Bed, ...], printer: Printer) -> list[Json]:
    """Every piece as mockup.json has it."""
    return [
        {
            "name": p.name,
            "bed": bed.name,
            "size_mm": p.size_mm.tolist(),
            "height_mm": float(p.size_mm[2]),
            "volume_mm3": p.volume_mm3,
            "mass_g": mass_g(p.volume_mm3),
            "least_mass_g": mass_g(p.hollow_mm3),
            "support_mm2": p.orientation.support_mm2,
            "support_mm3": p.orientation.support_mm3,
            "triangles": len(p.mesh.faces),
            "at_mm": matrix[:2, 3].tolist(),
            "proof": proof_row(p.proof, printer),
        }
        for bed in beds
        for p, matrix in bed.pieces
    ]
