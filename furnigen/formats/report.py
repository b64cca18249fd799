"""The report of a piece: all that a maker or a program may ask about it, as plain data."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from furnigen import __version__
from furnigen.catalogue.materials import find_material
from furnigen.construction.wood_movement import seasonal_movement
from furnigen.core.facts import words_of
from furnigen.core.finding import Finding
from furnigen.core.pose import Box
from furnigen.formats.hardware_list import placed_rows
from furnigen.formats.report_construction import assembly_rows, joint_rows, load_path_rows, movement_rows
from furnigen.formats.report_strength import board_rows, strength_rows
from furnigen.parts.mass import mass_kg
from furnigen.parts.volume.moments import volume_mm3
from furnigen.piece.description import Piece

if TYPE_CHECKING:
    from furnigen.checks.construction import ConstructionChecks
    from furnigen.checks.solids import SolidChecks
    from furnigen.strength.assess import LoadedBoards, Strength

Json = dict[str, Any]

SAFETY_NOTE = (
    "Results are estimates, not certification. Anchor tall or leaning pieces to the wall, do not overload"
    " shelves, guard blades and wear eye protection when cutting. Local codes and licensed practice decide."
)
DIGITS = 6
"""Decimals kept in a report: a millionth of a millimetre, steady against the last bits of a sum."""


_PLAIN = frozenset({str, int, bool, type(None)})
_LISTS = (list, tuple)


class _Rounded(dict[float, float]):
    """The numbers of one report, each to DIGITS decimals: most occur in it many times."""

    def __missing__(self, value: float) -> float:
        found = self[value] = round(value, DIGITS) + 0.0
        return found


def rounded_for_report(value: Any) -> Any:
    """A report's values as plain data, with every number to DIGITS decimals."""
    return _rounded(value, _Rounded())


def _rounded(value: Any, numbers: _Rounded) -> Any:
    kept: Any
    items: Iterable[tuple[Any, Any]]
    if isinstance(value, dict):
        kept, items = value.copy(), value.items()
    elif isinstance(value, _LISTS):
        kept, items = list(value), enumerate(value)
    else:
        return float(round(value, DIGITS)) + 0.0 if isinstance(value, float) else value
    # a report has tens of thousands of values: plain ones stay as they were copied
    for key, inner in items:
        if type(inner) is float:
            kept[key] = numbers[inner]
        elif type(inner) not in _PLAIN:
            kept[key] = _rounded(inner, numbers)
    return kept


def _box(box: Box) -> Json:
    return {"min": list(box.lo), "max": list(box.hi)}


def finding_row(f: Finding) -> Json:
    """One check as the report writes it."""
    return {
        "name": f.name,
        "title": f.title or f.name,
        "status": f.status,
        "value": f.value,
        "limit": f.limit,
        "limit_is": None if f.limit is None else "least" if f.least else "most",
        "unit": f.unit,
        "where": f.where,
        "labels": list(f.labels),
        "source": f.source,
        "remedy": f.remedy,
        "used": f.used,
    }


def _parts(piece: Piece) -> list[Json]:
    rows = []
    for part, quantity in zip(piece.parts, piece.quantities, strict=True):
        length, width, thickness = part.form.blank_mm
        material = find_material(part.stock.material)
        rows.append(
            {
                "name": part.name,
                "quantity": quantity,
                "form": part.form.kind,
                "length": length,
                "width": width,
                "thickness": thickness,
                "material": material.name,
                "stock": part.stock.name,
                "density_kg_m3": material.density_kg_m3,
                "volume_mm3": volume_mm3(part),
                "mass_kg": mass_kg(part),
                "hand": part.hand,
            }
        )
    return rows


def _pitches(piece: Piece) -> list[Json]:
    return [
        {"what": p.what, "axis": p.axis, "first_mm": p.first_mm, "step_mm": p.step_mm, "count": p.count}
        for p in piece.pitches
    ]


def piece_report(piece: Piece, findings: Iterable[Finding], files: Sequence[str], units: str = "mm") -> Json:
    """The report of a piece; values are in millimetres whatever `units` a person reads.

    Args:
        files: names of the files that go with it.
        units: "mm" or "in": how lists and tables of this result show lengths.
    """
    parts = _parts(piece)
    return rounded_for_report(  # type: ignore[no-any-return]
        {
            "furnigen": __version__,
            "recipe": piece.name,
            "title": piece.title,
            "params": dict(piece.parameters),
            "units": "mm",
            "shown_units": units,
            "parts": parts,
            "placements": [
                {
                    "label": p.label,
                    "part": piece.part_of(p).name,
                    "role": p.role,
                    "facts": words_of(p.facts),
                    "path": list(p.path),
                    "pose": p.pose.matrix(),
                    "bounds_mm": _box(piece.bounds_of(p)),
                }
                for p in piece.placements
            ],
            "openings": [
                {
                    "label": o.label,
                    "clear_mm": list(o.clear_mm),
                    "box_mm": _box(o.box),
                    "bounded_by": dict(o.bounded_by),
                }
                for o in piece.openings
            ],
            "legs": [
                {
                    "part": piece.parts[n.part].name,
                    "rake_deg": n.rake,
                    "splay_deg": n.splay,
                    "resultant_deg": n.resultant,
                    "sightline_deg": n.sightline,
                    "drill_guide_deg": n.drill_guide,
                    "axis_length_mm": n.axis_length,
                    "blank_length_mm": n.blank_length,
                }
                for n in piece.legs
            ],
            **({"pitches": _pitches(piece)} if piece.pitches else {}),
            "bounds_mm": _box(piece.bounds),
            "mass_kg": sum(p["mass_kg"] * p["quantity"] for p in parts),
            "checks": [finding_row(f) for f in findings],
            "safety": SAFETY_NOTE,
            "files": sorted(files),
        }
    )


def solid_report(solid: SolidChecks) -> Json:
    """What the mesh checks measured: overlaps, contacts, what stands on floor and walls."""
    return rounded_for_report(  # type: ignore[no-any-return]
        {
            "overlaps": [
                {
                    "a": o.a,
                    "b": o.b,
                    "volume_mm3": o.volume_mm3,
                    "centre_mm": o.centre,
                    "min": o.lo,
                    "max": o.hi,
                }
                for o in solid.interference.overlaps
            ],
            "contacts": [
                {"a": c.a, "b": c.b, "area_mm2": c.area_mm2, "normal": c.normal, "centre_mm": c.centre}
                for c in solid.contacts
            ],
            "stands_on": [
                {"label": g.label, "ground": g.ground, "area_mm2": g.area_mm2, "outline_mm": g.outline}
                for g in solid.support.grounded
            ],
        }
    )


def building_report(piece: Piece, building: ConstructionChecks) -> Json:
    """How the piece is built: joints, hardware, load path, order of assembly, movement of its wood."""
    return rounded_for_report(  # type: ignore[no-any-return]
        {
            "joints": joint_rows(piece),
            "hardware": placed_rows(piece),
            "load_path": load_path_rows(building.path),
            "assembly": assembly_rows(piece, building.assembly),
            "movement": movement_rows(seasonal_movement(piece), building.held),
        }
    )


def strength_report(strength: Strength | None, remedies: Iterable[Json] = ()) -> Json:
    """What the loads do to the piece; no strength where part of the piece is not carried."""
    return rounded_for_report(  # type: ignore[no-any-return]
        {"strength": strength_rows(strength) if strength else None, "remedies": list(remedies)}
    )


def sag_report(on: LoadedBoards | None, remedies: Iterable[Json] = ()) -> Json:
    """What the loads do to the boards alone."""
    return rounded_for_report(  # type: ignore[no-any-return]
        {"strength": board_rows(on) if on else None, "remedies": list(remedies)}
    )


# a report is a tree: no value need be looked for within itself
_ENCODER = json.JSONEncoder(ensure_ascii=False, allow_nan=False, check_circular=False)
_DEEPEST = 2
"""Levels of headings; below them a row of a table is a line."""


def _laid_out(value: Any, level: int = 0) -> str:
    pad = " " * (level + 1)
    if isinstance(value, dict) and value and level < _DEEPEST:
        rows = [f"{pad}{_ENCODER.encode(k)}: {_laid_out(v, level + 1)}" for k, v in value.items()]
        return "{\n" + ",\n".join(rows) + f"\n{pad[1:]}}}"
    if isinstance(value, list) and value and isinstance(value[0], dict | list):
        return "[\n" + ",\n".join([pad + _ENCODER.encode(row) for row in value]) + f"\n{pad[1:]}]"
    return _ENCODER.encode(value)


def json_bytes(data: Json) -> bytes:
    """A report as UTF-8 JSON, keys in the order they were written, a line for each row of its tables."""
    # a file name need not be text: bytes that are no text become escapes, from which the name can be restored
    return (_laid_out(data) + "\n").encode("utf-8", "backslashreplace")
