"""Sag as a range, and how likely it is to stay within its limit.

Sag goes as load / (E t³). Each is taken as lognormal and independent, so the logarithm of the sag is normal
with the variance

    s² = s_E² + s_load² + 9 s_t²,       s_x² = ln(1 + V_x²) for E and t,

V being coefficients of variation. The modulus and the thickness a sag is computed from are means, and the
median of a lognormal lies below its mean by exp(-s²/2). The load is stated by its light and its heavy end,
factors a and b on the design value: they are taken as its 5 and 95 percentiles, which makes its median
sqrt(a b) times the design value, above it where the heavy end is the farther one. Then

    median = computed x sqrt(a b) x exp((s_E² + 3 s_t²) / 2),       s_load = ln(b / a) / (2 x 1.645)

No sampling: quantiles and probability are closed forms. The law is our own choice; strengths and moduli of
wood are never negative and lean to the right, as the lognormal does. Boards of one shelf are taken as one
board: glued staves average out and vary less.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log, sqrt
from statistics import NormalDist

from furnigen.core.errors import InputError

THICKNESS_SPREAD = 0.01
"""Coefficient of variation of a planed or sanded thickness. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class SagSpread:
    """The lognormal law of one sag.

    Attributes:
        median: mm.
        sigma: standard deviation of the logarithm.
    """

    median: float
    sigma: float

    def quantile(self, share: float) -> float:
        """The sag that this share of shelves stays below (mm).

        Raises: InputError for a share outside 0 to 1.
        """
        if not 0 < share < 1:
            raise InputError("share", f"{share:g}", "must be between 0 and 1")
        return self.median * exp(self.sigma * NormalDist().inv_cdf(share))

    def range(self, share: float = 0.9) -> tuple[float, float]:
        """The sags that hold the middle `share` of shelves (mm)."""
        return self.quantile((1 - share) / 2), self.quantile((1 + share) / 2)

    def chance(self, limit: float) -> float:
        """The probability that the sag stays within `limit` (mm)."""
        if limit <= 0 or self.median <= 0:
            return 1.0 if self.median <= 0 < limit else 0.0
        if self.sigma == 0.0:
            return 1.0 if self.median <= limit else 0.0
        return NormalDist().cdf(log(limit / self.median) / self.sigma)


def sag_spread(
    sag: float,
    *,
    moe_spread: float,
    load_ends: tuple[float, float] = (1.0, 1.0),
    thickness_spread: float = THICKNESS_SPREAD,
) -> SagSpread:
    """The law of a sag (mm) computed from the mean modulus and thickness and the design load.

    Args:
        moe_spread, thickness_spread: coefficients of variation.
        load_ends: light and heavy end of the load over its design value, its 5 and 95 percentiles.

    Raises: InputError for a negative sag or spread, or ends that are not 0 < light <= heavy.

    >>> law = sag_spread(2.0, moe_spread=0.22)
    >>> [round(x, 2) for x in law.range()], round(law.chance(2.5), 2)
    ([1.43, 2.94], 0.82)
    """
    if sag < 0:
        raise InputError("sag", f"{sag:g} mm", "must be zero or more")
    light, heavy = load_ends
    if not 0 < light <= heavy:
        raise InputError("ends of a load", f"{light:g} .. {heavy:g}", "must rise from more than zero")
    variances = []
    for what, spread in (("modulus", moe_spread), ("thickness", thickness_spread)):
        if not 0 <= spread < 2:
            raise InputError(f"coefficient of variation of the {what}", f"{spread:g}", "must be from 0 to 2")
        variances.append(log(1 + spread**2))
    e, t = variances
    s_load = log(heavy / light) / (2 * NormalDist().inv_cdf(0.95))
    return SagSpread(sag * sqrt(light * heavy) * exp((e + 3 * t) / 2), sqrt(e + s_load**2 + 9 * t))


def ends_with_fixed_part(ends: tuple[float, float], share: float) -> tuple[float, float]:
    """The ends of a whole of which only a share varies between these ends, and the rest is certain.

    Args:
        ends: light and heavy end of what varies, over its design value.
        share: of the whole that varies, 0 to 1.
    """
    part = min(max(share, 0.0), 1.0)
    return (1 + part * (ends[0] - 1), 1 + part * (ends[1] - 1))
