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
diagonal, solved for all beams at once. What the beams do between their supports then is in
`furnigen.strength.solver.deflection`.

The slope-deflection equations are A. Bendixen's (1914) and G. A. Maney's (1915), with the shear term
of S. P. Timoshenko (1921); from memory, derived again above.

A beam may be softer where it passes over a support (a board whose edge strip stops at the upright on either
side): its ends then turn against the support by s times their moment. The matrix of a member becomes the
inverse of (its own inverse + diag(s_left, s_right)), and its end turns by t - s m.

Here every support acts both ways; `furnigen.strength.solver.one_sided_supports` lets those that only push
drop out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
Sums = tuple[Array, ...]
"""F0 .. F3 of loads at some places: see the module docstring."""


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


BLOCK = 1_000_000
"""Beams times places times loads, or supports, worked on at once: 8 MB an array."""


def load_sums(beams: BeamArrays, x: Array) -> Sums:
    """F0 .. F3 at places x (B, N): see the module docstring. A point load at x counts in F0."""
    loads = max(beams.spread.shape[1], beams.points.shape[1])
    step = max(1, BLOCK // max(len(x) * loads, 1))
    if step >= x.shape[1]:
        return _load_sums(beams, x)
    columns = [_load_sums(beams, x[:, at : at + step]) for at in range(0, x.shape[1], step)]
    f0, f1, f2, f3 = (np.concatenate(sums, axis=1) for sums in zip(*columns, strict=True))
    return f0, f1, f2, f3


def _load_sums(beams: BeamArrays, x: Array) -> Sums:
    dx = x[:, :, None]
    start, end, p = (beams.spread[:, None, :, i] for i in range(3))
    place, force = (beams.points[:, None, :, i] for i in range(2))
    a, b, c = np.maximum(dx - start, 0), np.maximum(dx - end, 0), np.maximum(dx - place, 0)
    f0 = _in_order(p * (a - b)) + _in_order(force * (dx >= place))
    a2, b2, c2 = a * a, b * b, c * c
    f1 = _in_order(p * (a2 - b2)) / 2 + _in_order(force * c)
    f2 = _in_order(p * (a * a2 - b * b2)) / 6 + _in_order(force * c2) / 2
    f3 = _in_order(p * (a2 * a2 - b2 * b2)) / 24 + _in_order(force * c * c2) / 6
    return f0, f1, f2, f3


def _in_order(terms: Array) -> Array:
    """Sums along the last axis, added one after the other: padding with zeros changes no bit of them.

    numpy's own sum groups eight and more, so that a beam would come out otherwise beside one of more loads.
    """
    out = terms[..., 0]
    for k in range(1, terms.shape[-1]):
        out = out + terms[..., k]
    return out


def total_load(beams: BeamArrays) -> tuple[Array, Array, Array]:
    """Whole load, its moment about x = 0, and the sum of its sizes, of each beam."""
    start, end, p = (beams.spread[:, :, i] for i in range(3))
    place, point = (beams.points[:, :, i] for i in range(2))
    force = p * (end - start)
    about = _in_order(force * (start + end)) / 2 + _in_order(point * place)
    size = _in_order(np.abs(force)) + _in_order(np.abs(point))
    return _in_order(force) + _in_order(point), about, size


def beyond(sums: Sums, h: Array) -> tuple[Array, Array, Array]:
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
class Acting:
    """Beams on those of their supports that act, packed to the left; padding repeats the last one.

    Attributes:
        beams: the beams.
        valid: (B, S) whether there is a support; count: (B,) how many.
        last: (B,) index of the last.
        turning, neck, at, sunk: (B, S) of each, as in `BeamArrays`.
        sums: F0 .. F3 at each.
    """

    beams: BeamArrays
    valid: Mask
    count: NDArray[np.intp]
    last: NDArray[np.intp]
    turning: Array
    neck: Array
    at: Array
    sunk: Array
    sums: Sums


def sums_at_supports(beams: BeamArrays) -> Sums:
    """F0 .. F3 at every support, whichever of them act."""
    return load_sums(beams, np.nan_to_num(beams.supports))


def acting(beams: BeamArrays, sums: Sums, active: Mask | None = None) -> tuple[Acting, NDArray[np.intp]]:
    """The beams on their active supports only (all where None), and where each packed support came from."""
    given = ~np.isnan(beams.supports)
    on = given if active is None else active
    count = on.sum(1)
    last = np.maximum(count - 1, 0)
    order = np.argsort(~on, axis=1, kind="stable")
    rows = np.arange(len(order))[:, None]
    place = np.arange(order.shape[1])
    source = order[rows, np.minimum(place, last[:, None])]
    valid = place < count[:, None]
    some = Acting(
        beams,
        valid,
        count,
        last,
        np.where(valid, beams.turning[rows, source], 0.0),
        np.where(valid, beams.neck[rows, source], 0.0),
        np.nan_to_num(beams.supports[rows, source]),
        beams.sunk[rows, source],
        tuple(s[rows, source] for s in sums),
    )
    return some, order


@dataclass(frozen=True)
class EndStates:
    """State at the supports of beams whose supports all act: arrays over the packed supports.

    Attributes:
        on: the supports.
        turn, right: turn of the beam over each, and just right of it.
        moment, shear: just right of each and of any load on it.
        reaction, held: upward force and moment of each.
    """

    on: Acting
    turn: Array
    right: Array
    moment: Array
    shear: Array
    reaction: Array
    held: Array


def at_supports(on: Acting) -> EndStates:
    """Turns, moments and reactions where all these supports act both ways."""
    beams, valid, at, sums = on.beams, on.valid, on.at, on.sums
    every = np.arange(len(at))
    f0, f1 = sums[:2]
    ei, ga = beams.bending[:, None], beams.shear[:, None]

    span = np.diff(at, axis=1)
    real = valid[:, 1:]
    length = np.where(real, span, 1.0)
    to_left = beyond(tuple(s[:, :-1] for s in sums), span)
    g1, g2, g3 = (s[:, 1:] - t for s, t in zip(sums[1:], to_left, strict=True))
    v_simple = g1 / length
    t_left = (v_simple * length**2 / 6 - g3 / length) / ei
    t_right = t_left - (v_simple * length**2 / 2 - g2) / ei
    f = 12 * ei / (ga * length**2)
    k = ei / (length * (1 + f))
    left_end, far, right_end = (
        np.where(real, one, 0.0) for one in _with_necks(k * (4 + f), k * (2 - f), on.neck)
    )
    if on.sunk.any():
        tilt = np.diff(on.sunk, axis=1) / length
        t_left, t_right = t_left + tilt, t_right + tilt
    held_left, held_right = -(left_end * t_left + far * t_right), -(far * t_left + right_end * t_right)

    whole, about_0, _ = total_load(beams)
    last = every, on.last
    right_of_last = about_0 - whole * at[last] + f1[last]

    still = np.isinf(on.turning) | ~valid
    diagonal = np.where(still, 0.0, on.turning)
    right = np.zeros_like(at)
    diagonal[:, :-1] += left_end
    diagonal[:, 1:] += right_end
    right[:, :-1] -= held_left
    right[:, 1:] -= held_right
    right[:, 0] -= f1[:, 0]
    right[last] += right_of_last
    still |= diagonal == 0.0  # one support that turns freely: the caller has found it falls
    diagonal[still], right[still] = 1.0, 0.0
    off = np.where(still[:, :-1] | still[:, 1:], 0.0, far)
    turn = _solve_tridiagonal(diagonal, off, right)

    m_left = left_end * turn[:, :-1] + far * turn[:, 1:] + held_left
    m_right = far * turn[:, :-1] + right_end * turn[:, 1:] + held_right
    right_turn = turn.copy()
    right_turn[:, :-1] -= on.neck[:, :-1] * m_left
    moment = np.zeros_like(at)
    moment[:, :-1] = m_left
    # moment just left of each support: that of the left overhang, then of each span's right end
    before = np.concatenate([-f1[:, :1], -m_right], axis=1)
    moment[last] = -right_of_last
    shear = whole[:, None] - f0  # right of the last support
    np.copyto(shear[:, :-1], (-m_right - m_left + g1) / length, where=real)
    left_shear = np.concatenate([np.zeros_like(f0[:, :1]), shear[:, :-1]], axis=1)
    left_load = np.concatenate([f0[:, :1], np.diff(f0, axis=1)], axis=1)
    reaction = np.where(valid, shear - (left_shear - left_load), 0.0)
    held = np.where(valid, before - moment, 0.0)
    return EndStates(on, turn, right_turn, moment, shear, reaction, held)
