"""A bar or board as it is cut to length: a strip with its pieces, and the stops in order below it."""

from __future__ import annotations

from furnigen.cutting.cut_rows import CutRow
from furnigen.cutting.joint_words import size_text
from furnigen.cutting.layout import BarLayout, PlacedPiece
from furnigen.cutting.own_stock import Offer
from furnigen.cutting.plan import LaidOut
from furnigen.cutting.problem import mm
from furnigen.cutting.short_labels import short_labels
from furnigen.paper.lettering import width_of, wrapped
from furnigen.paper.page import NARROW, WIDE, Item, Text, box, filled_box

STRIP_MM = 9.0
HEIGHT = 2.1
LEADING = 1.7
BETWEEN_MM = 6.0


def _words(laid: LaidOut, units: str) -> str:
    """The cuts of a bar in order: what is cut off, the stops, like ones together with their labels."""
    layout = laid.layout
    assert isinstance(layout, BarLayout)
    waiting = list(zip(layout.placed, laid.rows, laid.labels, strict=True))
    steps: list[tuple[float, CutRow | None, list[str]]] = []
    for cut in layout.cuts:
        if not cut.piece:
            steps.append((mm(cut.stop_um), None, []))
            continue
        _step(steps, *waiting.pop(0))
    for rest in waiting:  # it ends where the bar ends, without a cut
        _step(steps, *rest)
    said = []
    for stop, row, labels in steps:
        length = size_text(stop, units)
        if row is None:
            said.append(f"cut off {length}")
        else:
            many = len(labels) // layout.copies
            said.append(f"stop {length}: {many} x {row.part} ({short_labels(row, labels)})")
    left = [f"{size_text(mm(run), units)} left" for _, run in layout.offcuts]
    return "; ".join([*said, *left])


def _step(
    steps: list[tuple[float, CutRow | None, list[str]]],
    placed: PlacedPiece,
    row: CutRow,
    labels: tuple[str, ...],
) -> None:
    """Add a piece to the steps: to the last one where that is of the same part and length."""
    stop = mm(placed.length_um)
    if steps and steps[-1][1] == row and abs(steps[-1][0] - stop) < 0.001:
        steps[-1][2].extend(labels)
    else:
        steps.append((stop, row, list(labels)))


def bar_row_height(laid: LaidOut, wide: float, units: str) -> float:
    """How tall one bar is on the page (mm)."""
    lines = len(wrapped(_words(laid, units), wide, HEIGHT))
    return HEIGHT * LEADING + STRIP_MM + 2.5 + lines * HEIGHT * LEADING + BETWEEN_MM


def bar_items(
    laid: LaidOut, offer: Offer, across: tuple[float, float], top: float, longest: float, units: str
) -> list[Item]:
    """One bar, its upper edge at `top`.

    Args:
        across: left and right of the space (mm on paper).
        longest: length of the longest bar on the pages: all are drawn at one scale (mm).
    """
    layout = laid.layout
    assert isinstance(layout, BarLayout)
    left, right = across
    scale = (right - left) / longest
    copies = f"{layout.copies} times" if layout.copies > 1 else "once"
    mark = "offcut " if offer.offcut else ""
    head = f"{laid.number}: {mark}{offer.name}, {size_text(offer.length_mm, units)} long, to be cut {copies}"
    items: list[Item] = [Text((left, top), head, HEIGHT, rise="top")]
    y = top - HEIGHT * LEADING - STRIP_MM
    items.append(filled_box(left, y, offer.length_mm * scale, STRIP_MM, "#ececec"))
    for start, end in offer.defects:
        items.append(filled_box(left + start * scale, y, (end - start) * scale, STRIP_MM, "#707070"))
    for placed, row in zip(layout.placed, laid.rows, strict=True):
        x, long = left + mm(placed.x_um) * scale, mm(placed.length_um) * scale
        items += [filled_box(x, y, long, STRIP_MM, "#ffffff"), box(x, y, long, STRIP_MM, NARROW)]
        items += _inside(row.part, size_text(mm(placed.length_um), units), x, y, long)
    items.append(box(left, y, offer.length_mm * scale, STRIP_MM, WIDE))
    y -= 2.5
    for k, said in enumerate(wrapped(_words(laid, units), right - left, HEIGHT)):
        items.append(Text((left, y - k * HEIGHT * LEADING), said, HEIGHT, rise="top"))
    return items


def _inside(part: str, size: str, x: float, y: float, long: float) -> list[Item]:
    """Name and length within a piece, or its length alone, upright where it is short."""
    middle = (x + long / 2, y + STRIP_MM / 2)
    for said, height in ((f"{part}  {size}", 2.5), (f"{part}  {size}", 1.8), (size, 2.5), (size, 1.8)):
        if width_of(said, height) + 1.2 <= long:
            return [Text(middle, said, height, "middle", "middle")]
    if long >= 2.6 and width_of(size, 1.8) <= STRIP_MM - 0.6:
        return [Text(middle, size, 1.8, "middle", "middle", 90.0)]
    return []
