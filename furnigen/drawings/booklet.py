"""The booklet: how to put a piece together, an action a page, in the order that was proven to be free."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

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
from furnigen.drawings.step_pages import NOTICE, DrawnStep, Scene, drawn_steps
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


@dataclass(frozen=True)
class Booklet:
    """A booklet, and what else shows its pictures.

    Attributes:
        pages: all of them.
        exploded: those of the exploded views.
        steps: each action with its picture and words.
    """

    pages: tuple[Page, ...]
    exploded: tuple[Page, ...]
    steps: tuple[DrawnStep, ...]


def booklet_of(
    piece: Piece,
    assembly: AssemblyOrder,
    made: Mapping[str, PartMesh],
    units: str = "mm",
    sheet: str = "",
    on_step: Sink = silent,
) -> Booklet:
    """A booklet: key, exploded views, steps.

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
    before = len(pages)
    pages += exploded_pages(scene, actions, frame)
    after = len(pages)
    steps = drawn_steps(scene, actions, frame, on_step)
    pages += [page for step in steps for page in step.pages]
    pages += closing_pages(scene, actions, frame)
    numbered = tuple(_numbered(page, n, len(pages)) for n, page in enumerate(pages, 1))
    return Booklet(numbered, numbered[before:after], tuple(steps))


def booklet_pages(
    piece: Piece,
    assembly: AssemblyOrder,
    made: Mapping[str, PartMesh],
    units: str = "mm",
    sheet: str = "",
    on_step: Sink = silent,
) -> list[Page]:
    """The pages of a booklet.

    Args and raises: as `booklet_of`.
    """
    return list(booklet_of(piece, assembly, made, units, sheet, on_step).pages)


def booklet_pdf(
    piece: Piece,
    assembly: AssemblyOrder,
    made: Mapping[str, PartMesh],
    units: str = "mm",
    sheet: str = "",
    on_step: Sink = silent,
) -> bytes:
    """The booklet as a PDF/A-2b file; the same bytes for the same piece.

    Args and raises: as `booklet_of`.
    """
    return pdf_of(piece, booklet_of(piece, assembly, made, units, sheet, on_step), on_step)


def pdf_of(piece: Piece, booklet: Booklet, on_step: Sink = silent) -> bytes:
    """A booklet that is drawn already, as a PDF/A-2b file."""
    from furnigen.paper.pdf import pdf_bytes

    on_step("writing the booklet")
    return pdf_bytes(booklet.pages, f"{piece.title}: how to put it together")


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
