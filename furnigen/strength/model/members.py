"""The parts of a piece as strength sees them: boards that lie level, rails that run level, uprights, legs.

A body knows its mass, where its wood runs, and its section about the axis it bends round. What it rests on is
found elsewhere (`furnigen.strength.model.carriers`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from math import atan2, cos, degrees, hypot, pi, radians, sin

from furnigen.catalogue.materials import Material
from furnigen.catalogue.stock import graded_stock
from furnigen.core.errors import InputError
from furnigen.core.facts import Fact
from furnigen.core.pose import LEVEL_DEGREES, Box, Pose, Vector, dot, unit
from furnigen.drafting.goods import lies_level
from furnigen.parts.forms.column_section import ColumnSection
from furnigen.parts.forms.form import Form
from furnigen.parts.forms.outline import polygon_area
from furnigen.parts.part import Part
from furnigen.parts.volume.moments import moments
from furnigen.piece.description import Piece
from furnigen.strength.formulas.tipping import convex_hull

LEVEL, RAIL, UPRIGHT, LEG, LUMP = "level board", "rail", "upright", "leg", "shape of its own"
SLOPED = "sloping board"
SLOPED_DEGREES = 45.0
"""A board whose face lies steeper than this stands. Our own choice."""
CORNER_SHARE = 0.85
"""A board that fills less than this share of the convex outline round it turns a corner, as an L or a U does:
it bends and twists, and is no beam. Our own choice; notches for posts leave more."""

ACROSS_SHARE = {"hardwood": 0.05, "softwood": 0.05, "lvl": 0.05, "plywood": 0.35, "osb": 0.35}
"""Modulus across the grain over that along it, where the material does not say: the low end of the Wood
Handbook's Table 5-1 for solid wood (0.043 yellow-poplar looked up, the rest from memory) and of birch
plywood's table. Boards of other kinds are alike both ways."""


def modulus_across(material: Material) -> float:
    """Modulus across the grain, N/mm²; the table's, or a cautious share of that along it."""
    if material.moe_cross_mpa is not None:
        return material.moe_cross_mpa
    return material.moe_mpa * ACROSS_SHARE.get(material.kind, 1.0)


@dataclass(frozen=True)
class Member:
    """One placement.

    Attributes:
        label, facts: as the piece has them.
        kind: one of LEVEL, RAIL, UPRIGHT, LEG, LUMP, SLOPED.
        part: what it is a copy of.
        pose: where it stands.
        material: what it is made of.
        kg: mass with its cuts.
        centre: centre of mass in the room, mm.
        box: bounds in the room, mm.
    """

    label: str
    facts: Fact
    kind: str
    part: Part
    pose: Pose
    material: Material
    kg: float
    centre: Vector
    box: Box

    @property
    def form(self) -> Form:
        """The part's form."""
        return self.part.form

    def direction(self, column: int) -> Vector:
        """Unit vector of the form's length (0), width (1) or thickness (2) in the room."""
        r = self.pose.rotation
        return (r[0][column], r[1][column], r[2][column])

    def extent(self, d: Vector) -> tuple[float, float]:
        """From where to where it reaches along a direction of the room, mm."""
        known = self._extents.get(d)
        if known is not None:
            return known
        local = tuple(dot(self.direction(i), d) for i in range(3))
        there = (local[0], local[1], local[2])
        back = (-local[0], -local[1], -local[2])
        at = dot(self.pose.origin, d)
        found = self._extents[d] = (at - self.form.support(back), at + self.form.support(there))
        return found

    @cached_property
    def _extents(self) -> dict[Vector, tuple[float, float]]:
        """What `extent` has found: boards ask their neighbours along the same few directions."""
        return {}

    def modulus(self, d: Vector) -> float:
        """Modulus of bending along a direction of the room, N/mm²: along the grain or across it.

        Plywood on edge has the mean of both: its plies share by their thickness, half of which runs each way
        (hand-derived: flat, along and across come to the modulus of the veneer; face plies tip the half).
        """
        if self.kind == RAIL and self.material.kind == "plywood":
            return (self.material.moe_mpa + modulus_across(self.material)) / 2
        along = abs(dot(self.direction(0), d)) > cos(pi / 4)
        return self.material.moe_mpa if along else modulus_across(self.material)

    @cached_property
    def axis(self) -> Vector:
        """Unit vector an upright or leg runs along, upward: its grain, or its width where that stands."""
        leg = self.form.as_leg
        if leg is not None:
            foot, top = leg.axis_at(0.0), leg.axis_at(leg.height)
            return self.pose.turn(unit((top[0] - foot[0], top[1] - foot[1], top[2] - foot[2])))
        column = max((0, 1), key=lambda i: abs(self.direction(i)[2]))
        d = self.direction(column)
        return d if d[2] > 0 else (-d[0], -d[1], -d[2])

    @cached_property
    def lean_degrees(self) -> float:
        """How far its axis leans from upright."""
        x, y, z = self.axis
        return degrees(atan2(hypot(x, y), z))


def _kind(form: Form, pose: Pose) -> str:
    level = sin(radians(LEVEL_DEGREES))
    up = pose.rotation[2]
    if form.as_leg is not None:
        return LEG
    if form.as_board is None and form.round_diameter is None:
        return LUMP
    if lies_level(form, pose):
        return LEVEL
    if form.as_board is not None and abs(up[2]) > cos(radians(SLOPED_DEGREES)):
        return SLOPED
    return RAIL if abs(up[0]) < level else UPRIGHT


def turns_a_corner(form: Form) -> bool:
    """Whether a board is an L, a U or the like, by CORNER_SHARE."""
    board = form.as_board
    if board is None or board.rectangular:
        return False
    return polygon_area(board.corners) < CORNER_SHARE * polygon_area(convex_hull(board.corners))


def members_of(piece: Piece) -> dict[str, Member]:
    """Every placement of a piece as a body, by label.

    Raises: InputError for a material without a modulus or a grade it cannot have; GeometryError for cuts
        without a closed form.
    """
    masses: list[tuple[float, Vector, Material]] = []
    for part in piece.parts:
        material = graded_stock(part.stock)
        if not material.moe_mpa > 0:
            raise InputError(
                f"modulus of {material.name}",
                f"{material.moe_mpa:g} N/mm²",
                "must be more than zero to know how far it bends",
                "give its modulus in furnigen/catalogue/data/materials.csv, or choose another stock",
            )
        volume, x, y, z = moments(part)
        masses.append(
            (volume * 1e-9 * material.density_kg_m3, (x / volume, y / volume, z / volume), material)
        )
    found = {}
    for p in piece.placements:
        part = piece.part_of(p)
        kg, centre, material = masses[p.part]
        found[p.label] = Member(
            p.label,
            p.facts,
            _kind(part.form, p.pose),
            part,
            p.pose,
            material,
            kg,
            p.pose.apply(centre),
            piece.bounds_of(p),
        )
    return found


def column_section_of(body: Member, z: float) -> ColumnSection | None:
    """The section of an upright or leg at a height of the room, mm; None where there is no wood or no rule.

    Its `thin` is a direction of the room.
    """
    section = body.form.column_section(z - body.pose.origin[2], body.pose.rotation[2])
    return None if section is None else replace(section, thin=body.pose.turn(section.thin))
