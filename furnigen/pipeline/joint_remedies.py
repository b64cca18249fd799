"""Remedies for joints by computing: more fasteners, longer ones, thicker boards, another joint, each tried
first.

More and longer fasteners are changes to the piece as it is; thicker stock, other joints and one more of what
the recipe counts are other values of its parameters. Every trial is a piece whose joints are all checked
again; what it costs elsewhere is found by every check.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import ceil, inf
from typing import Any

from furnigen.catalogue.hardware import SPARE_MM, list_hardware
from furnigen.checks.joint_strength import JointFamily, family_of, joints_alike
from furnigen.core.errors import FurnigenError
from furnigen.core.facts import FastenerKind
from furnigen.core.finding import FAIL, Finding
from furnigen.joints.joint import Fastener, Joint
from furnigen.piece.description import Piece
from furnigen.pipeline.fastener_layout import SPREAD_KINDS, own_fastener, room_in_wood, spread_fasteners
from furnigen.pipeline.remedy_search import RemedySearch, Values
from furnigen.pipeline.remedy_trial import RemedyTrial, costs_of
from furnigen.pipeline.remedy_work import not_tried
from furnigen.pipeline.stock_ladder import thicker
from furnigen.recipes.recipe import Recipe
from furnigen.strength.joints.check import JointResult
from furnigen.strength.model.demands import Demands

Json = dict[str, Any]

JOINT_REMEDIES = {
    "fasteners": "more of them",
    "longer": "longer ones",
    "thickness": "thicker",
    "joint": "another joint",
    "count": "one more",
}
"""Kinds of remedies, in words."""
MOST_STEPS = 6
"""How often one kind is tried before the search gives it up."""
_NO_HOLES = ("hardware-holes",)
"""Fasteners are changed in the piece as it is, whose holes are those of the old ones: whoever makes it bores
the new ones."""


@dataclass(frozen=True)
class JointRemedy:
    """One change that makes the joints of one finding hold.

    Attributes:
        kind: one of JOINT_REMEDIES.
        change: the change in words, as it would be typed where it is a parameter.
        used: share of what it bears that the worst of them then uses.
        costs: what it costs elsewhere, in words.
        trial: the piece that was checked.
    """

    kind: str
    change: str
    used: float
    costs: tuple[str, ...]
    trial: RemedyTrial

    @property
    def then_fails(self) -> set[str]:
        """Names of the checks that then fail."""
        return self.trial.failing - set(_NO_HOLES if self.kind in ("fasteners", "longer") else ())

    @property
    def line(self) -> str:
        """The remedy in one line."""
        costs = f". Costs: {', '.join(self.costs)}" if self.costs else ""
        return f"{JOINT_REMEDIES[self.kind]}: {self.change}; the worst then uses {self.used:.0%}{costs}"


class JointSearch(RemedySearch):
    """Looks for remedies of the joints of one piece, kind by kind."""

    bad: Sequence[JointResult] = ()
    """The failing joints that a change is looked for."""

    @cached_property
    def _tried(self) -> dict[str, RemedyTrial | None]:
        """What was tried, by the change in words; None where it can not be made."""
        return {}

    def find(self, bad: Sequence[JointResult]) -> list[JointRemedy]:
        """Every kind of remedy that was found for some joints of one kind, with its costs by every check."""
        self.bad = list(bad)
        if not self.bad:
            return []
        found: list[JointRemedy] = []
        self.untried = []
        searches = (self.fasteners, self.longer, self.thickness, self.joint, self.count)
        for kind, search in zip(JOINT_REMEDIES, searches, strict=True):
            refused = self._refused
            remedy = search()
            if remedy is not None and (costed := self._costed(remedy)) is not None:
                found.append(costed)
            elif self._refused > refused:
                self.untried.append(kind)
        return sorted(found, key=lambda r: bool(r.then_fails - self.before.failing))

    def _costed(self, remedy: JointRemedy) -> JointRemedy | None:
        try:
            apart = _NO_HOLES if remedy.kind in ("fasteners", "longer") else ()
            costs = costs_of(self.before, remedy.trial, apart) + remedy.costs
            return replace(remedy, costs=costs)
        except FurnigenError:
            return None

    def _trial(
        self, change: str, make: Callable[[], Piece], loaded_as: RemedyTrial | None
    ) -> RemedyTrial | None:
        """A changed piece with its joints checked, tried once; None where it can not be made."""
        if change not in self._tried:
            try:
                trial = RemedyTrial(make(), self.demands, loaded_as)
                _ = trial.joints
            except FurnigenError:
                trial = None  # type: ignore[assignment]
            self._tried[change] = trial
        return self._tried[change]

    def _made(
        self, kind: str, change: str, make: Callable[[], Piece], loaded_as: RemedyTrial | None = None
    ) -> JointRemedy | None:
        """The remedy if all joints between the same parts, and all others of the kind, then hold."""
        trial = self._trial(change, make, loaded_as)
        if trial is None:
            return None
        pairs = {(j.loaded.joint.a, j.loaded.joint.b) for j in self.bad}
        families = {family_of(j) for j in self.bad}
        mine: list[JointResult] = []
        others: list[JointResult] = []
        for one in trial.joints:
            joint = one.loaded.joint
            ours = (joint.a, joint.b) in pairs or family_of(one) in families
            (mine if ours else others).append(one)
        # a joint of which nothing is known is no remedy for one that fails
        used = max((inf if one.used is None else one.used for one in mine), default=inf)
        if used > 1:
            return None
        left = list(dict.fromkeys(j.loaded.joint.kind for j in others if j.used is not None and j.used > 1))
        costs = (f"still too weak: {', '.join(left)}",) if left else ()
        return JointRemedy(kind, change, used, costs, trial)

    def _alike(self) -> list[tuple[Fastener, list[JointResult]]]:
        """Fasteners of the failing joints, with all joints of the piece that have alike ones: they are made
        alike.
        """
        found: dict[tuple[Any, ...], tuple[Fastener, list[JointResult]]] = {}
        bad = {id(j.loaded.joint) for j in self.bad}
        for one in self.before.joints:
            for f in one.loaded.joint.fasteners:
                if f.kind in SPREAD_KINDS and f.sites:
                    key = (family_of(one), f.kind, f.diameter_mm, f.length_mm, len(f.sites))
                    found.setdefault(key, (f, []))[1].append(one)
        return [(f, ones) for f, ones in found.values() if any(id(j.loaded.joint) in bad for j in ones)]

    def fasteners(self) -> JointRemedy | None:
        """The least number of fasteners with which every joint holds, where all that fail have some."""
        alike = self._alike()
        if not self._covers(alike):
            return None
        counts = [
            max(len(f.sites) + 1, ceil(len(f.sites) * min(max(j.used or 0.0 for j in ones), 50.0) - 1e-9))
            for f, ones in alike
        ]
        for _ in range(MOST_STEPS):
            spread = [spread_fasteners(ones, n) for (_, ones), n in zip(alike, counts, strict=True)]
            if any(one is None for one in spread):
                return None
            new = {k: v for one in spread if one is not None for k, v in one.items()}
            words = "; ".join(
                f"{n} {f.kind.value}s instead of {len(f.sites)} in each {ones[0].loaded.joint.kind}"
                f" of {ones[0].loaded.joint.b} to {ones[0].loaded.joint.a} and those alike"
                for (f, ones), n in zip(alike, counts, strict=True)
            )
            found = self._refastened("fasteners", words, new)
            if found is not None:
                return found
            counts = [n + 1 for n in counts]
        return None

    def longer(self) -> JointRemedy | None:
        """The shortest longer screws sold with which every joint holds."""
        alike = self._alike()
        if not self._covers(alike) or any(f.kind is not FastenerKind.SCREW for f, _ in alike):
            return None
        ladders = [self._longer(f, ones) for f, ones in alike]
        for step in range(min(MOST_STEPS, min((len(one) for one in ladders), default=0))):
            new = {
                id(j.loaded.joint): replace(f, length_mm=ladder[step], sites=own_fastener(j, f).sites)
                for (f, ones), ladder in zip(alike, ladders, strict=True)
                for j in ones
            }
            words = "; ".join(
                f"screws {f.diameter_mm:g} x {ladder[step]:g} mm instead of"
                f" {f.diameter_mm:g} x {f.length_mm:g} mm"
                f" in each {ones[0].loaded.joint.kind} of {ones[0].loaded.joint.b} to"
                f" {ones[0].loaded.joint.a} and those alike"
                for (f, ones), ladder in zip(alike, ladders, strict=True)
            )
            found = self._refastened("longer", words, new)
            if found is not None:
                return found
        return None

    def _longer(self, f: Fastener, ones: Sequence[JointResult]) -> list[float]:
        """Longer screws sold that stay in the wood of every joint, mm."""
        room = min(room_in_wood(j, own_fastener(j, f), self.before.piece) for j in ones)
        sold = {
            s.length_mm
            for s in list_hardware("screw")
            if abs(s.diameter_mm - f.diameter_mm) < 0.05 and f.length_mm < s.length_mm <= room - SPARE_MM
        }
        return sorted(sold)

    def _covers(self, alike: Sequence[tuple[Fastener, list[JointResult]]]) -> bool:
        """Whether every failing joint is among these."""
        known = {id(j.loaded.joint) for _, ones in alike for j in ones}
        return bool(alike) and all(id(j.loaded.joint) in known for j in self.bad)

    def _refastened(self, kind: str, change: str, new: dict[int, Fastener]) -> JointRemedy | None:
        """The piece with other fasteners, which no load finds another way for: only its joints are asked."""
        return self._made(kind, change, lambda: self._with(new), self.before)

    def _with(self, new: dict[int, Fastener]) -> Piece:
        """The piece with other fasteners in some of its joints."""

        def changed(joint: Joint) -> Joint:
            if id(joint) not in new:
                return joint
            mine = new[id(joint)]
            others = tuple(mine if f.kind is mine.kind and f.sites else f for f in joint.fasteners)
            return replace(joint, fasteners=others)

        piece = self.before.piece
        return replace(piece, joints=tuple(changed(j) for j in piece.joints))

    def thickness(self) -> JointRemedy | None:
        """The least thickness of the stocks that the failing joints are of with which every joint holds."""
        woods = {w.label for j in self.bad for w in j.loaded.woods}
        piece = self.before.piece
        stocks = {piece.part_of(piece.placement(label)).stock.name for label in woods}
        names = [
            p.name
            for p in self.recipe.parameters
            if p.kind == "stock" and getattr(self.values[p.name], "name", "") in stocks
        ]
        ladders = {name: thicker(self.values[name]) for name in names}
        for step in range(min(MOST_STEPS, min((len(one) for one in ladders.values()), default=0))):
            values = self.values | {name: ladder[step] for name, ladder in ladders.items()}
            words = " ".join(f"{name}={values[name].name}" for name in names)
            found = self._made("thickness", words, lambda v=values: self.changed(v))  # type: ignore[misc]
            if found is not None:
                return found
        return None

    def joint(self) -> JointRemedy | None:
        """The first other joint of one parameter with which every joint holds."""
        for name, value, words in self._choices():
            values = self.values | {name: value}
            found = self._made("joint", words, lambda v=values: self.changed(v))  # type: ignore[misc]
            if found is not None:
                return found
        return None

    def _choices(self) -> Iterator[tuple[str, Any, str]]:
        for p in self.recipe.parameters:
            for word, _ in p.joints:
                if word != self.values[p.name]:
                    yield p.name, word, f"{p.name}={word}"

    def count(self) -> JointRemedy | None:
        """The least more of one thing the recipe counts with which every joint holds."""
        for p in self.recipe.parameters:
            if p.kind != "count":
                continue
            for more in range(
                self.values[p.name] + 1, min(int(p.high), self.values[p.name] + MOST_STEPS) + 1
            ):
                values = self.values | {p.name: more}
                change = f"{p.name}={more}"
                found = self._made("count", change, lambda v=values: self.changed(v))  # type: ignore[misc]
                if found is not None:
                    return found
        return None


def with_joint_remedies(
    findings: list[Finding],
    rows: list[Json],
    recipe: Recipe,
    values: Values,
    changed: Callable[[Values], Piece],
    piece: Piece,
    demands: Demands,
) -> tuple[list[Finding], list[Json]]:
    """Findings with what would make their failing joints hold, and the remedies as the report lists them.

    Args:
        rows: of other remedies found before.
        recipe, values, changed, piece, demands: as `JointSearch`.
    """
    bad = [f for f in findings if f.name == "joint" and f.status == FAIL]
    if not bad:
        return findings, rows
    try:
        search = JointSearch(recipe, values, changed, piece, demands)
        groups = [g for g in joints_alike(search.before.joints) if (g[0].used or 0.0) > 1]
    except FurnigenError:
        return findings, rows
    found: list[JointRemedy] = []
    words: dict[JointFamily, str] = {}
    new: dict[int, Finding] = {}
    for finding, group in zip(bad, groups, strict=False):
        family = family_of(group[0])
        if family not in words:
            own = search.find([j for g in groups for j in g if family_of(j) == family])
            found += own
            lines = [r.line for r in own]
            if search.untried:
                lines.append(not_tried(JOINT_REMEDIES[kind] for kind in search.untried))
            elif not lines:
                lines.append("no single change that was tried makes these joints hold")
            new[id(finding)] = replace(finding, remedy="\n".join([finding.remedy, *lines]))
            words[family] = f"as for the worst {group[0].loaded.joint.kind}, above"
        else:
            new[id(finding)] = replace(finding, remedy=words[family])
    findings = [new.get(id(f), f) for f in findings]
    more = [
        {
            "kind": f"joint {r.kind}",
            "change": r.change,
            "used": r.used,
            "costs": list(r.costs),
            "then_fails": sorted(r.then_fails) if r.trial.checked else None,
        }
        for r in found
    ]
    return findings, [*rows, *more]
