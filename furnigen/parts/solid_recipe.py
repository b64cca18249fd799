"""How a form's solid is made, in words the kernel's room turns into solids (`furnigen.kernel.solids`).

A form that is not all flat faces says its solid with these few shapes, so a new form needs no kernel code.
All sizes in mm, in the form's own frame.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from furnigen.core.pose import Box, Pose, Vector
from furnigen.parts.forms.outline import Point2


@dataclass(frozen=True)
class Frustum:
    """A round shape about an axis: a cylinder where both radii are equal, else a cone cut off square.

    Attributes:
        start: middle of its first end.
        direction: unit vector along its axis.
        radius, end_radius: at the start and at the other end.
        length: along the axis.
        seam: unit vector square to the axis at which its round face begins; None for the kernel's own choice.
    """

    start: Vector
    direction: Vector
    radius: float
    end_radius: float
    length: float
    seam: Vector | None = None


@dataclass(frozen=True)
class Revolution:
    """A round shape of several diameters about the x axis of its own frame.

    Attributes:
        profile: (x, radius) of each section, in rising order of x.
        pose: of its frame in the form's.
    """

    profile: tuple[Point2, ...]
    pose: Pose


@dataclass(frozen=True)
class Trimmed:
    """What of a round shape lies in a box."""

    shape: Frustum
    box: Box


@dataclass(frozen=True)
class Side:
    """One side of an outline, from where the side before ended: a straight line, or an arc of a circle.

    Attributes:
        end: where it ends.
        through: a point of the arc between; None for a straight line.
    """

    end: Point2
    through: Point2 | None = None


@dataclass(frozen=True)
class Extrusion:
    """A closed outline of lines and arcs, counter-clockwise, drawn up along z of its own frame.

    Attributes:
        sides: one after the other; the first begins where the last ends.
        height: along z.
        pose: of its frame in the form's.
    """

    sides: tuple[Side, ...]
    height: float
    pose: Pose


@dataclass(frozen=True)
class Authored:
    """A user's own function, called with `arguments` as keywords, that returns the solid."""

    function: Callable[..., Any]
    arguments: tuple[tuple[str, Any], ...]


SolidRecipe = Frustum | Revolution | Trimmed | Extrusion | Authored


def round_face(recipe: SolidRecipe) -> Frustum | None:
    """The round shape whose side bounds a solid; None where it has none."""
    shape = recipe.shape if isinstance(recipe, Trimmed) else recipe
    return shape if isinstance(shape, Frustum) else None
