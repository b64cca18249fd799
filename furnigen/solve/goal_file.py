"""Reading what is asked for: a family file with the tables [goal] and [hold]."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from difflib import get_close_matches
from math import isfinite
from pathlib import Path
from typing import Any

from furnigen.catalogue.stock import own_stock
from furnigen.checks.fit import LIMITS, read_limits
from furnigen.core.errors import FurnigenError, InputError
from furnigen.core.length_text import MM_PER_INCH
from furnigen.core.quantities import as_typed, parse_length
from furnigen.core.toml_text import toml_value
from furnigen.cutting.own_stock import Shop
from furnigen.cutting.stock_file import read_stock_file
from furnigen.cutting.strict_table import StrictTable
from furnigen.family.family_file import Family, read_family
from furnigen.pipeline.options import ALL_GROUPS, check_groups
from furnigen.recipes.discovery import read_toml
from furnigen.solve.demands import Goal, Hold
from furnigen.solve.measures import NAMED, OF_LAYOUT, Measure, of_brief
from furnigen.solve.setup import FIT, OF_SAG, OF_STRENGTH, SAG, STRENGTH

PATHS = "a number of the report goes by its path, such as bounds_mm.max.z"
USUAL_CAP = 20_000
"""Grids of more candidates are searched by descent: below, describing them all takes minutes at the most."""
MOST_CAP = 1_000_000
USUAL_STEP = {"mm": "5 mm", "in": "1/8 in"}
"""The workshop step. Common practice, no source."""
USUAL_EFFORT = 0.1
"""Counted work of a layout: a tenth of what `furnigen cut` takes, for there are many to make."""
_HOLD_KEYS = ("stock", "on_hand", "load")
_TABLES = ("goal", "hold")


@dataclass(frozen=True)
class Asked:
    """What a goal file asks for.

    Attributes:
        path: the file.
        family: the candidates.
        goals: one, or two whose trade-off is wanted.
        holds: limits.
        groups: the groups of checks that must pass.
        shop: the stock it is cut from; None where no file is named.
        step_mm: the workshop step.
        effort: counted work of each layout.
        cap: the largest grid that is searched whole.
        skip: whether candidates may be skipped that are weaker, in all that was tested, than one that failed.
        brief: limits of the brief, for the file of parameters.
    """

    path: Path
    family: Family
    goals: tuple[Goal, ...]
    holds: tuple[Hold, ...]
    groups: tuple[str, ...]
    shop: Shop | None
    step_mm: float
    effort: float
    cap: int
    skip: bool
    brief: tuple[tuple[str, float], ...]

    @property
    def measures(self) -> tuple[Measure, ...]:
        """All numbers that goals and limits speak of."""
        of_goals = (m for goal in self.goals for m, _ in goal.terms)
        return tuple({m.name: m for m in (*of_goals, *(h.measure for h in self.holds))}.values())


def read_goal_file(path: Path) -> Asked:
    """Read a goal file.

    Raises:
        InputError: naming the place in the file, the value, what is allowed.
        RecipeError: the recipe can not be found or read.
    """
    with naming(path):
        return _read(path)


@contextmanager
def naming(path: Path) -> Iterator[None]:
    """Have refusals name the goal file, once."""
    try:
        yield
    except FurnigenError as error:
        if not any(path.name in said for said in (str(error), *getattr(error, "__notes__", ()))):
            error.add_note(path.name)
        raise


def _read(path: Path) -> Asked:
    data = read_toml(path, "goal file")
    units = data.get("units", "mm")
    if units not in USUAL_STEP:
        raise InputError("units", as_typed(units), "must be mm or in")
    if "goal" not in data:
        _look_alikes({k: v for k, v in data.items() if k != "hold"})
        raise InputError("[goal]", "nothing", "must be given", 'write [goal] and minimise = "mass"')
    goal = StrictTable(_table(data, "goal", 'minimise = "mass"'), "[goal]", units)
    hold = _table(data, "hold", "mass = 25")
    _look_alikes(data)
    groups = _groups(data.pop("checks", list(ALL_GROUPS)))
    cap = _cap(data.pop("cap", USUAL_CAP))
    step = _step(goal, units)
    shop = _stock(hold, path)
    _loads(data, hold)
    _brief(data, hold)
    effort = goal.number("effort", 1000.0)
    if effort == 0:
        raise InputError("[goal]: effort", 0, "must be above 0", "1 is what furnigen cut takes")
    skip = goal.flag("skip", True)
    read = _Numbers(shop, groups, units)
    goals = _goals(goal, read)
    goal.done()
    with own_stock(shop.own if shop else ()):
        family = read_family(path, 10**30, data, step)
    step_mm = parse_length(step, what="[goal]: step", bare_unit=units)
    brief = family.limits
    holds = (*_of_brief(brief, step_mm), *(read.hold(name, given) for name, given in hold.items()))
    _refuse_contradictions(holds)
    return Asked(
        path, replace(family, limits=()), goals, holds, groups, shop, step_mm,
        effort or USUAL_EFFORT, cap, skip, brief,
    )  # fmt: skip


def _typed(value: object) -> str:
    """A value of a wrong kind, as the file has it: text in its quotes."""
    return as_typed(toml_value(value))


def _table(data: dict[str, Any], name: str, example: str) -> dict[str, Any]:
    given = data.pop(name, {})
    if not isinstance(given, dict):
        raise InputError(f"[{name}]", _typed(given), "must be a table",
                         f"write [{name}] on a line, and below it {example}")  # fmt: skip
    return dict(given)


def _look_alikes(data: Mapping[str, Any]) -> None:
    """Tables that a family file has not, spelled like those of a goal file; and a grid without parameters."""
    for key in data:
        near = get_close_matches(key.lower(), _TABLES, 1, 0.7)
        if near:
            raise InputError("key", key, "is not known", f"did you mean [{near[0]}]?")
    if data.get("vary") == {}:
        raise InputError("[vary]", "nothing", "must name what varies: the grid is empty",
                         "such as shelves = { from = 3, to = 6 }")  # fmt: skip


def _groups(given: object) -> tuple[str, ...]:
    if not isinstance(given, list) or not all(isinstance(g, str) for g in given):
        raise InputError("checks", _typed(given), "must be a list of groups", f"{', '.join(ALL_GROUPS)}, all")
    if "all" in given:
        return ALL_GROUPS
    check_groups(given)
    return tuple(g for g in ALL_GROUPS if g in given)


def _cap(given: object) -> int:
    if isinstance(given, bool) or not isinstance(given, int) or not 1 <= given <= MOST_CAP:
        raise InputError("cap", _typed(given), f"must be a whole number from 1 to {MOST_CAP:,}")
    return given


def _step(goal: StrictTable, units: str) -> str:
    given = goal.take("step")
    if given is None:
        return USUAL_STEP[units]
    goal.one_length("step", given)  # refuses zero, and what is no length
    return f"{given} {units}" if isinstance(given, int | float) else given


def _stock(hold: dict[str, Any], path: Path) -> Shop | None:
    """The stock file, which lies beside the goal file."""
    on_hand = hold.pop("on_hand", False)
    if not isinstance(on_hand, bool):
        raise InputError("[hold] on_hand", _typed(on_hand), "must be true or false")
    given = hold.pop("stock", None)
    if given is None:
        if on_hand:
            raise InputError("[hold] on_hand", "true", "needs a stock file", 'add stock = "FILE.toml"')
        return None
    if not isinstance(given, str):
        raise InputError("[hold] stock", _typed(given), "must be a file name in quotes")
    shop = read_stock_file(path.parent / given)
    if on_hand:
        if not any(o.offcut or o.copies is not None for o in shop.offers):
            raise InputError("[hold] on_hand", given, "states no copies and no offcuts", "state copies = 2")
        shop = replace(shop, on_hand=True)
    return shop


def _loads(data: dict[str, Any], hold: dict[str, Any]) -> None:
    """A load of [hold] goes with those of [load]."""
    given = hold.pop("load", None)
    if given is None:
        return
    if "load" in data:
        raise InputError("[hold] load", _typed(given), "is given in [load] too", "give it in one place")
    if not isinstance(given, str | dict):
        raise InputError("[hold] load", _typed(given), 'must be a load such as "books", or a table')
    data["load"] = {"all": given} if isinstance(given, str) else given


def _brief(data: dict[str, Any], hold: dict[str, Any]) -> None:
    """Limits of the brief may stand in [hold]."""
    brief = dict(data.get("brief", {})) if isinstance(data.get("brief", {}), dict) else {}
    for name in [n for n in hold if n in LIMITS]:
        if name in brief:
            raise InputError(f"[hold] {name}", _typed(hold[name]), "is given in [brief] too",
                             "give it in one place")  # fmt: skip
        if isinstance(hold[name], bool) or not isinstance(hold[name], str | int | float):
            raise InputError(f"[hold] {name}", _typed(hold[name]), "must be a length")
        brief[name] = hold.pop(name)
    if brief:
        read_limits(brief, data.get("units", "mm"))
        data["brief"] = brief


def _of_brief(brief: tuple[tuple[str, float], ...], step_mm: float) -> tuple[Hold, ...]:
    return tuple(
        Hold(
            of_brief(name, step_mm),
            None if name.startswith("min_") else mm,
            mm if name.startswith("min_") else None,
        )
        for name, mm in brief
    )


class _Numbers:
    """Reads the numbers that goals and limits name."""

    def __init__(self, shop: Shop | None, groups: tuple[str, ...], units: str) -> None:
        self._shop, self._groups, self._units = shop, set(groups), units

    def measure(self, name: object, what: str, others: tuple[str, ...] = ()) -> Measure:
        """The measure of a name; a path into the report where it is none of the named ones.

        Args:
            others: keys that would do in its place, though they are no numbers.

        Raises: InputError where what it needs is not there: prices, rates, checks.
        """
        if not isinstance(name, str) or not name.strip():
            raise InputError(what, _typed(name), f"must be a number by its name: {', '.join(NAMED)}",
                             PATHS)  # fmt: skip
        found = NAMED.get(name)
        if found is None:
            near = get_close_matches(name, (*NAMED, *others), 1, 0.7)
            if "." not in name and not name.endswith("_kg"):
                offer = f"did you mean {near[0]}?" if near else PATHS
                beside = f"; beside them {', '.join(others)}" if others else ""
                raise InputError(
                    what, as_typed(name), f"is not known; numbers are {', '.join(NAMED)}{beside}", offer
                )
            unit = next((u for u in ("mm", "kg") if re.search(rf"_{u}(\.|$)", name)), "")
            return Measure(name, unit, "", "a number of the report")  # its stage is found later
        if name in OF_LAYOUT and self._shop is None:
            lacks = {"cost": "prices", "hours": "rates of labour", "sheets": "sheets and their sizes"}[name]
            raise InputError(
                what, name, f"needs {lacks}", 'name a stock file: stock = "FILE.toml" under [hold]'
            )
        if name == "hours" and self._shop is not None and self._shop.labour is None:
            raise InputError(what, name, f"needs rates of labour: {self._shop.name} has no [labour]")
        if name == "cost" and self._shop is not None:
            found = replace(found, unit=self._shop.currency)
        if name == "utilisation":
            if not self._groups & OF_SAG:
                raise InputError(
                    what, name, "needs the checks sag, strength or standing", "add them to checks"
                )
            found = replace(found, stage=STRENGTH if self._groups & OF_STRENGTH else SAG)
        return found

    def hold(self, name: str, given: object) -> Hold:
        """A limit: a number for at most, or { at_least = ..., at_most = ... }."""
        what = f"[hold] {name}"
        measure = self.measure(name, what if name in NAMED else "[hold]: key", (*_HOLD_KEYS, *LIMITS))
        if isinstance(given, Mapping):
            strange = [k for k in given if k not in ("at_least", "at_most")]
            if strange or not given:
                raise InputError(what, ", ".join(given) or "{}", "needs at_most, at_least or both")
            ends = {k: self._number(v, f"{what}: {k}", measure) for k, v in given.items()}
        else:
            ends = {"at_most": self._number(given, what, measure)}
        if name == "utilisation" and not 0 < ends.get("at_most", 1.0) <= 1:
            raise InputError(what, f"{ends['at_most']:g}", "must be above 0, at most 1: a share",
                             "0.9 is nine tenths of each limit")  # fmt: skip
        return Hold(measure, ends.get("at_most"), ends.get("at_least"))

    def _number(self, given: object, what: str, measure: Measure) -> float:
        """A limit in the unit of its measure; lengths in that of the file, unless a path says mm."""
        named = measure.name in NAMED
        if measure.unit == "mm" and isinstance(given, str):
            return parse_length(given, what=what, bare_unit=self._units, allow_zero=True, signed=not named)
        if isinstance(given, bool) or not isinstance(given, int | float) or not isfinite(given):
            unit, like = (
                f" of {measure.unit}" if measure.unit else "",
                0.9 if measure.name == "utilisation" else 12,
            )
            raise InputError(
                what, _typed(given), f"must be a finite number{unit}, without quotes", f"such as {like}"
            )
        in_inches = measure.unit == "mm" and named and self._units == "in"
        return given * MM_PER_INCH if in_inches else float(given)


def _goals(table: StrictTable, read: _Numbers) -> tuple[Goal, ...]:
    """One goal, or two."""
    found: list[Goal] = []
    for word in ("minimise", "maximise"):
        given = table.take(word)
        if given is None:
            continue
        what = f"[goal]: {word}"
        for one in given if isinstance(given, list) else [given]:
            found.append(Goal(_terms(one, what, read), word == "maximise"))
    if not found:
        table.done()  # a key that is spelled otherwise
        raise InputError("[goal]", "nothing", "must say minimise or maximise", 'such as minimise = "mass"')
    if len(found) > 2:
        raise InputError("[goal]", len(found), "may hold one goal, or two to be traded off",
                         "add several up with weights: minimise = { cost = 1, mass = 0.5 }")  # fmt: skip
    if len(found) == 2 and found[0].terms == found[1].terms:
        raise InputError("[goal]", found[0].name, "is named twice", "trade off two different numbers")
    return tuple(found)


def _terms(given: object, what: str, read: _Numbers) -> tuple[tuple[Measure, float], ...]:
    if not isinstance(given, Mapping):
        return ((read.measure(given, what), 1.0),)
    if not given:
        raise InputError(what, "{}", "must name one number or more", "such as { cost = 1, mass = 0.5 }")
    terms = []
    for name, weight in given.items():
        good = isinstance(weight, int | float) and not isinstance(weight, bool)
        if not good or not 0 < weight < 1e12:
            raise InputError(f"{what}: {name}", _typed(weight), "must be a weight above 0, without quotes",
                             "such as { cost = 1, mass = 0.5 }")  # fmt: skip
        terms.append((read.measure(name, what), float(weight)))
    return tuple(terms)


def _refuse_contradictions(holds: tuple[Hold, ...]) -> None:
    """Refuse limits that no piece at all can keep.

    Raises: InputError naming them.
    """
    ends = {h.name: h for h in holds}
    for h in holds:
        if h.most is not None and h.least is not None and h.least > h.most:
            raise InputError(f"[hold] {h.name}", h.limit(), "contradicts itself", "swap them")
        if h.most is not None and h.most < 0 and h.name in NAMED:
            raise InputError(f"[hold] {h.name}", f"{h.most:g}", "is below zero, and nothing is")
        if h.most == 0 and h.name in ("parts", "mass", "cost", "board_area") and h.least is None:
            raise InputError(f"[hold] {h.name}", 0, "leaves no piece at all", "raise it")
    for side in ("width", "depth", "height"):
        most, clear = ends.get(f"max_{side}"), ends.get(f"min_clear_{side}")
        if most is not None and clear is not None and (clear.least or 0.0) >= (most.most or 0.0):
            shown = most.measure.show(most.most or 0.0)
            raise InputError(
                f"min_clear_{side}",
                clear.measure.show(clear.least or 0.0),
                f"contradicts max_{side} = {shown}: no clear space is larger than the piece",
            )


def with_stages(asked: Asked, stages: Mapping[str, str]) -> Asked:
    """The same with the stages of numbers of the report put in."""

    def known(measure: Measure) -> Measure:
        return replace(measure, stage=stages.get(measure.name, measure.stage or FIT))

    goals = tuple(replace(g, terms=tuple((known(m), w) for m, w in g.terms)) for g in asked.goals)
    return replace(asked, goals=goals, holds=tuple(replace(h, measure=known(h.measure)) for h in asked.holds))
