"""Exact bounds of a form standing at a pose."""

from __future__ import annotations

from furnigen.core.pose import Box, Pose, Vector
from furnigen.parts.forms.form import Form
from furnigen.parts.forms.prism import Prism


def bounds(form: Form, pose: Pose | None = None) -> Box:
    """Exact bounds of `form` standing at `pose` (its own frame when None), mm."""
    if isinstance(form, Prism) and not form.outline:
        size = form.blank_mm
        return board_bounds(size, pose) if pose else Box((0.0, 0.0, 0.0), size)
    pose = pose or Pose()
    lo, hi = [], []
    if isinstance(form, Prism):
        return outline_bounds(form, pose)
    for row, o in zip(pose.rotation, pose.origin, strict=True):
        hi.append(form.support(row) + o)
        lo.append(o - form.support((-row[0], -row[1], -row[2])))
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


def board_bounds(size: Vector, pose: Pose) -> Box:
    """`bounds` of a plain board: what joints ask for many thousand times a piece."""
    lo, hi = [], []
    for (rx, ry, rz), o in zip(pose.rotation, pose.origin, strict=True):
        x, y, z = rx * size[0], ry * size[1], rz * size[2]
        hi.append(max(0.0, x) + max(0.0, y) + max(0.0, z) + o)
        lo.append(o + (min(0.0, x) + min(0.0, y) + min(0.0, z)))
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


def outline_bounds(form: Prism, pose: Pose) -> Box:
    """`bounds` of a shaped board: half of each extent comes from its outline, half from its thickness."""
    lo, hi = [], []
    for (rx, ry, rz), o in zip(pose.rotation, pose.origin, strict=True):
        across = [rx * x + ry * y for x, y in form.outline]
        thick = rz * form.thickness
        lo.append(o + min(across) + min(0.0, thick))
        hi.append(o + max(across) + max(0.0, thick))
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))
