"""furnigen: from one recipe, a Python function from parameters to a piece of furniture, to a proven model.

The public face for recipe authors. Everything is in millimetres; X is width (left to right), Y depth
(front to back), Z height, and the floor is z = 0.
"""

from __future__ import annotations

from typing import Any

__version__ = "0.1.0"

_HOMES = {
    "recipe": "furnigen.recipes.recipe",
    "Recipe": "furnigen.recipes.recipe",
    "length": "furnigen.recipes.parameters",
    "angle": "furnigen.recipes.parameters",
    "count": "furnigen.recipes.parameters",
    "counts": "furnigen.recipes.parameters",
    "choice": "furnigen.recipes.parameters",
    "switch": "furnigen.recipes.parameters",
    "from_stock": "furnigen.recipes.parameters",
    "find_stock": "furnigen.catalogue.stock",
    "list_stock": "furnigen.catalogue.stock",
    "Stock": "furnigen.catalogue.stock",
    "Draft": "furnigen.drafting.draft",
    "Fact": "furnigen.core.facts",
    "Piece": "furnigen.piece.description",
    "Opening": "furnigen.piece.description",
    "Placement": "furnigen.piece.description",
    "Box": "furnigen.core.pose",
    "Pose": "furnigen.core.pose",
    "Rule": "furnigen.drafting.division",
    "equal_clear": "furnigen.drafting.division",
    "equal_centres": "furnigen.drafting.division",
    "fixed_pitch": "furnigen.drafting.division",
    "clear_sizes": "furnigen.drafting.division",
    "geometric": "furnigen.drafting.division",
    "arithmetic": "furnigen.drafting.division",
    "at_least": "furnigen.drafting.division",
    "at_most": "furnigen.drafting.division",
    "upright_places": "furnigen.drafting.bays",
    "levels": "furnigen.drafting.levels",
    "SHELF_FACES": "furnigen.drafting.levels",
    "along": "furnigen.drafting.arrays",
    "line": "furnigen.drafting.arrays",
    "mirrored_box": "furnigen.drafting.arrays",
    "ring_upright": "furnigen.drafting.ring_frames",
    "ladder_upright": "furnigen.drafting.ladders",
    "RING_BUILDS": "furnigen.drafting.ring_frames",
    "RING_BOARDS": "furnigen.drafting.ring_frames",
    "lapped_grid": "furnigen.drafting.lapped_grid",
    "four_legs": "furnigen.drafting.legs",
    "legs_on_blocks": "furnigen.drafting.leg_blocks",
    "LEG_KINDS": "furnigen.drafting.legs",
    "Prism": "furnigen.parts.forms.prism",
    "Rod": "furnigen.parts.forms.rod",
    "rectangle": "furnigen.parts.forms.prism",
    "mitred": "furnigen.parts.forms.prism",
    "ring": "furnigen.parts.forms.prism",
    "leaning": "furnigen.parts.forms.prism",
    "TurnedLeg": "furnigen.parts.forms.turned_leg",
    "SquareLeg": "furnigen.parts.forms.square_leg",
    "housing": "furnigen.joints.housing",
    "rabbet": "furnigen.joints.housing",
    "half_lap": "furnigen.joints.laps",
    "cross_lap": "furnigen.joints.laps",
    "mitre": "furnigen.joints.mitre",
    "finger_joint": "furnigen.joints.fingers",
    "tenon": "furnigen.joints.tenons",
    "wedged_tenon": "furnigen.joints.tenons",
    "round_tenon": "furnigen.joints.round_tenons",
    "butt": "furnigen.joints.fastened",
    "dowelled": "furnigen.joints.fastened",
    "cross_bolt": "furnigen.joints.fastened",
    "shelf_pins": "furnigen.joints.pins",
    "on_pin_rows": "furnigen.drafting.pin_rows",
    "cleat": "furnigen.joints.cleats",
    "custom_form": "furnigen.kernel.custom",
    "find_recipe": "furnigen.recipes.discovery",
    "list_recipes": "furnigen.recipes.discovery",
    "asked_as": "furnigen.core.asked",
    "asked_by": "furnigen.core.asked",
    "require": "furnigen.core.asked",
    "joint_choice": "furnigen.recipes.parameters",
    "ChosenJoint": "furnigen.joints.chosen",
    "USUAL": "furnigen.joints.chosen",
    "case_of_boards": "furnigen.drafting.case",
    "open_bays": "furnigen.drafting.bays",
    "join_ends": "furnigen.drafting.bays",
    "shelves_through": "furnigen.drafting.bays",
    "ring_corner": "furnigen.drafting.ring_frames",
    "RingSizes": "furnigen.drafting.ring_frames",
    "RingFrame": "furnigen.drafting.ring_frames",
    "shelf_support": "furnigen.drafting.shelf_supports",
    "carry_shelves": "furnigen.drafting.shelf_supports",
    "room_under": "furnigen.drafting.levels",
    "lean_to_foot": "furnigen.drafting.legs",
    "foot_out": "furnigen.drafting.legs",
    "INSETS_TO": "furnigen.drafting.legs",
    "check_bearer": "furnigen.drafting.shelf_supports",
    "levels_at_pitch": "furnigen.drafting.levels",
    "FurnigenError": "furnigen.core.errors",
    "InputError": "furnigen.core.errors",
    "RecipeError": "furnigen.core.errors",
    "GeometryError": "furnigen.core.errors",
    "OutputError": "furnigen.core.errors",
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
