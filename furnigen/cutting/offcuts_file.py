"""What is left over, as [[offcut]] tables ready for the maker's next stock file."""

from __future__ import annotations

from math import floor

from furnigen.cutting.layout import BarLayout, SheetLayout
from furnigen.cutting.plan import Plan
from furnigen.cutting.problem import mm


def offcuts_toml(plan: Plan) -> bytes:
    """Offcuts as TOML: those at least as large both ways as the shop keeps, numbered by their layout.

    Their edges are sawn, so nothing is to be trimmed off. Offcuts of the shop that stay unused follow.
    """
    least = plan.shop.least_offcut_mm
    lines = [
        "# Offcuts of this plan, for your stock file; take those that were used out of it.",
        f"# Smaller ones than {least:g} mm one way are left out (least_offcut).",
    ]
    for done, laid in plan.layouts:
        stock, layout = done.job.stock.name, laid.layout
        number = 0
        if isinstance(layout, SheetLayout):
            for rect in layout.offcuts:
                long, wide = mm(rect.along_x_um), mm(rect.along_y_um)
                if min(long, wide) < least:
                    continue
                number += 1
                lines += _table(f"{laid.number}.{number}", stock, layout.copies, long, wide)
        else:
            assert isinstance(layout, BarLayout)
            for _, run in layout.offcuts:
                if mm(run) >= least:
                    number += 1
                    lines += _table(f"{laid.number}.{number}", stock, layout.copies, mm(run), None)
    lines += _unused(plan)
    return "\n".join([*lines, ""]).encode()


def _table(number: str, stock: str, copies: int, long: float, wide: float | None) -> list[str]:
    width = [] if wide is None else [f'width = "{_down(wide)} mm"']
    return [
        "",
        "[[offcut]]",
        f'number = "{number}"',
        f'stock = "{stock}"',
        f'length = "{_down(long)} mm"',
        *width,
        f"copies = {copies}",
        "trim = 0",
    ]


def _down(length: float) -> str:
    """A size rounded down to a tenth (mm): what is noted is there."""
    return f"{floor(length * 10 + 1e-6) / 10:.10g}"


def _unused(plan: Plan) -> list[str]:
    """Offcuts of the shop that this plan leaves."""
    used = {name: n for d in plan.jobs for name, n in d.solution.used.items()}
    left = [
        f"{o.name} ({(o.copies or 1) - used.get(o.name, 0)})"
        for o in plan.shop.offers
        if o.offcut and (o.copies or 1) > used.get(o.name, 0)
    ]
    return ["", f"# Offcuts in the stock file that stay: {', '.join(left)}"] if left else []
