"""Draws the README's pictures from the recipes: python -m furnigen.cli.gallery [FOLDER]."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from furnigen.drawings.booklet import booklet_pages
from furnigen.drawings.files import drawing_sheets
from furnigen.drawings.sheet import Setting
from furnigen.mockup.kit import print_kit
from furnigen.mockup.pictures import bed_picture
from furnigen.mockup.printer import Printer
from furnigen.mockup.scale import read_scale
from furnigen.mockup.scaled_bodies import scaled_bodies
from furnigen.paper.page import Page
from furnigen.paper.pdf import png_bytes
from furnigen.picture.camera import View
from furnigen.picture.picture import render_many
from furnigen.pipeline.built import Built
from furnigen.recipes.discovery import find_recipe, list_recipes

SIZE_PX = (640, 480)
FIRST = ("ring_rack", "divided_case")
"""Recipes whose pictures come first: the two kinds of piece furnigen is for, in the studio's own sizes."""
KIT = "divided_case"
KIT_VIEW = View(344, 258, 25.0, 27.0)
DRAWN, DRAWN_PART, DRAWN_STEP = "divided_case", "side left", "Step 8:"
"""The piece whose drawings are shown, the part of the sheet, the step of the booklet."""
SHEET_DPI, PAGE_DPI = 80, 75


def main(words: Sequence[str]) -> int:
    """A small picture of each recipe, two of a kit, two sheets and two booklet pages, into FOLDER."""
    folder = Path(words[0]) if words else Path("recipes/gallery")
    folder.mkdir(parents=True, exist_ok=True)
    recipes = [find_recipe(name) for name in FIRST] + [r for r in list_recipes() if r.name not in FIRST]
    pictures = render_many([Built(r()).meshes for r in recipes], View(*SIZE_PX))
    drawn = dict(zip([r.name for r in recipes], pictures, strict=True)) | kit_pictures() | paper_pictures()
    for name, picture in drawn.items():
        (folder / f"{name}.png").write_bytes(picture)
        print(folder / f"{name}.png")
    return 0


def kit_pictures() -> dict[str, bytes]:
    """The first bed of a scale mockup's kit, and the kit drawn apart."""
    piece, printer, scale = find_recipe(KIT)(), Printer(), read_scale("1:12")
    kit = print_kit(piece, scaled_bodies(piece, scale, printer), printer, scale)
    assert kit.apart is not None
    bed, apart = render_many([bed_picture(kit.beds[0], printer), kit.apart], KIT_VIEW)
    return {f"{KIT}_kit_bed": bed, f"{KIT}_kit_assembly": apart}


def paper_pictures() -> dict[str, bytes]:
    """The general arrangement and a part sheet; the key and a step of the booklet."""
    built = Built(find_recipe(DRAWN)())
    sheets = drawing_sheets(built.piece, built.solids, Setting())
    pages = booklet_pages(built.piece, built.construction.assembly, built.custom_meshes)
    shown: dict[str, tuple[Page, int]] = {
        "sheet_arrangement": (sheets[0][1], SHEET_DPI),
        "sheet_part": (next(page for sheet, page in sheets if sheet.name == DRAWN_PART), SHEET_DPI),
        "booklet_key": (pages[0], PAGE_DPI),
        "booklet_step": (next(page for page in pages if DRAWN_STEP in page.title), PAGE_DPI),
    }
    return {f"{DRAWN}_{name}": png_bytes(*how) for name, how in shown.items()}


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
