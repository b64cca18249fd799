"""Will it stand: findings on tipping, test loads, the anchor, and what a wall must take."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf

from furnigen.catalogue.loads import GRAVITY
from furnigen.core.finding import FAIL, PASS, WARN, Finding, name_labels
from furnigen.core.wording import in_words
from furnigen.strength.assess import Strength
from furnigen.strength.formulas.column import FLOOR_FRICTION
from furnigen.strength.formulas.partial_loads import WorstTip
from furnigen.strength.formulas.tip_tests import SAFE_FACTOR, TipTest
from furnigen.strength.formulas.tipping import Edge
from furnigen.strength.members.stability import Stability
from furnigen.strength.members.walls import OnWall

MOST_USED = 999.0
"""What folds or buckles outright counts as this many times over its limit."""


def standing_findings(strength: Strength) -> Iterator[Finding]:
    """How it stands: tilt, test loads, whether to anchor it."""
    stability = strength.stability
    if stability is None:
        if not strength.walls:
            yield Finding(
                "standing",
                FAIL,
                0,
                None,
                "",
                strength.why_no_stability,
                "statics of its feet",
                "give it feet that span an area",
            )
        words = "a wall holds it" if strength.walls else strength.why_no_stability
        yield from (_untipped(test, f"does not apply, {words}") for test in strength.demands.tests())
        return
    worst = stability.worst[0]
    falls = [("empty", stability.empty.weakest), ("with all of its load", stability.loaded.weakest)]
    if all(line.inside > 0 for _, line in falls):
        falls.append((_part_words(worst), worst.edge))
    falls = [(words, line) for words, line in falls if line.inside <= 0]
    for words, line in falls:
        yield Finding(
            "tips-by-itself",
            FAIL,
            line.tilt_degrees,
            0.0,
            "deg",
            f"{words}, to the {line.side}",
            "its centre of mass must lie within its feet, whichever shelves are full",
            "widen its feet, or move weight inward",
        )
    if not falls:
        yield from _tipping(stability)
    for test, result in stability.tests:
        if result is None:
            yield _untipped(test, "does not apply to a piece this low")
            continue
        if result.factor == inf:
            yield _untipped(test, "can not tip it: it stands over its feet")
            continue
        factor = min(result.factor, MOST_USED)
        status = FAIL if result.tips else PASS if factor >= SAFE_FACTOR else WARN
        yield Finding(
            "tip-test",
            status,
            factor,
            SAFE_FACTOR,
            "times",
            f"{test.name}: {test.title}, under the worst part of its load",
            f"what holds it over what tips it; {test.source.text}; {test.note}",
            "" if status == PASS else _anchor_words(strength),
            min(SAFE_FACTOR / factor if factor > 0 else MOST_USED, MOST_USED),
            least=True,
        )
    if stability.why_anchor:
        yield Finding(
            "anchor",
            WARN,
            stability.anchor_n,
            None,
            "N",
            stability.why_anchor,
            "common practice, no source: no published rule covers shelving",
            _anchor_words(strength),
        )


def _untipped(test: TipTest, why: str) -> Finding:
    """A test load that can do nothing."""
    source = f"{test.source.text}; {test.note}"
    return Finding("tip-test", PASS, 0.0, None, "", f"{test.name}: {why}", source)


SIDE_NAMES = ("front", "back", "left", "right")


def _tilts(edges: Sequence[Edge]) -> str:
    """The least tilt to each side, in words."""
    ways = ((side, [e.tilt_degrees for e in edges if e.side == side]) for side in SIDE_NAMES)
    return ", ".join(f"{side} {min(tilts):.1f}" for side, tilts in ways if tilts)


def _part_words(worst: WorstTip) -> str:
    """Which part of its load makes it tip most easily, in words: the boards, and where in their depth."""
    if not worst.on:
        return "empty"
    return f"loaded only on {name_labels(list(dict.fromkeys(label for label, _, _ in worst.on)))}"


def _tipping(stability: Stability) -> Iterator[Finding]:
    """The tilt, the pull at the top and the weight on a front edge that tip it, at worst."""
    source = (
        "plain statics about the edges of its feet: what just tips it, with any shelves full or empty and"
        " goods at the front or back of their depth"
    )
    worst = stability.worst[0]
    words = (
        f"to the {worst.edge.side}, {_part_words(worst)};"
        f" each way at worst {_tilts([w.edge for w in stability.worst])};"
        f" empty {_tilts(stability.empty.edges)}; all full {_tilts(stability.loaded.edges)}"
    )
    yield Finding("standing", PASS, worst.edge.tilt_degrees, None, "deg", words, source)
    full = min((e.pull_n(stability.anchor_height) for e in stability.loaded.side("front")), default=inf)
    if stability.pull_n < inf:
        words = f"at the top tips it forward at worst; all full {full:.0f} N"
        yield Finding("tip-pull", PASS, stability.pull_n, None, "N", words, source)
    if stability.front_worst.newton < inf:
        words = f"on the front edge of {stability.front_worst.on} tips it at worst"
        if stability.front_loaded.newton < inf:
            loaded_front = stability.front_loaded
            words += f"; all full {loaded_front.newton / GRAVITY:.1f} kg on {loaded_front.on}"
        yield Finding("tip-load", PASS, stability.front_worst.newton / GRAVITY, None, "kg", words, source)
    else:
        words = "none on a front edge tips it: all lie over its feet"
        yield Finding("tip-load", PASS, 0.0, None, "", words, source)


def _anchor_words(strength: Strength) -> str:
    stability = strength.stability
    assert stability is not None
    return (
        f"anchor it to the wall at the top ({in_words(stability.anchor_height)}) with an anchor that"
        f" takes a pull of {stability.anchor_n:.0f} N"
    )


def wall_findings(strength: Strength) -> Iterator[Finding]:
    """What each wall must take, of each body of the piece by itself; bodies alike are one finding."""
    bodies = len({wall.labels for wall in strength.walls})
    alike: dict[tuple[object, ...], list[OnWall]] = {}
    for wall in strength.walls:
        key = (wall.wall, wall.hangs, round(wall.weight_n, 1), round(wall.out_n, 1), round(wall.height, 1))
        alike.setdefault(key, []).append(wall)
    for group in alike.values():
        wall = group[0]
        which = ""
        if bodies > 1:
            labels = name_labels([label for one in group for label in one.labels])
            which = f", {labels}" + (
                ", each by itself" if len(group) > 1 else ", which nothing joins to the rest"
            )
        if wall.hangs:
            yield Finding(
                "wall",
                WARN,
                wall.out_n,
                None,
                "N",
                f"{wall.wall}{which}: carries {wall.weight_n:.0f} N ({wall.weight_n / GRAVITY:.0f} kg), pulls"
                f" at its fixings, which are {in_words(wall.height)} above where it bears",
                "statics: weight x distance from the wall / lever",
                f"fix it so that the screws take {wall.out_n:.0f} N outward and {wall.weight_n:.0f} N down,"
                " into studs or masonry",
            )
        else:
            yield from _leaning(wall, which)


def _leaning(wall: OnWall, which: str) -> Iterator[Finding]:
    """What leans on a wall: whether it is fixed there, and what its feet need of the floor."""
    yield Finding(
        "wall",
        PASS if wall.fixed else WARN,
        wall.out_n,
        None,
        "N",
        f"{wall.wall}{which}: the piece leans on it"
        + (", and is fixed to it" if wall.fixed else " and is not fixed to it: a pull tips it into the room"),
        "statics: moments about its feet",
        "" if wall.fixed else "fix its top to the wall, with screws into studs or masonry",
    )
    enough = wall.friction <= FLOOR_FRICTION
    held = f"; without any friction its fixings take {wall.down_n:.0f} N downward" if wall.fixed else ""
    yield Finding(
        "feet-grip",
        PASS if enough or wall.fixed else WARN,
        wall.friction,
        FLOOR_FRICTION,
        "",
        f"{wall.wall}{which}: friction that its feet need of the floor under the worst part of its load;"
        f" a dry floor has {FLOOR_FRICTION:g} and more, rubber pads 0.6 to 1.0{held}",
        "push of the wall over weight, statics; friction of dry wood 0.1 to 0.7 by published tests; rubber:"
        " general table page",
        "" if enough else "rubber pads under its feet, less lean, or heavier things on its lower shelves",
        wall.friction / FLOOR_FRICTION,
    )
