"""Which of many boxes come within reach of another, without looking at all of them each time.

Plain Python: a piece is described before any numerical library is loaded.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from furnigen.core.pose import Box

TOUCH_MM = 0.01
"""Less than this is touching."""
CELLS_A_BOX = 4
"""A box lies in this many cells on average at most: more cells would find no fewer others."""


class NearBoxes:
    """Boxes by label, sorted into cells along the axis on which they lie least beside each other.

    Args:
        boxes: by label (mm).
    """

    def __init__(self, boxes: Mapping[str, Box]) -> None:
        self._boxes = list(boxes.items())
        self._cells: list[list[int]] = []
        if not boxes:
            return
        lo = [min(box.lo[axis] for box in boxes.values()) for axis in range(3)]
        hi = [max(box.hi[axis] for box in boxes.values()) for axis in range(3)]
        # lengths of all boxes one after the other, in lengths of the whole
        crowds = [
            sum(box.size[axis] for box in boxes.values()) / max(hi[axis] - lo[axis], 1e-9)
            for axis in range(3)
        ]
        self._axis = axis = min(range(3), key=lambda a: crowds[a])
        count = max(1, int(CELLS_A_BOX * len(boxes) / (crowds[axis] + 1.0)))
        count = min(count, len(boxes))
        self._low, self._step = lo[axis], max(hi[axis] - lo[axis], 1e-9) / count
        self._cells = [[] for _ in range(count)]
        for at, (_, box) in enumerate(self._boxes):
            for cell in self._span(box):
                self._cells[cell].append(at)

    def _span(self, box: Box) -> range:
        ends = (int((at - self._low) // self._step) for at in (box.lo[self._axis], box.hi[self._axis]))
        first, last = (min(max(cell, 0), len(self._cells) - 1) for cell in ends)
        return range(first, last + 1)

    def around(self, box: Box) -> Iterator[tuple[str, Box]]:
        """All that may meet a box, and some that do not, in the order they were given."""
        if not self._boxes:
            return
        cells = [self._cells[cell] for cell in self._span(box)]
        for at in cells[0] if len(cells) == 1 else sorted({at for cell in cells for at in cell}):
            yield self._boxes[at]


def boxes_meet(one: Box, two: Box) -> bool:
    """Whether two boxes share room, not just a face."""
    (a, b, c), (d, e, f) = one.lo, one.hi
    (p, q, r), (s, t, u) = two.lo, two.hi
    return (
        (d if d < s else s) - (a if a > p else p) > TOUCH_MM
        and (e if e < t else t) - (b if b > q else q) > TOUCH_MM
        and (f if f < u else u) - (c if c > r else r) > TOUCH_MM
    )
