"""Values for parameters, good and bad, and words that nobody expects: what mutants are made of."""

from __future__ import annotations

import datetime
import random
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any

from furnigen import list_stock
from furnigen.recipes.parameters import Parameter

MM = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(127, 5),
    "ft": Fraction(1524, 5),
}


@dataclass(frozen=True)
class Raw:
    """Text that stands in a file of TOML as it is."""

    text: str


BAD_VALUES: tuple[Any, ...] = (
    float("nan"), float("inf"), float("-inf"), Raw("1e400"), Raw("+nan"), -1, -0.5, 10**30, -(10**30),
    Raw("9" * 5000), Raw("0x" + "f" * 400), "", " ", "nan", "inf", "wide", "12.5.3 mm", "1e3", "1/0 in",
    "5/4/3 in", "1,5", "1 000", "900 kg", "900 mmm", "-900", "٣ m", "1½½ in", "7' 15\"", "7'3", "1.5/2 in",
    [], {}, [[]], [[600]], [{}], {"from": 1}, [float("nan")], [None], "\0", "=1+1", "{{x}}", "9" * 200,
    "a\nb", "\x1b[31m", "\u202e900", "💥", datetime.date(2024, 2, 30 - 1), datetime.time(7, 30),
    datetime.datetime(2024, 1, 1, 12), Raw("[" * 400 + "]" * 400), Raw("[" * 3000 + "]" * 3000),
    Raw("{a=" * 400 + "1" + "}" * 400), Raw("1_000_"), Raw("01"), Raw("600 mm"), Raw("'600"), Raw("nul"),
    "birch-ply-81", "@", "birch-ply-18-2440@nan", "birch-ply-18-2440@-3", "birch-ply-18-2440@900 m",
)  # fmt: skip
"""No parameter of any recipe takes one of these."""
WORDS = (
    "", " ", "-", "--", "---", "=", "==", "a=b", "=1", "width=", "0", "-1", "1e309", "nan", "inf", "None",
    "null",
    "'", '"', "\\", "\t", "a\nb", "\r", "\x1b[2J", "\x7f", "é", "💥", "\u202e", "\udcff", "a\u0301", "%s%n",
    "{}",
    "{{x}}", "$(id)", "`id`", "*", "?", "~", ".", "..", "../..", "/", "/dev/null", "/dev/full", "file",
    "file/x",
    "n" * 300, "9" * 5000, "x" * 100_000, "1:0", "0:1", "-1:12", "1:1e9", '1" = 1\'', "1/0", "220x220",
    "0x0x0",
    "9x9x9", "1e9x1x1", "220x220x250x9", "nan x 5", "step,,stl", "step,stp", ",", "all", "fit", "books",
    "40 kg",
    "-40 kg/m", "1e99 kg/m", "nan kg/m2", "20 kg at 99 m", "20 kg at -1 mm", "shelf.99=books", "=books",
    "x=y=z",
    "empty", "L/300", "L/0", "L/-3", "L/nan", "L/1e400", "max_width=1", "max_widht=9", "reach=2 m", "1 m",
    "0.1 mm",
    "1e-9", "999 m", "0.0049", "mm", "in", "furlong", "child", "1.5", "3", "256", "257", "--json",
    "--units", "--ou",
    "--help", "--version", "p.toml", "f.toml", "broken.toml", "none.toml", "good.step", "bad.step",
    "ring_rack", "bench.py",
)  # fmt: skip


@dataclass(frozen=True)
class Good:
    """A value that a parameter takes.

    Attributes:
        value: as a file of TOML says it.
        text: as a command line says it.
        plain: what the report must say: mm, degrees, whole numbers, words.
    """

    value: Any
    text: str
    plain: Any


@cache
def _stock_of(kinds: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(s.name for s in list_stock() if not kinds or s.kind in kinds)


def good(parameter: Parameter, units: str, dice: random.Random, near: bool = False) -> Good:
    """A value that a parameter takes by itself; its recipe may refuse it beside the others.

    Args:
        units: of bare numbers.
        near: close to the default, so that the recipe takes it more often.
    """
    low, high = parameter.low, parameter.high
    if parameter.kind == "length":
        if near:
            low, high = max(low, parameter.default * 0.9), min(high, parameter.default * 1.1)
        return _length(Fraction(dice.choice((dice.uniform(low, high), float(round(dice.uniform(low,
        high)))))),
                       Fraction(parameter.low), Fraction(parameter.high), units, dice)  # fmt: skip
    if parameter.kind == "angle":
        degrees = dice.choice((round(dice.uniform(low, high), 2), low, high))
        text = f"{degrees!r}{dice.choice(('', '°', ' deg'))}"
        return Good(dice.choice((degrees, text)), text, degrees)
    if parameter.kind == "count":
        if near:
            low, high = max(low, parameter.default - 1), min(high, parameter.default + 1)
        number = dice.randint(int(low), int(high))
        return Good(dice.choice((number, str(number), float(number))), str(number), number)
    if parameter.kind == "counts":
        each = [
            dice.randint(int(low), min(4, int(high))) for _ in range(dice.randint(1, min(3, parameter.most)))
        ]
        text = dice.choice((",", ", ")).join(map(str, each))
        return Good(dice.choice((each, text)), text, each)
    words = parameter.options if parameter.kind == "choice" else _stock_of(parameter.options)
    word = (
        parameter.default
        if near and dice.random() < 0.5 and parameter.kind == "choice"
        else dice.choice(words)
    )
    return Good(word, str(word), word)


def _length(mm: Fraction, low: Fraction, high: Fraction, units: str, dice: random.Random) -> Good:
    """A length about `mm`, in one of the ways that makers write; its value by exact fractions."""
    way = dice.randrange(6)
    if way == 0:  # in sixty-fourths of an inch and their like
        below = dice.choice((2, 4, 8, 16, 32, 64))
        whole, over = divmod(round(mm / MM["in"] * below), below)
        exact = (whole + Fraction(over, below)) * MM["in"]
        fraction = f"{over}/{below}" if over else ""
        inches = dice.choice((" ", "-")).join(
            p for p in (str(whole) if whole or not over else "", fraction) if p
        )
        text = inches + dice.choice((" in", '"', "″", " inches"))
    elif way == 1:  # feet and inches
        feet, inches_left = divmod(round(mm / MM["in"]), 12)
        exact = feet * MM["ft"] + inches_left * MM["in"]
        text = dice.choice(
            (f"{feet}' {inches_left}\"", f"{feet}'-{inches_left}\"", f"{feet} ft {inches_left} in")
        )
    elif way == 2:
        halves = round(mm / MM["in"] * 2)
        exact = Fraction(halves, 2) * MM["in"]
        text = f"{halves // 2 or ''}½ in" if halves % 2 else f"{halves // 2} in"
    else:
        unit = dice.choice(("mm", "cm", "m", units, "in", "ft"))
        number = round(float(mm / MM[unit]), dice.choice((0, 1, 3, 6)))
        exact = Fraction(repr(number)) * MM[unit]
        text = f"{number!r}".removesuffix(".0")
        text = f"{number:.6f}".rstrip("0").rstrip(".") if "e" in text else text
        if unit != units or dice.random() < 0.5:
            text += dice.choice(("", " ")) + unit
        elif low <= exact <= high:
            return Good(dice.choice((number, text)), text, float(exact))
    if not low <= exact <= high:
        exact = min(max(exact, low), high)
        text = f"{float(exact)!r} mm"
    return Good(text, text, float(exact))


def misspelt(name: str, dice: random.Random) -> str:
    """A name with a slip of the hand in it."""
    at = dice.randrange(len(name))
    return dice.choice((
        name[:at] + name[at + 1 :] + "x", name + "s", name.upper(), name + " ", name[:at] + "é" + name[at:],
        f"{name}.{name}", name[:at] + "\n" + name[at:], "x" * 400, "__class__", name + "\0",
    ))  # fmt: skip
