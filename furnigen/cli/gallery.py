"""Draws the README's pictures from the recipes: python -m furnigen.cli.gallery [FOLDER]."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from furnigen.mockup.kit import print_kit
from furnigen.mockup.pictures import bed_picture
from furnigen.mockup.printer import Printer
from furnigen.mockup.scale import read_scale
from furnigen.mockup.scaled_bodies import scaled_bodies
from furnigen.picture.camera import View
from furnigen.picture.picture import render_many
from furnigen.pipeline.built import Built
from furnigen.recipes.discovery import find_recipe, list_recipes

SIZE_PX = (640, 480)
FIRST = ("ring_rack", "divided_case")
"""Recipes whose pictures come first: the two kinds of piece furnigen is for, in the studio's own sizes."""
KIT = "divided_case"
KIT_VIEW = View(344, 258, 25.0, 27.0)


def main(words: Sequence[str]) -> int:
    """One small picture of each recipe as it comes, two of a kit, into FOLDER (recipes/gallery)."""
    folder = Path(words[0]) if words else Path("recipes/gallery")
    folder.mkdir(parents=True, exist_ok=True)
    recipes = [find_recipe(name) for name in FIRST] + [r for r in list_recipes() if r.name not in FIRST]
    pictures = render_many([Built(r()).meshes for r in recipes], View(*SIZE_PX))
    drawn = dict(zip([r.name for r in recipes], pictures, strict=True)) | kit_pictures()
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


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
