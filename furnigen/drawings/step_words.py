"""What a maker is told at each step, in words that are complete without the picture."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import hypot

from furnigen.catalogue.hardware import sold_as
from furnigen.core.facts import FastenerKind
from furnigen.core.pose import Box, Vector
from furnigen.cutting.joint_words import size_text
from furnigen.drawings.actions import Action
from furnigen.drawings.hardware_words import HARDWARE_WORDS, counted, way_to_fit
from furnigen.formats.report_construction import WAY_NAMES
from furnigen.joints.joint import Joint
from furnigen.parts.mass import mass_kg
from furnigen.piece.description import Piece
from furnigen.piece.hardware_list import HardwareRow, hardware_of

HEAVY_KG, LONG_MM = 20.0, 1800.0
"""What is heavier or longer is moved by two people. Common practice, no source."""
MANY_JOINTS = 4
"""More joints than this to close at once take a second pair of hands. Common practice, no source."""
LEVEL_AND_PLUMB = "Level on top both ways; uprights plumb. Pull gently at the top: nothing moves."
WALL_CAUTION = (
    "Wall: find pipes and cables first; anchors must suit the wall. Load the piece only when it is fixed."
)
SLANT = 0.02
"""Smaller components of a direction are not told."""
NUMBERS = dict(
    enumerate(["two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"], 2)
)
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


def way_words(way: Vector) -> str:
    """A direction of the room as a person says it.

    >>> way_words((0.0, 0.0, -1.0))
    'down'
    >>> way_words((0.087, -0.052, 0.995))
    'up, slanting a little to the right and to the front'
    """
    shares = sorted(((abs(c), k) for k, c in enumerate(way) if abs(c) > SLANT), reverse=True)
    words = []
    for _, k in shares:
        unit = tuple((1.0 if way[k] > 0 else -1.0) if i == k else 0.0 for i in range(3))
        words.append(WAY_NAMES[unit[0], unit[1], unit[2]])
    if len(words) == 1:
        return words[0]
    if shares[0][0] - shares[-1][0] < SLANT:
        return "slanting " + " and ".join(words)
    return f"{words[0]}, slanting a little {' and '.join(words[1:])}"


def listed(names: Iterable[str], most: int = 0) -> str:
    """Names in a sentence; where there are more than `most`, the others are counted.

    >>> listed(["a", "b", "c"]), listed(["a", "b", "c", "d"], 2)
    ('a, b and c', 'a, b and 2 more')
    """
    all_names = list(names)
    if most and len(all_names) > most + 1:
        all_names = [*all_names[:most], f"{len(all_names) - most} more"]
    if len(all_names) < 2:
        return "".join(all_names)
    return f"{', '.join(all_names[:-1])} and {all_names[-1]}"


def told(
    piece: Piece, actions: Sequence[Action], number: int, marks: Mapping[tuple[str, str], str], units: str
) -> Told:
    """The words of one action.

    Args:
        number: of the action, from 0.
        marks: "H1" and so on by kind and size of hardware.
        units: "mm" or "in".
    """
    action = actions[number]
    lines: list[tuple[str, str]] = []
    if action.count > 1:
        lines.append(("How often", _how_often(action, actions)))
    lines.append(("Do", _do(action)))
    glue = glued_words(action.joints)
    if action.joints:
        lines.append(("Joints", glue))
    elif not action.is_start:
        lines.append(("Joints", _held_later(action, actions, number)))
    for row in hardware_of(action.joints):
        each = "Each time " if action.count > 1 else ""
        lines.append((f"Fasten {marks[row.kind, row.size]}", each + _fastening(row, action.joints, units)))
    tools = tools_of(action.joints)
    if tools:
        lines.append(("Tools", sentence("; ".join(tools) + ".")))
    lifted = lifted_kg(piece, action)
    lines.append(("Hands", hands_words(piece, action, lifted)))
    square = square_check(piece, action, units)
    if square:
        lines.append(("Check", square))
    return Told(title_of(action), tuple(lines), tuple(cautions_of(action, lifted)), tools)


def title_of(action: Action) -> str:
    """What is done, in a few words."""
    step = action.step
    often = f"{action.count} x " if action.count > 1 else ""
    brings = [n for s in action.pictured for n in s.brings]
    what = listed(brings, 4) if brings else "the piece"
    inside = f"{often}{step.builds}: " if step.builds else ""
    if action.is_fixing:
        return f"Last: fix the piece to the {listed(step.onto)}"
    if action.is_start:
        return f"{inside}start with {what}"
    return f"{inside}put in {what}"


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


def _do(action: Action) -> str:
    step = action.step
    if action.is_fixing:
        return (
            f"Stand the piece where it stays, level and plumb, and fix {listed(step.parts)} to the"
            f" {listed(step.onto)}."
        )
    what = listed(step.brings)
    if action.is_start:
        return f"Set down {what} as the picture shows it. Everything else is put to it."
    assert step.way is not None
    onto = f" onto {listed(step.onto)}" if step.onto else ""
    others = "" if step.builds or action.count == 1 else " The others likewise, each in its own place."
    return f"Bring {what} {way_words(step.way)}{onto}, in a straight line.{others}"


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


def sentence(text: str) -> str:
    """Text that begins with a capital.

    >>> sentence("drill driver")
    'Drill driver'
    """
    return text[:1].upper() + text[1:]


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


def _fastening(row: HardwareRow, joints: Sequence[Joint], units: str) -> str:
    fitted = next(
        f
        for j in joints
        for f in j.fasteners
        if (f.kind.value, sold_as(f.kind, f.diameter_mm, f.length_mm)) == (row.kind, row.size)
    )
    where = "; ".join(_where(joints, row))
    return f"{counted(row)}: {where}. {way_to_fit(fitted, units)}"


def _where(joints: Sequence[Joint], row: HardwareRow) -> list[str]:
    """Where hardware of one row goes: for each board how many, and what they hold it to."""
    onto: dict[tuple[str, int], list[str]] = {}
    for j in joints:
        number = sum(h.quantity for h in hardware_of([j]) if (h.kind, h.size) == (row.kind, row.size))
        if number:
            onto.setdefault((j.b, number), []).append(j.a)
    return [
        f"{number}{' each' if len(others) > 1 else ''} from {board} to {listed(others)}"
        for (board, number), others in onto.items()
    ]


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
    kilos = f"{heaviest:.0f} kg" if heaviest >= 9.5 else f"{heaviest:.1f} kg"
    what = "the heaviest " if len(action.step.brings) > 1 else ""
    if action.is_fixing:
        return f"2 people: one steadies the piece ({heaviest:.0f} kg), one fixes it."
    if heaviest > HEAVY_KG:
        return f"2 people: {what}{kilos}."
    if longest > LONG_MM:
        return f"2 people: {what}{kilos}, but long."
    if len(action.joints) > MANY_JOINTS and not action.is_start:
        return f"2 people: {what}{kilos}, and {len(action.joints)} joints close at once."
    return f"1 person: {what}{kilos}."


def square_check(piece: Piece, action: Action, units: str) -> str:
    """What to measure after a step that closes a frame; empty where none is closed."""
    step = action.step
    if action.is_start or not step.parts:
        return ""
    if action.is_fixing:
        return LEVEL_AND_PLUMB
    if len(step.onto) < 2 and len(step.parts) < 2:
        return "With a try square: it stands square to what it meets." if step.joints else ""
    even = "1 mm" if units == "mm" else size_text(25.4 / 32, "in")
    labels = [n for n in (*action.there, *step.parts) if n in piece.by_label]
    found = frame_diagonal([piece.bounds_of(piece.placement(n)) for n in labels])
    if found is None:
        return f"Measure corner to corner both ways: equal to {even}. Sight along the edges: no twist."
    diagonal, plane = found
    each = size_text(round(diagonal, 0) if units == "mm" else diagonal, units)
    unit = " mm" if units == "mm" else ""
    return (
        f"Measure both diagonals over the outside, seen from the {plane}: equal to"
        f" {even}, each about {each}{unit}."
        " Sight along the edges: no twist."
    )


def frame_diagonal(boxes: Sequence[Box]) -> tuple[float, str] | None:
    """The diagonal of the rectangle that parts fill (mm) and where it is seen from; None where their outline
    has no four corners."""
    whole = Box.around([b.lo for b in boxes] + [b.hi for b in boxes])
    size = whole.size
    thin = min(range(3), key=lambda k: size[k])
    a, b = (k for k in range(3) if k != thin)
    for u in (whole.lo[a], whole.hi[a]):
        for v in (whole.lo[b], whole.hi[b]):
            if not any(
                box.lo[a] - 0.5 <= u <= box.hi[a] + 0.5 and box.lo[b] - 0.5 <= v <= box.hi[b] + 0.5
                for box in boxes
            ):
                return None
    return hypot(size[a], size[b]), ("side", "front", "top")[thin]


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
