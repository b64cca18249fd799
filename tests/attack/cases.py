"""One command line in a folder of its own: what a mutant is, and what is expected of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any


@dataclass
class Case:
    """A mutant of a file or of a command line.

    Attributes:
        number: the same number is always the same case.
        words: of the command line, after `furnigen`.
        files: what lies in the folder, by name.
        what: how it was changed, for who looks into a failure.
        bad: whether it must be refused, exit 2, whatever else was changed.
        values: what the report must say of parameters, where the recipe takes them.
        recipe: whose parameters they are.
        before: an earlier result in the folder `result`: "", "made" or "family".
    """

    number: int
    words: list[str]
    files: dict[str, bytes]
    what: list[str] = field(default_factory=list)
    bad: bool = False
    values: dict[str, Any] = field(default_factory=dict)
    recipe: str = ""
    before: str = ""
