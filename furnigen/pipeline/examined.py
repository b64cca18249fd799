"""What groups of checks found of a piece."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from furnigen.core.finding import Finding
from furnigen.core.threads import in_one_thread
from furnigen.formats.report import Json

if TYPE_CHECKING:
    from furnigen.strength.assess import LoadedBoards, Strength


@dataclass(frozen=True)
class Examined:
    """What some groups of checks found.

    Attributes:
        findings: in the order of the groups.
        parts: what they add to the report, each worked out when it is asked for.
        strength: what the loads do; None where that was not asked, or part of the piece is not carried.
        loaded: its boards under load, where sag alone was asked.
    """

    findings: tuple[Finding, ...]
    parts: tuple[Callable[[], Json], ...]
    strength: Strength | None = None
    loaded: LoadedBoards | None = None

    @cached_property
    @in_one_thread
    def rows(self) -> Json:
        """What the groups add to the report."""
        found: Json = {}
        for part in self.parts:
            found |= part()
        return found
