"""Sets of places: along a line, mirrored and turned about the centre planes of a box.

An array returns poses or boxes; it knows nothing of parts or solids.
"""

from __future__ import annotations

from furnigen.core.errors import InputError
from furnigen.core.pose import Box, Pose, Vector, axis_index
from furnigen.core.wording import as_given, in_words


def along(axis: str, starts: tuple[float, ...]) -> tuple[Pose, ...]:
    """Shifts along one axis (mm).

    Raises: ValueError for an axis other than x, y and z.

    >>> [pose.origin for pose in along("x", (0.0, 400.0))]
    [(0.0, 0.0, 0.0), (400.0, 0.0, 0.0)]
    """
    i = axis_index(axis)
    return tuple(Pose.at(*(s if k == i else 0.0 for k in range(3))) for s in starts)


def line(axis: str, count: int, step: float, first: float = 0.0) -> tuple[Pose, ...]:
    """`count` shifts every `step` mm along an axis.

    Raises: InputError for fewer than one.

    >>> [pose.origin[2] for pose in line("z", 3, 350.0, first=100.0)]
    [100.0, 450.0, 800.0]
    """
    if count < 1:
        raise InputError("count", count, "must be 1 or more")
    return along(axis, tuple(first + i * step for i in range(count)))


def mirrored_box(box: Box, axis: str, about: float) -> Box:
    """The mirror image of a box in the plane `axis` = `about` (mm).

    Raises: ValueError for an axis other than x, y and z.

    >>> mirrored_box(Box((0, 0, 0), (18, 300, 900)), "x", 400)
    Box(lo=(782, 0, 0), hi=(800, 300, 900))
    """
    i = axis_index(axis)
    lo, hi = list(box.lo), list(box.hi)
    lo[i], hi[i] = 2 * about - box.hi[i], 2 * about - box.lo[i]
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


CORNERS = ("front.left", "front.right", "back.right", "back.left")
"""The four corners seen from above, counter-clockwise from the front left."""


def corner_points(box: Box, inset_x: float, inset_y: float, z: float) -> tuple[Vector, ...]:
    """Points set in from the four corners of a box, in the order of CORNERS (mm).

    Raises: InputError when the insets meet.
    """
    for what, inset, size, half in (
        ("inset across", inset_x, box.size[0], "width"),
        ("inset deep", inset_y, box.size[1], "depth"),
    ):
        if not 0 <= inset < size / 2:
            raise InputError(
                what,
                as_given(inset),
                f"must be from 0 to less than {in_words(size / 2)}, half the {half}",
            )
    x0, x1 = box.lo[0] + inset_x, box.hi[0] - inset_x
    y0, y1 = box.lo[1] + inset_y, box.hi[1] - inset_y
    return ((x0, y0, z), (x1, y0, z), (x1, y1, z), (x0, y1, z))
