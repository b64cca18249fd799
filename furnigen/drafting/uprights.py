"""Uprights: what carries shelves at each step of a run. Each stands square to X at a low face x.

Ring frames are closed rectangles of thin boards, set on edge (their thickness shows in the outline of the
frame) or lying flat in its plane; ladders are two posts with rungs.
"""

from __future__ import annotations

from furnigen.catalogue.stock import Stock
from furnigen.core.errors import InputError
from furnigen.core.facts import NO_FACTS, Fact
from furnigen.core.pose import Pose, Vector
from furnigen.drafting.division import ROUNDING_MM
from furnigen.drafting.draft import Draft
from furnigen.joints.mitre import mitre
from furnigen.joints.spec import Spec
from furnigen.parts.forms.form import Form
from furnigen.parts.forms.prism import mitred, ring
from furnigen.parts.forms.sizes import SMALLEST_MM

RING_BUILDS = ("mitred", "butted uprights", "butted rails", "one piece")
"""How a ring frame is made: which boards run through at its corners, or sawn from one sheet."""
RING_BOARDS = ("on edge", "flat")
"""How the boards of a ring frame stand: their thickness or their width shows in its outline."""

_UP: Vector = (0.0, 0.0, 1.0)
_DOWN: Vector = (0.0, 0.0, -1.0)
_BACK: Vector = (0.0, 1.0, 0.0)
_FORWARD: Vector = (0.0, -1.0, 0.0)
_LEFT: Vector = (-1.0, 0.0, 0.0)
_RIGHT: Vector = (1.0, 0.0, 0.0)


def ring_upright(
    draft: Draft,
    name: str,
    stock: Stock,
    *,
    x: float,
    depth: float,
    height: float,
    member: float,
    build: str = "mitred",
    boards: str = "on edge",
    corner: Spec | None = None,
    asked: tuple[str, str] | None = None,
) -> dict[str, str]:
    """Place a closed rectangular frame, `depth` (Y, from 0) by `height` (Z, from the floor), mm.

    Args:
        name: sub-assembly; its boards are name.front, name.back, name.bottom, name.top, or name.ring.
        stock: of the boards; its thickness shows in the outline of a frame of boards on edge, and is the
            thickness along the run of a frame of flat ones.
        x: low face of the frame.
        member: width of its boards: along the run on edge, in the plane of the frame when flat.
        build: one of RING_BUILDS.
        boards: one of RING_BOARDS.
        corner: joint of its corners, from `furnigen.joints`, such as mitre("spline"); None leaves them to
            `Draft.join`, but boards on edge that are to be mitred, which that joint saws, are glued.
        asked: the recipe's parameter the corner was chosen by, and its value (see `Draft.join`).

    Returns: label of the board at each of front, back, bottom, top.

    Raises: InputError when the boards leave no window, or the build or boards are unknown.
    """
    if build not in RING_BUILDS:
        raise InputError("build of the frame", build, f"must be one of {', '.join(RING_BUILDS)}")
    if boards not in RING_BOARDS:
        raise InputError("boards of the frame", boards, f"must be {' or '.join(RING_BOARDS)}")
    size = {"x": x, "depth": depth, "height": height, "member": member}
    if boards == "flat":
        sides = _flat_ring(draft, name, stock, build=build, **size)
    else:
        sides = _ring_on_edge(draft, name, stock, build=build, **size)
        if build == "mitred" and corner is None:
            corner = mitre()
    if corner is not None and build != "one piece":
        for upright in ("front", "back"):
            for rail in ("bottom", "top"):
                a, b = (upright, rail) if build != "butted rails" else (rail, upright)
                draft.join(sides[a], sides[b], corner, asked=asked)
    return sides


def _ring_on_edge(
    draft: Draft, name: str, stock: Stock, *, x: float, depth: float, height: float, member: float, build: str
) -> dict[str, str]:
    """Boards whose width runs along the run; those to be mitred stand butting until that joint saws them.

    Raises: InputError when they leave no window, or the frame is to be sawn from one sheet.
    """
    if build == "one piece":
        raise InputError(
            "build of the frame",
            build,
            "a frame sawn from one sheet lies flat",
            "flat boards would fit",
        )
    t, least = stock.thickness_mm, min(depth, height)
    if 2 * t > least - SMALLEST_MM - ROUNDING_MM:
        raise InputError(
            "thickness of the frame's boards",
            f"{t:g} mm",
            f"leaves no window in a frame {depth:g} mm deep and {height:g} mm high",
            f"less than {least / 2:.1f} mm would fit",
        )
    through = build != "butted rails"
    return _butted(draft, name, stock, (x, x + member), depth, height, t, through=through, on_edge=True)


def _flat_ring(
    draft: Draft, name: str, stock: Stock, *, x: float, depth: float, height: float, member: float, build: str
) -> dict[str, str]:
    """Boards that lie in the plane of the frame.

    Raises: InputError when they leave no window.
    """
    ring(height, depth, stock.thickness_mm, member)  # refuses members that leave no window
    x1 = x + stock.thickness_mm
    sides = ("front", "back", "bottom", "top")
    if build == "one piece":
        form = ring(height, depth, stock.thickness_mm, member)
        pose = Pose.columns(_UP, _BACK, _LEFT, (x1, 0.0, 0.0))
        label = draft.place(f"{name}.ring", form, stock, pose, role="ring frame", path=(name,))
        return dict.fromkeys(sides, label)
    if build == "mitred":
        t = stock.thickness_mm
        long, short = mitred(height, member, t), mitred(depth, member, t)
        # the outer edge of each board is its y = 0, so its width points into the window
        stands: dict[str, tuple[Form, str, Pose]] = {
            "front": (long, "frame upright", Pose.columns(_UP, _BACK, _LEFT, (x1, 0.0, 0.0))),
            "back": (long, "frame upright", Pose.columns(_UP, _FORWARD, _RIGHT, (x, depth, 0.0))),
            "bottom": (short, "frame rail", Pose.columns(_BACK, _UP, _RIGHT, (x, 0.0, 0.0))),
            "top": (short, "frame rail", Pose.columns(_BACK, _DOWN, _LEFT, (x1, 0.0, height))),
        }
        return {
            side: draft.place(f"{name}.{side}", form, stock, pose, role=role, path=(name,))
            for side, (form, role, pose) in stands.items()
        }
    through = build == "butted uprights"
    return _butted(draft, name, stock, (x, x1), depth, height, member, through=through, on_edge=False)


def _butted(
    draft: Draft,
    name: str,
    stock: Stock,
    run: tuple[float, float],
    depth: float,
    height: float,
    m: float,
    *,
    through: bool,
    on_edge: bool,
) -> dict[str, str]:
    """Four boards that butt.

    Args:
        run: from where to where the frame reaches along X.
        m: size of its boards in its outline.
        through: the uprights run the whole height and the rails butt between them; else the rails run the
            whole depth.
    """
    (x, x1), (y, z) = run, (m, 0.0) if through else (0.0, m)
    # on edge the thickness lies in the plane of the frame, across each board
    faces = {"z": "y", "y": "z"} if on_edge else {"z": "x", "y": "x"}
    boxes = {
        "front": ((x, 0.0, z), (x1, m, height - z), "z"),
        "back": ((x, depth - m, z), (x1, depth, height - z), "z"),
        "bottom": ((x, y, 0.0), (x1, depth - y, m), "y"),
        "top": ((x, y, height - m), (x1, depth - y, height), "y"),
    }
    return {
        side: draft.board(
            f"{name}.{side}",
            stock,
            lo,
            hi,
            grain=grain,
            face=faces[grain],
            role="frame upright" if grain == "z" else "frame rail",
            path=(name,),
            facts=Fact.TAKES_NO_GOODS if on_edge and grain == "y" else NO_FACTS,
        )
        for side, (lo, hi, grain) in boxes.items()
    }


def ladder_upright(
    draft: Draft,
    name: str,
    post_stock: Stock,
    rung_stock: Stock,
    *,
    x: float,
    depth: float,
    height: float,
    post: float,
    rung: float,
    rung_tops: tuple[float, ...],
) -> dict[str, str]:
    """Place a ladder: two posts and a rung below each height of `rung_tops` (mm).

    Args:
        name: sub-assembly; its parts are name.front, name.back, name.rung.1 ...
        x: low face of the posts; rungs are centred in their thickness.
        post: width of the posts, front to back.
        rung: height of the rungs.
        rung_tops: upper edges of the rungs above the floor, rising.

    Returns: label of each part by "front", "back", "rung.1" ...

    Raises: InputError when posts or rungs leave no room.
    """
    if 2 * post >= depth:
        raise InputError("post width", f"{post:g} mm", f"must be less than {depth / 2:g} mm, half the depth")
    if rung_stock.thickness_mm > post_stock.thickness_mm:
        raise InputError(
            "rung stock",
            rung_stock.name,
            f"is {rung_stock.thickness_mm:g} mm thick, more than the post's {post_stock.thickness_mm:g} mm",
        )
    lowest = 0.0
    for top in rung_tops:
        if top - rung < lowest or top > height:
            raise InputError(
                "rung at",
                f"{top:.1f} mm",
                f"a rung {rung:g} mm high must lie between {lowest:.1f} and {height:.1f} mm",
            )
        lowest = top
    x1 = x + post_stock.thickness_mm
    made = {
        "front": ((x, 0.0, 0.0), (x1, post, height)),
        "back": ((x, depth - post, 0.0), (x1, depth, height)),
    }
    labels = {
        side: draft.board(f"{name}.{side}", post_stock, lo, hi, grain="z", role="post", path=(name,))
        for side, (lo, hi) in made.items()
    }
    inset = (post_stock.thickness_mm - rung_stock.thickness_mm) / 2
    a, b = x + inset, x + inset + rung_stock.thickness_mm
    for n, top in enumerate(rung_tops, 1):
        labels[f"rung.{n}"] = draft.board(
            f"{name}.rung.{n}",
            rung_stock,
            (a, post, top - rung),
            (b, depth - post, top),
            grain="y",
            role="rung",
            path=(name,),
        )
    return labels
