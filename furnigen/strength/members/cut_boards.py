"""What a board bears where it is cut: bending of what is left, and shear there and at notched ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from furnigen.catalogue.materials import Material
from furnigen.strength.formulas.allowable import LOAD_FACTOR, find_allowable
from furnigen.strength.formulas.notch import K_CR, K_N, notch_factor
from furnigen.strength.model.net_sections import NetSection
from furnigen.strength.solver.beam import Beam, BeamResult
from furnigen.strength.solver.inner_forces import inner_forces

AT_END_MM = 1.0
"""A cut that reaches this near to a board's end is a notch at its end."""
SOLID_KINDS = ("softwood", "hardwood")


@dataclass(frozen=True)
class CutShear:
    """Shear where a board is cut, where it is used most.

    Attributes:
        mpa: 1.5 V / (b_ef h_ef), N/mm².
        allowed_mpa: k_v f_v / gamma over the load factor, N/mm².
        factor: k_v; 1 where the cut is no notch at a support.
        at: along the board, mm.
        left, full: height that the cut leaves, and of the board, mm.
    """

    mpa: float
    allowed_mpa: float
    factor: float
    at: float
    left: float
    full: float

    @property
    def used(self) -> float:
        """Share of what is allowed."""
        return self.mpa / self.allowed_mpa


def _places(cut: NetSection, beam: Beam) -> list[float]:
    """Where forces in a cut are largest: its ends, its middle, supports and loads within it, mm."""
    inside = [s.at for s in beam.supports] + [p.at for p in beam.points]
    within = [at for at in inside if cut.start < at < cut.end]
    ends = [cut.start, (cut.start + cut.end) / 2, cut.end]
    return [*ends, *within, *(at - 1e-6 for at in (*within, cut.start, cut.end) if at > 0)]


def bending_at_cuts(
    cuts: Sequence[NetSection], bents: Sequence[BeamResult]
) -> list[tuple[float, float, bool]]:
    """Largest bending stress of what each cut leaves, its place, and whether the board sags there.

    Args:
        cuts: where the board is cut.
        bents: the board under each of its loadings.

    Returns: stress N/mm², mm along the board, and True for a sagging moment.
    """
    found = []
    for cut in cuts:
        forces = [(inner_forces(bent.beam, bent, x)[0], x) for bent in bents for x in _places(cut, bent.beam)]
        moment, at = max(forces, key=lambda one: round(abs(one[0]), 6))
        found.append((abs(moment) / cut.modulus, at, moment > 0))
    return found


def shear_at_cuts(
    cuts: Sequence[NetSection],
    bents: Sequence[BeamResult],
    material: Material,
    climate: int = 1,
    across: float = 1.0,
) -> CutShear | None:
    """Shear at the cut that uses most of what the wood bears; None without cuts, or a strength that is known.

    Nearer to a support than the board is high, loads go straight down into it and shear nothing, where the
    board is not notched from below (EN 1995-1-1 6.1.7(3), from memory).

    Args:
        climate: service class.
        across: modulus along the board over that along its grain; its strength falls as that does.
    """
    strength = find_allowable(material, climate=climate).shear_mpa
    if strength is None:
        return None
    solid = material.kind in SOLID_KINDS
    k_n, k_cr = (K_N["solid"], K_CR) if solid else (K_N["lvl"], 1.0)
    found: list[CutShear] = []
    for cut in cuts:
        for bent in bents:
            factor, places = 1.0, _places(cut, bent.beam)
            reach = _reach(cut, bent.beam)
            if reach is not None and cut.from_below > 0:
                factor = notch_factor(cut.full, cut.full - cut.from_below, reach, k_n)
            else:
                places = [x for x in places if all(abs(x - s.at) >= cut.full for s in bent.beam.supports)]
            if not places:
                continue
            forces = [(x, abs(inner_forces(bent.beam, bent, x)[1])) for x in places]
            x, shear = max(forces, key=lambda one: round(one[1], 6))
            stress = 1.5 * shear / (k_cr * cut.breadth * cut.height)
            found.append(
                CutShear(stress, factor * strength * across / LOAD_FACTOR, factor, x, cut.height, cut.full)
            )
    return max(found, key=lambda one: round(one.used, 9), default=None)


def _reach(cut: NetSection, beam: Beam) -> float | None:
    """From the line of a reaction to the corner of a cut over it, mm; None for a cut over no support."""
    reaches = []
    for support in beam.supports:
        low = cut.start if cut.start > AT_END_MM else -1.0
        high = cut.end if cut.end < beam.length - AT_END_MM else beam.length + 1.0
        if low <= support.at <= high:
            corners = [
                abs(c - support.at) for c in (cut.start, cut.end) if AT_END_MM < c < beam.length - AT_END_MM
            ]
            reaches.append(max(corners, default=0.0))
    return max(reaches, default=None)
