"""What a maker is told at each step, in words that are complete without the picture."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from furnigen.catalogue.hardware import sold_as
from furnigen.core.facts import FastenerKind
from furnigen.drawings.actions import Action
from furnigen.drawings.hardware_sites import where_it_goes
from furnigen.drawings.hardware_words import HARDWARE_WORDS, INTO_A_WALL, counted, way_to_fit
from furnigen.drawings.key import Key
from furnigen.drawings.sentences import listed, pushed, sentence
from furnigen.drawings.step_measures import place_words, square_check
from furnigen.joints.joint import Joint
from furnigen.parts.mass import mass_kg
from furnigen.piece.description import Piece
from furnigen.piece.hardware_list import HardwareRow, hardware_of

HEAVY_KG, LONG_MM, SLIGHT_KG = 20.0, 1800.0, 3.0
"""What is heavier, or longer and not slight, is moved by two people. Common practice, no source."""
MANY_JOINTS = 4
"""More joints than this to close at once take a second pair of hands. Common practice, no source."""
WALL_CAUTION = (
    "Wall: find pipes and cables first; anchors must suit the wall. Load the piece only when it is fixed."
)
NUMBERS = dict(
    enumerate(["two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"], 2)
)
CLAMPED = (
    "Across the joints, waste wood under the jaws. Wipe off what comes out. Clamps stay until the glue has"
    " set: its label says how long."
)
TIGHTENING = frozenset(
    {FastenerKind.SCREW, FastenerKind.NAIL, FastenerKind.BOLT, FastenerKind.CONNECTOR, FastenerKind.WEDGE}
)
"""Hardware that draws a joint tight."""
INTERLOCKING = frozenset(
    {"housing", "tenon", "cross-lap", "finger joint", "sliding dovetail", "mitre", "rabbet"}
)


@dataclass(frozen=True)
class Told:
    """The words of one page.

    Attributes:
        title: what is done, in one line.
        lines: (heading, sentence) in their order.
        cautions: what can hurt someone.
        tools: what is needed.
    """

    title: str
    lines: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    tools: tuple[str, ...]


def told(piece: Piece, actions: Sequence[Action], number: int, key: Key, units: str) -> Told:
    """The words of one action.

    Args:
        number: of the action, from 0.
        units: "mm" or "in".
    """
    action = actions[number]
    lines: list[tuple[str, str]] = []
    if action.count > 1:
        lines.append(("How often", _how_often(action, actions)))
    turned, turned_kg = turning(piece, actions, number)
    if turned:
        lines.append(("Turn", turned))
    lines.append(("Do", _do(piece, action, key)))
    place = place_words(piece, action, _unit(actions, action), units)
    if place:
        lines.append(("Place", place))
    if action.joints:
        lines.append(("Joints", glued_words(action.joints)))
    elif not action.is_start:
        lines.append(("Joints", _held_later(action, actions, number)))
    # of the piece itself all copies are told, each has its own place; of sub-assemblies the first
    for row in hardware_of(action.pictured_joints):
        each = "Each time " if action.count > 1 and action.step.builds else ""
        lines.append((f"Fasten {key.mark[row.kind, row.size]}", each + _fastening(piece, row, action, units)))
    if any(j.glued and not _pulled_together(j) for j in action.joints):
        lines.append(("Clamp", CLAMPED))
    tools = tools_of(action.joints)
    if action.is_fixing:
        tools = tuple(dict.fromkeys((*tools, *wall_tools())))
    if tools:
        lines.append(("Tools", sentence("; ".join(tools) + ".")))
    lifted = lifted_kg(piece, action)
    lines.append(("Hands", hands_words(piece, action, lifted)))
    square = square_check(piece, action, units)
    if square:
        lines.append(("Check", square))
    return Told(
        title_of(piece, action), tuple(lines), tuple(cautions_of(action, max(lifted, turned_kg))), tools
    )


def _unit(actions: Sequence[Action], action: Action) -> list[str]:
    """Labels of all that the unit of an action is made of: the piece, or its sub-assembly."""
    mine = [s for a in actions for s in a.steps if s.builds == action.step.builds]
    return list(dict.fromkeys(n for s in mine for n in s.parts))


def _pulled_together(joint: Joint) -> bool:
    """Whether its own hardware draws a joint tight, so that it needs no clamp."""
    return any(f.kind in TIGHTENING for f in joint.fasteners)


def turning(piece: Piece, actions: Sequence[Action], number: int) -> tuple[str, float]:
    """How what stands there is turned for a step from below, and back again after it; and its mass (kg)."""
    action = actions[number]
    before = actions[number - 1] if number else None
    was_up = before is not None and before.step.builds == action.step.builds and _from_below(before)
    if not _from_below(action) and not was_up:
        return "", 0.0
    mass = mass_of(piece, action.there)
    people = f", with two people: {mass:.0f} kg" if mass > HEAVY_KG else ""
    if not _from_below(action):
        return f"Stand it upright again{people}.", mass
    if was_up:
        return "It still lies on its back or upside down; up and down are as in the picture.", 0.0
    return (
        "It goes in from below: first lay what stands there on its back or upside down"
        f"{people}. Up and down are as in the picture."
    ), mass


def _from_below(action: Action) -> bool:
    way = action.step.way
    return way is not None and way[2] > 0.7 and bool(action.there)


def title_of(piece: Piece, action: Action) -> str:
    """What is done, in a few words."""
    step = action.step
    often = f"{action.count} x " if action.count > 1 else ""
    what = _named_or_counted(piece, [n for s in action.pictured for n in s.brings])
    inside = f"{often}{step.builds}: " if step.builds else ""
    if action.is_fixing:
        return f"Last: fix the piece to the {listed(step.onto)}"
    if action.is_start:
        return f"{inside}start with {what}"
    return f"{inside}put in {what}"


def _named_or_counted(piece: Piece, names: Sequence[str]) -> str:
    """One or two labels; more of them as parts with their number."""
    if len(names) < 3:
        return listed(names)
    kinds = [piece.part_of(piece.placement(n)).name if n in piece.by_label else n for n in names]
    return listed((f"{kinds.count(k)} x {k}" for k in dict.fromkeys(kinds)), 4)


def _how_often(action: Action, actions: Sequence[Action]) -> str:
    first, last = action.section
    count = NUMBERS.get(action.count, str(action.count))
    if action.step.builds:
        made = f"Make {count} alike: {listed(s.builds for s in actions[first].steps)}."
        return made if first == last else f"{made} Steps {first + 1} to {last + 1} for each."
    turns = [
        " and then ".join(listed(a.steps[n].brings) for a in actions[first : last + 1])
        for n in range(action.count)
    ]
    if first == last:
        return f"{sentence(count)} times, in this order: {listed(turns)}."
    steps = listed(str(n + 1) for n in range(first, last + 1))
    return f"Steps {steps} follow each other {count} times: first {'; next '.join(turns)}."


def _do(piece: Piece, action: Action, key: Key) -> str:
    step = action.step
    if action.is_fixing:
        return (
            f"Stand the piece where it stays, level and plumb, and fix {listed(step.parts)} to the"
            f" {listed(step.onto)}."
        )
    what = listed(_with_number(piece, name, key) for name in step.brings)
    if action.is_start:
        return f"Set down {what} as the picture shows it. Everything else is put to it."
    assert step.way is not None
    others = "" if step.builds or action.count == 1 else " The others likewise, each in its own place."
    return f"{pushed(what, step.way, listed(step.onto))}{others}"


def _with_number(piece: Piece, name: str, key: Key) -> str:
    """A label with the number in its balloon, or a sub-assembly with its letter."""
    mark = key.number[piece.placement(name).part] if name in piece.by_label else key.letter[name]
    return f"{name} ({mark})"


def glued_words(joints: Sequence[Joint]) -> str:
    """Which joints are glued and which are dry.

    >>> glued_words([Joint("housing", "side", "shelf", glued=True)])
    'Housing: glue, a thin coat on both faces that meet.'
    """
    wet = dict.fromkeys(j.kind for j in joints if j.glued)
    dry = dict.fromkeys(j.kind for j in joints if not j.glued)
    said = []
    if wet:
        said.append(f"{listed(wet)}: glue, a thin coat on both faces that meet.")
    if dry:
        said.append(f"{listed(dry)}: dry, no glue.")
    return " ".join(sentence(s) for s in said)


def _held_later(action: Action, actions: Sequence[Action], number: int) -> str:
    """When something without a joint of its own is held at last; how a spline, key or wedge goes in."""
    for joint in (j for a in actions for j in (*a.joints, *(k for _, more in a.twins for k in more))):
        for f in joint.fasteners:
            # labels of the loose parts a joint is made with, where hardware is described with them
            if action.step.parts[0] in getattr(f, "parts", ()):
                return f"Of the {joint.kind} of {joint.a} and {joint.b}: {HARDWARE_WORDS[f.kind].how}"
    mine = set(action.step.parts)
    for later in range(number + 1, len(actions)):
        if any(mine & {j.a, j.b} for j in actions[later].joints):
            return f"None yet: steady it with tape or a clamp; it is fixed in step {later + 1}."
    return "None: it lies in place, dry, and can be taken out again."


def _fastening(piece: Piece, row: HardwareRow, action: Action, units: str) -> str:
    joints = action.pictured_joints
    fitted = next(
        f
        for j in joints
        for f in j.fasteners
        if (f.kind.value, sold_as(f.kind, f.diameter_mm, f.length_mm)) == (row.kind, row.size)
    )
    where = where_it_goes(piece, joints, row, units)
    how = INTO_A_WALL if action.is_fixing else HARDWARE_WORDS[fitted.kind].how
    return f"{counted(row)}: {where}. {way_to_fit(fitted, how, units)}"


def tools_of(joints: Iterable[Joint]) -> tuple[str, ...]:
    """The tools that joints need, each once."""
    joints = list(joints)
    found: dict[str, None] = {}
    if any(j.glued for j in joints):
        found |= dict.fromkeys(("wood glue and brush", "clamps", "damp cloth"))
    if any(j.joinery.value in INTERLOCKING for j in joints):
        found["mallet with a block of waste wood"] = None
    for joint in joints:
        for f in joint.fasteners:
            found |= dict.fromkeys(HARDWARE_WORDS[f.kind].tools)
    return tuple(found)


def wall_tools() -> tuple[str, ...]:
    """What it takes to fix something to a wall."""
    return HARDWARE_WORDS[FastenerKind.WALL_ANCHOR].tools


def mass_of(piece: Piece, labels: Iterable[str]) -> float:
    """What some placements weigh together (kg)."""
    return sum(mass_kg(piece.part_of(piece.placement(label))) for label in labels if label in piece.by_label)


def lifted_kg(piece: Piece, action: Action) -> float:
    """The heaviest thing that is moved at once (kg): a board, a sub-assembly, or the piece."""
    step = action.step
    if len(step.brings) <= 1:
        return mass_of(piece, step.parts if step.brings else piece.by_label)
    return max(mass_of(piece, [label]) for label in step.parts)


def hands_words(piece: Piece, action: Action, heaviest: float) -> str:
    """How many people, and why."""
    boxes = [piece.bounds_of(piece.placement(n)) for n in action.step.parts if n in piece.by_label]
    longest = max(max(b.size) for b in boxes) if boxes else 0.0
    kilos = f"{heaviest:.0f} kg" if heaviest >= 9.5 else f"{max(heaviest, 0.1):.1f} kg"
    what = "the heaviest " if len(action.step.brings) > 1 else ""
    if action.is_fixing:
        return f"2 people: one steadies the piece ({heaviest:.0f} kg), one fixes it."
    if heaviest > HEAVY_KG:
        return f"2 people: {what}{kilos}."
    if longest > LONG_MM and heaviest > SLIGHT_KG:
        return f"2 people: {what}{kilos}, but long."
    if len(action.joints) > MANY_JOINTS and not action.is_start:
        return f"2 people: {what}{kilos}, and {len(action.joints)} joints close at once."
    return f"1 person: {what}{kilos}."


def cautions_of(action: Action, mass: float) -> list[str]:
    """What can hurt someone in a step. Common practice, no source."""
    kinds = {f.kind for j in action.joints for f in j.fasteners}
    said = []
    if any(j.glued for j in action.joints):
        said.append("Glue: fresh air, keep it off skin and eyes, read its label.")
    if kinds & {FastenerKind.WEDGE, FastenerKind.SPLINE, FastenerKind.KEY}:
        said.append("Blades: trim what stands out only when the glue is dry, cutting away from your hands.")
    if kinds & {FastenerKind.SCREW, FastenerKind.CONNECTOR, FastenerKind.BRACKET, FastenerKind.WALL_ANCHOR}:
        said.append(
            "Drill: eye protection, no gloves or loose sleeves, work clamped, hand never behind the bit."
        )
    if mass > HEAVY_KG:
        said.append(f"Weight: {mass:.0f} kg; lift with two people, straight back.")
    if action.is_fixing:
        said.append(WALL_CAUTION)
    return said
