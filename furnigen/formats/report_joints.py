"""What the report says of joints: forces, what they bear, how much of it is used, by which rule."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from furnigen.strength.joints.actions import Action, Bears
    from furnigen.strength.joints.check import JointResult

Json = dict[str, Any]


def joint_strength_rows(joints: Iterable[JointResult]) -> list[Json]:
    """Every joint that load can pass, as plain data (N, mm, N mm, N/mm²)."""
    return [_row(one) for one in joints]


def _row(one: JointResult) -> Json:
    loaded = one.loaded
    joint, seat = loaded.joint, loaded.seat
    worst = one.bears[0] if one.bears else None
    return {
        "a": joint.a,
        "b": joint.b,
        "kind": joint.kind,
        "glued": joint.glued,
        "fasteners": [
            {
                "kind": f.kind.value,
                "diameter_mm": f.diameter_mm,
                "length_mm": f.length_mm,
                "count": len(f.sites),
            }
            for f in joint.fasteners
        ],
        "dead_newton": loaded.dead_n,
        "live_newton": loaded.live_n,
        "moment_by_its_stiffness_nmm": loaded.held_nmm,
        "forces": [_action(a, one) for a in loaded.actions],
        "seat_mm": {
            "deep": seat.deep_mm,
            "wide": seat.wide_mm,
            "thick": seat.thick_mm,
            "bearing_mm2": loaded.bearing_mm2,
        },
        "used": _share(one.used),
        "what": worst.what if worst else "",
        "value": worst.value if worst else None,
        "capacity": worst.allowed if worst else None,
        "unit": worst.unit if worst else "",
        "rule": worst.source if worst else "",
        "by": worst.action if worst else "",
        "others": [_bears(b) for b in one.bears[1:]],
        "not_estimated": one.unknown,
    }


def _action(action: Action, one: JointResult) -> Json:
    seat = one.loaded.seat
    return {
        "by": action.name,
        "newton": list(action.force),
        "pull_newton": action.pull(seat),
        "sideways_newton": action.shear(seat),
        "moment_nmm": action.moment,
    }


def _bears(one: Bears) -> Json:
    return {
        "what": one.what,
        "by": one.action,
        "value": one.value,
        "capacity": one.allowed,
        "unit": one.unit,
        "used": _share(one.used),
    }


def _share(used: float | None) -> float | None:
    """A share of what is borne, at most MOST_USED where nothing is borne at all."""
    from furnigen.checks.standing import MOST_USED  # brings numpy: not before the input is known to be good

    return None if used is None else min(used, MOST_USED)
