"""A changed piece on trial: what it costs to find out follows what is asked of it.

Most trials end with the sag of the boards, for which nothing but what touches is needed, without holes for
hardware. Only what passes is looked at for overlaps, and only what is named as a remedy is checked whole. All
of it is counted (`remedy_work`).
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from furnigen.core.finding import FAIL, WARN, Finding
from furnigen.core.wording import in_words, worded
from furnigen.parts.mass import mass_kg
from furnigen.piece.description import Piece
from furnigen.pipeline.built import Built
from furnigen.pipeline.options import ALL_GROUPS, MakeOptions
from furnigen.pipeline.remedy_work import JOINTS, OVERLAPS, SAG, WHOLE, current, spend
from furnigen.strength.members.boards import Board
from furnigen.strength.model.demands import Demands

if TYPE_CHECKING:
    from furnigen.mesh.light_mesh import LightPiece
    from furnigen.strength.assess import LoadedBoards, LoadedFrame, Strength
    from furnigen.strength.joints.check import JointResult

UNCHECKED = "its other checks were not made, for they would take as long as those of the piece"
"""Said of a change whose other checks would take more work than remedies may."""


class RemedyTrial:
    """A changed piece and what is found in it, without the CAD kernel, when it is asked for.

    Of the piece itself that remedies are looked for, what its checks found is known (`remedy_work.within`).

    Args:
        piece: the changed piece.
        demands: what it is held to.
        loaded_as: a trial that this one differs from only in fasteners, so that both are loaded alike.
    """

    def __init__(self, piece: Piece, demands: Demands, loaded_as: RemedyTrial | None = None) -> None:
        self.piece, self.demands, self._loaded_as = piece, demands, loaded_as
        self._work = current()
        known = self._work.checked if self._work else None
        self._known = known if known and known.piece is piece else None

    @cached_property
    def _light(self) -> LightPiece:
        """The piece without loose parts and holes for hardware: nothing else ever goes into them."""
        from furnigen.mesh.light_mesh import light_contacts, without_hardware_holes

        self._spend(SAG)
        frame = self.piece.without_loose
        whole = tuple(without_hardware_holes(part) for part in frame.parts)
        return light_contacts(replace(frame, parts=whole))

    @cached_property
    def boards(self) -> tuple[Board, ...]:
        """The boards under load.

        Raises: GeometryError for a part that can not be drawn from its description; InputError as the checks;
            WorkSpentError.
        """
        if self._known and self._known.boards is not None:
            return self._known.boards
        if self._loaded_as:
            return self._loaded_as.boards
        return self._loaded.boards if self._loaded else ()

    @cached_property
    def _loaded(self) -> LoadedBoards | None:
        """The boards under load; None where part of the piece is not carried."""
        from furnigen.strength.assess import UncarriedError, load_boards

        light = self._light
        try:
            return load_boards(self.piece.without_loose, light.contacts, light.support.grounded, self.demands)
        except UncarriedError:
            return None

    @cached_property
    def joints(self) -> tuple[JointResult, ...]:
        """What every joint carries and bears. Raises: as `boards`."""
        if self._known and self._known.strength is not None:
            return self._known.strength.joints
        from furnigen.strength.assess import joints_under

        frame = self._frame
        if frame is None:
            return ()
        self._spend(JOINTS)
        return joints_under(self.piece.without_loose, frame)

    @cached_property
    def _frame(self) -> LoadedFrame | Strength | None:
        """What loads its joints; None where part of the piece is not carried."""
        if self._known and self._known.strength is not None:
            return self._known.strength
        if self._loaded_as:
            return self._loaded_as._frame
        from furnigen.strength.assess import load_frame

        light, loaded = self._light, self._loaded
        if loaded is None:
            return None
        return load_frame(self.piece.without_loose, light.contacts, light.support.grounded, loaded)

    @cached_property
    def overlaps(self) -> bool:
        """Whether parts run into each other. Raises: as `boards`."""
        if self._known and "solid" in self._known.groups:
            return any(f.name == "interference" and f.status == FAIL for f in self._known.findings)
        self._spend(OVERLAPS)
        from furnigen.mesh.interference import find_interference

        return bool(find_interference(self._light.scene).overlaps)

    @cached_property
    def checked(self) -> bool:
        """Whether every check is made of it, and would not take more work than remedies may."""
        if self._known and self._known.groups.issuperset(ALL_GROUPS):
            return True
        return self._work is None or self._work.take(self.piece, WHOLE)

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """Of every check, how it is built included; none where it is not `checked`. Raises: as `boards`."""
        if self._known and self._known.groups.issuperset(ALL_GROUPS):
            return self._known.findings
        if not self.checked:
            return ()
        return Built(self.piece, MakeOptions((), demands=self.demands), light=True).findings_of(ALL_GROUPS)

    def _spend(self, share: float) -> None:
        if self._known is None:
            spend(self.piece, share)

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


def try_piece(piece: Piece, demands: Demands) -> RemedyTrial:
    """A piece with its boards under load; the rest is found when asked for.

    Raises: as `RemedyTrial.boards`.
    """
    trial = RemedyTrial(piece, demands)
    _ = trial.boards
    return trial


def costs_of(before: RemedyTrial, after: RemedyTrial, apart: Collection[str] = ()) -> tuple[str, ...]:
    """What changed for the worse.

    Args:
        apart: names of checks that say nothing of such a change.
    """
    costs = []
    for axis, name in ((2, "clear height"), (0, "clear width")):
        old, new = (min((o.clear_mm[axis] for o in t.piece.openings), default=0.0) for t in (before, after))
        if old - new > 0.05:
            costs.append(f"least {name} {in_words(old)} to {in_words(new)}")
    for axis, name in enumerate(("width", "depth", "height")):
        old, new = (t.piece.bounds.size[axis] for t in (before, after))
        if abs(old - new) > 0.05:
            costs.append(f"overall {name} {in_words(old)} to {in_words(new)}")
    old, new = (_kg(t.piece) for t in (before, after))
    if abs(new - old) > 0.05:
        costs.append(f"mass {old:.1f} to {new:.1f} kg")
    bad = before.failing
    if not after.checked:
        return (*costs, UNCHECKED)
    for status, words in ((FAIL, "then fails"), (WARN, "then to look at")):
        worse = sorted(after.names(status) - before.names(status) - bad - set(apart))
        if worse:
            costs.append(f"{words}: {', '.join(worse)}")
    return tuple(map(worded, costs))


def _kg(piece: Piece) -> float:
    return sum(mass_kg(p) * n for p, n in zip(piece.parts, piece.quantities, strict=True))
