"""All layouts as one DXF at full size: layers cut, drill, label; sheets beside each other, bars below.

Closed lines of a nested sheet are in the order they are cut in, from where the cutter goes in; layer order
numbers them.
"""

from __future__ import annotations

from collections.abc import Sequence

from furnigen.cutting.cut_rows import CutRow
from furnigen.cutting.features import Hole, features_of, worked_faces
from furnigen.cutting.layout import BarLayout, Placed, SheetLayout
from furnigen.cutting.part_dxf import SQUARE_TILT
from furnigen.cutting.plan import Done, LaidOut, Plan
from furnigen.cutting.problem import mm
from furnigen.cutting.router_order import router_passes
from furnigen.cutting.true_outline import (
    UmPoint,
    corner_on_sheet,
    lying_point,
    placed_outline,
    room_for_words,
    windows_on_sheet,
)
from furnigen.paper.dxf import dxf_bytes
from furnigen.paper.page import Arc, Item, Pen, Polyline, Text, box

BETWEEN_MM = 300.0
"""From one sheet to the next."""
TEXT_MM = 25.0
ORDER_TEXT_MM = 8.0
"""Of the number of a router's pass, where it begins."""
LAYERS = (
    ("cut", "red"),
    ("drill", "green"),
    ("label", "grey"),
    ("sheet", "black"),
    ("offcut", "cyan"),
    ("order", "blue"),
)


def sheets_dxf(plan: Plan) -> bytes:
    """Layouts as DXF, millimetres: the corner of the first untrimmed sheet at the origin."""
    items: list[Item] = []
    x = 0.0
    for done, laid in plan.layouts:
        if isinstance(laid.layout, SheetLayout):
            items += _sheet(done, laid, x)
            x += done.job.offer(laid.name).length_mm + BETWEEN_MM
    y = -BETWEEN_MM
    for done, laid in plan.layouts:
        if isinstance(laid.layout, BarLayout):
            y -= done.job.offer(laid.name).width_mm
            items += _bar(done, laid, y)
            y -= BETWEEN_MM
    return dxf_bytes(items, LAYERS)


def _sheet(done: Done, laid: LaidOut, x0: float) -> list[Item]:
    layout = laid.layout
    assert isinstance(layout, SheetLayout)
    offer = done.job.offer(layout.sheet)
    head = f"sheet {laid.number}: {layout.sheet}, {layout.copies} off"
    items: list[Item] = [
        box(x0, 0.0, offer.length_mm, offer.width_mm, Pen(0.25), "sheet"),
        Text((x0, offer.width_mm + TEXT_MM), head, TEXT_MM, layer="label"),
    ]
    passes = router_passes(done, laid)
    rings: list[Sequence[UmPoint]] = [p.corners for p in passes]
    for placed, row in zip(layout.placed, laid.rows, strict=True):
        items += _holes(placed, row, x0)
        if not passes:
            rings += [placed_outline(placed, row), *windows_on_sheet(placed, row)]
    for ring in rings:
        items.append(Polyline(tuple((x0 + x / 1000, y / 1000) for x, y in ring), True, Pen(0.25), "cut"))
    for p in passes:
        x, y = p.corners[0]
        items.append(Text((x0 + x / 1000, y / 1000), str(p.number), ORDER_TEXT_MM, layer="order"))
    for placed, row in zip(layout.placed, laid.rows, strict=True):
        room = room_for_words(placed, row)
        middle = (x0 + mm(room.x_um) + mm(room.along_x_um) / 2, mm(room.y_um) + mm(room.along_y_um) / 2)
        turn = 90.0 if room.along_y_um > room.along_x_um else 0.0
        short = min(mm(room.along_x_um), mm(room.along_y_um))
        items.append(
            Text(middle, row.part, min(TEXT_MM, max(3.0, short / 4)), "middle", "middle", turn, layer="label")
        )
    for r in layout.offcuts:
        items.append(
            box(
                x0 + mm(r.x_um), mm(r.y_um), mm(r.along_x_um), mm(r.along_y_um), Pen(0.25, "dashed"), "offcut"
            )
        )
    return items


def _holes(placed: Placed, row: CutRow, x0: float) -> list[Item]:
    """Holes from above, where the part is cut out at its finished size."""
    if row.source is None or row.finished != row.rough:
        return []
    features = features_of(row.source[0])
    up, _ = worked_faces(features)
    found: list[Item] = []
    for f in features:
        if isinstance(f, Hole) and f.face[0] == "z" and f.tilt < SQUARE_TILT and (f.face == up or f.through):
            x, y = corner_on_sheet(placed, *lying_point(row, f.at[0], f.at[1]))
            found.append(Arc((x0 + x / 1000, y / 1000), f.diameter / 2, pen=Pen(0.25), layer="drill"))
    return found


def _bar(done: Done, laid: LaidOut, y: float) -> list[Item]:
    layout = laid.layout
    assert isinstance(layout, BarLayout)
    offer = done.job.offer(layout.bar)
    items: list[Item] = [
        box(0.0, y, offer.length_mm, offer.width_mm, Pen(0.25), "sheet"),
        Text(
            (0.0, y + offer.width_mm + 10),
            f"{laid.number}: {layout.bar}, {layout.copies} off",
            TEXT_MM,
            layer="label",
        ),
    ]
    for placed, row in zip(layout.placed, laid.rows, strict=True):
        x, long = mm(placed.x_um), mm(placed.length_um)
        items.append(box(x, y, long, offer.width_mm, Pen(0.25), "cut"))
        height = min(TEXT_MM, max(3.0, offer.width_mm / 3))
        items.append(
            Text((x + long / 2, y + offer.width_mm / 2), row.part, height, "middle", "middle", layer="label")
        )
    return items
