"""The wood of one member as the rules of joints ask for it: densities, k_mod, design strengths, its grain."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import acos, degrees, sqrt

from furnigen.catalogue.grades import grade_of
from furnigen.catalogue.joint_values import joint_value
from furnigen.catalogue.materials import Material
from furnigen.core.caches import JOINT_RULES, kept
from furnigen.core.pose import Vector, dot
from furnigen.strength.formulas.allowable import LOAD_FACTOR, Allowable, duration_factor, find_allowable
from furnigen.strength.formulas.embedment import PANEL_KINDS, embedment_mpa
from furnigen.strength.members.legs import GREEN_SHARE
from furnigen.strength.model.members import Member

K_SHARE = 1 / 1.2
"""Characteristic over mean density of solid wood: EN 338 has 350 and 420, 530 and 640 kg/m³ (looked up)."""
K_SHARE_PANEL = 0.9
"""The same of boards. Common practice, no source."""
ALONG = 0.7
"""Cosine above which a direction counts as along another: within 45°."""
SQUARE = 0.9
"""Cosine above which something enters the face of a board squarely: a mitre shows the plies, as an edge
does.
"""
FACE, EDGE, END, SIDE = "face", "edge", "end grain", "side grain"


@dataclass(frozen=True, eq=False)
class WoodMake:
    """What of a member's wood the rules ask for wherever it stands; made by `make_of`, one for each make.

    Attributes:
        material: what it is made of.
        thickness: mm.
        climate: service class.
        duration: of the load.
    """

    material: Material
    thickness: float
    climate: int
    duration: str

    @cached_property
    def panel(self) -> bool:
        """Whether it is a board made of pieces of wood."""
        return self.material.kind in PANEL_KINDS

    @cached_property
    def density_k(self) -> float:
        """Characteristic density, kg/m³."""
        grade = grade_of(self.material)
        share = K_SHARE_PANEL if self.panel else K_SHARE
        own = self.material.density_kg_m3 * share
        return own if grade is None else min(own, grade.density_kg_m3)

    @cached_property
    def k_mod(self) -> float:
        """For the duration of the load."""
        return duration_factor(self.material, self.duration, self.climate)

    @cached_property
    def bears(self) -> Allowable:
        """Design strengths, N/mm², before the factor on loads."""
        return find_allowable(self.material, self.duration, self.climate)

    @cached_property
    def shear_mpa(self) -> float:
        """As `Wood.shear_mpa`."""
        known = self.bears.shear_mpa
        if known is None:
            known = joint_value("board shear") * self.k_mod / joint_value("gamma connection")
        return known / LOAD_FACTOR

    @cached_property
    def time_share(self) -> float:
        """As `Wood.time_share`."""
        return joint_value("ten years to permanent") * self.k_mod / 0.6


@kept(JOINT_RULES)
def make_of(material: Material, thickness: float, climate: int, duration: str) -> WoodMake:
    """The make of some wood: the same object for the same values, so that rules can be kept by it."""
    return WoodMake(material, thickness, climate, duration)


@dataclass(frozen=True)
class Wood:
    """One member at a joint.

    Attributes:
        label: its label.
        make: its material and thickness, under what load.
        grain, face: unit vectors in the room along its grain and square to its broad face.
    """

    label: str
    make: WoodMake
    grain: Vector
    face: Vector

    @property
    def material(self) -> Material:
        """What it is made of."""
        return self.make.material

    @property
    def thickness(self) -> float:
        """Of the member, mm."""
        return self.make.thickness

    @property
    def kind(self) -> str:
        """Of its material."""
        return self.make.material.kind

    @property
    def panel(self) -> bool:
        """Whether it is a board made of pieces of wood."""
        return self.make.panel

    @property
    def of_particles(self) -> bool:
        """Whether it is a board of particles or fibres, without grain."""
        return self.panel and self.kind != "plywood"

    @property
    def gravity(self) -> float:
        """Specific gravity, oven-dry."""
        return self.material.density_kg_m3 * GREEN_SHARE

    @property
    def density_k(self) -> float:
        """Characteristic density, kg/m³."""
        return self.make.density_k

    @property
    def k_mod(self) -> float:
        """For the duration of the load."""
        return self.make.k_mod

    @property
    def bears(self) -> Allowable:
        """Design strengths, N/mm², before the factor on loads."""
        return self.make.bears

    @property
    def shear_mpa(self) -> float:
        """Design strength in shear over the factor on loads, N/mm²; of boards without one that of
        particleboard.
        """
        return self.make.shear_mpa

    @property
    def bending_mpa(self) -> float | None:
        """Design strength in bending over the factor on loads, N/mm²."""
        known = self.bears.bending_mpa
        return None if known is None else known / LOAD_FACTOR

    def met_by(self, d: Vector) -> str:
        """What something that runs along `d` enters: "face" or "edge" of a board, "end grain" or "side grain"
        of solid wood.
        """
        if self.panel:
            return FACE if abs(dot(d, self.face)) > SQUARE else EDGE
        return END if abs(dot(d, self.grain)) > ALONG else SIDE

    def grain_degrees(self, d: Vector) -> float:
        """Angle between a direction and its grain."""
        return degrees(acos(min(1.0, abs(dot(d, self.grain)))))

    def embedment(self, diameter: float) -> float:
        """Characteristic embedment strength along its grain, N/mm², in a drilled hole."""
        return _embedment(self.make, diameter)

    @property
    def time_share(self) -> float:
        """What is left of an allowable value for ten years under this load: for wood in heated rooms and
        permanent load 0.9; other materials, climates and durations by their k_mod over that of wood.
        """
        return self.make.time_share


@kept(JOINT_RULES)
def _embedment(make: WoodMake, diameter: float) -> float:
    return embedment_mpa(make.material.kind, diameter, density_k=make.density_k, thickness=make.thickness)


def wood_of(body: Member, climate: int, duration: str) -> Wood:
    """A body as its wood. Raises: InputError for a climate its material can not stand in."""
    board = body.form.as_board
    thick = board.thickness if board is not None else min(body.form.blank_mm)
    make = make_of(body.material, thick, climate, duration)
    return Wood(body.label, make, body.direction(0), body.direction(2))


def joint_k_mod(*woods: Wood) -> float:
    """k_mod of a joint: the root of the product of both (EN 1995-1-1 2.3.2.1(2), from memory)."""
    return sqrt(woods[0].make.k_mod * woods[-1].make.k_mod)


def design(characteristic: float, *woods: Wood) -> float:
    """A characteristic value as what the load may be: x k_mod / gamma_M / the factor on loads."""
    return characteristic * joint_k_mod(*woods) / joint_value("gamma connection") / LOAD_FACTOR
