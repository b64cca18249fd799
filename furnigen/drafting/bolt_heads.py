"""Where boards stand against the face that the heads of bolts lie on."""

from __future__ import annotations

from collections.abc import Mapping

from furnigen.drafting.near_boxes import boxes_meet
from furnigen.joints.cross_bolt import HEAD_HIGH_MM, HEAD_MM
from furnigen.joints.meeting import Meeting, Span, box_of
from furnigen.piece.distinct_parts import Item


def heads_barred(m: Meeting, items: Mapping[str, Item]) -> tuple[Span, ...]:
    """Stretches along a joint, in b's frame, where other boards leave its bolts no room for heads (mm).

    Args:
        m: the meeting.
        items: all placements; their bounds count.
    """
    run, cheek = m.across
    far = m.a_box.hi[m.axis] if m.sign > 0 else m.a_box.lo[m.axis]
    lo, hi = m.shared_on(cheek)
    middle = (lo + hi) / 2
    heads = box_of(
        {
            run: m.shared_on(run),
            cheek: (middle - HEAD_MM / 2, middle + HEAD_MM / 2),
            m.axis: (far, far + HEAD_HIGH_MM) if m.sign > 0 else (far - HEAD_HIGH_MM, far),
        }
    )
    into = m.b.pose.inverse()
    spans = []
    for label, item in items.items():
        if label not in (m.a.label, m.b.label):
            box = item.form.bounds(into @ item.pose)
            if boxes_meet(heads, box):
                spans.append((box.lo[run], box.hi[run]))
    return tuple(spans)
