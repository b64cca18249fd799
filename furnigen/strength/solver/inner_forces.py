"""Moment and shear force at any place of a bent board, from its loads and what its supports do (statics)."""

from __future__ import annotations

from furnigen.strength.solver.beam import Beam, BeamResult


def inner_forces(beam: Beam, result: BeamResult, x: float) -> tuple[float, float]:
    """Moment (sagging positive, N mm) and shear force (N) right of a place x, mm from the left end.

    >>> from furnigen.strength.solver.beam import BeamSupport, SpreadLoad, solve_beams
    >>> shelf = Beam(800.0, 1e9, (BeamSupport(0.0), BeamSupport(800.0)), (SpreadLoad(0.0, 800.0, 0.5),))
    >>> [round(one, 6) + 0.0 for one in inner_forces(shelf, solve_beams([shelf])[0], 400.0)]
    [40000.0, 0.0]
    """
    moment = shear = 0.0
    for support, force, held in zip(beam.supports, result.reactions, result.held, strict=True):
        if support.at <= x:
            shear += force
            moment += force * (x - support.at) - held
    for spread in beam.spread:
        covered = min(x, spread.end) - spread.start
        if covered > 0:
            shear -= spread.newton_per_mm * covered
            moment -= spread.newton_per_mm * covered * (x - spread.start - covered / 2)
    for point in beam.points:
        if point.at <= x:
            shear -= point.newton
            moment -= point.newton * (x - point.at)
    return moment, shear
