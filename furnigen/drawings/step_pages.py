"""Pages of steps: a steady picture with what comes in set off along its way, and the words below it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from furnigen.catalogue.hardware import sold_as
from furnigen.construction.assembly_order import Step
from furnigen.core.pose import Box, Vector
from furnigen.core.progress import Sink, silent
from furnigen.drawings.actions import Action
from furnigen.drawings.balloons import KNEE, RADIUS, Callout, placed_balloons
from furnigen.drawings.blocks import Entry, caution_entry, draw_entries, height_of, split_entries
from furnigen.drawings.exploded import diagonal_of, leading_corners, middle_of, set_off, times
from furnigen.drawings.hardware_pictures import Site, hidden_site_items, site_items
from furnigen.drawings.hardware_sites import BETWEEN, first_board
from furnigen.drawings.isometric import Picture, Shown, Skeleton, flat_point
from furnigen.drawings.key import Key, part_size
from furnigen.drawings.picture_items import (
    EARLIER,
    Bounds,
    Place,
    fitted,
    guide_items,
    hidden_items,
    joined_bounds,
    line_items,
    spots,
    tint_items,
)
from furnigen.drawings.sentences import listed
from furnigen.drawings.step_words import Told, told
from furnigen.paper.frame import Frame
from furnigen.paper.page import Item, Page, Point, Polyline, Text
from furnigen.piece.description import Piece, Wall

LEAST_PICTURE = 80.0
"""Least height of the picture of a step (mm); longer words run on on a page of their own."""
LEAST_SEEN = 0.4
"""A part of which no more than this is seen round any point (mm on paper) is shown by its hidden outline."""
SIDE = KNEE + 2 * RADIUS + 12.0
"""Kept free beside the picture for balloons and their notes (mm)."""
NOTICE = "Estimates, not certification. Common practice where no source is named."


@dataclass(frozen=True)
class Scene:
    """What all pictures of a booklet are made from.

    Attributes:
        piece: the description.
        skeletons: of its parts, in their order.
        boxes: of its placements at home, by label.
        matrices: of its placements, by label.
        key: numbers and marks.
        units: "mm" or "in".
    """

    piece: Piece
    skeletons: Sequence[Skeleton]
    boxes: dict[str, Box]
    matrices: dict[str, np.ndarray]
    key: Key
    units: str

    def shown(self, label: str, offset: Vector = (0.0, 0.0, 0.0)) -> Shown:
        """One placement as a picture shows it."""
        part = self.piece.placement(label).part
        return Shown(label, self.skeletons[part], self.matrices[label], offset)


@dataclass(frozen=True)
class DrawnStep:
    """One action, drawn.

    Attributes:
        action: what is done.
        told: its words.
        pages: of the booklet.
        picture: its picture alone, where it stands on its page.
    """

    action: Action
    told: Told
    pages: tuple[Page, ...]
    picture: Page


def drawn_steps(
    scene: Scene, actions: Sequence[Action], frame: Frame, on_step: Sink = silent
) -> list[DrawnStep]:
    """All actions with their pages; page numbers are put in by the booklet.

    Pictures of one unit (the piece, or one sub-assembly) all stand at one place and scale.
    """
    entries = [_entries(scene, actions, n) for n in range(len(actions))]
    left, low, right, top = frame.inner
    width, tall = right - left, top - low - 9.0
    heights = [min(height_of(e, width), tall - LEAST_PICTURE) for e in entries]
    drawn: list[DrawnStep] = []
    units = [a.step.builds for a in actions]
    for n, action in enumerate(actions):
        on_step(f"drawing step {n + 1} of {len(actions)}")
        unit = [k for k in range(len(actions)) if units[k] == units[n]]
        most = max(heights[k] for k in unit)
        area = (left + SIDE, low + most + 6.0, right - SIDE, top - 12.0)
        diagonal = _diagonal(scene, [actions[k] for k in unit])
        place = fitted(_frame_bounds(scene, [actions[k] for k in unit], diagonal), area)
        said = told(scene.piece, actions, n, scene.key, scene.units)
        title = f"Step {n + 1}: {said.title}"
        portions = split_entries(entries[n], width, most + 0.01, tall)
        picture = _picture(scene, action, diagonal, place, area)
        first = [*picture, *draw_entries(portions[0], left, low + most, width)]
        pages = [_titled(frame, title, first)]
        for more in portions[1:]:
            pages.append(_titled(frame, f"{title} (continued)", draw_entries(more, left, top - 12.0, width)))
        drawn.append(
            DrawnStep(action, said, tuple(pages), Page(frame.width, frame.height, tuple(picture), title))
        )
    return drawn


def _titled(frame: Frame, title: str, items: Sequence[Item]) -> Page:
    return frame.page(items, title, 0, 0, NOTICE)


def _entries(scene: Scene, actions: Sequence[Action], number: int) -> list[Entry]:
    """All words of a page: what goes in, what is done, cautions."""
    action, piece, key = actions[number], scene.piece, scene.key
    said = told(piece, actions, number, key, scene.units)
    found: list[Entry] = []
    if not action.is_fixing:
        found += _goes_in(scene, actions, action)
    found += [Entry(heading, text) for heading, text in said.lines]
    found += [caution_entry(caution) for caution in said.cautions]
    return found


def _goes_in(scene: Scene, actions: Sequence[Action], action: Action) -> list[Entry]:
    piece, key = scene.piece, scene.key
    found: list[Entry] = []
    parts: dict[int, list[str]] = {}
    for name in (n for step in action.pictured for n in step.brings):
        if name in piece.by_label:
            parts.setdefault(piece.placement(name).part, []).append(name)
            continue
        made = [k + 1 for k, a in enumerate(actions) if name in {s.builds for s in a.steps}]
        found.append(Entry(key.letter[name], f"1 x {name}, made in steps {made[0]} to {made[-1]}", True))
    for part, labels in parts.items():
        size = part_size(piece, part, scene.units)
        text = f"{len(labels)} x {piece.parts[part].name}, {size}: {listed(labels)}"
        found.append(Entry(str(key.number[part]), text, True))
    return found


def _diagonal(scene: Scene, unit: Sequence[Action]) -> float:
    labels = {label for a in unit for label in (*a.there, *(n for s in a.pictured for n in s.parts))}
    return diagonal_of([scene.boxes[n] for n in labels])


def _frame_bounds(scene: Scene, unit: Sequence[Action], diagonal: float) -> Bounds:
    """What holds all pictures of a unit."""
    found = []
    for action in unit:
        for label, offset in _offsets(action, diagonal).items():
            for by in (offset, (0.0, 0.0, 0.0)):
                for x, y, z in scene.boxes[label].corners():
                    u, v = flat_point((x + by[0], y + by[1], z + by[2]))
                    found.append((u, v, u, v))
        if action.is_fixing:
            found += wall_bounds(scene, scene.piece.walls)
    return joined_bounds(found)


def _offsets(action: Action, diagonal: float) -> dict[str, Vector]:
    """How far everything that its picture shows coming in stands from home, by label."""
    return {label: set_off(s, diagonal) for s in action.pictured for label in s.parts}


def _picture(scene: Scene, action: Action, diagonal: float, place: Place, area: Bounds) -> list[Item]:
    offsets = _offsets(action, diagonal)
    new = frozenset(action.brought)
    old = [n for n in action.there if n not in new]
    shown = [*(scene.shown(n) for n in old), *(scene.shown(n, offsets[n]) for n in action.brought)]
    picture = Picture(shown)
    areas = picture.visible_areas(new)
    items = tint_items(areas, place)
    if action.is_fixing:
        walls = [w for w in scene.piece.walls if w.name in action.step.onto]
        items += wall_items(scene, walls, picture, place)
    items += line_items(picture, place, new)
    seen = spots(areas)
    items += hidden_items(picture, place, _lost(scene, action, seen, place))
    items += guide_items(picture, _ways(scene, action, offsets), place)
    sites = _sites(scene, action, offsets)
    gap = 0.02 * diagonal
    drawn, points = site_items(picture, [s for _, s in sites], gap, place)
    items += drawn
    callouts = _part_callouts(scene, action, seen, place, offsets)
    for mark in dict.fromkeys(m for m, _ in sites):
        mine = [k for k, (m, _) in enumerate(sites) if m == mark]
        found = [p for k in mine if (p := points[k]) is not None]
        if not found:
            drawn, found = hidden_site_items([sites[k][1] for k in mine], gap, place)  # type: ignore[assignment]
            items += drawn
        callouts.append(Callout(mark, f"{len(mine)} x", found[0]))
    callouts = [Callout(c.text, c.note, _within(c.at, area)) for c in callouts]
    balloons = placed_balloons(callouts, area[1], area[3], (area[0], area[2]))
    items += [item for b in balloons for item in b.items]
    if action.count > 1:
        items.append(Text((area[0] - SIDE, area[3] + 8.0), f"{action.count} x", 7.0, rise="top"))
    return items


def _lost(scene: Scene, action: Action, seen: dict[str, tuple[Point, float]], place: Place) -> frozenset[str]:
    """Parts that come in of which next to nothing is seen; a sub-assembly is always seen."""
    single = [n for s in action.pictured for n in s.brings if n in scene.boxes and not action.is_fixing]
    return frozenset(n for n in single if n not in seen or seen[n][1] * place.scale < LEAST_SEEN)


def _within(p: Point, area: Bounds) -> Point:
    return min(max(p[0], area[0] + 0.5), area[2] - 0.5), min(max(p[1], area[1]), area[3])


def _inside(scene: Scene, step: Step, name: str) -> list[str]:
    """Labels of the placements that come in under a name: its own, or those of a sub-assembly."""
    if name in scene.boxes:
        return [name]
    return [n for n in step.parts if name in scene.piece.placement(n).path] or list(step.parts)


def _part_callouts(
    scene: Scene,
    action: Action,
    seen: dict[str, tuple[Point, float]],
    place: Place,
    offsets: dict[str, Vector],
) -> list[Callout]:
    """A balloon for each distinct thing that comes in, on its copy that is seen best."""
    piece, key = scene.piece, scene.key
    if action.is_fixing:
        return []
    groups: dict[str, list[list[str]]] = {}
    for step in action.pictured:
        for name in step.brings:
            single = name in piece.by_label
            text = str(key.number[piece.placement(name).part]) if single else key.letter[name]
            groups.setdefault(text, []).append(_inside(scene, step, name))
    found = []
    for text, things in groups.items():
        best = max((n for t in things for n in t), key=lambda n: (seen.get(n, ((0, 0), 0.0))[1], n))
        if best in seen:
            at = place.at(seen[best][0])
        else:
            (x, y, z), (dx, dy, dz) = scene.boxes[best].centre, offsets[best]
            at = place.of((x + dx, y + dy, z + dz))
        found.append(Callout(text, f"{len(things)} x", at))
    return found


def _ways(scene: Scene, action: Action, offsets: dict[str, Vector]) -> list[tuple[Vector, Vector]]:
    """Guide lines: from the leading corners of what comes in to where they end; one each for many."""
    found: list[tuple[Vector, Vector]] = []
    many = sum(len(s.brings) for s in action.pictured) > 2
    for step in action.pictured:
        if step.way is None:
            continue
        for name in step.brings:
            labels = _inside(scene, step, name)
            boxes = [scene.boxes[n] for n in labels]
            box = Box.around([b.lo for b in boxes] + [b.hi for b in boxes])
            corners = leading_corners(box, step.way)
            if many or max(abs(c) for c in step.way) < 0.99:
                corners = [middle_of(corners)]
            for c in corners:
                by = offsets[labels[0]]
                found.append(((c[0] + by[0], c[1] + by[1], c[2] + by[2]), c))
    return found


def _sites(scene: Scene, action: Action, offsets: dict[str, Vector]) -> list[tuple[str, Site]]:
    """Hardware of a step with its mark, where the picture shows it: with the board it goes in through."""
    found = []
    for joint in action.pictured_joints:
        moved = offsets.get(joint.b) or offsets.get(joint.a) or (0.0, 0.0, 0.0)
        for f in joint.fasteners:
            mark = scene.key.mark.get((f.kind.value, sold_as(f.kind, f.diameter_mm, f.length_mm)))
            if mark is None:  # made of wood: a part of its own
                continue
            through = first_board(scene.boxes, joint, f.sites[0])
            by = times(moved, 0.5) if f.kind in BETWEEN else offsets.get(through, (0.0, 0.0, 0.0))
            for point, way in f.sites:
                at = (point[0] + by[0], point[1] + by[1], point[2] + by[2])
                found.append((mark, (f.kind, f.length_mm, at, way)))
    return found


def _wall_corners(scene: Scene, wall: Wall) -> list[Vector]:
    """A stretch of wall behind the piece."""
    box = scene.piece.bounds
    axis = max(range(3), key=lambda k: abs(wall.normal[k]))
    spare = 0.08 * diagonal_of([box])
    lo = [v - spare for v in box.lo]
    hi = [v + spare for v in box.hi]
    lo[axis] = hi[axis] = wall.point[axis]
    lo[2] = max(lo[2], 0.0) if box.lo[2] >= 0.0 else lo[2]
    other = 0 if axis == 1 else 1
    ends = []
    for u, v in ((lo[other], lo[2]), (hi[other], lo[2]), (hi[other], hi[2]), (lo[other], hi[2])):
        corner = [0.0, 0.0, v]
        corner[axis], corner[other] = lo[axis], u
        ends.append((corner[0], corner[1], corner[2]))
    return ends


def wall_bounds(scene: Scene, walls: Sequence[Wall]) -> list[Bounds]:
    """Where the stretches of wall behind the piece are seen."""
    return [(*flat_point(c), *flat_point(c)) for wall in walls for c in _wall_corners(scene, wall)]


def wall_items(scene: Scene, walls: Sequence[Wall], picture: Picture, place: Place) -> list[Item]:
    """The outlines of the stretches of wall behind the piece."""
    found: list[Item] = []
    for wall in walls:
        a, b, c, d = _wall_corners(scene, wall)
        for seen in picture.visible_lines([(a, b), (b, c), (c, d), (d, a)]):
            found += [
                Polyline((place.at(p), place.at(q)), pen=EARLIER, layer="wall") for p, q in seen.tolist()
            ]
    return found
