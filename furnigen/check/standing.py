"""Will it stand: findings on tipping, test loads, the anchor, and what a wall must take."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from furnigen.check.finding import FAIL, PASS, WARN, Finding
from furnigen.quantities import format_length
from furnigen.strength.assess import Strength
from furnigen.strength.loads import GRAVITY
from furnigen.strength.posts import FLOOR_FRICTION
from furnigen.strength.stand import SAFE_FACTOR

MOST_USED = 999.0
"""What folds or buckles outright counts as this many times over its limit."""


def standing_findings(strength: Strength) -> Iterator[Finding]:
    """How it stands: tilt, test loads, whether to anchor it."""
    steady = strength.steadiness
    if steady is None:
        if not strength.walls:
            yield Finding(
                "standing",
                FAIL,
                0,
                None,
                "",
                strength.unsteady,
                "statics of its feet",
                "give it feet that span an area",
            )
        return
    for name, standing in (("empty", steady.empty), ("loaded", steady.loaded)):
        line = standing.weakest
        if line.inside <= 0:
            yield Finding(
                "tips-by-itself",
                FAIL,
                line.tilt_degrees,
                0.0,
                "deg",
                f"{name}, to the {line.side}",
                "its centre of mass must lie within its feet",
                "widen its feet, or move weight inward",
            )
    line, full = steady.empty.weakest, steady.loaded.weakest
    front = min((e.pull_n(steady.anchor_height) for e in steady.empty.side("front")), default=inf)
    words = f"empty to the {line.side}, loaded {full.tilt_degrees:.1f} deg to the {full.side}"
    words += f"; a pull of {front:.0f} N at the top tips it forward" if front < inf else ""
    if steady.front_load_n < inf:
        words += (
            f"; so does {steady.front_load_n / GRAVITY:.1f} kg on the front edge of {steady.front_load_on}"
        )
    if line.inside > 0 and full.inside > 0:
        yield Finding(
            "standing", PASS, line.tilt_degrees, None, "deg", words, "tilt that just tips it: plain statics"
        )
    for test, result in steady.tests:
        if result is None:
            yield Finding(
                "tip-test",
                PASS,
                0.0,
                None,
                "",
                f"{test.name}: does not apply to a piece this low",
                test.source.text,
            )
            continue
        factor = min(result.factor, MOST_USED)
        status = FAIL if result.tips else PASS if factor >= SAFE_FACTOR else WARN
        yield Finding(
            "tip-test",
            status,
            factor,
            SAFE_FACTOR,
            "",
            f"{test.name}: {test.title}",
            f"{test.source.text}; {test.note}",
            "" if status == PASS else _anchor_words(strength),
            min(SAFE_FACTOR / factor if factor > 0 else MOST_USED, MOST_USED),
        )
    if steady.why_anchor:
        yield Finding(
            "anchor",
            WARN,
            steady.anchor_n,
            None,
            "N",
            steady.why_anchor,
            "common practice, no source: no published rule covers shelving",
            _anchor_words(strength),
        )


def _anchor_words(strength: Strength) -> str:
    steady = strength.steadiness
    assert steady is not None
    return (
        f"anchor it to the wall at the top ({format_length(steady.anchor_height)}) with an anchor that takes"
        f" a pull of {steady.anchor_n:.0f} N"
    )


def wall_findings(strength: Strength) -> Iterator[Finding]:
    """What the wall must take."""
    for wall in strength.walls:
        if wall.hangs:
            yield Finding(
                "wall",
                WARN,
                wall.out_n,
                None,
                "N",
                f"{wall.wall}: carries {wall.weight_n:.0f} N, pulls at its fixings, which are"
                f" {format_length(wall.height)} above where it bears",
                "statics: weight x distance from the wall / lever",
                f"fix it so that the screws take {wall.out_n:.0f} N outward and {wall.weight_n:.0f} N down,"
                " into studs or masonry",
            )
        else:
            slides = wall.friction > FLOOR_FRICTION
            yield Finding(
                "wall",
                WARN if slides else PASS,
                wall.out_n,
                None,
                "N",
                f"{wall.wall}: the piece leans on it, floor friction needed {wall.friction:.2f}",
                "statics: moments about its feet",
                "fix its top to the wall, and keep its feet from sliding" if slides else "",
            )
