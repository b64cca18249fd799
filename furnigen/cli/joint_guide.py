"""What the joints are for: when a maker takes which, and a small example of each to draw.

What a joint is and what its sizes mean stands in its factory's docstring, and is read from there. When to
take it, and what to look out for, is common practice, no source.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from furnigen import Rod
from furnigen.catalogue.stock import Stock, find_stock
from furnigen.core.pose import Pose
from furnigen.drafting.draft import Draft
from furnigen.joints.cleats import cleat
from furnigen.joints.cross_bolt import cross_bolt
from furnigen.joints.fastened import butt, dowelled
from furnigen.joints.fingers import finger_joint
from furnigen.joints.housing import housing, rabbet
from furnigen.joints.laps import cross_lap, half_lap
from furnigen.joints.mitre import mitre
from furnigen.joints.pins import shelf_pins
from furnigen.joints.round_tenons import round_tenon
from furnigen.joints.sliding_dovetail import sliding_dovetail
from furnigen.joints.tenons import tenon, wedged_tenon
from furnigen.piece.description import Piece

A, B = "receives", "enters"
"""Labels of the two boards of an example."""


@dataclass(frozen=True)
class Entry:
    """One joint of the guide.

    Attributes:
        make: its factory, whose name recipes use.
        kinds: what its joints are called in lists.
        when: when to take it, a clause or two.
        example: two boards to join, labelled A and B.
        given: what the factory is given in the example.
        across: the axis of the room the small section is cut across, 0 to 2.
        azimuth: from how far left of the front the picture is taken, degrees.
    """

    make: Callable[..., Any]
    kinds: tuple[str, ...]
    when: str
    example: Callable[[Draft], None]
    given: Callable[[], tuple[Any, ...]] = tuple
    across: int = 1
    azimuth: float = -40.0

    @property
    def name(self) -> str:
        """What it is called in a recipe."""
        return self.make.__name__

    @property
    def what(self) -> str:
        """What it is: the first paragraph of its factory's docstring, on one line."""
        return " ".join((inspect.getdoc(self.make) or "").split("\n\n")[0].split())

    def sizes(self) -> list[tuple[str, str, str]]:
        """Name, default and meaning of each of its sizes, as its factory states them."""
        meanings = _meanings(inspect.getdoc(self.make) or "")
        rows = []
        for p in inspect.signature(self.make).parameters.values():
            rows.append((p.name, _usual(p), meanings.get(p.name, "")))
        return rows

    def piece(self) -> Piece:
        """The example, joined."""
        draft = Draft(self.name)
        self.example(draft)
        draft.join(A, B, self.make(*self.given()))
        return draft.done()


def _usual(p: inspect.Parameter) -> str:
    """A size where none is given, in words."""
    if p.default is p.empty:
        return "to be given"
    if p.default is None:
        return "by the boards"
    if isinstance(p.default, bool):
        return "yes" if p.default else "no"
    return f"{p.default:g}" if isinstance(p.default, float) else str(p.default) or "the usual"


def _meanings(doc: str) -> dict[str, str]:
    """Arguments and their meanings from a docstring."""
    block = doc.partition("Args:\n")[2].split("\n\n")[0]
    found: dict[str, str] = {}
    names: list[str] = []
    for line in block.splitlines():
        begun = re.match(r" {4}(\w+(?:, \w+)*): (.*)", line)
        if begun:
            names = begun[1].split(", ")
            found |= dict.fromkeys(names, begun[2])
        else:
            found |= {name: f"{found[name]} {line.strip()}" for name in names}
    return found


def _ply() -> Stock:
    return find_stock("birch-ply-18@18")


def _bar() -> Stock:
    return find_stock("beech-8-4-rough@40")


def _tee(d: Draft) -> None:
    d.board(A, _ply(), (0, 0, 0), (18, 110, 120), grain="z")
    d.board(B, _ply(), (18, 0, 60), (130, 110, 78), grain="x")


def _corner(d: Draft) -> None:
    d.board(A, _ply(), (0, 0, 0), (18, 110, 120), grain="z")
    d.board(B, _ply(), (18, 0, 102), (130, 110, 120), grain="x")


def _frame_corner(d: Draft) -> None:
    d.board(A, _ply(), (0, 0, 0), (60, 18, 150), grain="z")
    d.board(B, _ply(), (60, 0, 90), (190, 18, 150), grain="x")


def _crossing(d: Draft) -> None:
    d.board(A, _ply(), (0, 61, 0), (140, 79, 80), grain="x")
    d.board(B, _ply(), (61, 0, 0), (79, 140, 80), grain="y")


def _post_and_rail(d: Draft) -> None:
    d.board(A, _bar(), (0, 0, 0), (60, 40, 150), grain="z")
    d.board(B, _ply(), (60, 11, 50), (170, 29, 110), grain="x")


def _post_and_rung(d: Draft) -> None:
    d.board(A, _bar(), (0, 0, 0), (60, 40, 120), grain="z")
    d.place(B, Rod(110.0, 25.0), find_stock("dowel-beech-25"), Pose.at(60, 7.5, 47.5))


GUIDE = (
    Entry(
        butt,
        ("butt",),
        "the quickest: plinths, planted backs, strips under shelves; the screws hold it, since glue alone on"
        " an end does little",
        _tee,
    ),
    Entry(
        housing,
        ("housing", "stopped housing"),
        "shelves and dividers that stay: it carries the shelf along its whole width and keeps it from"
        " twisting; stop it short of the front where the groove must not show",
        _tee,
    ),
    Entry(
        sliding_dovetail,
        ("sliding dovetail", "stopped sliding dovetail"),
        "shelves that must keep tall sides from bowing apart, without screws; takes care to cut and slide"
        " home",
        _tee,
    ),
    Entry(
        rabbet,
        ("rabbet",),
        "backs let into a case, and corners at the end of a side, where a housing would leave too little"
        " wood",
        _corner,
    ),
    Entry(
        half_lap,
        ("half-lap",),
        "frames and rails that meet flush, with much glue area",
        _frame_corner,
        across=0,
        azimuth=35.0,
    ),
    Entry(
        cross_lap,
        ("cross-lap",),
        "grids and dividers that run through each other; the slots need a snug fit and wood at both sides",
        _crossing,
        across=0,
    ),
    Entry(
        mitre,
        ("mitre", "splined mitre", "keyed mitre"),
        "corners where no end may show; glue alone on the slope is weak, so add a spline or keys",
        _corner,
        given=lambda: ("spline",),
    ),
    Entry(
        finger_joint,
        ("finger joint",),
        "box corners with much glue area, cut by machine; the fingers show on both sides",
        _corner,
    ),
    Entry(
        tenon,
        ("tenon", "through tenon"),
        "rails into posts and legs: stiff and long-lived, its shoulders keep the frame square",
        _post_and_rail,
    ),
    Entry(
        wedged_tenon,
        ("wedged tenon",),
        "as a tenon, where it may show and must hold without clamps or when the glue fails",
        _post_and_rail,
    ),
    Entry(
        round_tenon,
        ("round tenon", "through round tenon"),
        "rungs, rods and turned legs: a bored hole takes it at any lean",
        _post_and_rung,
    ),
    Entry(
        dowelled,
        ("dowelled",),
        "hidden joints in boards and frames without a mortiser; bore both sides with one jig",
        _tee,
    ),
    Entry(
        cross_bolt,
        ("cross bolt",),
        "furniture that is taken apart for a move; can be drawn tight again",
        _tee,
    ),
    Entry(
        shelf_pins,
        ("pins",),
        "shelves that can be moved; they lie loose, so something else must keep the case square",
        _tee,
    ),
    Entry(
        cleat,
        ("cleat",),
        "shelves carried by a strip on the side: no groove to cut, holds heavy loads, shows from below",
        _tee,
        given=lambda: (find_stock("oak-square-20"),),
    ),
)


def find_entry(name: str) -> Entry | None:
    """The entry of a name, as recipes or lists call the joint."""
    plain = name.lower().replace(" ", "_").replace("-", "_")
    for entry in GUIDE:
        names = {entry.name, *(kind.replace(" ", "_").replace("-", "_") for kind in entry.kinds)}
        if plain in names:
            return entry
    return None
