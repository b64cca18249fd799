"""Loose parts that joints are made with: splines, keys and wedges, small boards of their own."""

from __future__ import annotations

from dataclasses import dataclass

from furnigen.catalogue.stock import Stock, find_stock
from furnigen.core.facts import FastenerKind
from furnigen.core.pose import Pose
from furnigen.parts.forms.prism import Prism

_STRIPS = ("beech-strip-0.6", "beech-strip-2", "beech-strip-6", "beech-strip-18", "beech-strip-50")
"""Strips that loose parts are sawn from, the thinnest first. Beech is our choice: hard and plain."""


@dataclass(frozen=True)
class LoosePart:
    """A part that a joint is made with, such as a spline.

    Attributes:
        kind: what it is: a spline, key or wedge.
        form: its shape; its grain runs along the form's length, across the joint.
        pose: where the form stands in the frame of the member that enters.
    """

    kind: FastenerKind
    form: Prism
    pose: Pose

    @property
    def stock(self) -> Stock:
        """The strip it is sawn from, planed to its thickness.

        Raises: InputError for a thickness that no strip has.
        """
        thick = self.form.thickness
        strips = [find_stock(name) for name in _STRIPS]
        strip = next((s for s in strips if thick <= s.thickness_mm), strips[-1])
        return strip.with_thickness(thick)
