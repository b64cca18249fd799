"""Cut trees as values: how a sheet is divided, before kerfs and trims are laid out on it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Division(Enum):
    """How a panel is divided."""

    PART = "part"
    """not at all: it is one part (or a matched row)"""
    ROW = "row"
    """by crosscuts: its panels lie side by side along the sheet's length"""
    COLUMN = "column"
    """by rips: its panels lie one upon the other across the sheet's length"""


@dataclass(frozen=True)
class Panel:
    """A panel and what it is divided into.

    Args:
        division: how.
        w, h: the least size that holds all in it, kerf added once to each.
        shape: number of the shape, for a part.
        turned: the shape's length lies across the sheet, for a part.
        panels: what it is divided into, each a part or divided the other way.
    """

    division: Division
    w: int
    h: int
    shape: int = -1
    turned: bool = False
    panels: tuple[Panel, ...] = ()

    def shapes(self) -> list[int]:
        """Numbers of all shapes in it."""
        if self.division is Division.PART:
            return [self.shape]
        return [s for p in self.panels for s in p.shapes()]


def row(panels: list[Panel]) -> Panel:
    """Panels side by side along x; a single one stays as it is, rows among them are taken apart."""
    return _joined(Division.ROW, panels)


def column(panels: list[Panel]) -> Panel:
    """Panels one upon the other, likewise."""
    return _joined(Division.COLUMN, panels)


def _joined(division: Division, panels: list[Panel]) -> Panel:
    if len(panels) == 1:
        return panels[0]
    flat = [q for p in panels for q in (p.panels if p.division is division else (p,))]
    along_x = division is Division.ROW
    w = sum(p.w for p in flat) if along_x else max(p.w for p in flat)
    h = max(p.h for p in flat) if along_x else sum(p.h for p in flat)
    return Panel(division, w, h, panels=tuple(flat))


def in_order(panel: Panel) -> Panel:
    """The same division with its panels sorted: widest across first, so that what is left over lies
    together."""
    if panel.division is Division.PART:
        return panel
    along_x = panel.division is Division.ROW
    inner = [in_order(p) for p in panel.panels]
    inner.sort(key=lambda p: (-p.h, -p.w, p.shape, p.turned) if along_x else (-p.w, -p.h, p.shape, p.turned))
    return Panel(panel.division, panel.w, panel.h, panels=tuple(inner))
