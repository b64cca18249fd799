"""From a cut tree to places and cuts on the real sheet: kerfs, trims, stops, offcuts."""

from __future__ import annotations

from dataclasses import dataclass, field

from furnigen.cutting.instance import Instance, Shape
from furnigen.cutting.layout import Cut, Placed, Rect, SheetLayout
from furnigen.cutting.panels import Division, Panel
from furnigen.cutting.problem import FirstCut, Item, Sheet


@dataclass
class _Sawing:
    """What has been sawn of one sheet so far."""

    instance: Instance
    names: dict[int, list[str]]
    items: dict[str, Item]
    placed: list[Placed] = field(default_factory=list)
    cuts: list[Cut] = field(default_factory=list)
    offcuts: list[Rect] = field(default_factory=list)

    @property
    def kerf(self) -> int:
        return self.instance.rules.kerf_um

    def cut(self, rip: bool, stage: int, panel: Rect, stop: int, far: bool = False, item: str = "") -> Rect:
        """Take `stop` off a panel by one cut; the panel that stays is returned (it may be of no width).

        At the far end `stop` may be negative: less than a kerf is too much, and it reaches over the edge.
        """
        x, y, lx, ly = panel.x_um, panel.y_um, panel.along_x_um, panel.along_y_um
        taken = stop + self.kerf
        off_size = max(0, stop)
        if rip:
            rest = Rect(x, y if far else y + taken, lx, max(0, ly - taken))
            off = Rect(x, y + ly - off_size if far else y, lx, off_size)
            at = y + ly - stop if far else y + stop
        else:
            rest = Rect(x if far else x + taken, y, max(0, lx - taken), ly)
            off = Rect(x + lx - off_size if far else x, y, off_size, ly)
            at = x + lx - stop if far else x + stop
        self.cuts.append(Cut(len(self.cuts) + 1, stage, rip, panel, off_size, at, off, far, item))
        return rest

    def leave(self, rest: Rect) -> None:
        """Note what is left over, unless the saw takes it all."""
        if rest.along_x_um > self.kerf and rest.along_y_um > self.kerf:
            self.offcuts.append(rest)

    def trim(self, sheet: Sheet) -> Rect:
        """Trim the sheet's edges; the clear sheet."""
        panel = Rect(0, 0, sheet.length_um, sheet.width_um)
        t = sheet.trims
        sides = (
            (False, False, t.left_um),
            (False, True, t.right_um),
            (True, False, t.bottom_um),
            (True, True, t.top_um),
        )
        for rip, far, taken in sides:
            if not taken:
                continue
            x, y, lx, ly = panel.x_um, panel.y_um, panel.along_x_um, panel.along_y_um
            waste = max(0, taken - self.kerf)
            if rip:
                off = Rect(x, y + ly - waste if far else y, lx, waste)
                rest = Rect(x, y if far else y + taken, lx, ly - taken)
                at = y + ly - taken + self.kerf if far else y + taken - self.kerf
            else:
                off = Rect(x + lx - waste if far else x, y, waste, ly)
                rest = Rect(x if far else x + taken, y, lx - taken, ly)
                at = x + lx - taken + self.kerf if far else x + taken - self.kerf
            self.cuts.append(Cut(len(self.cuts) + 1, 0, rip, panel, taken, at, off, far))
            panel = rest
        return panel

    def divide(self, node: Panel, panel: Rect, stage: int) -> None:
        """Cut a panel of the sheet as the tree says; `stage` is that of the next cuts."""
        if node.division is Division.PART:
            self.part(node, panel, stage)
            return
        rip = node.division is Division.COLUMN
        parts = self.in_saw_order(node, panel, rip)
        freed: list[tuple[Panel, Rect]] = []
        kept_last = parts[-1]
        whole = (kept_last.h if rip else kept_last.w) - self.kerf
        for child in parts:
            size = (child.h if rip else child.w) - self.kerf
            room = panel.along_y_um if rip else panel.along_x_um
            if size == room:
                freed.append((child, panel))
                panel = Rect(panel.x_um, panel.y_um, 0, 0)
                break
            far = child is kept_last and rip and self.too_wide(whole)
            if far:
                rest = self.cut(rip, stage, panel, room - size - self.kerf, far=True)
                self.leave(self.cuts[-1].off)
                freed.append((child, rest))
                panel = Rect(rest.x_um, rest.y_um, 0, 0)
                break
            rest = self.cut(rip, stage, panel, size, item=self.finished(child, panel, rip))
            freed.append((child, self.cuts[-1].off))
            panel = rest
        self.leave(panel)
        for child, piece in freed:
            self.divide(child, piece, stage + 1)

    def too_wide(self, size: int) -> bool:
        """Whether a strip is wider than the saw's fence allows."""
        limit = self.instance.rules.largest_strip_um
        return limit is not None and size > limit

    def in_saw_order(self, node: Panel, panel: Rect, rip: bool) -> list[Panel]:
        """The panels of a node in the order they come off: one too wide for the fence stays for last."""
        if not rip:
            return list(node.panels)
        return sorted(node.panels, key=lambda p: self.too_wide(p.h - self.kerf))

    def finished(self, child: Panel, panel: Rect, rip: bool) -> str:
        """Name of the item if a child is a part that needs no further cut when it comes off."""
        if child.division is not Division.PART or self.instance.shapes[child.shape].members:
            return ""
        across = (child.w if rip else child.h) - self.kerf
        whole = panel.along_x_um if rip else panel.along_y_um
        return self.names[child.shape][0] if across == whole else ""

    def part(self, node: Panel, panel: Rect, stage: int) -> None:
        """Trim a panel to its part (or matched row) and note its place."""
        shape = self.instance.shapes[node.shape]
        name = self.names[node.shape].pop(0)
        if shape.members:
            self.matched(shape, name, node, panel, stage)
            return
        item = self.items[name]
        self.place(item, node.turned, panel, stage, "")

    def place(self, item: Item, turned: bool, panel: Rect, stage: int, row: str) -> None:
        """Trim a panel to one item, first where more is too much, so that one large offcut stays."""
        placed = Placed(
            item.name, panel.x_um, panel.y_um, item.length_um, item.width_um, turned, 90 if turned else 0, row
        )
        sizes = {True: placed.along_y_um, False: placed.along_x_um}
        rooms = {True: panel.along_y_um, False: panel.along_x_um}
        needed = [rip for rip in (True, False) if rooms[rip] > sizes[rip]]
        first = self.instance.rules.first_cut
        forced = {FirstCut.RIP: True, FirstCut.CROSSCUT: False}.get(first) if stage == 1 else None
        needed.sort(key=lambda rip: (rip is not forced, sizes[rip] - rooms[rip]))
        for rip in needed:
            size, room = sizes[rip], rooms[rip]
            if rip and self.too_wide(size):
                panel = self.cut(rip, stage, panel, room - size - self.kerf, far=True)
                self.leave(self.cuts[-1].off)
            else:
                self.leave(self.cut(rip, stage, panel, size, item=item.name if rip is needed[-1] else ""))
                panel = self.cuts[-1].off
            stage += 1
        self.placed.append(placed)

    def matched(self, shape: Shape, name: str, node: Panel, panel: Rect, stage: int) -> None:
        """Cut a matched row into its items, in order."""
        rip = shape.along == node.turned
        room = panel.along_y_um if rip else panel.along_x_um
        whole = (node.h if rip else node.w) - self.kerf
        across = (node.w if rip else node.h) - self.kerf
        if (panel.along_x_um if rip else panel.along_y_um) > across:
            self.leave(self.cut(not rip, stage, panel, across))
            panel = self.cuts[-1].off
            stage += 1
        pieces = []
        for k, item in enumerate(shape.members):
            along = item.length_um if shape.along else item.width_um
            if k == len(shape.members) - 1 and room == whole:
                pieces.append((item, panel))
                panel = Rect(panel.x_um, panel.y_um, 0, 0)
                break
            item_across = item.width_um if shape.along else item.length_um
            done = item.name if item_across == across else ""
            rest = self.cut(rip, stage, panel, along, item=done)
            pieces.append((item, self.cuts[-1].off))
            panel = rest
        self.leave(panel)
        for item, piece in pieces:
            self.place(item, node.turned, piece, stage + 1, name)


def saw(
    instance: Instance,
    kind: int,
    tree: Panel,
    names: dict[int, list[str]],
    items: dict[str, Item],
    copies: int,
) -> SheetLayout:
    """The layout of a sheet: where each part lies, and the cuts that free them, in order.

    Args:
        instance: the problem the tree belongs to.
        kind: number of the kind of sheet.
        tree: how the sheet is divided.
        names: for each shape the item names to give out, in order; they are used up.
        items: items by name.
        copies: how many sheets are cut like this one.
    """
    sheet = instance.kinds[kind].sheet
    sawing = _Sawing(instance, names, items)
    first = {FirstCut.RIP: Division.COLUMN, FirstCut.CROSSCUT: Division.ROW}.get(instance.rules.first_cut)
    if first is not None and tree.division not in (first, Division.PART):
        # all of it is one strip of the first stage
        tree = Panel(first, tree.w, tree.h, panels=(tree,))
    sawing.divide(tree, sawing.trim(sheet), 1)
    offcuts = sorted(sawing.offcuts, key=lambda r: (-r.along_x_um * r.along_y_um, r.x_um, r.y_um))
    return SheetLayout(sheet.name, copies, tuple(sawing.placed), tuple(sawing.cuts), tuple(offcuts))
