"""Loose parts of joints in the load path: a spline, key or wedge is carried by what its joint joins.

It is in place to hold the joint, so the load path of the piece is found without it, and it is added after.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from furnigen.construction.load_path import HOLDS, LoadPath, SupportPlace
from furnigen.piece.description import Piece

if TYPE_CHECKING:
    from furnigen.mesh.contacts import Contact


def with_loose(path: LoadPath, piece: Piece, contacts: Iterable[Contact]) -> LoadPath:
    """The load path of a piece with its loose parts.

    Args:
        path: of the piece without them.
        contacts: which placements touch, loose parts among them.
    """
    if not piece.loose:
        return path
    touching: dict[tuple[str, str], Contact] = {}
    near: dict[str, list[str]] = {label: [] for label in piece.loose}
    for c in contacts:
        touching[c.a, c.b] = touching[c.b, c.a] = c
        for label, other in ((c.a, c.b), (c.b, c.a)):
            if label in near:
                near[label].append(other)
    rank = dict(path.rank)
    supports: dict[str, tuple[SupportPlace, ...]] = {}
    ranks: dict[str, int] = {}
    for joint in piece.joints:
        for label, way in joint.loose:
            if label not in piece.loose:
                continue
            box = piece.bounds_of(piece.placement(label))
            places = []
            for by in (joint.a, joint.b):
                face = touching.get((by, label))
                area = face.area_mm2 if face else 0.0
                places.append(SupportPlace(by, HOLDS, joint.kind, area, box.centre, box.lo, box.hi, way))
            supports[label] = tuple(places)
            steps = [rank[by] for by in (joint.a, joint.b) if rank.get(by)]
            ranks[label] = max(steps) + 1 if steps else 0
    # in the order of the piece, as all else
    labels = [p.label for p in piece.placements if p.label in supports]
    touches = {
        label: tuple(dict.fromkeys(x for x in near[label] if x not in {s.by for s in supports[label]}))
        for label in labels
    }
    return replace(
        path,
        supports=(*path.supports, *((label, supports[label]) for label in labels)),
        touches=(*path.touches, *touches.items()),
        order=(*path.order, *labels),
        rank=(*path.rank, *((label, ranks[label]) for label in labels)),
    )
