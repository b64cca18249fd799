"""Column generation over sheets of strips: a bound where the rules are those of strips, and layouts."""

from __future__ import annotations

from dataclasses import replace

from furnigen.cutting.bounds.columns import Columns
from furnigen.cutting.bounds.strips import StripPricer, strips_fit_rules
from furnigen.cutting.effort import Effort
from furnigen.cutting.instance import Instance
from furnigen.cutting.panels import Panel, in_order


class StripColumns:
    """Sheets of strips, found by column generation.

    Args:
        instance: the problem; its rules must be those of strips.
    """

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        self._strips = [StripPricer(instance, k) for k in range(len(instance.kinds))]
        self.usable = all(s.usable for s in self._strips)
        self.columns = Columns(instance.kinds, [s.quantity for s in instance.shapes], self._strips)
        for i, s in enumerate(instance.shapes):
            for k, way in enumerate(s.fits):
                if way:
                    unit = tuple(int(j == i) for j in range(len(instance.shapes)))
                    self.columns.add(k, unit, self._alone(k, i))

    def _alone(self, kind: int, shape: int) -> object:
        """How one part alone is cut."""
        for number, way in enumerate(self._strips[kind].ways):
            for entry in way.entries:
                if entry.shape == shape and entry.many == 1 and entry.across <= way.width:
                    return number, ((entry.across, ((entry, 1),)),)
        return None

    def sheets(self, work: int, effort: Effort) -> list[tuple[int, Panel]]:
        """Sheets that hold all parts, the linear program rounded step by step; [] when it comes to none."""
        left = [s.quantity for s in self.instance.shapes]
        found = []
        for kind, _, how, number in self.columns.dive(work, effort):
            for _ in range(number):
                tree = self._strips[kind].tree(how, left)
                if tree is not None:
                    found.append((kind, in_order(tree)))
        return [] if any(left) else found


def strips_allowed(instance: Instance) -> StripColumns | None:
    """Strips that keep the rules although these allow more: no bound, but layouts. None where they do not."""
    if strips_fit_rules(instance):
        return None
    rules = instance.rules
    stages = 3 if rules.stages is None else rules.stages
    if stages < 3 or rules.equal_last:
        return None
    strips = replace(instance, rules=replace(rules, stages=3, equal_last=True))
    if not strips_fit_rules(strips):
        return None
    found = StripColumns(strips)
    return found if found.usable else None
