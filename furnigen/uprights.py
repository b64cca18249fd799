"""Uprights: what carries shelves at each step of a run. Each stands square to X at a low face x.

Ring frames are closed rectangles of thin boards; ladders are two posts with rungs.
"""

from __future__ import annotations

from furnigen.draft import Draft
from furnigen.errors import InputError
from furnigen.parts.forms import Form, mitred, ring
from furnigen.pose import Pose, Vector
from furnigen.stock import Stock

RING_BUILDS = ("mitred", "butted uprights", "butted rails", "one piece")
"""How a ring frame is made: which boards run through at its corners, or sawn from one sheet."""

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
) -> dict[str, str]:
    """Place a closed rectangular frame, `depth` (Y, from 0) by `height` (Z, from the floor), mm.

    Args:
        name: sub-assembly; its boards are name.front, name.back, name.bottom, name.top, or name.ring.
        stock: its thickness is the thickness of the frame along the run.
        x: low face of the frame.
        member: width of its boards, in the plane of the frame.
        build: one of RING_BUILDS.

    Returns: label of the board at each of front, back, bottom, top.

    Errors: InputError when the members leave no window, or the build is unknown.
    """
    if build not in RING_BUILDS:
        raise InputError("build of the frame", build, f"must be one of {', '.join(RING_BUILDS)}")
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
    m = member
    through = build == "butted uprights"  # the uprights run the whole height, the rails butt between
    y, z = (m, 0.0) if through else (0.0, m)
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
            role="frame upright" if grain == "z" else "frame rail",
            path=(name,),
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

    Errors: InputError when posts or rungs leave no room.
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
