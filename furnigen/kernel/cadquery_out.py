"""Parts and pieces as CadQuery's own objects, for authors who go on from there."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, overload

from furnigen.catalogue.materials import find_material
from furnigen.core.errors import InputError, kind_of
from furnigen.kernel.solids import solid, solids
from furnigen.kernel.start import load
from furnigen.kernel.step import KG_M3_PER_G_CM3, pose_location
from furnigen.parts.part import Part
from furnigen.piece.description import Piece, Placement, free_name, require_piece

if TYPE_CHECKING:
    from cadquery import Assembly, Solid


@overload
def to_cadquery(what: Piece) -> Assembly: ...


@overload
def to_cadquery(what: Part) -> Solid: ...


def to_cadquery(what: Piece | Part) -> Assembly | Solid:
    """A piece as a `cadquery.Assembly`, or one part as a `cadquery.Solid`.

    The assembly has the tree of the placements' paths; each placement is a child called by its label, at its
    place, in its material's colour, with the material's name and density. Copies of a part are one Shape
    object. What each is cut from stands in its `metadata`: "part", "stock", "role". An assembly whose name
    a placement has already is called NAME (2).

    Args:
        what: a piece from a recipe or from `Draft.done`, or one of its parts.

    Returns: the assembly, mm, floor z = 0; of a part its solid in the part's own frame, length along x, width
        along y, thickness along z.

    Raises:
        InputError: what is neither.
        GeometryError: a part can not be made, or CadQuery can not start.

    >>> from furnigen import find_recipe, to_cadquery
    >>> crates = to_cadquery(find_recipe("crate_wall")())
    >>> crates.name, crates.children[0].name
    ('crate_wall', 'side.left')
    >>> box = crates.toCompound().BoundingBox()
    >>> round(box.xlen), round(box.ylen), round(box.zlen)
    (1200, 250, 900)
    """
    if isinstance(what, Part):
        made: Solid = load().Solid(solid(what))
        return made
    if not isinstance(what, Piece) and not callable(what):
        raise InputError("piece", kind_of(what), "must be a Piece or one of its parts")
    require_piece(what)
    return _Assembling(what).made()


class _Assembling:
    """An assembly in the making."""

    def __init__(self, piece: Piece) -> None:
        self._cadquery = load()
        self._piece = piece
        self._shapes = [self._cadquery.Solid(shape) for shape in solids(piece)]

    def made(self) -> Assembly:
        piece = self._piece
        labels = {p.label for p in piece.placements}
        whole: Assembly = self._level(free_name(piece.name, labels), list(piece.placements), 0, labels)
        return whole

    def _level(self, name: str, placements: list[Placement], depth: int, taken: set[str]) -> Any:
        """The assembly of what lies in one path, in the order it was placed.

        Args:
            depth: how many names of their paths led here.
            taken: names that are no more free; added to.
        """
        taken.add(name)
        level = self._cadquery.Assembly(name=name)
        inner: dict[str, list[Placement]] = {}
        for p in placements:
            if len(p.path) > depth:
                inner.setdefault(p.path[depth], []).append(p)
        for p in placements:
            if len(p.path) == depth:
                self._add(level, p)
            elif inner[p.path[depth]][0] is p:
                own = free_name(p.path[depth], taken)
                level.add(self._level(own, inner[p.path[depth]], depth + 1, taken))
        return level

    def _add(self, level: Any, placement: Placement) -> None:
        part = self._piece.part_of(placement)
        material = find_material(part.stock.material)
        kinds = self._cadquery.occ_impl.assembly
        level.add(
            self._shapes[placement.part],
            name=placement.label,
            loc=self._cadquery.Location(pose_location(placement.pose)),
            color=self._cadquery.Color(*material.colour, 1.0, False),  # linear
            material=kinds.Material(
                material.name,
                description=material.title,
                density=material.density_kg_m3 / KG_M3_PER_G_CM3,
                densityUnit="g/cm^3",
            ),
            metadata={"part": part.name, "stock": part.stock.name, "role": placement.role},
        )
