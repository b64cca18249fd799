"""furnigen: from one recipe, a Python function from parameters to a piece of furniture, to a proven model.

Everything is in millimetres; X is width (left to right), Y depth (front to back), Z height, and the floor is
z = 0.

>>> from furnigen import build, check, find_recipe
>>> piece = find_recipe("divided_case")(width="1.2 m", dividers=(2, 3, 4))
>>> sorted({finding.name for finding in check(piece) if finding.status == "fail"})
[]
>>> built = build(piece)
>>> round(built.report["mass_kg"], 1)
47.8

`help(furnigen.Draft)` begins a recipe of your own; recipes/README.md is its guide.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"

if TYPE_CHECKING:  # what checkers and editors read; `__getattr__` loads the same names from the same homes
    from furnigen.catalogue.stock import Stock as Stock
    from furnigen.catalogue.stock import find_stock as find_stock
    from furnigen.catalogue.stock import list_stock as list_stock
    from furnigen.core.asked import asked_as as asked_as
    from furnigen.core.asked import asked_by as asked_by
    from furnigen.core.asked import require as require
    from furnigen.core.errors import FurnigenError as FurnigenError
    from furnigen.core.errors import GeometryError as GeometryError
    from furnigen.core.errors import InputError as InputError
    from furnigen.core.errors import OutputError as OutputError
    from furnigen.core.errors import RecipeError as RecipeError
    from furnigen.core.facts import Fact as Fact
    from furnigen.core.finding import Finding as Finding
    from furnigen.core.pose import Box as Box
    from furnigen.core.pose import Pose as Pose
    from furnigen.drafting.arrays import along as along
    from furnigen.drafting.arrays import line as line
    from furnigen.drafting.arrays import mirrored_box as mirrored_box
    from furnigen.drafting.bays import join_ends as join_ends
    from furnigen.drafting.bays import open_bays as open_bays
    from furnigen.drafting.bays import shelves_through as shelves_through
    from furnigen.drafting.bays import upright_places as upright_places
    from furnigen.drafting.case import case_of_boards as case_of_boards
    from furnigen.drafting.datum_drawings import LEANING_DATUMS as LEANING_DATUMS
    from furnigen.drafting.datum_drawings import LEG_DATUMS as LEG_DATUMS
    from furnigen.drafting.datum_drawings import SHELF_DATUMS as SHELF_DATUMS
    from furnigen.drafting.division import Rule as Rule
    from furnigen.drafting.division import arithmetic as arithmetic
    from furnigen.drafting.division import at_least as at_least
    from furnigen.drafting.division import at_most as at_most
    from furnigen.drafting.division import clear_sizes as clear_sizes
    from furnigen.drafting.division import equal_centres as equal_centres
    from furnigen.drafting.division import equal_clear as equal_clear
    from furnigen.drafting.division import fixed_pitch as fixed_pitch
    from furnigen.drafting.division import geometric as geometric
    from furnigen.drafting.draft import Draft as Draft
    from furnigen.drafting.hanging import fix_to_wall as fix_to_wall
    from furnigen.drafting.ladders import ladder_upright as ladder_upright
    from furnigen.drafting.lapped_grid import lapped_grid as lapped_grid
    from furnigen.drafting.leg_blocks import BLOCK_INSETS_TO as BLOCK_INSETS_TO
    from furnigen.drafting.leg_blocks import legs_on_blocks as legs_on_blocks
    from furnigen.drafting.legs import INSETS_TO as INSETS_TO
    from furnigen.drafting.legs import LEG_KINDS as LEG_KINDS
    from furnigen.drafting.legs import foot_out as foot_out
    from furnigen.drafting.legs import four_legs as four_legs
    from furnigen.drafting.legs import lean_to_foot as lean_to_foot
    from furnigen.drafting.levels import SHELF_FACES as SHELF_FACES
    from furnigen.drafting.levels import levels as levels
    from furnigen.drafting.levels import levels_at_pitch as levels_at_pitch
    from furnigen.drafting.levels import room_under as room_under
    from furnigen.drafting.pin_rows import on_pin_rows as on_pin_rows
    from furnigen.drafting.ring_frames import RING_BOARDS as RING_BOARDS
    from furnigen.drafting.ring_frames import RING_BUILDS as RING_BUILDS
    from furnigen.drafting.ring_frames import RingFrame as RingFrame
    from furnigen.drafting.ring_frames import RingSizes as RingSizes
    from furnigen.drafting.ring_frames import ring_corner as ring_corner
    from furnigen.drafting.ring_frames import ring_upright as ring_upright
    from furnigen.drafting.shelf_supports import carry_shelves as carry_shelves
    from furnigen.drafting.shelf_supports import check_bearer as check_bearer
    from furnigen.drafting.shelf_supports import shelf_support as shelf_support
    from furnigen.joints.chosen import USUAL as USUAL
    from furnigen.joints.chosen import ChosenJoint as ChosenJoint
    from furnigen.joints.cleats import cleat as cleat
    from furnigen.joints.cross_bolt import cross_bolt as cross_bolt
    from furnigen.joints.fastened import butt as butt
    from furnigen.joints.fastened import dowelled as dowelled
    from furnigen.joints.fingers import finger_joint as finger_joint
    from furnigen.joints.housing import housing as housing
    from furnigen.joints.housing import rabbet as rabbet
    from furnigen.joints.laps import cross_lap as cross_lap
    from furnigen.joints.laps import half_lap as half_lap
    from furnigen.joints.mitre import mitre as mitre
    from furnigen.joints.pins import shelf_pins as shelf_pins
    from furnigen.joints.round_tenons import round_tenon as round_tenon
    from furnigen.joints.sliding_dovetail import sliding_dovetail as sliding_dovetail
    from furnigen.joints.tenons import tenon as tenon
    from furnigen.joints.tenons import wedged_tenon as wedged_tenon
    from furnigen.kernel.cadquery_out import to_cadquery as to_cadquery
    from furnigen.kernel.custom import custom_form as custom_form
    from furnigen.parts.forms.nosed_board import NosedBoard as NosedBoard
    from furnigen.parts.forms.nosed_board import bullnose as bullnose
    from furnigen.parts.forms.prism import Prism as Prism
    from furnigen.parts.forms.prism import leaning as leaning
    from furnigen.parts.forms.prism import mitred as mitred
    from furnigen.parts.forms.prism import rectangle as rectangle
    from furnigen.parts.forms.prism import ring as ring
    from furnigen.parts.forms.revolved import Revolved as Revolved
    from furnigen.parts.forms.rod import Rod as Rod
    from furnigen.parts.forms.square_leg import SquareLeg as SquareLeg
    from furnigen.parts.forms.turned_leg import TurnedLeg as TurnedLeg
    from furnigen.parts.part import Part as Part
    from furnigen.piece.description import Opening as Opening
    from furnigen.piece.description import Piece as Piece
    from furnigen.piece.description import Placement as Placement
    from furnigen.piece.hardware_places import HardwarePlace as HardwarePlace
    from furnigen.piece.hardware_places import hardware_places as hardware_places
    from furnigen.piece.hardware_places import with_hardware as with_hardware
    from furnigen.pipeline.build import build as build
    from furnigen.pipeline.build import check as check
    from furnigen.pipeline.build import to_trimesh as to_trimesh
    from furnigen.pipeline.built import Built as Built
    from furnigen.pipeline.made import WrittenPiece as WrittenPiece
    from furnigen.recipes.discovery import find_recipe as find_recipe
    from furnigen.recipes.discovery import list_recipes as list_recipes
    from furnigen.recipes.parameters import angle as angle
    from furnigen.recipes.parameters import choice as choice
    from furnigen.recipes.parameters import count as count
    from furnigen.recipes.parameters import counts as counts
    from furnigen.recipes.parameters import from_stock as from_stock
    from furnigen.recipes.parameters import joint_choice as joint_choice
    from furnigen.recipes.parameters import length as length
    from furnigen.recipes.parameters import switch as switch
    from furnigen.recipes.recipe import Recipe as Recipe
    from furnigen.recipes.recipe import recipe as recipe

_HOMES = {
    "furnigen.catalogue.stock": (
        "Stock",
        "find_stock",
        "list_stock",
    ),
    "furnigen.core.asked": (
        "asked_as",
        "asked_by",
        "require",
    ),
    "furnigen.core.errors": (
        "FurnigenError",
        "GeometryError",
        "InputError",
        "OutputError",
        "RecipeError",
    ),
    "furnigen.core.facts": ("Fact",),
    "furnigen.core.finding": ("Finding",),
    "furnigen.core.pose": (
        "Box",
        "Pose",
    ),
    "furnigen.drafting.arrays": (
        "along",
        "line",
        "mirrored_box",
    ),
    "furnigen.drafting.bays": (
        "join_ends",
        "open_bays",
        "shelves_through",
        "upright_places",
    ),
    "furnigen.drafting.case": ("case_of_boards",),
    "furnigen.drafting.division": (
        "Rule",
        "arithmetic",
        "at_least",
        "at_most",
        "clear_sizes",
        "equal_centres",
        "equal_clear",
        "fixed_pitch",
        "geometric",
    ),
    "furnigen.drafting.draft": ("Draft",),
    "furnigen.drafting.ladders": ("ladder_upright",),
    "furnigen.drafting.hanging": ("fix_to_wall",),
    "furnigen.drafting.lapped_grid": ("lapped_grid",),
    "furnigen.drafting.datum_drawings": ("LEANING_DATUMS", "LEG_DATUMS", "SHELF_DATUMS"),
    "furnigen.drafting.leg_blocks": ("BLOCK_INSETS_TO", "legs_on_blocks"),
    "furnigen.drafting.legs": (
        "INSETS_TO",
        "LEG_KINDS",
        "foot_out",
        "four_legs",
        "lean_to_foot",
    ),
    "furnigen.drafting.levels": (
        "SHELF_FACES",
        "levels",
        "levels_at_pitch",
        "room_under",
    ),
    "furnigen.drafting.pin_rows": ("on_pin_rows",),
    "furnigen.drafting.ring_frames": (
        "RING_BOARDS",
        "RING_BUILDS",
        "RingFrame",
        "RingSizes",
        "ring_corner",
        "ring_upright",
    ),
    "furnigen.drafting.shelf_supports": (
        "carry_shelves",
        "check_bearer",
        "shelf_support",
    ),
    "furnigen.joints.chosen": (
        "ChosenJoint",
        "USUAL",
    ),
    "furnigen.joints.cleats": ("cleat",),
    "furnigen.joints.cross_bolt": ("cross_bolt",),
    "furnigen.joints.fastened": (
        "butt",
        "dowelled",
    ),
    "furnigen.joints.fingers": ("finger_joint",),
    "furnigen.joints.housing": (
        "housing",
        "rabbet",
    ),
    "furnigen.joints.sliding_dovetail": ("sliding_dovetail",),
    "furnigen.joints.laps": (
        "cross_lap",
        "half_lap",
    ),
    "furnigen.joints.mitre": ("mitre",),
    "furnigen.joints.pins": ("shelf_pins",),
    "furnigen.joints.round_tenons": ("round_tenon",),
    "furnigen.joints.tenons": (
        "tenon",
        "wedged_tenon",
    ),
    "furnigen.kernel.cadquery_out": ("to_cadquery",),
    "furnigen.kernel.custom": ("custom_form",),
    "furnigen.parts.forms.nosed_board": (
        "NosedBoard",
        "bullnose",
    ),
    "furnigen.parts.forms.prism": (
        "Prism",
        "leaning",
        "mitred",
        "rectangle",
        "ring",
    ),
    "furnigen.parts.forms.revolved": ("Revolved",),
    "furnigen.parts.forms.rod": ("Rod",),
    "furnigen.parts.forms.square_leg": ("SquareLeg",),
    "furnigen.parts.forms.turned_leg": ("TurnedLeg",),
    "furnigen.parts.part": ("Part",),
    "furnigen.piece.description": (
        "Opening",
        "Piece",
        "Placement",
    ),
    "furnigen.piece.hardware_places": (
        "HardwarePlace",
        "hardware_places",
        "with_hardware",
    ),
    "furnigen.pipeline.build": (
        "build",
        "check",
        "to_trimesh",
    ),
    "furnigen.pipeline.built": ("Built",),
    "furnigen.pipeline.made": ("WrittenPiece",),
    "furnigen.recipes.discovery": (
        "find_recipe",
        "list_recipes",
    ),
    "furnigen.recipes.parameters": (
        "angle",
        "choice",
        "count",
        "counts",
        "from_stock",
        "joint_choice",
        "length",
        "switch",
    ),
    "furnigen.recipes.recipe": (
        "Recipe",
        "recipe",
    ),
}
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names}

__all__ = ["__version__", *sorted(_HOME_OF)]  # noqa: PLE0604 (names are strings, only not spelled out here)

if not TYPE_CHECKING:  # else every misspelt name would be right to a checker

    def __getattr__(name: str) -> Any:
        """Load a public name from its home when it is first wanted: starting stays cheap."""
        if name not in _HOME_OF:
            raise AttributeError(f"module furnigen has no attribute {name}")
        from importlib import import_module

        value = getattr(import_module(_HOME_OF[name]), name)
        globals()[name] = value
        return value

    def __dir__() -> list[str]:
        return sorted({*globals(), *_HOME_OF})
