"""Round shapes of several diameters along one axis: screws, bolts, knobs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import pi, sqrt
from typing import TYPE_CHECKING

from furnigen.core.errors import InputError
from furnigen.core.pose import Pose, Vector
from furnigen.core.wording import as_given
from furnigen.parts.cuts import CutKey, on_size_grid
from furnigen.parts.forms.form import Form
from furnigen.parts.forms.outline import Outline
from furnigen.parts.forms.sizes import check_form_size
from furnigen.parts.solid_recipe import Revolution

if TYPE_CHECKING:
    from furnigen.core.array_types import Floats


@dataclass(frozen=True)
class Revolved(Form):
    """A round shape along +X: cones and cylinders, one after another, about the axis y = z = largest radius.

    Attributes:
        profile: (place along the axis, radius) of each section, from place 0 on (mm); two sections at one
            place are a step, such as the underside of a head.

    Raises: InputError for a profile that runs back, or has a radius that is no size.

    >>> knob = Revolved(((0, 6), (20, 6), (20, 15), (30, 15)))
    >>> knob.blank_mm
    (30, 30, 30)
    """

    profile: Outline

    def __post_init__(self) -> None:
        if len(self.profile) < 2 or self.profile[0][0] != 0:
            raise InputError("profile", self.profile, "must have two sections or more, the first at 0 mm")
        for (x, _), (next_x, _) in pairwise(self.profile):
            if next_x < x:
                raise InputError(
                    "profile",
                    f"{as_given(next_x)} after {as_given(x)}",
                    "must run one way along",
                )
        check_form_size("length", self.profile[-1][0])
        for _, radius in self.profile:
            if not radius > 0:
                raise InputError("radius of a section", as_given(radius), "must be more than 0")

    @property
    def kind(self) -> str:
        """Word for the parts list."""
        return "turning"

    @property
    def flat(self) -> bool:
        """Never: its side is round."""
        return False

    @property
    def radius(self) -> float:
        """The largest (mm)."""
        return max(r for _, r in self.profile)

    @property
    def blank_mm(self) -> Vector:
        """Length and twice the largest radius (mm)."""
        wide = 2 * self.radius
        return (self.profile[-1][0], wide, wide)

    @property
    def volume_mm3(self) -> float:
        """Of its frustums: pi h (r² + r s + s²) / 3 each (mm³)."""
        return sum(
            pi * (x1 - x0) * (r * r + r * s + s * s) / 3 for (x0, r), (x1, s) in pairwise(self.profile)
        )

    @property
    def centroid_mm(self) -> Vector:
        """On its axis; of a frustum h (r² + 2 r s + 3 s²) / (4 (r² + r s + s²)) from its start (mm)."""
        moment = 0.0
        for (x0, r), (x1, s) in pairwise(self.profile):
            h = x1 - x0
            moment += pi * h * (x0 * (r * r + r * s + s * s) / 3 + h * (r * r + 2 * r * s + 3 * s * s) / 12)
        return (moment / self.volume_mm3, self.radius, self.radius)

    def support(self, direction: Vector) -> float:
        """Largest extent along `direction` (mm)."""
        dx, dy, dz = direction
        level = sqrt(dy * dy + dz * dz)
        return max(dx * x + r * level for x, r in self.profile) + self.radius * (dy + dz)

    def mirrored(self) -> tuple[Form, Pose]:
        """Itself, turned end for end."""
        return self, Pose.turned("z", 180.0, (0.0, 2 * self.radius, 0.0))

    @property
    def own_mirror_image(self) -> bool:
        """It is."""
        return True

    @property
    def like_its_box(self) -> bool:
        """Not a screw, whose box is as wide as its head."""
        return False

    @property
    def round_axis(self) -> int:
        """Its length."""
        return 0

    def key(self) -> CutKey:
        """Its sections."""
        return ("revolved", *(on_size_grid((x, r, 0.0)) for x, r in self.profile))

    def solid_recipe(self) -> Revolution:
        """Its profile turned about its axis."""
        r = self.radius
        return Revolution(self.profile, Pose.at(0.0, r, r))

    def rings(self, sides: Callable[[float], int]) -> tuple[Floats, ...]:
        """One for each section, all with the chords of the largest."""
        import numpy as np

        most = self.radius
        turn = 2 * pi / (n := sides(most)) * np.arange(n)
        return tuple(
            np.column_stack([np.full(n, float(x)), most + r * np.cos(turn), most + r * np.sin(turn)])
            for x, r in self.profile
        )
