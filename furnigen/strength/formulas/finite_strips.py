"""Thin boards as plates between two supported ends: the finite strip method.

A board lies over a span from end to end, free or held along its long edges, with strips glued on edge below
it. Both ends rest along their whole length and may turn, so everything varies along the span as

    w, v ~ sin(m pi x / L),    u ~ cos(m pi x / L),    m = 1, 3, 5, ...

and the odd waves of an even load do not mix. Across the depth the board is cut into narrow strips whose
deflection is a cubic and whose stretch is straight: 4 unknowns a line between strips (u along, v across,
w down, and the slope dw/dy). A glued strip is a plate on edge, hung on its line by a rigid link of half the
board's thickness. So the board's bending both ways, its twisting, the shear lag in it and the eccentric
strip are all there; the shear through the board's thickness is not.

Source: Cheung, The finite strip method in the analysis of elastic plates with two opposite simply supported
ends, Proc. ICE 40 (1968), from memory; matrices derived by hand from the energies of an orthotropic plate.
Held against three-dimensional elements in tests/strength/test_finite_strips.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi, tanh

import numpy as np

from furnigen.core.caches import PLATES, kept
from furnigen.core.errors import InputError

Array = np.ndarray

WAVES = 12
"""Waves along the span: the last adds less than a thousandth to the sag, and a hundredth to the stress."""
STRIPS_ACROSS = 10
"""Strips that the depth of a board is cut into."""
STRIPS_DOWN = 3
"""Strips that the height of a rib is cut into."""
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(4)


@dataclass(frozen=True)
class Sheet:
    """A thin orthotropic board.

    Attributes:
        thickness: mm.
        along, across: moduli of bending along the span and across it, N/mm².
        twist: modulus against shear in its plane, N/mm².
        poisson: contraction across for a stretch along.
    """

    thickness: float
    along: float
    across: float
    twist: float
    poisson: float = 0.0

    def __post_init__(self) -> None:
        for what in ("thickness", "along", "across", "twist"):
            if not getattr(self, what) > 0:
                raise InputError(f"{what} of a plate", f"{getattr(self, what):g}", "must be more than zero")
        if not 0 <= self.poisson**2 * self.across / self.along < 1:
            raise InputError("contraction of a plate", f"{self.poisson:g}", "must leave it stiff")

    def elasticity(self, twist_share: float = 1.0) -> Array:
        """Stresses of strains along, across and in shear, N/mm²: (3, 3)."""
        back = self.poisson * self.across / self.along
        whole = 1 - self.poisson * back
        return np.array(
            [
                [self.along / whole, back * self.along / whole, 0.0],
                [back * self.along / whole, self.across / whole, 0.0],
                [0.0, 0.0, self.twist * twist_share],
            ]
        )


@dataclass(frozen=True)
class Rib:
    """A strip glued on edge under a board, from end to end.

    Attributes:
        at: its middle, mm from the board's front edge.
        height: mm.
        sheet: what it is made of; its thickness is its width as seen from below.
    """

    at: float
    height: float
    sheet: Sheet

    def __post_init__(self) -> None:
        if not self.height > 0:
            raise InputError("height of a rib", f"{self.height:g} mm", "must be more than zero")


@dataclass(frozen=True)
class PlateSag:
    """What an evenly loaded plate does at the middle of its span, for each N/mm² of load.

    Attributes:
        front, middle, rear: sag of the front edge, of the middle of the depth and of the rear edge, mm.
        most: the largest sag anywhere across the depth, mm.
        board_stress: largest stress along the span in the board, N/mm².
        rib_stress: the same in each rib, N/mm².
    """

    front: float
    middle: float
    rear: float
    most: float
    board_stress: float
    rib_stress: tuple[float, ...]


def torsion_share(long: float, short: float) -> float:
    """Torsion constant of a rectangle over that of a thin strip, long x short³ / 3 (Saint-Venant's series).

    >>> round(torsion_share(20.0, 20.0) / 3, 4)  # 0.1406 of a square: Timoshenko's table
    0.1406
    """
    a, b = max(long, short), min(long, short)
    series = sum(tanh(n * pi * a / (2 * b)) / n**5 for n in range(1, 20, 2))
    return 1 - 192 / pi**5 * b / a * series


def _strip(width: float, sheet: Sheet, waves: Array, twist_share: float) -> tuple[Array, Array]:
    """Stiffness (waves, 8, 8) and even load (8,) of one strip, both over half the span.

    Unknowns: u, v, w, slope of its low line, then of its high line.
    """
    e, weight = (_POINTS + 1) / 2, _WEIGHTS * width / 2
    nil, m = np.zeros_like(e), waves[None, :]
    value = np.array(
        [1 - 3 * e**2 + 2 * e**3, width * (e - 2 * e**2 + e**3), 3 * e**2 - 2 * e**3, width * (e**3 - e**2)]
    )
    first = np.array(
        [(6 * e**2 - 6 * e) / width, 1 - 4 * e + 3 * e**2, (6 * e - 6 * e**2) / width, 3 * e**2 - 2 * e]
    )
    second = np.array(
        [(12 * e - 6) / width**2, (6 * e - 4) / width, (6 - 12 * e) / width**2, (6 * e - 2) / width]
    )
    plane = np.zeros((len(e), len(waves), 3, 8))
    for line, share, slope in ((0, 1 - e, -1 / width), (1, e, 1 / width)):
        plane[:, :, 0, 4 * line] = -m * share[:, None]
        plane[:, :, 1, 4 * line + 1] = slope
        plane[:, :, 2, 4 * line] = slope
        plane[:, :, 2, 4 * line + 1] = m * share[:, None]
    curved = np.zeros_like(plane)
    for n, column in enumerate((2, 3, 6, 7)):
        curved[:, :, 0, column] = m**2 * value[n][:, None]
        curved[:, :, 1, column] = (nil - second[n])[:, None]
        curved[:, :, 2, column] = -2 * m * first[n][:, None]
    stiffness = np.zeros((len(waves), 8, 8))
    stretch = sheet.elasticity() * sheet.thickness
    bend = sheet.elasticity(twist_share) * sheet.thickness**3 / 12
    for strain, stiff in ((plane, stretch), (curved, bend)):
        at_points = strain.transpose(0, 1, 3, 2) @ stiff @ strain
        stiffness += np.tensordot(weight, at_points, (0, 0))
    load = np.zeros(8)
    load[[2, 3, 6, 7]] = value @ weight
    return stiffness, load


def _link(half: float, waves: Array) -> Array:
    """What the top line of a rib does for its board's line: (waves, 4, 4).

    The rib's v runs down and its w to the rear.
    """
    link = np.zeros((len(waves), 4, 4))
    link[:, 0, 0] = 1.0
    link[:, 0, 2] = -half * waves
    link[:, 1, 2] = 1.0
    link[:, 2, 1] = 1.0
    link[:, 2, 3] = -half
    link[:, 3, 3] = -1.0
    return link


def _hung(rib: Rib, waves: Array) -> Array:
    """Stiffness of a rib (waves, n, n), its top line first."""
    down = STRIPS_DOWN
    stiffness = np.zeros((len(waves), 4 * (down + 1), 4 * (down + 1)))
    share = torsion_share(rib.height, rib.sheet.thickness)
    if rib.height < rib.sheet.thickness:  # a plate on edge twists as height x thickness³ / 3
        share *= (rib.height / rib.sheet.thickness) ** 2
    one, _ = _strip(rib.height / down, rib.sheet, waves, share)
    for n in range(down):
        stiffness[:, 4 * n : 4 * n + 8, 4 * n : 4 * n + 8] += one
    return stiffness


@kept(PLATES)
def plate_sag(
    span: float, depth: float, sheet: Sheet, ribs: tuple[Rib, ...] = (), held: tuple[float, ...] = ()
) -> PlateSag:
    """An evenly loaded board between two ends that it rests on, at the middle of its span.

    Args:
        span, depth: between the ends, and from front to rear, mm.
        ribs: strips glued below it.
        held: places across its depth, mm from the front, where a line of it cannot go down.

    Raises: InputError for a size of zero, a rib wider than the board, or a rib or held line beyond it.

    >>> board = Sheet(18.0, 10000.0, 7500.0, 600.0)
    >>> beam = 5 * 800.0**4 / (384 * 10000.0 * 18.0**3 / 12)
    >>> round(plate_sag(800.0, 300.0, board).front / beam, 3)
    1.0
    """
    if not (span > 0 and depth > 0):
        raise InputError("plate", f"{span:g} x {depth:g} mm", "must have sizes")
    for at in (*held, *(rib.at for rib in ribs)):
        if not 0 <= at <= depth:
            raise InputError("place across a board", f"{at:g} mm", f"must be from 0 to {depth:g} mm")
    for rib in ribs:
        if rib.sheet.thickness > depth:
            raise InputError(
                "width of a strip",
                f"{rib.sheet.thickness:g} mm",
                f"must be at most {depth:g} mm, the depth of its board",
            )
    lines = _lines(depth, (*held, *(rib.at for rib in ribs)))
    numbers = np.arange(1, 2 * WAVES, 2)
    waves = numbers * pi / span
    size = 4 * len(lines)
    stiffness = np.zeros((WAVES, size, size))
    load = np.zeros((WAVES, size))
    alike: dict[float, tuple[Array, Array]] = {}
    for n in range(len(lines) - 1):
        width = round(lines[n + 1] - lines[n], 9)
        if width not in alike:
            alike[width] = _strip(width, sheet, waves, 1.0)
        one, even = alike[width]
        rows = slice(4 * n, 4 * n + 8)
        stiffness[:, rows, rows] += one
        load[:, rows] += even * (4 / (numbers * pi))[:, None]
    hung = []
    for rib in ribs:
        n = lines.index(rib.at)
        link, own = _link(sheet.thickness / 2, waves), _hung(rib, waves)
        follow = -np.linalg.solve(own[:, 4:, 4:], own[:, 4:, :4])  # its lower lines, for its top line
        condensed = own[:, :4, :4] + own[:, :4, 4:] @ follow
        rows = slice(4 * n, 4 * n + 4)
        stiffness[:, rows, rows] += link.transpose(0, 2, 1) @ condensed @ link
        hung.append((n, rib, link, follow))
    free = np.ones(size, dtype=bool)
    for at in held:
        free[4 * lines.index(at) + 2] = False
    moved = np.zeros((WAVES, size))
    moved[:, free] = np.linalg.solve(stiffness[:, free][:, :, free], load[:, free, None])[:, :, 0]
    sign = np.sin(numbers * pi / 2)
    sag = sign @ moved[:, 2::4]
    return PlateSag(
        front=float(sag[0]),
        middle=float(np.interp(depth / 2, lines, sag)),
        rear=float(sag[-1]),
        most=float(sag.max()),
        board_stress=_board_stress(moved, lines, sheet, waves, sign),
        rib_stress=tuple(_rib_stress(moved, *one, waves, sign) for one in hung),
    )


def _lines(depth: float, marks: Sequence[float]) -> list[float]:
    """Lines across the depth, those marked among them and none much nearer to another."""
    near = depth / STRIPS_ACROSS / 3
    even = [float(y) for y in np.linspace(0.0, depth, STRIPS_ACROSS + 1)]
    kept = [y for y in even if y in (0.0, depth) or all(abs(y - m) > near for m in marks)]
    return sorted({*kept, *marks})


def _board_stress(moved: Array, lines: list[float], sheet: Sheet, waves: Array, sign: Array) -> float:
    """Largest stress along the span at the faces of the board, at the middle of the span, N/mm²."""
    u, w = moved[:, 0::4], moved[:, 2::4]
    stretch = -(sign * waves) @ u
    curvature = (sign * waves**2) @ w
    face = sheet.thickness / 2 * curvature
    return float(sheet.along * np.max(np.maximum(np.abs(stretch + face), np.abs(stretch - face))))


def _rib_stress(
    moved: Array, line: int, rib: Rib, link: Array, follow: Array, waves: Array, sign: Array
) -> float:
    """Largest stress along the span in a rib, at its edges and faces, at the middle of the span, N/mm².

    A rib under one edge is bent sideways too.
    """
    top = np.einsum("mij,mj->mi", link, moved[:, 4 * line : 4 * line + 4])
    lower = np.einsum("mij,mj->mi", follow, top)
    u, w = (np.concatenate([top[:, n : n + 1], lower[:, n::4]], axis=1) for n in (0, 2))
    stretch = np.abs((sign * waves) @ u)
    face = rib.sheet.thickness / 2 * np.abs((sign * waves**2) @ w)
    return float(rib.sheet.along * np.max(stretch + face))
