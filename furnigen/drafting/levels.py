"""Heights of shelves from the distances a maker measures: to tops or undersides, by number or by pitch."""

from __future__ import annotations

from math import ceil, floor

from furnigen.core.errors import InputError
from furnigen.core.wording import as_given, in_words
from furnigen.drafting.division import ROUNDING_MM

SHELF_FACES = ("top", "underside")
"""What of a shelf a distance is measured to."""


def levels(
    height: float,
    count: int,
    first: float,
    below_top: float,
    thickness: float,
    last_to: str = "top",
    *,
    first_to: str = "underside",
    rail: float = 0.0,
) -> tuple[float, ...]:
    """Undersides of `count` shelves: ends set, equal steps between (mm).

    Args:
        height: overall height the distances are measured in.
        first: floor to the first shelf.
        below_top: the last shelf to the overall height; a single shelf has no last one and stands at
            `first`.
        thickness: of a shelf.
        last_to, first_to: one of SHELF_FACES: what of the last and of the first shelf is measured to.
        rail: height of a rail at the top, which the shelves stay below.

    Raises: InputError naming `first`, `below_top` or the number of shelves when they do not fit, or another
        word than those of SHELF_FACES.

    >>> levels(1800, 3, 200, 182, 18)
    (200.0, 900.0, 1600.0)
    >>> levels(1800, 2, 218, 200, 18, "underside", first_to="top")
    (200.0, 1600.0)
    """
    if count < 1:
        raise InputError("number of shelves", count, "must be 1 or more")
    _check_face("last", last_to)
    least = rail + (thickness if last_to == "underside" else 0.0)
    if rail and count > 1 and below_top < least:
        below = "the top rail" + (" and the shelf" if last_to == "underside" else "")
        raise InputError(
            "below_top",
            as_given(below_top),
            f"must be at least {as_given(least)}, {below}",
        )
    low = _underside(first, first_to, thickness)
    measured = first - low
    if low > height - thickness + ROUNDING_MM:
        most = height - thickness + measured
        raise InputError("first", as_given(first), f"must be at most {in_words(most)}, below the top")
    highest = height - below_top - (thickness if last_to == "top" else 0.0)
    step = (highest - low) / (count - 1) if count > 1 else 0.0
    if count > 1 and step <= thickness + ROUNDING_MM:
        room = highest - low
        most = max(1, ceil(room / (thickness + ROUNDING_MM)))
        raise InputError(
            "number of shelves",
            count,
            f"{count} shelves of {as_given(thickness)} leave no space between a first one"
            f" {in_words(low)} above the floor and a last one {in_words(below_top)} below the top"
            f" of {in_words(height)}",
            f"at most {most} would fit" if room > 0 else "lower the first or raise the last",
        )
    if rail and low + thickness > height - rail:
        most = height - rail - thickness + measured
        raise InputError(
            "first",
            as_given(first),
            f"must be at most {in_words(most)}, below the top rail",
        )
    return tuple(low + i * step for i in range(count))


def levels_at_pitch(
    height: float,
    first: float,
    pitch: float,
    thickness: float,
    count: int | None = None,
    *,
    first_to: str = "underside",
) -> tuple[float, ...]:
    """Undersides of shelves from the first one up, each `pitch` above the last (mm).

    The pitch is the same from underside to underside as from top to top; `first_to` says which of both the
    first shelf is measured to.

    Args:
        height: overall height that the top of the last shelf stays within.
        first: floor to the first shelf.
        pitch: from each shelf to the next, more than the thickness of a shelf.
        thickness: of a shelf.
        count: how many; None for as many as fit.
        first_to: one of SHELF_FACES.

    Raises: InputError naming `first`, `pitch` or the number of shelves when they do not fit.

    >>> levels_at_pitch(1000, 120, 300, 20, first_to="top")
    (100.0, 400.0, 700.0)
    """
    low = _underside(first, first_to, thickness)
    if pitch <= thickness + ROUNDING_MM:
        raise InputError(
            "pitch",
            as_given(pitch),
            f"must be more than the shelf's {as_given(thickness)}",
        )
    room = height - thickness - low + ROUNDING_MM
    if room < 0:
        most = height - thickness + first - low
        raise InputError("first", as_given(first), f"must be at most {in_words(most)}, below the top")
    most = floor(room / pitch) + 1
    if count is not None and not 1 <= count <= most:
        raise InputError(
            "number of shelves",
            count,
            f"must be from 1 to {most} at a pitch of {as_given(pitch)}",
        )
    return tuple(low + i * pitch for i in range(count or most))


def room_under(
    heights: tuple[float, ...],
    thickness: float,
    tall: float,
    what: str,
    *,
    rail: float = 0.0,
    above_rail: bool = True,
) -> None:
    """Refuse shelves that leave no room for what carries them.

    Args:
        heights: undersides of the shelves at equal steps, from below (mm).
        thickness: of a shelf (mm).
        tall: height of what stands beneath each shelf (mm); 0 for nothing.
        what: what that is, such as "bearer".
        rail: height of the frame's bottom rail (mm); a first shelf that lies on it needs nothing else.
        above_rail: whether what stands beneath the first shelf stands above that rail, not beside it.

    Raises: InputError naming `first` or the number of shelves.

    >>> room_under((100.0, 500.0), 18, 40, "bearer", rail=60)
    """
    low = heights[0]
    if low < rail:
        raise InputError(
            "first",
            as_given(low),
            f"must be at least {as_given(rail)}, the bottom rail",
        )
    foot = rail if above_rail else 0.0
    if rail < low < foot + tall:
        on = f"{as_given(rail)}, on the bottom rail, or " if rail else ""
        raise InputError(
            "first",
            as_given(low),
            f"leaves no room for a {what} of {as_given(tall)} above the {'bottom rail' if foot else 'floor'}",
            f"{on}at least {as_given(foot + tall)} would fit",
        )
    clear = heights[1] - heights[0] - thickness if len(heights) > 1 else tall
    if clear < tall:
        raise InputError(
            "number of shelves",
            len(heights),
            f"leave {in_words(clear)} between them, less than a {what} of {as_given(tall)}",
            f"fewer shelves or a lower {what} would fit",
        )


def _check_face(which: str, face: str) -> None:
    if face not in SHELF_FACES:
        raise InputError(f"{which} shelf measured to its", face, f"must be {' or '.join(SHELF_FACES)}")


def _underside(first: float, first_to: str, thickness: float) -> float:
    """Height of the first shelf's underside from the height of what it is measured to (mm)."""
    _check_face("first", first_to)
    if first_to == "underside":
        return float(first)
    if first < thickness:
        raise InputError(
            "first",
            as_given(first),
            f"must be at least {as_given(thickness)}, the first shelf's top",
        )
    return float(first) - thickness
