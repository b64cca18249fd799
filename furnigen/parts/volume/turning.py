"""What turning the end of a part down to a round tenon takes off, in closed form."""

from __future__ import annotations

from math import pi, radians, sin

from furnigen.core.pose import dot
from furnigen.parts.cuts import Cut, FlatCut, Turned
from furnigen.parts.forms.form import Form
from furnigen.parts.volume.bores import bore_span
from furnigen.parts.volume.polytope import ON_MM, Moments, added
from furnigen.parts.volume.round_holes import GrazesError


def removed_by_turning(form: Form, cut: Turned) -> Moments:
    """All of a form beyond the shoulder, less the tenon that stays.

    Raises: GrazesError where the tenon leaves the wood, or no closed form is known.
    """
    beyond, length = _beyond(form, cut)
    lean = dot(cut.normal, cut.axis)
    # between two parallel planes every line along the tenon is equally long
    v = pi * cut.diameter**2 / 4 * length / lean
    middle = [cut.origin[i] + cut.axis[i] * length / lean / 2 for i in range(3)]
    # the ends are cut askew alike, so the tenon's middle is its centre of mass
    return added(beyond, (v, v * middle[0], v * middle[1], v * middle[2]), -1.0)


def _beyond(form: Form, cut: Turned) -> tuple[Moments, float]:
    """What a form has beyond the shoulder, and how far it reaches there; GrazesError where unknown."""
    n, o, r = cut.normal, cut.origin, cut.diameter / 2
    leg = form.as_leg
    if leg is not None:
        if n[2] < 1 - ON_MM or not 0 < o[2] < leg.height:
            raise GrazesError
        low = leg.below(o[2])
        v, c = form.volume_mm3, form.centroid_mm
        w, d = low.volume_mm3, low.centroid_mm
        shift = leg.axis_at(o[2])
        whole: Moments = (v, v * c[0], v * c[1], v * c[2])
        below: Moments = (w, w * (d[0] + shift[0]), w * (d[1] + shift[1]), w * d[2])
        # askew ends reach this much further along the taper
        over = r * sin(radians(leg.lean))
        if min(leg.half_at(o[2] - over), leg.half_at(leg.height + over)) < r - ON_MM:
            raise GrazesError
        return added(whole, below, -1.0), leg.height - o[2]
    axis = max(range(3), key=lambda i: abs(n[i]))
    square = abs(n[axis]) > 1 - ON_MM and dot(n, cut.axis) > 1 - ON_MM
    section = form.section_mm2(axis)
    if not square or section is None:
        raise GrazesError
    box = form.bounds()
    length = (box.hi[axis] - o[axis]) if n[axis] > 0 else (o[axis] - box.lo[axis])
    across = [i for i in range(3) if i != axis]
    room = min(min(o[i] - box.lo[i], box.hi[i] - o[i]) for i in across)
    if length <= 0 or room < r - ON_MM:
        raise GrazesError
    middle = list(box.centre)
    middle[axis] = o[axis] + (length if n[axis] > 0 else -length) / 2
    v = section * length
    return (v, v * middle[0], v * middle[1], v * middle[2]), length


def beyond_shoulder(turned: Turned, other: Cut) -> bool:
    """Whether another cut reaches into the wood that is turned away."""
    if isinstance(other, Turned):
        return dot(turned.normal, other.normal) > -1 + ON_MM
    corners = other.corners() if isinstance(other, FlatCut) else bore_span(other).corners()
    reach = max(dot(turned.normal, p) for p in corners)
    return reach > dot(turned.normal, turned.origin) + ON_MM
