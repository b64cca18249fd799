"""Which writer makes which file: a new output is a line of the table here, and one in `MAKE_FORMATS`."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING, Any

from furnigen.core.file_names import series
from furnigen.core.finding import Finding
from furnigen.core.progress import Sink
from furnigen.cutting.cut_table import piece_cutlist_csv
from furnigen.formats.cells import ListStyle
from furnigen.formats.hardware_list import hardware_csv
from furnigen.formats.stock_totals import stock_csv
from furnigen.page.inserts import Inserts
from furnigen.piece.description import Piece

if TYPE_CHECKING:
    from furnigen.construction.assembly_order import AssemblyOrder
    from furnigen.cutting.own_stock import Shop
    from furnigen.drawings.sheet import Sheet
    from furnigen.mesh.model import MeshModel, PartMesh
    from furnigen.paper.page import Page

Files = dict[str, bytes]
PAGE = "page"


def file_writers(
    piece: Piece,
    formats: Collection[str],
    units: str,
    style: ListStyle,
    solids: Callable[[], Sequence[Any]],
    meshes: Callable[[], MeshModel],
    step: Callable[[], bytes],
    on_step: Sink,
    late: list[Finding],
    more: dict[str, Any],
    order: Callable[[], tuple[AssemblyOrder, dict[str, PartMesh]]],
    inserts: Inserts,
    shop: Shop,
) -> dict[str, Callable[[], Files]]:
    """The writers of the formats asked for, by format; each returns names and contents.

    Args:
        units: "mm" or "in", for lists that people read.
        style: separator and decimal mark of lists.
        solids, meshes, step: give the solids, the meshes and the STEP file, only then worked out.
        on_step: is told what is being done.
        late: takes what writers find, such as parts that no sheet holds.
        more: takes what the report says besides, such as costs.
        order: gives the order of assembly, and meshes of parts that only the kernel can make.
        inserts: takes what the page shows of layouts, drawings and booklet, where a page is made.
        shop: what can be had at what price: for cut list, layouts and costs.
    """

    def stl() -> Files:
        from furnigen.formats.stl import stl_bytes

        return {"model.stl": stl_bytes(meshes())}

    def threemf() -> Files:
        from furnigen.formats.threemf import threemf_bytes

        return {"model.3mf": threemf_bytes(meshes())}

    def glb() -> Files:
        from furnigen.formats.glb import glb_bytes

        return {"model.glb": glb_bytes(meshes())}

    def each_part() -> Files:
        from furnigen.formats.stl import part_stls

        return series("parts", ".stl", part_stls(meshes()))

    def cutting() -> Files:
        from furnigen.cutting.cut_rows import Order, cut_rows, on_sheets
        from furnigen.cutting.effort import Effort
        from furnigen.cutting.files import plan_files, plan_findings
        from furnigen.cutting.other_sizes import other_sizes
        from furnigen.cutting.plan import lay_out

        orders, effort = [Order(piece)], Effort()
        rows = cut_rows(orders, shop, units)
        sheets = on_sheet()
        rows = rows if sheets is None else on_sheets(rows, sheets)
        plan = lay_out(piece.title, orders, rows, shop, effort, on_step)
        plan = replace(plan, other_sizes=other_sizes(plan, effort, units, on_step))
        late.extend(plan_findings(plan))
        files, planned, costs = plan_files(plan, units, style=style, on_step=on_step)
        more["costs"] = planned["costs"]
        if PAGE in formats:
            inserts.add_plan(plan, costs, units)
        return files

    @cache
    def drawn() -> list[tuple[Sheet, Page]]:
        from furnigen.drawings.files import drawing_sheets
        from furnigen.drawings.sheet import Setting

        return drawing_sheets(piece, solids(), Setting.usual(units), on_step)

    def on_sheet() -> dict[str, str] | None:
        """The sheets each part is drawn on, for the lists; None where no drawings are asked for."""
        if "drawings" not in formats:
            return None
        from furnigen.drawings.files import numbers_by_part

        return numbers_by_part([sheet for sheet, _ in drawn()])

    def drawings() -> Files:
        from furnigen.drawings.files import files_of
        from furnigen.drawings.sheet import Setting

        if PAGE in formats:
            inserts.add_drawings(piece, drawn())
        return files_of(piece, drawn(), Setting.usual(units), on_step)

    def booklet() -> Files:
        from furnigen.drawings.booklet import booklet_of, pdf_of

        assembly, made = order()
        drawn = booklet_of(piece, assembly, made, units, on_step=on_step)
        if PAGE in formats:
            inserts.add_booklet(assembly, drawn)
        return {"booklet.pdf": pdf_of(piece, drawn, on_step)}

    table: dict[str, Callable[[], Files]] = {
        "step": lambda: {"model.step": step()},
        "stl": stl,
        "3mf": threemf,
        "glb": glb,
        "cutlist": lambda: {"cutlist.csv": piece_cutlist_csv(piece, units, style, on_sheet(), shop)},
        "stock": lambda: {"stock.csv": stock_csv(piece, units, style)},
        "hardware": lambda: {"hardware.csv": hardware_csv(piece, style)},
        "part-stl": each_part,
        "cutting": cutting,
        "drawings": drawings,
        "booklet": booklet,
    }
    return {name: table[name] for name in table if name in formats}


def page_of(
    report: dict[str, Any],
    findings: Sequence[Finding],
    model: MeshModel,
    files: Mapping[str, bytes],
    units: str,
    inserts: Inserts,
) -> bytes:
    """The page, made last: it shows the report, the picture among the files, and what writers drew."""
    from furnigen.page.job_page import job_page

    return job_page(report, findings, model, files.get("preview.png", b""), units, inserts)
