"""Beams that may lie loose: supports that only push drop out where the beam would lift off.

All supports act at first. Each round, in every beam not yet settled, the support that would have to
pull hardest is let go, or the lifted support through which the beam sinks deepest is taken back, until
no support pulls and the beam sinks through none: the one state of rest of an elastic beam on
one-sided supports (the energy is convex, so it is unique). Whether there is a state of rest at all is
asked first, of the rigid beam: the supports must be able to balance force and moment.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from furnigen.errors import FurnigenError
from furnigen.strength.deflected import BentArrays, bent, state_at
from furnigen.strength.stiffness import Array, BeamArrays, Mask, at_supports

ROUNDING_FORCE = 1e-9
"""Share of the whole load below which a pull is rounding noise."""
ROUNDING_SUNK = 1e-9
"""Share of the largest settlement below which a gap at a lifted support is rounding noise."""
ROUNDING_SAG = 1e-12
"""Share of W L³ / EI below which a sag at a lifted support is rounding noise; the sag of a span itself
is some hundredth of W L³ / EI."""


def _packed(beams: BeamArrays, active: Mask) -> tuple[BeamArrays, np.ndarray]:
    """The beams on their active supports only, and where each packed support came from."""
    at = np.where(active, beams.supports, np.nan)
    order = np.argsort(at, axis=1, kind="stable")  # NaN goes last

    packed = replace(
        beams,
        supports=np.take_along_axis(at, order, 1),
        turning=np.take_along_axis(beams.turning, order, 1),
        pulls=np.take_along_axis(beams.pulls, order, 1),
        sunk=np.take_along_axis(beams.sunk, order, 1),
        neck=np.take_along_axis(np.where(active, beams.neck, 0.0), order, 1),
    )
    return packed, order


def _spread_out(packed: Array, order: np.ndarray, active: Mask, elsewhere: float) -> Array:
    out = np.empty_like(packed)
    np.put_along_axis(out, order, packed, 1)
    return np.where(active, out, elsewhere)


def _total(beams: BeamArrays) -> tuple[Array, Array, Array]:
    """Whole load, its moment about x = 0, and the sum of its sizes, of each beam."""
    size = beams.spread[:, :, 1] - beams.spread[:, :, 0]
    force = np.concatenate([beams.spread[:, :, 2] * size, beams.points[:, :, 1]], axis=1)
    place = np.concatenate([beams.spread[:, :, :2].mean(2), beams.points[:, :, 0]], axis=1)
    return force.sum(1), (force * place).sum(1), np.abs(force).sum(1)


def stands(beams: BeamArrays) -> Mask:
    """(B,) whether the supports can balance the load at all."""
    valid = ~np.isnan(beams.supports)
    at = np.nan_to_num(beams.supports)
    force, moment, size = _total(beams)
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


def solve(beams: BeamArrays) -> BentArrays:
    """What the beams do; see `BeamArrays` and `BentArrays`.

    Errors: FurnigenError if the supports of a beam never settle, which no convex problem should do.
    """
    valid = ~np.isnan(beams.supports)
    standing = stands(beams)
    active = valid.copy()
    least = np.where((valid & (beams.turning > 0)).any(1), 1, 2)
    force_noise = ROUNDING_FORCE * _total(beams)[2]
    sag_noise = ROUNDING_SAG * _total(beams)[2] * beams.length**3 / beams.bending
    sag_noise = sag_noise + ROUNDING_SUNK * np.abs(beams.sunk).max(1)
    todo = np.flatnonzero(standing & (valid & ~beams.pulls).any(1))
    for _ in range(8 * valid.shape[1] + 8):
        if not todo.size:
            break
        some, on = beams.rows(todo), active[todo]
        packed, order = _packed(some, on)
        ends = at_supports(packed)
        reaction = _spread_out(ends.reaction, order, on, 0.0)
        pull = np.where(on & ~some.pulls, -reaction, 0.0)
        off = valid[todo] & ~on
        deflected = state_at(packed, ends, np.nan_to_num(some.supports))[1]
        sink = np.where(off, deflected - some.sunk, -np.inf)
        pulls = pull.max(1) > force_noise[todo]
        sinks = sink.max(1) > sag_noise[todo]
        few = on.sum(1) <= least[todo]
        back = sinks & (few | ~pulls)
        drop = pulls & ~back & ~few
        on[back, sink.argmax(1)[back]] = True
        on[drop, pull.argmax(1)[drop]] = False
        active[todo] = on
        todo = todo[back | drop]
    if todo.size:
        raise FurnigenError(f"the supports of beam {todo[0]} of {len(valid)} do not settle")
    packed, order = _packed(beams, active)
    result = bent(packed, at_supports(packed), standing)
    return replace(
        result,
        touching=active & standing[:, None],
        turn=_spread_out(result.turn, order, active, np.nan),
        reaction=_spread_out(result.reaction, order, active | ~standing[:, None], 0.0),
        held=_spread_out(result.held, order, active | ~standing[:, None], 0.0),
    )
