"""A part: one distinct thing to make, and the rule by which two are the same.

Two boards that become the same by turning over are one part. So every part is turned into one
canonical position before it is compared: of all proper rotations that keep its blank in place, the
one with the smallest key. A mirror image that no rotation reaches is another part, of other hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from furnigen.catalogue.stock import Stock
from furnigen.core.caches import PART_KEYS, kept
from furnigen.core.pose import Pose, Vector
from furnigen.parts.cuts import Cut, CutKey, on_size_grid, unsigned
from furnigen.parts.forms.form import Form

if TYPE_CHECKING:
    from cadquery import Solid


@dataclass(frozen=True)
class Part:
    """One distinct thing to make.

    Attributes:
        name: what it is called in lists, unique in a piece.
        form: its shape before joints are cut.
        stock: what it is cut from.
        cuts: what joints take out, in the form's frame.
        hand: "left" or "right" for a handed pair, else "".

    >>> from furnigen import find_stock, rectangle
    >>> Part("shelf", rectangle(600, 200, 17.6), find_stock("birch-ply-18")).form.kind
    'board'
    """

    name: str
    form: Form
    stock: Stock
    cuts: tuple[Cut, ...] = ()
    hand: str = ""

    def to_cadquery(self) -> Solid:
        """The part's solid, joints cut, as a `cadquery.Solid`; mm, in the part's own frame.

        Length runs along x, width along y, thickness along z.

        Raises: GeometryError when the kernel makes no valid single solid of it, or CadQuery can not start.

        >>> from furnigen import find_recipe
        >>> shelf = find_recipe("ring_rack")().parts[0]
        >>> shelf.to_cadquery().isValid()
        True
        """
        from furnigen import to_cadquery  # the face finds the kernel, which stands above parts

        return to_cadquery(self)


@kept(PART_KEYS)
def canonical(form: Form, cuts: tuple[Cut, ...]) -> tuple[CutKey, Form, tuple[Cut, ...], Pose]:
    """The canonical position of a form with cuts.

    Returns:
        key: equal for forms that a proper rotation makes the same;
        form, cuts: in canonical position;
        pose: sends the canonical form onto the given one.
    """
    turns: list[tuple[Form, Pose]] = [(form, Pose())]
    if cuts or not form.same_when_turned:
        turns += form.turns()
    first: list[CutKey] = [()] * len(turns)
    if len(turns) > 1:
        # cuts are met in full only where the outline and the middle of all cuts leave a choice
        middle = _middle(cuts)
        first = [(other.key(), on_size_grid(pose.inverse().apply(middle))) for other, pose in turns]
    least = min(first)
    best: tuple[CutKey, Form, tuple[Cut, ...], Pose] | None = None
    for (other, pose), known in zip(turns, first, strict=True):
        if known != least:
            continue
        back = pose.inverse()
        keyed = sorted(((c.key(), c) for c in (c.moved(back) for c in cuts)), key=lambda pair: pair[0])
        key = (other.key(), tuple(k for k, _ in keyed))
        if best is None or key < best[0]:
            best = (key, other, tuple(c for _, c in keyed), pose)
    assert best is not None
    # equal forms and cuts must be alike to the sign of a zero, for solids and meshes are kept by them
    return best[0], best[1].unsigned(), tuple(unsigned(c) for c in best[2]), best[3].unsigned()


def _middle(cuts: Sequence[Cut]) -> Vector:
    """The mean of the middles of some cuts; it moves with them, whatever their order."""
    points = [c.middle for c in cuts]
    n = len(points) or 1
    return sum(p[0] for p in points) / n, sum(p[1] for p in points) / n, sum(p[2] for p in points) / n


def mirror_key(form: Form, cuts: tuple[Cut, ...]) -> CutKey | None:
    """The canonical key of the mirror image; None when it is not known."""
    image = form.mirrored()
    if image is None:
        return None
    other, pose = image
    back = pose.inverse()
    return canonical(other, tuple(c.reflected().moved(back) for c in cuts))[0]


def renamed(part: Part, name: str, hand: str = "") -> Part:
    """`part` under another name."""
    return replace(part, name=name, hand=hand)
