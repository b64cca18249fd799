"""Plane frames with joints that give: how far a rack sways, and what a back panel or brace adds.

x to the right, z up, mm and N; turns and moments count from x toward z (counter-clockwise).

The ends of a member turn against its nodes by their moment over a spring k (rigid: inf, a hinge: 0), and a
deep one gives by shear: S = 5/6 G A (Timoshenko; inf for a slender one). Turns of the nodes from its chord
make moments by the inverse of

    (f  -g; -g  f) + diag(1/k_a, 1/k_b),    f = L / 3EI + 1 / S L,    g = L / 6EI - 1 / S L

With p = 1 / (1 + 1 / (k f)), which is 1 for a rigid end and 0 for a hinge, that is (worked out by hand)

    1 / (f² - g² p_a p_b) (f p_a  g p_a p_b; g p_a p_b  f p_b)

and EA/L resists along it. An even load w across it turns the ends of a simple span by w L³ / 24 EI, so its
moments on the nodes are that matrix times that. A shear panel between four nodes stores
1/2 G t w h gamma², gamma = du/dz + dw/dx taken from its corners. A node that nothing keeps from
turning is left out; a frame that can move without bending is refused.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from furnigen.core.errors import InputError
from furnigen.strength.solver.banded import BandedStiffness

Array = NDArray[np.float64]
LOOSE = 1e-11
"""A pivot of the scaled stiffness (its diagonal is 1) below which a frame counts as a mechanism."""


@dataclass(frozen=True, slots=True)
class FrameMember:
    """A straight member between two nodes.

    Attributes:
        a, b: indices of its nodes.
        ea: stiffness along, N.
        ei: stiffness against bending in the plane, N mm².
        spring_a, spring_b: stiffness of its joints against turning, N mm per radian; inf is rigid, 0 a hinge.
        load: even load along it, (x, z) in N/mm of its length.
        shear: stiffness against shear 5/6 G A, N; inf for a slender member.
        rigid_a, rigid_b: how far from its nodes what bends begins and ends, mm: within a deep member that it
            meets nothing bends. Joints and loads are at these ends.
    """

    a: int
    b: int
    ea: float
    ei: float
    spring_a: float = inf
    spring_b: float = inf
    load: tuple[float, float] = (0.0, 0.0)
    shear: float = inf
    rigid_a: float = 0.0
    rigid_b: float = 0.0


@dataclass(frozen=True, slots=True)
class ShearPanel:
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


class PlaneFrame(NamedTuple):
    """A frame under its loads.

    Attributes:
        nodes: (x, z) of each, mm.
        members: bars between them.
        held: for nodes that are held, whether x, z and turn are.
        forces: (x, z, moment) on nodes, N and N mm.
        panels: sheets.
    """

    nodes: Sequence[tuple[float, float]]
    members: Sequence[FrameMember]
    held: Mapping[int, tuple[bool, bool, bool]]
    forces: Mapping[int, tuple[float, float, float]]
    panels: Sequence[ShearPanel] = ()

    @property
    def net(self) -> tuple[object, ...]:
        """What joins and holds which nodes, whatever the sizes: frames of one net are solved at once."""
        panels = [(p.bottom_left, p.bottom_right, p.top_left, p.top_right) for p in self.panels]
        ends = tuple([(m.a, m.b) for m in self.members])
        return len(self.nodes), ends, tuple(self.held.items()), tuple(self.forces), tuple(panels)


def _bending(ei: Array, shear: Array, length: Array, springs: Array) -> tuple[Array, Array, Array]:
    """Moments at ends a and b of members for turns of nodes from the chord, N mm per radian: at a for a,
    at either for the other, at b for b; see the module docstring.

    Args:
        springs: (..., 2) at a and b, N mm per radian.
    """
    sheared = 1 / (shear * length)
    f, g = length / (3 * ei) + sheared, length / (6 * ei) - sheared
    with np.errstate(divide="ignore"):  # a hinge holds nothing
        a, b = (1 / (1 + 1 / (springs[..., k] * f)) for k in (0, 1))
    whole = f**2 - g**2 * a * b
    return f * a / whole, g * a * b / whole, f * b / whole


def _local(along: Array, length: Array, turning: tuple[Array, Array, Array]) -> Array:
    """(..., 6, 6) stiffness of members along their own axes: EA/L and `_bending`."""
    near, far, other = turning
    q, r = (near + far) / length, (far + other) / length
    p = (q + r) / length
    k = np.zeros((*length.shape, 6, 6))
    k[..., 0, 0], k[..., 0, 3], k[..., 3, 0], k[..., 3, 3] = along, -along, -along, along
    for i, row in (
        (1, (p, q, -p, r)),
        (2, (q, near, -q, far)),
        (4, (-p, -q, p, -r)),
        (5, (r, far, -r, other)),
    ):
        k[..., i, 1], k[..., i, 2], k[..., i, 4], k[..., i, 5] = row
    return k


def _turned(c: Array, s: Array) -> Array:
    """(..., 6, 6) from the frame's directions to those of members."""
    t = np.zeros((*c.shape, 6, 6))
    for i in (0, 3):
        t[..., i, i], t[..., i, i + 1], t[..., i + 1, i], t[..., i + 1, i + 1] = c, s, -s, c
        t[..., i + 2, i + 2] = 1.0
    return t


def _sheared(frames: Sequence[PlaneFrame], places: Array) -> tuple[NDArray[np.intp], Array]:
    """(p, 8) which movements strain each panel, and (frames, p, 8, 8) their stiffness, N/mm."""
    corner = np.array([(p.bottom_left, p.bottom_right, p.top_left, p.top_right) for p in frames[0].panels])
    shear = np.array([[p.shear for p in frame.panels] for frame in frames])
    w = np.abs(places[:, corner[:, 1], 0] - places[:, corner[:, 0], 0])
    h = np.abs(places[:, corner[:, 2], 1] - places[:, corner[:, 0], 1])
    for k, i in np.argwhere(~((w > 0) & (h > 0) & (shear > 0))).tolist():
        raise InputError("panel", f"{w[k, i]:g} x {h[k, i]:g} mm", "must have a size and a stiffness")
    x, z = 1 / (2 * h), 1 / (2 * w)
    strain = np.stack([-x, -x, x, x, -z, z, -z, z], axis=-1)
    stiff = (shear * w * h)[..., None, None] * strain[..., :, None] * strain[..., None, :]
    return np.concatenate([3 * corner, 3 * corner + 1], axis=1), stiff


def solve_frame(
    nodes: Sequence[tuple[float, float]],
    members: Sequence[FrameMember],
    held: Mapping[int, tuple[bool, bool, bool]],
    forces: Mapping[int, tuple[float, float, float]],
    panels: Sequence[ShearPanel] = (),
) -> Sway:
    """One frame under its loads. Args: as `PlaneFrame`. Raises: as `solve_frames`."""
    return solve_frames([PlaneFrame(nodes, members, held, forces, panels)])[0]


def solve_frames(frames: Sequence[PlaneFrame]) -> list[Sway]:
    """Some frames under their loads, those of one net at once; each comes out as it does alone.

    Raises: InputError for a member without length, or a frame that can move freely.
    """
    nets: dict[tuple[object, ...], list[int]] = {}
    for number, frame in enumerate(frames):
        nets.setdefault(frame.net, []).append(number)
    found: dict[int, Sway] = {}
    for numbers in nets.values():
        found.update(zip(numbers, _solve_alike([frames[n] for n in numbers]), strict=True))
    return [found[number] for number in range(len(frames))]


def _solve_alike(frames: Sequence[PlaneFrame]) -> list[Sway]:
    """As `solve_frames`, frames of one net."""
    first, many = frames[0], len(frames)
    places = np.array([frame.nodes for frame in frames], dtype=float)
    size = 3 * places.shape[1]
    ends_at = np.array([(m.a, m.b) for m in first.members], dtype=np.intp).reshape(-1, 2)
    given = np.array(
        [
            (m.ea, m.ei, m.shear, m.spring_a, m.spring_b, m.rigid_a, m.rigid_b, *m.load)
            for frame in frames
            for m in frame.members
        ]
    ).reshape(many, -1, 9)
    ea, ei, shear = (given[..., k] for k in range(3))
    springs, rigid, load = given[..., 3:5], given[..., 5:7], given[..., 7:]
    sound = (ea > 0) & (ei > 0) & (shear > 0) & (springs >= 0).all(2)
    for k, i in np.argwhere(~sound).tolist():
        raise InputError(
            f"member {i}", frames[k].members[i], "needs a stiffness above zero and springs of zero or more"
        )
    span = places[:, ends_at[:, 1]] - places[:, ends_at[:, 0]]
    length = np.hypot(span[..., 0], span[..., 1])
    for k, i in np.argwhere((length <= rigid.sum(2)) | (rigid < 0).any(2)).tolist():
        m = frames[k].members[i]
        raise InputError(f"member {i}", f"from {m.a} to {m.b}", "must have a length beyond its rigid ends")
    turn = _turned(span[..., 0] / length, span[..., 1] / length)
    length = length - rigid.sum(2)
    # the ends of what bends move across with the turns of the nodes
    turn[..., 1, 2], turn[..., 4, 5] = rigid[..., 0], -rigid[..., 1]
    turning = _bending(ei, shear, length, springs)
    local = _local(ea / length, length, turning)
    along, across = np.moveaxis((turn[..., :2, :2] @ load[..., None])[..., 0], -1, 0) * length / 2
    simple = across * length**2 / (12 * ei)
    swing_a, swing_b = (turning[0] - turning[1]) * simple, (turning[1] - turning[2]) * simple
    shift = (swing_a + swing_b) / length
    even = np.stack([along, across + shift, swing_a, along, across - shift, swing_b], axis=-1)
    back = turn.swapaxes(-1, -2)
    own = (3 * ends_at[:, :, None] + np.arange(3)).reshape(-1, 6)
    strained, stiff = [own], [back @ local @ turn]
    f = np.zeros((many, size))
    np.add.at(f, np.s_[:, own], (back @ even[..., None])[..., 0])  # type: ignore[arg-type]
    if first.panels:
        moving, sheared = _sheared(frames, places)
        strained.append(moving)
        stiff.append(sheared)
    band = max((np.ptp(rows, axis=1).max(initial=0) for rows in strained), default=0)
    whole = BandedStiffness(size, int(band), many)
    for rows, one in zip(strained, stiff, strict=True):
        whole.add(rows, one)
    for node in first.forces:
        f[:, 3 * node : 3 * node + 3] += np.array([frame.forces[node] for frame in frames])
    still = np.zeros(size, dtype=bool)
    for node, fixed in first.held.items():
        still[3 * node : 3 * node + 3] = fixed
    held = still | (whole.diagonal == 0.0)
    moved, softest = whole.solved(f, held)
    for n in np.flatnonzero(softest < LOOSE).tolist():
        raise InputError(
            "frame",
            f"{np.count_nonzero(~held[n])} movements",
            "must not be able to move freely",
            "hold it, or stiffen its joints",
        )
    ends = (local @ (turn @ moved[:, own][..., None]))[..., 0] - even
    reactions = np.where(held, whole.times(moved) - f, 0.0)
    return [Sway(moved[n].reshape(-1, 3), reactions[n].reshape(-1, 3), ends[n]) for n in range(many)]


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

    Raises: InputError for sizes of zero.
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
