"""Beams that may lie loose: supports that only push drop out where the beam would lift off.

All supports act at first. Each round, in every beam not yet settled, supports that would have to pull are
let go, or the lifted support through which the beam sinks deepest is taken back, until no support pulls and
the beam sinks through none: the one state of rest of an elastic beam on one-sided supports (the energy is
convex, so it is unique). A beam that tips off one of its last two supports goes on to the next. Whether there
is a state of rest at all is asked first, of the rigid beam: the supports must be able to balance force and
moment.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from furnigen.core.errors import FurnigenError
from furnigen.strength.solver.deflection import DeflectionArrays, deflections, state_at
from furnigen.strength.solver.stiffness import (
    Array,
    BeamArrays,
    Mask,
    Sums,
    acting,
    at_supports,
    sums_at_supports,
    total_load,
)

ROUNDING_FORCE = 1e-9
"""Share of the whole load below which a pull is rounding noise."""
ROUNDING_SUNK = 1e-9
"""Share of the largest settlement below which a gap at a lifted support is rounding noise."""
ROUNDING_SAG = 1e-12
"""Share of W L³ / EI below which a sag at a lifted support is rounding noise; the sag of a span itself
is some hundredth of W L³ / EI."""


HASTY_ROUNDS = 3
"""In the first rounds every support that would have to pull is let go at once, not the worst alone: most
beams settle sooner so. Later rounds go one by one, so that they can not go round in a circle."""


def _spread_out(packed: Array, order: NDArray[np.intp], active: Mask, elsewhere: float) -> Array:
    out = np.empty_like(packed)
    out[np.arange(len(out))[:, None], order] = packed
    return np.where(active, out, elsewhere)


def can_balance(beams: BeamArrays) -> Mask:
    """(B,) whether the supports can balance the load at all."""
    valid = ~np.isnan(beams.supports)
    at = np.nan_to_num(beams.supports)
    force, moment, size = total_load(beams)
    noise = ROUNDING_FORCE * size
    stiff = (valid & (beams.turning > 0)).any(1)
    pulling = valid & beams.pulls
    pushing = valid & ~beams.pulls
    low = np.where(pushing, at, np.inf).min(1)
    high = np.where(pushing, at, -np.inf).max(1)
    # all supports only push: the load must point down and between the outermost
    far = np.where(np.isfinite(high), high, 0.0)
    near = np.where(np.isfinite(low), low, 0.0)
    loose = (force >= -noise) & (moment <= force * far + noise * beams.length)
    loose &= moment >= force * near - noise * beams.length
    # one support holds: what would turn the beam about it must be met by one that pushes, on that side
    pivot = np.where(pulling, at, 0.0).sum(1)
    about = moment - force * pivot
    hinged = (about <= noise * beams.length) | (high > pivot)
    hinged &= (about >= -noise * beams.length) | (low < pivot)
    holds = pulling.sum(1)
    balanced = np.where(holds == 0, loose, np.where(holds == 1, hinged, True))
    standing: Mask = stiff | (balanced & (valid.sum(1) >= 2))
    return standing


def solve_one_sided(beams: BeamArrays) -> DeflectionArrays:
    """What the beams do; see `BeamArrays` and `DeflectionArrays`.

    Raises: FurnigenError if the supports of a beam never settle, which no convex problem should do.
    """
    valid = ~np.isnan(beams.supports)
    standing = can_balance(beams)
    active = valid.copy()
    sums = sums_at_supports(beams)
    loose = standing & (valid & ~beams.pulls).any(1)
    if loose.any():
        _let_go(beams, sums, active, np.flatnonzero(loose))
    some, order = acting(beams, sums, active)
    result = deflections(at_supports(some), standing)
    at_rest = active | ~standing[:, None]
    return replace(
        result,
        touching=active & standing[:, None],
        turn=_spread_out(result.turn, order, active, np.nan),
        reaction=_spread_out(result.reaction, order, at_rest, 0.0),
        held=_spread_out(result.held, order, at_rest, 0.0),
    )


def _let_go(beams: BeamArrays, sums: Sums, active: Mask, todo: NDArray[np.intp]) -> None:
    """Take the supports that lift off out of those that act, for the beams `todo`."""
    valid = ~np.isnan(beams.supports)
    least = np.where((valid & (beams.turning > 0)).any(1), 1, 2)
    size = total_load(beams)[2]
    force_noise = ROUNDING_FORCE * size
    sag_noise = ROUNDING_SAG * size * beams.length**3 / beams.bending
    sag_noise = sag_noise + ROUNDING_SUNK * np.abs(beams.sunk).max(1)
    for turn in range(8 * valid.shape[1] + 8):
        some, on, known = beams.rows(todo), active[todo], tuple(s[todo] for s in sums)
        packed, order = acting(some, known, on)
        ends = at_supports(packed)
        reaction = _spread_out(ends.reaction, order, on, 0.0)
        pull = np.where(some.pulls, 0.0, -reaction)
        pulling = pull > force_noise[todo, None]
        off = valid[todo] & ~on
        sink = np.full(off.shape, -np.inf)
        if off.any():
            deflected = state_at(ends, np.nan_to_num(some.supports), known)[1]
            np.copyto(sink, deflected - some.sunk, where=off)
        pulls = pulling.any(1)
        sinks = sink.max(1) > sag_noise[todo]
        count = on.sum(1)
        few = count <= least[todo]
        back = sinks & (few | ~pulls)
        drop = pulls & ~back & ~few
        on[back, sink.argmax(1)[back]] = True
        on[drop, pull.argmax(1)[drop]] = False
        if turn < HASTY_ROUNDS:
            every = drop & (count - pulling.sum(1) >= least[todo])
            on[every] &= ~pulling[every]
        tips = np.flatnonzero(pulls & few & ~sinks)
        if tips.size:
            drop[tips] = _tipped(some.supports, on, pull, sink, tips)
        active[todo] = on
        todo = todo[back | drop]
        if not todo.size:
            return
    raise FurnigenError(f"the supports of beam {todo[0]} of {len(valid)} do not settle")


def _tipped(at: Array, on: Mask, pull: Array, sink: Array, tips: NDArray[np.intp]) -> Mask:
    """Lets beams tip off one of their last two supports: the first that they meet, turning about the other,
    acts in its place. Whether there is any.
    """
    off = pull[tips].argmax(1)
    on[tips, off] = False
    pivot = on[tips].argmax(1)
    arm = at[tips] - at[tips, pivot][:, None]
    beyond = arm * np.sign(at[tips, pivot] - at[tips, off])[:, None] > 0
    lifted = beyond & np.isfinite(sink[tips])
    turn = np.divide(-sink[tips], np.abs(arm), out=np.full(arm.shape, np.inf), where=lifted)
    on[tips, np.where(lifted.any(1), turn.argmin(1), off)] = True
    return np.asarray(lifted.any(1))
