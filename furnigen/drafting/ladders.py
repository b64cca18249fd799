"""Ladders: uprights of two posts with rungs between, which shelves lie on."""

from __future__ import annotations

from furnigen.catalogue.stock import Stock
from furnigen.core.errors import InputError
from furnigen.core.wording import as_given, in_words
from furnigen.drafting.draft import Draft


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

    >>> from furnigen import Draft, find_stock
    >>> draft, board = Draft("rack"), find_stock("birch-ply-18")
    >>> sizes = {"x": 0, "depth": 300, "height": 900, "post": 60, "rung": 40}
    >>> parts = ladder_upright(draft, "ladder.1", board, board, **sizes, rung_tops=(200.0, 600.0))
    >>> sorted(parts)
    ['back', 'front', 'rung.1', 'rung.2']
    """
    if 2 * post >= depth:
        raise InputError(
            "post width",
            as_given(post),
            f"must be less than {as_given(depth / 2)}, half the depth",
        )
    if rung_stock.thickness_mm > post_stock.thickness_mm:
        raise InputError(
            "rung stock",
            rung_stock.name,
            f"is {as_given(rung_stock.thickness_mm)} thick, more than the post's"
            f" {as_given(post_stock.thickness_mm)}",
        )
    lowest = 0.0
    for top in rung_tops:
        if top - rung < lowest or top > height:
            raise InputError(
                "rung at",
                in_words(top),
                f"a rung {as_given(rung)} high must lie between {in_words(lowest, height, between=' and ')}",
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
