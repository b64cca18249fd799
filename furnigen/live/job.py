"""What is asked of a worker, and what it says: values that go through a pipe."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from furnigen.pipeline.options import MakeOptions
from furnigen.pipeline.request import Asked

QUICK, STRONG, SLOW, MAKE, COMPARE = "quick", "strong", "slow", "make", "compare"
"""Kinds of jobs."""
DESCRIBED, DONE = "described", "done"
"""Said when the author's code has ended, and when the job has."""


@dataclass(frozen=True)
class Job:
    """Something for a worker to do.

    Attributes:
        number: of the state it is about: the newest wins.
        kind: QUICK (what is shown at once), STRONG (strength and construction), SLOW (remedies, layouts and
            the picture), MAKE or COMPARE.
        asked: what is to be made; of a comparison, its first side.
        recipe_file: path of the recipe.
        edition: names the content of that file: it is loaded anew when this changes.
        options: of MAKE.
        folder: of MAKE.
        shop: path of a stock file with prices, for layouts and costs; None for none.
        other: of COMPARE, its second side.
        remedies: of SLOW, whether some check fails.
    """

    number: int
    kind: str
    asked: Asked
    recipe_file: str
    edition: str
    options: MakeOptions = field(default_factory=MakeOptions)
    folder: str = ""
    shop: str | None = None
    other: Asked | None = None
    remedies: bool = False


@dataclass(frozen=True)
class Said:
    """What a worker says of a job.

    Attributes:
        number: of the job.
        topic: what it is about.
        value: as JSON can hold it.
        files: contents that the page fetches by themselves, by name.
    """

    number: int
    topic: str
    value: Any = None
    files: Mapping[str, bytes] = field(default_factory=dict)
