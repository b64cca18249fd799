"""Will it hold, will it stand: findings on sag, stress, bearing, uprights, legs, sway and standing."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import TYPE_CHECKING

from furnigen.checks.bearings import bearing_findings
from furnigen.checks.boards import bending_findings, sag_findings, shear_findings
from furnigen.checks.joint_strength import joint_findings
from furnigen.checks.load_cases import child_findings, shove_findings
from furnigen.checks.loads import load_findings
from furnigen.checks.not_checked import twist_findings, unchecked_findings
from furnigen.checks.standing import standing_findings, wall_findings
from furnigen.checks.sway import sideways_findings
from furnigen.checks.uprights import foot_findings, leg_findings, upright_findings
from furnigen.core.finding import FAIL, Finding
from furnigen.piece.description import Piece
from furnigen.strength.assess import LoadedBoards, Strength, UncarriedError, assess, load_boards
from furnigen.strength.model.demands import Demands

if TYPE_CHECKING:
    from furnigen.construction.load_path import LoadPath
    from furnigen.mesh.contacts import Contact
    from furnigen.mesh.support import GroundContact

SAG, STRONG, STANDING = "sag", "strength", "standing"
NAMES = {
    SAG: ("sag", "slides-off", "sag-unknown", "load"),
    STRONG: (
        "bending",
        "shear",
        "bearing",
        "twist",
        "upright",
        "leg-joint",
        "leg-thrust",
        "sideways",
        "foot-pressure",
        "foot-lifts",
        "shoved",
        "child-on-shelf",
        "child-on-joint",
        "carried",
        "joint",
    ),
    STANDING: (
        "standing",
        "tips-by-itself",
        "tip-pull",
        "tip-load",
        "tip-test",
        "child-tips",
        "anchor",
        "wall",
        "feet-grip",
    ),
}
"""Groups of checks that `furnigen check --only` knows, and the names of their findings."""


def in_groups(findings: Iterable[Finding], groups: Collection[str]) -> list[Finding]:
    """The findings that belong to some of SAG, STRONG and STANDING; strength holds sag too."""
    names = {name for group in groups for name in NAMES.get(group, ())}
    if STRONG in groups:
        names |= {*NAMES[SAG]}
    return [f for f in findings if f.name in names or f.name == "carried"]


def check_strength(
    piece: Piece,
    contacts: Iterable[Contact],
    grounded: Iterable[GroundContact],
    demands: Demands | None = None,
    known: LoadPath | None = None,
    found: Strength | None = None,
) -> tuple[list[Finding], Strength | None]:
    """All checks of strength and standing, worst first, and what they were drawn from.

    Args:
        contacts, grounded: what touches, from `furnigen.checks.solids` or `furnigen.mesh.light_mesh`.
        demands: what the piece is held to; the usual where None.
        known: its load path, where it was found before.
        found: what the loads do, likewise.

    Raises: InputError for a load, climate or material that makes no sense.
    """
    try:
        strength = found or assess(piece, contacts, grounded, demands, known)
    except UncarriedError as error:
        return [_uncarried(error)], None
    return findings_of(strength), strength


def check_sag(
    piece: Piece,
    contacts: Iterable[Contact],
    grounded: Iterable[GroundContact],
    demands: Demands | None = None,
    known: LoadedBoards | None = None,
) -> tuple[list[Finding], LoadedBoards | None]:
    """Sag alone, as `check_strength` finds it, at a third of its cost.

    Args:
        contacts, grounded, demands: as in `check_strength`.
        known: its boards under load, where they were found before.

    Raises: as `check_strength`.
    """
    try:
        on = known or load_boards(piece, contacts, grounded, demands)
    except UncarriedError as error:
        return [_uncarried(error)], None
    return [*sag_findings(on), *unchecked_findings(on), *load_findings(on)], on


def _uncarried(error: UncarriedError) -> Finding:
    many = isinstance(error.value, int)
    return Finding(
        "carried",
        FAIL,
        float(error.value) if many else 0.0,  # type: ignore[arg-type]
        None,
        "parts" if error.value else "",
        error.allowed if many else "",
        f"{error.what}: strength is not known for what nothing carries",
        error.fits,
    )


def findings_of(strength: Strength) -> list[Finding]:
    """Every finding on a piece's strength and standing."""
    return [
        *sag_findings(strength),
        *unchecked_findings(strength),
        *load_findings(strength),
        *bending_findings(strength),
        *shear_findings(strength),
        *bearing_findings(strength),
        *twist_findings(strength),
        *joint_findings(strength),
        *upright_findings(strength),
        *leg_findings(strength),
        *foot_findings(strength),
        *sideways_findings(strength),
        *shove_findings(strength),
        *child_findings(strength),
        *standing_findings(strength),
        *wall_findings(strength),
    ]
