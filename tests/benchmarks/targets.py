"""The project's speed and memory targets, each measured as a ratio in one run."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from timing import IMPORT_KERNEL, PYTHON, furnigen, paired, run

# about 50 parts: 4 bays by 9 shelves, sides and uprights, plinth, top, back
BOOKCASE = ("panel_bookcase", "bays=4", "shelves=9")
NO_PICTURE = "step,stl,3mf,glb,cutlist"


@dataclass(frozen=True)
class Target:
    """One figure that must hold.

    Attributes:
        name: what is measured, against what.
        measure: takes a scratch folder, returns the figure.
        most: it must be at most this (or at least `least`).
    """

    name: str
    measure: Callable[[Path], float]
    most: float | None = None
    least: float | None = None

    @property
    def bound(self) -> str:
        """The target for people."""
        return f"<= {self.most}" if self.most is not None else f">= {self.least}"

    def met(self, value: float) -> bool:
        """Whether the figure is good enough."""
        return (self.most is None or value <= self.most) and (self.least is None or value >= self.least)


def _against_import(words: tuple[str, ...], memory: bool = False, expect: int = 0) -> Callable[[Path], float]:
    def measure(folder: Path) -> float:
        command = furnigen(*(w.replace("FOLDER", str(folder)) for w in words))
        return paired(command, IMPORT_KERNEL, expect=expect)[1 if memory else 0]

    return measure


def _against_yardstick(folder: Path) -> float:
    run(furnigen("make", *BOOKCASE, "--formats", NO_PICTURE, "--out", str(folder / "ours")))
    script = str(Path(__file__).with_name("yardstick_bookcase.py"))
    theirs = (PYTHON, script, str(folder / "ours" / "report.json"), str(folder))
    ours = furnigen("make", *BOOKCASE, "--formats", NO_PICTURE, "--out", str(folder / "ours"))
    return paired(ours, theirs, pairs=3)[0]


def _cut_without_search(folder: Path) -> float:
    script = str(Path(__file__).with_name("cut_without_search.py"))
    run((PYTHON, script, str(folder), "prepare"))
    return paired((PYTHON, script, str(folder)), IMPORT_KERNEL)[0]


MAKE = ("make", *BOOKCASE, "--formats", NO_PICTURE, "--out", "FOLDER/made")

MAKE_ALL = ("make", "divided_case", "--out", "FOLDER/drawn")

MOCKUP = ("mockup", *BOOKCASE, "--scale", "1:12", "--way", "whole", "--out", "FOLDER/mockup")

# 816 placements at the limits of the recipe's parameters; sheets as long as it are not sold
RACK = ("make", "ring_rack", "width=6 m", "frames=40", "shelves=16", "height=2800", "first=150")
RACK += ("below_top=100", "bearer=20", "member=40", "overhang=40", "boards=flat")
RACK += ("--formats", NO_PICTURE, "--out", "FOLDER/rack")

TARGETS = (
    Target("furnigen --help, time against import cadquery", _against_import(("--help",)), most=0.25),
    Target(
        "furnigen describe, time against import cadquery",
        _against_import(("describe", "panel_bookcase")),
        most=0.25,
    ),
    Target("make of a 50-part bookcase, time against import cadquery", _against_import(MAKE), most=1.35),
    Target(
        "make of a case with its picture, time against import cadquery", _against_import(MAKE_ALL), most=1.3
    ),
    Target("cut list, cost and SVG of it, time against import cadquery", _cut_without_search, most=0.5),
    Target("make of a 50-part bookcase, time against plain CadQuery", _against_yardstick, most=1.0),
    Target("make of a 50-part bookcase, peak memory against import", _against_import(MAKE, True), most=1.3),
    Target(
        "check --only sag of a 50-part bookcase, time against import cadquery",
        _against_import(("check", *BOOKCASE, "--only", "sag")),
        most=0.5,
    ),
    Target(
        "whole mockup of a 50-part bookcase, pictures too, time against import cadquery",
        _against_import(MOCKUP),
        most=1.8,
    ),
    Target(
        "make of a rack of 816 placements, time against import cadquery",
        _against_import(RACK, expect=1),
        most=4.0,
    ),
    Target(
        "make of a rack of 816 placements, peak memory against import",
        _against_import(RACK, True, expect=1),
        most=1.5,
    ),
)
