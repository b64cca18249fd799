"""What a session is started with."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from furnigen.live.runner import Limits
from furnigen.pipeline.options import USUAL_FORMATS, MakeOptions
from furnigen.pipeline.request import Asked

FULL_SET = (*USUAL_FORMATS, "cutting", "drawings", "booklet")
"""What the page makes unless told otherwise."""


@dataclass(frozen=True)
class Setting:
    """What a session was started with.

    Attributes:
        asked: recipe, file of parameters, values, brief, loads.
        recipe_file: path of the recipe.
        recipe_name: what it is called where it can not be read.
        folder: where results go.
        versions: folder of named versions.
        options: how pieces are made.
        words: those options as they were typed, for the command line that is shown.
        shop: path of a stock file with prices; None for none.
        limits: how long the recipe may run.
    """

    asked: Asked
    recipe_file: Path
    recipe_name: str
    folder: str
    versions: Path
    options: MakeOptions = field(default_factory=MakeOptions)
    words: tuple[str, ...] = ()
    shop: str | None = None
    limits: Limits = field(default_factory=Limits)
