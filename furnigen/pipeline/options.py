"""What can be asked of a piece: the formats of its files, the groups of its checks, tolerance and units."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field

from furnigen.core.errors import InputError
from furnigen.core.quantities import as_typed, check_length
from furnigen.cutting.file_list import CUTTING_FILES
from furnigen.cutting.own_stock import Shop
from furnigen.drawings.file_list import DRAWING_FILES
from furnigen.formats.cells import PLAIN, ListStyle
from furnigen.strength.model.demands import Demands

MAKE_FORMATS = {
    "step": "model.step: solids with names, colours, materials and the assembly tree, mm",
    "stl": "model.stl: one mesh of the whole piece, mm",
    "3mf": "model.3mf: named meshes with units and colours",
    "glb": "model.glb: for viewers, metres, Y up",
    "cutlist": "cutlist.csv: what to cut",
    "stock": "stock.csv: net area, length and mass of each stock",
    "hardware": "hardware.csv: screws, dowels, pins and bolts to buy",
    "picture": "preview.png: a shaded view",
    "page": "index.html: the piece in 3D, its checks and lists, for any browser",
    "part-stl": "parts/NAME.stl: one mesh for each distinct part, mm",
    "cutting": "cutting.json: layouts on sheets and bars, with pages, labels, costs and files for a router",
    "drawings": "drawings.pdf, drawings.dxf and drawings/NN-NAME.svg: arrangement, parts; templates.pdf",
    "booklet": "booklet.pdf: how to put it together, a step a page, with a key of parts and an exploded view",
}
"""What `make` can write, besides report.json."""
USUAL_FORMATS = ("step", "stl", "3mf", "glb", "cutlist", "stock", "hardware", "picture", "page")

GROUPS = {
    "fit": "the brief, openings, and whether parts can be cut from their stock",
    "solid": "overlaps, floating and sunk parts",
    "building": "joints, load path, order of assembly, wood movement",
    "sag": "how far boards sag",
    "strength": "sag, stress, bearings, uprights, legs, sway",
    "standing": "tipping, anchor and wall",
}
"""Groups of checks that can be asked for alone."""
ALL_GROUPS = tuple(GROUPS)

TOLERANCE_MM = 0.1
"""Usual distance of a mesh's facets from a curved face."""
FINEST_MM, COARSEST_MM = 0.005, 5.0
UNITS = ("mm", "in")


@dataclass(frozen=True)
class MakeOptions:
    """How a piece is made.

    Attributes:
        formats: names from MAKE_FORMATS.
        tolerance_mm: largest distance of mesh facets from curved faces (mm).
        units: "mm" or "in", for lists that people read.
        picture_px: width and height of the picture.
        demands: what the strength of the piece is held to.
        list_style: separator and decimal mark of the lists (CSV).
        with_hardware: whether screws, dowels, pins and bolts are solids in files and pictures, and checked.
        shop: what can be had at what price, and how it is cut: for cut list, layouts and costs.

    Raises: InputError for an unknown format or unit, or a size out of range.
    """

    formats: tuple[str, ...] = USUAL_FORMATS
    tolerance_mm: float = TOLERANCE_MM
    units: str = "mm"
    picture_px: tuple[int, int] = (1200, 900)
    demands: Demands = field(default_factory=Demands)
    list_style: ListStyle = PLAIN
    with_hardware: bool = False
    shop: Shop = field(default_factory=Shop)

    def __post_init__(self) -> None:
        read_formats(self.formats)
        check_length(self.tolerance_mm, what="tolerance")
        if not FINEST_MM <= self.tolerance_mm <= COARSEST_MM:
            raise InputError(
                "tolerance", f"{self.tolerance_mm:g} mm", f"must be from {FINEST_MM} mm to {COARSEST_MM:g} mm"
            )
        px = self.picture_px
        if not isinstance(px, tuple) or len(px) != 2 or not all(isinstance(n, int) for n in px):
            raise InputError("picture size", as_typed(repr(px)), "must be (width, height) in whole pixels")
        if self.units not in UNITS:
            raise InputError("units", self.units, f"must be {' or '.join(UNITS)}")


def read_formats(given: str | Iterable[str]) -> tuple[str, ...]:
    """Formats by name: some of them, or one text with commas between.

    Raises: InputError for one that is not known.
    """
    names = (
        tuple(w.strip() for w in given.split(",") if w.strip()) if isinstance(given, str) else tuple(given)
    )
    for name in names:
        if name not in MAKE_FORMATS:
            raise InputError("format", name, f"must be one of {', '.join(MAKE_FORMATS)}")
    return names


def check_groups(groups: Collection[str]) -> None:
    """Refuse groups of checks that there are not.

    Raises: InputError naming the first.
    """
    for name in groups:
        if name not in GROUPS:
            raise InputError("checks", name, f"must be one of {', '.join(GROUPS)}")


def planned_files(formats: Iterable[str]) -> tuple[str, ...]:
    """The files that some formats are written as, where their names do not depend on the piece."""
    known = [name for name in formats if name in MAKE_FORMATS]
    names = [MAKE_FORMATS[name].partition(":")[0] for name in known]
    more = (
        *(CUTTING_FILES if "cutting" in known else ()),
        *(DRAWING_FILES if "drawings" in known else ()),
    )
    return (*dict.fromkeys((*(name for name in names if "NAME" not in name), *more)), "report.json")
