"""How the parts of a kit are connected: keys wherever two of them meet and there is room for one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from manifold3d import CrossSection, Manifold

from furnigen.core.array_types import Floats
from furnigen.core.facts import Fact, Joinery
from furnigen.joints.joint import Joint
from furnigen.mesh.contacts import Contact, Patch, find_contacts
from furnigen.mesh.model import MeshInstance, MeshModel, PartMesh
from furnigen.mesh.scene import Scene, scene_of
from furnigen.mockup.keys import Key, MeetingPlane, make_key, meeting_section, peg_layouts, tab_layouts
from furnigen.mockup.print_solids import solid_mesh
from furnigen.mockup.printer import PLASTIC, Printer
from furnigen.mockup.scaled_bodies import ScaledBody
from furnigen.mockup.wall_thickness import LOST_MM, thinnest_wall
from furnigen.piece.description import Piece

DEEPEST_MM = 4.0
"""Greatest depth of a key: deeper ones hold no better. Our own figure."""
EDGE, FACE, END, SIDE = "edge", "face", "end", "side"
GLUED, LOOSE = "glued", "loose"
_LOOK = (0.7, 0.7, 0.7)


@dataclass(frozen=True, eq=False)
class Connection:
    """Two parts that meet.

    Attributes:
        male, female: labels; the key grows from the first and goes into the second.
        kind: "tab", "peg", "glued" (face on face), or "loose" (with a clearance between).
        key: the key; None when there is none.
        rank: 0 where the piece has no joint there, 1 for a butt joint, 2 for others.
        area_mm2: where they meet.
        patches: the faces they meet with.
        why: why there is no key, "" when there is one.
    """

    male: str
    female: str
    kind: str
    key: Key | None
    rank: int
    area_mm2: float
    patches: tuple[Patch, ...]
    why: str = ""

    def without_key(self, why: str) -> Connection:
        """The same two parts, glued face on face."""
        return replace(self, kind=GLUED, key=None, why=why)


def scene_of_solids(name: str, labels: Sequence[str], solids: Sequence[Manifold]) -> Scene:
    """Solids in place, made ready for the checks of meshes."""
    parts = []
    for label, solid in zip(labels, solids, strict=True):
        v, f = solid_mesh(solid)
        parts.append(PartMesh(label, v, f, _LOOK, PLASTIC))
    copies = tuple(MeshInstance(label, k, np.eye(4)) for k, label in enumerate(labels))
    return scene_of(MeshModel(name, tuple(parts), copies))


def _only_lies(joint: Joint) -> bool:
    """Whether two parts only touch, whatever fastens them."""
    return joint.joinery is Joinery.BUTT and Fact.CARRIES_BY_ITS_SHAPE not in joint.facts


def find_connections(piece: Piece, bodies: Sequence[ScaledBody], printer: Printer) -> list[Connection]:
    """A connection for every two bodies that meet on a face, those by joints of the piece first."""
    contacts = find_contacts(
        scene_of_solids(piece.name, [b.label for b in bodies], [b.solid for b in bodies])
    )
    joints = {frozenset((j.a, j.b)): j for j in piece.joints}
    number = {b.label: k for k, b in enumerate(bodies)}
    ranked = []
    for contact in contacts:
        joint = joints.get(frozenset((contact.a, contact.b)))
        rank = 0 if joint is None else 1 if _only_lies(joint) else 2
        ends = (number[contact.a], number[contact.b])
        ranked.append((-rank, -round(contact.area_mm2, 2), *ends, rank, contact))
    ranked.sort(key=lambda r: r[:4])
    made = _Keys(bodies, printer)
    return [made.connect(contact, rank, joints) for *_, rank, contact in ranked]


def with_keys(bodies: Sequence[ScaledBody], connections: Sequence[Connection]) -> list[Manifold]:
    """The bodies with the keys of their connections."""
    solids = {b.label: b.solid for b in bodies}
    for c in connections:
        if c.key is not None:
            solids[c.male] = solids[c.male] + c.key.male
            solids[c.female] = solids[c.female] - c.key.female
    return list(solids.values())


def with_clearance(
    bodies: Sequence[ScaledBody], connections: Sequence[Connection], printer: Printer
) -> tuple[list[ScaledBody], list[Connection]]:
    """Boards made narrower by a clearance where they stand between two others without a key.

    A shelf that lies in a frame would else have to be printed to the last hair.
    """
    out, loose = list(bodies), set[int]()
    for k, body in enumerate(bodies):
        if body.kind != "board" or not printer.clearance_mm:
            continue
        for axis in (0, 1):
            sides = {sign: _at_side(body, sign * body.axes[axis], connections) for sign in (1.0, -1.0)}
            if not all(sides.values()) or any(c.key for mine in sides.values() for c in mine):
                continue
            solid = out[k].solid
            for sign in (1.0, -1.0):
                inward = -sign * body.axes[axis]
                edge = body.hi[axis] if sign > 0 else -body.lo[axis]
                solid = solid.trim_by_plane(inward.tolist(), -float(edge - printer.clearance_mm))
            out[k] = replace(out[k], solid=solid)
            loose |= {id(c) for mine in sides.values() for c in mine}
    return out, [replace(c, kind=LOOSE, why="room to slide") if id(c) in loose else c for c in connections]


def _at_side(body: ScaledBody, outward: Floats, connections: Sequence[Connection]) -> list[Connection]:
    """Connections of a body at one of its edges."""
    found = []
    for c in connections:
        if body.label not in (c.male, c.female):
            continue
        for patch in c.patches:
            ahead = (np.array(patch.centre) @ body.axes.T - (body.lo + body.hi) / 2) @ body.axes @ outward
            if abs(np.array(patch.normal) @ outward) > 0.99 and ahead > 0:
                found.append(c)
                break
    return found


class _Keys:
    """Finds keys one by one, each clear of those before."""

    def __init__(self, bodies: Sequence[ScaledBody], printer: Printer) -> None:
        self._bodies = {b.label: b for b in bodies}
        self._now = {b.label: b.solid for b in bodies}
        self._males: dict[str, list[Manifold]] = {b.label: [] for b in bodies}
        self._females: dict[str, list[Manifold]] = {b.label: [] for b in bodies}
        self._walls: dict[str, float] = {}
        self._printer = printer

    def connect(self, contact: Contact, rank: int, joints: Mapping[frozenset[str], Joint]) -> Connection:
        """The connection of two bodies that meet."""
        patch = max(contact.patches, key=lambda p: (round(p.area_mm2, 3), p.centre))
        a, b = self._bodies[contact.a], self._bodies[contact.b]
        normal = np.array(patch.normal)
        why = "no room for a key"
        plain = Connection(a.label, b.label, GLUED, None, rank, contact.area_mm2, contact.patches, why)
        if patch.area_mm2 < self._printer.wall_mm**2:
            return plain
        joint = joints.get(frozenset((a.label, b.label)))
        for male, female, up, pegs in _roles(a, b, normal, joint.b if joint else ""):
            key = self._key(male, female, up, patch, pegs)
            if key is not None:
                self._keep(male.label, female.label, key)
                return replace(plain, male=male.label, female=female.label, kind=key.kind, key=key, why="")
        return plain

    def _key(self, male: ScaledBody, female: ScaledBody, up: Floats, patch: Patch, pegs: bool) -> Key | None:
        wall, gap = self._printer.wall_mm, self._printer.clearance_mm
        plane = MeetingPlane.at(np.array(patch.centre), up, male.axes[int(np.argmin(np.abs(male.axes @ up)))])
        first, second = plane.local(self._now[male.label]), plane.local(self._now[female.label])
        section = meeting_section(first, second) ^ _window(plane, patch)
        reach = second.bounding_box()[5]
        through = _side_of(female, up) == FACE and reach <= DEEPEST_MM
        depth = reach if through else min(DEEPEST_MM, max(2 * wall, 0.3 * reach), reach - 1.5 * wall)
        if depth < wall:
            return None
        kind = "peg" if pegs else "tab"
        layouts = peg_layouts(section, wall, gap) if pegs else tab_layouts(section, wall)
        for shapes in layouts:
            key = make_key(plane, second, shapes, depth, through, gap, wall, kind)
            if (
                key is not None
                and self._clear(male.label, female.label, key)
                and self._leaves_walls(female.label, key)
            ):
                return key
        return None

    def _clear(self, male: str, female: str, key: Key) -> bool:
        """Whether a key leaves a wall to every other key of its two parts, and hits no third part."""
        room = self._printer.wall_mm
        near = [*self._females[female], *self._males[female]]
        if any(key.female.min_gap(other, room) < room - 1e-6 for other in near):
            return False
        if any(key.male.min_gap(other, room) < room - 1e-6 for other in self._females[male]):
            return False
        box = np.array(key.male.bounding_box())
        for label, solid in self._now.items():
            if label in (male, female):
                continue
            other = np.array(solid.bounding_box())
            meets = (box[:3] < other[3:]).all() and (box[3:] > other[:3]).all()
            if meets and (solid ^ key.male).volume() > 1e-4:
                return False
        return True

    def _leaves_walls(self, female: str, key: Key) -> bool:
        """Whether a part stays as thick everywhere as it was, or as prints."""
        wall = self._printer.wall_mm
        if female not in self._walls:
            self._walls[female] = thinnest_wall(*solid_mesh(self._now[female]), wall)[0]
        left = thinnest_wall(*solid_mesh(self._now[female] - key.female), wall)[0]
        return left >= self._walls[female] - LOST_MM

    def _keep(self, male: str, female: str, key: Key) -> None:
        self._now[male] = self._now[male] + key.male
        self._now[female] = self._now[female] - key.female
        self._males[male].append(key.male)
        self._females[female].append(key.female)


def _side_of(body: ScaledBody, normal: Floats) -> str:
    """Which side of a body faces along a direction."""
    lean = abs(float(body.axes[2] @ normal))
    if body.kind == "board":
        return FACE if lean > 0.9 else EDGE if lean < 0.2 else SIDE
    if body.kind == "round":
        return END if lean > 0.7 else SIDE
    return END


def _roles(
    a: ScaledBody, b: ScaledBody, normal: Floats, enters: str
) -> Iterator[tuple[ScaledBody, ScaledBody, Floats, bool]]:
    """Which of two parts bears the key, its direction, and whether it is made of pegs; the best first."""
    one, two = _side_of(a, normal), _side_of(b, normal)
    small, large, out = (a, b, normal) if _rank(a, enters) <= _rank(b, enters) else (b, a, -normal)
    if {one, two} == {EDGE, FACE}:
        yield (a, b, normal, False) if one == EDGE else (b, a, -normal, False)
    elif (one, two) == (EDGE, EDGE):
        yield small, large, out, False
        yield large, small, -out, False
    elif SIDE not in (one, two):
        if END in (one, two) and one != two:
            yield (a, b, normal, True) if one == END else (b, a, -normal, True)
        else:
            yield small, large, out, True
            yield large, small, -out, True


def _rank(body: ScaledBody, enters: str) -> tuple[bool, float]:
    return (body.label != enters, round(body.solid.volume(), 3))


def _window(plane: MeetingPlane, patch: Patch) -> CrossSection:
    """The box of a patch, in the plane."""
    lo, hi = np.array(patch.lo), np.array(patch.hi)
    corners = np.array([[(lo, hi)[k >> m & 1][m] for m in range(3)] for k in range(8)])
    flat = (corners - plane.matrix[:, 3]) @ plane.matrix[:, :2]
    low, high = flat.min(axis=0) - 0.01, flat.max(axis=0) + 0.01
    return CrossSection.square((high - low).tolist()).translate(low.tolist())
