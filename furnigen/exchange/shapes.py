"""Which solids, sheets and curves the shapes of a STEP file hold, and how far each solid reaches."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field

from furnigen.exchange.part21 import ExchangeFile
from furnigen.exchange.units import Unit, length_unit

SOLIDS = (
    "MANIFOLD_SOLID_BREP",
    "BREP_WITH_VOIDS",
    "FACETED_BREP",
    "ADVANCED_BREP",
    "CSG_SOLID",
    "EXTRUDED_AREA_SOLID",
    "EXTRUDED_FACE_SOLID",
    "REVOLVED_AREA_SOLID",
    "REVOLVED_FACE_SOLID",
    "SURFACE_CURVE_SWEPT_AREA_SOLID",
    "SWEPT_DISK_SOLID",
    "SOLID_REPLICA",
    "BLOCK",
    "RIGHT_CIRCULAR_CYLINDER",
    "RIGHT_CIRCULAR_CONE",
    "SPHERE",
    "TORUS",
    "TESSELLATED_SOLID",
)
SHEETS = (
    "SHELL_BASED_SURFACE_MODEL",
    "FACE_BASED_SURFACE_MODEL",
    "GEOMETRIC_SET",
    "TESSELLATED_SHELL",
    "TESSELLATED_SURFACE_SET",
)
CURVES = (
    "GEOMETRIC_CURVE_SET",
    "EDGE_BASED_WIREFRAME_MODEL",
    "SHELL_BASED_WIREFRAME_MODEL",
    "TESSELLATED_CURVE_SET",
)
_OF_PRODUCT = "SHAPE_DEFINITION_REPRESENTATION"
_SHAPE = "PRODUCT_DEFINITION_SHAPE"
_CONTEXT_DEPENDENT = "CONTEXT_DEPENDENT_SHAPE_REPRESENTATION"
_SAME_SHAPE = "SHAPE_REPRESENTATION_RELATIONSHIP"
_RELATED = "REPRESENTATION_RELATIONSHIP"
_MOVED = "REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION"
_BOUNDARY = frozenset(
    {
        "CLOSED_SHELL",
        "OPEN_SHELL",
        "ORIENTED_CLOSED_SHELL",
        "ADVANCED_FACE",
        "FACE_SURFACE",
        "FACE",
        "FACE_BOUND",
        "FACE_OUTER_BOUND",
        "EDGE_LOOP",
        "VERTEX_LOOP",
        "POLY_LOOP",
        "ORIENTED_EDGE",
        "EDGE_CURVE",
        "EDGE",
        "VERTEX_POINT",
    }
)
_BESIDE = frozenset(
    {
        "AXIS1_PLACEMENT",
        "AXIS2_PLACEMENT_2D",
        "AXIS2_PLACEMENT_3D",
        "CARTESIAN_POINT",
        "DIRECTION",
        "LINE",
        "CIRCLE",
        "ELLIPSE",
        "POLYLINE",
        "TRIMMED_CURVE",
        "COMPOSITE_CURVE",
        "BOUNDED_CURVE",
        "B_SPLINE_CURVE",
        "B_SPLINE_CURVE_WITH_KNOTS",
        "PLANE",
        "B_SPLINE_SURFACE",
        "STYLED_ITEM",
        "OVER_RIDING_STYLED_ITEM",
        "REPRESENTATION_ITEM",
        "GEOMETRIC_REPRESENTATION_ITEM",
        "VERTEX_POINT",
        "EDGE_CURVE",
        "ADVANCED_FACE",
        "CARTESIAN_TRANSFORMATION_OPERATOR_3D",
    }
)
"""What may stand in a shape beside its solids, and fills no space."""
_DEEPEST_MAPS = 200
"""Mapped items within mapped items; the kernel itself goes no deeper."""


@dataclass(frozen=True)
class Held:
    """What a shape holds: how often each solid, sheet or set of curves, by number."""

    solids: Counter[int] = field(default_factory=Counter)
    sheets: Counter[int] = field(default_factory=Counter)
    curves: Counter[int] = field(default_factory=Counter)

    def add(self, other: Held) -> None:
        """Take in what another shape holds."""
        self.solids.update(other.solids)
        self.sheets.update(other.sheets)
        self.curves.update(other.curves)


@dataclass(frozen=True)
class Extent:
    """How far a solid reaches in its own frame, by its corners.

    Attributes:
        faces: how many it has.
        size_mm: of the box about its corners (mm); None without corners, or with one that can not be read.
        unit: its unit of length; None where its context states none.
        farthest_mm: the largest coordinate of a corner, whatever its sign (mm).
    """

    faces: int
    size_mm: tuple[float, float, float] | None
    unit: Unit | None
    farthest_mm: float = 0.0


class Shapes:
    """The representations of a file and what relates them.

    Attributes:
        of_product: the representations of each product definition.
        placements: for each usage, the pairs of representations that place it.
        relations: for each usage, the relationships that place it.
        faults: what can not be followed, a clause each.
    """

    def __init__(self, file: ExchangeFile) -> None:
        self._file = file
        self.of_product: dict[int, list[int]] = {}
        self.placements: dict[int, list[tuple[int, int]]] = {}
        self.relations: dict[int, list[int]] = {}
        self.faults: list[str] = []
        self._same: dict[int, list[int]] = {}
        self._parts: dict[int, list[int]] = {}
        self._context: dict[int, int | None] = {}
        self._known: dict[int, Held] = {}
        self._relate()
        for number in file.of(_OF_PRODUCT):
            shape, representation = (file.reference(number, _OF_PRODUCT, at) for at in (0, 1))
            of = file.reference(shape, _SHAPE, 2) if shape is not None else None
            if of is None or representation is None:
                # the shape of a mere feature is no product's: it says so by another kind
                if representation is None or shape is None or _SHAPE in file.values(shape):
                    self.faults.append(f"the shape #{number} is of no product, or of one that is not there")
            else:
                found = self.of_product.setdefault(of, [])
                found += [r for r in self._all_same(representation) if r not in found]

    def _relate(self) -> None:
        file, used = self._file, set()
        for number in file.of(_CONTEXT_DEPENDENT):
            relation, shape = (file.reference(number, _CONTEXT_DEPENDENT, at) for at in (0, 1))
            usage = file.reference(shape, _SHAPE, 2) if shape is not None else None
            pair = self._pair(relation) if relation is not None else None
            if relation is None or usage is None or pair is None:
                self.faults.append(f"the placement #{number} is of nothing that is there")
                continue
            used.add(relation)
            self.placements.setdefault(usage, []).append(pair)
            self.relations.setdefault(usage, []).append(relation)
        for number in file.of(_SAME_SHAPE):
            pair = None if number in used else self._pair(number)
            if pair is None:
                continue
            a, b = pair
            if _MOVED in file.values(number):
                self._parts.setdefault(b, []).append(a)
            else:
                self._same.setdefault(a, []).append(b)
                self._same.setdefault(b, []).append(a)

    def _pair(self, relation: int) -> tuple[int, int] | None:
        for kind in (_RELATED, _SAME_SHAPE):
            a, b = (self._file.reference(relation, kind, at) for at in (2, 3))
            if a is not None and b is not None:
                return a, b
        return None

    def _all_same(self, representation: int) -> list[int]:
        """A representation and all that show the same shape."""
        found, waiting = {representation: None}, [representation]
        while waiting:
            for other in self._same.get(waiting.pop(), ()):
                if other not in found:
                    found[other] = None
                    waiting.append(other)
        return list(found)

    def items(self, representation: int) -> list[int]:
        """The items of a representation; its context is noted for each of them."""
        for values in self._file.values(representation).values():
            if len(values) > 2 and isinstance(values[1], list):
                named = [int(i) for i in values[1] if isinstance(i, int)]
                items = [i for i in named if i in self._file.rows]
                if len(items) < len(named) and representation not in self._context:
                    self.faults.append(f"the shape #{representation} names an item that is not there")
                context = int(values[2]) if isinstance(values[2], int) else None
                self._context.setdefault(representation, context)
                for item in items:
                    self._context.setdefault(item, context)
                return items
        return []

    def mapped_in(self, representations: Iterable[int]) -> list[int]:
        """The representations that mapped items of some others place there."""
        return [m for r in representations for i in self.items(r) if (m := self._mapped(i)) is not None]

    def _mapped(self, item: int) -> int | None:
        source = self._file.reference(item, "MAPPED_ITEM", 1)
        return None if source is None else self._file.reference(source, "REPRESENTATION_MAP", 1)

    def held(self, representations: Iterable[int], depth: int = 0) -> Held:
        """What some representations of one shape hold together; an item that several name counts once."""
        found = Held()
        items: dict[int, None] = {}
        for representation in representations:
            items.update(dict.fromkeys(self.items(representation)))
            for part in self._parts.get(representation, ()):
                found.add(self._one(part, depth + 1))
        for item in items:
            mapped = self._mapped(item)
            if mapped is not None:
                found.add(self._one(mapped, depth + 1))
            elif not self._counted(item, found) and self._file.kind(item) not in _BESIDE:
                kinds = (
                    self._file.kind(item)
                    or " and ".join(self._file.values(item))
                    or "row that can not be read"
                )
                self.faults.append(f"the item #{item} of a shape is a {kinds}")
        return found

    def _one(self, representation: int, depth: int) -> Held:
        if depth > _DEEPEST_MAPS:
            return Held()
        if representation not in self._known:
            self._known[representation] = Held()  # what maps itself ends here
            self._known[representation] = self.held(self._all_same(representation), depth)
        return self._known[representation]

    def _counted(self, item: int, found: Held) -> bool:
        values = self._file.values(item)
        if "TESSELLATED_SOLID" in values and self._file.value(item, "TESSELLATED_SOLID", 2) is not None:
            return True  # a picture of another solid, which it names
        for kinds, counted in ((SOLIDS, found.solids), (SHEETS, found.sheets), (CURVES, found.curves)):
            if any(kind in values for kind in kinds):
                counted[item] += 1
                return True
        return _BESIDE.isdisjoint(values) is False

    def all_solids(self) -> list[int]:
        """The numbers of all solids with a boundary that the file has, whether a product has them or not."""
        return list(dict.fromkeys(self._file.of(*SOLIDS[:4])))

    def extent(self, solid: int) -> Extent:
        """How far a solid reaches, by its own corners and its own unit."""
        file = self._file
        points, seen, waiting, faces = set(), {solid}, [solid], 0
        while waiting:
            number = waiting.pop()
            kinds = file.values(number) if number == solid else _kinds(file, number)
            faces += any(kind in kinds for kind in ("ADVANCED_FACE", "FACE_SURFACE", "FACE"))
            corner = "VERTEX_POINT" in kinds or "POLY_LOOP" in kinds
            for other in file.references(number)[1:]:
                if other in seen or other not in file.rows:
                    continue
                seen.add(other)
                inner = _kinds(file, other)
                if corner and "CARTESIAN_POINT" in inner:
                    points.add(other)
                elif not _BOUNDARY.isdisjoint(inner):
                    waiting.append(other)
        unit = length_unit(file, self._context.get(solid))
        return _extent(file, points, faces, unit)


def _kinds(file: ExchangeFile, number: int) -> Collection[str]:
    kind = file.kind(number)
    return (kind,) if kind else file.values(number)


def _extent(file: ExchangeFile, points: Collection[int], faces: int, unit: Unit | None) -> Extent:
    places = [file.value(p, "CARTESIAN_POINT", 1) for p in points]
    scale = unit.mm if unit else 1.0
    if not places or not all(
        isinstance(p, list) and len(p) == 3 and all(isinstance(c, float) for c in p) for p in places
    ):
        return Extent(faces, None, unit, math.inf if places else 0.0)
    axes = list(zip(*places, strict=True))
    x, y, z = ((max(axis) - min(axis)) * scale for axis in axes)
    return Extent(faces, (x, y, z), unit, max(abs(c) for axis in axes for c in axis) * scale)
