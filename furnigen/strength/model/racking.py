"""A rack pushed sideways: uprights, levels between them, what joins them, and its back.

The uprights stand on hinges: feet on a floor hold nothing. Each level joins neighbouring uprights with the
same joint at both ends. The push acts at the top. Without a back or a brace all that resists is the joints.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from math import inf
from typing import NamedTuple

from furnigen.catalogue.materials import Source, table_rows
from furnigen.core.caches import RACKS, Kept
from furnigen.core.errors import InputError
from furnigen.core.facts import FastenerKind, Joinery
from furnigen.core.wording import as_given
from furnigen.joints.joint import Joint
from furnigen.strength.solver.frame import FrameMember, PlaneFrame, ShearPanel, solve_frames


@dataclass(frozen=True, slots=True)
class Turning:
    """Stiffness of a joint against turning: N m per radian and metre of it, or N mm per radian and mm.

    Attributes:
        low, design, high: range and the value used.
        source: where from.
        note: what a careful reader must know.
    """

    low: float
    design: float
    high: float
    source: Source
    note: str


@cache
def find_turning(kind: Joinery | str, *, glued: bool) -> Turning:
    """How stiff a joint of this family is for its length (across a shelf 300 mm deep: 300 mm).

    Raises: InputError for a family the table does not know.
    """
    rows = [r for r in table_rows("turning") if r["joint"] == kind]
    if not rows:
        known = ", ".join(dict.fromkeys(r["joint"] for r in table_rows("turning")))
        raise InputError("kind of joint", kind, f"its stiffness is known only for {known}")
    best = next((r for r in rows if r["glued"] == ("yes" if glued else "no")), rows[0])
    low, design, high = (float(best[c]) for c in ("low", "design", "high"))
    return Turning(low, design, high, Source(best["source"], best["provenance"]), best["note"])


def turning_row(joint: Joint) -> Joinery:
    """The family of joints whose stiffness against turning stands for this one."""
    screwed = any(f.kind is FastenerKind.SCREW and f.sites for f in joint.fasteners)
    return Joinery.SCREWED if joint.joinery is Joinery.BUTT and screwed else joint.joinery


def joint_words(joint: Joint) -> str:
    """A joint as its stiffness was taken: its kind, the row that stands for it, and glue."""
    row = turning_row(joint)
    kind = joint.kind if row in joint.kind else f"{joint.kind} ({row})"
    return f"{kind}, {'glued' if joint.glued else 'dry'}"


@dataclass(frozen=True)
class Rack:
    """A rack seen from the front (or from the side).

    Attributes:
        uprights: x of each, mm, rising.
        levels: z of each shelf or rail that ties neighbouring uprights, mm, rising.
        height: top of the uprights, mm; at least the top level.
        upright_ei, level_ei: bending stiffness in this plane, N mm².
        upright_ea, level_ea: stiffness along, N.
        joint: stiffness of each end of a level against turning, N mm per radian.
        back: (G t)_whole of a sheet behind every bay, N/mm; 0 for none (see `frame.panel_shear`).
        brace_ea: stiffness along of a diagonal in every bay from the lowest to the top level, N; 0 for none.
        upright_shear, level_shear: stiffness against shear 5/6 G A, N; inf for what is slender.
        upright_wide: of an upright along the push, mm: levels bend from face to face.
    """

    uprights: tuple[float, ...]
    levels: tuple[float, ...]
    height: float
    upright_ei: float
    level_ei: float
    upright_ea: float
    level_ea: float
    joint: float
    back: float = 0.0
    brace_ea: float = 0.0
    upright_shear: float = inf
    level_shear: float = inf
    upright_wide: float = 0.0


@dataclass(frozen=True, slots=True)
class Racking:
    """How a rack resists a push sideways at its top.

    Attributes:
        stiffness: N per mm of movement at the top.
        joints_alone: the same without back and brace; 0 where nothing else holds.
        joints_only: whether joints are all there is.
        joint_moment: moment in the most loaded joint per newton of push, N mm.
    """

    stiffness: float
    joints_alone: float
    joints_only: bool
    joint_moment: float


_Pushed = tuple[Rack, float, float]
"""A rack without back and brace, and the back and the brace put in."""
_pushed: Kept[_Pushed, tuple[float, float]] = Kept(RACKS)
"""Movement of the top and moment in the worst joint, for one newton."""


class _Grid(NamedTuple):
    """A rack as a frame of columns and rows of nodes.

    Attributes:
        frame: to be solved.
        levels: from which to before which of its members are levels.
        top: its nodes at the top.
    """

    frame: PlaneFrame
    levels: tuple[int, int]
    top: list[int]


def _grid(rack: Rack, back: float, brace: float) -> _Grid:
    """A rack pushed with one newton at its top."""
    heights = sorted({0.0, *rack.levels, rack.height})
    columns, rows = len(rack.uprights), len(heights)

    def at(i: int, j: int) -> int:
        return i * rows + j

    nodes = [(x, z) for x in rack.uprights for z in heights]
    upright = (rack.upright_ea, rack.upright_ei, inf, inf, (0.0, 0.0), rack.upright_shear)
    wide = rack.upright_wide / 2
    level = (rack.level_ea, rack.level_ei, rack.joint, rack.joint, (0.0, 0.0), rack.level_shear, wide, wide)
    members = [FrameMember(at(i, j), at(i, j + 1), *upright) for i in range(columns) for j in range(rows - 1)]
    first_level = len(members)
    members += [
        FrameMember(at(i, j), at(i + 1, j), *level)
        for i in range(columns - 1)
        for j in range(rows)
        if heights[j] in rack.levels
    ]
    last_level = len(members)
    low, top = heights.index(min(rack.levels)), heights.index(max(rack.levels))
    if brace > 0:
        members += [FrameMember(at(i, low), at(i + 1, top), brace, 1.0, 0.0, 0.0) for i in range(columns - 1)]
    panels = [
        ShearPanel(at(i, j), at(i + 1, j), at(i, j + 1), at(i + 1, j + 1), back)
        for i in range(columns - 1)
        for j in range(low, top)
        if back > 0
    ]
    share = 1 / columns
    forces = {at(i, rows - 1): (share, 0.0, 0.0) for i in range(columns)}
    held = {at(i, 0): (True, True, False) for i in range(columns)}
    tops = [at(i, rows - 1) for i in range(columns)]
    return _Grid(PlaneFrame(nodes, members, held, forces, panels), (first_level, last_level), tops)


def _pushes(asked: Iterable[_Pushed]) -> dict[_Pushed, tuple[float, float]]:
    """Movement of the top and moment in the worst joint of some racks, for one newton."""
    found: dict[_Pushed, tuple[float, float]] = {}
    new: list[_Pushed] = []
    for one in dict.fromkeys(asked):
        known = _pushed.get(one)
        if known is None:
            new.append(one)
        else:
            found[one] = known
    grids = [_grid(*one) for one in new]
    for one, grid, sway in zip(new, grids, solve_frames([grid.frame for grid in grids]), strict=True):
        moments = abs(sway.ends[slice(*grid.levels), [2, 5]])
        moved = float(sway.moved[grid.top, 0].max())
        found[one] = _pushed.keep(one, (moved, float(moments.max())))
    return found


def push_sideways(rack: Rack) -> Racking:
    """As `push_racks`, one rack."""
    return push_racks([rack])[0]


def push_racks(racks: Sequence[Rack]) -> list[Racking]:
    """How stiff some racks are sideways, with and without what braces them.

    A rack whose joints and bracing hold nothing has a stiffness of 0.

    Raises: InputError for fewer than two uprights, no level, or levels outside the height.
    """
    asked: list[tuple[_Pushed | None, _Pushed | None]] = []
    for rack in racks:
        if len(rack.uprights) < 2 or not rack.levels:
            text = f"{len(rack.uprights)} uprights, {len(rack.levels)} levels"
            raise InputError("rack", text, "needs two uprights and a level to resist a push")
        if min(rack.levels) < 0 or max(rack.levels) > rack.height:
            raise InputError(
                "levels", rack.levels, f"must lie from 0 mm to the height {as_given(rack.height)}"
            )
        bare = replace(rack, back=0.0, brace_ea=0.0)
        braced = max(rack.back, rack.brace_ea) > 0 and len(rack.levels) > 1
        # uprights on hinges with hinged levels: it folds
        folds = rack.joint == 0
        whole = (bare, rack.back, rack.brace_ea)
        asked.append((None if folds else (bare, 0.0, 0.0), None if folds and not braced else whole))
    found = _pushes([one for pair in asked for one in pair if one is not None])
    racked = []
    for rack, (alone, all_of_it) in zip(racks, asked, strict=True):
        by_joints = 0.0 if alone is None else 1 / found[alone][0]
        stiffness, moment = 0.0, 0.0
        if all_of_it is not None:
            moved, moment = found[all_of_it]
            stiffness = 1 / moved
        racked.append(Racking(stiffness, by_joints, not (rack.back > 0 or rack.brace_ea > 0), moment))
    return racked
