"""`cutting.json`: the plan for a program. Lengths in mm, not rounded; money in the stated currency."""

from __future__ import annotations

from typing import Any

from furnigen import __version__
from furnigen.cutting.costing import Costs
from furnigen.cutting.cut_table import cut_list_json
from furnigen.cutting.flat_pack import FlatPack
from furnigen.cutting.jobs import Job
from furnigen.cutting.layout import BarLayout, Cut, SheetLayout
from furnigen.cutting.own_stock import Offer
from furnigen.cutting.plan import Done, LaidOut, Plan
from furnigen.cutting.problem import UM_PER_MM, mm
from furnigen.cutting.router_order import router_passes
from furnigen.formats.report import SAFETY_NOTE

Json = dict[str, Any]


def cutting_report(plan: Plan, costs: Costs, packed: FlatPack | None, units: str) -> Json:
    """All of a plan as plain data."""
    return {
        "furnigen": __version__,
        "title": plan.title,
        "pieces": [
            {"name": o.name or o.piece.name, "recipe": o.piece.name, "title": o.piece.title,
             "copies": o.copies}
            for o in plan.orders
        ],
        "units": units,
        "stock_file": plan.shop.name,
        "invented_stock": plan.shop.invented,
        "stock": [
            _stock(d.job, o, plan) for d in plan.jobs for o in d.job.offers
            if o.name in d.solution.used or not o.offcut
        ],
        "sheets": [_sheet(d, laid) for d, laid in plan.layouts if d.job.on_sheets],
        "bars": [_bar(laid) for d, laid in plan.layouts if not d.job.on_sheets],
        "used": {name: n for d in plan.jobs for name, n in d.solution.used.items()},
        "bound": {d.job.name: d.bound for d in plan.jobs},
        "proven": {d.job.name: d.solution.proven for d in plan.jobs},
        "cut_short": plan.cut_short,
        "verdicts": {d.job.name: d.verdict for d in plan.jobs},
        "cost": _cost(plan),
        "costs": _costs(costs, plan.shop.currency),
        "unfitted": [
            {"part": part, "quantity": n, "reason": d.reason(part)}
            for d in plan.jobs for part, n in d.solution.unfitted.items()
        ],
        "faults": [f"{d.job.name}: {fault}" for d in plan.jobs for fault in d.faults],
        "cut_list": cut_list_json(plan.rows),
        "packed": None if packed is None else {
            "length_mm": packed.length_mm, "width_mm": packed.width_mm, "height_mm": packed.height_mm,
            "layers": packed.layers, "mass_kg": packed.mass_kg,
        },
        "safety": SAFETY_NOTE,
    }  # fmt: skip


def _cost(plan: Plan) -> float | None:
    """Cost of the material laid out; None where some of it has no price."""
    total = 0
    for done in plan.jobs:
        for name, count in done.solution.used.items():
            price = done.job.offer(name).price
            if price is None:
                return None
            total += price * count
    return total / 100


def _costs(costs: Costs, currency: str) -> Json:
    def amount(hundredths: int | None) -> float | None:
        return None if hundredths is None else hundredths / 100

    return {
        "currency": currency,
        "lines": [
            {"kind": c.kind, "what": c.what, "amount": c.amount, "unit": c.unit, "cost": amount(c.cost)}
            for c in costs.lines
        ],
        "total": amount(costs.total),
        "without_price": list(costs.unpriced),
        "per_piece": [
            {"name": name, "copies": copies, "cost": amount(each)} for name, copies, each in costs.by_piece
        ],
        "hours": costs.hours,
        "would_save": list(costs.saved),
        "mass_kg": costs.mass_kg,
        "used_share": dict(costs.material_share),
    }


def _stock(job: Job, offer: Offer, plan: Plan) -> Json:
    sheet = job.on_sheets
    t = offer.trim
    kerf = plan.shop.router.cutter_mm if sheet and plan.shop.router else plan.shop.saw.kerf_mm
    board = offer.stock.kind != "sheet"
    return {
        "name": offer.name,
        "kind": "offcut" if offer.offcut else offer.stock.kind,
        "stock": job.name,
        "length_mm": offer.length_mm,
        "width_mm": offer.width_mm,
        "thickness_mm": offer.stock.thickness_mm,
        "kerf_mm": kerf,
        "trim_mm": {
            "left": t.left, "right": t.right,
            "bottom": 0.0 if board else t.bottom, "top": 0.0 if board else t.top,
        },
        "price": None if offer.price is None else offer.price / 100,
    }  # fmt: skip


def _sheet(done: Done, laid: LaidOut) -> Json:
    layout = laid.layout
    assert isinstance(layout, SheetLayout)
    return {
        "number": laid.number,
        "stock": layout.sheet,
        "copies": layout.copies,
        "placed": [
            {
                "part": row.part,
                "labels": list(labels),
                "x_mm": mm(p.x_um),
                "y_mm": mm(p.y_um),
                "length_mm": mm(p.length_um),
                "width_mm": mm(p.width_um),
                "turned": p.turned,
                "angle": p.angle,
            }
            for p, row, labels in zip(layout.placed, laid.rows, laid.labels, strict=True)
        ],
        "cuts": [_cut(c) for c in layout.cuts],
        "passes": [
            {"number": p.number, "part": laid.rows[p.placed].part, "placed": p.placed,
             "outline": "window" if p.window else "outline",
             "at_mm": [v / UM_PER_MM for v in p.corners[0]], "length_mm": p.length_um / UM_PER_MM}
            for p in router_passes(done, laid)
        ],
        "offcuts": [
            {"x_mm": mm(r.x_um), "y_mm": mm(r.y_um),
             "length_mm": mm(r.along_x_um), "width_mm": mm(r.along_y_um)}
            for r in layout.offcuts
        ],
    }  # fmt: skip


def _cut(cut: Cut) -> Json:
    return {
        "number": cut.number,
        "stage": cut.stage,
        "from_mm": [mm(v) for v in cut.from_um],
        "to_mm": [mm(v) for v in cut.to_um],
        "stop_mm": mm(cut.stop_um),
        "part": cut.item,
    }


def _bar(laid: LaidOut) -> Json:
    layout = laid.layout
    assert isinstance(layout, BarLayout)
    return {
        "number": laid.number,
        "stock": layout.bar,
        "copies": layout.copies,
        "placed": [
            {"part": row.part, "labels": list(labels), "x_mm": mm(p.x_um), "length_mm": mm(p.length_um)}
            for p, row, labels in zip(layout.placed, laid.rows, laid.labels, strict=True)
        ],
        "cuts": [
            {"number": c.number, "stage": 1, "from_mm": mm(c.at_um), "to_mm": mm(c.at_um),
             "stop_mm": mm(c.stop_um), "part": c.piece}
            for c in layout.cuts
        ],
        "offcuts": [{"x_mm": mm(x), "length_mm": mm(long)} for x, long in layout.offcuts],
    }  # fmt: skip
