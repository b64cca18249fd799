"""The Python face of the pipeline: `furnigen.build`, `furnigen.check` and `furnigen.to_trimesh`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from furnigen.checks.fit import read_limits
from furnigen.core.finding import Finding
from furnigen.core.progress import Sink, silent
from furnigen.piece.description import Piece, require_piece
from furnigen.pipeline.built import Built
from furnigen.pipeline.options import TOLERANCE_MM, MakeOptions
from furnigen.strength.model.demands import USUAL_LIMIT, Demands, read_loads

if TYPE_CHECKING:
    from trimesh import Scene

    from furnigen.pipeline.part_cache import PartCache


def build(
    piece: Piece,
    *,
    tolerance_mm: float = TOLERANCE_MM,
    units: str = "mm",
    picture_px: tuple[int, int] = (1200, 900),
    loads: Mapping[str, str] | None = None,
    limits: Mapping[str, float | str] | None = None,
    sag_limit: str = USUAL_LIMIT,
    climate: int = 1,
    tip_tests: Iterable[str] = (),
    with_hardware: bool = False,
    load_cases: Iterable[str] | None = None,
    on_step: Sink = silent,
) -> Built:
    """A piece to be made: solids, meshes, findings, report and files, each worked out when it is asked for.

    Args:
        piece: from a recipe, or from `Draft.done`.
        tolerance_mm: largest distance of mesh facets from curved faces, from 0.005 to 5 mm.
        units: "mm" or "in", for the lists that people read; files of solids and meshes stay as they are.
        picture_px: width and height of the picture (pixels).
        loads: what boards carry besides what the recipe says, by label, role or "all": {"shelf": "books"}.
        limits: what a brief demands, by name: {"max_width": "1.2 m"}; numbers are mm.
        sag_limit: how much boards may sag in the long run: "visible" (L/240), "L/300" ...
        climate: 1 heated rooms, 2 unheated, 3 in the weather.
        tip_tests: published test loads to tip it with, by name, or "all".
        with_hardware: screws, dowels, pins and bolts are solids in files and pictures, in a branch of the
            assembly of their own, and are checked as such.
        load_cases: what happens to it besides, by name, "all" or "none"; None for the usual ones: shoved
            empty, a child who stands on its shelves, and one who climbs them.
        on_step: is told what is being done, a few words each time.

    Returns: a `Built`; its `write` writes the files that `furnigen make` does.

    Raises: InputError for what is no piece, or a value that is not allowed.

    >>> from furnigen import build, find_recipe
    >>> built = build(find_recipe("panel_bookcase")(), loads={"all": "books"})
    >>> built
    <Built panel_bookcase: 8 parts, 17 placements>
    >>> built.report["mass_kg"] > 50
    True
    """
    require_piece(piece)
    tests = (tip_tests,) if isinstance(tip_tests, str) else tuple(tip_tests)
    cases = (load_cases,) if isinstance(load_cases, str) else load_cases
    demands = Demands(sag_limit, climate, tests, load_cases=None if cases is None else tuple(cases))
    options = MakeOptions(
        tolerance_mm=tolerance_mm,
        units=units,
        picture_px=picture_px,
        demands=demands,
        with_hardware=bool(with_hardware),
    )
    if loads:
        piece = replace(piece, loads=piece.loads + read_loads(loads.items()))
    if limits:
        known = {limit.name: limit for limit in (*piece.limits, *read_limits(limits, "mm"))}
        piece = replace(piece, limits=tuple(known.values()))
    return built_with_remedies(piece, options, on_step)


def built_with_remedies(
    piece: Piece, options: MakeOptions, on_step: Sink = silent, parts_cache: PartCache | None = None
) -> Built:
    """A piece to be made, whose failing checks come with remedies where a recipe made it.

    Args:
        parts_cache: makes its solids and meshes, for who makes one piece after the other.
    """
    from furnigen.pipeline.adviser import adviser  # numpy: not before the input is known to be good

    advise = adviser(piece, options.demands)
    return Built(piece, options, parts_cache=parts_cache, advise=advise, on_step=on_step)


def check(
    piece: Piece,
    *,
    loads: Mapping[str, str] | None = None,
    limits: Mapping[str, float | str] | None = None,
    sag_limit: str = USUAL_LIMIT,
    climate: int = 1,
    tip_tests: Iterable[str] = (),
    load_cases: Iterable[str] | None = None,
    only: Iterable[str] | None = None,
    with_hardware: bool = False,
) -> tuple[Finding, ...]:
    """All checks of a piece: the findings that `furnigen check` shows, remedies included.

    Remedies are tried where something sags too far and a recipe made the piece; a piece drawn with `Draft`
    alone, or changed since, or unpickled, has none.

    Args:
        piece: from a recipe, or from `Draft.done`.
        loads, limits, sag_limit, climate, tip_tests, load_cases: as in `build`.
        only: groups of checks: "fit", "solid", "building", "sag", "strength", "standing"; all when None. Fit,
            sag, strength and standing are quick.
        with_hardware: as in `build`; the group "solid" checks it.

    Returns: findings in a fixed order; lengths in mm, areas in mm2, as each one's `unit` says.

    Raises:
        InputError: what is no piece, or a value that is not allowed.
        GeometryError: a part can not be made; the message names it.

    >>> from furnigen import check, find_recipe
    >>> rack = find_recipe("ladder_rack")()
    >>> sag = check(rack, loads={"all": "40 kg/m"}, only=["sag"])[0]
    >>> sag.name, sag.status, sag.unit
    ('sag', 'pass', 'mm')
    """
    made = build(
        piece,
        loads=loads,
        limits=limits,
        sag_limit=sag_limit,
        climate=climate,
        tip_tests=tip_tests,
        load_cases=load_cases,
        with_hardware=with_hardware,
    )
    if only is None:
        return made.findings
    return made.findings_of((only,) if isinstance(only, str) else tuple(only))


def to_trimesh(piece: Piece, *, tolerance_mm: float = TOLERANCE_MM) -> Scene:
    """A piece as a `trimesh.Scene`: one geometry for each distinct part, one named node for each copy.

    Nodes are called as the placements are, and stand below nodes for the sub-assemblies; geometries are
    called as the parts are, closed, in their material's colour, with material and stock in their metadata.

    Args:
        piece: from a recipe, or from `Draft.done`.
        tolerance_mm: largest distance of facets from curved faces, from 0.005 to 5 mm.

    Returns: the scene, mm, Z up.

    Raises:
        InputError: what is no piece, or a tolerance out of range.
        GeometryError: a part can not be made; the message names it.

    >>> from furnigen import find_recipe, to_trimesh
    >>> scene = to_trimesh(find_recipe("crate_wall")())
    >>> scene.units, [round(size) for size in scene.extents]
    ('mm', [1200, 250, 900])
    """
    from furnigen.formats.trimesh_scene import trimesh_scene

    built = build(piece, tolerance_mm=tolerance_mm)
    return trimesh_scene(built.meshes, {part.name: part.stock.name for part in piece.parts})
