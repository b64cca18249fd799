"""What each check asks, in words for whoever will live with the piece; one not listed goes by its name."""

from __future__ import annotations

from furnigen.core.finding import Finding

QUESTIONS = {
    "anchor": "Fixing to the wall",
    "assembly-order": "Can it be put together",
    "bearing": "Wood crushed where a board rests",
    "below-floor": "Does anything reach below the floor",
    "bending": "Do boards break in bending",
    "carried": "Is every shelf carried",
    "child-on-joint": "Do joints hold a child",
    "child-on-shelf": "A child standing on a shelf",
    "child-tips": "Does a climbing child tip it",
    "clear-opening": "Is anything in the way in an opening",
    "cut-as-drawn": "Does every cut take wood away",
    "cutting": "Can all parts be cut from the stock there is",
    "edge-distance": "Fasteners far enough from edges",
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
    "sideways": "Sway from side to side",
    "slides-off": "Do boards slide off",
    "standing": "Does it stand by itself",
    "tip-load": "Load on the front of a shelf that tips it",
    "tip-pull": "Pull at the top that tips it",
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


def question(finding: Finding) -> str:
    """A check as a client reads it, with the title where that says more."""
    asked = QUESTIONS.get(finding.name, finding.name.replace("-", " ").capitalize())
    more = finding.title
    return asked if not more or more == finding.name else f"{asked}: {more}"
