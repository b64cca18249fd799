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
`furnigen.strength.deflected`.

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


def load_sums(beams: BeamArrays, x: Array) -> tuple[Array, Array, Array, Array]:
    """F0 .. F3 at places x (B, N): see the module docstring. A point load at x counts in F0."""
    dx = x[:, :, None]
    start, end, p = (beams.spread[:, None, :, i] for i in range(3))
    place, force = (beams.points[:, None, :, i] for i in range(2))
    a, b, c = np.maximum(dx - start, 0), np.maximum(dx - end, 0), np.maximum(dx - place, 0)
    f0 = (p * (a - b)).sum(2) + (force * (dx >= place)).sum(2)
    a2, b2, c2 = a * a, b * b, c * c
    f1 = (p * (a2 - b2)).sum(2) / 2 + (force * c).sum(2)
    f2 = (p * (a * a2 - b * b2)).sum(2) / 6 + (force * c2).sum(2) / 2
    f3 = (p * (a2 * a2 - b2 * b2)).sum(2) / 24 + (force * c * c2).sum(2) / 6
    return f0, f1, f2, f3


def beyond(sums: tuple[Array, ...], h: Array) -> tuple[Array, Array, Array]:
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
    to_left = beyond(tuple(s[:, :-1] for s in sums), span)
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
