"""What a recipe asks for: typed, ranged, documented parameters.

A recipe declares them as the defaults of its function:

    def bench(width: float = length("1200 mm", "300 mm", "2400 mm", "overall width")): ...

Texts are read in the units of the run; values from Python are checked against the same range.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from math import floor, isfinite
from typing import Any

from furnigen.catalogue.stock import KINDS, Stock, find_stock
from furnigen.core.errors import InputError, kind_of
from furnigen.core.quantities import (
    SAME_MM,
    as_typed,
    check_length,
    format_length,
    parse_angle,
    parse_count,
    parse_length,
)
from furnigen.core.wording import in_words, marked
from furnigen.joints.chosen import ChosenJoint
from furnigen.joints.spec import Spec, StripJoint

MOST_NUMBER = 10**12
"""No length, angle or count is larger; guards the arithmetic from numbers too large for it."""


BRACKETS = ("[", "(", "{")
NO_LIST = "not a list"
NOUNS = {"length": "a length ", "angle": "an angle ", "count": "a whole number "}
"""What a value of a kind is, before its range."""


@dataclass(frozen=True)
class Parameter:
    """One thing a recipe asks for.

    Attributes:
        name: filled in from the recipe's signature.
        kind: "length", "angle", "count", "choice", "switch", "stock" or "counts".
        default: the value when nothing is given (mm, degrees, whole numbers, text, Stock).
        meaning: one clause for the maker.
        low, high: allowed range, ends included; for counts, of each.
        options: allowed words of a choice; allowed kinds of a stock.
        most: for counts, how many at the most.
        joints: for a choice of joints, the joint of each option; None where the recipe works it out.
    """

    name: str
    kind: str
    default: Any
    meaning: str
    low: float = 0.0
    high: float = 0.0
    options: tuple[str, ...] = ()
    most: int = 1
    joints: tuple[tuple[str, Spec | StripJoint | None], ...] = ()

    @property
    def unit(self) -> str:
        """Unit of the value: "mm", "deg", or "" for counts and words."""
        return {"length": "mm", "angle": "deg"}.get(self.kind, "")

    def allowed(self, units: str = "mm") -> str:
        """The allowed range as a clause for people."""
        if self.kind == "choice":
            return f"one of {', '.join(self.options)}"
        if self.kind == "switch":
            return "yes or no"
        if self.kind == "stock":
            kinds = f" ({', '.join(self.options)})" if self.options else ""
            return f"a stock name{kinds}"
        ends = f"from {self._end(self.low, units)} to {self._end(self.high, units)}"
        if self.kind == "counts":
            return f"1 to {self.most} whole numbers with commas, each {ends}"
        return ends

    def _end(self, value: float, units: str) -> str:
        return self.show(value if self.kind != "counts" else (int(value),), units)

    def show(self, value: Any, units: str = "mm") -> str:
        """A value as people read it."""
        if self.kind == "length":
            return format_length(value, units, mark_inexact=True)
        if self.kind == "angle":
            return f"{value:g}°"
        if self.kind == "switch":
            return "yes" if value else "no"
        if self.kind == "stock":
            return str(value.name)
        if self.kind == "counts":
            return ",".join(str(v) for v in value)
        return str(value)

    def told(self, value: Any) -> str:
        """A value within a message, which shows lengths in the units asked for."""
        return in_words(value) if self.kind == "length" else self.show(value)

    def plain(self, value: Any) -> Any:
        """A value as a report writes it: mm, degrees, whole numbers, words."""
        if self.kind == "stock":
            return value.name
        return tuple(value) if self.kind == "counts" else value

    def handed(self, value: Any) -> Any:
        """A value as the recipe's function takes it: for a word that names a joint, that joint."""
        if self.joints:
            return ChosenJoint(self.name, value, dict(self.joints)[value], self.joints)
        return value

    def read(self, given: Any, units: str = "mm") -> Any:
        """A value from a person (text), a file (text or number) or Python, checked.

        Raises: InputError naming the parameter, the value and what is allowed.
        """
        return self._checked(self._converted(given, units), given, units)

    def _refuse(self, given: Any, units: str, fits: str = "", *, kind: bool = False) -> InputError:
        """A refusal; with `kind`, of what is no value of this kind at all."""
        value = given.name if isinstance(given, Stock) else as_typed(_as_in_a_file(given))
        what = NOUNS.get(self.kind, "") if kind else ""
        return InputError(self.name, value, f"must be {what}{self.allowed(units)}", fits)

    def _converted(self, given: Any, units: str) -> Any:
        if isinstance(given, str):
            return self._from_text(given.strip(), units)
        is_number = isinstance(given, int | float) and not isinstance(given, bool)
        if isinstance(given, int) and abs(given) > MOST_NUMBER:
            raise self._refuse(given, units)
        if self.kind == "length" and is_number:
            if units == "in":
                return parse_length(repr(given), what=self.name, bare_unit="in", allow_zero=True, signed=True)
            return check_length(given, what=self.name, allow_zero=True, signed=True)
        if self.kind == "angle" and is_number:
            return float(given)
        if self.kind == "count" and is_number and isfinite(given) and given == int(given):
            return int(given)
        if self.kind == "switch" and isinstance(given, bool):
            return given
        if self.kind == "stock" and isinstance(given, Stock):
            return given
        if self.kind == "counts":
            listed = given if isinstance(given, list | tuple) else (given,)
            if all(isinstance(v, int) and not isinstance(v, bool) for v in listed):
                return tuple(listed)
        if self.kind == "count" and is_number:
            raise self._refuse(given, units, self._whole_beside(given), kind=True)
        near = is_number or (self.kind == "counts" and isinstance(given, list | tuple))
        raise self._refuse(given, units, "" if near else f"not {_typed_kind(given)}", kind=not near)

    def _from_text(self, text: str, units: str) -> Any:
        if self.kind in ("length", "angle") and text.startswith(BRACKETS):
            raise self._refuse(text, units, NO_LIST, kind=True)
        if self.kind == "length":
            # ends of the range say more than "must be more than zero" does, so take any sign here
            return parse_length(text, what=self.name, bare_unit=units, allow_zero=True, signed=True)
        if self.kind == "angle":
            return parse_angle(text, what=self.name, signed=True)
        if self.kind in ("count", "counts"):
            return self._counts_from_text(text, units)
        if self.kind == "stock":
            try:
                return find_stock(text)
            except InputError as error:
                told = f"{error.what} {marked(error.allowed)}"
                raise InputError(self.name, text, told, marked(error.fits)) from None
        if self.kind == "switch":
            words = {"yes": True, "true": True, "on": True, "no": False, "false": False, "off": False}
            if text.lower() not in words:
                raise self._refuse(text, units)
            return words[text.lower()]
        return text

    def _counts_from_text(self, text: str, units: str) -> Any:
        """A whole number, or several with commas; refused in the words of this parameter's own range."""
        several = self.kind == "counts"
        ones = text.split(",") if several else [text]
        try:
            found = tuple(parse_count(one, what=self.name, allow_zero=True) for one in ones)
        except InputError:
            if several:
                bare = text.strip("()[]{} ").replace(" ", "")
                fits = f"write {bare}, without brackets" if re.fullmatch(r"[0-9]+(,[0-9]+)*", bare) else ""
                raise self._refuse(text, units, fits) from None
            listed = text.startswith(BRACKETS) or "," in text
            raise self._refuse(
                text, units, NO_LIST if listed else self._whole_beside(text), kind=True
            ) from None
        return found if several else found[0]

    def _whole_beside(self, given: Any) -> str:
        """The allowed whole numbers beside one that is not whole, as a clause; "" where there is none."""
        try:
            value = float(given)
        except ValueError:
            return ""
        if not abs(value) <= MOST_NUMBER or value == int(value):
            return ""
        beside = [n for n in (floor(value), floor(value) + 1) if self.low <= n <= self.high]
        return f"{' or '.join(map(str, beside))} would be one" if beside else ""

    def _checked(self, value: Any, given: Any, units: str) -> Any:
        if self.kind in ("length", "angle", "count"):
            slack = SAME_MM if self.kind == "length" else 0.0
            if not self.low - slack <= value <= self.high + slack:
                raise self._refuse(self.show(value, units), units)
        elif self.kind == "choice" and value not in self.options:
            near = get_close_matches(str(value), self.options, 1)
            raise self._refuse(given, units, f"did you mean {near[0]}?" if near else "")
        elif self.kind == "counts":
            if not 1 <= len(value) <= self.most or any(not self.low <= v <= self.high for v in value):
                raise self._refuse(self.show(value) or given, units)
        elif self.kind == "stock" and self.options and value.kind not in self.options:
            raise InputError(
                self.name, value.name, f"is a {value.kind}; it must be a {' or a '.join(self.options)}"
            )
        return value


def _as_in_a_file(given: Any) -> str:
    """A value of another kind as a file of parameters writes it."""
    return str(given).lower() if isinstance(given, bool) else str(given)


def _typed_kind(given: Any) -> str:
    """What kind of value a file of parameters holds, in words."""
    words = {"dict": "a table", "bool": "a yes or no", "datetime": "a date and a time"}
    return words.get(type(given).__name__) or kind_of(given)


def _mm(value: float | str) -> float:
    return parse_length(value, allow_zero=True) if isinstance(value, str) else float(value)


def length(default: float | str, low: float | str, high: float | str, meaning: str) -> Any:
    """A length parameter; numbers are mm, texts carry their unit.

    Raises: InputError for a text that is no length; RecipeError, when the recipe is read, for a default out
    of range.

    >>> length("1.2 m", "300 mm", 2400, "overall width").allowed()
    'from 300.0 mm to 2400.0 mm'
    """
    return Parameter("", "length", _mm(default), meaning, _mm(low), _mm(high))


def angle(default: float, low: float, high: float, meaning: str) -> Any:
    """An angle parameter, degrees.

    Raises: RecipeError, when the recipe is read, for a default that is not allowed.

    >>> angle(8, 0, 25, "lean of the legs").allowed()
    'from 0° to 25°'
    """
    return Parameter("", "angle", float(default), meaning, low, high)


def count(default: int, low: int, high: int, meaning: str) -> Any:
    """A whole-number parameter.

    Raises: RecipeError, when the recipe is read, for a default that is not allowed.

    >>> count(3, 1, 12, "shelves").allowed()
    'from 1 to 12'
    """
    return Parameter("", "count", default, meaning, low, high)


def counts(default: Iterable[int], low: int, high: int, most: int, meaning: str) -> Any:
    """A list of 1 to `most` whole numbers, each from `low` to `high`; typed with commas: 1,2,3.

    Raises: RecipeError, when the recipe is read, for a default that is not allowed.

    >>> counts((1, 2), 0, 4, 3, "dividers in each row").allowed()
    '1 to 3 whole numbers with commas, each from 0 to 4'
    """
    return Parameter("", "counts", tuple(default), meaning, low, high, most=most)


def choice(default: str, options: Iterable[str], meaning: str) -> Any:
    """One of a few words.

    Raises: RecipeError, when the recipe is read, for a default that is not allowed.

    >>> choice("oak", ("oak", "ash"), "the wood").allowed()
    'one of oak, ash'
    """
    return Parameter("", "choice", default, meaning, options=tuple(options))


def joint_choice(default: str, joints: Mapping[str, Spec | StripJoint | None], meaning: str) -> Any:
    """One of a few joints, chosen by a word.

    The recipe's function is handed a `furnigen.ChosenJoint`, which `Draft.join` takes as it is: what can not
    be cut is refused naming this parameter and the word.

    Args:
        default: one of the words.
        joints: the joint each word stands for, such as housing(). None where the recipe works it out, as it
            does for the word "usual" (see `furnigen.ChosenJoint.usual`).
        meaning: one clause for the maker.

    Raises: RecipeError, when the recipe is read, for a default that is none of the words.

    >>> from furnigen import dowelled, housing
    >>> joints = {"housing": housing(), "dowelled": dowelled()}
    >>> joint_choice("housing", joints, "how shelves meet the sides").options
    ('housing', 'dowelled')
    """
    return Parameter("", "choice", default, meaning, options=tuple(joints), joints=tuple(joints.items()))


def switch(default: bool, meaning: str) -> Any:
    """Yes or no.

    Raises: RecipeError, when the recipe is read, for a default that is not allowed.

    >>> switch(True, "with a back").allowed()
    'yes or no'
    """
    return Parameter("", "switch", default, meaning)


def from_stock(default: str, meaning: str, kinds: Iterable[str] = ()) -> Any:
    """A stock by name; `kinds` limits it to sheets, boards, bars or blanks.

    Its name is looked up when the recipe is described or made, not when it is read.

    Raises: InputError for an unknown kind; RecipeError, when the recipe is read, for an unknown stock.

    >>> from_stock("birch-ply-18", "all boards", ("sheet",)).options
    ('sheet',)
    """
    for kind in kinds:
        if kind not in KINDS:
            raise InputError("kind of stock", kind, f"must be one of {', '.join(KINDS)}")
    return Parameter("", "stock", default, meaning, options=tuple(kinds))
