"""Volumes of round holes in flat-sided wood, in closed form.

A straight hole is bounded at each end by one plane (the wood's face, or the hole's own flat bottom)
that all lines along it cross: then its volume is pi r² times its length on the axis, however askew the
planes are. A hole that grazes an edge has no such form and is refused: no maker drills it either.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

from furnigen.core.pose import Vector, cross, dot, unit
from furnigen.parts.cuts import Bore
from furnigen.parts.volume.polytope import NOTHING, ON_MM, HalfSpace, Moments

PARALLEL = 1e-9
"""Sine of an angle below which two directions are one."""


class GrazesError(ValueError):
    """A hole that breaks out sideways, or runs into another askew."""


@dataclass(frozen=True)
class _End:
    """A plane seen along the hole: distance c + a u + b v from its start, over the disc."""

    c: float
    a: float
    b: float

    def least_over(self, other: _End, r: float) -> float:
        """Smallest value over the disc of radius `r` of this plane's distance less the other's."""
        return self.c - other.c - r * sqrt((self.a - other.a) ** 2 + (self.b - other.b) ** 2)


def _across(d: Vector) -> tuple[Vector, Vector]:
    helper: Vector = (1.0, 0.0, 0.0) if abs(d[0]) < 0.9 else (0.0, 1.0, 0.0)
    u = unit(cross(helper, d))
    return u, cross(d, u)


def bore_moments(bore: Bore, wood: tuple[HalfSpace, ...]) -> Moments:
    """What a hole takes out of a convex body given by its half-spaces.

    Raises: GrazesError where no closed form holds.
    """
    d, start, r = bore.direction, bore.start, bore.diameter / 2
    u, v = _across(d)
    lows, highs = [_End(0.0, 0.0, 0.0)], [_End(bore.depth, 0.0, 0.0)]
    graze = False
    for h in wood:
        nd, nu, nv = dot(h.normal, d), dot(h.normal, u), dot(h.normal, v)
        gap = h.reach - dot(h.normal, start)
        if abs(nd) < PARALLEL:
            if gap <= -r + ON_MM:
                return NOTHING
            graze = graze or gap < r - ON_MM
        else:
            end = _End(gap / nd, -nu / nd, -nv / nd)
            (highs if nd > 0 else lows).append(end)
    if any(low.least_over(high, r) >= -ON_MM for low in lows for high in highs):
        return NOTHING
    low, high = max(lows, key=lambda e: e.c), min(highs, key=lambda e: e.c)
    graze = graze or any(low.least_over(e, r) < -ON_MM for e in lows)
    graze = graze or any(e.least_over(high, r) < -ON_MM for e in highs)
    if graze or high.least_over(low, r) < -ON_MM:
        raise GrazesError
    return _slice(bore, low, high, u, v)


def _slice(bore: Bore, low: _End, high: _End, u: Vector, v: Vector) -> Moments:
    r, d, s = bore.diameter / 2, bore.direction, bore.start
    disc, tilt = pi * r**2, pi * r**4 / 4
    volume = disc * (high.c - low.c)
    along = disc / 2 * (high.c**2 - low.c**2) + tilt / 2 * (high.a**2 + high.b**2 - low.a**2 - low.b**2)
    mu, mv = tilt * (high.a - low.a), tilt * (high.b - low.b)
    m = [volume * s[i] + along * d[i] + mu * u[i] + mv * v[i] for i in range(3)]
    return (volume, m[0], m[1], m[2])


def elliptic(k: float) -> tuple[float, float]:
    """Complete elliptic integrals K and E of modulus `k`, 0 <= k < 1, by the arithmetic-geometric mean.

    Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 17.6 (from memory).

    >>> tuple(round(x, 7) for x in elliptic(0.5))
    (1.6857504, 1.4674622)
    """
    a, b, c = 1.0, sqrt(1 - k * k), k
    total, power = c * c / 2, 0.5
    while abs(c) > 1e-16:
        a, b, c = (a + b) / 2, sqrt(a * b), (a - b) / 2
        power *= 2
        total += power * c * c
    big_k = pi / (2 * a)
    return big_k, big_k * (1 - total)


def crossed_volume(r: float, big: float) -> float:
    """Volume common to two round holes of radii r <= big whose axes cross at a right angle (mm³).

    8 times the integral of sqrt(r² - x²) sqrt(big² - x²) from 0 to r, in elliptic integrals; for equal
    radii Steinmetz' 16 r³ / 3 (Archimedes, The Method). The tests compare it with quadrature.
    """
    if big - r <= 1e-12 * big:
        return 16 * r**3 / 3
    k, e = elliptic(r / big)
    return 8 / 3 * big * ((big**2 + r**2) * e - (big**2 - r**2) * k)


def shared_by(one: Bore, two: Bore) -> Moments:
    """What two holes have in common: nothing, a length of one axis, or a crossing at a right angle.

    Raises: GrazesError for any other meeting.
    """
    if axis_gap(one, two) >= (one.diameter + two.diameter) / 2 - ON_MM or _ends_before(one, two):
        return NOTHING
    d = one.direction
    along = dot(d, two.direction)
    off: Vector = (
        two.start[0] - one.start[0],
        two.start[1] - one.start[1],
        two.start[2] - one.start[2],
    )
    if abs(along) > 1 - PARALLEL:
        return _in_line(one, two, along, off)
    thin, wide = (one, two) if one.diameter <= two.diameter else (two, one)
    s1, s2 = _nearest_lines(thin, wide)
    r, big = thin.diameter / 2, wide.diameter / 2
    p, q = _point(thin, s1), _point(wide, s2)
    centred = dot(_less(p, q), _less(p, q)) < ON_MM**2 and abs(along) < PARALLEL
    whole = big - ON_MM <= s1 <= thin.depth - big + ON_MM and r - ON_MM <= s2 <= wide.depth - r + ON_MM
    if not (centred and whole):
        raise GrazesError
    v = crossed_volume(r, big)
    return (v, v * p[0], v * p[1], v * p[2])


def _ends_before(one: Bore, two: Bore) -> bool:
    """Whether the flat end of either hole parts it from the other."""
    for bore, other in ((one, two), (two, one)):
        d = bore.direction
        lean = dot(d, other.direction)
        reach = other.diameter / 2 * sqrt(max(0.0, 1 - lean * lean))
        ends = [dot(_less(p, bore.start), d) for p in (other.start, other.end)]
        if min(ends) - reach >= bore.depth - ON_MM or max(ends) + reach <= ON_MM:
            return True
    return False


def _in_line(one: Bore, two: Bore, along: float, off: Vector) -> Moments:
    d = one.direction
    s = dot(off, d)
    side = (off[0] - s * d[0], off[1] - s * d[1], off[2] - s * d[2])
    gap = sqrt(dot(side, side))
    far = s + two.depth * (1 if along > 0 else -1)
    a, b = max(0.0, min(s, far)), min(one.depth, max(s, far))
    if b - a <= ON_MM:
        return NOTHING
    r, big = sorted((one.diameter / 2, two.diameter / 2))
    if gap > ON_MM and gap + r > big + ON_MM:
        raise GrazesError
    v = pi * r**2 * (b - a)
    thin = one if one.diameter <= two.diameter else two
    m = _point(one, (a + b) / 2)
    if thin is two:
        m = (m[0] + side[0], m[1] + side[1], m[2] + side[2])
    return (v, v * m[0], v * m[1], v * m[2])


def _point(bore: Bore, s: float) -> Vector:
    a, d = bore.start, bore.direction
    return (a[0] + s * d[0], a[1] + s * d[1], a[2] + s * d[2])


def _less(p: Vector, q: Vector) -> Vector:
    return (p[0] - q[0], p[1] - q[1], p[2] - q[2])


def _nearest_lines(one: Bore, two: Bore) -> tuple[float, float]:
    """Where two lines, not parallel, come nearest: distances along each from its start."""
    w = _less(one.start, two.start)
    b = dot(one.direction, two.direction)
    d, e = dot(one.direction, w), dot(two.direction, w)
    n = 1 - b * b
    return (b * e - d) / n, (e - b * d) / n


def axis_gap(one: Bore, two: Bore) -> float:
    """Smallest distance between the axes of two holes, as far as they are drilled (mm)."""

    def clamp(s: float, bore: Bore) -> float:
        return min(max(s, 0.0), bore.depth)

    def gap(s: float, t: float) -> float:
        w = _less(_point(one, s), _point(two, t))
        return sqrt(dot(w, w))

    def foot(bore: Bore, p: Vector) -> float:
        return clamp(dot(_less(p, bore.start), bore.direction), bore)

    best = []
    if abs(dot(one.direction, two.direction)) < 1 - PARALLEL:
        s, t = _nearest_lines(one, two)
        if 0 <= s <= one.depth and 0 <= t <= two.depth:
            best.append(gap(s, t))
    for s in (0.0, one.depth):
        best.append(gap(s, foot(two, _point(one, s))))
    for t in (0.0, two.depth):
        best.append(gap(foot(one, _point(two, t)), t))
    return min(best)
