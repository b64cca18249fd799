"""Will it stand: findings on tipping, test loads, the anchor, and what a wall must take."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from furnigen.catalogue.loads import GRAVITY
from furnigen.core.finding import FAIL, PASS, WARN, Finding
from furnigen.core.quantities import format_length
from furnigen.strength.assess import Strength
from furnigen.strength.formulas.column import FLOOR_FRICTION
from furnigen.strength.formulas.tipping import SAFE_FACTOR, TippingStability, TipTest
from furnigen.strength.members.stability import Stability

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
    for name, standing in (("empty", stability.empty), ("loaded", stability.loaded)):
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
    if stability.empty.weakest.inside > 0 and stability.loaded.weakest.inside > 0:
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
            f"{test.name}: {test.title}, empty",
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


def _tipping(stability: Stability) -> Iterator[Finding]:
    """The tilt, the pull at the top and the weight on a front edge that tip it, empty and loaded."""
    source = "plain statics about the edges of its feet: what just tips it"

    def tilts(standing: TippingStability) -> str:
        ways = [(side, standing.side(side)) for side in SIDE_NAMES]
        return ", ".join(f"{side} {lines[0].tilt_degrees:.1f}" for side, lines in ways if lines)

    words = f"empty {tilts(stability.empty)}; loaded {tilts(stability.loaded)}"
    yield Finding("standing", PASS, stability.empty.weakest.tilt_degrees, None, "deg", words, source)
    empty, loaded = (
        min((e.pull_n(stability.anchor_height) for e in s.side("front")), default=inf)
        for s in (stability.empty, stability.loaded)
    )
    if empty < inf:
        words = f"at the top tips it forward; loaded {loaded:.0f} N"
        yield Finding("tip-pull", PASS, empty, None, "N", words, source)
    if stability.front_empty.newton < inf:
        words = f"on the front edge of {stability.front_empty.on} tips it"
        if stability.front_loaded.newton < inf:
            loaded_front = stability.front_loaded
            words += f"; loaded {loaded_front.newton / GRAVITY:.1f} kg on {loaded_front.on}"
        yield Finding("tip-load", PASS, stability.front_empty.newton / GRAVITY, None, "kg", words, source)
    else:
        words = "none on a front edge tips it: all lie over its feet"
        yield Finding("tip-load", PASS, 0.0, None, "", words, source)


def _anchor_words(strength: Strength) -> str:
    stability = strength.stability
    assert stability is not None
    return (
        f"anchor it to the wall at the top ({format_length(stability.anchor_height)}) with an anchor that"
        f" takes a pull of {stability.anchor_n:.0f} N"
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
