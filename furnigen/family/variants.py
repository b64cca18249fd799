"""Which variants a family has: their names and values, one at a time, in a fixed order."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from furnigen.core.errors import InputError
from furnigen.family.axes import in_file_units
from furnigen.family.family_file import Family, expression_names

LONGEST_NAME = 120
"""Characters of a folder's name; leaves room below the 255 bytes of a file system for what is added."""
_PLAIN = re.compile(r"[a-z0-9.@+-]+")


@dataclass(frozen=True)
class Variant:
    """One member of a family, as data.

    Attributes:
        number: its place in the order of the family, from 0.
        name: of its folder, from what varies.
        values: plain values of the recipe's parameters that the file sets.
        helpers: plain values of other names the file sets.
        refusal: why it can not be made, known before it is tried; "" where it can be tried.
    """

    number: int
    name: str
    values: dict[str, Any]
    helpers: dict[str, Any] = field(default_factory=dict)
    refusal: str = ""


@dataclass(frozen=True)
class Skipped:
    """A member that a constraint leaves out.

    Attributes:
        reason: the constraint's name.
    """

    reason: str


def _word(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:.6f}".rstrip("0").rstrip(".")
    if isinstance(value, list):
        return "+".join(str(v) for v in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def folder_name(varied: dict[str, Any]) -> str:
    """A name from what varies: `width=1200,shelves=3`, safe on any file system, never the same for two.

    >>> folder_name({"width": 1200.0, "build": "mitred"})
    'width=1200,build=mitred'
    """
    words = {n: _word(v) for n, v in varied.items()}
    slugs = {
        n: w if _PLAIN.fullmatch(w) else re.sub(r"[^a-z0-9.@+-]+", "-", w.lower()) for n, w in words.items()
    }
    name = ",".join(f"{n}={s}" for n, s in slugs.items()) or "only"
    if slugs == words and len(name) <= LONGEST_NAME:
        return name
    # what the shortening lost, a digest keeps apart
    digest = hashlib.sha256(json.dumps(varied).encode()).hexdigest()[:10]
    return f"{name[: LONGEST_NAME - 11]}~{digest}"


def _axis_rows(family: Family, number: int) -> dict[str, Any]:
    """What varies, for one member: the last axis turns fastest."""
    found: dict[str, Any] = {}
    for axis in reversed(family.axes):
        number, index = divmod(number, len(axis))
        found = dict(zip(axis.names, axis.row(index), strict=True)) | found
    return found


def _follow(family: Family, values: dict[str, Any]) -> str:
    """Work out [let] into `values`; returns why the variant can not be, or ""."""
    names = expression_names(family, values)
    parameters = {p.name: p for p in family.recipe.parameters}
    for name, expression in family.lets:
        value = expression.value(names)
        parameter = parameters.get(name)
        if parameter is not None:
            if isinstance(value, float) and parameter.kind == "count" and value.is_integer():
                value = int(value)
            try:
                value = parameter.plain(parameter.read(value, family.units))
            except InputError as error:
                return f"{error} (from [let])"
        values[name] = value
        names[name] = in_file_units(value, parameter, family.units)
    return ""


def variant_of(family: Family, number: int) -> Variant | Skipped:
    """One member of the family.

    Raises: InputError when an expression can not be worked out.
    """
    varied = _axis_rows(family, number)
    values = {**family.fixed, **varied}
    refusal = _follow(family, values)
    if not refusal:
        names = expression_names(family, values)
        for reason, expression in family.only:
            if not expression.value(names):
                return Skipped(reason)
    own = {p.name for p in family.recipe.parameters}
    return Variant(
        number,
        folder_name(varied),
        {n: v for n, v in values.items() if n in own},
        {n: v for n, v in values.items() if n not in own},
        refusal,
    )


def all_variants(family: Family) -> Iterator[Variant | Skipped]:
    """All members, in order."""
    return (variant_of(family, number) for number in range(family.count))
