"""A changed piece as a trial: made, checked whole, and what it costs against the piece before it."""

from __future__ import annotations

from dataclasses import dataclass

from furnigen.core.finding import FAIL, WARN, Finding
from furnigen.core.quantities import format_length
from furnigen.formats.cut_list import mass_kg
from furnigen.piece.description import Piece
from furnigen.pipeline.built import Built
from furnigen.pipeline.options import ALL_GROUPS, MakeOptions
from furnigen.strength.members.boards import Board
from furnigen.strength.model.demands import Demands


@dataclass(frozen=True)
class RemedyTrial:
    """A changed piece and what was found in it.

    Attributes:
        piece: the changed piece.
        findings: of fit, solids and strength, and of how it is built where that was checked too.
        boards: its boards under load.
    """

    piece: Piece
    findings: tuple[Finding, ...]
    boards: tuple[Board, ...]

    @property
    def used(self) -> float:
        """Share of its limit that the worst board's sag takes; endless where one slides off."""
        shares = [b.result.used if b.result else float("inf") for b in self.boards]
        return max(shares, default=0.0)

    @property
    def failing(self) -> set[str]:
        """Names of the checks that fail."""
        return self.names(FAIL)

    def names(self, status: str) -> set[str]:
        """Names of the checks of this status."""
        return {f.name for f in self.findings if f.status == status}


def try_piece(piece: Piece, demands: Demands, *, built: bool = False) -> RemedyTrial:
    """Check a piece, without the CAD kernel.

    Args:
        built: whether how it is built is checked too: joints, order of assembly, movement of wood.

    Raises: GeometryError for a part that can not be drawn from its description; InputError as the checks.
    """
    trial = Built(piece, MakeOptions((), demands=demands), light=True)
    groups = ALL_GROUPS if built else tuple(g for g in ALL_GROUPS if g != "building")
    strength = trial.strength_of(groups)
    return RemedyTrial(piece, trial.findings_of(groups), strength.boards if strength else ())


def costs_of(before: RemedyTrial, after: RemedyTrial) -> tuple[str, ...]:
    """What changed for the worse."""
    costs: list[str] = []
    for axis, name in ((2, "clear height"), (0, "clear width")):
        old, new = (min((o.clear_mm[axis] for o in t.piece.openings), default=0.0) for t in (before, after))
        if old - new > 0.05:
            costs.append(f"least {name} {format_length(old)} to {format_length(new)}")
    for axis, name in enumerate(("width", "depth", "height")):
        old, new = (t.piece.bounds.size[axis] for t in (before, after))
        if abs(old - new) > 0.05:
            costs.append(f"overall {name} {format_length(old)} to {format_length(new)}")
    old, new = (_kg(t.piece) for t in (before, after))
    if abs(new - old) > 0.05:
        costs.append(f"mass {old:.1f} to {new:.1f} kg")
    bad = before.failing
    for status, words in ((FAIL, "then fails"), (WARN, "then to look at")):
        worse = sorted(after.names(status) - before.names(status) - bad)
        if worse:
            costs.append(f"{words}: {', '.join(worse)}")
    return tuple(costs)


def _kg(piece: Piece) -> float:
    return sum(mass_kg(p) * n for p, n in zip(piece.parts, piece.quantities, strict=True))
