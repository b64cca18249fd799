"""Fit: what the brief allows, and whether each part can be cut from its stock. No kernel needed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from difflib import get_close_matches
from typing import Any

from furnigen.catalogue.stock import Stock, stock_that_holds
from furnigen.core.errors import InputError
from furnigen.core.facts import Fact
from furnigen.core.finding import FAIL, PASS, WARN, Finding
from furnigen.core.quantities import SAME_MM, parse_length
from furnigen.core.wording import in_words
from furnigen.piece.description import Limit, Piece

LIMITS = {
    "max_width": "overall width",
    "max_depth": "overall depth",
    "max_height": "overall height",
    "min_clear_width": "clear width of every opening",
    "min_clear_depth": "clear depth of every opening",
    "min_clear_height": "clear height of every opening",
    "reach": "height of the highest surface that things are put on",
}
"""Limits a brief may state, and what each holds."""


def read_limits(given: Mapping[str, Any], units: str) -> tuple[Limit, ...]:
    """Limits of a brief from texts or numbers (in `units`).

    Raises: InputError for an unknown limit or one that is no length.
    """
    limits = []
    for name, value in given.items():
        if name not in LIMITS:
            near = get_close_matches(name, LIMITS, 1)
            offer = f"did you mean {near[0]}?" if near else f"limits are {', '.join(LIMITS)}"
            raise InputError("limit", name, "is not known", offer)
        text = value if isinstance(value, str) else repr(value)
        limits.append(Limit(name, parse_length(text, what=name, bare_unit=units)))
    return tuple(limits)


def check_limits(piece: Piece) -> Iterator[Finding]:
    """Every limit of the brief."""
    for limit in piece.limits:
        value, where = measured(piece, limit.name)
        least = limit.name.startswith("min_")
        over = limit.value_mm - value if least else value - limit.value_mm
        bad = over > SAME_MM
        yield Finding(
            limit.name.replace("_", "-"),
            FAIL if bad else PASS,
            value,
            limit.value_mm,
            "mm",
            where,
            "the brief",
            f"{'raise' if least else 'lower'} the {LIMITS[limit.name]} by {in_words(over)}" if bad else "",
            least=least,
        )


def measured(piece: Piece, name: str) -> tuple[float, str]:
    """The value a limit is held against, and the label that sets it.

    Raises: InputError when the piece has nothing to measure.
    """
    if name.startswith("max_"):
        return piece.bounds.size[("max_width", "max_depth", "max_height").index(name)], ""
    if name == "reach":
        tops = [
            (piece.bounds_of(p).hi[2], p.label)
            for p in piece.placements
            if Fact.TAKES_GOODS in p.facts and _under_an_opening(piece, p.label)
        ]
        if not tops:
            raise InputError("limit", name, f"{piece.name} has no shelf to reach")
        return max(tops)
    axis = ("min_clear_width", "min_clear_depth", "min_clear_height").index(name)
    if not piece.openings:
        raise InputError("limit", name, f"{piece.name} declares no openings")
    return min((o.clear_mm[axis], o.label) for o in piece.openings)


def _under_an_opening(piece: Piece, label: str) -> bool:
    return any(o.bound("bottom") == label for o in piece.openings)


def _parts_inside(piece: Piece) -> Iterator[list[str]]:
    """For each opening, labels of the parts that share more than touching with it: `SAME_MM` every way."""
    # two spans share as much as the least of four differences; two of them, the spans' own lengths, are asked
    # of each box once, and the other two end the question at the first axis for most
    boxes = [(p.label, piece.bounds_of(p)) for p in piece.placements]
    spans = [(label, *box.lo, *box.hi) for label, box in boxes if min(box.size) > SAME_MM]
    for opening in piece.openings:
        (p, q, r), (s, t, o) = opening.box.lo, opening.box.hi
        yield [
            label
            for label, x, y, z, u, v, w in (spans if min(opening.clear_mm) > SAME_MM else ())
            if u - p > SAME_MM
            and s - x > SAME_MM
            and w - r > SAME_MM
            and o - z > SAME_MM
            and v - q > SAME_MM
            and t - y > SAME_MM
        ]


def check_openings(piece: Piece) -> Iterator[Finding]:
    """Clear size of the tightest opening, and that none holds a part."""
    for opening, inside in zip(piece.openings, _parts_inside(piece), strict=True):
        if inside:
            yield Finding(
                "clear-opening",
                FAIL,
                len(inside),
                0,
                "parts",
                f"{opening.label}: {', '.join(inside)}",
                "an opening is a clear space",
                "move the part or declare the opening smaller",
            )
    if piece.openings:
        height, label = min((o.clear_mm[2], o.label) for o in piece.openings)
        yield Finding("least-clear-height", PASS, height, None, "mm", label)


def check_stock(piece: Piece) -> Iterator[Finding]:
    """Whether every part can be cut from its stock: length along the grain, then width."""
    good = True
    for part in piece.parts:
        length, width, _ = part.form.blank_mm
        s = part.stock
        across, along = s.width_mm, s.length_mm
        turned = s.kind == "sheet" and not s.grain and width <= along + SAME_MM and length <= across + SAME_MM
        if length > along + SAME_MM and not turned:
            good = False
            yield Finding(
                "part-fits-stock",
                FAIL,
                length,
                along,
                "mm",
                part.name,
                s.source,
                _large_enough(s, length, width, f"shorten the part by {in_words(length - along)}"),
            )
        elif width > across + SAME_MM and not turned:
            good = False
            glued = s.kind == "board"
            yield Finding(
                "part-fits-stock",
                WARN if glued else FAIL,
                width,
                across,
                "mm",
                part.name,
                s.source,
                "glue it up from several boards" if glued else _large_enough(s, length, width, "narrow it"),
            )
    if good:
        yield Finding("part-fits-stock", PASS, len(piece.parts), None, "parts")


def _large_enough(stock: Stock, length: float, width: float, else_do: str) -> str:
    """Stock that a part can be cut from, by name, or what to do instead (mm)."""
    found = stock_that_holds(stock, length, width)
    if found is None:
        return (
            f"no stock in the table that is like {stock.name} is large enough: {else_do}, or make it of two"
        )
    size = f"{in_words(found.length_mm)} x {in_words(found.width_mm)}"
    return f"choose larger stock, such as {found.name}, {size}, or {else_do}"


def check_fit(piece: Piece) -> list[Finding]:
    """All checks of fit, in a fixed order."""
    return [*check_limits(piece), *check_openings(piece), *check_stock(piece)]
