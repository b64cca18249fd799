"""Glue lines: the wood beside the glue, by how its grain lies. Strengths are the low end of their ranges.

Glue holds as the wood it lies on (from memory: good glues fail in the wood): shear along the grain where both
run the same way, rolling shear where they cross and on the faces of plywood, nothing on the end grain of
solid wood.
"""

from __future__ import annotations

from furnigen.catalogue.joint_values import joint_value, value_source
from furnigen.core.pose import Vector, dot
from furnigen.strength.formulas.allowable import LOAD_FACTOR
from furnigen.strength.joints.wood import ALONG, EDGE, END, Wood, design


def glue_shear_mpa(a: Wood, b: Wood, normal: Vector) -> tuple[float, str]:
    """What a glue line bears in shear, over the factor on loads, N/mm², and by which rule.

    Args:
        normal: unit vector square to the glue.
    """
    met = a.met_by(normal), b.met_by(normal)
    if END in met:
        return 0.0, "glue on end grain is not counted (common practice)"
    solid = not (a.panel or b.panel)
    if solid and abs(dot(a.grain, b.grain)) > ALONG:
        held = min(a.shear_mpa, b.shear_mpa)
        return held, "glue along the grain bears as the wood does in shear, f_v x k_mod / gamma_M / 1.5"
    rolling = design(joint_value("glue across the grain"), a, b)
    held, words = rolling, value_source("glue across the grain")
    # particles and fibres have no grain: they shear in their plane
    held = min([held, *(w.shear_mpa for w in (a, b) if w.of_particles)])
    if EDGE in met and any(
        w.panel and m == EDGE and not w.of_particles for w, m in zip((a, b), met, strict=True)
    ):
        held *= joint_value("glue on a plywood edge")
        words += f"; {value_source('glue on a plywood edge')}"
    return held, f"{words}, x k_mod / 1.3 / 1.5"


def glue_pull_mpa(a: Wood, b: Wood, normal: Vector) -> tuple[float, str]:
    """What a glue line bears pulled apart, over the factor on loads, N/mm², and by which rule."""
    if END in (a.met_by(normal), b.met_by(normal)):
        return 0.0, "glue on end grain is not counted (common practice)"
    return design(joint_value("glue pulled off"), a, b), (
        f"{value_source('glue pulled off')}, x k_mod / 1.3 / {LOAD_FACTOR:g}"
    )
