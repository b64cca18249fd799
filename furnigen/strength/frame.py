"""Plane frames with joints that give: how far a rack sways, and what a back panel or brace adds.

x to the right, z up, mm and N; turns and moments count from x toward z (counter-clockwise).

Each member has its own turn at either end, tied to that of the node by a spring k (rigid: they are one;
hinged: not tied). With c, s its direction, the local stiffness of a slender member is the textbook one,
EA/L along and 12 EI/L³, 6 EI/L², 4 EI/L, 2 EI/L across. A shear panel between four nodes stores
1/2 G t w h gamma², gamma = du/dz + dw/dx taken from its corners. A node that nothing keeps from
turning is left out; a frame that can move without bending is refused.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from furnigen.errors import InputError

Array = NDArray[np.float64]
LOOSE = 1e-11
"""A pivot of the scaled stiffness (its diagonal is 1) below which a frame counts as a mechanism."""


@dataclass(frozen=True, slots=True)
class Member:
    """A straight member between two nodes.

    Attributes:
        a, b: indices of its nodes.
        ea: stiffness along, N.
        ei: stiffness against bending in the plane, N mm².
        spring_a, spring_b: stiffness of its joints against turning, N mm per radian; inf is rigid, 0 a hinge.
        load: even load along it, (x, z) in N/mm of its length.
    """

    a: int
    b: int
    ea: float
    ei: float
    spring_a: float = inf
    spring_b: float = inf
    load: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Panel:
    """A sheet between four nodes that takes shear only.

    Attributes:
        bottom_left, bottom_right, top_left, top_right: indices of its corner nodes.
        shear: G t of the sheet and what fixes it, N/mm (see `panel_shear`).
    """

    bottom_left: int
    bottom_right: int
    top_left: int
    top_right: int
    shear: float


@dataclass(frozen=True)
class Sway:
    """What a frame does.

    Attributes:
        moved: (x, z, turn) of each node, mm and radians.
        reactions: (x, z, moment) of each node, N and N mm; zero where nothing holds it.
        ends: (axial, shear, moment) at a and at b of each member, N and N mm, acting on the member.
    """

    moved: Array
    reactions: Array
    ends: Array


def _local(ea: Array, ei: Array, length: Array) -> Array:
    """(m, 6, 6) stiffness of members along their own axes."""
    a, b = ea / length, ei / length
    p, q, r, t = 12 * b / length**2, 6 * b / length, 4 * b, 2 * b
    k = np.zeros((len(length), 6, 6))
    k[:, 0, 0], k[:, 0, 3], k[:, 3, 0], k[:, 3, 3] = a, -a, -a, a
    for i, row in ((1, (p, q, -p, q)), (2, (q, r, -q, t)), (4, (-p, -q, p, -q)), (5, (q, t, -q, r))):
        k[:, i, 1], k[:, i, 2], k[:, i, 4], k[:, i, 5] = row
    return k


def _turned(c: Array, s: Array) -> Array:
    """(m, 6, 6) from the frame's directions to those of members."""
    t = np.zeros((len(c), 6, 6))
    for i in (0, 3):
        t[:, i, i], t[:, i, i + 1], t[:, i + 1, i], t[:, i + 1, i + 1] = c, s, -s, c
        t[:, i + 2, i + 2] = 1.0
    return t


def _strains(panels: Sequence[Panel], places: Array, size: int) -> tuple[Array, Array]:
    """(p, size) shear of each panel for each movement, and (p,) G t w h, N mm."""
    strain, stiff = np.zeros((len(panels), size)), np.zeros(len(panels))
    for i, panel in enumerate(panels):
        corners = [panel.bottom_left, panel.bottom_right, panel.top_left, panel.top_right]
        w = abs(places[corners[1], 0] - places[corners[0], 0])
        h = abs(places[corners[2], 1] - places[corners[0], 1])
        if not (w > 0 and h > 0 and panel.shear > 0):
            raise InputError("panel", f"{w:g} x {h:g} mm", "must have a size and a stiffness")
        for corner, x_sign, z_sign in zip(corners, (-1, -1, 1, 1), (-1, 1, -1, 1), strict=True):
            strain[i, 3 * corner] += x_sign / (2 * h)
            strain[i, 3 * corner + 1] += z_sign / (2 * w)
        stiff[i] = panel.shear * w * h
    return strain, stiff


def solve_frame(
    nodes: Sequence[tuple[float, float]],
    members: Sequence[Member],
    held: Mapping[int, tuple[bool, bool, bool]],
    forces: Mapping[int, tuple[float, float, float]],
    panels: Sequence[Panel] = (),
) -> Sway:
    """The frame under its loads.

    Args:
        nodes: (x, z) of each, mm.
        members: bars between them.
        held: for nodes that are held, whether x, z and turn are.
        forces: (x, z, moment) on nodes, N and N mm.
        panels: sheets.

    Errors: InputError for a member without length, or a frame that can move freely.
    """
    places = np.asarray(nodes, dtype=float)
    size = 3 * len(places)
    dofs: list[list[int]] = []
    springs: list[tuple[int, int, float]] = []
    for number, m in enumerate(members):
        ties = [3 * m.a, 3 * m.a + 1, 3 * m.a + 2, 3 * m.b, 3 * m.b + 1, 3 * m.b + 2]
        if not (m.ea > 0 and m.ei > 0 and m.spring_a >= 0 and m.spring_b >= 0):
            raise InputError(
                f"member {number}", m, "needs a stiffness above zero and springs of zero or more"
            )
        for end, spring in ((2, m.spring_a), (5, m.spring_b)):
            if spring < inf:
                springs.append((ties[end], size, spring))
                ties[end] = size
                size += 1
        dofs.append(ties)
    k, f = np.zeros((size, size)), np.zeros(size)
    own = np.array(dofs, dtype=np.intp).reshape(-1, 6)
    a, b = (np.array([getattr(m, end) for m in members], dtype=np.intp) for end in "ab")
    span = places[b] - places[a]
    length = np.hypot(span[:, 0], span[:, 1])
    for i in np.flatnonzero(length == 0.0).tolist():
        m = members[i]
        raise InputError(f"member {i}", f"from {m.a} to {m.b}", "must have a length")
    turn = _turned(span[:, 0] / length, span[:, 1] / length)
    local = _local(np.array([m.ea for m in members]), np.array([m.ei for m in members]), length)
    load = np.array([m.load for m in members], dtype=float).reshape(-1, 2)
    along, across = (turn[:, :2, :2] @ load[:, :, None])[:, :, 0].T * length / 2
    swing = across * length / 6
    even = np.stack([along, across, swing, along, across, -swing], axis=1)
    back = turn.transpose(0, 2, 1)
    np.add.at(k, (own[:, :, None], own[:, None, :]), back @ local @ turn)
    np.add.at(f, own, (back @ even[:, :, None])[:, :, 0])
    for node_turn, own_turn, spring in springs:
        pair = [node_turn, own_turn]
        k[np.ix_(pair, pair)] += np.array([[spring, -spring], [-spring, spring]])
    if panels:
        strain, stiff = _strains(panels, places, size)
        k += strain.T @ (stiff[:, None] * strain)
    for node, force in forces.items():
        f[3 * node : 3 * node + 3] += force
    still = np.zeros(size, dtype=bool)
    for node, fixed in held.items():
        still[3 * node : 3 * node + 3] = fixed
    still |= np.diagonal(k) == 0.0
    free = np.flatnonzero(~still)
    moved = np.zeros(size)
    moved[free] = _solve(k[np.ix_(free, free)], f[free])
    ends = (local @ (turn @ moved[own][:, :, None]))[:, :, 0] - even
    count = 3 * len(places)
    reactions = np.where(still, k @ moved - f, 0.0)[:count].reshape(-1, 3)
    return Sway(moved[:count].reshape(-1, 3), reactions, ends)


def _solve(k: Array, f: Array) -> Array:
    """K u = f, refusing a frame that can move without straining anything."""
    if not f.size:
        return f
    scale = 1 / np.sqrt(np.diagonal(k))
    even = k * scale[:, None] * scale[None, :]
    try:
        softest = float(np.diagonal(np.linalg.cholesky(even)).min()) ** 2
    except np.linalg.LinAlgError:
        softest = 0.0
    if softest < LOOSE:
        raise InputError(
            "frame",
            f"{len(f)} movements",
            "must not be able to move freely",
            "hold it, or stiffen its joints",
        )
    return np.asarray(scale * np.linalg.solve(even, f * scale), dtype=np.float64)


def panel_shear(
    shear_modulus: float, thickness: float, width: float, height: float, pitch: float = 0.0, slip: float = inf
) -> float:
    """G t of a sheet fixed along its four edges, with what its fasteners give, N/mm.

    By energy, the shear flow q being even along the edges: each fastener carries q s and gives q s / K, so

        1 / (G t)_whole = 1 / (G t) + 2 s (1/w + 1/h) / K          (hand-derived)

    Args:
        shear_modulus: of the sheet in its plane, N/mm².
        thickness, width, height: mm.
        pitch: distance of the fasteners, mm; 0 for a glued sheet.
        slip: stiffness K of one fastener, N/mm (see `fastener_slip`).

    Errors: InputError for sizes of zero.
    """
    if not min(shear_modulus, thickness, width, height) > 0 or pitch < 0 or not slip > 0:
        text = f"{width:g} x {height:g} x {thickness:g} mm, G {shear_modulus:g}"
        raise InputError("panel", text, "must have sizes and stiffness above zero")
    return 1 / (1 / (shear_modulus * thickness) + 2 * pitch * (1 / width + 1 / height) / slip)


def fastener_slip(density: float, diameter: float, *, drilled: bool) -> float:
    """Stiffness of one fastener in shear, N/mm, for a mean density (kg/m³) and a diameter (mm).

    EN 1995-1-1 Table 7.1, from memory: rho^1.5 d / 23 for screws, dowels and nails in drilled holes,
    rho^1.5 d^0.8 / 30 for nails driven without.
    """
    if not (density > 0 and diameter > 0):
        raise InputError("fastener", f"{diameter:g} mm in {density:g} kg/m³", "must be more than zero")
    return float(density**1.5 * (diameter / 23 if drilled else diameter**0.8 / 30))


def sway_safety(stiffness: float, weight: float, height: float) -> float:
    """How many times its weight a rack could carry before it folds sideways.

    A weight W at height h, moved sideways by u, pushes on with W u / h; the frame pushes back K u: it stands
    while W < K h. The whole weight is put at the top. Hand-derived.

    Args:
        stiffness: sideways at the top, N/mm.
        weight: of the rack and its load, N.
        height: mm.
    """
    if not weight > 0:
        raise InputError("weight", f"{weight:g} N", "must be more than zero")
    return stiffness * height / weight
