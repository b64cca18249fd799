"""The key of a booklet: a number for each distinct part, a mark for each kind of hardware, a letter for each
sub-assembly, the same on all pages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from string import ascii_uppercase

from furnigen.catalogue.materials import find_material
from furnigen.cutting.joint_words import size_text
from furnigen.drawings.actions import Action
from furnigen.piece.description import Piece
from furnigen.piece.hardware_list import HardwareRow, hardware_list


@dataclass(frozen=True)
class Key:
    """What numbers, marks and letters stand for.

    Attributes:
        number: of each part, by its index in the piece; in the order in which they come in.
        mark: "H1" and so on, by kind and size.
        hardware: the rows to buy, in the order of their marks.
        letter: of each sub-assembly by name; equal ones share a letter.
    """

    number: dict[int, int]
    mark: dict[tuple[str, str], str]
    hardware: tuple[HardwareRow, ...]
    letter: dict[str, str]


def key_of(piece: Piece, actions: Sequence[Action]) -> Key:
    """The key of a piece, parts in the order in which they come in."""
    order: dict[int, None] = {}
    letter: dict[str, str] = {}
    for action in actions:
        for step in action.steps:
            order |= dict.fromkeys(piece.placement(n).part for n in step.parts if n in piece.by_label)
        if action.step.builds and action.step.builds not in letter:
            count = len(set(letter.values()))
            name = ascii_uppercase[count] if count < len(ascii_uppercase) else f"A{count}"
            letter |= dict.fromkeys((s.builds for s in action.steps), name)
    order |= dict.fromkeys(range(len(piece.parts)))
    rows = hardware_list(piece)
    marks = {(row.kind, row.size): f"H{n}" for n, row in enumerate(rows, 1)}
    return Key({part: n for n, part in enumerate(order, 1)}, marks, rows, letter)


def part_size(piece: Piece, part: int, units: str) -> str:
    """Length, width and thickness of a part's blank, for people."""
    sizes = " x ".join(size_text(round(v, 1), units) for v in piece.parts[part].form.blank_mm)
    return f"{sizes} mm" if units == "mm" else sizes


def part_material(piece: Piece, part: int) -> str:
    """What a part is made of, for people."""
    return find_material(piece.parts[part].stock.material).title
