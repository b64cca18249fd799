"""Ring frames: uprights that are closed rectangles of thin boards, square to X.

The boards are set on edge (their thickness shows in the outline of the frame) or lie flat in its plane.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from furnigen.catalogue.stock import Stock
from furnigen.core.errors import InputError
from furnigen.core.facts import NO_FACTS, Fact, Joinery
from furnigen.core.pose import Pose, Vector
from furnigen.core.wording import as_given, in_words
from furnigen.drafting.draft import Draft
from furnigen.joints.chosen import USUAL, ChosenJoint, Joining, settled_joint
from furnigen.joints.mitre import mitre
from furnigen.parts.forms.form import Form
from furnigen.parts.forms.prism import mitred, ring

RING_BUILDS = ("mitred", "butted uprights", "butted rails", "one piece")
"""How a ring frame is made: which boards run through at its corners, or sawn from one sheet."""
RING_BOARDS = ("on edge", "flat")
"""How the boards of a ring frame stand: their thickness or their width shows in its outline."""

LEAST_WINDOW_MM = 1.0
"""A narrower window takes no shelf. Our own limit."""
TWO_MM = 40.0
"""Boards on edge at least this wide take two dowels or screws in an end: one alone would let them turn.
Common practice, no source."""
USUAL_MM = 110.0
"""From this width on the usual spacing of fasteners gives two or more by itself."""

_UP: Vector = (0.0, 0.0, 1.0)
_DOWN: Vector = (0.0, 0.0, -1.0)
_BACK: Vector = (0.0, 1.0, 0.0)
_FORWARD: Vector = (0.0, -1.0, 0.0)
_LEFT: Vector = (-1.0, 0.0, 0.0)
_RIGHT: Vector = (1.0, 0.0, 0.0)


@dataclass(frozen=True)
class RingSizes:
    """Sizes of the boards of a ring frame, mm.

    Attributes:
        stock: what the boards are of.
        member: their width: along the run on edge, in the plane of the frame when flat.
        boards: one of RING_BOARDS.

    >>> from furnigen import find_stock
    >>> sizes = RingSizes(find_stock("birch-ply-18-2440"), 60.0, "on edge")
    >>> sizes.along == 60.0, sizes.outline == sizes.stock.thickness_mm
    (True, True)
    """

    stock: Stock
    member: float
    boards: str

    @property
    def on_edge(self) -> bool:
        """Whether the boards stand on edge."""
        return self.boards == "on edge"

    @property
    def along(self) -> float:
        """Size of the frame along the run (mm)."""
        return self.member if self.on_edge else self.stock.thickness_mm

    @property
    def outline(self) -> float:
        """Size of its boards in its outline, as seen along the run (mm)."""
        return self.stock.thickness_mm if self.on_edge else self.member

    def check_window(self, depth: float, height: float, strips: int = 0) -> None:
        """Refuse boards on edge so thick that they leave no window in a frame (mm).

        Args:
            strips: boards of the same stock that stand within the frame, across its depth.

        Raises: InputError naming the thickness of the frame's boards.
        """
        sheets, least = 2 + strips, min(depth, height) - LEAST_WINDOW_MM
        thick = self.stock.thickness_mm
        if self.on_edge and sheets * thick >= least:
            what = "and the strips on them leave no window" if strips else "leave no window"
            raise InputError(
                "thickness of the frame's boards",
                as_given(thick),
                f"boards on edge {what} in a frame {as_given(depth)} deep and {as_given(height)} high",
                f"less than {in_words(least / sheets)} would fit",
            )


@dataclass(frozen=True, eq=False)
class RingFrame(Mapping[str, str]):
    """A ring frame as placed: frame["front"] is the label of its front board, and so on.

    Attributes:
        name: its sub-assembly.
        sizes: of its boards.
        x: its low face along the run (mm).
        labels: label of the board at each of front, back, bottom, top.

    >>> from furnigen import Draft, find_stock
    >>> ply = find_stock("birch-ply-18-2440")
    >>> frame = ring_upright(Draft("rack"), "frame.1", ply, x=0, depth=400, height=900, member=60)
    >>> frame["top"], frame.uprights
    ('frame.1.top', ('frame.1.front', 'frame.1.back'))
    """

    name: str
    sizes: RingSizes
    x: float
    labels: Mapping[str, str]

    def __getitem__(self, side: str) -> str:
        """Label of the board at a side."""
        return self.labels[side]

    def __iter__(self) -> Iterator[str]:
        """The sides: front, back, bottom, top."""
        return iter(self.labels)

    def __len__(self) -> int:
        """How many sides it has: four."""
        return len(self.labels)

    @property
    def uprights(self) -> tuple[str, ...]:
        """Labels of the boards that stand: front and back, or the one of a frame sawn in one piece."""
        return tuple(dict.fromkeys((self["front"], self["back"])))


def fasteners_in_end(wide: float) -> int | None:
    """Dowels or screws in the end of a board on edge this wide (mm); None for the usual spacing."""
    return None if wide >= USUAL_MM else 2 if wide >= TWO_MM else 1


_TURNS_ON_EDGE = frozenset({Joinery.RABBET, Joinery.FINGER})
_TURNS_FLAT = frozenset({Joinery.TENON, Joinery.LAP})


def ring_corner(chosen: ChosenJoint, build: str, sizes: RingSizes) -> ChosenJoint | None:
    """The corner joint of a ring frame, as the maker chose it, checked against the frame.

    The usual corner is the choice "spline" of mitred frames and "dowelled" of others. Corners of boards on
    edge get as many dowels or screws as their width takes.

    Args:
        chosen: the value of a parameter declared with `furnigen.joint_choice`.
        build: one of RING_BUILDS.
        sizes: of the frame's boards.

    Returns: the joint for `ring_upright`; None for a frame sawn in one piece, which has no corners.

    Raises: InputError when the joint does not suit the frame, with those that do.

    >>> from furnigen import find_stock, mitre
    >>> words = (("usual", None), ("spline", mitre("spline")))
    >>> sizes = RingSizes(find_stock("birch-ply-18-2440"), 60.0, "on edge")
    >>> ring_corner(ChosenJoint("corner", "usual", None, words), "mitred", sizes).word
    'spline'
    """
    if build == "one piece":
        if chosen.word != USUAL:
            raise chosen.refusal("a frame sawn in one piece has no corner joints", f"{USUAL} would fit")
        return None
    chosen = chosen.usual("spline" if build == "mitred" else "dowelled")
    unfit = _TURNS_FLAT if sizes.on_edge else _TURNS_ON_EDGE

    def fits(joint: Joining | None) -> bool:
        if joint is None:
            return False
        spec, _ = settled_joint(joint)
        family = getattr(spec, "joinery", None)
        return family not in unfit and (family is Joinery.MITRE) == (build == "mitred")

    if not fits(chosen):
        words = [word for word, joint in chosen.options if fits(joint)]
        stand = "of boards on edge" if sizes.on_edge else "of flat boards"
        raise chosen.refusal(f"does not join a {build} frame {stand}", f"{', '.join(words)} would fit")
    return chosen.with_fasteners(fasteners_in_end(sizes.member) if sizes.on_edge else None)


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
    corner: Joining | None = None,
) -> RingFrame:
    """Place a closed rectangular frame, `depth` (Y, from 0) by `height` (Z, from the floor), mm.

    Args:
        name: sub-assembly; its boards are name.front, name.back, name.bottom, name.top, or name.ring.
        stock: of the boards; its thickness shows in the outline of a frame of boards on edge, and is the
            thickness along the run of a frame of flat ones.
        x: low face of the frame.
        member: width of its boards: along the run on edge, in the plane of the frame when flat.
        build: one of RING_BUILDS.
        boards: one of RING_BOARDS.
        corner: joint of its corners, from `furnigen.joints`, such as mitre("spline"), or as `ring_corner`
            gives it; None leaves them to `Draft.join`, but boards on edge that are to be mitred, which that
            joint saws, are glued.

    Returns: the frame: the label of the board at each of front, back, bottom, top.

    Raises: InputError when the boards leave no window, or the build or boards are unknown.

    >>> from furnigen import Draft, find_stock
    >>> draft, board = Draft("rack"), find_stock("birch-ply-18")
    >>> frame = ring_upright(draft, "frame.1", board, x=0, depth=300, height=900, member=60)
    >>> draft.box("frame.1.front").size
    (60.0, 17.6, 900.0)
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
                draft.join(sides[a], sides[b], corner)
    return RingFrame(name, RingSizes(stock, member, boards), x, sides)


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
    RingSizes(stock, member, "on edge").check_window(depth, height)
    t = stock.thickness_mm
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
