"""All caches: what is kept from one piece to the next, how much of it, and when it goes.

- **What.** Only what is worked out from a frozen description and depends on nothing else, so that a value
  from a cache is the value that would be worked out: no result depends on what was made before. Keys that
  are equal give equal values; that 0.0 equals -0.0 does no harm, for `furnigen.parts.part.canonical` leaves
  no negative zero.
- **How much.** Each cache has a bound of entries, all of them below, chosen so that a family's neighbouring
  variants find what they share, and a process stays within a few hundred MB however many pieces it makes.
- **When it goes.** The least recently used first, when the bound is reached. What belongs to one mesh
  (`while_alive`) goes with that mesh. `forget_all` empties them all.

Tables of the package (`functools.cache` on what reads a data file) are no caches in this sense: they are
small, whole, and stay. A property that a frozen value has worked out (`cached_property`) goes with the
value.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from functools import lru_cache
from typing import Any, Generic, ParamSpec, TypeVar, cast
from weakref import WeakKeyDictionary, WeakSet

PART_KEYS = 4096
"""Canonical positions and closed-form measures by form and cuts: small, shared by copies of a board."""
MEETINGS = 4096
"""How two boards meet: small, and asked for when a joint is declared and again when it is cut."""
HARDWARE_SIZES = 256
"""What a size of hardware is sold as: a word."""
STRENGTH_WORDS = 256
"""Rows of tables by the kind of a joint, and which bays are full by their number."""
JOINT_RULES = 1024
"""What wood of one make bears at a fastener of one size, and the makes themselves."""
NET_SECTIONS = 1024
"""What cuts leave of a board along its axes: copies of a part share it, and neighbouring variants."""
SECTIONS = 1024
"""Sections of single boards by their sizes."""
RACKS = 256
"""How far frames lean, two numbers each: what would brace one asks for it bare again."""
PLATES = 512
"""Sag of plates by their sizes: boards of a piece are mostly alike."""
POLYHEDRA = 64
"""Faces of parts: the solid, the mesh and the checks of one part each ask for them."""
LIGHT_MESHES = 256
"""Meshes from the description: what variants of a family share, and what remedies leave as it is."""
CONTACT_PAIRS = 8192
"""What two meshes in one position to each other share: some hundred bytes each, a few for most placements."""
FAMILY_PARTS = 400
"""Parts whose solids, meshes and STEP rows a family's worker keeps."""
SEARCHED_PIECES = 256
"""Pieces of candidates that a worker of a search keeps from one stage to the next: some 3 kB a placement."""
SEARCHED_PLACEMENTS = 200
"""A piece of more placements is not kept so: 256 of that size are some 150 MB."""

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")
P = ParamSpec("P")

_FORGET: list[Callable[[], None]] = []
_LIVING: WeakSet[Kept[Any, Any]] = WeakSet()


def kept(most: int) -> Callable[[Callable[P, V]], Callable[P, V]]:
    """A decorator: keeps up to `most` results of a function by its arguments."""

    def with_answers(function: Callable[P, V]) -> Callable[P, V]:
        cached = lru_cache(most)(function)
        _FORGET.append(cached.cache_clear)
        return cast("Callable[P, V]", cached)

    return with_answers


class Kept(Generic[K, V]):
    """Values by key, the least recently used going first.

    Args:
        most: how many are kept; at least 1.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._values: OrderedDict[K, V] = OrderedDict()
        _LIVING.add(self)

    def __len__(self) -> int:
        return len(self._values)

    def get(self, key: K) -> V | None:
        """The value kept for a key; None where there is none."""
        if key not in self._values:
            return None
        self._values.move_to_end(key)
        return self._values[key]

    def keep(self, key: K, value: V) -> V:
        """Keep a value, dropping the oldest beyond the limit; returns the value."""
        self._values[key] = value
        self._values.move_to_end(key)
        while len(self._values) > self._most:
            self._values.popitem(last=False)
        return value

    def forget(self) -> None:
        """Drop all values."""
        self._values.clear()


def while_alive() -> WeakKeyDictionary[Any, Any]:
    """A cache by object: each value is dropped when its object is."""
    values: WeakKeyDictionary[Any, Any] = WeakKeyDictionary()
    _FORGET.append(values.clear)
    return values


def forget_all() -> None:
    """Empty every cache of the process."""
    for forget in _FORGET:
        forget()
    for values in list(_LIVING):
        values.forget()
