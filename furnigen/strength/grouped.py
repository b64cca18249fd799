"""Tables whose rows hold for kinds of material, or for materials by name."""

from __future__ import annotations

from functools import cache

from furnigen.errors import InputError
from furnigen.materials import Material
from furnigen.tables import read_table


@cache
def rows_of(table: str) -> tuple[dict[str, str], ...]:
    """The rows of a table, read once."""
    return tuple(read_table(table))


@cache
def row_for(material: Material, table: str) -> dict[str, str]:
    """The row of furnigen/data/`table`.csv that names `material`, or else its kind.

    Errors: InputError when no row does.
    """
    rows = rows_of(table)
    for row in rows:
        if material.name in row.get("materials", "").split():
            return row
    for row in rows:
        if material.kind in row["kinds"].split():
            return row
    known = ", ".join(sorted({kind for row in rows for kind in row["kinds"].split()}))
    raise InputError(
        f"kind of {material.name}", material.kind, f"furnigen/data/{table}.csv knows only {known}"
    )
