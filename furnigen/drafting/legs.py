"""Four legs under a case: set in from the corners, mirrored, leaning outward two ways."""

from __future__ import annotations

from math import atan2, degrees, radians, tan

from furnigen.catalogue.stock import Stock
from furnigen.core.errors import InputError
from furnigen.core.pose import Box, Pose
from furnigen.drafting.arrays import CORNERS, corner_points
from furnigen.drafting.draft import Draft
from furnigen.drafting.leg_angles import leg_angles
from furnigen.parts.forms.form import Leg
from furnigen.parts.forms.leg_lean import resultant_degrees
from furnigen.parts.forms.square_leg import SquareLeg
from furnigen.parts.forms.turned_leg import TurnedLeg
from furnigen.piece.description import LegNote

LEG_KINDS = ("turned", "square")


def four_legs(
    draft: Draft,
    stock: Stock,
    under: Box,
    *,
    kind: str = "turned",
    top: float,
    foot: float,
    inset: float,
    rake: float = 0.0,
    splay: float = 0.0,
) -> list[str]:
    """Place four legs from the floor to the underside of `under`, mm and degrees.

    Args:
        under: what they carry; its underside is the top of the legs.
        kind: one of LEG_KINDS.
        top, foot: diameter or side square to the leg's axis at its ends.
        inset: from the case's edges to the leg's axis at its top.
        rake, splay: lean outward front-back and left-right.

    Returns: labels leg.front.left, leg.front.right, leg.back.right, leg.back.left.

    Raises: InputError when a leg's top reaches past the case, two legs meet, or the stock is too thin.
    """
    if kind not in LEG_KINDS:
        raise InputError("leg kind", kind, f"must be one of {', '.join(LEG_KINDS)}")
    height = under.lo[2]
    if height <= 0:
        raise InputError("leg height", f"{height:g} mm", "the case must stand above the floor")
    points = corner_points(under, inset, inset, 0.0)
    labels: list[str] = []
    boxes: list[Box] = []
    for corner, (x, y, _) in zip(CORNERS, points, strict=True):
        sx = -1 if "left" in corner else 1
        sy = -1 if "front" in corner else 1
        form, turn = _leg(kind, height, top, foot, rake, splay, sx, sy)
        pose = Pose.turned("z", turn, (x, y, 0.0))
        _check_top(form, pose, under, inset)
        labels.append(draft.place(f"leg.{corner}", form, stock, pose, role="leg"))
        boxes.append(form.bounds(pose))
        draft.note_legs(labels[-1], LegNote(0, *_angles(form, rake, splay)))
    if boxes[0].hi[0] >= boxes[1].lo[0] or boxes[0].hi[1] >= boxes[3].lo[1]:
        raise InputError(
            "leg inset", f"{inset:g} mm", "the legs would meet", "set them closer to the corners"
        )
    blank = form.blank_mm
    if blank[1] > stock.thickness_mm + 1e-6:
        raise InputError(
            "leg stock",
            stock.name,
            f"is {stock.thickness_mm:g} mm thick, and the leg needs {blank[1]:.1f} mm",
            "choose a thicker stock or a thinner leg",
        )
    return labels


def _leg(
    kind: str, height: float, top: float, foot: float, rake: float, splay: float, sx: int, sy: int
) -> tuple[Leg, float]:
    """The form of the leg at a corner and the turn about z (degrees) that makes it lean outward there."""
    if kind == "turned":
        tx, ty = sx * tan(radians(splay)), sy * tan(radians(rake))
        turn = degrees(atan2(ty, tx)) if splay or rake else 0.0
        return TurnedLeg(height, top, foot, resultant_degrees(rake, splay)), turn
    if sx == sy:
        return SquareLeg(height, top, foot, splay, rake), 0.0 if sx > 0 else 180.0
    return SquareLeg(height, top, foot, rake, splay), 90.0 if sx < 0 else -90.0


def _check_top(leg: Leg, pose: Pose, under: Box, inset: float) -> None:
    """Refuse a leg whose top section reaches past the underside it carries."""
    spans = leg.level_bounds(leg.height, pose)
    over = max(max(under.lo[i] - lo, hi - under.hi[i]) for i, (lo, hi) in enumerate(spans))
    if over > 1e-6:
        raise InputError(
            "leg inset",
            f"{inset:g} mm",
            f"the top of the leg would reach {over:.1f} mm past the case",
            f"at least {inset + over:.1f} mm would fit",
        )


def _angles(form: Leg, rake: float, splay: float) -> tuple[float, ...]:
    a = leg_angles(form, rake, splay)
    return (a.rake, a.splay, a.resultant, a.sightline, a.drill_guide, a.axis_length, a.blank_length)
