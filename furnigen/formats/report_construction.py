"""How a piece is made, as rows of the report: joints, the load path, the order of assembly, movement."""

from __future__ import annotations

from collections.abc import Iterable
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


def assembly_rows(assembly: AssemblyOrder) -> list[Json]:
    """Every step of putting the piece together."""
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
            "text": step_text(s),
        }
        for number, s in enumerate(assembly.steps, 1)
    ]


def step_text(step: Step) -> str:
    """A step as a sentence a maker reads."""
    what = ", ".join(step.brings or step.parts)
    place = f"{step.builds}: " if step.builds else ""
    if step.way is None:
        text = f"fix {what} to the {', '.join(step.onto)}" if step.onto else f"start with {what}"
    else:
        text = f"bring {what} {_way(step.way)}" + (f" onto {', '.join(step.onto)}" if step.onto else "")
    joints = " and ".join(step.joints)
    if joints:
        text += f" ({joints}, glued)" if step.glued else f" ({joints})"
    if step.hardware:
        text += "; " + ", ".join(_fitted(row) for row in step.hardware)
    return place + text


def _fitted(row: HardwareRow) -> str:
    return f"{row.quantity} {row.kind}{'s' if row.quantity > 1 else ''} {row.size}"


def _way(way: Vector) -> str:
    for known, words in WAY_NAMES.items():
        if all(abs(a - b) < 1e-6 for a, b in zip(known, way, strict=True)):
            return words
    return f"along ({', '.join(f'{c:.3f}' for c in way)})"
