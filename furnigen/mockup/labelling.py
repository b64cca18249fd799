"""Lettering of kit parts: raised on the face that is up as printed, clear of everything that touches it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from manifold3d import CrossSection, Manifold, OpType

from furnigen.core.array_types import Floats
from furnigen.mockup.keys import offset_section
from furnigen.mockup.letters import text_section
from furnigen.mockup.orientation import Orientation
from furnigen.mockup.printer import LETTER_DEPTH_MM, Printer
from furnigen.mockup.scaled_bodies import ScaledBody

TRIED = 9
"""Positions tried along each side of a face."""
_OVERLAP_MM = 0.1


@dataclass(frozen=True, eq=False)
class Lettering:
    """The lettering of a part.

    Attributes:
        text: "" for nothing.
        letters: in place in the mockup, overlapping the part a little; None for nothing.
        block: the box of the letters, to try them in place with fewer faces.
    """

    text: str = ""
    letters: Manifold | None = None
    block: Manifold | None = None


NONE = Lettering()


def unseen_sides(bodies: Sequence[ScaledBody]) -> dict[str, Floats]:
    """The direction in which each board's less seen face looks, by label; only of boards.

    Boards that lie look down with it, boards along the front look back, and the others look to the middle
    of the piece.
    """
    boxes = np.array([np.concatenate(b.bounds) for b in bodies])
    middle = (boxes[:, :3].min(axis=0) + boxes[:, 3:].max(axis=0)) / 2
    found = {}
    for body in bodies:
        if body.kind == "board":
            low, high = body.bounds
            inward = middle - (low + high) / 2
            looks = [inward[0] if abs(inward[0]) > _OVERLAP_MM else 1.0, 1.0, -1.0]
            face = body.axes[2]
            axis = int(np.argmax(np.round(np.abs(face), 6)))
            found[body.label] = face if face[axis] * looks[axis] > 0 else -face
    return found


def find_lettering(
    solid: Manifold,
    orientation: Orientation,
    thickness_mm: float,
    texts: Sequence[str],
    others: Sequence[Manifold],
    printer: Printer,
) -> Lettering:
    """The first of some texts that fits on the upper face of a part; nothing when none does.

    Args:
        solid: the part, in place in the mockup.
        orientation: how it lies on the bed, flat.
        thickness_mm: of its board: how high the upper face lies.
        texts: its label, then shorter names.
        others: parts near it, in place in the mockup.
    """
    laid = solid.transform(orientation.matrix)
    top = laid.slice(thickness_mm - _OVERLAP_MM / 2)
    taken = [
        laid.trim_by_plane((0.0, 0.0, 1.0), thickness_mm + 0.02).project(),
        *_above(others, orientation, thickness_mm),
    ]
    taken = [t for t in taken if not t.is_empty()]
    margin = printer.wall_mm
    free = offset_section(top, -margin)
    if taken:
        free = free - offset_section(CrossSection.batch_boolean(taken, OpType.Add), margin)
    if free.is_empty():
        return NONE
    for text in texts:
        letters = text_section(text, printer.wall_mm)
        for placed in _places(letters, free):
            x0, y0, x1, y1 = placed.bounds()
            block = CrossSection.square((x1 - x0, y1 - y0)).translate((x0, y0))
            back = np.column_stack([orientation.turn.T, -orientation.turn.T @ orientation.shift])
            low = thickness_mm - _OVERLAP_MM
            raised, whole = (
                Manifold.extrude(s, LETTER_DEPTH_MM + _OVERLAP_MM).translate((0, 0, low)).transform(back)
                for s in (placed, block)
            )
            return Lettering(text, raised, whole)
    return NONE


def _above(
    others: Sequence[Manifold], orientation: Orientation, thickness_mm: float
) -> Iterator[CrossSection]:
    """What stands on the upper face, or so near that letters would reach it."""
    for other in others:
        laid = other.transform(orientation.matrix)
        low, high = laid.bounding_box()[2], laid.bounding_box()[5]
        if low < thickness_mm + LETTER_DEPTH_MM and high > thickness_mm:
            # all of it there: a board halved into this one is open at the face, and closes a clearance above
            over = laid.trim_by_plane((0.0, 0.0, 1.0), thickness_mm)
            yield over.trim_by_plane((0.0, 0.0, -1.0), -(thickness_mm + LETTER_DEPTH_MM)).project()


def _places(letters: CrossSection, free: CrossSection) -> Iterator[CrossSection]:
    """Letters where they fit, along the face or across it, nearest its middle first."""
    x0, y0, x1, y1 = free.bounds()
    for turn in (0.0, 90.0):
        turned = letters.rotate(turn)
        a0, b0, a1, b1 = turned.bounds()
        room = (x1 - x0 - (a1 - a0), y1 - y0 - (b1 - b0))
        if min(room) < 0.0:
            continue
        block = CrossSection.square((a1 - a0, b1 - b0))
        for x, y in _grid(x0, y0, *room):
            # letters share no place with what is taken when their block lies in what is free
            if (block.translate((x, y)) - free).area() < 1e-6:
                yield turned.translate((x - a0, y - b0))


def _grid(x0: float, y0: float, wide: float, deep: float) -> Floats:
    shares = np.linspace(0.0, 1.0, TRIED)
    u, v = np.meshgrid(shares, shares, indexing="ij")
    order = np.argsort(np.round((u - 0.5) ** 2 + (v - 0.5) ** 2, 9).ravel(), kind="stable")
    places: Floats = np.stack([x0 + wide * u.ravel(), y0 + deep * v.ravel()], axis=1)[order]
    return places
