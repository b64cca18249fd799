"""The rows of each solid taken out of a STEP file, and an assembly put together of them.

The rows of a solid follow each other, and tell of no other row but their own. So they are found once, and
given other numbers in each file. This saves a family most of the time of a STEP file: the kernel writes an
assembly in which small tokens stand for solids that it has written before.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import chain

import numpy as np
import numpy.typing as npt

from furnigen.kernel.step_text import (
    HASH,
    REPRESENTATION,
    SHAPE,
    LayoutError,
    entities,
    one_entity_a_line,
    plain,
    repaired,
)

_NUMBER = re.compile(rb"#\d+")
_NUMBERS = re.compile(rb"#(\d+)")
_NUMBER_KEPT = re.compile(rb"(#\d+)")
_FIRST = re.compile(rb"^#\d+", re.MULTILINE)
_TOKEN = re.compile(rb"\A(#\d+).* = CIRCLE\('',#\d+,([^)]*)\)", re.DOTALL)


@dataclass(frozen=True, eq=False)
class Rows:
    """The rows of one solid, the solid's own first.

    Attributes:
        template: their text, with `%d` for each number.
        numbers: the numbers, in that order, from 0 for the first row.
        count: how many rows.
    """

    template: bytes
    numbers: npt.NDArray[np.int32]
    count: int

    def text(self, first: int) -> bytes:
        """The rows, numbered from `first`."""
        return self.template % tuple((self.numbers + first).tolist())


def _solids(data: bytes) -> Iterator[tuple[int, int]]:
    """Where the rows of each solid begin and end: between those of its representation and its context."""
    for shape in entities(data, SHAPE, REPRESENTATION):
        items = _NUMBER.findall(shape[2])  # where it stands, and the solid
        start, end = (data.find(b"\n" + row + b" = ", shape.end() - 1) + 1 for row in (items[-1], shape[3]))
        if len(items) != 2 or not 0 < start < end:
            raise LayoutError("the rows of a solid are not between its representation and its context")
        yield start, end


def rows_of_solids(data: bytes) -> list[Rows]:
    """The rows of each solid in a file that the kernel wrote, in its order.

    Raises: LayoutError when they do not keep to themselves.
    """
    data = one_entity_a_line(data)
    found = []
    for start, end in _solids(data):
        text = data[start:end]
        parts = _NUMBERS.split(text.replace(b"%", b"%%"))
        numbers = np.array(parts[1::2], dtype=np.int32)
        numbers -= numbers[0]
        many = text.count(b"\n")
        if numbers.min() < 0 or numbers.max() >= many:
            raise LayoutError("solids share rows")
        found.append(Rows(b"#%d".join(parts[::2]).replace(HASH, b"#"), numbers, many))
    return found


def assembled(data: bytes, name: bytes, rows: Mapping[int, Rows]) -> bytes:
    """A file that the kernel wrote, with rows of solids in place of its tokens.

    The numbers run through the file, and all of it is as repeatable as the rows are.

    Args:
        data: a file in which each solid is a disc of a radius (mm) that is a whole number.
        name: as in `furnigen.kernel.step_text.repaired`.
        rows: what belongs in place of it, by that number less one.

    Raises: LayoutError when a token or a row is not where it should be.
    """
    data = repaired(one_entity_a_line(data), name)
    between: list[bytes] = []
    solids: list[bytes] = []
    number: dict[bytes, int] = {}
    first, done = 1, 0
    for start, end in [*_solids(data), (len(data), len(data))]:
        between.append(data[done:start])
        for row in _FIRST.findall(between[-1]):
            number[row] = first
            first += 1
        for token, radius in _TOKEN.findall(data[start:end]):
            solid = rows[int(float(radius)) - 1]
            number[token] = first
            solids.append(solid.text(first))
            first += solid.count
        done = end
    if len(solids) != len(rows) or len(between) != len(rows) + 1:
        raise LayoutError(f"{len(solids)} of {len(rows)} tokens are found")
    texts = [_numbered(text, number) for text in between]
    return b"".join(chain.from_iterable(zip(texts, [*solids, b""], strict=True)))


def _numbered(text: bytes, number: dict[bytes, int]) -> bytes:
    parts = _NUMBER_KEPT.split(text)
    try:
        parts[1::2] = [b"#%d" % number[old] for old in parts[1::2]]
    except KeyError as error:
        raise LayoutError(f"a token is told of by its row {error.args[0].decode()}") from None
    return plain(b"".join(parts))
