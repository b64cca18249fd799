"""Lengths, angles, scales and counts as people type and read them.

A length is a metric number (`450 mm`, `45 cm`, `1.2 m`), inches (`18 in`, `3/4 in`, `1-1/2"`), feet
(`2ft`), or feet and inches (`7' 3-1/2"`, `7'-3 1/2"`, `7 ft 3 1/2 in`). A number without a unit is in
the unit the caller names. Vulgar fractions (¾, 1½, ⁷⁄₈) and prime marks (′ ″ ’ ”) are read too.
1 in = 25.4 mm and 1 ft = 304.8 mm exactly (the 1959 agreement on the yard, from memory).

Nothing is guessed: a comma, a gap between digits, or a number after feet without its inch mark is
refused, since each has two readings that differ. Values are kept as fractions until the last step,
so 3/4 in is 19.05 mm to the last bit.
"""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction
from math import isfinite

from furnigen.core.errors import InputError
from furnigen.core.length_text import MM_PER_INCH as MM_PER_INCH
from furnigen.core.length_text import SAME_MM as SAME_MM
from furnigen.core.length_text import length_text

MAX_LENGTH_MM = 100_000.0
"""No piece of furniture is longer than 100 m: a larger number is a slip of the unit."""
MAX_COUNT = 100_000

_LONGEST_TEXT = 60
_MM = {
    "": Fraction(1), "mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000),
    "in": Fraction(127, 5), "ft": Fraction(1524, 5),
}  # fmt: skip
_UNIT_WORDS = {
    '"': "in", "inch": "in", "inches": "in", "'": "ft", "foot": "ft", "feet": "ft",
    "millimetre": "mm", "millimetres": "mm", "centimetre": "cm", "centimetres": "cm",
    "metre": "m", "metres": "m", "millimeter": "mm", "millimeters": "mm",
    "centimeter": "cm", "centimeters": "cm", "meter": "m", "meters": "m",
}  # fmt: skip
_DENOMINATORS = (1, 2, 4, 8, 16, 32, 64)

# A value: mixed (1 1/2, 1-1/2), plain fraction, or decimal.
_VALUE = r"(?:[0-9]+(?:-| +)[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+(?:\.[0-9]*)?|\.[0-9]+)"
_ONE = re.compile(rf"({_VALUE}) *([a-z]+|'|\"|)")
_FEET_INCHES = re.compile(rf"({_VALUE}) *('|ft|foot|feet)(?:-| *)({_VALUE}) *([a-z]+|\"|)")
_RATIO = re.compile(r"([-+]?[0-9]{1,6}(?:\.[0-9]{1,3})?) *[:/] *([-+]?[0-9]{1,6}(?:\.[0-9]{1,3})?)")
_COMMA = re.compile(r"([0-9]+),([0-9]+)")
_GAP = re.compile(r"[0-9] +[0-9]+(?![0-9/])")
_MARKS = str.maketrans({
    "′": "'", "’": "'", "‘": "'", "ʹ": "'", "″": '"', "”": '"', "“": '"', "ʺ": '"',
    "⁄": "/", "∕": "/", "−": "-", "–": "-", "‐": "-", "‑": "-",
    "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\t": " ",
})  # fmt: skip
_SCALES = """write 1:12, 1" = 1' or 1/2 in = 1 ft"""
_EXAMPLES = """write a length such as 450 mm, 45 cm, 1.2 m, 18 in, 3/4 in, 1 1/2" or 7' 3-1/2\""""


def _plain(text: str) -> str:
    """`text` in ASCII, lower case: fractions spelled out, one kind of mark for feet and for inches."""
    out: list[str] = []
    slashed = not {"⁄", "/", "⅟"}.isdisjoint(text)  # else a raised digit is an exponent, as in m²
    raised = False  # within the raised numerator of a fraction such as ⁷⁄₈
    for char in text.strip():
        kind = unicodedata.decomposition(char).split(" ")[0]
        spelled = unicodedata.normalize("NFKC", char)
        if kind == "<fraction>" or (slashed and kind == "<super>" and spelled.isdigit()):
            # 1½ is one and a half, not 11/2
            if out and not raised and out[-1].isdigit():
                out.append(" ")
            out.append(spelled)
            raised = kind == "<super>"
        else:
            out.append(spelled if slashed and kind == "<sub>" and spelled.isdigit() else char)
            raised = False
    return "".join(out).translate(_MARKS).replace("''", '"').lower()


def as_typed(text: object) -> str:
    """`text` for a message: one line, of limited length."""
    line = text if isinstance(text, str) and text.isprintable() and text.strip() else repr(text)
    return line if len(line) <= _LONGEST_TEXT else line[:20] + "..."


def _value(text: str) -> Fraction:
    """A mixed number, fraction or decimal; ValueError says in a clause what is wrong with it."""
    if "/" not in text:
        return Fraction(text if not text.endswith(".") else text[:-1])
    *whole, fraction = re.split(r"-| +", text)
    top, bottom = (int(n) for n in fraction.split("/"))
    if bottom == 0:
        raise ValueError("a fraction can not have zero below the line")
    if whole and top >= bottom:
        raise ValueError("a fraction after a whole number must be less than one")
    return (int(whole[0]) if whole else 0) + Fraction(top, bottom)


def _refuse_look_alikes(plain: str, what: str, text: object) -> None:
    """Refuse ambiguous numbers such as 1,234, and forms such as 1e3 or nan."""
    comma = _COMMA.search(plain)
    if comma:
        joined, pointed = comma.expand(r"\1\2"), comma.expand(r"\1.\2")
        fits = f"write {pointed} or {joined}" if len(comma[2]) == 3 else f"write {pointed}"
        raise InputError(
            what, as_typed(text), "must be written with a decimal point and without commas", fits
        )
    if re.search(r"[0-9]\.[0-9]+/", plain):
        raise InputError(
            what, as_typed(text), "must not mix a decimal and a fraction", 'write 1 1/2" or 1.5 in'
        )
    if re.search(r"[0-9]e[-+]?[0-9]", plain):
        raise InputError(what, as_typed(text), "must be a plain number, without an exponent", _EXAMPLES)
    gap = _GAP.search(plain)
    if gap:
        fits = f"write {gap[0].replace(' ', '')} if it is one number"
        raise InputError(what, as_typed(text), "must be written without a gap between digits", fits)


def _feet_and_inches(match: re.Match[str]) -> Fraction:
    """Millimetres of feet and inches; ValueError says in a clause what is wrong."""
    feet, inches = _value(match[1]), _value(match[3])
    unit = _UNIT_WORDS.get(match[4], match[4])
    if unit != "in":
        raise ValueError(f"the {match[3]} after the feet needs an inch mark, as in {match[1]}' {match[3]}\"")
    if feet.denominator != 1 or "." in match[1]:
        raise ValueError("feet must be a whole number where inches follow")
    if inches >= 12:
        raise ValueError("inches after feet must be less than 12")
    return feet * _MM["ft"] + inches * _MM["in"]


def _one_number(match: re.Match[str], bare_unit: str) -> Fraction:
    """Millimetres of one number and its unit; ValueError says in a clause what is wrong."""
    unit = _UNIT_WORDS.get(match[2], match[2]) or bare_unit
    if unit not in _MM:
        raise ValueError(f"the unit {match[2]} is not known; units are mm, cm, m, in and ft")
    if "/" in match[1] and unit not in ("in", "ft"):
        raise ValueError(f"a fraction must be in inches or feet, as in {match[1]} in")
    return _value(match[1]) * _MM[unit]


def check_length(mm: float, *, what: str = "length", allow_zero: bool = False, signed: bool = False) -> float:
    """A length in mm that makes sense for furniture, or InputError.

    Args:
        mm: the length, mm.
        what: its name, for the message.
        allow_zero: take zero too.
        signed: take negative lengths and zero too (an offset).

    Returns:
        `mm`, at most `MAX_LENGTH_MM` either way.
    """
    if isinstance(mm, bool) or not isinstance(mm, int | float) or not isfinite(mm):
        raise InputError(what, mm, "must be a finite number of millimetres")
    most = f"{MAX_LENGTH_MM / 1000:g} m"
    if abs(mm) > MAX_LENGTH_MM:
        raise InputError(what, f"{mm:g} mm", f"must be at most {most}: no furniture is longer")
    if mm < 0 and not signed:
        least = "zero or more" if allow_zero else "more than zero"
        raise InputError(what, f"{mm:g} mm", f"must be {least}")
    if mm == 0 and not (allow_zero or signed):
        raise InputError(what, f"{mm:g} mm", "must be more than zero")
    return float(mm)


def parse_length(
    text: str, *, what: str = "length", bare_unit: str = "mm", allow_zero: bool = False, signed: bool = False
) -> float:
    """The length `text` names, in mm, correctly rounded from the exact value.

    Args:
        text: the length as typed; the module docstring gives the grammar.
        what: its name, for messages.
        bare_unit: the unit of a number without one, "mm" or "in".
        allow_zero: take zero too.
        signed: take negative lengths (a leading minus for the whole) and zero too.

    Raises:
        InputError: not a length, out of any sense, or open to two readings.

    >>> parse_length("3/4 in"), parse_length("7'-3 1/2\\"")
    (19.05, 2222.5)
    """
    if not isinstance(text, str) or not text.strip():
        raise InputError(what, as_typed(text), "must be a length", _EXAMPLES)
    if len(text) > _LONGEST_TEXT:
        raise InputError(what, as_typed(text), f"must be at most {_LONGEST_TEXT} characters", _EXAMPLES)
    plain = _plain(text)
    _refuse_look_alikes(plain, what, text)
    sign = -1 if plain.startswith("-") else 1
    body = plain[1:].lstrip() if plain[:1] in "+-" else plain
    both, one = _FEET_INCHES.fullmatch(body), _ONE.fullmatch(body)
    if not both and not one:
        raise InputError(what, as_typed(text), "must be a length", _EXAMPLES)
    try:
        size = _feet_and_inches(both) if both else _one_number(one, bare_unit)  # type: ignore[arg-type]
    except ValueError as wrong:
        raise InputError(what, as_typed(text), "can not be read", str(wrong)) from None
    if size > 10 * MAX_LENGTH_MM:  # before the division to a float can overflow
        raise InputError(
            what, as_typed(text), f"must be at most {MAX_LENGTH_MM / 1000:g} m: no furniture is longer"
        )
    return check_length(float(sign * size), what=what, allow_zero=allow_zero, signed=signed)


def format_length(mm: float, units: str = "mm", *, denominator: int = 32, mark_inexact: bool = False) -> str:
    """A length for people: `450.0 mm`, or feet and inches such as `7'-3 1/2"`.

    Ties go half up (away from zero for negative lengths), since no standard says. Zero feet are left
    out; zero inches are kept after feet. Common practice, no source.

    Args:
        mm: the length, mm, any sign.
        units: "mm" (one decimal) or "in" (feet and inches).
        denominator: the finest inch fraction: 1, 2, 4, 8, 16, 32 or 64.
        mark_inexact: put "~" before a length that the rounding changed.

    Raises:
        InputError: not finite, or an unknown unit or denominator.

    >>> format_length(600, "in", denominator=16), format_length(-19.05, "in"), format_length(18)
    ('1\\'-11 5/8"', '-3/4"', '18.0 mm')
    """
    if not isfinite(mm):
        raise InputError("length", mm, "must be a finite number of millimetres")
    if units not in ("mm", "in"):
        raise InputError("units", units, "must be mm or in")
    if denominator not in _DENOMINATORS:
        raise InputError("denominator", denominator, "must be 1, 2, 4, 8, 16, 32 or 64")
    return length_text(mm, units, denominator=denominator, mark_inexact=mark_inexact)


def parse_angle(text: str, *, what: str = "angle", signed: bool = False) -> float:
    """The angle `text` names, in degrees: `8`, `8 deg`, `8°`, `7 1/2°`.

    Args:
        text: the angle as typed.
        what: its name, for messages.
        signed: take negative angles too.

    Raises:
        InputError: not an angle in degrees, more than a full turn, or negative and not `signed`.
    """
    fits = "write degrees, such as 8, 8 deg or 8°"
    plain = _plain(text) if isinstance(text, str) and len(text) <= _LONGEST_TEXT else ""
    _refuse_look_alikes(plain, what, text)
    match = re.fullmatch(rf"([-+]?) *({_VALUE}) *(?:deg|degree|degrees|°|º)?", plain)
    if not match:
        raise InputError(what, as_typed(text), "must be an angle in degrees", fits)
    try:
        degrees = _value(match[2])
    except ValueError as wrong:
        raise InputError(what, as_typed(text), "can not be read", str(wrong)) from None
    if degrees > 360:
        raise InputError(what, as_typed(text), "must be at most 360 degrees", fits)
    if match[1] == "-" and degrees and not signed:
        raise InputError(what, as_typed(text), "must be zero degrees or more", fits)
    return float(-degrees if match[1] == "-" else degrees)


def parse_scale(text: str, *, what: str = "scale") -> float:
    """Model size over real size of a reduction: more than 0, at most 1.

    Args:
        text: two numbers with a colon or a slash between (`1:12`, `1/12`, `2:15`, `1:7.5`), or two lengths
            with an equals sign, the model's first (`1" = 1'`, `1/2 in = 1 ft`).
        what: its name, for messages.

    Raises:
        InputError: neither of them, an enlargement, or smaller than 1:1000.

    >>> parse_scale("1:10"), parse_scale("1/12") == parse_scale("1 in = 1 ft")
    (0.1, True)
    """
    plain = _plain(text) if isinstance(text, str) and len(text) <= _LONGEST_TEXT else ""
    if plain.count("=") == 1:
        model, real = (Fraction(parse_length(half, what=what)) for half in plain.split("="))
    else:
        match = _RATIO.fullmatch(plain)
        if not match:
            raise InputError(what, as_typed(text), "must be two numbers and a colon", _SCALES)
        model, real = Fraction(match[1]), Fraction(match[2])
        if min(model, real) <= 0:
            raise InputError(what, as_typed(text), "must be of two numbers above zero", _SCALES)
    if model > real:
        turned = f"; did you mean {real}:{model}?" if "=" not in plain and real.denominator == 1 else ""
        raise InputError(what, as_typed(text), f"would make the model larger than the piece{turned}", _SCALES)
    if 1000 * model < real:
        raise InputError(what, as_typed(text), "must be from 1:1000 to 1:1", _SCALES)
    return float((model / real).limit_denominator(1_000_000))


def parse_count(text: str, *, what: str = "count", allow_zero: bool = False) -> int:
    """The whole number `text` names, from 1 (or 0) to `MAX_COUNT`.

    Raises:
        InputError: not a whole number, or outside the range.
    """
    least = 0 if allow_zero else 1
    allowed = f"must be a whole number from {least} to {MAX_COUNT}"
    match = re.fullmatch(r" *\+?([0-9]{1,12}) *", text) if isinstance(text, str) else None
    if not match:
        raise InputError(what, as_typed(text), allowed)
    count = int(match[1])
    if not least <= count <= MAX_COUNT:
        raise InputError(what, as_typed(text), allowed)
    return count
