"""furnigen describe: what a recipe asks for, and what it makes where nothing is given."""

from __future__ import annotations

import argparse
import json
import textwrap
from typing import TYPE_CHECKING, Any, NamedTuple

from furnigen.cli.shared_options import add_units

if TYPE_CHECKING:
    from furnigen.piece.description import Piece
    from furnigen.recipes.recipe import Recipe


STOCK_NAMES = (
    "Stock names are those of furnigen stock; :GRADE after one says that the timber is graded, and @ the"
    " thickness that was measured: pine-1x3:C24, birch-ply-18-2440@17.8."
)


def add_arguments(command: argparse.ArgumentParser) -> None:
    """RECIPE and --units."""
    command.add_argument("recipe", metavar="RECIPE", help="a recipe's name, or the path of its .py file")
    add_units(command)


def run(given: argparse.Namespace) -> int:
    """Show name, unit, default, allowed range and meaning of every parameter."""
    from furnigen.recipes.discovery import find_recipe

    recipe = find_recipe(given.recipe)
    units = given.units or "mm"
    if given.json:
        rows = [
            {
                "name": p.name,
                "kind": p.kind,
                "unit": p.unit,
                "default": p.plain(p.default),
                "low": p.low if p.kind in ("length", "angle", "count", "counts") else None,
                "high": p.high if p.kind in ("length", "angle", "count", "counts") else None,
                "options": list(p.options),
                "allowed": p.allowed(units),
                "meaning": p.meaning,
            }
            for p in recipe.parameters
        ]
        whole = {"name": recipe.name, "summary": recipe.summary, "parameters": rows}
        whole["drawing"] = recipe.drawing
        print(json.dumps(whole | _made(recipe), ensure_ascii=False, indent=1))
        return 0
    print(f"{recipe.name}: {recipe.summary}\n")
    name_width = max((len(p.name) for p in recipe.parameters), default=0)
    for p in recipe.parameters:
        print(f"{p.name:<{name_width}}  {p.show(p.default, units)}")
        text = f"{p.meaning}; {p.allowed(units)}"
        print(
            textwrap.fill(
                text, 92, initial_indent=" " * (name_width + 4), subsequent_indent=" " * (name_width + 4)
            )
        )
    if any(p.kind == "stock" for p in recipe.parameters):
        print("\n" + textwrap.fill(STOCK_NAMES, 92))
    if recipe.drawing:
        print(f"\n{recipe.drawing}", end="")
    print("\n".join(_made_lines(recipe, units)))
    return 0


def _made(recipe: Recipe) -> dict[str, Any]:
    """Parts and joints of the piece that the defaults give, for a program; an error where they give none."""
    from furnigen.core.errors import FurnigenError
    from furnigen.formats.report import piece_report

    try:
        piece = recipe()
    except FurnigenError as error:
        return {"error": str(error)}
    report = piece_report(piece, (), ())
    kept = {key: report[key] for key in ("bounds_mm", "mass_kg", "parts", "openings", "legs")}
    return {"at_defaults": kept | {"joints": [row._asdict() for row in joint_counts(piece)]}}


def _made_lines(recipe: Recipe, units: str) -> list[str]:
    """Parts and joints of the piece that the defaults give, as a person reads them."""
    from furnigen.cli.columns import in_columns
    from furnigen.cli.show import headline, parts_table
    from furnigen.cli.sizes import sizes_lines
    from furnigen.core.errors import FurnigenError
    from furnigen.parts.mass import mass_kg

    try:
        piece = recipe()
    except FurnigenError as error:
        return ["", f"its defaults make no piece: {error}"]
    mass = sum(mass_kg(part) * n for part, n in zip(piece.parts, piece.quantities, strict=True))
    joints = [("joint", "number", "where"), *map(_joint_row, joint_counts(piece))]
    return [
        "",
        f"As it comes: {headline(piece, mass, units)}",
        "",
        *sizes_lines(piece, units),
        "",
        *parts_table(piece, units),
        *(["", *in_columns(joints)] if piece.joints else []),
        "",
        f"furnigen joints tells what these are; furnigen make {recipe.name} --steps how it goes together",
    ]


def _joint_row(row: JointCount) -> tuple[str, str, str]:
    return f"{row.kind}, glued" if row.glued else row.kind, str(row.number), ", ".join(row.where)


class JointCount(NamedTuple):
    """How many joints of a kind a piece has, and between which parts."""

    kind: str
    glued: bool
    number: int
    where: tuple[str, ...]


def joint_counts(piece: Piece) -> list[JointCount]:
    """Joints of a piece by kind, in the order made."""
    names = {p.label: piece.part_of(p).name for p in piece.placements}
    counts: dict[tuple[str, bool], dict[str, int]] = {}
    for j in piece.joints:
        pairs = counts.setdefault((j.kind, j.glued), {})
        pair = f"{names.get(j.b, j.b)} to {names.get(j.a, j.a)}"
        pairs[pair] = pairs.get(pair, 0) + 1
    return [
        JointCount(kind, glued, sum(pairs.values()), tuple(f"{n} {pair}" for pair, n in pairs.items()))
        for (kind, glued), pairs in counts.items()
    ]
