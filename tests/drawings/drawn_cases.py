"""The pieces whose drawings are tested: the six recipes and the nine pieces of the studio."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import furnigen
from furnigen import build, find_recipe, list_recipes
from furnigen.drawings.files import drawing_sheets, files_of
from furnigen.drawings.sheet import Setting, Sheet
from furnigen.paper.page import Page
from furnigen.pipeline.built import Built
from furnigen.recipes.discovery import read_parameter_file

STUDIO = sorted((Path(furnigen.__file__).parent.parent / "recipes" / "studio").glob("*.toml"))
RECIPES = tuple(r.name for r in list_recipes())
CASES = (*RECIPES, *(p.stem for p in STUDIO))


@cache
def built(case: str) -> Built:
    """A piece of a recipe as it comes, or of a parameter file of the studio."""
    path = next((p for p in STUDIO if p.stem == case), None)
    if path is None:
        return build(find_recipe(case)())
    file = read_parameter_file(path)
    recipe = find_recipe(file.recipe)
    piece = recipe(**recipe.read(file.parameters, file.units or "mm"))
    return build(replace(piece, title=file.title or case))


@cache
def drawn(case: str, setting: Setting) -> tuple[tuple[Sheet, Page], ...]:
    """Its sheets."""
    one = built(case)
    return tuple(drawing_sheets(one.piece, one.solids, setting))


@cache
def files(case: str, setting: Setting) -> dict[str, bytes]:
    """Its files."""
    return files_of(built(case).piece, drawn(case, setting), setting)
