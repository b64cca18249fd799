"""A file of parameters that `furnigen make --params` takes."""

from __future__ import annotations

from typing import Any

from furnigen.core.quantities import format_length
from furnigen.core.toml_text import toml_key, toml_value
from furnigen.family.family_file import Family
from furnigen.family.variants import Variant
from furnigen.solve.goal_file import Asked


def params_toml(asked: Asked, candidate: Variant, note: str) -> bytes:
    """The file, UTF-8.

    Args:
        note: a first line of comment: where it comes from.
    """
    family = asked.family
    lines = [f"# {note}", f"title = {toml_value(family.title)}", f"recipe = {toml_value(family.recipe.name)}"]
    if family.units != "mm":
        lines.append(f"units = {toml_value(family.units)}")
    lines += ["", "[parameters]"]
    kinds = {p.name: p for p in family.recipe.parameters}
    for name, value in candidate.values.items():
        lines.append(f"{name} = {_value(value, kinds[name].kind)}")
    tables: tuple[tuple[str, Any], ...] = (
        ("brief", [(n, f"{mm:.10g} mm") for n, mm in asked.brief]),
        ("load", family.loads),
        ("strength", family.strength),
    )
    for table, rows in tables:
        if rows:
            lines += ["", f"[{table}]", *(f"{toml_key(n)} = {toml_value(v)}" for n, v in rows)]
    return ("\n".join(lines) + "\n").encode()


def _value(value: Any, kind: str) -> str:
    return toml_value(f"{value:.10g} mm" if kind == "length" else value)


def shown_values(family: Family, values: dict[str, Any]) -> str:
    """Values in one line, for people: `shelves=4 shelf_board=birch-ply-18-2440`."""
    kinds = {p.name: p for p in family.recipe.parameters}
    words = []
    for name, value in values.items():
        parameter = kinds.get(name)
        if parameter is not None and parameter.kind == "length":
            words.append(f"{name}={format_length(value, family.units)}")
        elif isinstance(value, list | tuple):
            words.append(f"{name}={','.join(map(str, value))}")
        else:
            words.append(f"{name}={value:g}" if isinstance(value, float) else f"{name}={value}")
    return " ".join(words)
