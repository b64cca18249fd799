"""Copies of placements: mirrored or moved, with the joints between them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from furnigen.core.errors import InputError
from furnigen.core.pose import Pose, axis_index, axis_vector
from furnigen.drafting.joining import Join, mirrored_low
from furnigen.piece.distinct_parts import Item


def mirrored_items(items: Iterable[Item], axis: str, about: float) -> Iterator[tuple[Item, Pose]]:
    """Mirror images of items in the plane `axis` = `about` (mm), under their own labels.

    Yields: each image, and the turn of its form that `Form.mirrored` gives.

    Raises: InputError for a form whose mirror image is not known.
    """
    i = axis_index(axis)
    # reflecting in any axis is reflecting in x seen from a turned frame
    frame = Pose.turned("z", 90.0) if i == 1 else Pose.turned("y", -90.0) if i == 2 else Pose()
    shift = Pose.at(*axis_vector(i, 2 * about))
    for item in items:
        image = item.form.mirrored()
        if image is None:
            raise InputError(
                "mirrored part", item.label, f"the mirror image of a {item.form.kind} is not known"
            )
        form, turn = image
        seen = frame.inverse() @ item.pose
        # M P f = (M P M)(M f): conjugating a rigid motion by a mirror leaves it rigid
        pose = shift @ frame @ seen.reflected() @ turn
        cuts = [c.reflected().moved(turn.inverse()) for c in item.cuts]
        yield replace(item, form=form, pose=pose, cuts=cuts), turn


def copied_joins(
    joins: Sequence[Join], renamed: Mapping[str, str], turns: Mapping[str, Pose] | None = None
) -> list[Join]:
    """The joins between placements that were both copied, for their copies.

    Args:
        renamed: label of the copy of each placement.
        turns: of mirrored copies, by the original's label, as `mirrored_items` gives them.
    """
    return [
        replace(
            join,
            a=renamed[join.a],
            b=renamed[join.b],
            low=mirrored_low(join.low, turns[join.b]) if turns else join.low,
        )
        for join in joins
        if join.a in renamed and join.b in renamed
    ]
