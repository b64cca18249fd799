"""What each check asks, in words for whoever will live with the piece; one not listed goes by its name."""

from __future__ import annotations

from furnigen.catalogue.loads import GRAVITY
from furnigen.core.finding import PASS, Finding
from furnigen.core.wording import shown
from furnigen.formats.amounts import numbers

QUESTIONS = {
    "anchor": "Fixing to the wall",
    "assembly-order": "Can it be put together",
    "bearing": "Wood crushed where a board rests",
    "below-floor": "Does anything reach below the floor",
    "bending": "Do boards break in bending",
    "carried": "Is every shelf carried",
    "child-on-joint": "Do joints hold a child who climbs or stands on it",
    "child-on-shelf": "A child standing on a shelf",
    "child-tips": "Does a climbing child tip it",
    "clear-opening": "Are openings clear",
    "cut-as-drawn": "Does every cut take wood away",
    "cutting": "Can all parts be cut from the stock there is",
    "edge-distance": "Are fasteners far enough from edges",
    "fastener-length": "Do screws and dowels end in the wood",
    "fasteners-meet": "Do fasteners meet",
    "feet-grip": "Do its feet grip the floor",
    "floating-parts": "Does every part rest on something",
    "foot-lifts": "Does a foot lift off the floor",
    "foot-pressure": "Pressure of the feet on the floor",
    "groove-depth": "Wood left beside grooves",
    "hardware-holes": "Does hardware have its holes",
    "hardware-room": "Is there room for hardware to go in",
    "hole-bottom": "Wood left below holes",
    "interference": "Do parts run into each other",
    "joint": "Do joints hold",
    "joint-as-drawn": "Is every joint cut as it is drawn",
    "joint-pull": "Do joints hold",
    "least-clear-depth": "Least clear depth",
    "least-clear-height": "Least clear height",
    "least-clear-width": "Least clear width",
    "leg-joint": "Do the joints of legs hold",
    "leg-thrust": "Sideways thrust of leaning legs",
    "load": "What boards are taken to carry",
    "load-path": "Is everything carried down to the floor",
    "max-depth": "Largest overall depth",
    "max-height": "Largest overall height",
    "max-width": "Largest overall width",
    "min-clear-depth": "Least clear depth",
    "min-clear-height": "Least clear height",
    "min-clear-width": "Least clear width",
    "part-fits-stock": "Can parts be cut from their stock",
    "picture": "The picture",
    "sag": "Sag of boards under their load",
    "sag-unknown": "Sag that could not be estimated",
    "shear": "Do boards shear at their ends",
    "shoved": "A shove from the side",
    "sideways": "Swaying from side to side",
    "slides-off": "Do boards slide off",
    "standing": "Does it stand by itself",
    "tip-load": "Load on the front of a shelf that tips it",
    "tip-pull": "Pull at its top that tips it",
    "tip-test": "Test against tipping over",
    "tips-by-itself": "Does it tip by itself",
    "tips-off": "Does anything tip off what carries it",
    "upright": "Do uprights and legs buckle",
    "wall": "Pull on the fixings in the wall",
    "web-between-grooves": "Wood left between grooves",
    "wood-movement": "Room for the wood to move",
    "wood-movement-fastened": "Wood that moves against screws",
    "wood-movement-glued": "Wood that moves against glue",
    "wood-movement-trapped": "Wood that moves between others",
}


SWAYS = {
    "racking": "Swaying",
    "racking left-right": "Swaying to the left and right",
    "racking front-back": "Swaying to the front and back",
    "racking on its legs": "Swaying on its legs",
}
"""What sways, by the title of a finding."""
GOOD_NO = frozenset(
    ("below-floor", "bending", "child-tips", "fasteners-meet", "foot-lifts", "interference", "shear",
     "slides-off", "tips-by-itself", "tips-off", "upright")
)  # fmt: skip
"""Questions of which "no" is the good answer; of all others that begin as `ASKS` does it is "yes"."""
ASKS = ("Are ", "Can ", "Do ", "Does ", "Is ")
ENOUGH = frozenset(("groove-depth", "hole-bottom", "web-between-grooves"))
"""What is left of wood, which counts where it was looked at."""
SAID = {
    "anchor": "its anchor must take a pull of {}",
    "child-tips": "what holds it is {} what tips it",
    "sideways": "it holds {} its weight and load",
    "standing": "it tips once it leans {}",
    "tip-test": "what holds it is {} what tips it",
}
"""What was found, in a sentence."""
NO_UNIT = ("", "parts", "mm3", "wall")
"""Of these none, or what has no unit, says nothing beside a yes or no."""


def question(finding: Finding) -> str:
    """A check as a client reads it, with the title where that says more."""
    if finding.name == "sideways" and finding.title in SWAYS:
        return SWAYS[finding.title]
    asked = QUESTIONS.get(finding.name, finding.name.replace("-", " ").capitalize())
    more = finding.title
    return asked if not more or more == finding.name else f"{asked}: {more}"


def answer(finding: Finding, units: str) -> str:
    """What was found and what is allowed, in plain words.

    Args:
        units: "mm" or "in".
    """
    _, found, limit, _ = numbers(finding, units)
    if finding.name == "tip-load" and not finding.unit:
        return "None on a front edge tips it"
    found = SAID.get(finding.name, "{}").format(_plain(found, finding)) if found else ""
    passed = finding.status == PASS
    if passed and finding.unit in NO_UNIT and (finding.used is not None or finding.value in (0, 1, None)):
        found = limit = ""  # a yes, a no or the bar says it
    limit = limit.replace("max ", "at most ").replace("min ", "at least ")
    said = ", ".join(filter(None, (_good(finding), found, limit)))
    if passed and not said and finding.used is None:
        said = shown(finding.where or finding.source, units)
    return said[:1].upper() + said[1:]


def _plain(found: str, finding: Finding) -> str:
    """An amount for people who do not reckon in newtons."""
    if finding.unit == "N" and finding.value is not None:
        return f"{found}, the weight of {finding.value / GRAVITY:,.0f} kg"
    return f"{found.removesuffix(' x')} times" if finding.unit == "times" else found


def _good(finding: Finding) -> str:
    """The answer of a check that passes."""
    if finding.status != PASS:
        return ""
    if finding.name in ENOUGH:
        return "enough"
    if not QUESTIONS.get(finding.name, "").startswith(ASKS):
        return ""
    return "no" if finding.name in GOOD_NO else "yes"
