"""What is cut into a board as rows of a table: every cut from one datum, its size, depth and face.

The datum is the corner of the board at its low ends: x along the grain from the left end, y across from the lower
edge, z up from the lower face, as the face that is drawn first lies up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from furnigen.core.pose import Vector
from furnigen.cutting.features import Feature, Hole, Other, Pocket, SawnEnd, Slanted
from furnigen.cutting.joint_words import Sides
from furnigen.drawings.figures import figure_of
from furnigen.parts.forms.form import Board

SQUARE_TILT = 0.05
"""A hole less askew than this (degrees) is square to its face."""


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

        xs = ", ".join(at(x) for x in self.xs)
        face = sides.name(self.face) if self.face else ""
        return (str(self.number), self.what, face, xs, at(self.y), at(self.z), self.size, self.depth)


def cut_lines(board: Board, features: Sequence[Feature], units: str) -> list[CutLine]:
    """The table of a board's cuts, numbered; then its outline where it is no rectangle."""
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
        middle = tuple((p + q) / 2 for p, q in zip(f.lo, f.hi, strict=True))
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
        said = f"gauge {f.mitre:.1f}°, blade {f.bevel:.1f}°"
        return [((f.name, f.face, None, None, said, "across"), 0.0, (0.0, 0.0, 0.0))]
    assert isinstance(f, Other)
    size = " x ".join(told(q - p) for p, q in zip(f.lo, f.hi, strict=True))
    key = (f"{f.name}, slanted", "z+", near(f.lo[1]), near(f.lo[2]), size, "see view")
    return [(key, f.lo[0], f.lo)]
