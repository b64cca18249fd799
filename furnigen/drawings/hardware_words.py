"""How hardware is fitted: tools and settings, in words. Common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass

from furnigen.core.facts import FastenerKind
from furnigen.cutting.joint_words import size_text
from furnigen.joints.fastened import PILOT_SHARE
from furnigen.joints.joint import Fastener
from furnigen.piece.hardware_list import HardwareRow


@dataclass(frozen=True)
class FittingWords:
    """How one kind of hardware is fitted.

    Attributes:
        plural: of its name.
        tools: it needs.
        how: a sentence; {d}, {pilot}, {half}, {length} stand for sizes.
    """

    plural: str
    tools: tuple[str, ...]
    how: str


HARDWARE_WORDS: dict[FastenerKind, FittingWords] = {
    FastenerKind.SCREW: FittingWords(
        "screws",
        ("drill driver with countersink",),
        "Drill {d} through the first board and {pilot} into the second, drill stop at {length} from the outer"
        " face; countersink. Driver on a low clutch, until the head is flush.",
    ),
    FastenerKind.NAIL: FittingWords(
        "nails", ("hammer", "nail punch"), "Punch the heads just under the face."
    ),
    FastenerKind.DOWEL: FittingWords(
        "dowels",
        ("mallet with a block of waste wood", "wood glue and brush"),
        "Glue in the holes, not on the dowel; tap it in to half its length ({half}).",
    ),
    FastenerKind.SHELF_PIN: FittingWords(
        "shelf pins", (), "Push in by hand up to the collar, all at one height."
    ),
    FastenerKind.BOLT: FittingWords(
        "bolts",
        ("key or screwdriver to fit the bolt",),
        "Turn all bolts by hand first, then tighten in turn.",
    ),
    FastenerKind.BARREL_NUT: FittingWords(
        "barrel nuts", ("screwdriver",), "Push in and turn its slot in line with the bolt."
    ),
    FastenerKind.CONNECTOR: FittingWords(
        "connectors", ("key to fit the connector",), "Drive by hand; stop when the head is flush."
    ),
    FastenerKind.BRACKET: FittingWords(
        "brackets", ("drill driver",), "Screw to one board first, then pull the other up to it."
    ),
    FastenerKind.WALL_ANCHOR: FittingWords(
        "wall anchors",
        ("drill with a bit to suit the wall", "spirit level", "detector for pipes and cables"),
        "Mark through the holes, take the piece away, drill {d} to {length} deep, clear the dust, set the"
        " anchors, then drive the screws.",
    ),
    FastenerKind.WEDGE: FittingWords(
        "wedges",
        ("hammer", "saw and chisel"),
        "Glue, drive in turn until they sound dull; trim flush when dry.",
    ),
    FastenerKind.SPLINE: FittingWords(
        "splines", ("wood glue and brush", "saw and plane"), "Glue, push home; trim flush when dry."
    ),
    FastenerKind.KEY: FittingWords(
        "keys", ("wood glue and brush", "saw and plane"), "Glue, push home; trim flush when dry."
    ),
}

INTO_A_WALL = (
    "Drill {d} through the wood only; countersink. Hold the piece level, mark the wall through the holes, and"
    " drill there for anchors that suit the wall and take {d} screws. Clear the dust, set the anchors, then"
    " drive the screws by turns until the heads are flush."
)
"""How hardware that holds a piece to a wall is fitted."""


def counted(row: HardwareRow) -> str:
    """A row of hardware with its number, such as "8 screws 4 x 40 mm"."""
    word = row.kind if row.quantity == 1 else HARDWARE_WORDS[FastenerKind(row.kind)].plural
    return f"{row.quantity} {word} {row.size}"


def way_to_fit(fastener: Fastener, how: str, units: str) -> str:
    """How a piece of hardware is fitted, with the settings of its size.

    Args:
        how: a sentence with {d}, {pilot}, {half}, {length} for sizes.
    """
    unit = " mm" if units == "mm" else ""
    d, length = fastener.diameter_mm, fastener.length_mm
    sizes = {
        "d": d,
        "pilot": d * PILOT_SHARE,
        "half": length / 2,
        "length": length,
    }
    words = {name: size_text(round(mm, 1), units) + unit for name, mm in sizes.items()}
    return how.format(**words)
