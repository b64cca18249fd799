"""A run of ring-frame uprights; thin shelves pass through all of them and overhang both ends.

The frames' boards stand on edge, so that a frame is a thin outline as seen along the run, or lie flat in it.
"""

from itertools import pairwise
from typing import NamedTuple

from furnigen import (
    LAST_TO,
    RING_BOARDS,
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
    finger_joint,
    from_stock,
    half_lap,
    housing,
    length,
    levels,
    mitre,
    rabbet,
    recipe,
    ring_upright,
    tenon,
    upright_places,
)

CORNERS = {
    "glued": lambda count: mitre(),
    "spline": lambda count: mitre("spline"),
    "key": lambda count: mitre("key"),
    "dowelled": dowelled,
    "tenoned": lambda count: tenon(),
    "half-lap": lambda count: half_lap(),
    "screwed": butt,
    "rabbet": lambda count: rabbet(),
    "finger": lambda count: finger_joint(),
}
"""Each corner from the number of its dowels or screws, None for the usual spacing."""
MITRED = ("glued", "spline", "key")
NOT_ON_EDGE = ("tenoned", "half-lap")
ONLY_ON_EDGE = ("rabbet", "finger")
USUAL_CORNER = {"mitred": "spline", "butted uprights": "dowelled", "butted rails": "dowelled"}
BEARER_JOINTS = {"dowelled": dowelled, "tenoned": lambda count: tenon(), "screwed": butt}
SUPPORTS = ("usual", "bearer", "rail", "cleat", "notch", "screws")
TWO_MM = 40.0
"""Boards on edge at least this wide take two dowels or screws in an end: one alone would let them turn.
Common practice, no source."""
USUAL_MM = 110.0
"""From this width on the usual spacing of fasteners gives two or more by itself."""


class Frame(NamedTuple):
    """What of a frame matters to its shelves, all mm.

    Attributes:
        on_edge: whether its boards stand on edge.
        along: its size along the run.
        outline: size of its boards in its outline.
        thick: thickness of its boards.
    """

    on_edge: bool
    along: float
    outline: float
    thick: float


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
    last_to: str = choice("top", LAST_TO, "what of the last shelf below_top is measured to"),
    boards: str = choice(
        "on edge",
        RING_BOARDS,
        "how the frames' boards stand: on edge, their thickness shows in the frame's outline and their width"
        " runs along the run; flat, their width lies in the plane of the frame",
    ),
    member: float = length(
        "60 mm",
        "10 mm",
        "150 mm",
        "width of the frame's boards: along the run on edge, in its plane flat",
    ),
    build: str = choice(
        "mitred", RING_BUILDS, "how a frame is made: its corners, or sawn from one sheet (flat only)"
    ),
    corner: str = choice(
        "usual",
        ("usual", *CORNERS),
        "how the frame's corners are joined; usual: splined mitres, dowelled butts",
    ),
    support: str = choice(
        "usual",
        SUPPORTS,
        "what carries a shelf: standing bearers, lying rails, cleats on the boards, notches in them or screws"
        " through them; usual: rails on edge, bearers flat, cleats where a frame is one piece",
    ),
    bearer_joint: str = choice(
        "dowelled", BEARER_JOINTS, "how bearers or rails under shelves meet the uprights"
    ),
    bearer: float = length(
        "40 mm",
        "15 mm",
        "120 mm",
        "height of the bearers or cleats",
    ),
    fit: float = length("0.1 mm", "0 mm", "0.5 mm", "room left at each face of a joint"),
    frame_board: Stock = from_stock("birch-ply-21-2440", "frames and bearers", ("sheet", "board")),
    shelf_board: Stock = from_stock("birch-ply-12-2440", "shelves", ("sheet", "board")),
) -> Piece:
    """Build the rack."""
    t, s = frame_board.thickness_mm, shelf_board.thickness_mm
    on_edge = boards == "on edge"
    frame = Frame(on_edge, member if on_edge else t, t if on_edge else member, t)
    support = _support(build, support, on_edge)
    corner = _corner(build, corner, on_edge)
    starts = _starts(width, overhang, frames, frame)
    _check_window(frame, depth, height, frame_board, shelf_board, support)
    if support == "bearer" and member < t and on_edge:
        raise InputError(
            "support",
            support,
            f"a bearer {t:g} mm thick stands out of boards on edge {member:g} mm wide",
            "rail would fit",
        )
    heights = _heights(height, shelves, first, below_top, last_to, frame, s)
    tall = t if support == "rail" else bearer
    _check_bearers(support, heights, s, frame, tall)
    between = starts[1] - starts[0] - t
    if support == "cleat" and not on_edge and between <= 2 * t:
        raise InputError(
            "frames", frames, f"leave {between:.1f} mm between them, and two cleats need {2 * t:.1f} mm"
        )

    in_end = _in_end(member) if on_edge else None
    draft = Draft("ring_rack", "Ring rack", fit_mm=fit)
    rings = []
    for n, x in enumerate(starts, 1):
        with asked_as("member", f"{member:g} mm"):
            sizes = {"x": x, "depth": depth, "height": height, "member": member}
            ways = {"build": build, "boards": boards, "asked": ("corner", corner)}
            joint = CORNERS[corner](in_end) if corner else None
            sides = ring_upright(draft, f"frame.{n}", frame_board, corner=joint, **sizes, **ways)
        rings.append(sides)
    # a shelf lies in the windows, its edges against the front and back boards of every frame
    front, back = frame.outline, depth - frame.outline
    labels = []
    for n, z in enumerate(heights, 1):
        lo, hi = (0.0, front, z), (width, back, z + s)
        with asked_as("member", f"{member:g} mm"):
            labels.append(draft.board(f"shelf.{n}", shelf_board, lo, hi, grain="x", role="shelf"))
    draft.note_pitch("frames", [sides["front"] for sides in rings], "x")
    draft.note_pitch("shelves", labels, "z")
    cleats: dict[tuple[int, int], str] = {}
    strips = {"facts": "takes no goods" if on_edge else ()}  # a strip that lies level is no shelf
    for n, (x, sides) in enumerate(zip(starts, rings, strict=True), 1):
        for m, (z, shelf) in enumerate(zip(heights, labels, strict=True), 1):
            uprights = tuple(dict.fromkeys((sides["front"], sides["back"])))
            if support in ("notch", "screws"):
                for side in uprights:
                    fixed = housing() if support == "notch" else butt(in_end)
                    draft.join(side, shelf, fixed, asked=("support", support))
                continue
            if z <= frame.outline:  # it lies on the bottom rail and needs nothing else
                draft.join(sides["bottom"], shelf, butt(), asked=("shelf_board", shelf_board.name))
                continue
            label = f"frame.{n}.{support}.{m}"
            path = (f"frame.{n}",)
            if support == "cleat" and on_edge:
                # a short strip on the inner face of each upright
                ends = {"front": (front, front + t), "back": (back - t, back)}
                for side, (y0, y1) in ends.items():
                    lo, hi = (x, y0, z - bearer), (x + member, y1, z)
                    strip = f"{label}.{side}"
                    draft.board(
                        strip, frame_board, lo, hi, grain="x", face="y", role=support, path=path, **strips
                    )
                    draft.join(sides[side], strip, butt(in_end), asked=("support", support))
                    draft.join(strip, shelf, butt(), asked=("shelf_board", shelf_board.name))
                continue
            if support == "cleat":
                # cleats stand on the inner side of the end frames, so none shows from outside
                at = x + t if n < len(starts) else x - t
                lo, hi = (at, 0.0, z - bearer), (at + t, depth, z)
                cleats[n, m] = draft.board(label, frame_board, lo, hi, grain="y", role=support, path=path)
                joined, asked = butt(), ("support", support)
            else:
                # a rail is as wide as the frame and lies in it; a bearer stands on edge in the middle of it
                lies = support == "rail"
                inset = 0.0 if lies else (frame.along - t) / 2
                lo, hi = (x + inset, front, z - tall), (x + frame.along - inset, back, z)
                face = "z" if lies else "x"
                draft.board(
                    label, frame_board, lo, hi, grain="y", face=face, role="bearer", path=path, **strips
                )
                end = in_end if lies or not on_edge else _in_end(bearer)
                joined, asked = BEARER_JOINTS[bearer_joint](end), ("bearer_joint", bearer_joint)
            for side in uprights:
                draft.join(side, label, joined, asked=asked)
            draft.join(label, shelf, butt(), asked=("shelf_board", shelf_board.name))
    with asked_as("frames", frames):
        _openings(draft, starts, frame.along, rings, heights, s, labels, (front, back), height, cleats)
    draft.load("all", "folded-textiles")
    return draft.done()


def _in_end(wide: float) -> int | None:
    """Dowels or screws in the end of a board on edge this wide (mm); None for the usual spacing."""
    return None if wide >= USUAL_MM else 2 if wide >= TWO_MM else 1


def _starts(width: float, overhang: float, frames: int, frame: Frame) -> list[float]:
    """Low faces of the frames along the run."""
    run = width - 2 * overhang
    if run <= 2 * frame.along:
        raise InputError(
            "overhang",
            f"{overhang:g} mm",
            f"leaves a run of {run:.1f} mm for the frames",
            f"less than {(width - 2 * frame.along) / 2:.1f} mm would fit",
        )
    if frame.on_edge and (run - frame.along) / (frames - 1) <= frame.along < run:
        raise InputError(
            "member",
            f"{frame.along:g} mm",
            f"boards on edge are wider than the step of {(run - frame.along) / (frames - 1):.1f} mm between"
            f" {frames} frames",
            f"less than {run / frames:.1f} mm, or fewer frames, would fit",
        )
    with asked_as("frames", frames):
        return [overhang + x for x in upright_places(run, frames, frame.along)]


def _check_window(
    frame: Frame, depth: float, height: float, frame_board: Stock, shelf_board: Stock, support: str
) -> None:
    """Refuse boards on edge too thick for the frame, and shelves that its window does not take."""
    if frame.on_edge:
        sheets = 4 if support == "cleat" else 2
        what = "cleats on them meet" if sheets == 4 else "leave no window"
        if sheets * frame.thick >= min(depth, height) - 1.0:
            raise InputError(
                "frame_board",
                f"{frame_board.name}, {frame.thick:g} mm thick",
                f"boards on edge {what} in a frame {depth:g} mm deep and {height:g} mm high",
                f"boards less than {(min(depth, height) - 1.0) / sheets:.1f} mm thick would fit",
            )
    clear = height - 2 * frame.outline
    if 0 < clear <= shelf_board.thickness_mm:
        raise InputError(
            "shelf_board",
            f"{shelf_board.name}, {shelf_board.thickness_mm:g} mm thick",
            f"the frames' windows are {clear:.1f} mm high and take no such shelf",
            f"less than {clear:.1f} mm would fit",
        )


def _heights(
    height: float, shelves: int, first: float, below_top: float, last_to: str, frame: Frame, s: float
) -> tuple[float, ...]:
    """Undersides of the shelves, all between the rails."""
    rail = frame.outline
    least = rail + (s if last_to == "underside" else 0.0)
    if shelves > 1 and below_top < least:
        below = "the frame's top rail" + (" and the shelf" if last_to == "underside" else "")
        raise InputError("below_top", f"{below_top:g} mm", f"must be at least {least:g} mm, {below}")
    with asked_as("shelves", shelves):
        heights = levels(height, shelves, first, below_top, s, last_to)
    if heights[0] + s > height - rail:
        raise InputError(
            "first", f"{first:g} mm", f"must be at most {height - rail - s:.1f} mm, below the top rail"
        )
    return heights


def _support(build: str, support: str, on_edge: bool) -> str:
    """What carries the shelves of a build."""
    whole = build == "one piece" and not on_edge
    if support == "usual":
        return "cleat" if whole else "rail" if on_edge else "bearer"
    if support == "rail" and not on_edge:
        raise InputError("support", support, "rails lie in frames of boards on edge", "bearer would fit")
    if whole and support != "cleat":
        raise InputError(
            "support", support, "a frame sawn in one piece carries its shelves on cleats", "cleat would fit"
        )
    return support


def _corner(build: str, corner: str, on_edge: bool) -> str:
    """The corner joint of a build; "" for a frame sawn from one sheet, which has none."""
    if build == "one piece":
        if on_edge:
            raise InputError(
                "build", build, "a frame sawn from one sheet lies flat in it", "boards=flat would fit"
            )
        if corner != "usual":
            raise InputError(
                "corner", corner, "a frame sawn in one piece has no corner joints", "usual would fit"
            )
        return ""
    if corner == "usual":
        return USUAL_CORNER[build]
    others = NOT_ON_EDGE if on_edge else ONLY_ON_EDGE
    fits = [c for c in CORNERS if c not in others and (c in MITRED) == (build == "mitred")]
    if corner not in fits:
        how = "of boards on edge" if on_edge else "of flat boards"
        does_not = f"does not join a {build} frame" + (f" {how}" if corner in others else "")
        raise InputError("corner", corner, does_not, f"{', '.join(fits)} would fit")
    return corner


def _check_bearers(
    support: str, heights: tuple[float, ...], shelf: float, frame: Frame, bearer: float
) -> None:
    """Refuse shelves that leave no room for what carries them, `bearer` mm high."""
    low, member = heights[0], frame.outline
    if low < member:
        raise InputError("first", f"{low:g} mm", f"must be at least {member:g} mm, the frame's bottom rail")
    if support in ("bearer", "rail") and member < low < member + bearer:
        raise InputError(
            "first",
            f"{low:g} mm",
            f"leaves no room for a {support} of {bearer:g} mm above the bottom rail",
            f"{member:g} mm, on the rail, or at least {member + bearer:g} mm would fit",
        )
    # on edge cleats stand within the frame, above its rail; else beside it
    under = bearer + (member if frame.on_edge else 0.0)
    if support == "cleat" and member < low < under:
        raise InputError(
            "first",
            f"{low:g} mm",
            f"leaves no room for a cleat of {bearer:g} mm above the {'rail' if frame.on_edge else 'floor'}",
            f"{member:g} mm, on the bottom rail, or at least {under:g} mm would fit",
        )
    if (
        support in ("bearer", "rail", "cleat")
        and len(heights) > 1
        and heights[1] - heights[0] - shelf < bearer
    ):
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
