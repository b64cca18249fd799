"""The last page of a booklet: the piece in its place, and how it is fixed to the wall."""

from __future__ import annotations

from furnigen.core.facts import Fact
from furnigen.core.wording import shown
from furnigen.drawings.actions import Action
from furnigen.drawings.blocks import Entry, caution_entry, draw_entries, height_of
from furnigen.drawings.isometric import Picture
from furnigen.drawings.picture_items import fitted, joined_bounds, line_items
from furnigen.drawings.sentences import listed, sentence
from furnigen.drawings.step_measures import LEVEL_AND_PLUMB
from furnigen.drawings.step_pages import NOTICE, SIDE, Scene, wall_bounds, wall_items
from furnigen.drawings.step_words import HEAVY_KG, WALL_CAUTION, mass_of, wall_tools
from furnigen.paper.frame import Frame
from furnigen.paper.page import Page
from furnigen.piece.description import Piece, Wall
from furnigen.strength.formulas.tipping import should_anchor


def closing_pages(scene: Scene, actions: tuple[Action, ...], frame: Frame) -> list[Page]:
    """The page that fixes a piece to the wall, last of all; none where it need not be, or a step does it."""
    piece = scene.piece
    size = piece.bounds.size
    why = should_anchor(size[2], size[1])
    if any(a.is_fixing for a in actions) or not (piece.walls or why):
        return []
    left, low, right, top = frame.inner
    entries = _entries(piece, shown(why, scene.units))
    tall = height_of(entries, right - left)
    area = (left + SIDE, low + tall + 6.0, right - SIDE, top - 6.0)
    picture = Picture([scene.shown(p.label) for p in piece.placements])
    walls = piece.walls or (Wall("wall", (0.0, piece.bounds.hi[1], 0.0), (0.0, -1.0, 0.0)),)
    place = fitted(joined_bounds([picture.bounds, *wall_bounds(scene, walls)]), area)
    items = [
        *wall_items(scene, walls, picture, place),
        *line_items(picture, place, frozenset()),
        *draw_entries(entries, left, low + tall, right - left),
    ]
    return [frame.page(items, "Last: fix it to the wall", 0, 0, NOTICE)]


def _entries(piece: Piece, why: str) -> list[Entry]:
    fixed = [p.label for p in piece.placements if Fact.FIXED_TO_THE_WALL in p.facts]
    mass = mass_of(piece, piece.by_label)
    if fixed:
        do = f"Hold the piece where it stays, level, and fix it to the wall through {listed(fixed)}."
    elif piece.walls:
        do = "Stand the piece where it stays, against the wall, and fix it to the wall near its top."
    else:
        do = "Stand the piece where it stays, level and plumb, and fix it to the wall at its top."
    people = f"2 people: {mass:.0f} kg; one steadies the piece, one fixes it."
    found = [
        Entry("Do", do),
        Entry("Fasten", "Anchors and screws that suit the wall; they are not in the list of hardware, for"
              " they depend on the wall. The checks in report.json say what pull they must take."),
        Entry("Tools", sentence("; ".join(wall_tools())) + "."),
        Entry("Hands", people),
        Entry("Check", LEVEL_AND_PLUMB),
    ]  # fmt: skip
    if why:
        found.insert(1, Entry("Why", sentence(why) + "."))
    if mass > HEAVY_KG:
        found.append(caution_entry(f"Weight: {mass:.0f} kg; lift with two people, straight back."))
    return [*found, caution_entry(WALL_CAUTION)]
