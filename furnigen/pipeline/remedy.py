"""Remedies by computing: what would make sagging boards pass, each made and checked as a whole piece first.

Tried are the least thickness of the same stock, the largest overall size that shortens the span, strips
glued on edge under the front of each board or under front and rear, the back glued to its boards, a larger
overhang, and one or a few more of whatever the recipe counts. Every trial is a piece of its own
(`remedy_trial`): sag first; what passes is checked whole, and what it costs elsewhere is said. Of a large
piece the search goes as far as its work may (`remedy_work`): the first change of a kind that passes is taken,
least or not; what was not tried is named. Joints that do not hold have searches of their own
(`joint_remedies`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import floor, inf, log
from typing import Any

from furnigen.catalogue.stock import Stock
from furnigen.core.errors import FurnigenError
from furnigen.core.finding import name_labels
from furnigen.core.wording import as_a_value, in_words, marked, worded
from furnigen.piece.description import Piece
from furnigen.pipeline.edge_strips import FRONT, REAR, on_backs, stiffened
from furnigen.pipeline.remedy_search import RemedySearch, Values
from furnigen.pipeline.remedy_trial import RemedyTrial, costs_of, try_piece
from furnigen.pipeline.stock_ladder import thicker
from furnigen.pipeline.support_remedies import larger_overhangs, more_supports
from furnigen.strength.members.boards import Board
from furnigen.strength.model.members import LEVEL

Json = dict[str, Any]

STRIP_HEIGHTS_MM = (20.0, 30.0, 40.0, 50.0, 60.0, 80.0)
"""Heights of edge strips that are tried. Common practice, no source."""
UNCHANGED = "still too soft"
STEP_MM = 5.0
"""An overall size is given to this step."""
REMEDY_KINDS = {
    "thickness": "thicker",
    "span": "shorter",
    "stiffener": "edge strips",
    "back": "back that carries",
    "support": "one more",
    "supports": "more of them",
    "overhang": "larger overhang",
}
"""Kinds of remedies, in words."""
SAG_POWER = 3.0
"""Sag over span goes with the third power of the span under an even load: the first guess of a size."""
SURE = 0.95
"""Share of its limit that a board should use where there is work for few trials."""
MOST_TRIALS = 8
"""How often one kind of remedy is tried before the search gives it up."""


@dataclass(frozen=True)
class Remedy:
    """One change that makes every board pass.

    Attributes:
        kind: one of KINDS.
        change: the change in words, as it would be typed where it is a parameter.
        used: share of its limit that the worst board's sag then takes.
        costs: what it costs elsewhere, in words.
        trial: the piece that was checked.
    """

    kind: str
    change: str
    used: float
    costs: tuple[str, ...]
    trial: RemedyTrial

    @property
    def line(self) -> str:
        """The remedy in one line."""
        costs = f". Costs: {', '.join(map(marked, self.costs))}" if self.costs else ""
        return f"{REMEDY_KINDS[self.kind]}: {marked(self.change)}; worst sag then uses {self.used:.0%}{costs}"


class Search(RemedySearch):
    """Looks for remedies of the boards of one piece that sag too far."""

    _last: tuple[Values, Piece] | None = None

    @cached_property
    def bad(self) -> list[Board]:
        """The boards that sag too far."""
        return [b for b in self.before.boards if b.result is None or b.result.used > 1]

    def _trial(self, values: Values) -> RemedyTrial | None:
        """A changed recipe, checked; None where it makes no piece."""
        try:
            return try_piece(self._remade(values), self.demands)
        except FurnigenError:
            return None

    def _remade(self, values: Values) -> Piece:
        """A changed piece; the last one is kept, for more than one question is asked of it."""
        if self._last is None or self._last[0] != values:
            self._last = values, self.changed(values)
        return self._last[1]

    @property
    def _ample(self) -> bool:
        """Whether there is work enough to find the least change of a kind, not just one that passes."""
        return self._work is None or self._work.ample

    def _made(self, kind: str, change: str, trial: RemedyTrial | None) -> Remedy | None:
        """The remedy if the trial passes where the piece did not; its costs are yet to be found."""
        if trial is None or trial.used > 1:
            return None
        return Remedy(kind, worded(change), trial.used, (), trial)

    def find(self) -> list[Remedy]:
        """Every kind of remedy that was found, each checked whole where there is work enough for that."""
        if not self.bad:
            return []
        found: list[Remedy] = []
        # first what most often helps, for a large piece's work may not do for all
        searches: dict[str, Callable[[], Sequence[Remedy | None]]] = {
            "span": lambda: [self.span()],
            "stiffener": lambda: [self.stiffener()],
            "thickness": lambda: [self.thickness()],
            "back": lambda: [self.back()],
            "overhang": lambda: [self.overhang()],
            "support": self.support,
        }
        for kind, search in searches.items():
            refused = self._refused
            own = [v for r in search() if r is not None and (v := self._verified(r)) is not None]
            found += own
            if not own and self._refused > refused:
                self.untried.append(kind)
        kinds = list(REMEDY_KINDS)
        self.untried.sort(key=kinds.index)
        return sorted(found, key=lambda r: kinds.index(r.kind))

    def _verified(self, remedy: Remedy) -> Remedy | None:
        """The remedy with its costs; None where parts then overlap, or the checks can not be made."""
        try:
            if remedy.trial.overlaps and not self.before.overlaps:
                return None
            return replace(remedy, costs=costs_of(self.before, remedy.trial) + remedy.costs)
        except FurnigenError:
            return None

    def thickness(self) -> Remedy | None:
        """The least thickness that passes of every stock that a failing board is cut from."""
        stocks = {b.span.body.part.stock.name for b in self.bad}
        names = [
            p.name
            for p in self.recipe.parameters
            if p.kind == "stock" and getattr(self.values[p.name], "name", "") in stocks
        ]
        if not names:
            return None
        ladders = {name: self._long_enough(thicker(self.values[name]), name) for name in names}
        steps = min(len(ladder) for ladder in ladders.values())
        if not steps:
            return None

        def made(step: int) -> Remedy | None:
            values = self.values | {name: ladder[step] for name, ladder in ladders.items()}
            words = " ".join(f"{name}={values[name].name}" for name in names)
            return self._made("thickness", words, self._trial(values))

        # sag goes with the cube of the thickness: begin where that says it will pass
        need = self.values[names[0]].thickness_mm * min(self.before.used, 1e6) ** (1 / 3)
        step = sum(s.thickness_mm < need for s in ladders[names[0]][: steps - 1])
        best = made(step)
        while best is None and step + 1 < steps:
            step += 1
            best = made(step)
        while self._ample and best is not None and step > 0 and (thinner := made(step - 1)) is not None:
            step, best = step - 1, thinner
        return best

    def _long_enough(self, ladder: list[Stock], name: str) -> list[Stock]:
        """Stock that is large enough for the parts it is for, as far as theirs is now."""
        now = self.values[name]
        mine = [p.form.blank_mm for p in self.before.piece.parts if p.stock.name == now.name]
        long, wide = (max((size[k] for size in mine), default=0.0) for k in (0, 1))
        return [
            s
            for s in ladder
            if s.length_mm >= min(long, now.length_mm) and s.width_mm >= min(wide, now.width_mm)
        ]

    def span(self) -> Remedy | None:
        """The largest size of the recipe that makes the span short enough."""
        label = self._worst
        for p in self.recipe.parameters:
            if p.kind == "length" and self.values[p.name] > p.low and self._shortens(p.name, p.low, label):
                return self._largest(p.name, p.low)
        return None

    def _shortens(self, name: str, low: float, label: str) -> bool:
        """Whether a smaller value makes a board shorter."""
        try:
            piece = self._remade(self.values | {name: self._guessed(self.values[name], low)})
            new = piece.part_of(piece.placement(label)).form.blank_mm
        except FurnigenError:
            return False
        old = self.before.piece
        return max(new) < max(old.part_of(old.placement(label)).form.blank_mm) - 0.5

    def _guessed(self, size: float, low: float) -> float:
        """The size at which boards would just pass, did sag go with the usual power of it."""
        return _next_size(size, self.before.used, SAG_POWER, low, size - STEP_MM)

    def _largest(self, name: str, low: float) -> Remedy | None:
        fails, passes, best = self.values[name], low, None
        at, share, power = fails, self.before.used, SAG_POWER
        for _ in range(MOST_TRIALS):
            last, before = at, share
            at = _next_size(at, share, power, low, fails - STEP_MM)
            if best is not None:
                at = max(at, passes + STEP_MM)
            trial = self._trial(self.values | {name: at})
            share = inf if trial is None else trial.used
            if not self._ample:
                # sag hardly goes with less than the size: a little smaller than that passes as a rule
                power, share = 1.0, share / SURE
            elif share < inf and before < inf and min(share, before) > 0 and abs(share - before) > 1e-9:
                power = min(max(log(before / share) / log(last / at), 1.0), 2 * SAG_POWER)
            remedy = self._made("span", f"{name}={as_a_value(at)}", trial)
            if remedy is None:
                fails, share = at, share if share > 1 else inf
            else:
                best, passes = remedy, at
            if at <= low or fails - passes <= STEP_MM or not (self._ample or best is None):
                break
        return best

    def stiffener(self) -> Remedy | None:
        """The lowest strips that pass, under the front of each failing board or else under front and rear."""
        both = ((FRONT, REAR), "the front and the rear of")
        for edges, words in (((FRONT,), "the front of"), both) if self._ample else (both,):
            found = self._lowest(
                "stiffener",
                lambda piece, boards, height, e=edges: stiffened(piece, boards, height, e),  # type: ignore[misc]
                f"glued under {words}",
            )
            if found is not None:
                return found
        return None

    def back(self) -> Remedy | None:
        """The failing boards glued to the backs behind them, else with strips in front too."""
        words = "the back glued along the rear edge of"
        alone = self._glued_on("back", on_backs, words)
        if alone is not None:
            return alone

        def with_strips(piece: Piece, boards: Sequence[Board], height: float) -> Piece | None:
            made = on_backs(piece, boards)
            return None if made is None else stiffened(made, boards, height, (FRONT,))

        return self._lowest("back", with_strips, f"glued under the front, and {words}")

    def _lowest(
        self, kind: str, changed: Callable[[Piece, Sequence[Board], float], Piece | None], words: str
    ) -> Remedy | None:
        """The remedy with the lowest strips on edge that passes: the higher, the stiffer."""
        found = None
        low, high = 0, len(STRIP_HEIGHTS_MM)
        # where the highest does not pass, none does
        middle = high - 1
        while low < high:
            height = STRIP_HEIGHTS_MM[middle]
            remedy = self._glued_on(
                kind,
                lambda piece, boards, h=height: changed(piece, boards, h),  # type: ignore[misc]
                f"{in_words(height)} high, of the board's own stock on edge, {words}",
            )
            if remedy is None:
                low = middle + 1
            else:
                found, high = remedy, middle
            middle = (low + high) // 2
        return found

    def _glued_on(
        self, kind: str, changed: Callable[[Piece, Sequence[Board]], Piece | None], words: str
    ) -> Remedy | None:
        """Something glued to each failing level board, where that makes those pass."""
        boards = [b for b in self.bad if b.span.body.kind == LEVEL]
        if not boards:
            return None
        try:
            piece = changed(self.before.piece, boards)
            if piece is None:
                return None
            trial = try_piece(piece, self.demands)
        except FurnigenError:
            return None
        mine = {b.label for b in boards}
        shares = {b.label: b.result.used if b.result else float("inf") for b in trial.boards}
        worst = max((share for label, share in shares.items() if label in mine), default=float("inf"))
        if worst > 1:
            return None
        left = [label for label, share in shares.items() if share > 1]
        costs = (f"{UNCHANGED}: {name_labels(left)}",) if left else ()
        change = worded(f"{words} {name_labels([b.label for b in boards])}")
        return Remedy(kind, change, worst, costs, trial)

    def support(self) -> list[Remedy | None]:
        """One more of each thing the recipe counts, or a few more where more of them help."""
        tried = more_supports(self.recipe, self.values, self.before.used, self._trial)
        return [self._made("support" if one else "supports", words, trial) for one, words, trial in tried]

    def overhang(self) -> Remedy | None:
        """The least of some larger overhangs that passes, uprights set closer under the same board."""
        piece = self.before.piece
        for words, values in larger_overhangs(self.recipe, self.values, self._worst, piece, self._remade):
            found = self._made("overhang", words, self._trial(values))
            if found is not None:
                return found
        return None

    @property
    def _worst(self) -> str:
        """The label of the worst board."""
        return max(self.bad, key=lambda b: b.result.used if b.result else 0.0).label


def _next_size(at: float, share: float, power: float, low: float, most: float) -> float:
    """The size at which boards would just pass that use `share` of their sag at another."""
    guess = at * share ** (-1 / power) if 0 < share < inf else 0.93 * at
    return max(low, min(floor(guess / STEP_MM) * STEP_MM, most))
