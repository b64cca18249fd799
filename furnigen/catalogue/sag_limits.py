"""How much a shelf may sag: shares of its span, from a table or given by a maker.

The table is furnigen/catalogue/data/sag_limits.csv.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from furnigen.catalogue.materials import Source
from furnigen.core.errors import InputError
from furnigen.core.quantities import as_typed
from furnigen.core.tables import look_up, read_table

OVERHANG_COUNTS = 2.0
"""An overhang counts as a span twice its length: IRC Table R301.7 note b, looked up."""


@dataclass(frozen=True, slots=True)
class SagLimit:
    """A limit of sag.

    Attributes:
        name: as a recipe or a command line says it.
        title: for people.
        share: largest sag over span.
        source: where from.
        note: what a careful reader must know.
    """

    name: str
    title: str
    share: float
    source: Source
    note: str = ""

    def mm(self, length_mm: float, kind: str = "span") -> float:
        """The largest sag of a span, or of an overhang (which counts twice its length), mm."""
        return self.share * length_mm * (OVERHANG_COUNTS if kind == "overhang" else 1.0)


@cache
def _table() -> MappingProxyType[str, SagLimit]:
    def limit(row: dict[str, str]) -> SagLimit:
        top, bottom = row["share"].split("/")
        source = Source(row["source"], row["provenance"])
        return SagLimit(row["name"], row["title"], int(top) / int(bottom), source, row["note"])

    return MappingProxyType({row["name"]: limit(row) for row in read_table("sag_limits")})


def find_limit(text: str) -> SagLimit:
    """A limit by name, or a share such as `L/300` or `1/300`.

    Raises: InputError for an unknown name, or a share that is no limit.

    >>> find_limit("fine").mm(914.4), find_limit("L/300").mm(900)
    (1.524, 3.0)
    """
    match = (
        re.fullmatch(r"(?:l|1)? */ *([0-9]{1,5})", text.strip().lower()) if isinstance(text, str) else None
    )
    if match:
        whole = int(match[1])
        if not 20 <= whole <= 10_000:
            raise InputError("sag limit", as_typed(text), "must be from L/20 to L/10000")
        return SagLimit(f"L/{whole}", f"L/{whole}", 1 / whole, Source("given by the maker", "given"))
    try:
        return look_up("sag limit", text, _table())
    except InputError as unknown:
        raise InputError(
            "sag limit",
            as_typed(text),
            "must be a share of the span such as L/300, or the name of a known limit",
            unknown.fits,
        ) from None


def list_limits() -> tuple[SagLimit, ...]:
    """Every limit of the table, in its order."""
    return tuple(_table().values())
