"""What stands on which board, and what a piece is held to: the load of each level board, limits, climate.

A piece says so in its recipe (`Draft.load`), its parameter file ([load] and [strength]) or on the command
line. Where nothing is said a board carries the load of STANDARD.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

from furnigen.catalogue.joint_values import WallMaterial, find_wall_material
from furnigen.catalogue.loads import Load, find_load, parse_load
from furnigen.catalogue.sag_limits import SagLimit, find_limit
from furnigen.core.errors import InputError
from furnigen.core.facts import Fact
from furnigen.core.quantities import as_typed
from furnigen.piece.description import LoadOn, Piece, Placement
from furnigen.strength.formulas.column import check_friction
from furnigen.strength.formulas.creep import CLIMATES

if TYPE_CHECKING:
    from furnigen.strength.formulas.load_cases import LoadCase
    from furnigen.strength.formulas.tip_tests import TipTest

ALL = "all"
NO_CASE = "none"
STANDARD = "shelving-standard"
"""The load of a board of which nothing is said: 40 psf, the woodwork standard's for shelves in general."""
USUAL_LIMIT = "visible"
"""L/240, where sag is said to catch the eye."""
USUAL_WALL = "stud"
"""Timber studs behind plasterboard. Common practice, no source."""


@dataclass(frozen=True)
class Demands:
    """What a piece is held to.

    Attributes:
        sag_limit: name or share, as `furnigen.catalogue.sag_limits.find_limit` reads it.
        climate: service class 1, 2 or 3.
        tip_tests: names of published test loads (`furnigen.strength.formulas.tip_tests`), or "all".
        floor_friction: coefficient of friction that the joints of leaning legs may count on; 0 for none.
        load_cases: names of load cases (`furnigen.strength.formulas.load_cases`), "all" or "none"; None for
            the usual ones.
        wall_material: what a piece on a wall is fixed to (`furnigen.catalogue.joint_values.wall_materials`).

    Raises: InputError for an unknown limit, climate, test, load case or wall, or a friction below 0 or
        above 1.
    """

    sag_limit: str = USUAL_LIMIT
    climate: int = 1
    tip_tests: tuple[str, ...] = ()
    floor_friction: float = 0.0
    load_cases: tuple[str, ...] | None = None
    wall_material: str = USUAL_WALL

    def __post_init__(self) -> None:
        if not isinstance(self.sag_limit, str):
            raise InputError("sag limit", as_typed(self.sag_limit), "must be text such as visible or L/300")
        find_limit(self.sag_limit)
        if not isinstance(self.climate, int) or self.climate not in CLIMATES:
            allowed = "; ".join(f"{n} {words}" for n, words in CLIMATES.items())
            raise InputError("climate", as_typed(str(self.climate)), f"must be {allowed}")
        if isinstance(self.floor_friction, bool) or not isinstance(self.floor_friction, int | float):
            raise InputError(
                "floor friction", as_typed(str(self.floor_friction)), "must be a number from 0 to 1"
            )
        check_friction(self.floor_friction)
        if not isinstance(self.wall_material, str):
            raise InputError("wall material", as_typed(str(self.wall_material)), "must be text such as stud")
        find_wall_material(self.wall_material)
        self.tests()
        self.cases()

    @property
    def wall(self) -> WallMaterial:
        """What a piece on a wall is fixed to."""
        return find_wall_material(self.wall_material)

    @property
    def limit(self) -> SagLimit:
        """How much boards may sag in the long run."""
        return find_limit(self.sag_limit)

    def tests(self) -> tuple[TipTest, ...]:
        """The test loads asked for.

        Raises: InputError for an unknown one.
        """
        from furnigen.strength.formulas.tip_tests import find_test, list_tests

        if ALL in self.tip_tests:
            return list_tests()
        return tuple(find_test(name) for name in dict.fromkeys(self.tip_tests))

    def cases(self) -> tuple[LoadCase, ...]:
        """The load cases that are on.

        Raises: InputError for an unknown one, or "none" beside others.
        """
        from furnigen.strength.formulas.load_cases import find_case, list_cases

        if self.load_cases is None:
            return tuple(case for case in list_cases() if case.usual)
        if NO_CASE in self.load_cases:
            if len(set(self.load_cases)) > 1:
                raise InputError("load case", NO_CASE, "excludes all others", "leave it out")
            return ()
        if ALL in self.load_cases:
            return list_cases()
        return tuple(find_case(name) for name in dict.fromkeys(self.load_cases))


def read_demands(given: Mapping[str, Any]) -> Demands:
    """Demands from names and values, as a parameter file's table [strength] holds them.

    Raises: InputError for an unknown name or value.
    """
    known = ("sag_limit", "climate", "tip_test", "floor_friction", "load_case", "wall_material")
    for name in given:
        if name not in known:
            near = get_close_matches(name, known, 1)
            offer = f"did you mean {near[0]}?" if near else f"there are {', '.join(known)}"
            raise InputError("strength", as_typed(name), "is not known", offer)
    values: dict[str, Any] = {}
    if "sag_limit" in given:
        values["sag_limit"] = given["sag_limit"]
    if "climate" in given:
        values["climate"] = given["climate"]
    if "floor_friction" in given:
        values["floor_friction"] = given["floor_friction"]
    if "wall_material" in given:
        values["wall_material"] = given["wall_material"]
    for name, field in (("tip_test", "tip_tests"), ("load_case", "load_cases")):
        if name in given:
            listed = given[name] if isinstance(given[name], list) else [given[name]]
            if not all(isinstance(n, str) for n in listed):
                raise InputError(name, as_typed(str(given[name])), "must be a name or a list of names")
            values[field] = tuple(listed)
    return Demands(**values)


def read_loads(given: Iterable[tuple[str, Any]]) -> tuple[LoadOn, ...]:
    """Loads from (target, text) pairs; an empty target means all boards, and goes under closer ones.

    Raises: InputError for what is no load.
    """
    loads = []
    for target, text in given:
        target = target.strip() or ALL
        what = "load" if target == ALL else f"load on {as_typed(target)}"
        parse_load(text, what=what)
        loads.append(LoadOn(target, text))
    return tuple(sorted(loads, key=lambda one: (one.target != ALL, one.target.count("."))))


@dataclass(frozen=True)
class BoardLoad:
    """The load of one board.

    Attributes:
        load: what it carries.
        why: who said so.
        said: whether anyone did; else it is assumed.
    """

    load: Load
    why: str
    said: bool = True


def loads_of(piece: Piece, level: Collection[str], bearing: Collection[str] = ()) -> dict[str, BoardLoad]:
    """What each level board carries that takes goods, or that a load is said of.

    Args:
        level: labels of the boards that lie level.
        bearing: labels of what else a load may be said of: boards that slope, shapes of their own.

    Raises: InputError for a target that is none of them, or that is said to take no goods.
    """
    boards = {p.label: p for p in piece.placements if p.label in level}
    others = {p.label: p for p in piece.placements if p.label in bearing}
    takes = [label for label, p in boards.items() if Fact.TAKES_GOODS in p.facts]
    said: dict[str, LoadOn] = {}
    for one in piece.loads:
        said |= dict.fromkeys(takes if one.target == ALL else _meant(one.target, piece, boards, others), one)
    known: dict[LoadOn | None, BoardLoad] = {}
    found = {}
    for label in boards:
        if label in said or Fact.TAKES_GOODS in boards[label].facts:
            on = said.get(label)
            if on not in known:
                known[on] = _carried(on)
            found[label] = known[on]
    for label in others:
        if label in said:
            found[label] = _carried(said[label])
    return found


def _meant(
    target: str, piece: Piece, level: Mapping[str, Placement], others: Mapping[str, Placement]
) -> list[str]:
    """The boards that a target names: one by its label, or all that people call so.

    Raises: InputError where there is none that takes goods.
    """
    called = [p for p in piece.placements if p.label == target] or [
        p for p in piece.placements if p.role == target
    ]
    boards = {**level, **others}
    meant = [p for p in called if p.label in boards]
    found = [p.label for p in meant if Fact.TAKES_NO_GOODS not in p.facts]
    if found:
        return found
    takes = {label: p for label, p in level.items() if Fact.TAKES_NO_GOODS not in p.facts}
    names = list(dict.fromkeys([ALL, *(p.role for p in takes.values()), *takes]))
    near = [] if called else get_close_matches(target, names, 1)
    offer = f"did you mean {near[0]}?" if near else f"there are {', '.join(names[:20])}"
    if meant:
        allowed = "is said to take no goods, and a load on it excludes that"
    else:
        why = "it does not lie level" if called else "nothing is called so"
        allowed = f"is not a board that things are put on: {why}"
    raise InputError("load on", as_typed(target), allowed, offer)


def _carried(said: LoadOn | None) -> BoardLoad:
    """The load of a board of which this is said last, if anything."""
    if said is None:
        return BoardLoad(find_load(STANDARD), "nothing is said of its use", False)
    return BoardLoad(parse_load(said.text, what=f"load on {said.target}"), f"said of {said.target}")
