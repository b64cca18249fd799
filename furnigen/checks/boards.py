"""Will its boards hold: findings on sag, bending and shear, those that are alike in one finding."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TypeVar

from furnigen.catalogue.loads import EMPTY
from furnigen.core.finding import FAIL, PASS, WARN, Finding, name_labels, not_estimated, stable_maximum
from furnigen.core.wording import in_words
from furnigen.strength.assess import LoadedBoards, Strength
from furnigen.strength.formulas.allowable import find_allowable
from furnigen.strength.members.boards import Board
from furnigen.strength.members.shelf import ShelfResult
from furnigen.strength.model.demands import BoardLoad

One = TypeVar("One")

ASSUMED = "the load is assumed: say what it carries, with --load or in the recipe"


MOST_SHARE = 10_000
"""A sag of a smaller share of the span is none to speak of."""
KNOWN = "hold it against its maker's figure, or choose stock whose strength is known"


def unknown_strength(materials: Iterable[str]) -> str:
    """Of which materials no strength is known, in words."""
    return f"no bending strength of {', '.join(dict.fromkeys(materials))} is known"


def over_limit(carried: Mapping[str, BoardLoad], own: Iterable[BoardLoad | None] = ()) -> str:
    """What passing a limit is: a failure where someone said what is carried, else a warning.

    Args:
        carried: what lies on the boards of the piece.
        own: what lies on the boards in question, where it is known.
    """
    near = [on for on in own if on is not None] or list(carried.values())
    return FAIL if not near or any(on.said for on in near) else WARN


def grouped(
    ones: Iterable[One], used: Callable[[One], float], alike: Callable[[One], float]
) -> list[list[One]]:
    """What is used alike, as groups, the most used first: all beyond their limit, or else the worst alone."""
    groups: dict[tuple[float, float], list[One]] = {}
    for one in ones:
        groups.setdefault((round(used(one), 4), round(alike(one), 3)), []).append(one)
    ranked = sorted(groups.values(), key=lambda g: -used(g[0]))
    return [g for g in ranked if used(g[0]) > 1] or ranked[:1]


def _bent(on: Strength | LoadedBoards) -> list[tuple[Board, ShelfResult]]:
    return [(b, b.result) for b in on.boards if b.result is not None]


def _labels(group: list[tuple[Board, ShelfResult]]) -> str:
    return name_labels([board.label for board, _ in group])


def sag_findings(on: Strength | LoadedBoards) -> Iterator[Finding]:
    """Boards that sag too far, or the one nearest to its limit; boards that slide off what carries them."""
    for board in on.boards:
        if board.result is None:
            yield Finding(
                "slides-off",
                FAIL,
                1,
                0,
                "boards",
                board.label,
                *_why_off(board),
                labels=(board.label,),
            )
    for group in grouped(_bent(on), lambda one: one[1].used, lambda one: one[1].final_mm):
        result = group[0][1]
        over = result.used > 1
        status = over_limit(on.carried, [b.carried for b, _ in group]) if over else PASS
        remedy = "a thicker board, a shorter span, strips glued under front and rear, or one more support"
        yield Finding(
            "sag",
            status,
            result.final_mm,
            result.limit_mm,
            "mm",
            f"{_labels(group)}: {_place(result, group[0][0].carried)}",
            _across(group[0][0], result) + _why_sag(group[0][0], result),
            ("" if status == FAIL else f"{ASSUMED}; else ") + remedy if over else "",
            result.used,
            labels=tuple(board.label for board, _ in group),
        )


def _why_off(board: Board) -> tuple[str, str]:
    """Why the supports of a board can not hold it, and what would."""
    if board.span.one_place is None:
        return (
            "a board that only lies needs its load between its supports, whichever bay is full",
            "join it to what carries it, or move a support outward",
        )
    ends = "; ".join(dict.fromkeys(s.how for s in board.span.stations))
    return (
        f"carried at one place alone, and its joint is not relied on to keep it from turning: {ends}",
        "join it there with screws, dowels, a tenon or a housing, or carry it at a second place",
    )


def _place(result: ShelfResult, carried: BoardLoad | None) -> str:
    """Which stretch of a board sags most, and under what."""
    segment = result.segment
    words = f"{segment.kind} of {in_words(segment.length)} under "
    if carried is None:
        words += "what rests on it"
    else:
        words += "its own weight" if carried.load.text == EMPTY.text else carried.load.text
    return words + (
        result.loaded.removeprefix("all bays")
        if result.loaded.startswith("all bays")
        else f", worst with {result.loaded} full"
    )


def _across(board: Board, result: ShelfResult) -> str:
    """How far a board with strips or a back sags at each edge, in words; nothing for one that has neither."""
    if board.span.plate.plain:
        return ""
    edges = ("front", "rear") if abs(board.span.across[1]) > abs(board.span.across[0]) else ("right", "left")
    front, middle, rear = result.across_mm
    return (
        f"{in_words(front, digits=2)} at the {edges[0]}, {in_words(middle, digits=2)} in the middle,"
        f" {in_words(rear, digits=2)} at the {edges[1]}:"
        f" the worst counts, {board.span.plate.most:.0%} of the board alone. "
    )


def _as_share(result: ShelfResult) -> str:
    """The final sag as a share of the span, in words; an overhang counts as twice its length."""
    span = result.limit_mm / result.shelf.limit.share
    if result.final_mm < span / MOST_SHARE:
        return ""
    twice = " of twice its length" if result.segment.kind == "overhang" else ""
    return f" (L/{span / result.final_mm:.0f}{twice})"


def _why_sag(board: Board, result: ShelfResult) -> str:
    low, high = result.spread.range()
    body = board.span.body
    limit, creep, carried = result.shelf.limit, result.creep, board.carried
    load = "" if carried is None else f" Load {carried.load.text}: {carried.load.source.text}."
    ends = dict.fromkeys(board.span.stations[i].how for i in (0, -1))
    shear = "added to bending" if result.shelf.shear.apart else "in the modulus already"
    return (
        f"{in_words(result.first_mm, digits=2)} at once, with creep (k_def {creep.factor:g})"
        f" {in_words(result.final_mm, digits=2)}{_as_share(result)}; 9 of 10 sag"
        f" {in_words(low, high, digits=2, between=' to ')}, {result.chance:.0%} within the limit. Limit"
        f" {limit.title}: {limit.source.text}.{load} Creep: {creep.source.text}. Shear: {shear}. Modulus:"
        f" {body.modulus(board.span.along):.0f} N/mm², {body.material.strength_source.text}. Ends:"
        f" {'; '.join(ends)}"
    )


def bending_findings(strength: Strength) -> Iterator[Finding]:
    """Boards bent beyond what their wood bears, or the one nearest to it."""
    known = [(b, r) for b, r in _bent(strength) if r.stress_used is not None]
    for group in grouped(known, lambda one: one[1].stress_used or 0.0, lambda one: one[1].stress_mpa):
        _board, result = group[0]
        used = result.stress_used or 0.0
        over = used > 1
        bears = find_allowable(result.shelf.materials[result.stress_in], climate=result.shelf.climate)
        yield Finding(
            "bending",
            over_limit(strength.carried, [b.carried for b, _ in group]) if over else PASS,
            result.stress_mpa,
            result.stress_allowed_mpa,
            "N/mm2",
            f"{_labels(group)}: {in_words(result.stress_at)} from its end",
            "f_m x k_mod / gamma_M / 1.5, lasting load (EN 1995-1-1 2.4.1);"
            f" {bears.bending_source.text}{_grain(result)}",
            "a thicker board or a shorter span" if over else "",
            used,
            labels=tuple(board.label for board, _ in group),
        )
    unknown = [(b, r) for b, r in _bent(strength) if r.stress_used is None]
    if unknown:
        result = stable_maximum([r for _, r in unknown], lambda r: r.stress_mpa)
        yield not_estimated(
            "bending",
            "whether it breaks",
            f"{_labels(unknown)}: the largest stress is {result.stress_mpa:.2g} N/mm²",
            unknown_strength(r.shelf.materials[0].name for _, r in unknown),
            KNOWN,
        )


def shear_findings(strength: Strength) -> Iterator[Finding]:
    """Boards sheared where joints cut them beyond what their wood bears, or the one nearest to it."""
    known = [(b, r, r.shear) for b, r in _bent(strength) if r.shear is not None]
    for group in grouped(known, lambda one: one[2].used, lambda one: one[2].mpa):
        _, result, shear = group[0]
        over = shear.used > 1
        notch = "" if shear.factor == 1.0 else f" x k_v {shear.factor:.2f} for its notched end (6.5.2)"
        yield Finding(
            "shear",
            over_limit(strength.carried, [b.carried for b, _, _ in group]) if over else PASS,
            shear.mpa,
            shear.allowed_mpa,
            "N/mm2",
            f"{name_labels([b.label for b, _, _ in group])}: {in_words(shear.at)} from its end,"
            f" where a cut leaves {in_words(shear.left)} of {in_words(shear.full)}",
            f"1.5 V / (b_ef h_ef) against f_v x k_mod / gamma_M / 1.5{notch} (EN 1995-1-1 6.1.7);"
            f" {find_allowable(result.shelf.materials[0]).shear_source}",
            "a shallower cut, or a thicker board" if over else "",
            shear.used,
            labels=tuple(board.label for board, _, _ in group),
        )


def _grain(result: ShelfResult) -> str:
    """What a board that bends across its grain, or plywood on edge, bears less, in words."""
    across = result.shelf.across
    share = across[result.stress_in] if across else 1.0
    return "" if share > 1 - 1e-9 else f"; x {share:.2g}, as its modulus that way is of that along its grain"
