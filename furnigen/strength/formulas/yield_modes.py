"""Fasteners pushed sideways: the modes in which wood crushes and the fastener bends.

Two rules that must not be mixed. That of EN 1995-1-1 8.2.2 gives characteristic values, for fasteners of 6 mm
and more and for nails; from public check scripts (looked up). That of the National Design Specification for
Wood Construction, table 12.3.1, gives allowable values for a load of ten years, for screws and nails of less
than 1/4 in; from public code with the wood council's solved examples (looked up). Units N, mm, N/mm².
"""

from __future__ import annotations

from math import sqrt
from typing import NamedTuple

from furnigen.core.caches import JOINT_RULES, kept
from furnigen.core.errors import InputError

_INCH = 25.4
_PSI = 6.894757293e-3
FE_MPA = 16600 * _PSI
"""Dowel bearing strength of wood of specific gravity G is FE_MPA G^1.84 below 1/4 in (from memory; it gives
both solved examples)."""
_YIELD_PSI = ((0.142, 100000.0), (0.177, 90000.0), (0.236, 80000.0), (0.273, 70000.0))
"""(diameter up to inches, bending yield strength) of nails and screws: NDS appendix I, from memory."""


class SideMember(NamedTuple):
    """One of the two members: length of fastener in it, mm, and what its wood presses back with, N/mm²."""

    length: float
    bearing_mpa: float


def _check(one: SideMember, other: SideMember, diameter: float, strength: float) -> None:
    values = {
        "length of fastener": min(one.length, other.length),
        "strength of wood under it": min(one.bearing_mpa, other.bearing_mpa),
        "diameter": diameter,
        "strength": strength,
    }
    for what, value in values.items():
        if not value > 0:
            raise InputError(f"{what} pushed sideways", f"{value:g}", "must be more than zero")


def yield_moment(tensile_mpa: float, diameter: float) -> float:
    """Characteristic M_y = 0.3 f_u d^2.6 of a steel fastener, N mm (EN 1995-1-1 8.14 and 8.30).

    For a screw d is the effective diameter, 1.1 times its root.

    >>> round(yield_moment(600.0, 3.4))
    4336
    """
    return float(0.3 * tensile_mpa * diameter**2.6)


@kept(JOINT_RULES)
def lateral_characteristic(
    first: SideMember, second: SideMember, diameter: float, moment: float, *, rope_n: float = 0.0
) -> float:
    """Characteristic load sideways on one fastener in single shear, N (EN 1995-1-1 8.6 a to f).

    Args:
        first: the member its head is in.
        second: the member its point is in.
        moment: its yield moment, N mm.
        rope_n: what its pull adds to the modes in which it bends, N: a quarter of its withdrawal, limited by
            its kind (see `with_rope`).

    Raises: InputError for sizes or strengths that are not above zero.
    """
    return min(_johansen(first, second, diameter, moment, rope_n))


def with_rope(
    first: SideMember,
    second: SideMember,
    diameter: float,
    moment: float,
    *,
    withdrawal_n: float,
    share: float,
) -> float:
    """As `lateral_characteristic`, with the rope effect: F_ax / 4, at most `share` of each mode itself.

    Args:
        share: 0.15 for round nails, 1.0 for screws (EN 1995-1-1 8.2.2(2)).
    """
    bare = _johansen(first, second, diameter, moment, 0.0)
    return min([*bare[:2], *(one + min(withdrawal_n / 4, share * one) for one in bare[2:])])


def _johansen(
    first: SideMember, second: SideMember, d: float, moment: float, rope: float
) -> tuple[float, ...]:
    _check(first, second, d, moment)
    (t1, f1), (t2, f2) = first, second
    b, t = f2 / f1, t2 / t1
    return (
        f1 * t1 * d,
        f2 * t2 * d,
        f1 * t1 * d / (1 + b) * (sqrt(b + 2 * b**2 * (1 + t + t**2) + b**3 * t**2) - b * (1 + t)) + rope,
        1.05
        * f1
        * t1
        * d
        / (2 + b)
        * (sqrt(2 * b * (1 + b) + 4 * b * (2 + b) * moment / (f1 * d * t1**2)) - b)
        + rope,
        1.05
        * f1
        * t2
        * d
        / (1 + 2 * b)
        * (sqrt(2 * b**2 * (1 + b) + 4 * b * (1 + 2 * b) * moment / (f1 * d * t2**2)) - b)
        + rope,
        1.15 * sqrt(2 * b / (1 + b)) * sqrt(2 * moment * f1 * d) + rope,
    )


def bearing_allowable_mpa(gravity: float) -> float:
    """Dowel bearing strength of wood under a fastener of less than 1/4 in, N/mm² (NDS table 12.3.3)."""
    return float(FE_MPA * gravity**1.84)


def bending_yield_mpa(diameter: float) -> float:
    """Bending yield strength of a nail or screw by its outer diameter, N/mm² (NDS appendix I, from memory).

    Raises: InputError for one of more than 0.273 in.
    """
    for most, psi in _YIELD_PSI:
        if diameter / _INCH <= most + 1e-9:
            return psi * _PSI
    raise InputError("diameter of a screw", f"{diameter:g} mm", "must be at most 6.9 mm for this rule")


def reduction(diameter: float) -> float:
    """R_d, by which the modes of a fastener of less than 1/4 in are divided (NDS table 12.3.1B).

    >>> reduction(4.0), round(reduction(0.19 * 25.4), 3)
    (2.2, 2.4)
    """
    inches = diameter / _INCH
    return 2.2 if inches <= 0.17 else 10 * inches + 0.5


@kept(JOINT_RULES)
def lateral_allowable(
    side: SideMember,
    main: SideMember,
    diameter: float,
    root: float,
    bending_mpa: float,
    *,
    gap: float = 0.0,
) -> float:
    """Allowable load sideways on one screw or nail in single shear, N, for a load of ten years.

    The modes in the general form of the wood council's report TR12 (from memory), which takes a gap between
    the members, such as the plasterboard before a stud; without one they are those of NDS table 12.3.1A.

    Args:
        side: the member its head is in.
        main: the member its point is in.
        diameter: outer, which R_d goes by.
        root: of the thread, which the modes go by; the diameter again for a nail.
        bending_mpa: its bending yield strength.
        gap: between the members, mm.

    Raises: InputError for sizes or strengths that are not above zero.
    """
    _check(side, main, root, bending_mpa)
    ls, lm = side.length, main.length
    qs, qm = side.bearing_mpa * root, main.bearing_mpa * root
    moment = bending_mpa * root**3 / 6
    modes = (
        qm * lm,
        qs * ls,
        _balanced(0.25 / qs + 0.25 / qm, ls / 2 + gap + lm / 2, qs * ls**2 / 4 + qm * lm**2 / 4),
        _balanced(0.5 / qs + 0.25 / qm, gap + lm / 2, moment + qm * lm**2 / 4),
        _balanced(0.25 / qs + 0.5 / qm, ls / 2 + gap, qs * ls**2 / 4 + moment),
        _balanced(0.5 / qs + 0.5 / qm, gap, 2 * moment),
    )
    return min(modes) / reduction(diameter)


def _balanced(a: float, b: float, c: float) -> float:
    """The positive root of a P² + b P = c."""
    return (sqrt(b * b + 4 * a * c) - b) / (2 * a)
