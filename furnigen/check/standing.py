"""Will it stand: findings on tipping, test loads, the anchor, and what a wall must take."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from furnigen.check.finding import FAIL, PASS, WARN, Finding
from furnigen.quantities import format_length
from furnigen.strength.assess import Strength
from furnigen.strength.column import FLOOR_FRICTION
from furnigen.strength.loads import GRAVITY
from furnigen.strength.stand import SAFE_FACTOR, Standing, TipTest
from furnigen.strength.steady import Steadiness

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
        words = "a wall holds it" if strength.walls else strength.unsteady
        yield from (_untipped(test, f"does not apply, {words}") for test in strength.demands.tests())
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
    if steady.empty.weakest.inside > 0 and steady.loaded.weakest.inside > 0:
        yield from _tipping(steady)
    for test, result in steady.tests:
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
            f"{test.name}: {test.title}, empty",
            f"what holds it over what tips it; {test.source.text}; {test.note}",
            "" if status == PASS else _anchor_words(strength),
            min(SAFE_FACTOR / factor if factor > 0 else MOST_USED, MOST_USED),
            least=True,
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


def _untipped(test: TipTest, why: str) -> Finding:
    """A test load that can do nothing."""
    source = f"{test.source.text}; {test.note}"
    return Finding("tip-test", PASS, 0.0, None, "", f"{test.name}: {why}", source)


SIDES = ("front", "back", "left", "right")


def _tipping(steady: Steadiness) -> Iterator[Finding]:
    """The tilt, the pull at the top and the weight on a front edge that tip it, empty and loaded."""
    source = "plain statics about the edges of its feet: what just tips it"

    def tilts(standing: Standing) -> str:
        ways = [(side, standing.side(side)) for side in SIDES]
        return ", ".join(f"{side} {lines[0].tilt_degrees:.1f}" for side, lines in ways if lines)

    words = f"empty {tilts(steady.empty)}; loaded {tilts(steady.loaded)}"
    yield Finding("standing", PASS, steady.empty.weakest.tilt_degrees, None, "deg", words, source)
    empty, loaded = (
        min((e.pull_n(steady.anchor_height) for e in s.side("front")), default=inf)
        for s in (steady.empty, steady.loaded)
    )
    if empty < inf:
        words = f"at the top tips it forward; loaded {loaded:.0f} N"
        yield Finding("tip-pull", PASS, empty, None, "N", words, source)
    if steady.front_empty.newton < inf:
        words = f"on the front edge of {steady.front_empty.on} tips it"
        if steady.front_loaded.newton < inf:
            words += f"; loaded {steady.front_loaded.newton / GRAVITY:.1f} kg on {steady.front_loaded.on}"
        yield Finding("tip-load", PASS, steady.front_empty.newton / GRAVITY, None, "kg", words, source)
    else:
        words = "none on a front edge tips it: all lie over its feet"
        yield Finding("tip-load", PASS, 0.0, None, "", words, source)


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
                f"{wall.wall}: carries {wall.weight_n:.0f} N ({wall.weight_n / GRAVITY:.0f} kg), pulls at its"
                f" fixings, which are {format_length(wall.height)} above where it bears",
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
