"""The sizes of a piece that a maker asks for first: openings, pitch of shelves, angles of legs."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import Any

from furnigen.cli.finding_table import terminal_width
from furnigen.cli.show import exact_length
from furnigen.core.facts import Fact
from furnigen.core.finding import name_labels
from furnigen.core.quantities import format_length
from furnigen.piece.description import LegNote, Piece

SAME_STEP_MM = 0.05
"""Steps that differ by less are one pitch."""
MOST_OPENINGS = 6
"""Sizes of openings that are listed; the report has them all."""
MOST_TOPS = 8


def sizes_lines(piece: Piece, units: str) -> list[str]:
    """Openings, pitch of shelves and frames, angles of legs, a line each, wrapped to the terminal."""
    rows = [
        *(("Openings" if n == 0 else "", line) for n, line in enumerate(_openings(piece, units))),
        *_pitches(piece, units),
        *(("Legs", _leg(piece, note, units)) for note in piece.legs),
    ]
    wide = max((len(name) for name, _ in rows), default=0) + 2
    lines = []
    for name, text in rows:
        lines += textwrap.wrap(
            text, terminal_width(), initial_indent=name.ljust(wide), subsequent_indent=" " * wide
        )
    return lines


def _length(mm: float, units: str) -> str:
    return format_length(mm, units, mark_inexact=units == "in")


def _openings(piece: Piece, units: str) -> Iterable[str]:
    """Openings of one clear size together, the most first."""
    sizes: dict[tuple[str, ...], list[str]] = {}
    for o in piece.openings:
        sizes.setdefault(tuple(_length(s, units) for s in o.clear_mm), []).append(o.label)
    ranked = sorted(sizes.items(), key=lambda one: -len(one[1]))
    for (width, depth, height), labels in ranked[:MOST_OPENINGS]:
        yield f"{len(labels)} of {width} wide, {depth} deep, {height} high: {name_labels(labels)}"
    if len(ranked) > MOST_OPENINGS:
        yield f"and {len(ranked) - MOST_OPENINGS} more sizes: openings in report.json"


def _pitches(piece: Piece, units: str) -> Iterable[tuple[str, str]]:
    """The step of each row; where none is declared, the heights of what takes goods."""
    for p in piece.pitches:
        step, first = (exact_length(mm, units) for mm in (p.step_mm, p.first_mm))
        if p.axis == "z":
            text = f"{step}, underside to underside, {p.count} of them, the first {first} above the floor"
            yield f"Pitch of {p.what}", text
        else:
            yield f"Steps of {p.what}", f"{step}, {p.count} of them, the first at {first}"
    if any(p.axis == "z" for p in piece.pitches):
        return
    goods = (piece.bounds_of(p).hi[2] for p in piece.placements if Fact.TAKES_GOODS in p.facts)
    tops = _distinct(sorted(goods))
    if tops:
        yield "Shelf tops", _tops(tops, units)


def _distinct(heights: Sequence[float]) -> list[float]:
    return [z for n, z in enumerate(heights) if n == 0 or z - heights[n - 1] > SAME_STEP_MM]


def _tops(tops: Sequence[float], units: str) -> str:
    steps = [b - a for a, b in pairwise(tops)]
    if len(steps) > 1 and max(steps) - min(steps) <= SAME_STEP_MM:
        first, last = exact_length(tops[0], units), exact_length(tops[-1], units)
        pitch = exact_length(steps[0], units)
        return f"{len(tops)} at a pitch of {pitch}, from {first} to {last} above the floor"
    shown = ", ".join(exact_length(z, units) for z in tops[:MOST_TOPS])
    rest = f" and {len(tops) - MOST_TOPS} more" if len(tops) > MOST_TOPS else ""
    return f"{shown}{rest} above the floor"


def _leg(piece: Piece, note: LegNote, units: str) -> str:
    """The bench angles of a kind of leg."""
    return (
        f"{piece.parts[note.part].name}: splay {note.splay:.4g}° (left and right), rake {note.rake:.4g}°"
        f" (front and back); bore at {note.drill_guide:.1f}° to the face, {note.resultant:.1f}° off square,"
        f" along a sightline {note.sightline:.1f}° from the front-to-back line;"
        f" {_length(note.axis_length, units)} long along its axis"
    )


def cost_lines(report: Mapping[str, Any]) -> list[str]:
    """What it costs, and what has no price; nothing where no price is stated, or no layout was asked for."""
    costs = report.get("costs") or {}
    known = [line["cost"] for line in costs.get("lines", ()) if line["cost"] is not None]
    if not known:
        return []
    lacking = costs["without_price"]
    rest = f", without {', '.join(lacking)}: they have no price" if lacking else ""
    text = f"Cost: {sum(known):,.2f} {costs['currency']}".rstrip() + rest
    return textwrap.wrap(text, terminal_width(), subsequent_indent="  ")


def next_lines(folder: str, files: Iterable[str], piece: str) -> list[str]:
    """What to open next of what was written, and what to run for the piece of these words."""
    made = set(files)
    rows = [
        (("index.html", "preview.png"), "look at {}"),
        (("model.glb", "model.step"), "turn {} over in a viewer or a CAD program"),
        (("cutlist.csv", "hardware.csv"), "cut and buy by {}"),
        (("sheets.pdf", "labels.pdf"), "take {} to the saw"),
        (("drawings.pdf", "booklet.pdf"), "build by {}"),
    ]
    there = [(words, [name for name in names if name in made]) for names, words in rows]
    opens = [
        words.format((" or " if "turn" in words else " and ").join(names)) for words, names in there if names
    ]
    lines = [f"in {folder}: {'; '.join(opens)}"] if opens else []
    lines += [
        f"order of assembly: furnigen make {piece} --steps",
        f"a scale model: furnigen mockup {piece} --scale 1:12",
    ]
    return [f"{'Next' if n == 0 else '    '}  {line}" for n, line in enumerate(lines)]
