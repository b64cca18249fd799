"""Hardware in the wood: the holes it needs are cut, it ends in its own wood, and nothing else is in its way.

What hardware is meant to fill is its own two members: there it displaces wood or fills its hole.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import pi

import numpy as np

from furnigen.core.array_types import Floats
from furnigen.core.facts import FastenerKind
from furnigen.core.finding import FAIL, PASS, Finding, name_labels
from furnigen.core.pose import dot
from furnigen.core.quantities import SAME_MM
from furnigen.core.wording import in_words
from furnigen.mesh.interference import find_interference
from furnigen.mesh.light_mesh import light_mesh, without_hardware_holes
from furnigen.mesh.model import MeshModel, PartMesh
from furnigen.mesh.scene import scene_of
from furnigen.parts.cuts import Bore
from furnigen.parts.volume.round_holes import axis_gap
from furnigen.piece.description import Piece, Placement
from furnigen.piece.hardware_places import HardwarePlace, hardware_places

LENGTH_SOURCE = "a fastener ends inside its own wood"
HOLE_SOURCE = "what is listed is cut"
ROOM_SOURCE = "two can not fill one space"
INSIDE_MM = 0.01
"""How far within an end its place is asked for: clear of a face it is flush with."""
_STEPS = 30
"""Halvings that find where a fastener leaves the wood, to a millionth of its length."""
BORED = {
    FastenerKind.DOWEL: 2,
    FastenerKind.BOLT: 2,
    FastenerKind.BARREL_NUT: 1,
    FastenerKind.SHELF_PIN: 1,
}
"""In how many members each needs a hole; a screw may cut its own."""


def check_hardware(piece: Piece, meshes: Sequence[PartMesh]) -> list[Finding]:
    """Whether hardware ends in its own wood and has its holes; nothing for a piece without any.

    Args:
        meshes: of the piece's parts, for those that only the kernel can make.
    """
    places = hardware_places(piece)
    if not places:
        return []
    return [*_lengths(piece, meshes, places), *_holes(piece, places)]


def check_hardware_room(piece: Piece, model: MeshModel, deflection_mm: float = 0.0) -> list[Finding]:
    """Whether hardware as solids runs into other hardware, or into wood that is not its own.

    Args:
        piece: without its hardware.
        model: its meshes with those of its hardware (see `furnigen.piece.hardware_places.with_hardware`).
        deflection_mm: tessellation tolerance of curved faces.

    Raises: GeometryError naming a part whose mesh is no closed solid.
    """
    places = hardware_places(piece)
    if not places:
        return []
    scene = scene_of(model)
    number = {copy.label: k for k, copy in enumerate(model.instances)}
    wood = len(model.instances) - len(places)
    own = {frozenset(pair) for pair in _meant(places, number)}
    asked = [
        max(i, j) >= wood and frozenset((i, j)) not in own for i, j in scene.pairs.tolist()
    ]  # wood against wood is asked for without hardware
    found = find_interference(
        replace(scene, pairs=scene.pairs[np.array(asked, dtype=bool)]), deflection_mm
    ).overlaps
    if not found:
        return [Finding("hardware-room", PASS, len(places), None, "fasteners", "", ROOM_SOURCE)]
    return [
        Finding(
            "hardware-room",
            FAIL,
            o.volume_mm3,
            0.0,
            "mm3",
            f"{o.a} and {o.b}",
            ROOM_SOURCE,
            f"they meet about ({', '.join(f'{c:.1f}' for c in o.centre)}): set one off, or use a shorter one",
        )
        for o in found
    ]


def _meant(places: Iterable[HardwarePlace], number: dict[str, int]) -> Iterable[tuple[int, int]]:
    """Pairs of copies of which one is meant to be in the other."""
    bolts: list[HardwarePlace] = []
    for one in places:
        members = [one.joint.a, one.joint.b]
        if one.kind is FastenerKind.SHELF_PIN:
            members.pop()  # the shelf lies on it
        yield from ((number[one.label], number[m]) for m in members if m in number)
        if one.kind is FastenerKind.BOLT:
            bolts.append(one)
        elif one.kind is FastenerKind.BARREL_NUT:
            mine = (b for b in bolts if b.joint == one.joint)
            yield from ((number[one.label], number[b.label]) for b in mine)


# -- ends in its wood ----------------------------------------------------------------------------


def _lengths(piece: Piece, meshes: Sequence[PartMesh], places: Sequence[HardwarePlace]) -> Iterable[Finding]:
    whole = _Whole(piece, meshes)
    out: dict[tuple[str, str, FastenerKind, float], list[tuple[HardwarePlace, float]]] = {}
    for one, is_in in zip(places, whole.hold(places, [p.length_mm - INSIDE_MM for p in places]), strict=True):
        if not is_in:
            key = (one.joint.b, one.joint.a, one.kind, one.length_mm)
            out.setdefault(key, []).append((one, whole.wood_along(one)))
    for (b, a, kind, length), which in out.items():
        room = min(mm for _, mm in which)
        yield Finding(
            "fastener-length",
            FAIL,
            length,
            room,
            "mm",
            f"{kind} of {b} to {a}: {name_labels([one.label for one, _ in which])}",
            LENGTH_SOURCE,
            f"use one of less than {in_words(room)}, or set it where there is more wood",
        )
    if not out:
        yield Finding("fastener-length", PASS, len(places), None, "fasteners", "", LENGTH_SOURCE)


class _Whole:
    """The members of joints as meshes without holes for hardware, asked what is inside them."""

    def __init__(self, piece: Piece, meshes: Sequence[PartMesh]) -> None:
        self.piece, self.meshes = piece, meshes
        self._corners: dict[int, Floats] = {}

    def _triangles(self, index: int) -> Floats:
        """(n, 3, 3) corners of the triangles of a part."""
        if index not in self._corners:
            part = self.piece.parts[index]
            mesh = self.meshes[index] if part.form.needs_kernel else light_mesh(without_hardware_holes(part))
            self._corners[index] = mesh.vertices[mesh.faces]
        return self._corners[index]

    def hold(self, places: Sequence[HardwarePlace], along: Sequence[float]) -> list[bool]:
        """Whether a point of each, so far from its first end (mm), is inside either of its members."""
        found = [False] * len(places)
        asked: dict[str, list[int]] = {}
        for k, one in enumerate(places):
            for label in (one.joint.a, one.joint.b):
                if label in self.piece.by_label:
                    asked.setdefault(label, []).append(k)
                else:
                    found[k] = True  # a wall
        for label, which in asked.items():
            placement = self.piece.placement(label)
            inside = placement.pose.inverse()
            points = np.array([inside.apply(places[k].at(along[k])) for k in which])
            held = _inside(points, self._triangles(placement.part))
            for k, is_in in zip(which, held.tolist(), strict=True):
                found[k] = found[k] or is_in
        return found

    def wood_along(self, one: HardwarePlace) -> float:
        """How long it could be (mm): where its axis leaves the wood, from its first end."""
        low, high = INSIDE_MM, one.length_mm
        for _ in range(_STEPS):
            middle = (low + high) / 2
            if self.hold([one], [middle])[0]:
                low = middle
            else:
                high = middle
        return low


def _inside(points: Floats, triangles: Floats) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Which points lie inside a closed mesh: the solid angle it is seen under is the whole sphere.

    Source: A. van Oosterom and J. Strackee, The solid angle of a plane triangle (1983), from memory.
    """
    a, b, c = (triangles[None, :, k] - points[:, None] for k in range(3))
    la, lb, lc = (np.linalg.norm(v, axis=2) for v in (a, b, c))
    volume = np.einsum("ijk,ijk->ij", a, np.cross(b, c))
    flat = la * lb * lc + sum(
        np.einsum("ijk,ijk->ij", u, v) * w for u, v, w in ((a, b, lc), (b, c, la), (c, a, lb))
    )
    seen = 2 * np.arctan2(volume, flat).sum(axis=1)
    out: np.ndarray[tuple[int], np.dtype[np.bool_]] = seen > 2 * pi
    return out


# -- has its holes -------------------------------------------------------------------------------


def _holes(piece: Piece, places: Sequence[HardwarePlace]) -> Iterable[Finding]:
    """Hardware that needs a hole and has none to fit it."""
    bored: dict[str, list[Bore]] = {}
    missing: dict[tuple[str, str, FastenerKind], list[str]] = {}
    seen = 0
    for one in places:
        need = BORED.get(one.kind, 0)
        if not need:
            continue
        seen += 1
        have = 0
        for label in (one.joint.a, one.joint.b):
            placement = piece.by_label.get(label)
            if placement is None:
                need -= 1
                continue
            if label not in bored:
                bored[label] = _bores(piece, placement)
            have += any(_fits(one, hole) for hole in bored[label])
        if have < need:
            missing.setdefault((one.joint.b, one.joint.a, one.kind), []).append(one.label)
    for (b, a, kind), labels in missing.items():
        yield Finding(
            "hardware-holes",
            FAIL,
            len(labels),
            0,
            "fasteners",
            f"{kind} of {b} to {a}: {name_labels(labels)}",
            HOLE_SOURCE,
            "no hole of its size is cut where it goes: move the joint within both members",
        )
    if seen and not missing:
        yield Finding("hardware-holes", PASS, seen, None, "fasteners", "", HOLE_SOURCE)


def _bores(piece: Piece, placement: Placement) -> list[Bore]:
    cuts = piece.part_of(placement).cuts
    return [c.moved(placement.pose) for c in cuts if isinstance(c, Bore) and c.takes is not None]


def _fits(one: HardwarePlace, hole: Bore) -> bool:
    """Whether a hole is this one's: of its kind, on its axis, wide and deep enough for what is in it."""
    if hole.takes is not one.kind or hole.diameter < one.diameter_mm - SAME_MM:
        return False
    if abs(dot(hole.direction, one.way)) < 0.999 or axis_gap(_shaft(one), hole) > SAME_MM:
        return False
    start = sum((hole.start[i] - one.point[i]) * one.way[i] for i in range(3))
    end = sum((hole.end[i] - one.point[i]) * one.way[i] for i in range(3))
    low, high = min(start, end), max(start, end)
    first, last = one.sunk_mm, one.sunk_mm + one.length_mm
    # it fills the hole from its mouth: one end of it lies in the hole, or it goes right through
    reaches_in = low - SAME_MM <= last <= high + SAME_MM or low - SAME_MM <= first <= high + SAME_MM
    return reaches_in or (first <= low + SAME_MM and last >= high - SAME_MM)


def _shaft(one: HardwarePlace) -> Bore:
    return Bore(one.point, one.way, one.diameter_mm, one.length_mm)
