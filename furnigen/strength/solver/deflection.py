"""Deflection, moment and shear along many beams at once, given the state at their supports.

Places where something starts or ends cut a beam into stretches on which the deflection is a quartic, whose
extremes are found by Newton's method from the best of a few samples. Signs and symbols are those of
`furnigen.strength.solver.stiffness`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from furnigen.core.finding import ALIKE
from furnigen.strength.solver.stiffness import BLOCK, Array, EndStates, Mask, Sums, beyond, load_sums

SAMPLES = 8
"""Steps on each stretch from which the search for an extreme starts; a quartic has three at most."""
NEWTON_ROUNDS = 5


@dataclass(frozen=True)
class DeflectionArrays:
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


def state_at(
    ends: EndStates, x: Array, sums: Sums | None = None
) -> tuple[NDArray[np.intp], Array, Array, Array, Array]:
    """Segment, deflection, turn, moment and shear force just right of places x (B, N).

    Args:
        sums: F0 .. F3 there, where they are known.
    """
    on = ends.on
    segment = np.zeros(x.shape, dtype=np.intp)
    for some in _some_of(on.at.shape[1], x.size):
        segment += ((on.at[:, None, some] <= x[:, :, None]) & on.valid[:, None, some]).sum(2)
    ei, ga = on.beams.bending[:, None], on.beams.shear[:, None]
    # of each place, its segment among those of all beams, the left overhang first
    place = segment + np.arange(len(x))[:, None] * (on.at.shape[1] + 1)

    def from_segment(supports: Array, overhang: Array | None = None) -> Array:
        left = supports[:, :1] if overhang is None else overhang
        return np.asarray(np.concatenate([left, supports], axis=1).ravel()[place])

    f0, f1 = on.sums[:2]
    turn = from_segment(ends.right, ends.turn[:, :1])
    moment = from_segment(ends.moment, -f1[:, :1])
    shear = from_segment(ends.shear, -f0[:, :1])
    base = tuple(from_segment(s) for s in on.sums)
    sums = load_sums(on.beams, x) if sums is None else sums
    h = x - from_segment(on.at)
    g1, g2, g3 = (s - t for s, t in zip(sums[1:], beyond(base, h), strict=True))
    here = moment + shear * h - g1
    y = from_segment(on.sunk) + turn * h + (here - moment) / ga
    y = y - (h * h * (moment / 2 + shear * h / 6) - g3) / ei
    turned = turn - (h * (moment + shear * h / 2) - g2) / ei
    return segment, y, turned, here, shear - (sums[0] - base[0])


def _some_of(count: int, places: int) -> Iterator[slice]:
    """Some of `count` supports at a time, so that times `places` they are a block."""
    step = max(1, BLOCK // max(places, 1))
    return (slice(at, at + step) for at in range(0, count, step))


def _cuts(ends: EndStates) -> Array:
    """(B, N) places, rising, where something starts or ends, each once; filled up with the beam's end."""
    beams = ends.on.beams
    whole = np.stack([np.zeros_like(beams.length), beams.length], axis=1)
    spread = beams.spread[:, :, :2].reshape(len(whole), -1)
    cuts = np.concatenate([whole, ends.on.at, spread, beams.points[:, :, 0]], axis=1)
    cuts.sort(axis=1)
    again = cuts[:, 1:] == cuts[:, :-1]
    np.copyto(cuts[:, 1:], beams.length[:, None], where=again)
    cuts.sort(axis=1)
    return cuts[:, : cuts.shape[1] - int(again.sum(1).min())]


def _stretches(ends: EndStates) -> _Stretches:
    cuts = _cuts(ends)
    x, size = cuts[:, :-1], np.diff(cuts, axis=1)
    segment, y, turn, moment, shear = state_at(ends, x)
    middle = (x + size / 2)[:, :, None]
    start, end, p = (ends.on.beams.spread[:, None, :, i] for i in range(3))
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


def _leftmost(value: Array, place: Array) -> tuple[Array, Array]:
    """Largest value of each beam, and the leftmost of the places where it is that but for rounding."""
    most = value.max(1)
    alike = value >= (most - ALIKE * np.abs(most))[:, None]
    return most, np.where(alike, place, np.inf).min(1)


def _moments(s: _Stretches) -> tuple[Array, Array, Array, Array]:
    """Largest and smallest moment of each beam with their places: at cuts, or where the shear is nil."""
    end = s.moment + s.shear * s.size - s.load * s.size**2 / 2
    with np.errstate(over="ignore"):  # cut to the stretch below
        nil = np.divide(s.shear, s.load, out=np.zeros_like(s.shear), where=s.load != 0.0)
    nil = np.clip(nil, 0.0, s.size)
    inside = s.moment + s.shear * nil - s.load * nil**2 / 2
    value = np.concatenate([s.moment, end, inside], axis=1)
    place = np.concatenate([s.place, s.place + s.size, s.place + nil], axis=1)
    least, least_at = _leftmost(-value, place)
    return (*_leftmost(value, place), -least, least_at)


def _shears(s: _Stretches) -> tuple[Array, Array]:
    value = np.concatenate([s.shear, s.shear - s.load * s.size], axis=1)
    place = np.concatenate([s.place, s.place + s.size], axis=1)
    value = np.where(np.concatenate([s.size, s.size], axis=1) > 0.0, np.abs(value), 0.0)
    return _leftmost(value, place)


def deflections(ends: EndStates, stands: Mask) -> DeflectionArrays:
    """Deflection, moment and shear along the beams, given the state at their supports."""
    on = ends.on
    s = _stretches(ends)
    ei, ga = on.beams.bending[:, None], on.beams.shear[:, None]
    u = s.size[:, :, None] * (np.arange(SAMPLES + 1) / SAMPLES)
    wide = _Stretches(
        **{n: v[:, :, None] for n, v in vars(s).items() if n != "segment"},
        segment=s.segment,
    )
    sampled = wide.line(u, ei[:, :, None], ga[:, :, None])
    (down, up), (down_at, up_at) = _extremes(s, ei, ga, sampled, u)

    rows, supports = on.at.shape
    number = np.arange(supports + 1)
    every, real = np.arange(rows)[:, None], s.size > 0.0
    has = np.zeros((rows, supports + 1), dtype=bool)
    has[np.broadcast_to(every, real.shape)[real], s.segment[real]] = True
    has &= stands[:, None]

    def most_of(value: Array, place: Array) -> tuple[Array, Array]:
        best = np.empty(has.shape, dtype=np.intp)
        for some in _some_of(supports + 1, value.size):
            mine = (s.segment[:, None, :] == number[some, None]) & real[:, None, :]
            best[:, some] = np.where(mine, value[:, None, :], -np.inf).argmax(2)
        return tuple(np.where(has, of[every, best], np.nan) for of in (value, place))  # type: ignore[return-value]

    most, most_at = most_of(down, down_at)
    rise, rise_at = most_of(up, up_at)
    start = np.concatenate([np.zeros((rows, 1)), on.at], axis=1)
    end = np.concatenate([on.at, on.beams.length[:, None]], axis=1)
    end = np.where(number == on.count[:, None], on.beams.length[:, None], end)

    def known(value: Array) -> Array:
        return np.where(stands.reshape((-1,) + (1,) * (value.ndim - 1)), value, np.nan)

    m_most, m_most_at, m_least, m_least_at = _moments(s)
    shear_most, shear_most_at = _shears(s)
    line = (rows, -1)
    return DeflectionArrays(
        stands=stands,
        touching=on.valid,
        turn=known(ends.turn),
        reaction=known(ends.reaction),
        held=known(ends.held),
        start=np.where(has, start, np.nan),
        end=np.where(has, end, np.nan),
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
