"""Damaged copies of good STEP files, the same for each seed: what transfers, disks and hands do to a file."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from dataclasses import dataclass

_ROW = re.compile(r"#(\d+) ?= ?(.*?);\n", re.DOTALL)
_NUMBER = re.compile(r"(?<=[(,])-?\d+\.\d*(?:E[+-]?\d+)?(?=[,)])")
_REFERENCE = re.compile(r"(?<=[(,])#\d+(?=[,)])")
_KEYWORD = re.compile(r"\b[A-Z][A-Z0-9_]{4,}\b")
STRUCTURE = (
    "PRODUCT_DEFINITION",
    "SHAPE_REPRESENTATION",
    "NEXT_ASSEMBLY",
    "ITEM_DEFINED",
    "SOLID_BREP",
    "SHELL",
)
UNITS = (
    "SI_UNIT($,.METRE.)",
    "SI_UNIT(.CENTI.,.METRE.)",
    "SI_UNIT(.MILLI.,.GRAM.)",
    "SI_UNIT(.MILI.,.METRE.)",
)
NUMBERS = ("1.E300", "-1.E300", "0.", "1.", "-1.", "1.E-300", "1.E+09", "NAN", "INF", "12.5.3", "1.E400")


@dataclass(frozen=True)
class Mutant:
    """One damaged copy.

    Attributes:
        number: of the mutant: the same for the same sources.
        source: which good file it was made from.
        kind: how it was damaged.
        what: the damage in words, for who looks into a failure.
        text: the damaged file.
    """

    number: int
    source: str
    kind: str
    what: str
    text: str


Change = tuple[str, str]
"""The damage in words, and the damaged text."""


def _rows(text: str, wanted: str = "") -> list[re.Match[str]]:
    return [m for m in _ROW.finditer(text) if wanted in m[2]]


def _replaced(text: str, span: tuple[int, int], new: str) -> Change:
    line = text[text.rfind("\n", 0, span[0]) + 1 : span[0]]
    words = f"{line[-60:]}[{text[span[0] : span[1]][:60]} -> {new[:60]}]"
    return words, text[: span[0]] + new + text[span[1] :]


def _data(text: str) -> int:
    return text.index("DATA;")


def number(text: str, dice: random.Random) -> Change:
    """One number becomes another."""
    found = dice.choice(list(_NUMBER.finditer(text, _data(text))))
    value = float(found[0])
    choices = (*NUMBERS, f"{-value!r}", f"{value * 10!r}", f"{value + 3.7!r}")
    return _replaced(text, found.span(), dice.choice(choices))


def reference(text: str, dice: random.Random) -> Change:
    """A row names another one: any, one of the same kind, or one that is not there."""
    found = dice.choice(list(_REFERENCE.finditer(text, _data(text))))
    rows = _rows(text)
    how = dice.random()
    if how < 0.2:
        return _replaced(text, found.span(), "#999999")
    if how < 0.6:
        return _replaced(text, found.span(), f"#{dice.choice(rows)[1]}")
    named = next((r for r in rows if f"#{r[1]}" == found[0]), rows[0])
    kind = named[2].partition("(")[0]
    return _replaced(text, found.span(), f"#{dice.choice([r for r in rows if r[2].startswith(kind)])[1]}")


def keyword(text: str, dice: random.Random) -> Change:
    """A keyword with a letter wrong, or another keyword of the file."""
    words = list(_KEYWORD.finditer(text, _data(text)))
    found = dice.choice(words)
    new = found[0][:3] + "Q" + found[0][4:] if dice.random() < 0.5 else dice.choice(words)[0]
    return _replaced(text, found.span(), new)


def deletion(text: str, dice: random.Random) -> Change:
    """One row, or one value of a row, is gone."""
    found = dice.choice(_rows(text))
    if dice.random() < 0.6:
        return _replaced(text, found.span(), "")
    inner = dice.choice(list(re.finditer(r"[(,]([^(),]+)(?=[,)])", found[2])))
    at = found.start(2)
    return _replaced(text, (at + inner.start(1), at + inner.end(1)), dice.choice(("", "$", "*")))


def structure(text: str, dice: random.Random) -> Change:
    """A row of the product structure is gone, empty in places, or there twice."""
    found = dice.choice(_rows(text, dice.choice(STRUCTURE)))
    how = dice.random()
    if how < 0.4:
        return _replaced(text, found.span(), "")
    if how < 0.7:
        return _replaced(text, (found.end(), found.end()), f"#{900000 + dice.randrange(99)}={found[2]};\n")
    inner = dice.choice(list(re.finditer(r"[(,]([^(),]+)(?=[,)])", found[2])))
    at = found.start(2)
    return _replaced(text, (at + inner.start(1), at + inner.end(1)), "$")


def swap(text: str, dice: random.Random) -> Change:
    """Two rows exchange their numbers."""
    a, b = sorted(dice.sample(_rows(text), 2), key=lambda m: m.start())
    words = f"#{a[1]} {a[2][:40]} <-> #{b[1]} {b[2][:40]}"
    return words, "".join((text[: a.start(2)], b[2], text[a.end(2) : b.start(2)], a[2], text[b.end(2) :]))


def truncation(text: str, dice: random.Random) -> Change:
    """The rest of the file is gone, or a piece within it."""
    at = dice.randrange(_data(text), len(text))
    if dice.random() < 0.5:
        return f"cut at {at}", text[:at]
    length = dice.choice((1, 2, 7, 60, 600))
    return _replaced(text, (at, min(at + length, len(text))), "")


def duplicate(text: str, dice: random.Random) -> Change:
    """A row twice, under one number, with the same words or those of another."""
    a, b = dice.choice(_rows(text)), dice.choice(_rows(text))
    return _replaced(text, (a.end(), a.end()), f"#{a[1]}={dice.choice((a, b))[2]};\n")


def axes(text: str, dice: random.Random) -> Change:
    """A direction is nothing, turned round, skew, or along its neighbour."""
    placed = _rows(text, "AXIS2_PLACEMENT_3D")
    named = set(_REFERENCE.findall("".join(r[2] for r in _rows(text, "ITEM_DEFINED_TRANSFORMATION"))))
    # every other time of a placed part, not of a face
    found = dice.choice([r for r in placed if f"#{r[1]}" in named] if dice.random() < 0.5 else placed)
    z, x = _REFERENCE.findall(found[2])[1:3]
    how = dice.randrange(4)
    if how == 0:
        return _replaced(text, found.span(2), found[2].replace(f"{z},{x}", f"{z},{z}"))
    wanted = dice.choice((z, x))
    direction = next(r for r in _rows(text) if f"#{r[1]}" == wanted)
    new = ("(0.,0.,0.)", "(0.6,0.48,0.64)", "(-1.,0.,0.)")[how - 1]
    return _replaced(text, direction.span(2), f"DIRECTION('',{new})")


def unit(text: str, dice: random.Random) -> Change:
    """The unit of length is another, unreadable or gone."""
    found = dice.choice(list(re.finditer(r"SI_UNIT\(\.MILLI\.,\.METRE\.\)", text)))
    return _replaced(text, found.span(), dice.choice(UNITS))


def characters(text: str, dice: random.Random) -> Change:
    """One character is another: brackets, quotes, commas and signs too."""
    at = dice.randrange(_data(text), len(text))
    return _replaced(text, (at, at + 1), dice.choice("'();,#$*.=/\x00\xff-9Z\n"))


KINDS: tuple[Callable[[str, random.Random], Change], ...] = (
    number,
    number,
    reference,
    reference,
    keyword,
    deletion,
    structure,
    structure,
    swap,
    truncation,
    duplicate,
    axes,
    axes,
    unit,
    characters,
)


def mutant(sources: dict[str, str], seed: int) -> Mutant:
    """The damaged copy of a number, of one of the good files."""
    dice = random.Random(seed)
    name = sorted(sources)[seed % len(sources)]
    change = KINDS[(seed // len(sources)) % len(KINDS)]
    what, text = change(sources[name], dice)
    return Mutant(seed, name, change.__name__, what, text)
