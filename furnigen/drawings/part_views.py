"""Which views a part needs, how they lie to each other, and what is dimensioned on each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import hypot, inf
from typing import Any

from furnigen.core.pose import Pose, dot
from furnigen.cutting.joint_words import Sides
from furnigen.drawings.chains import seen_stops
from furnigen.drawings.crossing_holes import crossing_bores, with_holes, without
from furnigen.drawings.cut_tables import MOST_PLACES, equal_step, outline_points
from furnigen.drawings.dimensions import Run, Side
from furnigen.drawings.figures import figure_of
from furnigen.drawings.layout import Laid
from furnigen.drawings.legible import CENTRE
from furnigen.drawings.part_data import SQUARE_TILT, PartData, StatedCut
from furnigen.drawings.views import Placed, Projection, View, view_of
from furnigen.paper.page import Item, Point, line
from furnigen.parts.cuts import Bore
from furnigen.parts.part import Part

_X, _Y, _Z = AXES = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
BY_FACE = {
    "z+": Projection("z+", _X, _Y),
    "z-": Projection("z-", _X, (0.0, -1.0, 0.0)),
    "y-": Projection("y-", _X, _Z),
    "y+": Projection("y+", _X, (0.0, 0.0, -1.0)),
    "x-": Projection("x-", _Z, _Y),
    "x+": Projection("x+", (0.0, 0.0, -1.0), _Y),
}
"""Each face of a part, in line with its main view z+ as if folded out from it."""
EDGE_MM = 0.05
GRAIN_MM = 36.0
"""Beside the title of the main view, for the grain (mm on paper)."""
SIGHT_MM = 18.0
"""How far the sightline of a tilted hole is drawn (mm on paper)."""
MOST_STOPS = 18
"""More places than this along a view are read from the table."""
_SEEN = {
    "y-": "Seen from the front",
    "x-": "Seen from the left",
    "z+": "Seen from above",
    "x+": "Seen from its end",
}


def needed_faces(data: PartData) -> list[str]:
    """The faces a board must be seen on: its main one, those worked on, and one where depths show."""
    faces = ["z+"]
    worked = {c.face for c in data.cuts if c.shape in ("box", "hole") or c.face[0] == "z"}
    if any(c.face == "z-" and c.shape != "outline" and c.depth < inf for c in data.cuts):
        faces.append("z-")
    edges = [f for f in ("y-", "y+", "x-", "x+") if f in worked]
    if alike_ends(data):
        edges.remove("x+")
    across = any(_shows(c, data, 1) for c in data.cuts)
    along = any(_shows(c, data, 0) for c in data.cuts) or data.round_edge is not None
    if across and not any(f[0] == "y" for f in edges):
        edges.append("y-" if _opens(data, "y-") >= _opens(data, "y+") else "y+")
    if along and not any(f[0] == "x" for f in edges):
        edges.append("x-" if _opens(data, "x-") >= _opens(data, "x+") else "x+")
    if not edges and worked and any(c.depth < inf for c in data.cuts):
        edges.append("y-")
    return faces + edges


def alike_ends(data: PartData) -> bool:
    """Whether the same is cut into both ends, at the same places: one of them is drawn."""

    def cut_into(face: str) -> set[tuple[object, ...]]:
        return {
            (c.what, c.shape, round(y, 2), round(z, 2), *(round(v, 2) for v in (*c.size, c.diameter)),
             round(min(c.depth, 1e6), 2), round(abs(c.toward[0]), 4))
            for c in data.cuts if c.face == face and c.shape in ("box", "hole") for _, y, z in c.places
        }  # fmt: skip

    ends = cut_into("x-"), cut_into("x+")
    return bool(ends[0]) and ends[0] == ends[1]


def mark_face(cut: StatedCut, faces: Sequence[str]) -> str:
    """The view on which the number of a cut stands: of a slanted one where its section shows."""
    if cut.shape == "hull":
        run = next((k for k in (0, 1) if all(p[k] is None for p in cut.stated)), None)
        if run is not None:
            return next((f for f in faces if f[0] == "xy"[run]), faces[0])
    if cut.face in faces:
        return cut.face
    return next((f for f in faces if f[0] == cut.face[0]), faces[0])


def _shows(cut: StatedCut, data: PartData, axis: int) -> bool:
    """Whether the section of a cut is seen along an axis: 0 from an end, 1 from an edge."""
    if cut.shape == "hull":
        return all(p[axis] is None for p in cut.stated) or (axis == 1 and cut.depth < inf)
    if cut.shape != "box" or cut.face[0] != "z" or cut.depth == inf:
        return False
    whole = [cut.size[k] > data.size[k] - EDGE_MM for k in (0, 1)]
    long = cut.size[0] > cut.size[1]
    return (whole[axis] or (long if axis == 0 else not long)) and not whole[1 - axis]


def _opens(data: PartData, face: str) -> int:
    """How many cuts break through an end or edge."""
    axis, high = "xyz".index(face[0]), face[1] == "+"
    count = 0
    for cut in data.cuts:
        for place in cut.places:
            lo, hi = place[axis], place[axis] + cut.size[axis]
            if cut.shape == "hull":
                lo, hi = min(p[axis] for p in cut.corners), max(p[axis] for p in cut.corners)
            count += cut.shape != "hole" and (hi > data.size[axis] - EDGE_MM if high else lo < EDGE_MM)
    return count


def board_laid(part: Part, made: Any, data: PartData, sides: Sides, units: str) -> list[Laid]:
    """The views of a board, the main one first."""
    laid: list[Laid] = []
    faces = needed_faces(data)
    bores = crossing_bores(part)
    plain = without(part, made, bores)
    told: set[tuple[int, float]] = set()
    for face in faces:
        view = with_holes(view_of([(part.name, plain, data.turn)], BY_FACE[face]), data, part, bores)
        # of the size of the blank, whatever saw cuts leave of its ends: views stand in line by it
        ends = [BY_FACE[face].point(p) for p in ((0.0, 0.0, 0.0), data.size)]
        (ax, ay), (bx, by) = ends
        view = replace(
            view,
            lo=(min(view.lo[0], ax, bx), min(view.lo[1], ay, by)),
            hi=(max(view.hi[0], ax, bx), max(view.hi[1], ay, by)),
        )
        runs: tuple[Run, ...] = ()
        running: list[tuple[Side, float, tuple[float, ...]]] = []
        if face == "z+":
            runs = (Run("above", (0.0, data.size[0])), Run("right", (0.0, data.size[1])))
        elif face == next((f for f in faces if f[0] in "xy"), ""):
            runs = (Run("right" if face[0] == "y" else "above", _thickness(face, data.size[2])),)
        rows = _step_rows(data, face)
        for first, last, count in rows:
            step = figure_of((last - first) / count, units)
            runs += (Run("below", (0.0, first, last), notes=("", f"{count} steps of {step}")),)
        for axis in (0, 1, 2):
            places = _stops(data, face, axis, view)
            fresh = tuple(s for s in places if (axis, round(s, 2)) not in told)
            if fresh and len(places) <= MOST_STOPS:
                told |= {(axis, round(s, 2)) for s in fresh}
                across = dot(BY_FACE[face].right, AXES[axis])
                upright = dot(BY_FACE[face].up, AXES[axis])
                sign = across or upright
                running.append(("below" if across else "left", 0.0, tuple(sorted(sign * s for s in fresh))))
        # room for the datum where no dimension line stands there
        room = (0.0, 0.0, 0.0, 0.0) if laid or running or not data.cuts else (4.0, 4.5, 0.0, 0.0)
        laid.append(
            Laid(
                face, face_title(face, sides, data), view, runs, tuple(running), room, units=units, title=2.5,
                after=0.0 if laid else GRAIN_MM,
            )
        )  # fmt: skip
    return laid


def _stepped(cut: StatedCut) -> bool:
    """Whether holes stand in a long row of equal steps along the board."""
    xs = sorted({round(p[0], 3) for p in cut.places})
    return len(xs) > MOST_PLACES and equal_step(xs) > 0.0


def _step_rows(data: PartData, face: str) -> list[tuple[float, float, int]]:
    """First, last and number of steps of long rows of holes in a face that is seen along the board (mm)."""
    found: dict[tuple[float, float, int], None] = {}
    for cut in data.cuts:
        if cut.shape == "hole" and cut.face == face and face[0] in "yz" and _stepped(cut):
            xs = sorted({round(p[0], 3) for p in cut.places})
            found[xs[0], xs[-1], len(xs) - 1] = None
    return list(found)


def _thickness(face: str, thick: float) -> tuple[float, float]:
    return (0.0, thick) if face in ("y-", "x-") else (-thick, 0.0)


def _stops(data: PartData, face: str, axis: int, view: View) -> tuple[float, ...]:
    """Where cuts made from a face begin along an axis, as their table has it; the ends of the board left out.

    Holes by their middle, all else where a visible line shows it.
    """
    if face[0] == "xyz"[axis]:
        return ()
    projection = BY_FACE[face]
    upright = abs(dot(projection.up, AXES[axis])) > 0.5
    sign = dot(projection.up if upright else projection.right, AXES[axis])
    found: set[float] = set()
    edges: set[float] = set()
    for cut in data.cuts:
        if cut.face != face and not (cut.shape == "hull" and face[0] == "z"):
            continue
        if cut.shape == "hole":
            if axis or not _stepped(cut):
                found |= {round(p[axis], 3) for p in cut.places}
        elif cut.shape == "box":
            # the far side of what opens the end that is measured from
            edges |= {round(p[axis] + (cut.size[axis] if p[axis] < EDGE_MM else 0.0), 3) for p in cut.places}
        elif cut.shape == "hull":
            # a saw cut or slanted groove is measured where it meets the face that is seen
            level = data.size[2] if face == "z+" else 0.0
            met = [p[axis] for p in cut.stated if p[2] is None or abs(p[2] - level) < EDGE_MM]
            ends = [p[axis] for p in cut.corners]
            known = [m for m in met[:1] if m is not None]
            starts = known or [min(ends), max(ends)] * (axis == 0)
            edges |= {round(s + p[axis] - cut.places[0][axis], 3) for s in starts for p in cut.places}
    if face == "z+":
        edges |= {round(p[axis], 3) for _, p in outline_points(data) if axis < 2}
    found |= {round(sign * s, 3) for s in seen_stops(view, (sign * e for e in edges), upright)}
    return tuple(sorted(s for s in found if EDGE_MM < s < data.size[axis] - EDGE_MM))


def sightlines(on: Placed, cuts: Sequence[StatedCut]) -> list[Item]:
    """The line on a broad face along which each tilted hole runs."""
    items: list[Item] = []
    for cut in cuts:
        if cut.shape != "hole" or cut.face[0] != "z" or cut.tilt <= SQUARE_TILT:
            continue
        n = hypot(cut.toward[0], cut.toward[1])
        for x, y, z in cut.places:
            ends = [
                on.point((x + cut.toward[0] / n * reach, y + cut.toward[1] / n * reach, z))
                for reach in (-SIGHT_MM / on.scale / 3, SIGHT_MM / on.scale)
            ]
            items.append(line(ends[0], ends[1], CENTRE, "centre"))
    return items


def face_title(face: str, sides: Sides, data: PartData) -> str:
    """The name of a view: which face, edge or end it shows."""
    where = {"x": "end", "y": "edge", "z": "face"}[face[0]]
    name = sides.name(face)
    if face == "x-" and alike_ends(data):
        return "Both ends"
    return f"{name[0].upper()}{name[1:]}" + ("" if where in name else f" {where}")


def other_laid(part: Part, made: Any, units: str) -> list[Laid]:
    """The views of what is neither board nor leg: along it, and its end; of an author's own form a third."""
    round_one = part.form.round_diameter is not None
    laid: list[Laid] = []
    for face in ("z+", "x+") if round_one else ("z+", "y-", "x+"):
        view = view_of([(part.name, made, Pose())], BY_FACE[face])
        runs: tuple[Run, ...] = ()
        running: tuple[tuple[Side, float, tuple[float, ...]], ...] = ()
        if face == "z+":
            runs = (Run("above", (view.lo[0], view.hi[0])),)
            if round_one:
                runs += (Run("right", (view.lo[1], view.hi[1]), mark="⌀"),)
                stops = tuple(sorted(round(c.start[0], 3) for c in part.cuts if isinstance(c, Bore)))
                stops = tuple(s for s in stops if EDGE_MM < s < view.hi[0] - EDGE_MM)
                running = (("below", view.lo[0], stops),) if stops else ()
            else:
                runs += (Run("right", (view.lo[1], view.hi[1])),)
        elif face == "y-":
            runs = (Run("right", (view.lo[1], view.hi[1])),)
        after = 0.0 if laid else GRAIN_MM
        laid.append(Laid(face, _SEEN[face], view, runs, running, units=units, title=2.5, after=after))
    return laid


def folded(laid: Sequence[Laid], scale: float, first: bool, gap: float) -> tuple[Point, ...]:
    """Corners of views in line with the main one, as first or third angle asks (mm on paper).

    The face underneath stands beyond all others: the part turned over about its length.
    """
    at: dict[str, Point] = {"z+": (0.0, 0.0)}
    size = {one.key: (one.view.size[0] / scale, one.view.size[1] / scale) for one in laid}
    room = {one.key: one.rooms(scale) for one in laid}
    wide, high = size["z+"]
    left, below, right, above = room["z+"]
    lowest, highest = -below, high + above
    for one in laid[1:]:
        a, b, c, d = room[one.key]
        w, h = size[one.key]
        # third angle: a view stands on the side it is seen from; first angle: on the other
        if one.key[0] == "y":
            if (one.key == "y+") != first:
                at[one.key] = (0.0, highest + gap + b)
                highest += gap + b + h + d
            else:
                at[one.key] = (0.0, lowest - gap - d - h)
                lowest -= gap + d + h + b
        elif one.key[0] == "x":
            if (one.key == "x+") != first:
                at[one.key] = (wide + right + gap + a, 0.0)
                right += gap + a + w + c
            else:
                at[one.key] = (-left - gap - c - w, 0.0)
                left += gap + c + w + a
    if "z-" in size:
        at["z-"] = (0.0, lowest - gap - room["z-"][3] - size["z-"][1])
    return tuple(at[one.key] for one in laid)
