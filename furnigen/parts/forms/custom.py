"""A form of the author's own: from a CadQuery function, or a CadQuery shape handed over as it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from furnigen.core.pose import Box, Vector, dot
from furnigen.parts.cuts import CutKey
from furnigen.parts.forms.form import Form
from furnigen.parts.solid_recipe import Authored


@dataclass(frozen=True)
class Custom(Form):
    """A form made by a user's own CadQuery function, with what was measured on its solid.

    Made by `furnigen.custom_form`, which runs the function once, and by `Draft.place` of a CadQuery shape,
    whose function reads the shape from its text. Two are equal when function and arguments are: what was
    measured follows from them.

    Attributes:
        name: the function's name, for the parts list.
        function: called with `arguments` as keywords, returns a CadQuery shape or workplane.
        arguments: (keyword, value) pairs, sorted.
        box: bounds of the solid in its own frame (mm).
        measured_mm3, measured_centre_mm: volume and centre of mass as the kernel measured them.
        only_planes: whether the kernel found only planes.
    """

    name: str
    function: Callable[..., Any]
    arguments: tuple[tuple[str, Any], ...]
    box: Box = field(compare=False, repr=False)
    measured_mm3: float = field(compare=False, repr=False)
    measured_centre_mm: Vector = field(compare=False, repr=False)
    only_planes: bool = field(compare=False, repr=False)

    @property
    def kind(self) -> str:
        """Word for the parts list."""
        return self.name

    @property
    def volume_mm3(self) -> float:
        """As measured (mm³)."""
        return self.measured_mm3

    @property
    def centroid_mm(self) -> Vector:
        """As measured (mm)."""
        return self.measured_centre_mm

    @property
    def flat(self) -> bool:
        """As the kernel found."""
        return self.only_planes

    @property
    def blank_mm(self) -> Vector:
        """Extents along x, y, z (mm)."""
        return self.box.size

    def support(self, direction: Vector) -> float:
        """Largest extent of the measured box along `direction` (mm)."""
        return max(dot(direction, c) for c in self.box.corners())

    def mirrored(self) -> None:
        """Not known: a function cannot be mirrored without making another."""

    @property
    def needs_kernel(self) -> bool:
        """Always: nothing is known of its faces."""
        return True

    def key(self) -> CutKey:
        """All that is known of it."""
        return ("custom", repr(self))

    def solid_recipe(self) -> Authored:
        """The function itself."""
        return Authored(self.function, self.arguments)


@dataclass(frozen=True)
class GivenShape:
    """A solid as text, so that a description with it pickles and compares.

    Attributes:
        key: SHA-256 of its geometry: faces, edges and corners where they lie. Two solids of equal key are
        one. brep: the solid in the kernel's text format, mm.
    """

    key: str
    brep: str = field(compare=False, repr=False)
