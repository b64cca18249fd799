"""The text of STEP files that the kernel wrote: what it leaves unrepeatable or wrong put right.

A row is an entity on a line of its own, `#12 = DIRECTION('',(0.,0.,1.));`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from itertools import chain, count

from furnigen.core.errors import GeometryError

_NUMBER = re.compile(rb"#\d+")
_INDENT = re.compile(rb"\n *")
_OCCURRENCE = re.compile(rb"(#\d+ = \w+\()'[^']*'(,'((?:[^']|'')*)')")
_DIRECTIVE = re.compile(rb"\\X[24]\\[0-9A-F]*\\X0\\")
_PRODUCT = re.compile(rb"(#\d+ = \w+\()'(?:[^']|'')*'(,'((?:[^']|'')*)')")
_UNIT = re.compile(rb"#\d+ = \w+\(\((#\d+),(#\d+)\)\)")
_UNIT_PART = re.compile(rb"((#\d+) = \w+\(#\d+,)[^)]*\)")
_SHOWN = b"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION"
SHAPE = b"ADVANCED_BREP_SHAPE_REPRESENTATION"
REPRESENTATION = re.compile(rb"(#\d+) = \w+\('(?:[^']|'')*',\(([^()]*)\),(#\d+)\);\n")
_STYLED = re.compile(rb"(#\d+) = \w+\('color',\([^()]*\),(#\d+)\)")
_END = b"ENDSEC;\nEND-ISO-10303-21;"
HASH = b"\0"
"""Stands for a number sign within strings, so that those without are all numbers of rows."""


class LayoutError(GeometryError):
    """The kernel's STEP text is not laid out as it is known to be."""

    def __init__(self, what: str) -> None:
        super().__init__(f"the kernel's STEP file is not laid out as it used to be: {what}")


def one_entity_a_line(data: bytes) -> bytes:
    """A STEP file with each entity on one line.

    The kernel breaks lines even within a name, where a reader may take the break as part of it.
    """
    parts = data.split(b"'")  # a doubled apostrophe is two strings here
    parts[1::2] = [text.replace(b"\n", b"").replace(b"#", HASH) for text in parts[1::2]]
    rows = b"'".join(parts).split(b";\n")
    return b";\n".join([_INDENT.sub(b"", row) if b"\n" in row else row for row in rows])


def entities(data: bytes, kind: bytes, pattern: re.Pattern[bytes]) -> Iterator[re.Match[bytes]]:
    """The entities of one kind. A file is long and they are few: a plain search finds them soonest.

    Raises: LayoutError for one that does not read as it should.
    """
    mark = b" = " + kind + b"("
    at = data.find(mark)
    while at >= 0:
        match = pattern.match(data, data.rfind(b"\n", 0, at) + 1)
        if not match:
            raise LayoutError(f"{kind.decode()} reads otherwise")
        yield match
        at = data.find(mark, at + 1)


def _changed(
    data: bytes, kind: bytes, pattern: re.Pattern[bytes], change: Callable[[re.Match[bytes]], bytes]
) -> bytes:
    parts, done = [], 0
    for match in entities(data, kind, pattern):
        parts += [data[done : match.start()], change(match)]
        done = match.end()
    return b"".join([*parts, data[done:]])


def repaired(data: bytes, name: bytes) -> bytes:
    """What the kernel wrote, from `one_entity_a_line`, made repeatable and right; `plain` gives its number
    signs back.

    It numbers occurrences through the whole process, gives products of one name one id and the root its name
    for an id, and density as g³ cm² for g / cm³. In its model that takes far longer to find than in its file.
    The one list of styles that `furnigen.kernel.step` hands over becomes one for each shape, in that
    shape's own context, the others at the end of the file.

    Args:
        name: the id of the first product, the root.

    Raises: LayoutError when one of these is not where it should be.
    """
    occurrences = count(1)
    taken: set[bytes] = set()

    def product(m: re.Match[bytes]) -> bytes:
        base = m[3] if taken else name
        names = chain((base,), (b"%s (%d)" % (base, n) for n in count(2)))
        unique = next(name for name in names if name not in taken)
        taken.add(unique)
        return b"%s'%s'%s" % (m[1], unique, m[2])

    def occurrence(m: re.Match[bytes]) -> bytes:
        # a name without any plain character is none to the kernel's reader, which then takes the id
        number = b"%d" % next(occurrences)
        seen = _DIRECTIVE.sub(b"", m[3]).strip()
        return b"%s'%s'%s" % (m[1], number if seen else m[3], m[2])

    exponents: dict[bytes, bytes] = {}
    for unit in entities(data, b"DERIVED_UNIT", _UNIT):
        exponents |= {unit[1]: b"1.", unit[2]: b"-3."}
    contexts = {
        item: shape[3]
        for shape in entities(data, SHAPE, REPRESENTATION)
        for item in _NUMBER.findall(shape[2])
    }
    rest: list[bytes] = []

    def shown(m: re.Match[bytes]) -> bytes:
        styled = _NUMBER.findall(m[2])
        numbers = chain((m[1],), (b"#%d" % n for n in count(data.count(b"\n#") + 1)))
        rows = [
            b"%s = %s('',(%s),%s);\n" % (n, _SHOWN, item, context[item])
            for n, item in zip(numbers, styled, strict=False)
        ]
        rest.extend(rows[1:])
        return rows[0]

    try:
        context = {styled[1]: contexts[styled[2]] for styled in entities(data, b"STYLED_ITEM", _STYLED)}
        data = _changed(data, _SHOWN, REPRESENTATION, shown)
        data = _changed(
            data,
            b"DERIVED_UNIT_ELEMENT",
            _UNIT_PART,
            lambda m: m[1] + exponents[m[2]] + b")",
        )
    except KeyError as error:
        raise LayoutError(f"nothing is known of row {error.args[0].decode()}") from None
    data = _changed(
        data,
        b"NEXT_ASSEMBLY_USAGE_OCCURRENCE",
        _OCCURRENCE,
        occurrence,
    )
    data = _changed(data, b"PRODUCT", _PRODUCT, product)
    head, end, tail = data.rpartition(_END)
    if not end:
        raise LayoutError("it does not end")
    return b"".join([head, *rest, end, tail])


def plain(data: bytes) -> bytes:
    """A text with its number signs back in its strings: the file itself."""
    return data.replace(HASH, b"#")
