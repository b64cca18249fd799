"""Boards pushed in their own plane: how stiff a whole board is, and one sawn open.

A solid board stands like a cantilever that bends and shears, u = F (h³ / 3 E I + h / (5/6 G A)). A board with
windows, such as a ring frame sawn from one sheet, is the frame of what is left beside, below and above them;
its corners, a wide and b high, give by shear as a spring G t a b does (hand-derived). Both become slender
posts
without a step: nothing is stiff just because it is wide. Finite elements in plane stress, of wood and of
sheets alike both ways, are met from 15 % below to 4 % above (tests/strength/test_in_plane.py).
"""

from __future__ import annotations

from furnigen.core.pose import Vector, dot
from furnigen.parts.forms.form import Board
from furnigen.strength.formulas.shear import panel_shear_modulus
from furnigen.strength.model.members import Member, column_section_of, modulus_across
from furnigen.strength.model.racking import Rack, push_sideways

SHEAR_SHARE = 5 / 6
"""Of a rectangle's area takes shear (Timoshenko)."""


def size_along(body: Member, d: Vector) -> float:
    """How wide an upright is along a level direction, mm."""
    low, high = body.extent(d)
    return high - low


def bends_as(body: Member, d: Vector) -> tuple[float, float, float]:
    """An upright bending along a level direction: E I, N mm², 5/6 G A and E A, N."""
    section = column_section_of(body, body.box.centre[2])
    moe = body.material.moe_mpa
    if section is None:
        width, thick = sorted(body.form.blank_mm[1:])
        second, area = thick * width**3 / 12, width * thick
    else:
        second = section.least_i if abs(dot(section.thin, d)) > 0.7 else section.most_i
        area = section.area
    return moe * second, SHEAR_SHARE * panel_shear_modulus(body.material) * area, moe * area


def cantilever_stiffness(body: Member, d: Vector) -> float:
    """Stiffness of an upright that stands on its foot, pushed along a level direction at its top, N/mm."""
    board = body.form.as_board
    if board is not None and board.windows and abs(dot(body.direction(2), d)) < 1e-6:
        return _open_board(body, board, d)
    bending, shear, _ = bends_as(body, d)
    tall = body.box.size[2]
    return 1 / (tall**3 / (3 * bending) + tall / shear)


def _open_board(body: Member, form: Board, d: Vector) -> float:
    """A board with windows as a frame on hinged feet: a stile at either side, a rail where no window is."""
    corners = [[body.pose.apply((x, y, 0.0)) for x, y in window] for window in form.windows]
    beside = [[dot(p, d) for p in window] for window in corners]
    low, high = body.extent(d)
    left, right = min(map(min, beside)) - low, high - max(map(max, beside))
    bottom, top = body.box.lo[2], body.box.hi[2]
    rails, at = [], bottom
    for window in sorted(corners, key=lambda one: min(p[2] for p in one)):
        heights = [p[2] for p in window]
        if min(heights) > at:
            rails.append((at, min(heights)))
        at = max(at, *heights)
    rails.append((at, top))
    stile, rail = min(left, right), min(b - a for a, b in rails)
    if stile <= 0 or rail <= 0:
        return 0.0
    thick, modulus = form.thickness, panel_shear_modulus(body.material)
    g = SHEAR_SHARE * modulus
    stands = abs(body.direction(0)[2]) > 0.7
    along, across = body.material.moe_mpa, modulus_across(body.material)
    e_stile, e_rail = (along, across) if stands else (across, along)
    rack = Rack(
        uprights=(low + left / 2, high - right / 2),
        levels=tuple((a + b) / 2 - bottom for a, b in rails),
        height=top - bottom,
        upright_ei=e_stile * thick * stile**3 / 12,
        level_ei=e_rail * thick * rail**3 / 12,
        upright_ea=e_stile * thick * stile,
        level_ea=e_rail * thick * rail,
        joint=modulus * thick * stile * rail,
        upright_shear=g * thick * stile,
        level_shear=g * thick * rail,
        upright_wide=stile,
    )
    return push_sideways(rack).stiffness
