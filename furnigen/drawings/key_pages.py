"""The first pages of a booklet: parts with number, picture and count; hardware in full size; tools."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from furnigen.core.facts import FastenerKind
from furnigen.drawings.actions import Action
from furnigen.drawings.balloons import RADIUS
from furnigen.drawings.blocks import Entry, caution_entry, draw_entries, split_entries
from furnigen.drawings.hardware_pictures import drawn_scale, side_view
from furnigen.drawings.isometric import Picture, Shown
from furnigen.drawings.key import Key, part_material, part_size
from furnigen.drawings.picture_items import fitted, line_items
from furnigen.drawings.sentences import sentence
from furnigen.drawings.step_pages import NOTICE, Scene
from furnigen.drawings.step_words import HEAVY_KG, tools_of
from furnigen.joints.joint import Fastener
from furnigen.paper.frame import Frame
from furnigen.paper.lettering import width_of, wrapped
from furnigen.paper.page import FINE, NARROW, Arc, Item, Page, Text, box
from furnigen.parts.mass import mass_kg
from furnigen.piece.description import Piece
from furnigen.strength.formulas.tipping import should_anchor

ACROSS, CELL_TALL = 3, 27.0
HARDWARE_TALL = 25.0
PICTURE_MM = 19.0
TEXT_MM = 2.1


@dataclass(frozen=True)
class Cell:
    """A cell of the key.

    Attributes:
        mark: its number or mark.
        lines: how many and what, then sizes.
        part: index of the part it shows; None for hardware.
        fastener: the hardware it shows.
    """

    mark: str
    lines: tuple[str, ...]
    part: int | None = None
    fastener: Fastener | None = None


def key_pages(scene: Scene, actions: Sequence[Action], frame: Frame) -> list[Page]:
    """Parts, hardware, tools, what to know before one begins; as many pages as that takes."""
    left, low, right, top = frame.inner
    cells: list[tuple[str, list[Cell]]] = [("Parts", _part_cells(scene))]
    hardware = _hardware_cells(scene)
    if hardware:
        cells.append(("Hardware, in full size where nothing else is said", hardware))
    pages: list[list[Item]] = [[]]
    y = top
    wide = (right - left) / ACROSS
    for heading, group in cells:
        for k, cell in enumerate(group):
            column = k % ACROSS
            tall = CELL_TALL if cell.part is not None else HARDWARE_TALL
            if column == 0:
                if y - tall - (7.0 if k == 0 else 0.0) < low:
                    pages.append([])
                    y = top
                if k == 0:
                    pages[-1].append(Text((left, y - 4.0), heading, 3.5))
                    y -= 7.0
                y -= tall
            pages[-1] += _cell(scene, cell, left + column * wide, y, wide, tall)
        y -= 4.0
    notes = _notes(scene.piece, actions, scene.key)
    portions = split_entries(notes, right - left, y - low, top - low)
    for n, portion in enumerate(portions):
        if n:
            pages.append([])
            y = top
        pages[-1] += draw_entries(portion, left, y, right - left)
    headings = ["Key: parts, hardware, tools", *(["Key (continued)"] * (len(pages) - 1))]
    return [frame.page(i, h, 0, 0, NOTICE) for i, h in zip(pages, headings, strict=True)]


def _part_cells(scene: Scene) -> list[Cell]:
    piece, key = scene.piece, scene.key
    found = []
    for part, number in sorted(key.number.items(), key=lambda item: item[1]):
        lines = (
            f"{piece.quantities[part]} x {piece.parts[part].name}",
            part_size(piece, part, scene.units),
            part_material(piece, part),
        )
        found.append(Cell(str(number), lines, part))
    return found


def _hardware_cells(scene: Scene) -> list[Cell]:
    from furnigen.catalogue.hardware import sold_as

    first: dict[tuple[str, str], Fastener] = {}
    for joint in scene.piece.joints:
        for f in joint.fasteners:
            first.setdefault((f.kind.value, sold_as(f.kind, f.diameter_mm, f.length_mm)), f)
    found = []
    for row in scene.key.hardware:
        f = first[row.kind, row.size]
        lines = [f"{row.quantity} x {row.kind}", row.size]
        if drawn_scale(f.length_mm) < 1.0:
            lines.append("drawn smaller")
        found.append(Cell(scene.key.mark[row.kind, row.size], tuple(lines), fastener=f))
    return found


def _cell(scene: Scene, cell: Cell, x: float, y: float, wide: float, tall: float) -> list[Item]:
    items: list[Item] = [box(x, y, wide, tall, FINE)]
    centre = (x + RADIUS + 1.2, y + tall - RADIUS - 1.2)
    size = 3.0 if width_of(cell.mark, 3.0) < 2 * RADIUS - 1.6 else 2.0
    items += [Arc(centre, RADIUS, pen=NARROW), Text(centre, cell.mark, size, "middle", "middle")]
    if cell.part is not None:
        shown = Shown(cell.mark, scene.skeletons[cell.part], np.eye(4))
        picture = Picture([shown])
        area = (x + 2.5, y + 1.5, x + 2.5 + PICTURE_MM + 5, y + tall - 2 * RADIUS - 1.5)
        items += line_items(picture, fitted(picture.bounds, area), frozenset(), fine=True)
        text_x = x + PICTURE_MM + 8.5
        line_y = y + tall - 2.0
    else:
        assert cell.fastener is not None
        f = cell.fastener
        items += side_view(FastenerKind(f.kind), f.diameter_mm, f.length_mm, (x + 3.0, y + 5.5))
        text_x, line_y = x + 2 * RADIUS + 4.0, y + tall - 1.8
    room = x + wide - text_x - 1.0
    for k, said in enumerate(cell.lines):
        tall_text = 2.5 if k == 0 else 1.8 if k == 1 and width_of(said, TEXT_MM) > room else TEXT_MM
        for part in wrapped(said, room, tall_text):
            items.append(Text((text_x, line_y), part, tall_text, rise="top"))
            line_y -= 3.7
    return items


def _notes(piece: Piece, actions: Sequence[Action], key: Key) -> list[Entry]:
    """Tools, and what to know before one begins."""
    tools = dict.fromkeys(("tape measure", "try square", "pencil"))
    tools |= dict.fromkeys(t for a in actions for t in tools_of(a.joints))
    mass = sum(mass_kg(part) * n for part, n in zip(piece.parts, piece.quantities, strict=True))
    found = [
        Entry("Tools", sentence(", ".join(tools) + ".")),
        Entry("First", "Lay all parts out and count them against this key. Their labels are those of the cut"
              " list. Put each unit together dry once before any glue is opened."),
        Entry("Sides", "Left, right, front and back are those of who stands before the finished piece."),
    ]  # fmt: skip
    cautions = ["Blades: unplug before changing one; eye protection; both hands behind the edge."]
    if mass > HEAVY_KG:
        cautions.append(f"Weight: {mass:.0f} kg in all. Two people lift and turn it.")
    if should_anchor(piece.bounds.size[2], piece.bounds.size[1]) and not piece.walls:
        cautions.append(
            "Tipping: it is tall. When it stands in place, last of all and before it is loaded, fix it to the"
            " wall with an anchor that suits the wall."
        )
    return [*found, *(caution_entry(c) for c in cautions)]
