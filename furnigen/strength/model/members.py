"""The parts of a piece as strength sees them: boards that lie level, rails that run level, uprights, legs.

A body knows its mass, where its wood runs, and its section about the axis it bends round. What it rests on is
found elsewhere (`furnigen.strength.model.carriers`).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import atan2, cos, degrees, hypot, pi, radians, sin

from furnigen.catalogue.materials import Material
from furnigen.catalogue.stock import graded_stock
from furnigen.core.errors import InputError
from furnigen.core.facts import Fact
from furnigen.core.pose import LEVEL_DEGREES, Box, Pose, Vector, dot, unit
from furnigen.drafting.goods import lies_level
from furnigen.parts.forms.form import Form
from furnigen.parts.forms.prism import Prism
from furnigen.parts.forms.rod import Rod
from furnigen.parts.forms.square_leg import SquareLeg
from furnigen.parts.forms.turned_leg import TurnedLeg
from furnigen.parts.part import Part
from furnigen.parts.volume.moments import moments
from furnigen.parts.volume.turning import leg_axis
from furnigen.piece.description import Piece

LEVEL, RAIL, UPRIGHT, LEG, LUMP = "level board", "rail", "upright", "leg", "shape of its own"

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
        kind: one of LEVEL, RAIL, UPRIGHT, LEG, LUMP.
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
        if isinstance(self.form, TurnedLeg | SquareLeg):
            foot, top = leg_axis(self.form, 0.0), leg_axis(self.form, self.form.height)
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
    if isinstance(form, TurnedLeg | SquareLeg):
        return LEG
    if isinstance(form, Prism):
        if lies_level(form, pose):
            return LEVEL
        return RAIL if abs(up[0]) < level else UPRIGHT
    if isinstance(form, Rod):
        return RAIL if abs(up[0]) < level else UPRIGHT
    return LUMP


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


def material_across(form: Prism, along: int, at: float) -> tuple[tuple[float, float], ...]:
    """Where a line square to side 0 (length) or 1 (width) of a board runs in wood, mm from the other side.

    Args:
        along: the side that `at` is measured on.
        at: where the line crosses it, mm.
    """
    spans = _crossings(form.corners, along, at)
    holes = [s for window in form.windows for s in _crossings(window, along, at)]
    for low, high in holes:
        spans = [
            part
            for a, b in spans
            for part in ((a, min(b, low)), (max(a, high), b))
            if part[1] - part[0] > 1e-9
        ]
    return tuple(spans)


def _crossings(outline: tuple[tuple[float, float], ...], along: int, at: float) -> list[tuple[float, float]]:
    cuts = []
    for p, q in zip(outline, outline[1:] + outline[:1], strict=True):
        if (p[along] <= at) != (q[along] <= at):
            share = (at - p[along]) / (q[along] - p[along])
            cuts.append(p[1 - along] + share * (q[1 - along] - p[1 - along]))
    cuts.sort()
    return list(zip(cuts[::2], cuts[1::2], strict=False))


@dataclass(frozen=True, slots=True)
class ColumnSection:
    """The smallest section of an upright over a stretch, for pressing and bending.

    Attributes:
        area: mm².
        least_i: second moment about the axis it bends round most easily, mm⁴.
        least_w: section modulus about that axis, mm³.
        most_i, most_w: about the axis square to it.
        thin: unit vector in the room it moves along when it bends the easy way.
    """

    area: float
    least_i: float
    least_w: float
    most_i: float
    most_w: float
    thin: Vector


def _rectangle(a: float, b: float, thin_a: Vector, thin_b: Vector) -> ColumnSection:
    (small, big, thin) = (a, b, thin_a) if a <= b else (b, a, thin_b)
    return ColumnSection(
        a * b, big * small**3 / 12, big * small**2 / 6, small * big**3 / 12, small * big**2 / 6, thin
    )


def _round(d: float, thin: Vector) -> ColumnSection:
    i, w = pi * d**4 / 64, pi * d**3 / 32
    return ColumnSection(pi * d * d / 4, i, w, i, w, thin)


def leg_modulus(leg: TurnedLeg | SquareLeg, z: float) -> float:
    """Section modulus of a leg at a height above its foot (mm), about an axis through its sides, mm³."""
    if isinstance(leg, TurnedLeg):
        return float(pi * (2 * leg.radius_at(z)) ** 3 / 32)
    return float((2 * leg.half_side_at(z)) ** 3 / 6)


def column_section_of(body: Member, z: float) -> ColumnSection | None:
    """The section of an upright or leg at a height of the room, mm; None where there is no wood or no rule.

    A board sawn with windows counts as what is left of it there, bending across its thickness.
    """
    form = body.form
    if isinstance(form, TurnedLeg | SquareLeg):
        size = min(form.top, form.foot)
        if isinstance(form, TurnedLeg):
            return _round(size, (1.0, 0.0, 0.0))
        return _rectangle(size, size, (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    if isinstance(form, Rod):
        return _round(form.diameter, body.direction(1))
    if not isinstance(form, Prism):
        return None
    side = max((0, 1), key=lambda i: abs(body.direction(i)[2]))
    rise = body.direction(side)[2]
    # the middle of the board's width as it passes that height: along leaning posts only near their ends is
    # it not the true middle
    other = body.direction(1 - side)[2]
    middle = (form.blank_mm[1 - side]) / 2
    at = (z - body.pose.origin[2] - other * middle - body.direction(2)[2] * form.thickness / 2) / rise
    spans = material_across(form, side, min(max(at, 1e-6), form.blank_mm[side] - 1e-6))
    wide = sum(b - a for a, b in spans)
    if wide <= 0:
        return None
    flat, edge = body.direction(2), body.direction(1 - side)
    return _rectangle(form.thickness, wide, flat, edge)
