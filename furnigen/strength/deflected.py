"""Deflection, moment and shear along many beams at once, given the state at their supports.

Places where something starts or ends cut a beam into stretches on which the deflection is a quartic, whose
extremes are found by Newton's method from the best of a few samples. Signs and symbols are those of
`furnigen.strength.stiffness`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from furnigen.strength.stiffness import Array, BeamArrays, Ends, Mask, beyond, load_sums

SAMPLES = 8
"""Steps on each stretch from which the search for an extreme starts; a quartic has three at most."""
NEWTON_ROUNDS = 5


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

    def line(self, u: Array, ei: Array, ga: Array) -> Array:
        """Deflection at u from the left end."""
        v, pu = self.shear, self.load * u
        bending = u * (self.moment / 2 + u * (v - pu / 4) / 6) / ei
        return self.deflection + u * (self.turn - bending + (v - pu / 2) / ga)

    def slope(self, u: Array, ei: Array, ga: Array) -> tuple[Array, Array]:
        """Slope of that line at u, and its rate of change."""
        m, v, pu = self.moment, self.shear, self.load * u
        slope = self.turn - u * (m + u * (v - pu / 3) / 2) / ei + (v - pu) / ga
        return slope, -(m + u * (v - pu / 2)) / ei - self.load / ga


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
    g1, g2, g3 = (s - t for s, t in zip(sums[1:], beyond(base, h), strict=True))
    here = moment + shear * h - g1
    y = from_segment(ends.sunk[:, :1], ends.sunk) + turn * h + (here - moment) / ga
    y = y - (h * h * (moment / 2 + shear * h / 6) - g3) / ei
    turned = turn - (h * (moment + shear * h / 2) - g2) / ei
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


def _extremes(s: _Stretches, ei: Array, ga: Array, sampled: Array, u: Array) -> tuple[Array, Array]:
    """(2, B, N) largest deflection of each stretch down and up, and its distance from the left end."""
    signed = np.stack([sampled, -sampled])
    best = np.argmax(signed, axis=3)[:, :, :, None]
    at = np.take_along_axis(u[None], best, 3)[:, :, :, 0]
    value = np.take_along_axis(signed, best, 3)[:, :, :, 0]
    step = s.size / SAMPLES
    low, high = np.maximum(at - step, 0.0), np.minimum(at + step, s.size)
    near = at
    for _ in range(NEWTON_ROUNDS):
        slope, curve = s.slope(near, ei, ga)
        with np.errstate(over="ignore"):  # a step too long for a number is cut short below
            move = np.divide(slope, curve, out=np.zeros_like(slope), where=curve != 0.0)
        near = np.clip(near - move, low, high)
    better = s.line(near, ei, ga) * np.array([1.0, -1.0])[:, None, None]
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
    sampled = wide.line(u, ei[:, :, None], ga[:, :, None])
    (down, up), (down_at, up_at) = _extremes(s, ei, ga, sampled, u)

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
