"""What carries shelves in ring frames: bearers, rails, cleats, notches in the boards, screws through them."""

from __future__ import annotations

from collections.abc import Sequence

from furnigen.catalogue.hardware import places_along
from furnigen.core.facts import NO_FACTS, Fact
from furnigen.core.wording import as_given
from furnigen.drafting.draft import Draft
from furnigen.drafting.ring_frames import RingFrame, RingSizes, fasteners_in_end
from furnigen.joints.chosen import USUAL, ChosenJoint
from furnigen.joints.cleats import LEAST_SCREWS
from furnigen.joints.fastened import butt

SHORT_LINE = 2
"""A line of so few screws has no room for one more."""
IN_ONE_PIECE = "one piece"


def shelf_support(chosen: ChosenJoint, build: str, sizes: RingSizes) -> ChosenJoint:
    """What carries the shelves of a run of ring frames, as the maker chose it, checked against the frames.

    The usual support is a rail in frames of boards on edge, a bearer in flat ones, and a cleat on frames
    sawn in one piece.

    Args:
        chosen: the value of a parameter declared with `furnigen.joint_choice`, whose words are of "usual",
            "bearer", "rail", "cleat", "notch" and "screws", each with the joint it makes with the frame's
            uprights; None for bearer and rail, whose joint `carry_shelves` is given.
        build: one of RING_BUILDS.
        sizes: of the frames' boards.

    Raises: InputError when it does not suit the frames.

    >>> from furnigen import find_stock
    >>> words = (("usual", None), ("bearer", None), ("rail", None), ("cleat", butt()))
    >>> sizes = RingSizes(find_stock("birch-ply-18-2440"), 60.0, "on edge")
    >>> shelf_support(ChosenJoint("support", "usual", None, words), "mitred", sizes).word
    'rail'
    """
    whole = build == IN_ONE_PIECE and not sizes.on_edge
    if chosen.word == USUAL:
        return chosen.option("cleat" if whole else "rail" if sizes.on_edge else "bearer")
    if chosen.word == "rail" and not sizes.on_edge:
        raise chosen.refusal("rails lie in frames of boards on edge", "bearer would fit")
    if whole and chosen.word != "cleat":
        raise chosen.refusal("a frame sawn in one piece carries its shelves on cleats", "cleat would fit")
    return chosen


def check_bearer(support: ChosenJoint, sizes: RingSizes) -> None:
    """Refuse bearers thicker than the boards on edge that they stand between are wide.

    Raises: InputError naming the support.

    >>> from furnigen import find_stock
    >>> sizes = RingSizes(find_stock("birch-ply-18-2440"), 60.0, "on edge")
    >>> check_bearer(ChosenJoint("support", "bearer", None), sizes)
    """
    t = sizes.stock.thickness_mm
    if support.word == "bearer" and sizes.on_edge and sizes.member < t:
        raise support.refusal(
            f"a bearer {as_given(t)} thick stands out of boards on edge {as_given(sizes.member)} wide",
            "rail would fit",
        )


def carry_shelves(
    draft: Draft,
    frames: Sequence[RingFrame],
    shelves: Sequence[str],
    support: ChosenJoint,
    *,
    tall: float,
    bearer_joint: ChosenJoint,
    asked: str | tuple[str, str] | None = None,
) -> dict[tuple[int, int], str]:
    """Place what carries each shelf at each frame, and join it to both; one on a bottom rail needs nothing.

    Bearers stand on edge in the middle of a frame, rails lie flat in it, both as its boards are thick. Cleats
    are strips on the inner faces of boards on edge, and stand beside flat frames: on the inner side of the
    end ones, so that none shows from outside. Shelves are notched into the uprights, or screwed through them.

    Args:
        frames: from the left, all alike.
        shelves: labels from below, their edges against the frames' uprights.
        support: as `shelf_support` gives it.
        tall: height of bearers and cleats (mm); a rail is as high as it is thick.
        bearer_joint: how bearers and rails meet the uprights.
        asked: the recipe's parameter to name when a shelf can not be fixed on what carries it.

    Returns: labels of the cleats beside flat frames, by the numbers of the frame and the shelf, from 1.

    Raises: InputError as `Draft.board` and `Draft.join`.

    >>> from furnigen import dowelled, find_stock, ring_upright, shelves_through
    >>> draft, ply = Draft("rack"), find_stock("birch-ply-18-2440")
    >>> frame = ring_upright(draft, "frame.1", ply, x=100, depth=400, height=900, member=60)
    >>> t = ply.thickness_mm
    >>> shelves = shelves_through(draft, ply, (300.0,), 800, t, 400 - t)
    >>> rail, dowels = ChosenJoint("support", "rail", None), ChosenJoint("joint", "dowelled", dowelled())
    >>> carry_shelves(draft, [frame], shelves, rail, tall=40, bearer_joint=dowels)
    {}
    >>> [p.label for p in draft.done().placements if p.role == "bearer"]
    ['frame.1.rail.1']
    """
    beside = {}
    for n, frame in enumerate(frames, 1):
        for m, shelf in enumerate(shelves, 1):
            if support.word in ("notch", "screws"):
                for side in frame.uprights:
                    draft.join(side, shelf, support.with_fasteners(_in_end(frame)))
            elif draft.box(shelf).lo[2] <= frame.sizes.outline:
                draft.join(frame["bottom"], shelf, butt(), asked=asked)
            elif support.word == "cleat" and frame.sizes.on_edge:
                _cleats_within(draft, frame, shelf, m, support, tall, asked)
            elif support.word == "cleat":
                beside[n, m] = _cleat_beside(draft, frame, shelf, m, support, tall, asked, n == len(frames))
            else:
                _bearer(draft, frame, shelf, m, support.word, tall, bearer_joint, asked)
    return beside


Asked = str | tuple[str, str] | None


def _in_end(frame: RingFrame) -> int | None:
    """Fasteners in the end of a board as wide as the frame's."""
    return fasteners_in_end(frame.sizes.member) if frame.sizes.on_edge else None


def _strip_facts(frame: RingFrame) -> Fact:
    """On edge, a strip that lies level within a frame is no shelf."""
    return Fact.TAKES_NO_GOODS if frame.sizes.on_edge else NO_FACTS


def _cleats_within(
    draft: Draft, frame: RingFrame, shelf: str, m: int, cleat: ChosenJoint, tall: float, asked: Asked
) -> None:
    """A short strip on the inner face of each upright of a frame of boards on edge."""
    stock, box = frame.sizes.stock, draft.box(shelf)
    front, back, z = box.lo[1], box.hi[1], box.lo[2]
    t = stock.thickness_mm
    for side, (y0, y1) in {"front": (front, front + t), "back": (back - t, back)}.items():
        strip = draft.board(
            f"{frame.name}.cleat.{m}.{side}",
            stock,
            (frame.x, y0, z - tall),
            (frame.x + frame.sizes.along, y1, z),
            grain="x",
            face="y",
            role="cleat",
            path=(frame.name,),
            facts=_strip_facts(frame),
        )
        draft.join(frame[side], strip, cleat.with_fasteners(_in_end(frame)))
        draft.join(strip, shelf, butt(), asked=asked)


def _cleat_beside(
    draft: Draft,
    frame: RingFrame,
    shelf: str,
    m: int,
    cleat: ChosenJoint,
    tall: float,
    asked: Asked,
    last: bool,
) -> str:
    """A cleat along the whole depth of a flat frame, to its right, of the last frame to its left."""
    stock, z = frame.sizes.stock, draft.box(shelf).lo[2]
    t = stock.thickness_mm
    x = frame.x - t if last else frame.x + t
    lo, hi = (x, 0.0, z - tall), (x + t, draft.box(frame["back"]).hi[1], z)
    label = draft.board(f"{frame.name}.cleat.{m}", stock, lo, hi, grain="y", role="cleat", path=(frame.name,))
    for side in frame.uprights:
        # on one screw it turns
        screws = max(LEAST_SCREWS, len(places_along(draft.box(side).size[1])))
        draft.join(side, label, cleat.with_fasteners(screws))
    draft.join(label, shelf, butt(), asked=asked)
    return label


def _bearer(
    draft: Draft,
    frame: RingFrame,
    shelf: str,
    m: int,
    kind: str,
    tall: float,
    joint: ChosenJoint,
    asked: Asked,
) -> None:
    """A rail as wide as its frame that lies in it, or a bearer on edge in the middle of it."""
    sizes, box = frame.sizes, draft.box(shelf)
    t, lies = sizes.stock.thickness_mm, kind == "rail"
    high = t if lies else tall
    inset = 0.0 if lies else (sizes.along - t) / 2
    label = draft.board(
        f"{frame.name}.{kind}.{m}",
        sizes.stock,
        (frame.x + inset, box.lo[1], box.lo[2] - high),
        (frame.x + sizes.along - inset, box.hi[1], box.lo[2]),
        grain="y",
        face="z" if lies else "x",
        role="bearer",
        path=(frame.name,),
        facts=_strip_facts(frame),
    )
    ends = _in_end(frame) if lies or not sizes.on_edge else fasteners_in_end(tall)
    at_ends = joint.with_fasteners(ends)
    for side in frame.uprights:
        draft.join(side, label, at_ends)
    usual = len(places_along(box.size[1]))
    # what a frame has to keep it upright are these screws: shoved empty, three in a line are pulled too hard
    screws = usual + 1 if lies and usual > SHORT_LINE else None
    draft.join(label, shelf, butt(screws), asked=asked)
