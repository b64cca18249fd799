"""Hardware: what is sold, which screw or dowel suits two boards, and what a piece needs of it.

The table is furnigen/catalogue/data/hardware.csv. Read on first use, then kept.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from furnigen.core.caches import HARDWARE_SIZES, kept
from furnigen.core.errors import InputError
from furnigen.core.quantities import parse_length
from furnigen.core.tables import read_table
from furnigen.core.wording import as_given, in_words

SYSTEMS = ("mm", "in")
SPARE_MM = 3.0
"""Wood left between a screw's point and the far face. Common practice, no source."""
END_GRIP_MM = 25.0
"""Screw in the second board that is enough in an end or edge: 1 to 1 1/2 in (a page on choosing screws)."""
LEAST_GRIP_MM = 8.0
"""A screw with less in the second board hardly holds. Common practice, no source."""
GAUGES = ((10.0, 3.0, 4), (15.0, 3.5, 6), (22.0, 4.0, 8), (35.0, 5.0, 10))
"""(board thinner than mm, metric screw mm, gauge number) of the screws that do not split it.

Common practice, no source; thicker boards take `THICK_GAUGE`.
"""
THICK_GAUGE = (6.0, 12)
FIRST_MM, GRID_MM, WIDEST_MM = 37.0, 32.0, 192.0
"""First screw from the edge, grid, and widest spacing along a joint. Common practice, no source."""
BOLT_HEAD, BOLT_HEAD_HIGH = 2.0, 0.75
"""Pan head of a bolt in its diameters: 12 x 4.6 mm for M6. ISO 7045, from memory."""
SAME_SIZE_MM = 0.05
"""A recipe's `4.17 mm` is the `#8` of the table: sizes are listed in steps far above this."""


@dataclass(frozen=True, slots=True)
class Hardware:
    """One thing to buy.

    Attributes:
        kind: one of `hardware_kinds`: "screw", "dowel", "shelf pin", "bolt", "wall anchor" ...
        name: what a shop calls it.
        size: as it is sold: "4 x 40 mm", "#8 x 1 1/4 in".
        system: "mm" or "in".
        diameter_mm, length_mm: its size.
        source: where the sizes come from.
        provenance: "looked-up", "memory" or "common practice, no source".
        note: what a careful buyer must know.
    """

    kind: str
    name: str
    size: str
    system: str
    diameter_mm: float
    length_mm: float
    source: str
    provenance: str
    note: str = ""


@cache
def hardware_table() -> tuple[Hardware, ...]:
    """All hardware of the table, in its order, read once."""
    return tuple(
        Hardware(
            row["kind"],
            row["name"],
            row["size"],
            row["system"],
            parse_length(row["diameter"]),
            parse_length(row["length"]),
            row["source"],
            row["provenance"],
            row["note"],
        )
        for row in read_table("hardware")
    )


def hardware_kinds() -> tuple[str, ...]:
    """Every kind in the table, in its order."""
    return tuple(dict.fromkeys(h.kind for h in hardware_table()))


@cache
def hardware_order() -> dict[str, int]:
    """Where in the table each kind begins."""
    return {h.kind: k for k, h in reversed(list(enumerate(hardware_table())))}


@cache
def list_hardware(kind: str, system: str | None = None) -> tuple[Hardware, ...]:
    """All hardware of one kind, in the order of the table; of one system when it is given.

    Raises: InputError for an unknown kind or system.
    """
    if kind not in hardware_kinds():
        raise InputError("kind of hardware", kind, f"must be one of {', '.join(hardware_kinds())}")
    if system is not None and system not in SYSTEMS:
        raise InputError("system of sizes", system, f"must be one of {', '.join(SYSTEMS)}")
    return tuple(h for h in hardware_table() if h.kind == kind and system in (None, h.system))


def gauge_mm(number: int) -> float:
    """Diameter of a wood screw of a gauge number (mm): 0.060 in + 0.013 in for each number.

    Source: ASME B18.6.1 (from memory); a furniture-making text gives No. 8 as 0.164 in too.

    >>> round(gauge_mm(8), 3)
    4.166
    """
    return (0.060 + 0.013 * number) * 25.4


def check_screw_length(length_mm: float, through_mm: float, into_mm: float, what: str = "screw") -> None:
    """Refuse a screw that would come out of the second board, or hardly enter it (mm).

    Raises: InputError naming the length, what is allowed, and what would fit.
    """
    most = through_mm + into_mm
    if length_mm > most - SPARE_MM:
        over = "is longer than both boards" if length_mm > most else "would show through"
        raise InputError(
            f"{what} length",
            in_words(length_mm),
            f"{over}: {in_words(through_mm)} and {in_words(into_mm)}",
            f"at most {in_words(most - SPARE_MM)} fits",
        )
    if length_mm < through_mm + LEAST_GRIP_MM:
        raise InputError(
            f"{what} length",
            in_words(length_mm),
            f"must reach at least {in_words(LEAST_GRIP_MM)} into the second board",
            f"at least {in_words(through_mm + LEAST_GRIP_MM)} is needed",
        )


def screw_for(
    through_mm: float, into_mm: float, *, edge_mm: float | None = None, system: str = "mm"
) -> Hardware:
    """The screw for two boards.

    Args:
        through_mm: thickness of the board its head is in.
        into_mm: how much wood the other board has along the screw: its thickness where the screw enters
            its face, its width or length where it enters an edge or end.
        edge_mm: thickness of the other board where the screw enters its edge or end; None for its face.
        system: "mm" or "in".

    Returns: as thick as the thinner wood bears without splitting; into a face the longest that leaves
    3 mm, into an edge or end the shortest that grips 25 mm.

    Raises: InputError when no screw sold would hold, naming both boards.
    """
    holds = edge_mm if edge_mm is not None else min(through_mm, into_mm)
    metric, number = next(((m, n) for most, m, n in GAUGES if holds < most), THICK_GAUGE)
    diameter = metric if system == "mm" else gauge_mm(number)
    grip = END_GRIP_MM if edge_mm is not None else into_mm - SPARE_MM
    best = None
    for screw in list_hardware("screw", system):
        if abs(screw.diameter_mm - diameter) > SAME_SIZE_MM:
            continue
        inside = screw.length_mm - through_mm
        if not LEAST_GRIP_MM <= inside <= into_mm - SPARE_MM:
            continue
        # the shortest with enough grip; where none has enough, the one with the most
        rank = (inside < grip, abs(inside - grip))
        if best is None or rank < best[0]:
            best = (rank, screw)
    if best is None:
        raise InputError(
            "screw",
            f"{in_words(through_mm)} through, {in_words(into_mm)} into",
            f"no screw of {diameter:.3g} mm sold grips at least {in_words(LEAST_GRIP_MM)}"
            f" and leaves {in_words(SPARE_MM)}",
            "use thicker boards, dowels or a cleat",
        )
    return best[1]


def dowel_for(edge_mm: float, face_mm: float, *, system: str = "mm") -> Hardware:
    """The dowel that joins a board's edge or end to another's face.

    Args:
        edge_mm: thickness of the board bored in its edge or end.
        face_mm: thickness of the board bored in its face.

    Returns: the thickest sold of at most half `edge_mm`; the longest that stays within two thirds of
    `face_mm` and three diameters in the edge. Diameter: a dowel maker's technical page (1/3, never above
    1/2); three diameters: a carpenter's page; two thirds: common practice, no source.

    Raises: InputError when the boards are too thin for any.
    """
    able = [
        d
        for d in list_hardware("dowel", system)
        if d.diameter_mm <= edge_mm / 2 + SAME_SIZE_MM
        and d.length_mm <= face_mm * 2 / 3 + 3 * d.diameter_mm + SAME_SIZE_MM
    ]
    if not able:
        raise InputError(
            "dowel",
            f"edge of {in_words(edge_mm)}, face of {in_words(face_mm)}",
            "no dowel sold is at most half the edge and short enough for the face",
            "use thicker boards or screws",
        )
    return max(able, key=lambda d: (d.diameter_mm, d.length_mm))


def places_along(
    length_mm: float, *, first_mm: float = FIRST_MM, widest_mm: float = WIDEST_MM
) -> tuple[float, ...]:
    """Where fasteners go along a joint, from its front end (mm).

    The first is `first_mm` in, the others a whole number of 32 mm behind it, as evenly as that allows and no
    further apart than `widest_mm`; the last is at least `first_mm` from the other end. A joint too short for
    two takes one in its middle.

    Raises: InputError for lengths that are not positive, or a spacing under 32 mm.

    >>> places_along(300.0)
    (37.0, 133.0, 261.0)
    >>> places_along(60.0)
    (30.0,)
    """
    if not length_mm > 0 or not first_mm > 0:
        raise InputError("length of a joint", as_given(length_mm), "must be more than zero")
    if widest_mm < GRID_MM:
        raise InputError(
            "spacing of fasteners",
            as_given(widest_mm),
            f"must be at least {as_given(GRID_MM)}",
        )
    steps = int((length_mm - 2 * first_mm + SAME_SIZE_MM) // GRID_MM)
    if steps < 1:
        return (length_mm / 2,)
    gaps = -(-steps // int(widest_mm // GRID_MM))
    return tuple(first_mm + GRID_MM * (steps * k // gaps) for k in range(gaps + 1))


@kept(HARDWARE_SIZES)
def sold_as(kind: str, diameter_mm: float, length_mm: float) -> str:
    """What a size of hardware is sold as; plain mm where the table has none of that size."""
    for h in hardware_table():
        same = abs(h.diameter_mm - diameter_mm) <= SAME_SIZE_MM
        if h.kind == kind and same and abs(h.length_mm - length_mm) <= SAME_SIZE_MM:
            return h.size
    return f"{diameter_mm:.4g} x {length_mm:.4g} mm"
