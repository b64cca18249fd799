"""Lengths within sentences, shown in the units that are asked for when the sentence is read.

Who writes a message puts a length into it with `in_words`; `worded` makes the text a `Words`: a `str` that
reads in millimetres, as reports do, and that `shown` gives in inches. `Finding` and `InputError` do so with
all of their texts. A text without such lengths stays as it is.
"""

from __future__ import annotations

import re
from math import isfinite

from furnigen.core.length_text import MM_PER_INCH, SAME_MM, length_text

_OPEN, _CLOSE = "\ue000", "\ue001"  # private use: in no text that people type
_MARK = re.compile(f"{_OPEN}([^|]*)\\|([0-9gt])\\|([^{_CLOSE}]*){_CLOSE}")
SMALL_MM = MM_PER_INCH / 4
"""Below this a length that is no fraction of an inch is given in decimals: a sag of 0.6 mm is not 1/32"."""


def in_words(*mm: float, digits: int | None = 1, between: str = " x ") -> str:
    """One or more lengths for a sentence that `worded` reads.

    Args:
        mm: the lengths, mm.
        digits: decimals in millimetres; as few as show it where None.
        between: what joins several lengths, of which the last alone carries the unit mm.

    >>> str(worded(f"a batten of {in_words(20, 45, digits=0)}"))
    'a batten of 20 x 45 mm'
    """
    values = ";".join(repr(round(float(one), 9)) for one in mm)
    return f"{_OPEN}{values}|{'g' if digits is None else digits}|{between}{_CLOSE}"


def as_given(*mm: float, between: str = " x ") -> str:
    """`in_words` for lengths that someone chose: as few decimals as show them.

    >>> str(worded(f"a shelf {as_given(20.4)} thick"))
    'a shelf 20.4 mm thick'
    """
    return in_words(*mm, digits=None, between=between)


def as_a_value(mm: float) -> str:
    """A length as a parameter's value is typed, within a sentence: `920`, and `920mm` among inches."""
    return f"{_OPEN}{round(float(mm), 9)!r}|t|{_CLOSE}"


class Words(str):
    """A text that reads in millimetres and knows its lengths."""

    __slots__ = ("marked",)
    marked: str

    def __new__(cls, marked: str) -> Words:
        """From a text with marked lengths."""
        made = super().__new__(cls, _filled(marked, "mm"))
        made.marked = marked
        return made

    def __reduce__(self) -> tuple[type[Words], tuple[str]]:
        return Words, (self.marked,)


def worded(text: str) -> str:
    """A text with the lengths that `in_words` put into it."""
    return Words(text) if _OPEN in text else text


def marked(text: str) -> str:
    """A text to be put into another one with its lengths.

    >>> inner = worded(f"span of {in_words(571.5)}")
    >>> shown(worded(f"too long: {marked(inner)}"), "in")
    'too long: span of 1\\'-10 1/2"'
    """
    return text.marked if isinstance(text, Words) else text


def shown(text: str, units: str) -> str:
    """A text with its lengths in `units`, "mm" or "in"."""
    return _filled(text.marked, units) if isinstance(text, Words) else text


def length_shown(mm: float, units: str, digits: int | None = 1) -> str:
    """A length that was found or reckoned, with its unit: `571.5 mm`, `~1'-10 1/2"`, `0.025 in`."""
    if units == "mm" or not isfinite(mm):
        if digits == 1 and isfinite(mm):
            return length_text(mm, units)
        return f"{mm:g} mm" if digits is None else f"{mm:.{digits}f} mm"
    text = length_text(mm, units, mark_inexact=True)
    if text.startswith("~") and SAME_MM < abs(mm) < SMALL_MM:
        inches = mm / MM_PER_INCH
        return f"{inches:.3f} in" if abs(inches) >= 0.01 else f"{inches:.2g} in"
    return text


def _filled(text: str, units: str) -> str:
    return _MARK.sub(lambda found: _lengths(found, units), text)


def _lengths(found: re.Match[str], units: str) -> str:
    if found[2] == "t":
        return f"{float(found[1]):.10g}{'' if units == 'mm' else 'mm'}"
    digits = None if found[2] == "g" else int(found[2])
    each = [length_shown(float(one), units, digits) for one in found[1].split(";")]
    if units == "mm":
        each[:-1] = [one.removesuffix(" mm") for one in each[:-1]]
    return found[3].join(each)
