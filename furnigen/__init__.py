"""furnigen: from one recipe, a Python function from parameters to a piece of furniture, to a proven model.

The public face for recipe authors. Everything is in millimetres; X is width (left to right), Y depth
(front to back), Z height, and the floor is z = 0.
"""

from __future__ import annotations

from typing import Any

__version__ = "0.1.0"

_HOMES = {
    "recipe": "furnigen.declare",
    "Recipe": "furnigen.declare",
    "length": "furnigen.parameters",
    "angle": "furnigen.parameters",
    "count": "furnigen.parameters",
    "counts": "furnigen.parameters",
    "choice": "furnigen.parameters",
    "switch": "furnigen.parameters",
    "from_stock": "furnigen.parameters",
    "find_stock": "furnigen.stock",
    "list_stock": "furnigen.stock",
    "Stock": "furnigen.stock",
    "Draft": "furnigen.draft",
    "Fact": "furnigen.facts",
    "Piece": "furnigen.piece",
    "Opening": "furnigen.piece",
    "Placement": "furnigen.piece",
    "Box": "furnigen.pose",
    "Pose": "furnigen.pose",
    "Rule": "furnigen.division",
    "equal_clear": "furnigen.division",
    "equal_centres": "furnigen.division",
    "fixed_pitch": "furnigen.division",
    "clear_sizes": "furnigen.division",
    "geometric": "furnigen.division",
    "arithmetic": "furnigen.division",
    "at_least": "furnigen.division",
    "at_most": "furnigen.division",
    "upright_places": "furnigen.division",
    "levels": "furnigen.division",
    "LAST_TO": "furnigen.division",
    "along": "furnigen.arrays",
    "line": "furnigen.arrays",
    "mirrored_box": "furnigen.arrays",
    "ring_upright": "furnigen.uprights",
    "ladder_upright": "furnigen.uprights",
    "RING_BUILDS": "furnigen.uprights",
    "RING_BOARDS": "furnigen.uprights",
    "lapped_grid": "furnigen.grid",
    "four_legs": "furnigen.legs",
    "legs_on_blocks": "furnigen.legblocks",
    "LEG_KINDS": "furnigen.legs",
    "Prism": "furnigen.parts.forms",
    "Rod": "furnigen.parts.forms",
    "rectangle": "furnigen.parts.forms",
    "mitred": "furnigen.parts.forms",
    "ring": "furnigen.parts.forms",
    "leaning": "furnigen.parts.forms",
    "TurnedLeg": "furnigen.parts.legs",
    "SquareLeg": "furnigen.parts.legs",
    "housing": "furnigen.joints.housing",
    "rabbet": "furnigen.joints.housing",
    "half_lap": "furnigen.joints.laps",
    "cross_lap": "furnigen.joints.laps",
    "mitre": "furnigen.joints.mitre",
    "finger_joint": "furnigen.joints.fingers",
    "tenon": "furnigen.joints.tenons",
    "wedged_tenon": "furnigen.joints.tenons",
    "round_tenon": "furnigen.joints.rounds",
    "butt": "furnigen.joints.fastened",
    "dowelled": "furnigen.joints.fastened",
    "cross_bolt": "furnigen.joints.fastened",
    "shelf_pins": "furnigen.joints.pins",
    "on_pin_rows": "furnigen.joints.pins",
    "cleat": "furnigen.joints.cleats",
    "custom_form": "furnigen.kernel.custom",
    "find_recipe": "furnigen.cookbook",
    "list_recipes": "furnigen.cookbook",
    "asked_as": "furnigen.errors",
    "FurnigenError": "furnigen.errors",
    "InputError": "furnigen.errors",
    "RecipeError": "furnigen.errors",
    "GeometryError": "furnigen.errors",
    "OutputError": "furnigen.errors",
}

__all__ = ["__version__", *sorted(_HOMES)]  # noqa: PLE0604 (names are strings, only not spelled out here)


def __getattr__(name: str) -> Any:
    """Load a public name from its home when it is first wanted: starting stays cheap."""
    if name not in _HOMES:
        raise AttributeError(f"module furnigen has no attribute {name}")
    from importlib import import_module

    value = getattr(import_module(_HOMES[name]), name)
    globals()[name] = value
    return value
