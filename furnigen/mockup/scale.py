"""The scale of a mockup, as makers write it: 1:12, 2:15, 1:7.5, 1" = 1', 1/2 in = 1 ft."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from furnigen.errors import InputError
from furnigen.quantities import as_typed, parse_length

USUAL = (6, 8, 10, 12, 16, 20, 24, 48)
"""Usual denominators of model scales (common practice, no source)."""
_EXAMPLES = """write 1:12, 1" = 1' or 1/2 in = 1 ft"""
_DECIMALS = re.compile(r"\s*([0-9]{1,6}(?:\.[0-9]{1,3})?)\s*:\s*([0-9]{1,6}(?:\.[0-9]{1,3})?)\s*")


@dataclass(frozen=True, slots=True)
class Scale:
    """A reduction.

    Attributes:
        ratio: model size over real size, more than 0, at most 1.
        text: the scale as 1:N, N without needless decimals.
    """

    ratio: float
    text: str

    @property
    def denominator(self) -> float:
        """N of 1:N."""
        return 1.0 / self.ratio


def scale_of(ratio: float) -> Scale:
    """The scale of a ratio.

    >>> scale_of(1 / 12).text
    '1:12'
    """
    return Scale(ratio, f"1:{round(1.0 / ratio, 3):g}")


def read_scale(text: str) -> Scale:
    """The scale that `text` names.

    Args:
        text: two numbers and a colon, or two lengths and an equals sign, the model's first.

    Raises:
        InputError: neither of them, an enlargement, or smaller than 1:1000.

    >>> read_scale('1/2 in = 1 ft').text, read_scale("1:7.5").text
    ('1:24', '1:7.5')
    """
    if text.count("=") == 1:
        model, real = (Fraction(parse_length(half, what="scale")) for half in text.split("="))
    else:
        match = _DECIMALS.fullmatch(text)
        if not match:
            raise InputError("scale", as_typed(text), "must be two numbers and a colon", _EXAMPLES)
        model, real = Fraction(match[1]), Fraction(match[2])
        if min(model, real) == 0:
            raise InputError("scale", as_typed(text), "must be of two numbers above zero", _EXAMPLES)
    if model > real:
        turned = f"; did you mean {real}:{model}?" if ":" in text and real.denominator == 1 else ""
        raise InputError(
            "scale", as_typed(text), f"would make the mockup larger than the piece{turned}", _EXAMPLES
        )
    share = (model / real).limit_denominator(1_000_000)
    if share < Fraction(1, 1000):
        raise InputError("scale", as_typed(text), "must be from 1:1000 to 1:1", _EXAMPLES)
    return scale_of(float(share))


def usual_below(denominator: float) -> int | None:
    """The largest usual denominator that is at most `denominator`: the scale next larger in size."""
    return max((n for n in USUAL if n <= denominator + 1e-9), default=None)


def usual_above(denominator: float) -> int | None:
    """The smallest usual denominator that is at least `denominator`: the scale next smaller in size."""
    return min((n for n in USUAL if n >= denominator - 1e-9), default=None)
