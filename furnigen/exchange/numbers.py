"""Numbers of a STEP file that are none: the kernel would drop a solid in silence, or never come back."""

from __future__ import annotations

import re

from furnigen.core.errors import InputError
from furnigen.exchange.contents import Contents
from furnigen.exchange.part21 import ExchangeFile

_KINDS = ("CARTESIAN_POINT", "DIRECTION", "VECTOR")
_SUSPECT = re.compile(
    rb"[(,]\s*+([+-]?(?:INF\w*|NAN|\d++\.?\d*+E\+?\d{2,}+|\d{14,}+\.?|\d++\.\d*+\.)[^,()]*)", re.I
)
LARGEST = 1e12
"""Beyond this a coordinate is told to less than a thousandth in any unit."""


def refuse_numbers(path: object, held: Contents) -> None:
    """Refuse a file with a coordinate, direction or length that is no number or beyond all measure.

    Args:
        path: of the file, for the message.

    Raises: InputError naming the row, its part and the number.
    """
    file = held.file
    for kind in _KINDS:
        for number in file.of(kind):
            for found in _SUSPECT.finditer(file.rows[number]):
                text = found[1].decode("ascii", "replace").strip()
                if _is_none(text):
                    of = _owner(held, number)
                    raise InputError(
                        "STEP file",
                        path,
                        f"the {kind} #{number}{of} says {text}, which is no number to build by",
                    )


def _is_none(text: str) -> bool:
    try:
        return not abs(float(text)) <= LARGEST
    except ValueError:
        return True


def _owner(held: Contents, row: int) -> str:
    """Which part a row belongs to, in words; "" where it belongs to none."""
    for solid, name in held.by_solid.items():
        if row in _reached(held.file, solid):
            return f" of {name or 'a part without a name'}"
    return ""


def _reached(file: ExchangeFile, start: int) -> set[int]:
    seen, waiting = {start}, [start]
    while waiting:
        fresh = [n for n in file.references(waiting.pop()) if n not in seen and n in file.rows]
        seen.update(fresh)
        waiting += fresh
    return seen
