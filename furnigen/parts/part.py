"""A part: one distinct thing to make, and the rule that tells when two are the same.

Two boards that become the same by turning over are one part. So every part is turned into one
canonical position before it is compared: of all proper rotations that keep its blank in place, the
one with the smallest key. A mirror image that no rotation reaches is another part, of other hand.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from furnigen.catalogue.stock import Stock
from furnigen.core.caches import PART_KEYS, kept
from furnigen.core.pose import Pose, Vector
from furnigen.parts.cuts import SAME_MM, Cut, CutKey, on_size_grid, unsigned
from furnigen.parts.forms.form import Form
from furnigen.parts.forms.outline import Outline
from furnigen.parts.forms.prism import Prism
from furnigen.parts.forms.rod import Rod
from furnigen.parts.forms.square_leg import SquareLeg
from furnigen.parts.forms.turned_leg import TurnedLeg

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


def _outline_key(outline: Outline) -> CutKey:
    points = [on_size_grid((x, y, 0.0))[:2] for x, y in outline]
    first = points.index(min(points))
    return tuple(points[first:] + points[:first])


def _form_key(form: Form) -> CutKey:
    if isinstance(form, Prism):
        return (
            "prism",
            *on_size_grid(form.blank_mm),
            _outline_key(form.corners),
            *sorted(_outline_key(w) for w in form.windows),
        )
    if isinstance(form, Rod):
        return ("rod", *on_size_grid(form.blank_mm))
    if isinstance(form, TurnedLeg):
        return ("turned leg", *on_size_grid((form.height, form.top, form.foot)), round(form.lean, 6))
    if isinstance(form, SquareLeg):
        return (
            "square leg",
            *on_size_grid((form.height, form.top, form.foot)),
            round(form.lean_x, 6),
            round(form.lean_y, 6),
        )
    return ("custom", repr(form))


def _turns(form: Form, plain: bool) -> Iterator[tuple[Form, Pose]]:
    """Every (form, pose) pair with pose(form) equal to the given form, pose a proper rotation.

    A form without cuts (`plain`) that is alike in all its positions needs only one of them.
    """
    yield form, Pose()
    if plain and not (isinstance(form, Prism) and not form.rectangular):
        return
    if isinstance(form, Prism):
        a, b, c = form.blank_mm
        about = {"x": (0.0, b, c), "y": (a, 0.0, c), "z": (a, b, 0.0)}
        halves = {axis: Pose.turned(axis, 180.0, origin) for axis, origin in about.items()}
        for axis, pose in halves.items():
            yield form.turned_about(axis), pose
        if form.rectangular and abs(b - c) < SAME_MM:
            quarter = Pose.turned("x", 90.0, (0.0, b, 0.0))
            for pose in (Pose(), *halves.values()):
                yield form, quarter @ pose
    elif isinstance(form, Rod):
        d = form.diameter
        end_for_end = Pose.turned("z", 180.0, (form.length, d, 0.0))
        for degrees in (0.0, 90.0, 180.0, 270.0):
            middle = Pose.at(0.0, d / 2, d / 2)
            spin = middle @ Pose.turned("x", degrees) @ middle.inverse()
            if degrees:
                yield form, spin
            yield form, spin @ end_for_end
    elif isinstance(form, SquareLeg) and form.lean == 0.0:
        for degrees in (90.0, 180.0, 270.0):
            yield form, Pose.turned("z", degrees)


@kept(PART_KEYS)
def canonical(form: Form, cuts: tuple[Cut, ...]) -> tuple[CutKey, Form, tuple[Cut, ...], Pose]:
    """The canonical position of a form with cuts.

    Returns:
        key: equal for forms that a proper rotation makes the same;
        form, cuts: in canonical position;
        pose: sends the canonical form onto the given one.
    """
    turns = list(_turns(form, not cuts))
    first: list[CutKey] = [()] * len(turns)
    if len(turns) > 1:
        # cuts are met in full only where the outline and the middle of all cuts leave a choice
        middle = _middle(cuts)
        first = [(_form_key(other), on_size_grid(pose.inverse().apply(middle))) for other, pose in turns]
    least = min(first)
    best: tuple[CutKey, Form, tuple[Cut, ...], Pose] | None = None
    for (other, pose), known in zip(turns, first, strict=True):
        if known != least:
            continue
        back = pose.inverse()
        keyed = sorted(((c.key(), c) for c in (c.moved(back) for c in cuts)), key=lambda pair: pair[0])
        key = (_form_key(other), tuple(k for k, _ in keyed))
        if best is None or key < best[0]:
            best = (key, other, tuple(c for _, c in keyed), pose)
    assert best is not None
    # equal forms and cuts must be alike to the sign of a zero, for solids and meshes are kept by them
    return best[0], _unsigned_outline(best[1]), tuple(unsigned(c) for c in best[2]), best[3].unsigned()


def _unsigned_outline(form: Form) -> Form:
    if not isinstance(form, Prism) or not (form.outline or form.windows):
        return form
    outline, *windows = (tuple((x + 0.0, y + 0.0) for x, y in o) for o in (form.outline, *form.windows))
    return replace(form, outline=outline, windows=tuple(windows))


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
