"""The scale of a mockup, and the usual ones."""

from __future__ import annotations

from dataclasses import dataclass, replace

from furnigen.core.quantities import parse_scale

USUAL_SCALES = (6, 8, 10, 12, 16, 20, 24, 48)
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


def one_to(denominator: float) -> Scale:
    """The scale 1:N."""
    return Scale(1.0 / denominator, f"1:{round(denominator, 3):g}")


def read_scale(text: str) -> Scale:
    """The scale that `text` names.

    Raises: InputError, as `furnigen.core.quantities.parse_scale` raises it.

    >>> read_scale('1/2 in = 1 ft').text, read_scale("1:7.5").text
    ('1:24', '1:7.5')
    """
    ratio = parse_scale(text)
    return replace(one_to(1.0 / ratio), ratio=ratio)


def would_fit(denominator: int | None) -> str:
    """What a refusal says of a scale that fits the bed: 1:N, and the next usual one; None when none prints.

    >>> would_fit(11), would_fit(20)
    ('1:11 would fit, of the usual scales 1:12', '1:20 would fit')
    """
    if denominator is None:
        return "a larger bed would do; at every scale that fits this one the nozzle is wider than every part"
    usual = min((u for u in USUAL_SCALES if u >= denominator), default=denominator)
    also = f", of the usual scales 1:{usual}" if usual != denominator else ""
    return f"1:{denominator} would fit{also}"
