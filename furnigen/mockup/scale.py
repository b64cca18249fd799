"""The scale of a mockup, and the usual ones."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from furnigen.quantities import parse_scale

USUAL = (6, 8, 10, 12, 16, 20, 24, 48)
"""Usual denominators of model scales (common practice, no source)."""


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


def read_scale(text: str) -> Scale:
    """The scale that `text` names.

    Errors: InputError, as `furnigen.quantities.parse_scale` raises it.

    >>> read_scale('1/2 in = 1 ft').text, read_scale("1:7.5").text
    ('1:24', '1:7.5')
    """
    ratio = parse_scale(text)
    return Scale(ratio, f"1:{round(1.0 / ratio, 3):g}")


def would_fit(denominator: float, finest: float) -> str:
    """What a refusal says of the largest scale that fits: the whole number, and the next usual scale.

    Args:
        denominator: what fits at 1:this and smaller.
        finest: what prints at 1:this and larger, since below it the nozzle is wider than every part.

    >>> would_fit(10.2, 45.0), would_fit(19.8, 45.0)
    ('1:11 would fit, of the usual scales 1:12', '1:20 would fit')
    >>> would_fit(81.5, 45.0)
    'a larger bed would do; 1:82 fits this one, but the nozzle is wider than every part there'
    """
    n = ceil(denominator)
    if n > finest:
        return f"a larger bed would do; 1:{n} fits this one, but the nozzle is wider than every part there"
    usual = min((u for u in USUAL if n <= u <= finest), default=n)
    return f"1:{n} would fit" + (f", of the usual scales 1:{usual}" if usual != n else "")
