"""A STEP file checked or measured in a process of its own: whatever it is, one answer or one message."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from furnigen.core.errors import InputError
from furnigen.core.finding import Finding
from furnigen.core.progress import Sink, silent
from furnigen.pipeline.guarded_process import EndedError, Limits, guarded

LEAST_SECONDS, SECONDS_PER_MB = 60.0, 60.0
"""Time a file is given unless another is asked for: a file of 0.6 MB takes two seconds."""
MEMORY_GIB = 4.0
MOST_COPIES = 10_000
"""Placed solids that are read at once, unless more are allowed: each is held against its neighbours."""
_MB = 1e6
_SAID = "reader: "
_ENDED = {
    "time": "takes longer than {seconds:g} s{step}; allow more with --time-limit, or save it in parts",
    "memory": "needs more than {memory:g} GiB{step}; allow more with --memory-limit, or save it in parts",
    "too deep": "nests deeper than it can be followed",
}


@dataclass(frozen=True)
class StepLimits:
    """What the check of one file may take; None for what is usual.

    Attributes:
        seconds: of time.
        memory_gib: of memory.
        copies: placed solids.
    """

    seconds: float | None = None
    memory_gib: float | None = None
    copies: int | None = None


def check_step_guarded(
    path: str, tolerance_mm: float, limits: StepLimits | None = None, on_step: Sink = silent
) -> tuple[dict[str, Any], list[Finding]]:
    """As `furnigen.pipeline.step_check.check_step`, which says all but the limits.

    Raises: InputError too when the file takes more than the limits, or brings the kernel down.
    """
    given = {"tolerance_mm": tolerance_mm}
    report, findings = _guarded("furnigen.pipeline.step_check:check_step_rows", path, given, limits, on_step)
    return report, [Finding(**row) for row in findings]


def measure_boards_guarded(
    path: str, limits: StepLimits | None = None, on_step: Sink = silent
) -> list[dict[str, Any]]:
    """As `furnigen.pipeline.step_boards.measure_boards`, in a process of its own.

    Raises: InputError too when the file takes more than the limits, or brings the kernel down.
    """
    found: list[dict[str, Any]] = _guarded(
        "furnigen.pipeline.step_boards:measure_boards", path, {}, limits, on_step
    )
    return found


def _guarded(task: str, path: str, given: dict[str, Any], limits: StepLimits | None, on_step: Sink) -> Any:
    """Run a task on a file in a process of its own."""
    limits = limits or StepLimits()
    try:
        size = Path(path).stat().st_size
    except (OSError, ValueError):
        size = 0  # told by who reads it
    held = Limits(
        limits.seconds or LEAST_SECONDS + SECONDS_PER_MB * size / _MB, limits.memory_gib or MEMORY_GIB
    )
    said: list[str] = []

    def told(step: str) -> None:
        if step.startswith(_SAID):
            said.append(step.removeprefix(_SAID))
        else:
            on_step(step)

    where = {"path": path, "folder": str(Path.cwd()), "most_copies": limits.copies or MOST_COPIES}
    try:
        return guarded(task, given | where, held, told)
    except EndedError as ended:
        raise InputError("STEP file", path, _words(ended, held, said)) from None


def _words(ended: EndedError, held: Limits, said: list[str]) -> str:
    """What to tell of a check that ended without an answer."""
    step = f" while {ended.last}" if ended.last and not ended.last.startswith(_SAID) else ""
    if ended.why in _ENDED:
        return _ENDED[ended.why].format(seconds=held.seconds, memory=held.memory_gib, step=step)
    more = f"; its reader says: {said[0]}" if said else ""
    return f"is damaged: it brings the CAD kernel down{step} ({ended.why}){more}"
