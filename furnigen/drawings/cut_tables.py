"""What is cut into a board as rows of a table: every cut from one datum, its size, depth and face.

The board lies with the face up that is drawn first. The datum is its lower left corner on the bench: x along
the grain, y across, z up from the bench.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from furnigen.core.pose import Pose, Vector
from furnigen.cutting.features import (
    Feature,
    Hole,
    Other,
    Pocket,
    SawnEnd,
    Slanted,
    features_of,
    worked_faces,
)
from furnigen.cutting.joint_words import Sides
from furnigen.drawings.figures import figure_of
from furnigen.parts.forms.form import Board
from furnigen.parts.part import Part

SQUARE_TILT = 0.05
"""An angle less than this (degrees) is none."""
ACROSS = "across"
"""Depth of a cut that takes an end or edge off."""


_OVER = {"y-": "y+", "y+": "y-", "z-": "z+", "z+": "z-"}


@dataclass(frozen=True)
class Lying:
    """A board as it lies on the bench, the face with most to do up.

    Attributes:
        features: what is cut into it, in that position.
        turn: sends the part's own frame to that position.
        corners: of its outline where it is no rectangle, and of its windows: name, x, y (mm).
    """

    features: tuple[Feature, ...]
    turn: Pose
    corners: tuple[tuple[str, float, float], ...]


def lying(part: Part, board: Board) -> Lying:
    """A board with the face up that has most to do: as it is, or turned over about its length."""
    features, corners = features_of(part), outline_corners(board)
    if worked_faces(features)[0] == "z+":
        return Lying(features, Pose(), tuple(corners))
    wide, thick = board.width, board.thickness
    turn = Pose(((1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, -1.0)), (0.0, wide, thick))
    over = tuple(_turned_over(f, turn) for f in features)
    return Lying(over, turn, tuple((name, x, wide - y) for name, x, y in corners))


def _turned_over(f: Feature, turn: Pose) -> Feature:
    if isinstance(f, Hole):
        return replace(f, at=turn.apply(f.at), face=_over(f.face), toward=turn.turn(f.toward))
    if isinstance(f, SawnEnd):
        return replace(f, face=_over(f.face))
    if isinstance(f, Slanted):
        outline = tuple((x, turn.origin[1] - y) for x, y in reversed(f.outline))
        return replace(f, face=_over(f.face), outline=outline)
    a, b = turn.apply(f.lo), turn.apply(f.hi)
    lo, hi = (a[0], b[1], b[2]), (b[0], a[1], a[2])
    if isinstance(f, Other):
        return replace(f, lo=lo, hi=hi)
    return replace(f, lo=lo, hi=hi, opens=tuple(_over(o) for o in f.opens))


def _over(face: str) -> str:
    return _OVER.get(face, face)


@dataclass(frozen=True)
class CutLine:
    """One line of the table: cuts that are alike but for their place along the board.

    Attributes:
        number: its mark on the views.
        what: in words.
        face: the face it is cut from, of `furnigen.cutting.features.FACES`; empty for an outline.
        xs: places along the length (mm).
        y, z: across and up (mm); None where the cut runs all the way.
        size: what it measures, in words.
        depth: from its face, in words.
        marks: where its number stands, in the part's frame (mm).
    """

    number: int
    what: str
    face: str
    xs: tuple[float, ...]
    y: float | None
    z: float | None
    size: str
    depth: str
    marks: tuple[Vector, ...]

    def cells(self, sides: Sides, units: str) -> tuple[str, ...]:
        """As cells: number, what, face, x, y, z, size, depth."""

        def at(mm: float | None) -> str:
            return "" if mm is None else figure_of(mm, units)

        xs = "" if self.depth == ACROSS else ", ".join(at(x) for x in self.xs)
        face = sides.name(self.face) if self.face else ""
        return (str(self.number), self.what, face, xs, at(self.y), at(self.z), self.size, self.depth)


def cut_lines(features: Sequence[Feature], units: str) -> list[CutLine]:
    """The table of a board's cuts, numbered."""
    groups: dict[tuple[object, ...], list[tuple[float, Vector]]] = {}
    for f in features:
        for key, x, mark in _keyed(f, units):
            groups.setdefault(key, []).append((x, mark))
    lines = []
    for number, (key, places) in enumerate(groups.items(), 1):
        what, face, y, z, size, depth = key
        places.sort()
        lines.append(
            CutLine(
                number, str(what), str(face), tuple(x for x, _ in places), y, z, str(size), str(depth),  # type: ignore[arg-type]
                tuple(m for _, m in places),
            )
        )  # fmt: skip
    return lines


def outline_corners(board: Board) -> list[tuple[str, float, float]]:
    """Corners of a board that is no rectangle, and of its windows: name, x, y (mm)."""
    found = []
    if not board.rectangular:
        found += [(f"outline {k}", x, y) for k, (x, y) in enumerate(board.corners, 1)]
    for n, window in enumerate(board.windows, 1):
        found += [(f"window {n}, {k}", x, y) for k, (x, y) in enumerate(window, 1)]
    return found


_Keyed = tuple[tuple[object, ...], float, Vector]


def _keyed(f: Feature, units: str) -> list[_Keyed]:
    """What makes cuts alike, the place along the board, and where the mark stands."""

    def told(mm: float) -> str:
        return figure_of(mm, units)

    def near(mm: float) -> float:
        return round(mm, 3) + 0.0

    if isinstance(f, Hole):
        tilt = f", {f.tilt:.1f}° off square" if f.tilt > SQUARE_TILT else ""
        depth = "through" if f.through else told(f.depth)
        key = (f.name + tilt, f.face, near(f.at[1]), near(f.at[2]), f"⌀{told(f.diameter)}", depth)
        return [(key, f.at[0], f.at)]
    if isinstance(f, Pocket):
        a, b, c = f.size
        size = " x ".join((told(a), told(b), told(c)))
        depth = "through" if f.through else told(f.depth)
        # a quarter along: the middle is where other cuts cross it
        middle = tuple(p + (q - p) * s for p, q, s in zip(f.lo, f.hi, (0.25, 0.5, 0.5), strict=True))
        key = (f.name, f.face, near(f.lo[1]), near(f.lo[2]), size, depth)
        return [(key, f.lo[0], (middle[0], middle[1], middle[2]))]
    if isinstance(f, Slanted):
        rows: list[_Keyed] = []
        for n, (x, y) in enumerate(f.outline, 1):
            depth = "through" if f.through else told(f.depth)
            name = f"{f.name}, {f.angle:.1f}° off square, corner {n}"
            rows.append(((name, f.face, near(y), None, f"{told(f.wide)} wide", depth), x, (x, y, 0.0)))
        return rows
    if isinstance(f, SawnEnd):
        set_to = (("gauge", f.mitre), ("blade", f.bevel))
        said = ", ".join(f"{what} {angle:.1f}°" for what, angle in set_to if angle > SQUARE_TILT)
        return [((f.name, f.face, None, None, said, ACROSS), 0.0, (0.0, 0.0, 0.0))]
    assert isinstance(f, Other)
    size = " x ".join(told(q - p) for p, q in zip(f.lo, f.hi, strict=True))
    key = (f"{f.name}, slanted", "z+", near(f.lo[1]), near(f.lo[2]), size, "see view")
    return [(key, f.lo[0], f.lo)]
