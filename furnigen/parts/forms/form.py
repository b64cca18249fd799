"""What every form of a part answers, whatever its shape."""

from __future__ import annotations

from typing import Protocol

from furnigen.core.errors import InputError
from furnigen.core.pose import Pose, Vector

SMALLEST_MM = 0.1
"""No saw, sheet or printer makes less; guards the kernel from slivers."""


class Form(Protocol):
    """What every form answers, in its own frame."""

    def __hash__(self) -> int:
        """Equal forms hash alike: what is worked out for one is kept for the others."""

    @property
    def kind(self) -> str:
        """Word for the parts list."""

    @property
    def blank_mm(self) -> Vector:
        """Length along the grain, width, thickness of the blank it is cut from (mm)."""

    @property
    def volume_mm3(self) -> float:
        """Volume before joints are cut (mm³)."""

    @property
    def centroid_mm(self) -> Vector:
        """Centre of mass before joints are cut (mm)."""

    @property
    def flat(self) -> bool:
        """Whether all faces are planes."""

    def support(self, direction: Vector) -> float:
        """Largest extent of the form along `direction` (a unit vector), mm."""

    def mirrored(self) -> tuple[Form, Pose] | None:
        """The mirror image in x: a form and the pose of that form; None when it is not known."""


def check_form_size(what: str, value: float) -> None:
    """Refuse a size (mm) below `SMALLEST_MM` with InputError."""
    if not value >= SMALLEST_MM:
        raise InputError(what, f"{value:g} mm", f"must be at least {SMALLEST_MM} mm")
