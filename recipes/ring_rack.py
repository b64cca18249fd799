"""A run of ring-frame uprights; thin shelves pass through all of them and overhang both ends."""

from itertools import pairwise

from furnigen import (
    RING_BUILDS,
    Draft,
    InputError,
    Piece,
    Stock,
    asked_as,
    butt,
    choice,
    count,
    dowelled,
    from_stock,
    half_lap,
    housing,
    length,
    levels,
    mitre,
    recipe,
    ring_upright,
    tenon,
    upright_places,
)

CORNERS = {
    "glued": mitre,
    "spline": lambda: mitre("spline"),
    "key": lambda: mitre("key"),
    "dowelled": dowelled,
    "tenoned": tenon,
    "half-lap": half_lap,
    "screwed": butt,
}
MITRED = ("glued", "spline", "key")
USUAL_CORNER = {"mitred": "spline", "butted uprights": "dowelled", "butted rails": "dowelled"}
BEARER_JOINTS = {"dowelled": dowelled, "tenoned": tenon, "screwed": butt}
SUPPORTS = ("usual", "bearer", "cleat", "notch")


@recipe("A run of ring-frame uprights with thin shelves passing through them")
def ring_rack(
    width: float = length("1800 mm", "500 mm", "6 m", "length of the shelves, overhangs included"),
    depth: float = length("400 mm", "150 mm", "900 mm", "depth of the frames, front to back"),
    height: float = length("1800 mm", "300 mm", "2.8 m", "height of the frames"),
    frames: int = count(3, 2, 40, "frames at equal steps, the end ones an overhang in from the shelf ends"),
    overhang: float = length("150 mm", "0 mm", "600 mm", "how far the shelves reach past the end frames"),
    shelves: int = count(4, 1, 16, "shelves at equal steps"),
    first: float = length("250 mm", "20 mm", "1.5 m", "floor to the underside of the first shelf"),
    below_top: float = length("200 mm", "20 mm", "1.5 m", "top of the last shelf to the top of the frames"),
    member: float = length("60 mm", "20 mm", "150 mm", "width of the frame's boards, in its plane"),
    build: str = choice("mitred", RING_BUILDS, "how a frame is made: its corners, or sawn from one sheet"),
    corner: str = choice(
        "usual",
        ("usual", *CORNERS),
        "how the frame's corners are joined; usual: splined mitres, dowelled butts",
    ),
    support: str = choice(
        "usual",
        SUPPORTS,
        "what carries a shelf: bearers within the frames, cleats on their faces, or notches in their boards;"
        " usual: bearers, or cleats where a frame is one piece",
    ),
    bearer_joint: str = choice("dowelled", BEARER_JOINTS, "how bearers meet the frames"),
    bearer: float = length("40 mm", "15 mm", "120 mm", "height of the bearers or cleats"),
    fit: float = length("0.1 mm", "0 mm", "0.5 mm", "room left at each face of a joint"),
    frame_board: Stock = from_stock("birch-ply-21-2440", "frames and bearers", ("sheet", "board")),
    shelf_board: Stock = from_stock("birch-ply-12-2440", "shelves", ("sheet", "board")),
) -> Piece:
    """Build the rack."""
    t, s = frame_board.thickness_mm, shelf_board.thickness_mm
    support = _support(build, support)
    run = width - 2 * overhang
    if run <= 2 * t:
        raise InputError(
            "overhang",
            f"{overhang:g} mm",
            f"leaves a run of {run:.1f} mm for the frames",
            f"less than {(width - 2 * t) / 2:.1f} mm would fit",
        )
    with asked_as("frames", frames):
        starts = [overhang + x for x in upright_places(run, frames, t)]
    if shelves > 1 and below_top < member:
        raise InputError(
            "below_top", f"{below_top:g} mm", f"must be at least {member:g} mm, the frame's top rail"
        )
    with asked_as("shelves", shelves):
        heights = levels(height, shelves, first, below_top, s)
    if heights[0] + s > height - member:
        raise InputError(
            "first", f"{first:g} mm", f"must be at most {height - member - s:.1f} mm, below the top rail"
        )
    _check_bearers(support, heights, s, member, bearer)
    between = starts[1] - starts[0] - t
    if support == "cleat" and between <= 2 * t:
        raise InputError(
            "frames", frames, f"leave {between:.1f} mm between them, and two cleats need {2 * t:.1f} mm"
        )

    corner = _corner(build, corner)
    draft = Draft("ring_rack", "Ring rack", fit_mm=fit)
    rings = []
    for n, x in enumerate(starts, 1):
        with asked_as("member", f"{member:g} mm"):
            sizes = {"x": x, "depth": depth, "height": height, "member": member}
            sides = ring_upright(draft, f"frame.{n}", frame_board, build=build, **sizes)
        rings.append(sides)
        if corner:
            for upright in ("front", "back"):
                for rail in ("bottom", "top"):
                    a, b = (upright, rail) if build != "butted rails" else (rail, upright)
                    draft.join(sides[a], sides[b], CORNERS[corner](), asked=("corner", corner))
    # a shelf lies in the windows, its edges against the front and back boards of every frame
    front, back = member, depth - member
    labels = []
    for n, z in enumerate(heights, 1):
        lo, hi = (0.0, front, z), (width, back, z + s)
        with asked_as("member", f"{member:g} mm"):
            labels.append(draft.board(f"shelf.{n}", shelf_board, lo, hi, grain="x", role="shelf"))
    cleats: dict[tuple[int, int], str] = {}
    for n, (x, sides) in enumerate(zip(starts, rings, strict=True), 1):
        for m, (z, shelf) in enumerate(zip(heights, labels, strict=True), 1):
            if support == "notch":
                for side in dict.fromkeys((sides["front"], sides["back"])):
                    draft.join(side, shelf, housing(), asked=("support", support))
                continue
            if z <= member:  # it lies on the bottom rail and needs nothing else
                draft.join(sides["bottom"], shelf, butt(), asked=("shelf_board", shelf_board.name))
                continue
            label = f"frame.{n}.{support}.{m}"
            path = (f"frame.{n}",)
            if support == "cleat":
                # cleats stand on the inner side of the end frames, so none shows from outside
                at = x + t if n < len(starts) else x - t
                lo, hi = (at, 0.0, z - bearer), (at + t, depth, z)
                cleats[n, m] = draft.board(label, frame_board, lo, hi, grain="y", role=support, path=path)
                joint, asked = butt, ("support", support)
            else:
                lo, hi = (x, front, z - bearer), (x + t, back, z)
                draft.board(label, frame_board, lo, hi, grain="y", role=support, path=path)
                joint, asked = BEARER_JOINTS[bearer_joint], ("bearer_joint", bearer_joint)
            for side in dict.fromkeys((sides["front"], sides["back"])):
                draft.join(side, label, joint(), asked=asked)
            draft.join(label, shelf, butt(), asked=("shelf_board", shelf_board.name))
    with asked_as("frames", frames):
        _openings(draft, starts, t, rings, heights, s, labels, (front, back), height, cleats)
    draft.load("all", "folded-textiles")
    return draft.done()


def _support(build: str, support: str) -> str:
    """What carries the shelves of a build."""
    whole = build == "one piece"
    if support == "usual":
        return "cleat" if whole else "bearer"
    if whole and support != "cleat":
        raise InputError(
            "support", support, "a frame sawn in one piece carries its shelves on cleats", "cleat would fit"
        )
    return support


def _corner(build: str, corner: str) -> str:
    """The corner joint of a build; "" for a frame sawn from one sheet, which has none."""
    if build == "one piece":
        if corner != "usual":
            raise InputError(
                "corner", corner, "a frame sawn in one piece has no corner joints", "usual would fit"
            )
        return ""
    if corner == "usual":
        return USUAL_CORNER[build]
    if (corner in MITRED) != (build == "mitred"):
        fits = MITRED if build == "mitred" else tuple(c for c in CORNERS if c not in MITRED)
        raise InputError("corner", corner, f"does not join a {build} frame", f"{', '.join(fits)} would fit")
    return corner


def _check_bearers(
    support: str, heights: tuple[float, ...], shelf: float, member: float, bearer: float
) -> None:
    """Refuse shelves that leave no room for what carries them."""
    low = heights[0]
    if low < member:
        raise InputError("first", f"{low:g} mm", f"must be at least {member:g} mm, the frame's bottom rail")
    if support == "bearer" and member < low < member + bearer:
        raise InputError(
            "first",
            f"{low:g} mm",
            f"leaves no room for a bearer of {bearer:g} mm above the bottom rail",
            f"{member:g} mm, on the rail, or at least {member + bearer:g} mm would fit",
        )
    if support == "cleat" and member < low < bearer:
        raise InputError(
            "first",
            f"{low:g} mm",
            f"leaves no room for a cleat of {bearer:g} mm above the floor",
            f"{member:g} mm, on the bottom rail, or at least {bearer:g} mm would fit",
        )
    if support != "notch" and len(heights) > 1 and heights[1] - heights[0] - shelf < bearer:
        raise InputError(
            "shelves",
            len(heights),
            f"leave {heights[1] - heights[0] - shelf:.1f} mm between them,"
            f" less than a {support} of {bearer:g} mm",
            f"a lower {support} or fewer shelves would fit",
        )


def _openings(
    draft: Draft,
    starts: list[float],
    t: float,
    rings: list[dict[str, str]],
    heights: tuple[float, ...],
    shelf: float,
    labels: list[str],
    depth: tuple[float, float],
    height: float,
    cleats: dict[tuple[int, int], str],
) -> None:
    """A clear space between every two frames, under, between and over the shelves.

    `cleats` holds the label of the cleat at each frame and shelf, both numbered from 1.
    """
    floors = [(0.0, "")] + [(z + shelf, label) for z, label in zip(heights, labels, strict=True)]
    ceilings = [*zip(heights, labels, strict=True), (height, "")]
    for n, (a, b) in enumerate(pairwise(starts), 1):
        for m, ((z0, below), (z1, above)) in enumerate(zip(floors, ceilings, strict=True)):
            x0, x1 = a + t, b
            sides = {"left": rings[n - 1]["front"], "right": rings[n]["front"], "bottom": below, "top": above}
            # the cleats under the shelf above stand on the inner faces of this bay
            if (n, m + 1) in cleats:
                x0, sides["left"] = x0 + t, cleats[n, m + 1]
            if n + 1 == len(starts) and (n + 1, m + 1) in cleats:
                x1, sides["right"] = x1 - t, cleats[n + 1, m + 1]
            bounds = {k: v for k, v in sides.items() if v}
            draft.opening(f"bay.{n}.{m}", (x0, depth[0], z0), (x1, depth[1], z1), **bounds)
