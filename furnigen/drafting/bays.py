"""Bays: where uprights stand along the width, the spaces between them, and joining what lies between two."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from math import ceil

from furnigen.catalogue.stock import Stock
from furnigen.core.errors import InputError
from furnigen.core.pose import axis_index
from furnigen.core.wording import as_given, in_words
from furnigen.drafting.division import ROUNDING_MM
from furnigen.drafting.draft import Draft
from furnigen.joints.chosen import Joining
from furnigen.piece.description import SIDES, Opening


def upright_places(
    overall: float, count: int, thickness: float, *, overhang: float = 0.0
) -> tuple[float, ...]:
    """Low faces of `count` uprights at equal steps (mm).

    Args:
        overall: length of the run, overhangs included.
        count: how many, two or more.
        thickness: of an upright along the run.
        overhang: from each end of the run to the outer face of the first and the last upright.

    Raises: InputError naming `overhang` or the number of uprights when there is no space between them.

    >>> upright_places(1800, 3, 20, overhang=100)
    (100.0, 890.0, 1680.0)
    """
    if count < 2:
        raise InputError("number of uprights", count, "must be 2 or more")
    run = overall - 2 * overhang
    if overhang and run <= 2 * thickness:
        most = (overall - count * thickness) / 2
        raise InputError(
            "overhang",
            as_given(overhang),
            f"leaves a run of {in_words(run)} for uprights of {as_given(thickness)}",
            f"less than {in_words(most)} would fit {count}"
            if most > 0
            else f"less than {in_words((overall - 2 * thickness) / 2)} would fit two",
        )
    step = (run - thickness) / (count - 1)
    if step <= thickness + ROUNDING_MM:
        most = max(1, ceil((run - thickness) / (thickness + ROUNDING_MM)))
        fewer = f"at most {most} would fit, or " if most > 1 else ""
        raise InputError(
            "number of uprights",
            count,
            f"at {as_given(thickness)} each they leave no space between them in {in_words(run)}",
            f"{fewer}uprights of less than {in_words(run / count)}"
            if most > 1
            else f"more than {as_given(2 * thickness)} would fit two",
        )
    return tuple(overhang + i * step for i in range(count))


def shelves_through(
    draft: Draft, stock: Stock, heights: Sequence[float], length: float, front: float, back: float
) -> list[str]:
    """Place level shelves that run through all uprights, from X = 0; labels shelf.1 ... from below.

    Args:
        heights: of their undersides (mm), as `furnigen.levels` gives them.
        length: along the run (mm).
        front, back: where they begin and end along Y (mm).

    Raises: InputError when a shelf has no room.

    >>> from furnigen import find_stock
    >>> shelves_through(Draft("rack"), find_stock("birch-ply-12-2440"), (200, 600), 1800, 20, 380)
    ['shelf.1', 'shelf.2']
    """
    t = stock.thickness_mm
    return [
        draft.board(f"shelf.{n}", stock, (0.0, front, z), (length, back, z + t), grain="x", role="shelf")
        for n, z in enumerate(heights, 1)
    ]


def open_bays(
    draft: Draft,
    uprights: Sequence[str],
    shelves: Sequence[str],
    height: float,
    strips: Mapping[tuple[int, int], str] | None = None,
) -> list[Opening]:
    """A clear space between every two uprights: under, between and over shelves that run through them.

    Args:
        uprights: labels from the left, each as long along the run as its upright.
        shelves: labels from below; the bays are as deep as they are.
        height: how high the topmost bays reach (mm).
        strips: labels of boards that stand in a bay against an upright under a shelf, by the numbers of both
            from 1; the bay ends at them.

    Returns: openings bay.UPRIGHT.SHELF, counted from the left and from the floor, which is 0.

    Raises: InputError when a bay is empty.

    >>> from furnigen import find_stock
    >>> draft, ply = Draft("rack"), find_stock("birch-ply-12-2440")
    >>> posts = [draft.board(f"post.{n}", ply, (x, 0, 0), (x + 12, 60, 900)) for n, x in enumerate((0, 500))]
    >>> shelf = shelves_through(draft, ply, (400,), 512, 60, 300)
    >>> [bay.label for bay in open_bays(draft, posts, shelf, 900)]
    ['bay.1.0', 'bay.1.1']
    """
    beside = strips or {}
    boxes = [draft.box(shelf) for shelf in shelves]
    floors = [(0.0, ""), *((box.hi[2], label) for box, label in zip(boxes, shelves, strict=True))]
    ceilings = [*((box.lo[2], label) for box, label in zip(boxes, shelves, strict=True)), (height, "")]
    front, back = boxes[0].lo[1], boxes[0].hi[1]
    made = []
    for n, (left, right) in enumerate(pairwise(uprights), 1):
        for m, ((z0, below), (z1, above)) in enumerate(zip(floors, ceilings, strict=True)):
            x0, x1 = draft.box(left).hi[0], draft.box(right).lo[0]
            sides = {"left": left, "right": right, "bottom": below, "top": above}
            for number, side in ((n, "left"), (n + 1, "right")):
                strip = beside.get((number, m + 1))
                box = draft.box(strip) if strip else None
                if strip and box and x0 - ROUNDING_MM < box.centre[0] < x1 + ROUNDING_MM:
                    sides[side] = strip
                    x0, x1 = (box.hi[0], x1) if side == "left" else (x0, box.lo[0])
            bounds = {k: v for k, v in sides.items() if v}
            made.append(draft.opening(f"bay.{n}.{m}", (x0, front, z0), (x1, back, z1), **bounds))
    return made


def join_ends(draft: Draft, opening: Opening, boards: Iterable[str], joint: Joining, axis: str = "x") -> None:
    """Join both ends of boards to what bounds an opening on its low and its high side.

    Args:
        opening: as `Draft.opening` or `Draft.divide` gave it, also after it was divided.
        boards: labels of the boards that enter, such as shelves.
        joint: as `Draft.join` takes it.
        axis: "x" joins them to the left and the right, "y" to the front and the back, "z" to the bottom and
            the top.

    Raises: InputError when nothing bounds the opening there, and as `Draft.join`.

    >>> from furnigen import case_of_boards, equal_clear, find_stock, housing
    >>> draft, ply = Draft("case"), find_stock("birch-ply-12-2440")
    >>> sides = case_of_boards(draft, ply, (0, 0, 0), (624, 300, 624), housing())
    >>> room = draft.opening("room", (12, 0, 12), (612, 300, 612), **sides)
    >>> shelves, rows = draft.divide(room, "z", equal_clear(2), ply, role="shelf", label="shelf", grain="x")
    >>> join_ends(draft, room, shelves, housing())
    """
    i = axis_index(axis)
    for board in boards:
        for side in SIDES[2 * i : 2 * i + 2]:
            bound = opening.bound(side)
            if not bound:
                raise InputError("opening", opening.label, f"nothing on its {side} to join {board} to")
            draft.join(bound, board, joint)
