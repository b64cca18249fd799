"""Sections of boards: one board, boards glued into one, boards lying loose on each other, rods, plywood.

z is measured upward from any level the caller likes, mm; moduli in N/mm². A section is built of upright
rectangles. Glued, they bend about one neutral axis, weighed by their moduli (the transformed section):

    z0 = sum E A z / sum E A,      EI = sum E (b t³/12 + A (z - z0)²),      stress = E M (z - z0) / EI

The shear stiffness follows from the energy of the shear flow, S(z) being the first moment of E above z:

    1 / kGA = integral of S(z)² / (G b(z)) dz / EI²

which gives the 5/6 of the rectangle. Loose, the boards share the load by their own EI. A strip along one
edge does not carry the other so: boards with strips are plates (`furnigen.strength.formulas.finite_strips`).

Moduli in handbooks were measured in bending without a correction for shear: either use them as they are
and leave shear out, or raise them by TRUE_MODULUS and put shear in; never both corrections.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import pi

from furnigen.core.caches import SECTIONS, kept
from furnigen.core.errors import InputError
from furnigen.core.quantities import SAME_MM

TRUE_MODULUS = 1.10
"""True modulus over the handbook's, measured at span / depth 14: note to its Table 5-3, from memory."""
SHEAR_MODULUS_SHARE = 1 / 16
"""G over E along the grain where G is not known: Wood Handbook FPL-GTR-282 ch. 9 (looked up)."""


@dataclass(frozen=True, slots=True)
class Strip:
    """One rectangle of a section.

    Attributes:
        width: level size, mm.
        thickness: upright size, mm.
        moe: modulus along the span, N/mm².
        low: level of its underside, mm.
        shear_modulus: N/mm²; moe / 16 where not given.
    """

    width: float
    thickness: float
    moe: float
    low: float = 0.0
    shear_modulus: float | None = None

    def __post_init__(self) -> None:
        for what in ("width", "thickness", "moe"):
            if not getattr(self, what) > 0:
                raise InputError(f"{what} of a section", f"{getattr(self, what):g}", "must be more than zero")
        if self.shear_modulus is not None and not self.shear_modulus > 0:
            raise InputError("shear modulus", f"{self.shear_modulus:g}", "must be more than zero")

    @property
    def area(self) -> float:
        """mm²."""
        return self.width * self.thickness

    @property
    def middle(self) -> float:
        """Level of its centroid (mm)."""
        return self.low + self.thickness / 2

    @property
    def own_bending(self) -> float:
        """EI about its own middle (N mm²)."""
        return self.moe * self.width * self.thickness**3 / 12

    @property
    def g(self) -> float:
        """Shear modulus, assumed where not given (N/mm²)."""
        return self.shear_modulus if self.shear_modulus is not None else self.moe * SHEAR_MODULUS_SHARE


@dataclass(frozen=True)
class Section:
    """What a beam needs of its section.

    Attributes:
        bending: EI, N mm², of the moduli as given.
        shear: kGA, N.
        area: mm².
        neutral: level of the neutral axis, mm; of a loose pile, that of its largest EI.
        strips: what it is made of; empty for a rod.
        glued: whether the strips bend as one.
    """

    bending: float
    shear: float
    area: float
    neutral: float
    strips: tuple[Strip, ...]
    glued: bool = True
    _round: tuple[float, float] = (0.0, 0.0)  # diameter and modulus of a rod

    def stresses(self, moment: float) -> tuple[float, ...]:
        """Largest bending stress in each strip under a moment (N mm) either way, N/mm²; one for a rod."""
        m = abs(moment)
        if not self.strips:
            diameter, moe = self._round
            return (moe * m * diameter / 2 / self.bending,)
        far = []
        for s in self.strips:
            axis = self.neutral if self.glued else s.middle
            reach = max(abs(s.low - axis), abs(s.low + s.thickness - axis))
            far.append(s.moe * m * reach / self.bending)
        return tuple(far)

    def for_beam(self, *, with_shear: bool, raised: bool = True) -> tuple[float, float]:
        """EI and kGA to bend it with: (EI, inf), or with the shear deflection apart (1.1 EI, kGA).

        Args:
            with_shear: whether the shear deflection comes on top.
            raised: whether the moduli hold the shear of a test beam and are raised by 1.1 first (see the
                module docstring); else they are free of it.
        """
        if not with_shear:
            return self.bending, float("inf")
        return self.bending * (TRUE_MODULUS if raised else 1.0), self.shear


def _glued_shear(strips: Sequence[Strip], neutral: float, bending: float) -> float:
    """kGA by the energy of the shear flow, exact for rectangles (three-point Gauss on quartics)."""
    levels = sorted({z for s in strips for z in (s.low, s.low + s.thickness)})
    flexibility = 0.0
    nodes = ((-(0.6**0.5), 5 / 18), (0.0, 4 / 9), (0.6**0.5, 5 / 18))
    for low, high in pairwise(levels):
        if high - low < SAME_MM:
            continue
        across = [s for s in strips if s.low <= low and s.low + s.thickness >= high]
        if not across:
            raise InputError("sections", f"a gap of {high - low:g} mm", "glued boards must touch")
        web = sum(s.g * s.width for s in across)
        for at, weight in nodes:
            z = (low + high) / 2 + at * (high - low) / 2
            above = 0.0
            for s in strips:
                bottom, top = max(s.low, z), s.low + s.thickness
                if top > bottom:
                    above += s.moe * s.width * (top - bottom) * ((top + bottom) / 2 - neutral)
            flexibility += weight * (high - low) * above**2 / web
    return bending**2 / flexibility


def glued_section(strips: Sequence[Strip]) -> Section:
    """Boards glued into one, such as a shelf with a stiffener along its edge or a rail below.

    Raises: InputError for none, or where a gap parts them.

    >>> shelf = Strip(300.0, 18.0, 10048.0, low=22.0)
    >>> lipping = Strip(20.0, 40.0, 12000.0)
    >>> round(glued_section([shelf, lipping]).bending / shelf.own_bending, 2)
    2.55
    """
    if not strips:
        raise InputError("sections", "none", "at least one board is needed")
    ea = sum(s.moe * s.area for s in strips)
    neutral = sum(s.moe * s.area * s.middle for s in strips) / ea
    bending = sum(s.own_bending + s.moe * s.area * (s.middle - neutral) ** 2 for s in strips)
    return Section(
        bending=bending,
        shear=_glued_shear(strips, neutral, bending),
        area=sum(s.area for s in strips),
        neutral=neutral,
        strips=tuple(strips),
    )


def loose_section(strips: Sequence[Strip]) -> Section:
    """Boards that lie on each other without glue, or with a few screws: each bends about its own middle.

    Raises: InputError for none.
    """
    if not strips:
        raise InputError("sections", "none", "at least one board is needed")
    own = [glued_section([s]) for s in strips]
    stiffest = max(own, key=lambda s: s.bending)
    return Section(
        bending=sum(s.bending for s in own),
        shear=sum(s.shear for s in own),
        area=sum(s.area for s in own),
        neutral=stiffest.neutral,
        strips=tuple(strips),
        glued=False,
    )


@kept(SECTIONS)
def rectangular_section(
    width: float, thickness: float, moe: float, shear_modulus: float | None = None
) -> Section:
    """One board (mm, N/mm²): I = b t³/12, shear area 5/6 b t (Wood Handbook Eq. 9-3 and 9-4)."""
    return glued_section([Strip(width, thickness, moe, shear_modulus=shear_modulus)])


def round_section(diameter: float, moe: float, shear_modulus: float | None = None) -> Section:
    """A round rod (mm, N/mm²): I = pi d⁴/64, shear area 9/40 pi d² (Wood Handbook Eq. 9-3 and 9-4).

    Raises: InputError for no diameter or modulus.
    """
    for what, value in (("diameter", diameter), ("moe", moe)):
        if not value > 0:
            raise InputError(f"{what} of a rod", f"{value:g}", "must be more than zero")
    g = shear_modulus if shear_modulus is not None else moe * SHEAR_MODULUS_SHARE
    return Section(
        bending=moe * pi * diameter**4 / 64,
        shear=g * 9 / 40 * pi * diameter**2,
        area=pi * diameter**2 / 4,
        neutral=diameter / 2,
        strips=(),
        _round=(diameter, moe),
    )


def plywood_moduli(plies: Sequence[float], veneer_moe: float, across_moe: float = 0.0) -> tuple[float, float]:
    """Bending moduli of plywood along and across its face grain, N/mm².

    Each modulus is that of the veneer weighed by the I of the plies that run its way; crossed plies count
    with `across_moe`, which the makers of birch plywood take as nothing.

    Args:
        plies: thickness of each ply from the face down, mm; the grain turns by a right angle each time.
        veneer_moe: modulus of the veneer along its grain, N/mm².
        across_moe: modulus of the veneer across its grain, N/mm².

    Raises: InputError for no plies or a ply without thickness.

    >>> thirteen = [1.1, *[1.4] * 11, 1.1]
    >>> [round(e) for e in plywood_moduli(thirteen, 17500.0)]
    [10048, 7452]
    """
    if not plies or min(plies) <= 0:
        raise InputError("plies", list(plies), "must each have a thickness above zero")
    whole = sum(plies)
    own = [0.0, 0.0]
    z = -whole / 2
    for i, t in enumerate(plies):
        own[i % 2] += ((z + t) ** 3 - z**3) / 3
        z += t
    total = whole**3 / 12
    along = (veneer_moe * own[0] + across_moe * own[1]) / total
    return along, (veneer_moe * own[1] + across_moe * own[0]) / total
