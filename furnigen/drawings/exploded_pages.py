"""Exploded views with balloons: a sheet for each unit, with a balloon and the number in it for each part."""

from __future__ import annotations

from collections.abc import Sequence

from furnigen.construction.assembly_order import Step
from furnigen.core.pose import Box, Vector, dot
from furnigen.drawings.actions import Action
from furnigen.drawings.balloons import Callout, capacity, placed_balloons
from furnigen.drawings.exploded import exploded, leading_corners, middle_of
from furnigen.drawings.isometric import Picture
from furnigen.drawings.picture_items import fitted, guide_items, line_items, spots
from furnigen.drawings.step_pages import NOTICE, SIDE, Scene
from furnigen.paper.frame import Frame
from furnigen.paper.page import Item, Page


def exploded_pages(scene: Scene, actions: Sequence[Action], frame: Frame) -> list[Page]:
    """The exploded views of a piece: first one of each distinct sub-assembly, then the piece from these.

    Where more balloons are needed than stand beside one picture, it is drawn again with the next ones.
    """
    units: dict[str, list[Action]] = {}
    for action in actions:
        units.setdefault(action.step.builds, []).append(action)
    pages: list[Page] = []
    for name in sorted(units, key=lambda n: n == ""):
        mine = units[name]
        steps = [step for a in mine for step in (a.steps if not name else a.steps[:1])]
        inside = {
            unit: [n for n in step.parts if unit in scene.piece.placement(n).path] or list(step.parts)
            for step in steps
            for unit in step.brings
            if unit not in scene.boxes
        }
        offsets = exploded(steps, scene.boxes, inside)
        if len(offsets) < 2:
            continue
        direct = {n for s in steps for n in s.brings if n in scene.boxes}
        wanted: dict[int, list[str]] = {}
        for label in offsets:
            part = scene.piece.placement(label).part
            if label in direct:
                wanted.setdefault(part, []).append(label)
        letters: dict[str, list[str]] = {}
        for unit, labels in inside.items():
            letters.setdefault(scene.key.letter[unit], []).extend(labels)
        count = mine[0].count if name else 1
        heading = (
            f"Exploded view: {name}" + (f", made {count} times" if count > 1 else "")
            if name
            else "Exploded view"
        )
        pages += _sheets(
            scene, offsets, wanted, letters, _guides(scene, steps, offsets, inside), frame, heading
        )
    return pages


def _guides(
    scene: Scene, steps: Sequence[Step], offsets: dict[str, Vector], inside: dict[str, list[str]]
) -> list[tuple[Vector, Vector]]:
    """A guide line from what is drawn out to the nearest thing that it goes onto."""
    found = []
    for step in steps:
        there = [n for n in step.onto if n in offsets]
        if step.way is None or not there:
            continue
        for name in step.brings:
            labels = inside.get(name, [name])
            boxes = [scene.boxes[n] for n in labels]
            box = Box.around([b.lo for b in boxes] + [b.hi for b in boxes])
            (x, y, z), mine = middle_of(leading_corners(box, step.way)), offsets[labels[0]]
            apart = {n: dot(step.way, offsets[n]) - dot(step.way, mine) for n in there}
            far = min(apart.values())
            start = (x + mine[0], y + mine[1], z + mine[2])
            end = tuple(p + far * w for p, w in zip(start, step.way, strict=True))
            found.append((start, (end[0], end[1], end[2])))
    return found


def _sheets(
    scene: Scene,
    offsets: dict[str, Vector],
    wanted: dict[int, list[str]],
    letters: dict[str, list[str]],
    guides: list[tuple[Vector, Vector]],
    frame: Frame,
    heading: str,
) -> list[Page]:
    left, low, right, top = frame.inner
    area = (left + SIDE, low + 4.0, right - SIDE, top - 4.0)
    picture = Picture([scene.shown(n, by) for n, by in offsets.items()])
    place = fitted(picture.bounds, area)
    items = line_items(picture, place, frozenset())
    items += guide_items(picture, guides, place)
    seen = spots(picture.visible_areas())
    callouts = []
    for part, labels in sorted(wanted.items(), key=lambda item: scene.key.number[item[0]]):
        best = max(labels, key=lambda n: (seen.get(n, ((0.0, 0.0), 0.0))[1], n))
        at = place.at(seen[best][0]) if best in seen else place.of(_centre(scene.boxes[best], offsets[best]))
        callouts.append(Callout(str(scene.key.number[part]), f"{len(labels)} x", at))
    for letter, labels in letters.items():
        best = max(labels, key=lambda n: (seen.get(n, ((0.0, 0.0), 0.0))[1], n))
        at = place.at(seen[best][0]) if best in seen else place.of(_centre(scene.boxes[best], offsets[best]))
        units = sum(1 for n in scene.key.letter.values() if n == letter)
        callouts.append(Callout(letter, f"{units} x", at))
    most = capacity(area[3] - area[1])
    pages = []
    for first in range(0, max(len(callouts), 1), most):
        balloons = placed_balloons(callouts[first : first + most], area[1], area[3], (area[0], area[2]))
        more: list[Item] = [item for b in balloons for item in b.items]
        said = heading if first == 0 else f"{heading} (more numbers)"
        pages.append(frame.page([*items, *more], said, 0, 0, NOTICE))
    return pages


def _centre(box: Box, by: Vector) -> Vector:
    x, y, z = box.centre
    return (x + by[0], y + by[1], z + by[2])
