"""An independent check of layouts: complete, inside, kerf kept, every cut right through, rules kept.

Nothing here is shared with the search: it starts from the positions of the parts and the list of cuts alone.
That a set of parts can be cut apart by cuts right through is found by cutting wherever one kerf's width is
free from edge to edge: any part of a set that can be cut apart can be cut apart too, so no choice is ever
wrong.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

from furnigen.cutting.layout import BarSolution, Cut, Placed, Rect, SheetLayout, SheetSolution
from furnigen.cutting.problem import BarProblem, FirstCut, MatchedRow, Rules, Sheet, SheetProblem

Box = tuple[int, int, int, int]
"""x, y, and the far x and y."""


def check_sheets(problem: SheetProblem, solution: SheetSolution) -> list[str]:
    """Faults of a solution, one sentence each; none when all is sound."""
    faults = []
    sheets = {s.name: s for s in problem.sheets}
    used: Counter[str] = Counter()
    got: Counter[str] = Counter(solution.unfitted)
    rows: Counter[str] = Counter()
    for number, layout in enumerate(solution.layouts, 1):
        where = f"layout {number}"
        used[layout.sheet] += layout.copies
        for placed in layout.placed:
            got[placed.item] += layout.copies
        if layout.sheet not in sheets:
            faults.append(f"{where}: there is no sheet {layout.sheet}")
            continue
        faults += [f"{where}: {f}" for f in check_layout(problem, sheets[layout.sheet], layout)]
        for name in {p.row for p in layout.placed} - {""}:
            rows[name] += layout.copies * _rows_of(name, layout, problem)
    for item in problem.items:
        if got[item.name] != item.quantity:
            faults.append(f"{got[item.name]} of {item.name} accounted for, {item.quantity} wanted")
    for matched in problem.matched:
        short = matched.quantity - rows[matched.name]
        if short > min(solution.unfitted.get(n, 0) for n in matched.items):
            faults.append(f"{rows[matched.name]} of {matched.quantity} rows {matched.name} laid out")
    for name, count in used.items():
        copies = sheets[name].copies if name in sheets else None
        if copies is not None and count > copies:
            faults.append(f"{count} sheets {name} used, {copies} are there")
    if dict(used) != solution.used:
        faults.append("the number of sheets used differs from the layouts")
    return faults


def check_layout(problem: SheetProblem, sheet: Sheet, layout: SheetLayout) -> list[str]:
    """Faults of one layout."""
    faults = []
    t, rules = sheet.trims, problem.rules
    clear = (t.left_um, t.bottom_um, sheet.length_um - t.right_um, sheet.width_um - t.top_um)
    items = {i.name: i for i in problem.items}
    boxes = [box_of(p) for p in layout.placed]
    for placed, box in zip(layout.placed, boxes, strict=True):
        item = items.get(placed.item)
        if item is None or (item.length_um, item.width_um) != (placed.length_um, placed.width_um):
            faults.append(f"{placed.item} is not of its size")
        elif placed.turned and sheet.grain and not item.turnable:
            faults.append(f"{placed.item} lies across the grain")
        if not (clear[0] <= box[0] and clear[1] <= box[1] and box[2] <= clear[2] and box[3] <= clear[3]):
            faults.append(f"{placed.item} reaches over the trimmed edge")
    if not can_be_cut(boxes, rules.kerf_um):
        faults.append("cuts right through do not part it with the kerf kept")
    elif rules.stages is not None:
        needed = stages_needed(clear, boxes, rules)
        if needed > rules.stages:
            faults.append(f"it takes {needed} stages, {rules.stages} are allowed")
    faults += replay(sheet, layout, rules)
    return faults + [f for m in problem.matched for f in _row_faults(m, layout, rules.kerf_um)]


def box_of(placed: Placed) -> Box:
    """The rectangle a part covers."""
    x, y = placed.x_um, placed.y_um
    return x, y, x + placed.along_x_um, y + placed.along_y_um


def groups(boxes: list[Box], kerf: int, axis: int) -> list[list[Box]]:
    """Boxes parted wherever a kerf is free right across: axis 0 by crosscuts, 1 by rips."""
    found: list[list[Box]] = []
    end = 0
    for box in sorted(boxes, key=lambda b: b[axis]):
        if found and box[axis] < end + kerf:
            found[-1].append(box)
            end = max(end, box[axis + 2])
        else:
            found.append([box])
            end = box[axis + 2]
    return found


def can_be_cut(boxes: list[Box], kerf: int) -> bool:
    """Whether cuts right through part all boxes, one kerf between any two.

    >>> can_be_cut([(0, 0, 2, 1), (2, 0, 3, 2), (1, 2, 3, 3), (0, 1, 1, 3)], 0)
    False
    >>> can_be_cut([(0, 0, 2, 3), (2, 0, 3, 2), (2, 2, 3, 3)], 0)
    True
    """
    work = [(boxes, 0, 0)]
    while work:
        boxes, axis, stuck = work.pop()
        if len(boxes) < 2:
            continue
        parted = groups(boxes, kerf, axis)
        if len(parted) == 1:
            if stuck:
                return False
            work.append((boxes, 1 - axis, 1))
        else:
            work += [(g, 1 - axis, 0) for g in parted]
    return True


def stages_needed(clear: Box, boxes: list[Box], rules: Rules) -> int:
    """Fewest stages that cut boxes out of a panel, the cut that trims a part not counted where it is
    allowed."""
    axes = {FirstCut.EITHER: (0, 1), FirstCut.CROSSCUT: (0,), FirstCut.RIP: (1,)}[rules.first_cut]
    return min(_stages(clear, boxes, axis, rules, 1) for axis in axes)


def _stages(panel: Box, boxes: list[Box], axis: int, rules: Rules, stage: int) -> int:
    """The last stage used when a panel is next cut along `axis` at `stage`."""
    if len(boxes) == 1:
        over = sum(panel[k] != boxes[0][k] or panel[k + 2] != boxes[0][k + 2] for k in (0, 1))
        spared = 1 if rules.trimming and not rules.equal_last else 0
        return stage - 1 + max(0, over - spared)
    parted = groups(boxes, rules.kerf_um, axis)
    if len(parted) == 1 and all(_extent(boxes, axis)[k] == panel[axis + 2 * k] for k in (0, 1)):
        # the whole panel is one strip
        return _stages(panel, boxes, 1 - axis, rules, stage + (rules.first_cut is not FirstCut.EITHER))
    last = stage
    for group in parted:
        cell = list(panel)
        cell[axis], cell[axis + 2] = _extent(group, axis)
        last = max(last, _stages((cell[0], cell[1], cell[2], cell[3]), group, 1 - axis, rules, stage + 1))
    return last


def _extent(boxes: list[Box], axis: int) -> tuple[int, int]:
    return min(b[axis] for b in boxes), max(b[axis + 2] for b in boxes)


def replay(sheet: Sheet, layout: SheetLayout, rules: Rules) -> list[str]:
    """Saw a sheet by its list of cuts: what is wrong with them, and parts that do not come off."""
    faults = []
    panels: list[Rect] = [Rect(0, 0, sheet.length_um, sheet.width_um)]
    most = None if rules.stages is None else rules.stages + (rules.trimming and not rules.equal_last)
    for number, cut in enumerate(layout.cuts, 1):
        if cut.number != number:
            faults.append(f"cut {number} is numbered {cut.number}")
        if cut.panel not in panels:
            faults.append(f"cut {number} is of a panel that is not there")
            continue
        panels.remove(cut.panel)
        panels += _after(cut, rules.kerf_um)
        if most is not None and cut.stage > most:
            faults.append(f"cut {number} is of stage {cut.stage}, {most} are allowed")
        if (
            cut.stage == 1
            and rules.first_cut is not FirstCut.EITHER
            and cut.rip != (rules.first_cut is FirstCut.RIP)
        ):
            faults.append(f"cut {number} of the first stage is no {rules.first_cut.value}")
        limit = rules.largest_strip_um
        if cut.stage and cut.rip and limit is not None and cut.stop_um > limit:
            faults.append(f"cut {number} needs its fence at {cut.stop_um}, {limit} is the most")
    for placed in layout.placed:
        x0, y0, x1, y1 = box_of(placed)
        part = Rect(x0, y0, x1 - x0, y1 - y0)
        if part not in panels:
            faults.append(f"{placed.item} at {x0}, {y0} does not come off by the cuts")
        else:
            panels.remove(part)
    faults += [f"offcut at {r.x_um}, {r.y_um} does not come off" for r in layout.offcuts if r not in panels]
    return faults


def _after(cut: Cut, kerf: int) -> Iterator[Rect]:
    """What a cut leaves of its panel."""
    p, at = cut.panel, cut.at_um
    near, far = (at - kerf, at) if cut.far else (at, at + kerf)
    if cut.rip:
        end = p.y_um + p.along_y_um
        yield Rect(p.x_um, p.y_um, p.along_x_um, max(0, min(near, end) - p.y_um))
        yield Rect(p.x_um, far, p.along_x_um, max(0, end - far))
    else:
        end = p.x_um + p.along_x_um
        yield Rect(p.x_um, p.y_um, max(0, min(near, end) - p.x_um), p.along_y_um)
        yield Rect(far, p.y_um, max(0, end - far), p.along_y_um)


def _rows_of(name: str, layout: SheetLayout, problem: SheetProblem) -> int:
    sizes = {m.name: len(m.items) for m in problem.matched}
    return sum(p.row == name for p in layout.placed) // sizes.get(name, 1)


def _row_faults(matched: MatchedRow, layout: SheetLayout, kerf: int) -> list[str]:
    """Whether the items of a matched row follow each other in order, one kerf apart."""
    members = [p for p in layout.placed if p.row == matched.name]
    size = len(matched.items)
    if len(members) % size:
        return [f"row {matched.name} is torn apart"]
    faults = []
    for k in range(0, len(members), size):
        group = members[k : k + size]
        if tuple(p.item for p in group) != matched.items:
            faults.append(f"row {matched.name} is not in order")
        for one, two in pairwise(group):
            a, b = box_of(one), box_of(two)
            axis = 0 if matched.along != one.turned else 1
            if one.turned != two.turned or b[axis] != a[axis + 2] + kerf or a[1 - axis] != b[1 - axis]:
                faults.append(f"{two.item} does not follow {one.item} in row {matched.name}")
    return faults


def check_bars(problem: BarProblem, solution: BarSolution) -> list[str]:
    """Faults of a solution for bars."""
    faults = []
    bars = {b.name: b for b in problem.bars}
    lengths = {p.name: p.length_um for p in problem.pieces}
    got: Counter[str] = Counter(solution.unfitted)
    used: Counter[str] = Counter()
    for number, layout in enumerate(solution.layouts, 1):
        bar = bars[layout.bar]
        used[layout.bar] += layout.copies
        end = bar.trim_start_um
        first = True
        for placed in sorted(layout.placed, key=lambda p: p.x_um):
            got[placed.piece] += layout.copies
            start, stop = placed.x_um, placed.x_um + placed.length_um
            if placed.length_um != lengths.get(placed.piece):
                faults.append(f"layout {number}: {placed.piece} is not of its length")
            if start < end + (0 if first else problem.kerf_um):
                faults.append(f"layout {number}: {placed.piece} begins before the kerf ends")
            if stop > bar.length_um - bar.trim_end_um:
                faults.append(f"layout {number}: {placed.piece} reaches over the end")
            if any(start < d1 and d0 < stop for d0, d1 in bar.defects):
                faults.append(f"layout {number}: {placed.piece} lies over a defect")
            end, first = stop, False
    for piece in problem.pieces:
        if got[piece.name] != piece.quantity:
            faults.append(f"{got[piece.name]} of {piece.name} accounted for, {piece.quantity} wanted")
    for name, count in used.items():
        copies = bars[name].copies
        if copies is not None and count > copies:
            faults.append(f"{count} bars {name} used, {copies} are there")
    if dict(used) != solution.used:
        faults.append("the number of bars used differs from the layouts")
    return faults
