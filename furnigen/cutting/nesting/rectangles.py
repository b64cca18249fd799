"""A router's problem seen as rectangles a cutter apart: a first layout, and the sizes of the bound."""

from __future__ import annotations

from dataclasses import replace

from furnigen.cutting.problem import NestProblem, Rules, Sheet, SheetProblem, Trims


def as_rectangles(problem: NestProblem) -> SheetProblem:
    """The rectangles round the parts, a cutter and its spacing from each other, a cutter from the edges."""
    rules, cutter = problem.rules, problem.rules.cutter_um
    sheets, items = [], []
    for sheet in problem.sheets:
        inside = _inside(sheet, cutter)
        if inside is not None:
            sheets.append(inside)
    for item in problem.items:
        items.append(replace(item, outline_um=(), windows_um=()))
    return SheetProblem(tuple(sheets), tuple(items), Rules(cutter + rules.spacing_um))


def _inside(sheet: Sheet, cutter: int) -> Sheet | None:
    """The sheet with the cutter's room trimmed off; None when nothing stays."""
    t = sheet.trims
    if min(sheet.clear_length_um, sheet.clear_width_um) <= 2 * cutter:
        return None
    sides = (t.left_um, t.right_um, t.bottom_um, t.top_um)
    return replace(sheet, trims=Trims(*(side + cutter for side in sides)))
