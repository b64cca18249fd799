"""How a piece is made, as rows of the report: joints, the load path, the order of assembly, movement."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from math import atan2, degrees
from typing import TYPE_CHECKING, Any

from furnigen.core.facts import words_of
from furnigen.core.pose import Vector
from furnigen.formats.hardware_list import hardware_rows
from furnigen.piece.hardware_list import HardwareRow, hardware_of

if TYPE_CHECKING:
    from furnigen.construction.assembly_order import AssemblyOrder, Step
    from furnigen.construction.load_path import LoadPath
    from furnigen.construction.wood_movement import Movement, Restraint
    from furnigen.piece.description import Piece

Json = dict[str, Any]

WAY_NAMES: dict[Vector, str] = {
    (1.0, 0.0, 0.0): "to the right",
    (-1.0, 0.0, 0.0): "to the left",
    (0.0, 1.0, 0.0): "to the back",
    (0.0, -1.0, 0.0): "to the front",
    (0.0, 0.0, 1.0): "up",
    (0.0, 0.0, -1.0): "down",
}


def joint_rows(piece: Piece) -> list[Json]:
    """Every joint, with its hardware."""
    return [
        {
            "kind": j.kind,
            "a": j.a,
            "b": j.b,
            "glued": j.glued,
            "hardware": hardware_rows(hardware_of([j])),
            "parts": [label for label, _ in j.loose],
            "home": None if j.home is None else list(j.home),
            "travel_mm": j.travel_mm,
            "joinery": j.joinery,
            "facts": words_of(j.facts),
        }
        for j in piece.joints
    ]


def movement_rows(movements: Iterable[Movement], held: Iterable[Restraint]) -> Json:
    """Seasonal change of every solid part, and what holds wood from moving."""
    return {
        "parts": [
            {"part": m.part, "width_mm": m.width_mm, "change_mm": m.change_mm, "source": m.source}
            for m in movements
        ],
        "held": [
            {
                "how": h.how,
                "label": h.label,
                "by": list(h.by),
                "along": list(h.along),
                "extent_mm": h.extent_mm,
                "movement_mm": h.movement_mm,
                "source": h.source,
            }
            for h in held
        ],
    }


def load_path_rows(path: LoadPath) -> list[Json]:
    """What carries each placement, from the ground upward."""
    touches, rank = dict(path.touches), dict(path.rank)
    return [
        {
            "label": label,
            "rank": rank[label],
            "supports": [
                {
                    "by": p.by,
                    "kind": p.kind,
                    "joint": p.joint,
                    "area_mm2": p.area_mm2,
                    "centre_mm": list(p.centre),
                    "min": list(p.lo),
                    "max": list(p.hi),
                }
                for p in path.under[label]
            ],
            "touches": list(touches[label]),
        }
        for label in path.order
    ]


def assembly_rows(piece: Piece, assembly: AssemblyOrder) -> list[Json]:
    """Every step of putting the piece together."""
    kinds = {leg.part for leg in piece.legs}
    legs = frozenset(p.label for p in piece.placements if p.part in kinds)
    return [
        {
            "step": number,
            "builds": s.builds,
            "brings": list(s.brings),
            "parts": list(s.parts),
            "onto": list(s.onto),
            "way": None if s.way is None else list(s.way),
            "travel_mm": s.travel_mm,
            "joints": list(s.joints),
            "glued": s.glued,
            "hardware": hardware_rows(s.hardware),
            "text": step_text(s, legs),
        }
        for number, s in enumerate(assembly.steps, 1)
    ]


def step_text(step: Step, legs: Collection[str] = ()) -> str:
    """A step as a sentence a maker reads.

    Args:
        step: the step.
        legs: labels of leaning legs, which come in along their slope.
    """
    what = ", ".join(step.brings or step.parts)
    place = f"{step.builds}: " if step.builds else ""
    if step.way is None:
        text = f"fix {what} to the {', '.join(step.onto)}" if step.onto else f"start with {what}"
    else:
        way = _way(step.way, leaning=set(step.parts) <= set(legs))
        text = f"bring {what} {way}" + (f" onto {', '.join(step.onto)}" if step.onto else "")
    joints = " and ".join(step.joints)
    if joints:
        text += f" ({joints}, glued)" if step.glued else f" ({joints})"
    if step.hardware:
        text += "; " + ", ".join(_fitted(row) for row in step.hardware)
    return place + text


def _fitted(row: HardwareRow) -> str:
    return f"{row.quantity} {row.kind}{'s' if row.quantity > 1 else ''} {row.size}"


def _way(way: Vector, *, leaning: bool) -> str:
    """A direction in words; askew ones by the directions they lie between, the steepest first."""
    parts = sorted(((abs(c), i) for i, c in enumerate(way) if abs(c) > 1e-6), reverse=True)
    names = [WAY_NAMES[_axis(i, 1.0 if way[i] > 0 else -1.0)] for _, i in parts]
    if len(names) == 1:
        return names[0]
    if leaning:
        return f"{WAY_NAMES[_axis(2, 1.0 if way[2] > 0 else -1.0)]} along the leg's slope"
    if len(names) == 2:
        return f"{names[0]} and {names[1]}, {degrees(atan2(parts[1][0], parts[0][0])):.0f}° askew"
    return f"{names[0]}, {names[1]} and {names[2]}, askew"


def _axis(axis: int, sign: float) -> Vector:
    x, y, z = (sign if i == axis else 0.0 for i in range(3))
    return x, y, z
