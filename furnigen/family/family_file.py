"""Reading a family file: a recipe, what is fixed, what varies, what follows from it, what is left out."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from math import prod
from pathlib import Path
from typing import Any

from furnigen import __version__
from furnigen.checks.fit import read_limits
from furnigen.core.errors import FurnigenError, InputError
from furnigen.core.quantities import parse_length
from furnigen.family.axes import Axis, in_file_units, inches, read_link, read_list, read_range
from furnigen.family.expression import LARGEST, Expression, read_expression
from furnigen.pipeline.options import GROUPS, MAKE_FORMATS, TOLERANCE_MM, MakeOptions
from furnigen.recipes.discovery import find_recipe, flat_labels, is_file, read_toml
from furnigen.recipes.recipe import Recipe
from furnigen.strength.model.demands import read_demands, read_loads

USUAL_CAP = 2000
"""More variants than this are made only when a person says so."""
USUAL_PICTURE_PX = (640, 480)
LIGHT_FORMATS = ("cutlist", "hardware")
"""Formats that need no solid: these, and sizes, mass and parts, load no kernel."""
ALL_CHECKS = "all"
USUAL_LIGHT_CHECKS = ("fit",)
_KEYS = {
    "title": str, "recipe": str, "units": str, "outputs": list, "checks": list, "cap": int, "tolerance": str,
    "picture": str, "fixed": dict, "vary": dict, "link": dict, "let": dict, "only": dict, "brief": dict,
    "load": dict, "strength": dict,
}  # fmt: skip
_LONGEST_DEFINITION = 200


@dataclass(frozen=True)
class Family:
    """Many variants of one recipe.

    Attributes:
        title: what a person calls it.
        recipe: makes each variant.
        units: unit of bare numbers and of what people read, "mm" or "in".
        fixed: plain values that all variants share, helpers too.
        axes: what varies, outermost first.
        lets: (name, expression) in an order that puts each after what it uses.
        only: (reason, expression): a variant is made only where all are true.
        limits: what the brief demands, (name, mm).
        loads: what boards carry, (label, role or "all", load).
        strength: options of the strength checks, (name, value) as in a parameter file.
        formats: outputs of each variant.
        checks: groups of checks, or "all" where each variant is made solid and checked wholly.
        tolerance_mm: of the meshes.
        picture_px: width and height of the pictures.
        cap: the most variants.
    """

    title: str
    recipe: Recipe
    units: str
    fixed: Mapping[str, Any]
    axes: tuple[Axis, ...]
    lets: tuple[tuple[str, Expression], ...]
    only: tuple[tuple[str, Expression], ...]
    limits: tuple[tuple[str, float], ...]
    loads: tuple[tuple[str, str], ...]
    strength: tuple[tuple[str, Any], ...]
    formats: tuple[str, ...]
    checks: tuple[str, ...]
    tolerance_mm: float
    picture_px: tuple[int, int]
    cap: int

    @property
    def count(self) -> int:
        """How many variants the axes span, before any is left out."""
        return prod(len(a) for a in self.axes)

    @property
    def solid(self) -> bool:
        """Whether each variant is made solid."""
        return ALL_CHECKS in self.checks

    @property
    def varied(self) -> tuple[str, ...]:
        """The names that the axes set."""
        return tuple(n for a in self.axes for n in a.names)

    @property
    def recipe_file(self) -> Path:
        """Where the recipe's source is."""
        return Path(self.recipe.function.__code__.co_filename)

    def definition(self) -> dict[str, str]:
        """All that a variant's content depends on, by place in the file, as text or its digest."""
        facts: dict[str, Any] = {
            "furnigen": __version__,
            "recipe": self.recipe.name,
            "the recipe's file": hashlib.sha256(self.recipe_file.read_bytes()).hexdigest(),
            "units": self.units,
            "outputs": self.formats,
            "checks": self.checks,
            "tolerance": self.tolerance_mm,
            "picture": self.picture_px,
        }
        facts |= {f"fixed {n}": v for n, v in self.fixed.items()}
        facts |= {f"vary {', '.join(a.names)}": a.definition() for a in self.axes}
        facts |= {f"let {n}": e.text for n, e in self.lets}
        facts |= {f"only {n}": e.text for n, e in self.only}
        facts |= {f"brief {n}": v for n, v in self.limits}
        facts |= {f"load {n}": v for n, v in self.loads}
        facts |= {f"strength {n}": v for n, v in self.strength}
        texts = {place: json.dumps(fact) for place, fact in facts.items()}
        return {
            place: text
            if len(text) <= _LONGEST_DEFINITION
            else f"sha256 {hashlib.sha256(text.encode()).hexdigest()}"
            for place, text in texts.items()
        }


def read_family(
    path: Path, cap: int | None = None, data: dict[str, Any] | None = None, step: str = ""
) -> Family:
    """Read a family file.

    Args:
        cap: goes over the file's own.
        data: its tables, where they were read before.
        step: of lengths whose range states neither step nor count, angles and whole numbers then go by ones;
            "" to refuse such a range.

    Raises:
        InputError: naming the place in the file, the value, what is allowed.
        RecipeError: the recipe can not be found or read.
    """
    try:
        return _Reader(path, read_toml(path, "family file") if data is None else data, step).family(cap)
    except FurnigenError as error:
        if path.name not in str(error):
            error.add_note(path.name)
        raise


class _Reader:
    """One family file while it is read."""

    def __init__(self, path: Path, data: dict[str, Any], step: str) -> None:
        self._folder, self._data, self._usual_step = path.parent, data, step
        for key, value in data.items():
            if key in ("goal", "hold"):
                raise InputError(
                    "key", key, "is for a search", f"ask for it with: furnigen solve {path.name}"
                )
            if key not in _KEYS:
                near = get_close_matches(key, _KEYS, 1)
                offer = f"did you mean {near[0]}?" if near else f"keys are {', '.join(_KEYS)}"
                raise InputError("key", key, "is not known", offer)
            if not isinstance(value, _KEYS[key]) or isinstance(value, bool):
                words = {str: "text", list: "a list", int: "a whole number", dict: "a table"}
                raise InputError(key, value, f"must be {words[_KEYS[key]]}")
        if "recipe" not in data:
            raise InputError("recipe", "nothing", "must be given", 'write recipe = "NAME"')
        name = data["recipe"]
        beside = self._folder / name
        self._recipe = find_recipe(str(beside) if name.endswith(".py") and is_file(beside) else name)
        self._parameters = {p.name: p for p in self._recipe.parameters}
        self._units = data.get("units", "mm")
        if self._units not in ("mm", "in"):
            raise InputError("units", self._units, "must be mm or in")
        self._lets = {n: read_expression(t, f"[let] {n}") for n, t in self._table("let").items()}
        self._only = {n: read_expression(t, f"[only] {n}") for n, t in self._table("only").items()}
        self._used = {n for e in (*self._lets.values(), *self._only.values()) for n in e.names}

    def _table(self, key: str) -> dict[str, Any]:
        return self._data.get(key, {})  # type: ignore[no-any-return]

    def family(self, cap: int | None) -> Family:
        """All of it, checked."""
        fixed = {n: self._read(n, v) for n, v in self._table("fixed").items()}
        axes = (*self._vary(), *self._links())
        self._refuse_twice(fixed, axes)
        known = {*self._parameters, *fixed, *(n for a in axes for n in a.names), *self._lets}
        for expression in (*self._lets.values(), *self._only.values()):
            for name in expression.names:
                if name not in known:
                    near = get_close_matches(name, known, 1)
                    offer = f"did you mean {near[0]}?" if near else f"names are {', '.join(sorted(known))}"
                    raise InputError(expression.what, expression.text, f"{name} is not known", offer)
        for name in self._lets:
            self._known(name)
        formats, checks = self._outputs()
        family = Family(
            self._data.get("title", "") or self._recipe.summary,
            self._recipe,
            self._units,
            fixed,
            axes,
            self._in_order(),
            tuple(self._only.items()),
            tuple((x.name, x.value_mm) for x in read_limits(self._table("brief"), self._units)),
            tuple((x.target, x.text) for x in read_loads(flat_labels(self._table("load")).items())),
            self._strength(),
            formats,
            checks,
            self._tolerance(),
            self._picture(),
            self._cap(cap),
        )
        if family.count > family.cap:
            sizes = " x ".join(str(len(a)) for a in axes)
            raise InputError(
                "variants", f"{sizes} = {family.count:,}", f"must be at most {family.cap:,}",
                f"take fewer values, or allow it with --cap {family.count} or cap = {family.count}",
            )  # fmt: skip
        return family

    def _known(self, name: str) -> None:
        """A name must be a parameter of the recipe, or one that an expression uses.

        Raises: InputError offering the nearest name.
        """
        if name not in self._parameters and name not in self._used:
            self._recipe.parameter(name)

    def _read(self, name: str, given: Any) -> Any:
        """A value as plain data."""
        self._known(name)
        parameter = self._parameters.get(name)
        if parameter is not None:
            return parameter.plain(parameter.read(given, self._units))
        if isinstance(given, str):
            try:
                mm = parse_length(given, what=name, bare_unit=self._units, signed=True)
            except InputError:
                return given  # a helper may be a word
            return inches(mm) if self._units == "in" else mm
        if isinstance(given, bool):
            return given
        if isinstance(given, int | float):
            if not abs(given) <= LARGEST:  # no number at all (nan) either
                raise InputError(name, given, f"must be a number from {-LARGEST:g} to {LARGEST:g}")
            return given
        raise InputError(name, given, "must be a number, a length or a word")

    def _vary(self) -> tuple[Axis, ...]:
        axes: list[Axis] = []
        for name, given in self._table("vary").items():
            what = f"[vary] {name}"
            self._known(name)
            if isinstance(given, list):
                axes.append(read_list(name, given, self._read, what))
            elif isinstance(given, dict):
                if self._usual_step and not {"step", "count"} & given.keys():
                    length = self._recipe.parameter(name).kind == "length"
                    given = {**given, "step": self._usual_step if length else 1}
                axes.append(read_range(self._recipe.parameter(name), given, self._read, self._units, what))
            else:
                fits = f"one value goes under [fixed]; or write [{given!r}]"
                raise InputError(what, given, "must be a list or a range", fits)
        return tuple(axes)

    def _links(self) -> tuple[Axis, ...]:
        return tuple(
            read_link(given, self._folder, self._read, f"[link.{name}]")
            for name, given in self._table("link").items()
        )

    def _refuse_twice(self, fixed: Mapping[str, Any], axes: tuple[Axis, ...]) -> None:
        seen: dict[str, str] = {}
        places = [("[fixed]", list(fixed)), ("[let]", list(self._lets))]
        places += [(f"what varies ({', '.join(a.names)})", list(a.names)) for a in axes]
        for place, names in places:
            for name in names:
                if name in seen:
                    raise InputError(name, place, f"is set in {seen[name]} too", "set it in one place")
                seen[name] = place

    def _in_order(self) -> tuple[tuple[str, Expression], ...]:
        """Each name of [let] after those it uses.

        Raises: InputError naming the ring when they follow from each other.
        """
        ordered: dict[str, Expression] = {}
        for first in self._lets:
            way = {first: iter(self._lets[first].names)}  # no recursion: many may follow each other
            while way:
                name, uses = next(reversed(way.items()))
                used = next((n for n in uses if n in self._lets and n not in ordered), None)
                if used is None:
                    ordered[name] = self._lets[name]
                    del way[name]
                elif used in way:
                    names = list(way)
                    ring = " -> ".join((*names[names.index(used) :], used))
                    raise InputError("[let]", ring, "follow from each other in a ring", "fix one of them")
                else:
                    way[used] = iter(self._lets[used].names)
        return tuple(ordered.items())

    def _outputs(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        formats = self._data.get("outputs", ["cutlist"])
        for name in formats:
            if not isinstance(name, str) or name not in MAKE_FORMATS:
                raise InputError("outputs", name, f"must be of {', '.join(MAKE_FORMATS)}", "[] for none")
        needs = [f for f in formats if f not in LIGHT_FORMATS]
        given = self._data.get("checks", [ALL_CHECKS] if needs else list(USUAL_LIGHT_CHECKS))
        for name in given:
            if not isinstance(name, str) or (name != ALL_CHECKS and name not in GROUPS):
                raise InputError("checks", name, f"must be all, or of {', '.join(GROUPS)}")
        if needs and ALL_CHECKS not in given:
            raise InputError("checks", ", ".join(given) or "[]", f"must be all where {needs[0]} is made")
        checks = (ALL_CHECKS,) if ALL_CHECKS in given else tuple(g for g in GROUPS if g in given)
        return tuple(f for f in MAKE_FORMATS if f in formats), checks

    def _strength(self) -> tuple[tuple[str, Any], ...]:
        given = self._table("strength")
        read_demands(given)
        return tuple((n, tuple(v) if isinstance(v, list) else v) for n, v in given.items())

    def _tolerance(self) -> float:
        given = self._data.get("tolerance")
        return MakeOptions(
            (), TOLERANCE_MM if given is None else parse_length(given, what="tolerance")
        ).tolerance_mm

    def _picture(self) -> tuple[int, int]:
        given = self._data.get("picture")
        if given is None:
            return USUAL_PICTURE_PX
        match = re.fullmatch(r"(\d{2,4})x(\d{2,4})", given.replace(" ", ""))
        if not match:
            raise InputError("picture", given, "must be pixels such as 640x480")
        return int(match[1]), int(match[2])

    def _cap(self, given: int | None) -> int:
        cap = self._data.get("cap", USUAL_CAP) if given is None else given
        if cap < 1:
            raise InputError("cap", cap, "must be 1 or more")
        return int(cap)


def expression_names(family: Family, values: Mapping[str, Any]) -> dict[str, Any]:
    """All names an expression may use: the recipe's defaults, with `values` over them."""
    parameters = {p.name: p for p in family.recipe.parameters}
    plain = {n: p.plain(p.default) for n, p in parameters.items()} | dict(values)
    return {n: in_file_units(v, parameters.get(n), family.units) for n, v in plain.items()}
