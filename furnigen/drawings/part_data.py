"""What a part sheet states, as values: size, outline, every cut from one datum. No paper and no kernel.

The part lies with the face up that is drawn first. The datum is its lower left corner on the bench: x along
the grain, y across, z up from the bench. What a sheet prints of a board is made from these values alone, so
the board can be built again from them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import atan2, degrees, inf
from typing import Literal

from furnigen.core.pose import Pose, Vector
from furnigen.cutting.features import Feature, Hole, Other, Pocket, SawnEnd, Slanted, features_of
from furnigen.parts.forms.form import Board
from furnigen.parts.forms.outline import Outline
from furnigen.parts.part import Part

SQUARE_TILT = 0.05
"""An angle less than this (degrees) is none."""
SAME_MM = 1e-3
Faces = tuple[tuple[Vector, ...], ...]
Shape = Literal["box", "hole", "hull", "outline"]
_OVER = {"y-": "y+", "y+": "y-", "z-": "z+", "z+": "z-"}


@dataclass(frozen=True)
class StatedCut:
    """One row of a part's table: cuts that are alike but for their place.

    Attributes:
        number: its mark on the views.
        what: in words.
        shape: "box", square to the board; "hole"; "hull", the convex body between `corners`; "outline", an
            end or edge that the outline gives already.
        face: the face it is cut from, of `furnigen.cutting.features.FACES`.
        places: the lowest corner of each box; where the axis of each hole enters the wood; corner 1 of each
            hull, which differ in x only (mm).
        size: of a box along x, y, z (mm).
        diameter: of a hole (mm).
        depth: from the face, of a hole along its axis (mm); infinite where it goes through. A hole goes on
            outward from where its axis enters.
        toward: unit vector along a hole, into the wood.
        corners: of the first hull (mm); the others lie as far from it as their places do.
        stated: those of `corners` that are printed, and which of x, y, z each needs; the others lie on the
            outside of the blank.
        angle: of a saw cut, gauge and blade (degrees).
    """

    number: int
    what: str
    shape: Shape
    face: str
    places: tuple[Vector, ...]
    size: Vector = (0.0, 0.0, 0.0)
    diameter: float = 0.0
    depth: float = inf
    toward: Vector = (0.0, 0.0, 0.0)
    corners: tuple[Vector, ...] = ()
    stated: tuple[tuple[float | None, float | None, float | None], ...] = ()
    angle: tuple[float, float] = (0.0, 0.0)

    @property
    def tilt(self) -> float:
        """Of a hole off square to its face (degrees)."""
        axis = "xyz".index(self.face[0])
        along = abs(self.toward[axis])
        across = max(0.0, 1.0 - along * along) ** 0.5
        return degrees(atan2(across, along))

    @property
    def sightline(self) -> float:
        """Of a tilted hole in a broad face: the line it runs along, from x towards y (degrees, to 180)."""
        return degrees(atan2(self.toward[1], self.toward[0]))


@dataclass(frozen=True)
class PartData:
    """A part as its sheet states it.

    Attributes:
        kind: of its form.
        is_board: whether it is one; of other parts only kind and size are stated here.
        size: length, width, thickness as it lies, finished (mm).
        turn: sends the part's own frame to the position it lies in.
        outline: its corners, counter-clockwise (mm); empty for a rectangle.
        windows: outlines cut clean through (mm).
        round_edge: the edge that is rounded over the whole thickness, and the radius (mm); None for none.
        cuts: rows of the table.
    """

    kind: str
    is_board: bool
    size: Vector
    turn: Pose
    outline: Outline = ()
    windows: tuple[Outline, ...] = ()
    round_edge: tuple[str, float] | None = None
    cuts: tuple[StatedCut, ...] = ()


def part_data(part: Part) -> PartData:
    """What the sheet of a part states."""
    form, board = part.form, part.form.as_board
    if board is None:
        return PartData(form.kind, False, form.blank_mm, Pose())
    features, turn = lying(part, board)
    thick = board.thickness
    flipped = turn != Pose()

    def over(outline: Outline) -> Outline:
        if not flipped:
            return outline
        return tuple((x, board.width - y) for x, y in reversed(outline))

    edge = None
    if board.shaped_edge is not None:
        box = board.shaped_edge
        edge = ("y+" if flipped else "y-", box.hi[1] - box.lo[1])
    outline = () if board.shaped_edge is not None or _is_rectangle(board) else over(board.corners)
    windows = tuple(over(w) for w in board.windows)
    return PartData(form.kind, True, board.blank_mm, turn, outline, windows, edge, _grouped(features, thick))


def _is_rectangle(board: Board) -> bool:
    """Whether a board's outline is that of its blank, whatever windows it has."""
    if board.rectangular:
        return True
    near = [
        min(abs(x), abs(x - board.length)) < SAME_MM and min(abs(y), abs(y - board.width)) < SAME_MM
        for x, y in board.corners
    ]
    return len(board.corners) == 4 and all(near)


def lying(part: Part, board: Board) -> tuple[tuple[Feature, ...], Pose]:
    """What is cut into a board as it lies with the face up that has most to do, and how it is turned so."""
    features = features_of(part)
    wide, thick = board.width, board.thickness
    faces = [
        _made_from(f, thick)
        for f in features
        if not isinstance(f, SawnEnd) and not getattr(f, "through", False)
    ]
    if faces.count("z+") >= faces.count("z-"):
        return features, Pose()
    turn = Pose(((1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, -1.0)), (0.0, wide, thick))
    return tuple(_turned_over(f, turn) for f in features), turn


def _made_from(f: Feature, thick: float) -> str:
    """The face a feature is cut from; a slanted body without a face of its own: the broad one it opens."""
    if not isinstance(f, Other):
        return f.face
    low, high = (pick(p[2] for face in f.taken for p in face) for pick in (min, max))
    return "z-" if low < SAME_MM and high < thick - SAME_MM else "z+"


def _turned_over(f: Feature, turn: Pose) -> Feature:
    if isinstance(f, Hole):
        return replace(f, at=turn.apply(f.at), face=_over(f.face), toward=turn.turn(f.toward))
    if isinstance(f, Slanted):
        outline = tuple((x, turn.origin[1] - y) for x, y in reversed(f.outline))
        return replace(f, face=_over(f.face), outline=outline)
    if isinstance(f, Pocket):
        a, b = turn.apply(f.lo), turn.apply(f.hi)
        lo, hi = (a[0], b[1], b[2]), (b[0], a[1], a[2])
        return replace(f, lo=lo, hi=hi, opens=tuple(_over(o) for o in f.opens))
    taken = tuple(tuple(turn.apply(p) for p in face) for face in f.taken)
    if isinstance(f, SawnEnd):
        return replace(f, face=_over(f.face), taken=taken)
    a, b = turn.apply(f.lo), turn.apply(f.hi)
    return replace(f, lo=(a[0], b[1], b[2]), hi=(b[0], a[1], a[2]), taken=taken)


def _over(face: str) -> str:
    return _OVER.get(face, face)


def _grouped(features: Iterable[Feature], thick: float) -> tuple[StatedCut, ...]:
    """Rows, numbered; features that are alike but for their place are one row."""
    groups: dict[tuple[object, ...], list[StatedCut]] = {}
    # those of the face that is drawn first come first, those underneath last
    order = ("z+", "y-", "y+", "x-", "x+", "z-")
    for cut in sorted((_stated(f, thick) for f in features), key=lambda c: order.index(c.face)):
        groups.setdefault(_alike(cut), []).append(cut)
    rows = []
    for number, group in enumerate(groups.values(), 1):
        group.sort(key=lambda c: [(round(y, 3), round(z, 3), x) for x, y, z in c.places])
        places = tuple(p for c in group for p in c.places)
        rows.append(replace(group[0], number=number, places=places))
    return tuple(rows)


def _alike(cut: StatedCut) -> tuple[object, ...]:
    """Equal for cuts that differ in nothing but their place; slanted ones, in nothing but their x."""
    (x, y, z) = cut.places[0] if cut.places and cut.shape == "hull" else (0.0, 0.0, 0.0)

    def near(v: Iterable[float]) -> tuple[float, ...]:
        return tuple(round(a, 3) + 0.0 for a in v)

    shape = tuple(sorted(near((p[0] - x, p[1], p[2])) for p in cut.corners))
    sizes = near((*cut.size, cut.diameter, cut.depth if cut.depth < inf else -1.0, *cut.toward, *cut.angle))
    return (cut.what, cut.shape, cut.face, near((y, z)), sizes, shape)


def _stated(f: Feature, thick: float) -> StatedCut:
    """A feature as a row of its own, number 0."""
    if isinstance(f, Hole):
        depth = inf if f.through else f.depth
        return StatedCut(
            0, f.name, "hole", f.face, (f.at,), diameter=f.diameter, depth=depth, toward=f.toward
        )
    if isinstance(f, Pocket):
        depth = inf if f.through else f.depth
        return StatedCut(0, f.name, "box", f.face, (f.lo,), size=f.size, depth=depth)
    if isinstance(f, Slanted):
        return _slanted(f, thick)
    if isinstance(f, SawnEnd) and not f.taken:
        return StatedCut(0, f.name, "outline", f.face, (), angle=(f.mitre, f.bevel))
    corners, stated = _body(f.taken)
    angle = (f.mitre, f.bevel) if isinstance(f, SawnEnd) else (0.0, 0.0)
    face = _made_from(f, thick)
    return StatedCut(0, f.name, "hull", face, (corners[0],), corners=corners, stated=stated, angle=angle)


def _slanted(f: Slanted, thick: float) -> StatedCut:
    """A body upright on its outline; the first corner is the lowest, then counter-clockwise."""
    first = min(range(len(f.outline)), key=lambda k: (round(f.outline[k][1], 3), round(f.outline[k][0], 3)))
    ring = f.outline[first:] + f.outline[:first]
    levels = (thick, thick - f.depth) if f.face == "z+" else (0.0, f.depth)
    return StatedCut(
        0,
        f"{f.name}, {round(f.angle, 1):.10g}° off square",
        "hull",
        f.face,
        ((ring[0][0], ring[0][1], levels[0]),),
        size=(f.wide, 0.0, 0.0),
        depth=inf if f.through else f.depth,
        corners=tuple((x, y, z) for z in levels for x, y in ring),
        stated=tuple((x, y, None) for x, y in ring),
    )


def _body(
    faces: Faces,
) -> tuple[tuple[Vector, ...], tuple[tuple[float | None, float | None, float | None], ...]]:
    """Corners of a convex body, the stated ones first; of a straight one its section is stated, once."""
    every = _distinct(p for face in faces for p in face)
    slanted = _distinct(p for face in faces if not _square(face) for p in face) or every
    run = next((k for k in range(3) if _straight(every, k)), None)
    if run is None:
        return (*slanted, *(p for p in every if p not in slanted)), tuple((x, y, z) for x, y, z in slanted)
    low = min(p[run] for p in every)
    section = [p for p in slanted if abs(p[run] - low) < SAME_MM]
    others = [k for k in range(3) if k != run]
    mid = [sum(p[k] for p in section) / len(section) for k in others]
    section.sort(key=lambda p: atan2(p[others[1]] - mid[1], p[others[0]] - mid[0]))
    rest = [p for p in every if p not in section]
    stated = []
    for p in section:
        row: list[float | None] = [p[0], p[1], p[2]]
        row[run] = None
        stated.append((row[0], row[1], row[2]))
    return (*section, *rest), tuple(stated)


def _distinct(points: Iterable[Vector]) -> list[Vector]:
    found: list[Vector] = []
    for p in points:
        if not any(max(abs(a - b) for a, b in zip(p, q, strict=True)) < SAME_MM for q in found):
            found.append(p)
    return found


def _square(face: Sequence[Vector]) -> bool:
    """Whether a face of a body is square to an axis of the board."""
    return any(max(p[k] for p in face) - min(p[k] for p in face) < SAME_MM for k in range(3))


def _straight(points: Sequence[Vector], axis: int) -> bool:
    """Whether a body is alike all along an axis."""
    low, high = min(p[axis] for p in points), max(p[axis] for p in points)

    def end(at: float) -> list[Vector]:
        return [p for p in points if abs(p[axis] - at) < SAME_MM]

    first, last = end(low), end(high)
    if high - low < SAME_MM or len(first) + len(last) != len(points) or len(first) != len(last):
        return False
    others = [k for k in range(3) if k != axis]
    return all(any(all(abs(p[k] - q[k]) < SAME_MM for k in others) for q in last) for p in first)
