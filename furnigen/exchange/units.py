"""The unit of length that a STEP file's contexts state (ISO 10303-41, from memory), as millimetres."""

from __future__ import annotations

from dataclasses import dataclass

from furnigen.core.errors import InputError
from furnigen.exchange.part21 import ExchangeFile

_PREFIXES = {
    "EXA": 1e18,
    "PETA": 1e15,
    "TERA": 1e12,
    "GIGA": 1e9,
    "MEGA": 1e6,
    "KILO": 1e3,
    "HECTO": 1e2,
    "DECA": 1e1,
    "DECI": 1e-1,
    "CENTI": 1e-2,
    "MILLI": 1e-3,
    "MICRO": 1e-6,
    "NANO": 1e-9,
    "PICO": 1e-12,
    "FEMTO": 1e-15,
    "ATTO": 1e-18,
}
_MM_PER_M = 1000.0
_CHAIN = 8
"""Conversions of conversions that are followed: a file may name a unit as its own."""


@dataclass(frozen=True)
class Unit:
    """A unit of length.

    Attributes:
        name: as the file calls it: "millimetre", "INCH".
        mm: its length (mm).
    """

    name: str
    mm: float


def length_unit(file: ExchangeFile, context: int | None) -> Unit | None:
    """The unit of length of a context of representations; None where it states none that can be read."""
    if context is None:
        return None
    given = file.value(context, "GLOBAL_UNIT_ASSIGNED_CONTEXT", 0)
    for unit in given if isinstance(given, list) else ():
        if isinstance(unit, int) and "LENGTH_UNIT" in file.values(unit):
            return _unit(file, unit, _CHAIN)
    return None


def refuse_units(path: object, file: ExchangeFile) -> None:
    """Refuse a file that states a unit of length which can not be read: the kernel would take another for it.

    Args:
        path: of the file, for the message.

    Raises: InputError naming the row.
    """
    for context in file.of("GLOBAL_UNIT_ASSIGNED_CONTEXT"):
        given = file.value(context, "GLOBAL_UNIT_ASSIGNED_CONTEXT", 0)
        for unit in given if isinstance(given, list) else ():
            if isinstance(unit, int) and "LENGTH_UNIT" in file.values(unit) and not _unit(file, unit, _CHAIN):
                raise InputError("STEP file", path, f"states a unit of length (#{unit}) that can not be read")


def _unit(file: ExchangeFile, number: int, chain: int) -> Unit | None:
    values = file.values(number)
    if "SI_UNIT" in values:
        prefix, name = (file.value(number, "SI_UNIT", at) for at in (-2, -1))
        if name != "METRE" or (prefix is not None and prefix not in _PREFIXES):
            return None
        words = f"{prefix or ''}metre".lower()
        return Unit(words, _PREFIXES[prefix] * _MM_PER_M if prefix else _MM_PER_M)
    if "CONVERSION_BASED_UNIT" not in values or not chain:
        return None
    name = file.value(number, "CONVERSION_BASED_UNIT", 0)
    measure = file.reference(number, "CONVERSION_BASED_UNIT", 1)
    if measure is None:
        return None
    for kind in ("LENGTH_MEASURE_WITH_UNIT", "MEASURE_WITH_UNIT"):
        size, of = file.value(measure, kind, 0), file.reference(measure, kind, 1)
        if isinstance(size, float) and size > 0 and of is not None:
            base = _unit(file, of, chain - 1)
            return Unit(str(name or "unnamed unit"), size * base.mm) if base else None
    return None
