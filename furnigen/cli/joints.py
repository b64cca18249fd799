"""furnigen joints: what each joint is, when to take it, its sizes, which recipes take it, a small picture."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from furnigen.core.errors import FurnigenError, InputError, OutputError
from furnigen.core.quantities import as_typed

if TYPE_CHECKING:
    from furnigen.cli.joint_guide import Entry
    from furnigen.recipes.recipe import Recipe

Takers = Mapping[str, list[str]]
"""For each joint, the recipes that take it and by which parameter."""
AS_IT_COMES = "as it comes"


def add_arguments(command: argparse.ArgumentParser) -> None:
    """NAME and --out."""
    command.add_argument(
        "names", metavar="NAME", nargs="*", help="joints to tell all about, with a section: housing, half-lap"
    )
    command.add_argument(
        "--out", metavar="DIR", help="folder for a picture of each, its boards drawn apart: housing.png ..."
    )


def run(given: argparse.Namespace) -> int:
    """List the joints, or tell all about some; draw them where a folder is named."""
    from furnigen.cli.joint_guide import GUIDE

    entries = [_found(name) for name in dict.fromkeys(given.names)] or list(GUIDE)
    takers = _takers(entries)
    pictures = _draw(entries, Path(given.out)) if given.out else {}
    if given.json:
        print(json.dumps([_row(e, takers, pictures) for e in entries], ensure_ascii=False, indent=1))
        return 0
    for n, entry in enumerate(entries):
        print("\n".join([*([""] if n else []), *_lines(entry, takers, whole=bool(given.names))]))
    if not given.names:
        print("\nfurnigen joints NAME tells its sizes and shows its section; --out DIR draws pictures")
    for path in pictures.values():
        print(path)
    return 0


def _found(name: str) -> Entry:
    from difflib import get_close_matches

    from furnigen.cli.joint_guide import GUIDE, find_entry

    entry = find_entry(name)
    if entry is None:
        names = [e.name for e in GUIDE]
        near = get_close_matches(name, names, 1)
        offer = f"did you mean {near[0]}?" if near else f"joints are {', '.join(names)}"
        raise InputError("joint", as_typed(name), "is not known", offer)
    return entry


def _takers(entries: Iterable[Entry]) -> Takers:
    """Which recipes take each joint: as they come, or chosen by a parameter."""
    from furnigen.recipes.discovery import list_recipes

    by_kind: dict[str, dict[str, list[str]]] = {}
    for recipe in list_recipes(lambda *_: None):
        own = _kinds_of(recipe, {})
        for kind in own:
            by_kind.setdefault(kind, {}).setdefault(recipe.name, []).append(AS_IT_COMES)
        for p in recipe.parameters:
            for word, spec in p.joints:
                if word != p.default:
                    # where the recipe works a word's joint out, that is seen in the piece alone
                    kinds = _kinds_of(recipe, {p.name: word}) - own if spec is None else {spec.kind}
                    for kind in kinds:
                        by_kind.setdefault(kind, {}).setdefault(recipe.name, []).append(f"{p.name}={word}")
    found: dict[str, list[str]] = {}
    for e in entries:
        recipes: dict[str, list[str]] = {}
        for kind in e.kinds:
            for name, words in by_kind.get(kind, {}).items():
                recipes.setdefault(name, []).extend(words)
        found[e.name] = [
            name
            if set(words) == {AS_IT_COMES}
            else f"{name} ({', '.join(sorted(dict.fromkeys(words), key=AS_IT_COMES.__ne__))})"
            for name, words in sorted(recipes.items())
        ]
    return found


def _kinds_of(recipe: Recipe, values: Mapping[str, Any]) -> set[str]:
    """Kinds of the joints of a piece; none where it can not be made so."""
    try:
        return {j.kind for j in recipe(**values).joints}
    except FurnigenError:
        return set()


def _draw(entries: list[Entry], folder: Path) -> dict[str, str]:
    """A picture of each in a folder."""
    from furnigen.cli.joint_section import apart
    from furnigen.picture.camera import View
    from furnigen.picture.picture import render_many

    drawn: dict[str, bytes] = {}
    for azimuth in dict.fromkeys(e.azimuth for e in entries):
        seen = [e for e in entries if e.azimuth == azimuth]
        pictures = render_many([apart(e) for e in seen], View(480, 360, azimuth, 22.0))
        drawn |= {e.name: picture for e, picture in zip(seen, pictures, strict=True)}
    written = {}
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for entry in entries:
            path = folder / f"{entry.name}.png"
            path.write_bytes(drawn[entry.name])
            written[entry.name] = str(path)
    except OSError as error:
        raise OutputError(f"{folder} can not be written: {error.strerror or error}") from None
    return written


def _row(entry: Entry, takers: Takers, pictures: Mapping[str, str]) -> dict[str, Any]:
    from furnigen.cli.joint_section import section

    return {
        "name": entry.name,
        "kinds": list(entry.kinds),
        "what": entry.what,
        "when": entry.when,
        "sizes": [{"name": n, "default": d, "meaning": m} for n, d, m in entry.sizes()],
        "recipes": takers[entry.name],
        "section": section(entry),
        "picture": pictures.get(entry.name),
    }


def _lines(entry: Entry, takers: Takers, *, whole: bool) -> list[str]:
    """A joint as a person reads it; its sizes and section where it was asked for by name."""
    from furnigen.cli.columns import in_columns

    taken = "; ".join(takers[entry.name]) or "none of those here; Draft.join takes it in your own"
    rows = [("what", entry.what), ("when", entry.when), ("recipes", taken)]
    if not whole:
        return [entry.name, *(f"  {line}" for line in in_columns(rows, _inner()))]
    from furnigen.cli.joint_section import SIGNS, STRIP, section

    a, b = SIGNS.values()
    drawn = section(entry)
    strip = f", {STRIP} a strip of its own" if any(STRIP in line for line in drawn) else ""
    return [
        entry.name,
        *(f"  {line}" for line in in_columns(rows, _inner())),
        "  sizes (mm), with what they are where none is given:",
        *(f"    {line}" for line in in_columns(entry.sizes(), _inner() - 2)),
        f"  a section: {a} receives, {b} enters{strip}",
        *(f"    {line}".rstrip() for line in drawn),
    ]


def _inner() -> int:
    from furnigen.cli.finding_table import terminal_width

    return terminal_width() - 2
