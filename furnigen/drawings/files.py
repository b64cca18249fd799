"""The drawings of a piece as files: drawings.pdf, drawings.dxf, one SVG a sheet, templates.pdf."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from furnigen.core.file_names import file_name
from furnigen.core.progress import Sink, silent
from furnigen.drawings.arrangement import arrangement_sheets, plain_solids
from furnigen.drawings.part_sheets import part_sheets
from furnigen.drawings.sheet import Setting, Sheet, page_of
from furnigen.drawings.templates import template_pages
from furnigen.paper.dxf import dxf_bytes
from furnigen.paper.page import Item, Page
from furnigen.paper.pdf import pdf_bytes
from furnigen.paper.svg import moved, svg_bytes
from furnigen.piece.description import Piece

BETWEEN_MM = 20.0
"""Between sheets in the DXF file, which stand side by side."""


def drawing_sheets(
    piece: Piece, solids: Sequence[Any], setting: Setting, on_step: Sink = silent
) -> list[tuple[Sheet, Page]]:
    """All sheets in order, and their pages.

    Args:
        solids: the kernel's solid of each part, in the order of `piece.parts` (`Built.solids`).

    Raises: InputError where the paper is too small at any standard scale.
    """
    on_step("drawing the general arrangement")
    sheets = arrangement_sheets(piece, plain_solids(piece, solids), setting)
    sheets += part_sheets(piece, solids, setting, on_step)
    return [(s, page_of(piece, s, setting, n, len(sheets))) for n, s in enumerate(sheets, 1)]


def drawing_files(
    piece: Piece, solids: Sequence[Any], setting: Setting, on_step: Sink = silent
) -> dict[str, bytes]:
    """The files by name.

    Raises: as `drawing_sheets`.
    """
    return files_of(piece, drawing_sheets(piece, solids, setting, on_step), setting, on_step)


def numbers_by_part(sheets: Sequence[Sheet]) -> dict[str, str]:
    """The numbers of the sheets each part is drawn on, by its name: "4", or "4, 5" where it takes more."""
    found: dict[str, list[str]] = {}
    for number, sheet in enumerate(sheets, 1):
        if sheet.kind.startswith("Part"):
            for name in sheet.parts:
                found.setdefault(name, []).append(str(number))
    return {name: ", ".join(numbers) for name, numbers in found.items()}


def files_of(
    piece: Piece, drawn: Sequence[tuple[Sheet, Page]], setting: Setting, on_step: Sink = silent
) -> dict[str, bytes]:
    """Sheets and their pages as files by name; templates.pdf where a part has an outline."""
    pages = [page for _, page in drawn]
    on_step("writing the drawings")
    files = {
        "drawings.pdf": pdf_bytes(pages, f"{piece.title}: drawings"),
        "drawings.dxf": dxf_bytes(_side_by_side(pages)),
    }
    digits = max(2, len(str(len(pages))))
    for number, (sheet, page) in enumerate(drawn, 1):
        name = "general arrangement" if sheet.kind == "General arrangement" and number == 1 else sheet.name
        files[f"drawings/{number:0{digits}}-{file_name(name)}.svg"] = svg_bytes(page)
    templates = template_pages(piece, setting)
    if templates:
        on_step("writing the templates")
        files["templates.pdf"] = pdf_bytes(templates, f"{piece.title}: templates")
    return files


def _side_by_side(pages: Sequence[Page]) -> list[Item]:
    items: list[Item] = []
    x = 0.0
    for page in pages:
        items += [moved(item, x, 0.0) for item in page.items]
        x += page.width + BETWEEN_MM
    return items
