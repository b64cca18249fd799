"""Reading tables of a TOML file strictly: every key known, every value of its kind."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from difflib import get_close_matches
from math import isfinite
from typing import Any, TypeVar

from furnigen.core.errors import InputError, kind_of
from furnigen.core.quantities import MAX_COUNT, as_typed, parse_length

T = TypeVar("T")
MOST_MONEY = 10_000_000.0


class StrictTable:
    """One table of a file; each reader takes its key off, and `done` refuses what is left.

    Args:
        data: the table.
        place: where it is, for messages, such as "stock.toml: [[sheet]] 2".
        units: the unit of bare numbers.
    """

    def __init__(self, data: object, place: str, units: str) -> None:
        if not isinstance(data, dict):
            raise InputError(place, kind_of(data), "must be a table")
        self._data, self.place, self.units = dict(data), place, units
        self._known: list[str] = []

    def _what(self, key: str) -> str:
        return f"{self.place}: {key}"

    def take(self, key: str) -> Any:
        """The value of a key as it stands; None where it is not given."""
        self._known.append(key)
        return self._data.pop(key, None)

    def put(self, key: str, value: object) -> None:
        """Set a key, for another reader."""
        self._data[key] = value

    def has(self, key: str) -> bool:
        """Whether the key is there still."""
        return key in self._data

    def need(self, key: str, value: T | None, example: str) -> T:
        """A value that must be there.

        Raises: InputError with an example.
        """
        if value is None:
            raise InputError(self._what(key), "not given", "must be given", f"such as {key} = {example}")
        return value

    def text(self, key: str, choices: Sequence[str] = ()) -> str | None:
        """A text, one of some choices if there are any."""
        value = self.take(key)
        if value is None:
            return None
        if not isinstance(value, str) or not value.strip() or not value.isprintable():
            raise InputError(self._what(key), as_typed(value), "must be text on one line")
        if choices and value not in choices:
            near = get_close_matches(value, choices, 1)
            offer = f"did you mean {near[0]}?" if near else ""
            raise InputError(self._what(key), as_typed(value), f"must be one of {', '.join(choices)}", offer)
        return value.strip()

    def texts(self, key: str, choices: Sequence[str] = (), *, empty: bool = False) -> tuple[str, ...] | None:
        """One text, or a list of texts, which may be `empty`."""
        value = self.take(key)
        if value is None:
            return None
        found = []
        for one in value if isinstance(value, list) else [value]:
            found.append(StrictTable({key: one}, self.place, self.units).text(key, choices) or "")
        if not found and not empty:
            raise InputError(self._what(key), "[]", "must name one or more")
        return tuple(found)

    def flag(self, key: str, usual: bool) -> bool:
        """true or false."""
        value = self.take(key)
        if value is None:
            return usual
        if not isinstance(value, bool):
            raise InputError(self._what(key), as_typed(value), "must be true or false")
        return value

    def length(self, key: str, *, zero: bool = False) -> float | None:
        """A length (mm)."""
        value = self.take(key)
        return None if value is None else self.one_length(key, value, zero=zero)

    def one_length(self, key: str, value: object, *, zero: bool = False) -> float:
        """The length (mm) that a value of a key names."""
        if isinstance(value, int | float) and not isinstance(value, bool):
            value = repr(value)
        if not isinstance(value, str):
            raise InputError(self._what(key), as_typed(value), "must be a length", 'such as "3.2 mm"')
        return parse_length(value, what=self._what(key), bare_unit=self.units, allow_zero=zero)

    def stretches(self, key: str) -> tuple[tuple[float, float], ...]:
        """A list of [from, to] in lengths (mm)."""
        value = self.take(key)
        if value is None:
            return ()
        pairs = []
        for pair in value if isinstance(value, list) else [value]:
            if not isinstance(pair, list) or len(pair) != 2:
                raise InputError(
                    self._what(key), as_typed(pair), "must be pairs", 'such as [["300 mm", "350 mm"]]'
                )
            low, high = (self.one_length(key, end, zero=True) for end in pair)
            if low >= high:
                raise InputError(self._what(key), as_typed(pair), "must go from less to more")
            pairs.append((low, high))
        return tuple(sorted(pairs))

    def number(self, key: str, most: float = 1e6) -> float | None:
        """A number of zero or more."""
        value = self.take(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
            raise InputError(self._what(key), as_typed(value), "must be a number")
        if not 0 <= value <= most:
            raise InputError(self._what(key), f"{value:g}", f"must be from 0 to {most:,.0f}")
        return float(value)

    def money(self, key: str) -> float | None:
        """An amount of money, hundredths of the currency, not rounded."""
        value = self.number(key, MOST_MONEY)
        return None if value is None else value * 100

    def count(self, key: str, least: int = 1) -> int | None:
        """A whole number."""
        value = self.take(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= MAX_COUNT:
            raise InputError(
                self._what(key), as_typed(value), f"must be a whole number from {least} to {MAX_COUNT}"
            )
        return value

    def table(self, key: str) -> StrictTable | None:
        """A table within."""
        value = self.take(key)
        return None if value is None else StrictTable(value, f"{self.place}: [{key}]", self.units)

    def tables(self, key: str) -> list[StrictTable]:
        """An array of tables within, each named by its number."""
        value = self.take(key)
        if value is None:
            return []
        if not isinstance(value, list):
            raise InputError(self._what(key), kind_of(value), f"must be tables written as [[{key}]]")
        return [StrictTable(t, f"{self.place}: [[{key}]] {n}", self.units) for n, t in enumerate(value, 1)]

    def rest(self) -> dict[str, Any]:
        """All keys that are left, taken off."""
        left, self._data = self._data, {}
        return left

    def done(self) -> None:
        """Refuse keys that nothing has asked for.

        Raises: InputError naming the first, with the one most like it.
        """
        for key in self._data:
            near = get_close_matches(key, self._known, 1)
            offer = f"did you mean {near[0]}?" if near else f"there are {', '.join(self._known)}"
            raise InputError(f"{self.place}: key", as_typed(key), "is not known", offer)

    @contextmanager
    def naming(self) -> Iterator[None]:
        """Put this table's place before refusals from deeper down."""
        try:
            yield
        except InputError as error:
            if error.what.startswith(self.place):
                raise
            raise InputError(f"{self.place}: {error.what}", error.value, error.allowed, error.fits) from None


def read_each(tables: list[StrictTable], read: Callable[[StrictTable], T]) -> list[T]:
    """Read each of some tables, and refuse keys that are left over."""
    found = []
    for table in tables:
        with table.naming():
            found.append(read(table))
        table.done()
    return found
