"""What the report says of strength: loads, boards, uprights, legs, feet, sway and standing, with sources."""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING, Any

from furnigen.formats.report_joints import joint_strength_rows
from furnigen.strength.formulas.column import find_end_condition, foot_mpa
from furnigen.strength.formulas.creep import CLIMATES

if TYPE_CHECKING:
    from furnigen.strength.assess import LoadedBoards, Strength
    from furnigen.strength.formulas.tipping import TippingStability
    from furnigen.strength.members.boards import Board

Json = dict[str, Any]


def _finite(value: float | None) -> float | None:
    """A number for JSON; None for infinity."""
    return value if value is not None and isfinite(value) else None


def board_rows(on: Strength | LoadedBoards) -> Json:
    """Loads and the boards under them as plain data (mm, N, N/mm²)."""
    demands = on.demands
    return {
        "demands": {
            "sag_limit": demands.limit.title,
            "sag_limit_source": demands.limit.source.text,
            "climate": demands.climate,
            "climate_words": CLIMATES[demands.climate],
            "tip_tests": list(demands.tip_tests),
            "floor_friction": demands.floor_friction,
            "wall_material": demands.wall_material,
        },
        "loads": [
            {
                "board": label,
                "load": on.load.text,
                "kg_per_m": on.load.line_kg_m,
                "kg_per_m2": on.load.area_kg_m2,
                "kg_spread": on.load.spread_kg,
                "kg_at_mm": [[h.kg, h.at_mm] for h in on.load.single_loads],
                "why": on.why,
                "assumed": not on.said,
                "source": on.load.source.text,
            }
            for label, on in on.carried.items()
        ],
        "boards": [_board(b) for b in on.boards],
    }


def strength_rows(strength: Strength) -> Json:
    """All of a piece's strength as plain data (mm, N, N/mm², kg, degrees)."""
    return board_rows(strength) | {
        "uprights": [
            {
                "label": p.label,
                "strength_class": strength.bodies[p.label].material.grade or None,
                "strength_basis": strength.bodies[p.label].material.strength_source.text,
                "from_mm": p.low,
                "to_mm": p.high,
                "axial_n": p.axial_n,
                "moment_nmm": p.moment,
                "moment_from_lean_nmm": p.from_lean,
                "ends": p.ends,
                "why": p.why_ends,
                "euler_k": find_end_condition(p.ends).used,
                "euler_k_source": find_end_condition(p.ends).source,
                "buckling_n": p.pressed.euler_n if p.pressed else None,
                "used": _finite(p.pressed.used) if p.pressed else None,
            }
            for p in strength.posts
        ],
        "legs": [
            {
                "label": leg.label,
                "foot_n": leg.foot_n,
                "axial_n": leg.leaned.axial,
                "thrust_n": leg.leaned.thrust,
                "moment_without_friction_nmm": leg.leaned.moment,
                "moment_held_nmm": leg.held,
                "friction_needed": leg.leaned.friction,
                "joint": leg.kind,
                "used": leg.used,
                "bears": [
                    {
                        "what": one.what,
                        "value": one.value,
                        "allowed": one.allowed,
                        "unit": one.unit,
                        "used": one.used,
                        "source": one.source,
                    }
                    for one in leg.bears
                ],
                "unknown": leg.unknown,
                "floor_friction": strength.demands.floor_friction,
                "thrust_for_a_stretcher_n": leg.leaned.thrust,
            }
            for leg in strength.legs
        ],
        "bearings": [
            {
                "by": p.by,
                "label": p.label,
                "newton": p.newton,
                "n_per_mm2": p.mpa,
                "allowed_n_per_mm2": p.allowed_mpa,
                "source": p.source,
            }
            for p in strength.pressures
        ],
        "joints": joint_strength_rows(strength.joints),
        "feet": [
            {
                "label": f.label,
                "ground": f.ground,
                "at_mm": f.at,
                "newton": f.newton,
                "walked_newton": f.walked,
                "newton_if_the_floor_could_pull": f.two_way,
                "contact_mm2": f.area,
                "n_per_mm2": foot_mpa(max(f.newton, 0.0), f.area),
            }
            for f in strength.feet
        ],
        "sideways": [
            {
                "way": s.way,
                "by": s.by,
                "safety": _finite(s.safety),
                "at_best": _finite(s.at_best),
                "stiffness_n_per_mm": s.racking.stiffness if s.racking else None,
                "joints_alone_n_per_mm": s.racking.joints_alone if s.racking else None,
                "panels": list(s.panels),
                "joints": s.joint,
                "would": [
                    {"what": w.what, "stiffness_n_per_mm": w.stiffness, "safety": w.safety} for w in s.would
                ],
            }
            for s in strength.sideways
        ],
        "standing": _standing(strength),
        "walls": [
            {
                "wall": w.wall,
                "parts": list(w.labels),
                "hangs": w.hangs,
                "weight_n": w.weight_n,
                "out_n": w.out_n,
                "height_mm": w.height,
                "friction_needed": w.friction,
            }
            for w in strength.walls
        ],
        "loaded_kg": strength.whole.kg,
        "loaded_centre_mm": strength.whole.at,
    }


def _board(board: Board) -> Json:
    span, result = board.span, board.result
    row: Json = {
        "label": board.label,
        "glued_with": list(span.others),
        "length_mm": span.length,
        "depth_mm": span.depth,
        "material": span.body.material.name,
        "strength_class": span.body.material.grade or None,
        "strength_basis": span.body.material.strength_source.text,
        "ei_nmm2": span.bending,
        "ei_of_the_board_alone_nmm2": span.section.bending,
        "shear": result.shelf.shear.why if result else None,
        "backs": list(span.backed),
        "supports": [
            {
                "at_mm": s.at,
                "by": list(dict.fromkeys(p.by for p in s.places)),
                "end": s.how,
                "turning_nmm_per_rad": s.turning,
                "softer_over_it_rad_per_nmm": s.neck,
                "holds_down": s.holds_down,
                "sinks_mm": sum(sunk),
                "newton": sum(force),
                "most_newton": result.most[i] if result else None,
                "least_newton": result.least[i] if result else None,
            }
            for i, (s, sunk, force) in enumerate(
                zip(span.stations, board.resting.sunk.tolist(), board.resting.force.tolist(), strict=True)
            )
        ],
    }
    if result is None:
        return row | {"sag": None}
    low, high = result.spread.range()
    row["sag"] = {
        "first_mm": result.first_mm,
        "final_mm": result.final_mm,
        "front_mm": result.across_mm[0],
        "middle_mm": result.across_mm[1],
        "rear_mm": result.across_mm[2],
        "share_of_the_board_alone": span.plate.most,
        "limit_mm": result.limit_mm,
        "used": result.used,
        "from_mm": result.segment.start,
        "to_mm": result.segment.end,
        "kind": result.segment.kind,
        "loaded": result.loaded,
        "creep_factor": result.creep.factor,
        "creep_grade": result.creep.grade,
        "creep_source": result.creep.source.text,
        "creep_note": result.creep.note,
        "nine_of_ten_mm": [low, high],
        "chance": result.chance,
    }
    row["bending"] = {
        "n_per_mm2": result.stress_mpa,
        "allowed_n_per_mm2": result.stress_allowed_mpa,
        "used": result.stress_used,
        "at_mm": result.stress_at,
    }
    shear = result.shear
    row["shear_where_cut"] = shear and {
        "n_per_mm2": shear.mpa,
        "allowed_n_per_mm2": shear.allowed_mpa,
        "used": shear.used,
        "at_mm": shear.at,
        "height_left_mm": shear.left,
        "height_mm": shear.full,
        "notch_factor_k_v": shear.factor,
    }
    row["cuts"] = [{"from_mm": c.start, "to_mm": c.end, "modulus_mm3": c.modulus} for c in span.cuts]
    return row


def _standing(strength: Strength) -> Json | None:
    stability = strength.stability
    if stability is None:
        return None

    def one(standing: TippingStability) -> Json:
        return {
            "kg": standing.kg,
            "centre_mm": standing.centre,
            "footprint_mm": [list(p) for p in standing.footprint],
            "edges": [
                {
                    "side": e.side,
                    "tilt_deg": e.tilt_degrees,
                    "inside_mm": e.inside,
                    "pull_at_top_n": _finite(e.pull_n(stability.anchor_height)),
                }
                for e in standing.edges
            ],
        }

    return {
        "empty": one(stability.empty),
        "loaded": one(stability.loaded),
        "worst_part_of_the_load": [
            {
                "side": w.edge.side,
                "tilt_deg": w.edge.tilt_degrees,
                "kg": w.kg,
                "goods": [{"board": label, "kg": kg, "at_mm": at} for label, kg, at in w.on],
            }
            for w in stability.worst
        ],
        "pull_at_top_n": _finite(stability.pull_n),
        "front_edge_load_n": _finite(stability.front_worst.newton),
        "front_edge_board": stability.front_worst.on,
        "front_edge_load_when_loaded_n": _finite(stability.front_loaded.newton),
        "front_edge_board_when_loaded": stability.front_loaded.on,
        "anchor": {
            "why": stability.why_anchor,
            "height_mm": stability.anchor_height,
            "pull_n": stability.anchor_n,
        },
        "tests": [
            {
                "name": t.name,
                "title": t.title,
                "applies": r is not None,
                "tips": r.tips if r else None,
                "factor": _finite(r.factor) if r else None,
                "anchor_n": r.anchor_n(stability.anchor_height) if r else None,
                "source": t.source.text,
                "note": t.note,
            }
            for t, r in stability.tests
        ],
    }
