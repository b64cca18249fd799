"""Lines of text with a heading before each, as a block that may run over several pages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from furnigen.paper.frame import LEADING
from furnigen.paper.lettering import width_of, wrapped
from furnigen.paper.page import NARROW, Arc, Item, Text, filled_box

TALL = 2.7
"""Height of capitals (mm)."""
LEAD = TALL * LEADING
HEAD_MM = 24.0
"""Width of the column of headings."""
GAP = 1.2
"""Between two entries."""


@dataclass(frozen=True)
class Entry:
    """A heading and what is said under it.

    Attributes:
        heading: a word, or the text of a balloon.
        text: what is said.
        balloon: whether the heading is drawn as a balloon.
        caution: whether it is set off as a caution.
    """

    heading: str
    text: str
    balloon: bool = False
    caution: bool = False


def caution_entry(said: str) -> Entry:
    """A caution "What: how to keep safe" as an entry.

    >>> caution_entry("Glue: fresh air.").text
    'Fresh air.'
    """
    what, _, how = said.partition(": ")
    return Entry(what, how[:1].upper() + how[1:], caution=True)


def entry_lines(entry: Entry, width: float) -> list[str]:
    """The lines an entry takes."""
    return wrapped(entry.text, width - HEAD_MM - 1.0, TALL)


def entry_height(entry: Entry, width: float) -> float:
    """How tall an entry is (mm)."""
    lines = max(len(entry_lines(entry, width)), len(wrapped(entry.heading, HEAD_MM - 2.0, TALL)))
    return max(lines * LEAD, 7.4 if entry.balloon else 0.0) + GAP


def height_of(entries: Sequence[Entry], width: float) -> float:
    """How tall entries are together (mm)."""
    return sum(entry_height(e, width) for e in entries)


def draw_entries(entries: Sequence[Entry], left: float, top: float, width: float) -> list[Item]:
    """Entries from the top down; text that is searchable, one line at a time."""
    items: list[Item] = []
    y = top
    for entry in entries:
        tall = entry_height(entry, width)
        if entry.caution:
            items.append(filled_box(left, y - tall + GAP / 2, width, tall, "#e8e8e8"))
        base = y - LEAD + (LEAD - TALL) / 2 + 0.2
        if entry.balloon:
            centre = (left + 5.0, y - tall / 2 + GAP / 2)
            size = TALL if width_of(entry.heading, TALL) < 5.4 else 2.0
            items += [
                Arc(centre, 3.4, pen=NARROW),
                Text(centre, entry.heading, size, "middle", "middle"),
            ]
            lines = entry_lines(entry, width)
            base -= max(0.0, (tall - GAP - len(lines) * LEAD) / 2)
        else:
            items += [
                Text((left + 1.0, base - k * LEAD), said, TALL)
                for k, said in enumerate(wrapped(entry.heading, HEAD_MM - 2.0, TALL))
            ]
        items += [
            Text((left + HEAD_MM, base - k * LEAD), said, TALL)
            for k, said in enumerate(entry_lines(entry, width))
        ]
        y -= tall
    return items


def split_entries(entries: Sequence[Entry], width: float, first: float, later: float) -> list[list[Entry]]:
    """Entries in portions that fit `first`, then `later` (mm); tall entries are cut between lines."""
    portions: list[list[Entry]] = [[]]
    room = first
    waiting = list(entries)
    while waiting:
        entry = waiting.pop(0)
        tall = entry_height(entry, width)
        if tall <= room:
            portions[-1].append(entry)
            room -= tall
            continue
        lines = entry_lines(entry, width)
        fits = int((room - GAP) / LEAD)
        if fits >= 3 and len(lines) - fits >= 2:
            head, tail = lines[:fits], lines[fits:]
            portions[-1].append(Entry(entry.heading, " ".join(head), entry.balloon, entry.caution))
            waiting.insert(0, Entry(entry.heading, " ".join(tail), entry.balloon, entry.caution))
        else:
            waiting.insert(0, entry)
            if not portions[-1] and room >= later:  # not even a line fits an empty page
                return [*portions[:-1], [*portions[-1], *waiting]]
        portions.append([])
        room = later
    return [p for p in portions if p] or [[]]
