"""The booklet: how to put a piece together, an action a page, in the order that was proven to be free."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from furnigen.construction.assembly_order import AssemblyOrder
from furnigen.core.finding import name_labels
from furnigen.core.progress import Sink, silent
from furnigen.drawings.actions import Action, actions_of
from furnigen.drawings.blocks import Entry, draw_entries
from furnigen.drawings.closing_page import closing_pages
from furnigen.drawings.exploded_pages import exploded_pages
from furnigen.drawings.isometric import skeletons_of
from furnigen.drawings.key import key_of
from furnigen.drawings.key_pages import key_pages
from furnigen.drawings.step_pages import NOTICE, Scene, step_pages
from furnigen.mesh.model import PartMesh
from furnigen.paper.frame import Frame
from furnigen.paper.page import Page, Text, paper
from furnigen.piece.description import Piece

SHEETS = {"mm": "A4", "in": "letter"}
"""Paper by the units that people read."""


def scene_of(piece: Piece, actions: Sequence[Action], made: Mapping[str, PartMesh], units: str) -> Scene:
    """What the pictures of a piece are made from."""
    return Scene(
        piece,
        skeletons_of(piece.parts, made),
        {p.label: piece.bounds_of(p) for p in piece.placements},
        {p.label: np.array(p.pose.matrix(), dtype=np.float64) for p in piece.placements},
        key_of(piece, actions),
        units,
    )


def booklet_pages(
    piece: Piece,
    assembly: AssemblyOrder,
    made: Mapping[str, PartMesh],
    units: str = "mm",
    sheet: str = "",
    on_step: Sink = silent,
) -> list[Page]:
    """The pages of a booklet: key, exploded views, steps.

    Args:
        assembly: the proven order.
        made: meshes, by name, of parts of a form that only the kernel can make.
        units: "mm" or "in".
        sheet: of paper; "" for the usual one of the units.
        on_step: is told what is being done.

    Raises: InputError for an unknown sheet.
    """
    width, height = paper(sheet or SHEETS[units])
    frame = Frame(width, height, piece.title)
    actions = actions_of(piece, assembly)
    on_step("drawing the parts")
    scene = scene_of(piece, actions, made, units)
    pages = key_pages(scene, actions, frame)
    if assembly.locked:
        pages.append(_locked_page(assembly, frame))
    on_step("drawing the exploded view")
    pages += exploded_pages(scene, actions, frame)
    pages += step_pages(scene, actions, frame, on_step)
    pages += closing_pages(scene, actions, frame)
    return [_numbered(page, n, len(pages)) for n, page in enumerate(pages, 1)]


def booklet_pdf(
    piece: Piece,
    assembly: AssemblyOrder,
    made: Mapping[str, PartMesh],
    units: str = "mm",
    sheet: str = "",
    on_step: Sink = silent,
) -> bytes:
    """The booklet as a PDF/A-2b file; the same bytes for the same piece.

    Args and raises: as `booklet_pages`.
    """
    from furnigen.paper.pdf import pdf_bytes

    pages = booklet_pages(piece, assembly, made, units, sheet, on_step)
    on_step("writing the booklet")
    return pdf_bytes(pages, f"{piece.title}: how to put it together")


def _locked_page(assembly: AssemblyOrder, frame: Frame) -> Page:
    """What is said first of a piece that does not go together."""
    left, _, right, top = frame.inner
    entries = [
        Entry(
            "Not possible",
            f"{name_labels(labels)} lock each other: no straight way was found to bring them together."
            " The steps that follow leave them out. Change the joints before anything is cut.",
            caution=True,
        )
        for labels in assembly.locked
    ]
    return frame.page(
        draw_entries(entries, left, top, right - left), "This piece can not be put together", 0, 0, NOTICE
    )


def _numbered(page: Page, number: int, of: int) -> Page:
    """The page with its number at the head in place of the one it was drawn with."""
    items = tuple(
        replace(i, text=f"{number} / {of}") if isinstance(i, Text) and i.text == "0 / 0" else i
        for i in page.items
    )
    return replace(page, items=items)
