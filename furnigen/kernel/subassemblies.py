"""The tree of a piece's sub-assemblies, and which of them are one thing placed several times.

Two sub-assemblies are the same when they hold the same parts, called the same, at the same places relative
to each other. Names are compared without the sub-assembly's own name: `frame.1.front` in
`frame.1` and `frame.2.front` in `frame.2` are both `front`. A sub-assembly with a label that does not begin
with its name is never shared, for then its copies could not be distinguished by name.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from furnigen.core.pose import Pose
from furnigen.piece.description import Piece

SAME_MM = 1e-7
"""Places closer than this are one: the kernel's own measure of a coincident point."""
SAME_TURN = 1e-11
"""Largest difference between entries of two rotations that are one: SAME_MM over 10 m."""
_NUMBER = re.compile(r"[.\s_-]*\d+$")


@dataclass(eq=False)
class Component:
    """Something placed in a sub-assembly.

    Attributes:
        name: its whole name: the label of a placement, or the last name of a sub-assembly's path.
        pose: where it stands in the frame of the sub-assembly that holds it.
        part: number of the part; -1 for a sub-assembly.
        inner: the sub-assembly placed; None for a part.
    """

    name: str
    pose: Pose
    part: int = -1
    inner: Subassembly | None = None


@dataclass(eq=False)
class Subassembly:
    """What is placed as one.

    Attributes:
        name: whole name of the first copy.
        components: what it holds, in the order it was placed, in the frame of its first copy.
        shared: whether it, or what holds it, is placed more than once: then its components go by names
            without its own.
        names: what its copies are called where they are placed.
    """

    name: str
    components: list[Component] = field(default_factory=list)
    shared: bool = False
    names: list[str] = field(default_factory=list)

    @property
    def title(self) -> str:
        """What the thing itself is called: the name of its copies without their number."""
        if len(self.names) == 1:
            return self.names[0]
        stems = {_NUMBER.sub("", name) for name in self.names}
        stem = stems.pop()
        return self.names[0] if stems or not stem else stem

    def local(self, component: Component) -> str:
        """What a component is called in this sub-assembly."""
        return component.name.removeprefix(self.name + ".") if self.shared else component.name


_Member = tuple[tuple[str, ...], int]
"""Names of a placement and of what it is in, each without the name of what holds it; and its part."""


@dataclass(eq=False)
class _Content:
    """What a sub-assembly holds at all depths.

    Attributes:
        key: its members; None where it can not be shared.
        poses: where they stand in the room.
    """

    key: tuple[_Member, ...] | None
    poses: list[Pose]


def _content(node: Subassembly) -> _Content:
    key: list[_Member] | None = []
    poses: list[Pose] = []
    for component in node.components:
        prefix = node.name + "."
        if not component.name.startswith(prefix) or len(component.name) == len(prefix):
            key = None
        local = component.name.removeprefix(prefix)
        if component.inner is None:
            members: tuple[_Member, ...] | None = (((local,), component.part),)
            poses.append(component.pose)
        else:
            inner = _content(component.inner)
            members = inner.key and tuple(((local, *names), part) for names, part in inner.key)
            poses += inner.poses
        key = None if key is None or members is None else [*key, *members]
    return _Content(None if key is None else tuple(key), poses)


def _exact(value: float) -> float:
    """An entry of a rotation without the rounding of a right angle."""
    whole = round(value) + 0.0
    return whole if abs(value - whole) <= SAME_TURN else value


def _between(first: list[Pose], second: list[Pose]) -> Pose | None:
    """The one motion that sends all poses of `first` to those of `second`; None when there is none."""
    raw = second[0] @ first[0].inverse()
    (a, b, c), (d, e, f), (g, h, i) = (tuple(map(_exact, row)) for row in raw.rotation)
    x, y, z = (round(v, 9) + 0.0 for v in raw.origin)
    motion = Pose(((a, b, c), (d, e, f), (g, h, i)), (x, y, z))
    for one, two in zip(first, second, strict=True):
        moved = (motion @ one).matrix()
        for row, wanted in zip(moved[:3], two.matrix()[:3], strict=True):
            if any(abs(a - b) > SAME_TURN for a, b in zip(row[:3], wanted[:3], strict=True)):
                return None
            if abs(row[3] - wanted[3]) > SAME_MM:
                return None
    return motion


def tree_of(piece: Piece) -> Subassembly:
    """The piece as a tree, its root called by the piece's name; each shared sub-assembly is one object.

    Sub-assemblies stand where they are first placed something in, in the order of the placements.
    """
    root = Subassembly(piece.name)
    nodes: dict[tuple[str, ...], Subassembly] = {(): root}

    def node_at(path: tuple[str, ...]) -> Subassembly:
        if path not in nodes:
            holder = node_at(path[:-1])
            nodes[path] = Subassembly(path[-1])
            holder.components.append(Component(path[-1], Pose(), inner=nodes[path]))
        return nodes[path]

    for placement in piece.placements:
        component = Component(placement.label, placement.pose, placement.part)
        node_at(placement.path).components.append(component)
    _share(root, {})
    _name_copies(root)
    return root


def _share(node: Subassembly, first: dict[tuple[_Member, ...], list[tuple[Subassembly, list[Pose]]]]) -> None:
    """Put one sub-assembly in place of those that are the same, from the outside in.

    Args:
        first: the first of each, by what it holds, and where that stands in the room; added to.
    """
    for component in node.components:
        if component.inner is None:
            continue
        content = _content(component.inner)
        found = None
        if content.key is not None:
            alike = first.setdefault(content.key, [])
            tried = ((known, _between(poses, content.poses)) for known, poses in alike)
            found = next(((known, motion) for known, motion in tried if motion is not None), None)
            if found is None:
                alike.append((component.inner, content.poses))
        if found is None:
            _share(component.inner, first)
        else:
            component.inner, component.pose = found
            component.inner.shared = True


def _name_copies(node: Subassembly) -> None:
    """Note what the copies of each sub-assembly are called; all that a shared one holds is shared too."""
    for component in node.components:
        inner = component.inner
        if inner is None:
            continue
        inner.shared = inner.shared or node.shared
        inner.names.append(node.local(component))
        if len(inner.names) == 1:
            _name_copies(inner)
