"""The text of STEP files that the kernel wrote: the rows of each solid taken out, an assembly put together of
them, and what the kernel leaves unrepeatable or wrong put right.

A row is an entity on a line of its own, `#12 = DIRECTION('',(0.,0.,1.));`; the rows of a solid follow each
other, and tell of no other row but their own. So they are found once, and given other numbers in each file.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import chain, count

import numpy as np
import numpy.typing as npt

from furnigen.errors import GeometryError

_NUMBER = re.compile(rb"#\d+")
_NUMBERS = re.compile(rb"#(\d+)")
_FIRST = re.compile(rb"^#\d+", re.MULTILINE)
_INDENT = re.compile(rb"\n *")
_OCCURRENCE = re.compile(rb"(#\d+ = \w+\()'[^']*'")
_PRODUCT = re.compile(rb"(#\d+ = \w+\()'(?:[^']|'')*'(,'((?:[^']|'')*)')")
_UNIT = re.compile(rb"#\d+ = \w+\(\((#\d+),(#\d+)\)\)")
_UNIT_PART = re.compile(rb"((#\d+) = \w+\(#\d+,)[^)]*\)")
_SHOWN = b"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION"
_SHAPE = b"ADVANCED_BREP_SHAPE_REPRESENTATION"
_REPRESENTATION = re.compile(rb"#\d+ = \w+\('(?:[^']|'')*',\(([^()]*)\),(#\d+)\);")
_STYLED = re.compile(rb"(#\d+) = \w+\('color',\([^()]*\),(#\d+)\)")
_TOKEN = re.compile(rb"\A(#\d+).* = CIRCLE\('',#\d+,([^)]*)\)", re.DOTALL)
_HASH = b"\0"
"""Stands for a number sign within strings, so that those without are all numbers of rows."""


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


def whole(data: bytes) -> bytes:
    """A STEP file with each entity on one line.

    The kernel breaks lines even within a name, where a reader may take the break as part of it.
    """
    parts = data.split(b"'")  # a doubled apostrophe is two strings here
    parts[1::2] = [text.replace(b"\n", b"").replace(b"#", _HASH) for text in parts[1::2]]
    rows = b"'".join(parts).split(b";\n")
    return b";\n".join([_INDENT.sub(b"", row) if b"\n" in row else row for row in rows])


def _found(data: bytes, kind: bytes, pattern: re.Pattern[bytes]) -> Iterator[re.Match[bytes]]:
    """The entities of one kind. A file is long and they are few: a plain search finds them soonest."""
    mark = b" = " + kind + b"("
    at = data.find(mark)
    while at >= 0:
        match = pattern.match(data, data.rfind(b"\n", 0, at) + 1)
        if match:
            yield match
        at = data.find(mark, at + 1)


def _changed(
    data: bytes, kind: bytes, pattern: re.Pattern[bytes], change: Callable[[re.Match[bytes]], bytes]
) -> bytes:
    parts, done = [], 0
    for match in _found(data, kind, pattern):
        parts += [data[done : match.start()], change(match)]
        done = match.end()
    return b"".join([*parts, data[done:]])


def _solids(data: bytes) -> Iterator[tuple[int, int]]:
    """Where the rows of each solid begin and end: between those of its representation and its context."""
    for shape in _found(data, _SHAPE, _REPRESENTATION):
        items = _NUMBER.findall(shape[1])  # where it stands, and the solid
        start, end = (data.find(b"\n" + row + b" = ", shape.end()) + 1 for row in (items[-1], shape[2]))
        if len(items) != 2 or not 0 < start < end:
            raise GeometryError("the kernel's STEP file is not laid out as it used to be")
        yield start, end


def rows_of_solids(data: bytes) -> list[Rows]:
    """The rows of each solid in a file that the kernel wrote, in its order.

    Errors: GeometryError when they do not keep to themselves.
    """
    data = whole(data)
    found = []
    for start, end in _solids(data):
        text = data[start:end]
        parts = _NUMBERS.split(text.replace(b"%", b"%%"))
        numbers = np.array(parts[1::2], dtype=np.int32)
        numbers -= numbers[0]
        many = text.count(b"\n")
        if numbers.min() < 0 or numbers.max() >= many:
            raise GeometryError("the kernel's STEP file has solids that share rows")
        found.append(Rows(b"#%d".join(parts[::2]).replace(_HASH, b"#"), numbers, many))
    return found


def assembled(data: bytes, rows: Mapping[int, Rows]) -> bytes:
    """A file that the kernel wrote, with rows of solids in place of its tokens.

    The numbers run through the file, and all of it is as repeatable as the rows are.

    Args:
        data: a file in which each solid is a disc of a radius (mm) that is a whole number.
        rows: what belongs in place of it, by that number less one.
    """
    data = _repaired(whole(data))
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
    texts = [_numbered(text, number) for text in between]
    return b"".join(chain.from_iterable(zip(texts, [*solids, b""], strict=True)))


def _numbered(text: bytes, number: dict[bytes, int]) -> bytes:
    parts = re.split(rb"(#\d+)", text)
    parts[1::2] = [b"#%d" % number[old] for old in parts[1::2]]
    return b"".join(parts).replace(_HASH, b"#")


def _repaired(data: bytes) -> bytes:
    """What the kernel wrote made repeatable and right.

    It numbers occurrences through the whole process, and gives density as g³ cm² for g / cm³. In its model
    that takes far longer to find than in its file.
    """
    occurrences = count(1)
    taken: set[bytes] = set()

    def product(m: re.Match[bytes]) -> bytes:
        names = chain((m[3],), (b"%s (%d)" % (m[3], n) for n in count(2)))
        unique = next(name for name in names if name not in taken)
        taken.add(unique)
        return b"%s'%s'%s" % (m[1], unique, m[2])

    exponents: dict[bytes, bytes] = {}
    for unit in _found(data, b"DERIVED_UNIT", _UNIT):
        exponents |= {unit[1]: b"1.", unit[2]: b"-3."}
    contexts = {
        item: shape[2]
        for shape in _found(data, _SHAPE, _REPRESENTATION)
        for item in _NUMBER.findall(shape[1])
    }
    context = {styled[1]: contexts[styled[2]] for styled in _found(data, b"STYLED_ITEM", _STYLED)}
    free = count(data.count(b"\n#") + 1)

    def shown(m: re.Match[bytes]) -> bytes:
        """A representation for the style of each shape, in that shape's own context."""
        numbers = chain((m[0].split(b" ", 1)[0],), (b"#%d" % n for n in free))
        rows = zip(numbers, _NUMBER.findall(m[1]), strict=False)
        return b"\n".join(b"%s = %s('',(%s),%s);" % (n, _SHOWN, item, context[item]) for n, item in rows)

    data = _changed(data, _SHOWN, _REPRESENTATION, shown)
    data = _changed(
        data,
        b"NEXT_ASSEMBLY_USAGE_OCCURRENCE",
        _OCCURRENCE,
        lambda m: b"%s'%d'" % (m[1], next(occurrences)),
    )
    data = _changed(data, b"PRODUCT", _PRODUCT, product)
    return _changed(data, b"DERIVED_UNIT_ELEMENT", _UNIT_PART, lambda m: m[1] + exponents[m[2]] + b")")
