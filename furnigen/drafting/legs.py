"""Four legs under a case: set in from the corners, mirrored, leaning outward two ways."""

from __future__ import annotations

from math import atan, atan2, degrees, radians, tan

from furnigen.catalogue.stock import Stock, list_stock
from furnigen.core.asked import asked_as
from furnigen.core.errors import InputError
from furnigen.core.pose import Box, Pose
from furnigen.core.wording import as_given, in_words
from furnigen.drafting.arrays import CORNERS, corner_points
from furnigen.drafting.draft import Draft
from furnigen.drafting.leg_angles import leg_angles
from furnigen.parts.forms.form import Leg
from furnigen.parts.forms.leg_lean import resultant_degrees
from furnigen.parts.forms.square_leg import SquareLeg
from furnigen.parts.forms.turned_leg import TurnedLeg
from furnigen.piece.description import LegNote

LEG_KINDS = ("turned", "square")
INSETS_TO = ("axis", "top", "foot")
"""What of a leg its inset is measured to: its axis at its top, or the outermost edge of its top or foot."""


def lean_to_foot(height: float, out: float) -> float:
    """Lean (degrees) of a leg `height` mm high whose foot stands `out` mm outside its top, axis to axis.

    Raises: InputError for a height that is not more than 0.

    >>> round(lean_to_foot(400, 70), 3)
    9.926
    """
    if not height > 0:
        raise InputError("leg height", as_given(height), "must be more than 0 mm")
    return degrees(atan(out / height))


def foot_out(height: float, lean: float) -> float:
    """How far (mm) the foot of a leg `height` mm high stands outside its top at a lean (degrees).

    >>> round(foot_out(400, 10), 1)
    70.5
    """
    return height * tan(radians(lean))


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
    inset_to: str = "axis",
    edges: Box | None = None,
) -> list[str]:
    """Place four legs from the floor to the underside of `under`, mm and degrees.

    Args:
        under: what they carry; its underside is the top of the legs.
        kind: one of LEG_KINDS.
        top, foot: diameter or side square to the leg's axis at its ends.
        inset: from `edges` to what `inset_to` names.
        rake, splay: lean outward front-back and left-right; `lean_to_foot` gives them from how far the foot
            stands out.
        inset_to: one of INSETS_TO.
        edges: the outside of the case, a back planted on behind included; that of `under` when None.

    Returns: labels leg.front.left, leg.front.right, leg.back.right, leg.back.left.

    Raises: InputError when a leg's top reaches past the case, two legs meet, or the stock is too thin.

    >>> from furnigen import Draft, find_stock
    >>> draft, case = Draft("stool"), Box((0, 0, 400), (400, 400, 440))
    >>> four_legs(draft, find_stock("beech-blank-50"), case, top=40, foot=25, inset=50, splay=8)
    ['leg.front.left', 'leg.front.right', 'leg.back.right', 'leg.back.left']
    """
    height = under.lo[2]
    across, deep = leg_insets(kind, height, top, foot, inset, rake, splay, inset_to)
    with asked_as("leg inset", as_given(inset)):
        points = corner_points(edges or under, across, deep, 0.0)
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
            "leg inset",
            as_given(inset),
            "the legs would meet",
            "set them closer to the corners",
        )
    blank = form.blank_mm
    if blank[1] > stock.thickness_mm + 1e-6:
        raise InputError(
            "leg stock",
            stock.name,
            f"is {as_given(stock.thickness_mm)} thick, and the leg needs {in_words(blank[1])}",
            _thick_enough(stock, blank[0], blank[1]),
        )
    return labels


def _thick_enough(stock: Stock, length: float, thick: float) -> str:
    """The thinnest stock of the same make that a leg can be cut from, by name (mm)."""
    able = [
        s
        for s in list_stock(stock.kind)
        if s.thickness_mm >= thick - 1e-6 and s.length_mm >= length and s.section == stock.section
    ]
    if not able:
        return "choose a thinner leg"
    found = min(able, key=lambda s: (s.family != stock.family, s.thickness_mm, s.length_mm))
    return f"{found.name} is {as_given(found.thickness_mm)} thick, or choose a thinner leg"


def leg_insets(
    kind: str,
    height: float,
    top: float,
    foot: float,
    inset: float,
    rake: float,
    splay: float,
    inset_to: str = "axis",
) -> tuple[float, float]:
    """How far the axis of a leg at its top lies within the case: from left and right, front and back (mm).

    Args: as `four_legs` takes them; `height` is from the floor to the top of the legs.

    Raises: InputError for an unknown kind of leg or inset, or a height that is not more than 0.
    """
    if kind not in LEG_KINDS:
        raise InputError("leg kind", kind, f"must be one of {', '.join(LEG_KINDS)}")
    if inset_to not in INSETS_TO:
        raise InputError("leg inset to", inset_to, f"must be one of {', '.join(INSETS_TO)}")
    if height <= 0:
        raise InputError("leg height", as_given(height), "the case must stand above the floor")
    if inset_to == "axis":
        return inset, inset
    form, turn = _leg(kind, height, top, foot, rake, splay, 1, 1)
    (_, x), (_, y) = form.level_bounds(height if inset_to == "top" else 0.0, Pose.turned("z", turn))
    return inset + x, inset + y


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
    spans = leg.level_bounds(under.lo[2], pose)
    over = max(max(under.lo[i] - lo, hi - under.hi[i]) for i, (lo, hi) in enumerate(spans))
    if over > 1e-6:
        raise InputError(
            "leg inset",
            as_given(inset),
            f"the top of the leg would reach {in_words(over)} past the case",
            f"at least {in_words(inset + over)} would fit",
        )


def _angles(form: Leg, rake: float, splay: float) -> tuple[float, ...]:
    a = leg_angles(form, rake, splay)
    return (a.rake, a.splay, a.resultant, a.sightline, a.drill_guide, a.axis_length, a.blank_length)
