"""How much solid wood swells and shrinks over the seasons, and where a joint holds it from doing so.

Wood moves across its grain with its moisture content, and hardly along it. Plywood, fibreboard and
particleboard are taken as still: their layers or fibres hold each other (0.1 to 0.3 mm in a metre over the
usual range, common practice, no source).

Source of the formulas: USDA Wood Handbook (FPL-GTR-190), chapters 4 and 13.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING

from furnigen.catalogue.materials import Material, find_material, list_materials
from furnigen.core.errors import InputError
from furnigen.core.pose import Box, Vector, cross, dot, unit
from furnigen.joints.joint import Joint
from furnigen.piece.description import Piece, Placement

if TYPE_CHECKING:
    from furnigen.mesh.contacts import Contact, Patch

USUAL_RANGE_PCT = (6.0, 12.0)
"""Moisture content of wood in a heated home over the year, percent. Common practice, no source."""
SOLID_KINDS = ("hardwood", "softwood")
CUTS = ("flat", "quarter")
LEAST_MM = 1e-6
"""Movement below this is rounding, mm."""
LINEAR_PCT = (6.0, 14.0)
"""Range of moisture content in which Eq. 13-2 holds, percent."""
FIBRE_SATURATION_PCT = 30.0
"""Above this moisture content wood moves no more, percent (Wood Handbook, chapter 4)."""


def _checked_moisture(from_pct: float, to_pct: float, least: float, most: float) -> None:
    for value in (from_pct, to_pct):
        if not least <= value <= most:
            raise InputError("moisture content", f"{value:g} %", f"must be from {least:g} to {most:g} %")


def size_change_mm(size_mm: float, coefficient: float, from_pct: float, to_pct: float) -> float:
    """Change of a size across the grain, mm; positive when the wood swells.

    size x coefficient x (to - from). Wood Handbook Eq. 13-2: size at 10 % moisture, both moistures within
    6 to 14 %, about 5 % accurate.

    Args:
        size_mm: the size across the grain, mm.
        coefficient: per unit of size and percent of moisture: tangential for flat-sawn boards, radial for
            quarter-sawn ones.
        from_pct, to_pct: moisture content before and after, percent.

    Raises: InputError for moisture outside 6 to 14 %.

    >>> round(size_change_mm(232.0, 0.00245, 8.0, 11.0), 1)
    1.7
    """
    _checked_moisture(from_pct, to_pct, *LINEAR_PCT)
    return size_mm * coefficient * (to_pct - from_pct)


def size_change_wide_mm(size_mm: float, shrinkage_pct: float, from_pct: float, to_pct: float) -> float:
    """Change of a size across the grain over a wide range of moisture, mm; positive when the wood swells.

    size (to - from) / (30 x 100 / S - 30 + from). Wood Handbook Eq. 13-3 (its exact form from memory).

    Args:
        size_mm: the size at `from_pct`, mm.
        shrinkage_pct: shrinkage from green to oven-dry, percent: tangential or radial.
        from_pct, to_pct: moisture content before and after, percent, 0 to 30.

    Raises: InputError for moisture outside 0 to 30 %, or no shrinkage.
    """
    _checked_moisture(from_pct, to_pct, 0.0, FIBRE_SATURATION_PCT)
    if not 0.0 < shrinkage_pct < 100.0:
        raise InputError("shrinkage", f"{shrinkage_pct:g} %", "must be from 0 to 100 %")
    full = FIBRE_SATURATION_PCT * 100.0 / shrinkage_pct
    return size_mm * (to_pct - from_pct) / (full - FIBRE_SATURATION_PCT + from_pct)


def equilibrium_moisture_pct(celsius: float, humidity_pct: float) -> float:
    """Moisture content that wood comes to in steady air, percent.

    Hailwood and Horrobin's sorption isotherm, Wood Handbook Eq. 4-5.

    Args:
        celsius: temperature of the air, °C.
        humidity_pct: relative humidity, percent.

    Raises: InputError for humidity outside 0 to 100 %.

    >>> round(equilibrium_moisture_pct(20.0, 50.0), 3)
    9.271
    """
    if not 0.0 <= humidity_pct <= 100.0:
        raise InputError("relative humidity", f"{humidity_pct:g} %", "must be from 0 to 100 %")
    t, h = celsius, humidity_pct / 100.0
    w = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * h
    dissolved = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return 1800 / w * (kh / (1 - kh) + dissolved)


@dataclass(frozen=True, slots=True)
class CrossStrain:
    """Swelling across the grain over a range of moisture.

    Attributes:
        value: change per unit of size.
        source: where its coefficient comes from, and which formula made it.
    """

    value: float
    source: str


NO_MOVEMENT = CrossStrain(0.0, "sheet goods and metals are taken as still")


def cross_strain(
    material: Material, range_pct: tuple[float, float] = USUAL_RANGE_PCT, cut: str = "flat"
) -> CrossStrain:
    """How much a material swells across its grain from the driest to the dampest of the year.

    Args:
        range_pct: lowest and highest moisture content, percent.
        cut: "flat" (the worse, and the usual) or "quarter" sawn.

    Returns: zero for anything but solid wood. Solid wood without a published coefficient gets the largest
    of its kind, and the source says so.

    Raises: InputError for an unknown cut, or a range that is no range.
    """
    if cut not in CUTS:
        raise InputError("cut of the board", cut, f"must be one of {', '.join(CUTS)}")
    low, high = range_pct
    if not 0.0 <= low < high <= FIBRE_SATURATION_PCT:
        allowed = f"must rise, from 0 to {FIBRE_SATURATION_PCT:g} %"
        raise InputError("range of moisture", f"{low:g} to {high:g} %", allowed)
    if material.kind not in SOLID_KINDS:
        return NO_MOVEMENT
    known = _published(material, low, high, cut)
    if known is not None:
        return known
    alike = [_published(m, low, high, cut) for m in list_materials(material.kind)]
    worst = max((s for s in alike if s is not None), key=lambda s: s.value)
    return CrossStrain(
        worst.value,
        f"no coefficient of {material.title} is known: largest of any {material.kind}, {worst.source}",
    )


def _published(material: Material, low: float, high: float, cut: str) -> CrossStrain | None:
    coefficient = material.ct if cut == "flat" else material.cr
    shrinkage = material.shrink_tangential_pct if cut == "flat" else material.shrink_radial_pct
    linear = LINEAR_PCT[0] <= low and high <= LINEAR_PCT[1]
    if linear and coefficient is not None and material.movement_source is not None:
        return CrossStrain(
            size_change_mm(1.0, coefficient, low, high),
            f"{material.movement_source.text}; Wood Handbook Eq. 13-2",
        )
    if shrinkage is not None and material.shrink_source is not None:
        return CrossStrain(
            size_change_wide_mm(1.0, shrinkage, low, high),
            f"{material.shrink_source.text}; Wood Handbook Eq. 13-3",
        )
    return None


@dataclass(frozen=True, slots=True)
class Movement:
    """Seasonal change of one distinct part of solid wood.

    Attributes:
        part: its name.
        width_mm: its size across the grain, mm.
        change_mm: how much wider it is at the damp end of the year, mm.
        source: of the coefficient and the formula.
    """

    part: str
    width_mm: float
    change_mm: float
    source: str


def _strains(piece: Piece, range_pct: tuple[float, float]) -> dict[str, CrossStrain]:
    """How much each material of a piece swells, by its name."""
    names = dict.fromkeys(part.stock.material for part in piece.parts)
    return {name: cross_strain(find_material(name), range_pct) for name in names}


def seasonal_movement(piece: Piece, range_pct: tuple[float, float] = USUAL_RANGE_PCT) -> tuple[Movement, ...]:
    """Seasonal change in width of every distinct part of solid wood.

    Raises: InputError for a range that is no range.
    """
    strains = _strains(piece, range_pct)
    found = []
    for part in piece.parts:
        if find_material(part.stock.material).kind in SOLID_KINDS:
            strain = strains[part.stock.material]
            width = part.form.blank_mm[1]
            found.append(Movement(part.name, width, width * strain.value, strain.source))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Restraint:
    """Wood that something holds from moving across its grain.

    Attributes:
        how: "glued", "fastened" (by screws, dowels, bolts), or "trapped" (between two faces, without a gap).
        label: the placement whose wood moves.
        by: labels of what holds it.
        along: unit vector of the movement, in the room.
        extent_mm: length over which it is held, mm.
        movement_mm: how much more it moves than what holds it, over that length, mm.
        source: of the coefficients and formulas.
    """

    how: str
    label: str
    by: tuple[str, ...]
    along: Vector
    extent_mm: float
    movement_mm: float
    source: str


def find_restraints(
    piece: Piece, contacts: Iterable[Contact], range_pct: tuple[float, float] = USUAL_RANGE_PCT
) -> tuple[Restraint, ...]:
    """Every joint that holds wood from moving across its grain, and every board shut in without a gap.

    Args:
        contacts: which placements touch, from `furnigen.checks.solids` or `furnigen.mesh.light_mesh`.

    Raises: InputError for a range that is no range.
    """
    faces = {(c.a, c.b): c for c in contacts}
    strains = _strains(piece, range_pct)
    boards = {p.label: _Board.of(piece, p, strains) for p in piece.placements}
    found = []
    for joint in piece.joints:
        if joint.a in boards and joint.b in boards:
            face = faces.get((joint.a, joint.b)) or faces.get((joint.b, joint.a))
            held = _held_by_joint(joint, face, boards[joint.a], boards[joint.b])
            if held is not None:
                found.append(held)
    return (*found, *_trapped(piece, faces, boards))


@dataclass(frozen=True, slots=True)
class _Board:
    label: str
    grain: Vector
    strain: CrossStrain

    @staticmethod
    def of(piece: Piece, placement: Placement, strains: Mapping[str, CrossStrain]) -> _Board:
        part = piece.part_of(placement)
        grain = placement.pose.turn(part.form.grain)
        return _Board(placement.label, grain, strains[part.stock.material])

    @property
    def still(self) -> bool:
        """Whether it does not move, as sheet goods."""
        return self.strain.value == 0.0

    def strain_along(self, way: Vector) -> float:
        """Swelling along any unit vector: strain turns as a tensor, and along the grain it is nothing."""
        return self.strain.value * (1.0 - dot(way, self.grain) ** 2)


def _held_by_joint(joint: Joint, face: Contact | None, a: _Board, b: _Board) -> Restraint | None:
    """What one joint holds, along whichever way the two differ most."""
    if a.still and b.still:
        return None
    sites = [site for f in joint.fasteners if f.kind.holds_fast for site, _ in f.sites]
    if joint.glued and face is not None:
        how, points = "glued", [corner for p in face.patches for corner in _corners(p)]
    elif len(sites) > 1:
        how, points = "fastened", sites
    else:
        return None
    normal = face.normal if face is not None else joint.home
    best: tuple[float, float, Vector] | None = None
    for way in _ways_between(a.grain, b.grain, normal):
        reach = [dot(way, p) for p in points]
        extent = max(reach) - min(reach)
        moves = abs(a.strain_along(way) - b.strain_along(way)) * extent
        if best is None or moves > best[0] + 1e-12:
            best = (moves, extent, way)
    if best is None or best[0] < LEAST_MM:
        return None
    moves, extent, way = best
    mover, holder = (a, b) if a.strain_along(way) > b.strain_along(way) else (b, a)
    return Restraint(how, mover.label, (holder.label,), way, extent, moves, mover.strain.source)


def _corners(patch: Patch) -> list[Vector]:
    return Box(patch.lo, patch.hi).corners()


def _ways_between(one: Vector, other: Vector, normal: Vector | None) -> list[Vector]:
    """Ways in the joint's plane along and across the grain of either board."""
    candidates = [one, other]
    if normal is not None:
        candidates += [cross(normal, one), cross(normal, other)]
        flat = []
        for v in candidates:
            out = dot(v, normal)
            flat.append((v[0] - out * normal[0], v[1] - out * normal[1], v[2] - out * normal[2]))
        candidates = flat
    # a direction that nearly vanishes in the plane is none
    return [unit(v) for v in candidates if sqrt(dot(v, v)) > 0.1]


def _trapped(
    piece: Piece, faces: dict[tuple[str, str], Contact], boards: dict[str, _Board]
) -> list[Restraint]:
    """Boards that touch something on either side across their width, and are fixed to neither."""
    fixed = {frozenset((j.a, j.b)) for j in piece.joints if j.glued or j.fasteners}
    near: dict[str, list[tuple[str, Patch, float]]] = {label: [] for label in boards}
    for (a, b), contact in faces.items():
        if frozenset((a, b)) in fixed:
            continue
        for patch in contact.patches:
            near[a].append((b, patch, -1.0))
            near[b].append((a, patch, 1.0))
    found = []
    for placement in piece.placements:
        board = boards[placement.label]
        if board.still:
            continue
        across = placement.pose.turn((0.0, 1.0, 0.0))
        low: list[tuple[float, str]] = []
        high: list[tuple[float, str]] = []
        for other, patch, sign in near[placement.label]:
            facing = dot(across, patch.normal) * sign
            if abs(facing) > 0.999:
                (low if facing > 0 else high).append((dot(across, patch.centre), other))
        if low and high:
            (start, first), (end, second) = min(low), max(high)
            extent = end - start
            if extent > 0.0:
                by = tuple(dict.fromkeys((first, second)))
                moves = extent * board.strain_along(across)
                found.append(
                    Restraint("trapped", board.label, by, across, extent, moves, board.strain.source)
                )
    return found
