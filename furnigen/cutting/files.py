"""All files of a plan, by name: what `furnigen cut` writes, and `make --formats cutting`."""

from __future__ import annotations

from collections.abc import Sequence

from furnigen.core.finding import FAIL, PASS, Finding
from furnigen.core.progress import Sink, silent
from furnigen.cutting.costing import Costs, costs_of
from furnigen.cutting.cut_table import USUAL_COLUMNS, cutlist_csv
from furnigen.cutting.cutting_json import Json, cutting_report
from furnigen.cutting.flat_pack import flat_pack
from furnigen.cutting.plan import Plan
from furnigen.formats.cells import PLAIN, ListStyle


def plan_files(
    plan: Plan,
    units: str,
    columns: Sequence[str] = USUAL_COLUMNS,
    style: ListStyle = PLAIN,
    on_step: Sink = silent,
) -> tuple[dict[str, bytes], Json, Costs]:
    """The files of a plan, its report, and its costs.

    Args:
        columns, style: of cutlist.csv.
    """
    from furnigen.core.file_names import series
    from furnigen.cutting.list_pages import label_pages, list_pages
    from furnigen.cutting.offcuts_file import offcuts_toml
    from furnigen.cutting.part_dxf import part_files
    from furnigen.cutting.plan_pages import sheet_pages
    from furnigen.cutting.sheet_dxf import sheets_dxf
    from furnigen.formats.report import json_bytes
    from furnigen.paper.pdf import pdf_bytes
    from furnigen.paper.svg import stacked_svg

    on_step("adding up the costs")
    costs, packed = costs_of(plan), flat_pack(plan.rows)
    on_step("drawing the pages")
    pages = sheet_pages(plan, costs, packed, units)
    router = plan.shop.router is not None
    report = cutting_report(plan, costs, packed, units)
    files = {
        "cutting.json": json_bytes(report),
        "cutlist.csv": cutlist_csv(plan.rows, units, columns, style),
        "cutlist.pdf": pdf_bytes(
            list_pages(plan.title, plan.rows, units, router=router), f"{plan.title}: cut list"
        ),
        "sheets.svg": stacked_svg(pages),
        "sheets.pdf": pdf_bytes(pages, f"{plan.title}: sheets"),
        "labels.pdf": pdf_bytes(label_pages(plan, units), f"{plan.title}: labels"),
        "offcuts.toml": offcuts_toml(plan),
    }
    on_step("writing for the router")
    files["sheets.dxf"] = sheets_dxf(plan)
    files |= series("parts", ".dxf", part_files(plan.rows, units))
    return files, report, costs


def plan_findings(plan: Plan) -> list[Finding]:
    """Whether all of it is laid out, and every layout sound; one finding for each stock."""
    found = []
    for done in plan.jobs:
        left = sum(done.solution.unfitted.values())
        wrong = left + len(done.faults)
        said = [f"{part}: {done.reason(part)}" for part in done.solution.unfitted]
        found.append(
            Finding(
                "cutting",
                FAIL if wrong else PASS,
                wrong,
                0,
                "parts",
                done.job.name,
                "every part is cut from the stock there is; layouts are checked by a routine of their own",
                "; ".join([*said, *done.faults]),
            )
        )
    return found
