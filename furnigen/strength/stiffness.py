"""Many straight beams at once on any supports, by the stiffness method; numpy arrays in and out.

A beam of bending stiffness EI and shear stiffness S = kGA lies along x, deflection v counted downward.
M is the bending moment, positive when it sags, V = dM/dx the shear force, p the downward load,
t the turn of the sections (clockwise, so that v falls toward +x):

    dV/dx = -p,   dM/dx = V,   EI dt/dx = -M,   dv/dx = t + V / S        (Timoshenko; S = inf: Euler)

How far each support sinks is given, so the only unknowns are the turns t at the supports; where the
right one of two supports sinks by d more than the left, turns count from the line between them, t - d/L.
Between two supports a distance L apart the end moments m (clockwise on the member, so M = m at its left
and M = -m at its right end) follow from the turns, with f = 12 EI / (S L²):

    m_left  = k (4 + f) t_left + k (2 - f) t_right + held-end moment,    k = EI / (L (1 + f))
    m_right = k (2 - f) t_left + k (4 + f) t_right + held-end moment

The held-end moments of any load are minus the same matrix times the end turns of a simple span under
that load, and those turns are integrals of the load that need no mesh:

    t_left = (V_left L²/6 - F3/L) / EI,   t_right = t_left - (V_left L²/2 - F2) / EI,   V_left = F1 / L,

F0 .. F3 being the load left of a place, its moment about that place, and that moment integrated once
and twice. Moments at each support balance with those of the overhangs, known from statics, and with the
stiffness of the support against turning. That is a tridiagonal system, strictly dominant by its
diagonal, solved for all beams at once. Places where something starts or ends cut the beam into
stretches on which v is a quartic whose extremes are found by Newton's method from the best of a few samples.

The slope-deflection equations are A. Bendixen's (1914) and G. A. Maney's (1915), with the shear term
of S. P. Timoshenko (1921); from memory, derived again above.

A beam may be softer where it passes over a support (a board whose edge strip stops at the upright on either
side): its ends then turn against the support by s times their moment. The matrix of a member becomes the
inverse of (its own inverse + diag(s_left, s_right)), and its end turns by t - s m.

Here every support acts both ways; `furnigen.strength.lifting` lets those that only push drop out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

SAMPLES = 8
"""Steps on each stretch from which the search for an extreme starts; a quartic has three at most."""
NEWTON_ROUNDS = 5


@dataclass(frozen=True)
class BeamArrays:
    """B beams, padded to S supports, P spread loads, Q point loads.

    Attributes:
        length: (B,) mm.
        bending: (B,) EI, N mm².
        shear: (B,) kGA, N; inf leaves shear out.
        supports: (B, S) places, mm, rising; NaN after the last.
        turning: (B, S) stiffness against turning, N mm per radian; 0 turns freely, inf is clamped.
        pulls: (B, S) whether the support can hold the beam down.
        sunk: (B, S) how far the support has sunk, mm.
        neck: (B, S) turn of either side against the support for a moment over it, radian per N mm.
        spread: (B, P, 3) start, end (mm) and load (N/mm); zeros where absent.
        points: (B, Q, 2) place (mm) and load (N); zeros where absent.
    """

    length: Array
    bending: Array
    shear: Array
    supports: Array
    turning: Array
    pulls: Mask
    sunk: Array
    neck: Array
    spread: Array
    points: Array

    def rows(self, chosen: NDArray[np.intp]) -> BeamArrays:
        """The beams with these indices."""
        return BeamArrays(**{name: value[chosen] for name, value in vars(self).items()})


@dataclass(frozen=True)
class BentArrays:
    """What B beams do; NaN throughout for a beam that falls.

    Segments are the left overhang, the S - 1 spans, ..., the right overhang after the last support: index
    i of (B, S + 1) starts at support i - 1. NaN where a beam has no such segment.

    Attributes:
        stands: (B,) whether the supports hold the beam at all.
        touching: (B, S) whether the support is pressed or holds; the others are lifted off.
        turn: (B, S) turn of the beam at each support, radians, clockwise.
        reaction: (B, S) upward force of each support, N; 0 where lifted.
        held: (B, S) moment by which a support resists turning, N mm, clockwise turn positive.
        start, end: (B, S + 1) of each segment, mm.
        down, down_at: (B, S + 1) largest downward deflection and its place, mm.
        up, up_at: (B, S + 1) largest upward deflection (as a positive number) and its place, mm.
        moment_most, moment_most_at, moment_least, moment_least_at: (B,) N mm and mm.
        shear_most, shear_most_at: (B,) the largest shear force either way, N and mm.
        places, deflection: (B, G) the deflected line, mm, places rising.
    """

    stands: Mask
    touching: Mask
    turn: Array
    reaction: Array
    held: Array
    start: Array
    end: Array
    down: Array
    down_at: Array
    up: Array
    up_at: Array
    moment_most: Array
    moment_most_at: Array
    moment_least: Array
    moment_least_at: Array
    shear_most: Array
    shear_most_at: Array
    places: Array
    deflection: Array


def load_sums(beams: BeamArrays, x: Array) -> tuple[Array, Array, Array, Array]:
    """F0 .. F3 at places x (B, N): see the module docstring. A point load at x counts in F0."""
    dx = x[:, :, None]
    start, end, p = (beams.spread[:, None, :, i] for i in range(3))
    place, force = (beams.points[:, None, :, i] for i in range(2))
    a, b, c = np.maximum(dx - start, 0), np.maximum(dx - end, 0), np.maximum(dx - place, 0)
    f0 = (p * (a - b)).sum(2) + (force * (dx >= place)).sum(2)
    f1 = (p * (a**2 - b**2)).sum(2) / 2 + (force * c).sum(2)
    f2 = (p * (a**3 - b**3)).sum(2) / 6 + (force * c**2).sum(2) / 2
    f3 = (p * (a**4 - b**4)).sum(2) / 24 + (force * c**3).sum(2) / 6
    return f0, f1, f2, f3


def _beyond(sums: tuple[Array, ...], h: Array) -> tuple[Array, Array, Array]:
    """What turns F1, F2, F3 at a place h beyond another into those of the load between the two alone."""
    f0, f1, f2, f3 = sums
    return (
        f1 + f0 * h,
        f2 + f1 * h + f0 * h**2 / 2,
        f3 + f2 * h + f1 * h**2 / 2 + f0 * h**3 / 6,
    )


def _solve_tridiagonal(diagonal: Array, off: Array, right: Array) -> Array:
    """Turns of symmetric tridiagonal systems, all beams at once (Thomas' elimination)."""
    d, r = diagonal.copy(), right.copy()
    last = d.shape[1] - 1
    for i in range(last):
        ratio = off[:, i] / d[:, i]
        d[:, i + 1] -= ratio * off[:, i]
        r[:, i + 1] -= ratio * r[:, i]
    x = np.empty_like(r)
    x[:, last] = r[:, last] / d[:, last]
    for i in range(last - 1, -1, -1):
        x[:, i] = (r[:, i] - off[:, i] * x[:, i + 1]) / d[:, i]
    return x


def _with_necks(near: Array, far: Array, neck: Array) -> tuple[Array, Array, Array]:
    """The matrix of members, (left, off the diagonal, right), whose ends turn against their supports."""
    soft_left, soft_right = neck[:, :-1], neck[:, 1:]
    if not neck.any():
        return near, far, near
    own = near**2 - far**2
    own_near, own_far = near / own, far / own
    left, right = own_near + soft_left, own_near + soft_right
    whole = left * right - own_far**2
    return right / whole, own_far / whole, left / whole


@dataclass(frozen=True)
class Ends:
    """State at the supports of beams whose supports all act: arrays over the packed supports."""

    valid: Mask
    count: NDArray[np.intp]
    at: Array  # padded with the last support
    sunk: Array
    sums: tuple[Array, Array, Array, Array]
    turn: Array
    right: Array  # turn just right of the support
    moment: Array  # just right of the support
    shear: Array  # just right of the support and of any load on it
    reaction: Array
    held: Array


def at_supports(beams: BeamArrays) -> Ends:
    """Turns, moments and reactions where all supports act both ways."""
    valid = ~np.isnan(beams.supports)
    count = valid.sum(1)
    last = np.maximum(count - 1, 0)[:, None]
    at = np.where(valid, beams.supports, np.take_along_axis(np.nan_to_num(beams.supports), last, 1))
    sums = load_sums(beams, at)
    f0, f1 = sums[:2]
    ei, ga = beams.bending[:, None], beams.shear[:, None]

    span = np.diff(at, axis=1)
    real = valid[:, 1:]
    length = np.where(real, span, 1.0)
    to_left = _beyond(tuple(s[:, :-1] for s in sums), span)
    g1, g2, g3 = (s[:, 1:] - t for s, t in zip(sums[1:], to_left, strict=True))
    v_simple = g1 / length
    t_left = (v_simple * length**2 / 6 - g3 / length) / ei
    t_right = t_left - (v_simple * length**2 / 2 - g2) / ei
    f = 12 * ei / (ga * length**2)
    k = ei / (length * (1 + f))
    left_end, far, right_end = (
        np.where(real, one, 0.0) for one in _with_necks(k * (4 + f), k * (2 - f), beams.neck)
    )
    sunk = np.where(valid, beams.sunk, np.take_along_axis(beams.sunk, last, 1))
    tilt = np.diff(sunk, axis=1) / length
    t_left, t_right = t_left + tilt, t_right + tilt
    held_left, held_right = -(left_end * t_left + far * t_right), -(far * t_left + right_end * t_right)

    whole = (beams.spread[:, :, 2] * (beams.spread[:, :, 1] - beams.spread[:, :, 0])).sum(1)
    whole = whole + beams.points[:, :, 1].sum(1)
    middle = beams.spread[:, :, :2].mean(2)
    about_0 = (beams.spread[:, :, 2] * (beams.spread[:, :, 1] - beams.spread[:, :, 0]) * middle).sum(1)
    about_0 = about_0 + (beams.points[:, :, 1] * beams.points[:, :, 0]).sum(1)
    right_of_last = np.take_along_axis(about_0[:, None] - whole[:, None] * at + f1, last, 1)[:, 0]

    diagonal = np.where(np.isinf(beams.turning) | ~valid, 0.0, beams.turning)
    right = np.zeros_like(at)
    diagonal[:, :-1] += left_end
    diagonal[:, 1:] += right_end
    right[:, :-1] -= held_left
    right[:, 1:] -= held_right
    right[:, 0] -= f1[:, 0]
    np.put_along_axis(right, last, np.take_along_axis(right, last, 1) + right_of_last[:, None], 1)
    still = np.isinf(beams.turning) | ~valid
    still |= diagonal == 0.0  # one support that turns freely: the caller has found it falls
    diagonal[still], right[still] = 1.0, 0.0
    off = np.where(still[:, :-1] | still[:, 1:], 0.0, far)
    turn = _solve_tridiagonal(diagonal, off, right)

    m_left = left_end * turn[:, :-1] + far * turn[:, 1:] + held_left
    m_right = far * turn[:, :-1] + right_end * turn[:, 1:] + held_right
    right_turn = turn.copy()
    right_turn[:, :-1] -= beams.neck[:, :-1] * m_left
    moment = np.zeros_like(at)
    moment[:, :-1] = m_left
    # moment just left of each support: that of the left overhang, then of each span's right end
    before = np.concatenate([-f1[:, :1], -m_right], axis=1)
    is_last = np.arange(at.shape[1]) >= last
    moment = np.where(is_last, -right_of_last[:, None], moment)
    shear = whole[:, None] - f0  # right of the last support
    shear[:, :-1] = np.where(real, (-m_right - m_left + g1) / length, shear[:, :-1])
    left_shear = np.concatenate([np.zeros_like(f0[:, :1]), shear[:, :-1]], axis=1)
    left_load = np.concatenate([f0[:, :1], np.diff(f0, axis=1)], axis=1)
    reaction = np.where(valid, shear - (left_shear - left_load), 0.0)
    held = np.where(valid, before - moment, 0.0)
    return Ends(valid, count, at, sunk, sums, turn, right_turn, moment, shear, reaction, held)


@dataclass(frozen=True)
class _Stretches:
    """The N - 1 stretches of each beam between places where something starts or ends."""

    place: Array  # (B, N - 1) left end
    size: Array
    segment: NDArray[np.intp]
    deflection: Array
    turn: Array
    moment: Array
    shear: Array
    load: Array

    def line(self, u: Array, ei: Array, ga: Array) -> tuple[Array, Array, Array]:
        """Deflection at u from the left end, and its first two derivatives."""
        m, v, p = self.moment, self.shear, self.load
        y = self.deflection + self.turn * u - (m * u**2 / 2 + v * u**3 / 6 - p * u**4 / 24) / ei
        y = y + (v * u - p * u**2 / 2) / ga
        dy = self.turn - (m * u + v * u**2 / 2 - p * u**3 / 6) / ei + (v - p * u) / ga
        ddy = -(m + v * u - p * u**2 / 2) / ei - p / ga
        return y, dy, ddy


def state_at(beams: BeamArrays, ends: Ends, x: Array) -> tuple[NDArray[np.intp], Array, Array, Array, Array]:
    """Segment, deflection, turn, moment and shear force just right of places x (B, N)."""
    segment = ((ends.at[:, None, :] <= x[:, :, None]) & ends.valid[:, None, :]).sum(2)
    ei, ga = beams.bending[:, None], beams.shear[:, None]

    def from_segment(overhang: Array, supports: Array) -> Array:
        return np.take_along_axis(np.concatenate([overhang, supports], axis=1), segment, 1)

    f0, f1 = ends.sums[:2]
    turn = from_segment(ends.turn[:, :1], ends.right)
    moment = from_segment(-f1[:, :1], ends.moment)
    shear = from_segment(-f0[:, :1], ends.shear)
    base = tuple(from_segment(s[:, :1], s) for s in ends.sums)
    sums = load_sums(beams, x)
    h = x - from_segment(ends.at[:, :1], ends.at)
    g1, g2, g3 = (s - t for s, t in zip(sums[1:], _beyond(base, h), strict=True))
    here = moment + shear * h - g1
    y = from_segment(ends.sunk[:, :1], ends.sunk) + turn * h + (here - moment) / ga
    y = y - (moment * h**2 / 2 + shear * h**3 / 6 - g3) / ei
    turned = turn - (moment * h + shear * h**2 / 2 - g2) / ei
    return segment, y, turned, here, shear - (sums[0] - base[0])


def _stretches(beams: BeamArrays, ends: Ends) -> _Stretches:
    whole = np.stack([np.zeros_like(beams.length), beams.length], axis=1)
    spread = beams.spread[:, :, :2].reshape(len(whole), -1)
    cuts = np.concatenate([whole, ends.at, spread, beams.points[:, :, 0]], axis=1)
    cuts.sort(axis=1)
    x, size = cuts[:, :-1], np.diff(cuts, axis=1)
    segment, y, turn, moment, shear = state_at(beams, ends, x)
    middle = (x + size / 2)[:, :, None]
    start, end, p = (beams.spread[:, None, :, i] for i in range(3))
    load = (p * ((start < middle) & (middle < end))).sum(2)
    return _Stretches(x, size, segment, y, turn, moment, shear, load)


def _extreme(
    s: _Stretches, ei: Array, ga: Array, sampled: Array, u: Array, sign: float
) -> tuple[Array, Array]:
    """Largest `sign` x deflection of each stretch and its distance from the left end."""
    best = np.argmax(sign * sampled, axis=2)[:, :, None]
    at = np.take_along_axis(u, best, 2)[:, :, 0]
    value = sign * np.take_along_axis(sampled, best, 2)[:, :, 0]
    step = s.size / SAMPLES
    low, high = np.maximum(at - step, 0.0), np.minimum(at + step, s.size)
    near = at
    for _ in range(NEWTON_ROUNDS):
        _, slope, curve = s.line(near, ei, ga)
        with np.errstate(over="ignore"):  # a step too long for a number is cut short below
            move = np.divide(slope, curve, out=np.zeros_like(slope), where=curve != 0.0)
        near = np.clip(near - move, low, high)
    better = sign * s.line(near, ei, ga)[0]
    return np.maximum(better, value) + 0.0, np.where(better > value, near, at) + s.place


def _moments(s: _Stretches) -> tuple[Array, Array, Array, Array]:
    """Largest and smallest moment of each beam with their places: at cuts, or where the shear is nil."""
    end = s.moment + s.shear * s.size - s.load * s.size**2 / 2
    with np.errstate(over="ignore"):  # cut to the stretch below
        nil = np.divide(s.shear, s.load, out=np.zeros_like(s.shear), where=s.load != 0.0)
    nil = np.clip(nil, 0.0, s.size)
    inside = s.moment + s.shear * nil - s.load * nil**2 / 2
    value = np.concatenate([s.moment, end, inside], axis=1)
    place = np.concatenate([s.place, s.place + s.size, s.place + nil], axis=1)
    most, least = value.argmax(1)[:, None], value.argmin(1)[:, None]
    return (
        np.take_along_axis(value, most, 1)[:, 0],
        np.take_along_axis(place, most, 1)[:, 0],
        np.take_along_axis(value, least, 1)[:, 0],
        np.take_along_axis(place, least, 1)[:, 0],
    )


def _shears(s: _Stretches) -> tuple[Array, Array]:
    value = np.concatenate([s.shear, s.shear - s.load * s.size], axis=1)
    place = np.concatenate([s.place, s.place + s.size], axis=1)
    value = np.where(np.concatenate([s.size, s.size], axis=1) > 0.0, np.abs(value), 0.0)
    most = value.argmax(1)[:, None]
    return np.take_along_axis(value, most, 1)[:, 0], np.take_along_axis(place, most, 1)[:, 0]


def bent(beams: BeamArrays, ends: Ends, stands: Mask) -> BentArrays:
    """Deflection, moment and shear along the beams, given the state at their supports."""
    s = _stretches(beams, ends)
    ei, ga = beams.bending[:, None], beams.shear[:, None]
    u = s.size[:, :, None] * (np.arange(SAMPLES + 1) / SAMPLES)
    wide = _Stretches(
        **{n: v[:, :, None] for n, v in vars(s).items() if n != "segment"},
        segment=s.segment,
    )
    sampled = wide.line(u, ei[:, :, None], ga[:, :, None])[0]
    down, down_at = _extreme(s, ei, ga, sampled, u, 1.0)
    up, up_at = _extreme(s, ei, ga, sampled, u, -1.0)

    rows, supports = ends.at.shape
    nan = np.full((rows, supports + 1), np.nan)
    start, end, most, most_at, rise, rise_at = (nan.copy() for _ in range(6))
    padded_end = np.concatenate([ends.at[:, :1], ends.at[:, 1:], beams.length[:, None]], axis=1)
    every = np.arange(rows)
    for i in range(supports + 1):
        mine = (s.segment == i) & (s.size > 0.0)
        has = mine.any(1) & stands
        start[has, i] = ends.at[has, i - 1] if i else 0.0
        last_one = ends.count == i
        end[has, i] = np.where(last_one, beams.length, padded_end[:, i])[has]
        for source, source_at, target, target_at in (
            (down, down_at, most, most_at),
            (up, up_at, rise, rise_at),
        ):
            best = np.where(mine, source, -np.inf).argmax(1)
            target[has, i] = source[every, best][has]
            target_at[has, i] = source_at[every, best][has]

    def known(value: Array) -> Array:
        return np.where(stands.reshape((-1,) + (1,) * (value.ndim - 1)), value, np.nan)

    m_most, m_most_at, m_least, m_least_at = _moments(s)
    shear_most, shear_most_at = _shears(s)
    line = (rows, -1)
    return BentArrays(
        stands=stands,
        touching=ends.valid,
        turn=known(ends.turn),
        reaction=known(ends.reaction),
        held=known(ends.held),
        start=start,
        end=end,
        down=most,
        down_at=most_at,
        up=rise,
        up_at=rise_at,
        moment_most=known(m_most),
        moment_most_at=known(m_most_at),
        moment_least=known(m_least),
        moment_least_at=known(m_least_at),
        shear_most=known(shear_most),
        shear_most_at=known(shear_most_at),
        places=(s.place[:, :, None] + u).reshape(line),
        deflection=known(sampled.reshape(line)),
    )
