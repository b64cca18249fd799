"""furnigen stock: the catalogue of sheets, boards, bars and blanks, searched by words and sizes."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from furnigen.cli.shared_options import add_units
from furnigen.core.errors import InputError

if TYPE_CHECKING:
    from furnigen.catalogue.stock import Stock

SAME_SIZE_MM = 0.05
"""A size that was typed is one of a stock's within this."""


def add_arguments(command: argparse.ArgumentParser) -> None:
    """WORDS, --all and --units."""
    command.add_argument(
        "words",
        metavar="WORD",
        nargs="*",
        help="what its name, kind or material holds, or one of its sizes: birch 18, oak '3/4 in', blank",
    )
    command.add_argument("--all", action="store_true", help="every stock, where no word is given")
    add_units(command)


def run(given: argparse.Namespace) -> int:
    """List what matches all words; families where no word is given; more on one that is found alone."""
    from furnigen.catalogue.stock import list_stock
    from furnigen.cli.columns import in_columns

    units = given.units or "mm"
    words = _words(given.words)
    found = [s for s in list_stock() if all(_holds(s, word) for word in words)]
    if not found:
        raise _nothing(given.words, words)
    if given.json:
        print(json.dumps([_row(s) for s in found], ensure_ascii=False, indent=1))
    elif not words and not given.all:
        print("\n".join(in_columns(_families(found, units))))
        print(f"\n{len(found)} in all; furnigen stock WORD ... lists what holds every word, --all lists all")
    elif len(found) == 1:
        print("\n".join(in_columns(_details(found[0], units))))
    else:
        print("\n".join(in_columns(_table(found, units))))
    return 0


def _words(typed: Sequence[str]) -> list[str]:
    """What was typed, with a number and its unit as one word."""
    words: list[str] = []
    for word in " ".join(typed).lower().split():
        if words and word in ("mm", "cm", "m", "in", "ft", "inch", "inches") and words[-1][-1:].isnumeric():
            words[-1] += f" {word}"
        else:
            words.append(word)
    return words


def _holds(stock: Stock, word: str) -> bool:
    """Whether a stock's words hold a word, or it has a size of that length."""
    from furnigen.catalogue.materials import find_material

    material = find_material(stock.material)
    text = f"{stock.name} {stock.title} {stock.kind} {material.name} {material.title} {material.kind}"
    if word.replace("/", "-") in text.lower() or word in text.lower():
        return True
    size = _length(word)
    if size is None:
        return False
    sizes = (stock.thickness_mm, stock.width_mm, stock.length_mm, _length(stock.nominal.lower()))
    return any(one is not None and abs(one - size) <= SAME_SIZE_MM for one in sizes)


def _length(word: str) -> float | None:
    """A length that was typed with its unit, mm; None for other words."""
    from furnigen.core.quantities import parse_length

    if not word[:1].isnumeric() or word[-1].isnumeric():
        return None
    try:
        return parse_length(word)
    except InputError:
        return None


def _nothing(typed: Sequence[str], words: Sequence[str]) -> InputError:
    """No stock holds all words: which of them alone finds none, or what each finds."""
    from furnigen.catalogue.stock import list_stock

    counts = {word: sum(_holds(s, word) for s in list_stock()) for word in words}
    none = [word for word, count in counts.items() if not count]
    if none:
        said = f"no stock holds {' or '.join(none)}"
        return InputError("stock", " ".join(typed), said, "furnigen stock lists the families there are")
    each = ", ".join(f"{word}: {count}" for word, count in counts.items())
    return InputError(
        "stock", " ".join(typed), "no stock holds all of these words", f"alone they find {each}"
    )


def _kg(stock: Stock) -> float:
    """Mass of one as sold, kg."""
    from math import pi

    from furnigen.catalogue.materials import find_material

    section = stock.thickness_mm * stock.width_mm * (pi / 4 if stock.section == "round" else 1.0)
    return section * stock.length_mm * 1e-9 * find_material(stock.material).density_kg_m3


def _row(stock: Stock) -> dict[str, Any]:
    from furnigen.catalogue.materials import find_material

    material = find_material(stock.material)
    return {
        "name": stock.name,
        "title": stock.title,
        "kind": stock.kind,
        "section": stock.section,
        "material": material.name,
        "material_title": material.title,
        "nominal": stock.nominal,
        "thickness_mm": stock.thickness_mm,
        "width_mm": stock.width_mm,
        "length_mm": stock.length_mm,
        "grain": stock.grain,
        "density_kg_m3": material.density_kg_m3,
        "mass_kg": round(_kg(stock), 3),
        "price": None,
        "source": stock.source,
        "provenance": stock.provenance,
        "note": stock.note,
    }


def _size(mm: float, units: str) -> str:
    from furnigen.core.quantities import format_length

    return format_length(mm, units, mark_inexact=units == "in")


def _table(found: Sequence[Stock], units: str) -> list[tuple[str, ...]]:
    from furnigen.catalogue.materials import find_material

    rows: list[tuple[str, ...]] = [
        ("name", "kind", "thickness", "width", "length", "kg/m³", "kg", "what it is")
    ]
    for s in found:
        sizes = (_size(mm, units) for mm in (s.thickness_mm, s.width_mm, s.length_mm))
        density = f"{find_material(s.material).density_kg_m3:.0f}"
        rows.append((s.name, s.kind, *sizes, density, f"{_kg(s):.1f}", s.title))  # type: ignore[arg-type]
    return rows


def _families(found: Sequence[Stock], units: str) -> list[tuple[str, ...]]:
    """A row for each family: kind, how many, thicknesses."""
    families: dict[tuple[str, str], list[Stock]] = {}
    for s in found:
        families.setdefault((s.family, s.kind), []).append(s)
    rows: list[tuple[str, ...]] = [("family", "kind", "number", "thickness")]
    for (family, kind), members in families.items():
        thick = sorted({s.thickness_mm for s in members})
        ends = _size(thick[0], units)
        if len(thick) > 1:
            ends += f" to {_size(thick[-1], units)}"
        rows.append((family, kind, str(len(members)), ends))
    return rows


def _details(s: Stock, units: str) -> list[tuple[str, ...]]:
    """All that is known of one stock."""
    from furnigen.catalogue.materials import find_material

    material = find_material(s.material)
    size = " x ".join(_size(mm, units) for mm in (s.thickness_mm, s.width_mm, s.length_mm))
    wood = s.kind == "board" and material.kind in ("hardwood", "softwood")
    rows = [
        ("name", s.name),
        ("what it is", s.title),
        ("kind", f"{s.kind}{', round' if s.section == 'round' else ''}, sold as {s.nominal}"),
        ("size", f"{size} (thickness x width x length), {_kg(s):.1f} kg"),
        ("material", f"{material.title}, {material.density_kg_m3:.0f} kg/m³"),
        ("stiffness", f"{material.moe_mpa:.0f} N/mm² along the grain or the long side"),
        ("grain", "runs along its length" if s.grain else "none: parts may lie either way"),
        ("price", "none is stated"),
        ("source", f"{s.source} ({s.provenance})"),
        ("note", s.note),
        (
            "typed as",
            f"{s.name}; as measured {s.name}@{s.thickness_mm:g}{'; graded NAME:CLASS' if wood else ''}",
        ),
    ]
    return [row for row in rows if row[1]]
