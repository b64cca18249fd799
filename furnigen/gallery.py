"""Draws the README's pictures from the recipes: python -m furnigen.gallery [FOLDER]."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from furnigen.cookbook import list_recipes
from furnigen.make import mesh_of
from furnigen.output.camera import View
from furnigen.output.picture import render_many

SIZE_PX = (640, 480)


def main(words: Sequence[str]) -> int:
    """One small picture of each recipe as it comes, into FOLDER (recipes/gallery)."""
    folder = Path(words[0]) if words else Path("recipes/gallery")
    folder.mkdir(parents=True, exist_ok=True)
    recipes = list_recipes()
    pictures = render_many([mesh_of(r())[1] for r in recipes], View(*SIZE_PX))
    for recipe, picture in zip(recipes, pictures, strict=True):
        (folder / f"{recipe.name}.png").write_bytes(picture)
        print(folder / f"{recipe.name}.png")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
