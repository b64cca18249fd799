"""furnigen compare A B: what differs between two pieces.

Each is a folder of results, a file of parameters that names its recipe, or a recipe; values may follow the
recipe where all is one word: 'divided_case width=1400'.
"""

from __future__ import annotations

import argparse
import json
import shlex
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from furnigen.cli.shared_options import add_units, read_request
from furnigen.core.errors import InputError
from furnigen.core.quantities import as_typed

if TYPE_CHECKING:
    from furnigen.formats.differences import Difference
    from furnigen.pipeline.built import Built

PICTURE = "compare.png"
MOST_ROWS = 12
"""Rows of a section that are shown unless all are asked for."""


@dataclass(frozen=True)
class Side:
    """One of the two.

    Attributes:
        typed: how it was typed.
        report: its report.
        built: the piece, where it was made for this; None for a folder of results.
        folder: where its results lie; None for what was made for this.
    """

    typed: str
    report: Mapping[str, Any]
    built: Built | None = None
    folder: Path | None = None


def add_arguments(command: argparse.ArgumentParser) -> None:
    """A, B, --all, --out and --units."""
    for name in ("A", "B"):
        command.add_argument(
            name.lower(),
            metavar=name,
            help="a folder of results, a file of parameters, or a recipe: 'divided_case width=1400'",
        )
    command.add_argument("--all", action="store_true", help="every difference, however many there are")
    command.add_argument("--out", metavar="DIR", help=f"folder for {PICTURE}: A on the left, B on the right")
    add_units(command)


def run(given: argparse.Namespace) -> int:
    """Say what differs; 0 when nothing does, 1 when something does."""
    from furnigen.cli.show import Progress
    from furnigen.formats.differences import differences

    progress = Progress()
    try:
        a, b = (_side(typed, given.units, progress) for typed in (given.a, given.b))
        try:
            found = differences(a.report, b.report, _parameter_units(a, b))
        except (LookupError, TypeError, ValueError, AttributeError) as error:
            if isinstance(error, InputError):
                raise
            why = f"does not hold what furnigen writes: {type(error).__name__} {error}"
            raise InputError("report.json", f"of {given.a} or {given.b}", why) from None
        picture = _picture(a, b, Path(given.out), progress) if given.out else None
    finally:
        progress.done()
    equal = not any(found.values())
    if given.json:
        sections = {name: [row._asdict() for row in rows] for name, rows in found.items()}
        whole = {"a": given.a, "b": given.b, "equal": equal, "differences": sections, "picture": picture}
        print(json.dumps(whole, ensure_ascii=False, indent=1))
    else:
        units = given.units or "mm"
        print("\n".join(_lines(given.a, given.b, found, units, whole=given.all)))
        if picture:
            print(picture)
    return int(not equal)


def _side(typed: str, units: str | None, progress: Any) -> Side:
    """What was typed, read or made."""
    from furnigen.pipeline.result_folder import settle

    if not typed.strip():
        raise InputError("what to compare", as_typed(typed), "must be a folder, a file or a recipe")
    path = Path(typed)
    try:
        is_folder, is_file = path.is_dir(), path.is_file()
    except (OSError, ValueError):
        is_folder = is_file = False
    settle(path if is_folder else path.parent if is_file else Path())
    if is_folder or path.name == "report.json":
        folder = path if is_folder else path.parent
        return Side(typed, _read_report(folder / "report.json"), folder=folder)
    built = _made(typed, units, progress)
    return Side(typed, built.report, built)


def _parameter_units(*sides: Side) -> dict[str, str]:
    """Units of the parameters of both recipes, as far as those can be found."""
    from furnigen.core.errors import FurnigenError
    from furnigen.recipes.discovery import find_recipe
    from furnigen.recipes.recipe import Origin

    units: dict[str, str] = {}
    for side in sides:
        origin = side.built.piece.origin if side.built else None
        try:
            recipe = origin.recipe if isinstance(origin, Origin) else find_recipe(str(side.report["recipe"]))
            units |= {p.name: p.unit for p in recipe.parameters}
        except FurnigenError:
            continue  # a recipe that is elsewhere: its numbers are shown as they are
    return units


def _read_report(path: Path) -> Mapping[str, Any]:
    """The report of a folder of results.

    Raises: InputError where there is none, or none that is JSON.
    """
    try:
        report = json.loads(path.read_bytes())
    except FileNotFoundError:
        raise InputError(
            "folder of results", str(path.parent), "holds no report.json", "furnigen make writes it"
        ) from None
    except (OSError, ValueError, RecursionError) as error:
        raise InputError("report", str(path), f"can not be read: {error}") from None
    if not isinstance(report, dict) or "checks" not in report or "recipe" not in report:
        raise InputError("report", str(path), "is not a report of furnigen make")
    return report


def _made(typed: str, units: str | None, progress: Any) -> Built:
    """The piece of a recipe or a file of parameters."""
    from furnigen.pipeline.built import Built
    from furnigen.pipeline.options import MakeOptions
    from furnigen.recipes.discovery import read_parameter_file

    words = [typed]
    params = None
    if typed.endswith(".toml"):
        params = typed
        recipe = read_parameter_file(Path(typed)).recipe
        if not recipe:
            raise InputError("parameter file", typed, "names no recipe", 'add recipe = "NAME" to it')
        words = [recipe]
    elif " " in typed:
        try:
            words = shlex.split(typed)
        except ValueError as error:
            raise InputError("recipe with values", typed, f"can not be read: {error}") from None
    what = read_request(
        argparse.Namespace(recipe=words[0], values=words[1:], params=params, units=units, limit=[])
    )
    options = MakeOptions((), units=what.units, demands=what.demands)
    return Built(what.piece, options, on_step=progress)


def _picture(a: Side, b: Side, folder: Path, progress: Any) -> str:
    """Both pictures in one, as a file in `folder`."""
    from furnigen.cli.side_by_side import side_by_side
    from furnigen.cli.written_folder import tell_aside
    from furnigen.pipeline.result_folder import check_writable, write_folder

    check_writable(folder, (PICTURE,))
    progress("drawing the pictures")
    pictures = [_drawn(side) for side in (a, b)]
    tell_aside(folder, write_folder(folder, {PICTURE: side_by_side(pictures)}))
    return str(folder / PICTURE)


def _drawn(side: Side) -> bytes:
    """The picture of a side: drawn, or that of its folder."""
    if side.built is not None:
        from furnigen.picture.picture import picture_png

        return picture_png(side.built.meshes)
    assert side.folder is not None
    try:
        return (side.folder / "preview.png").read_bytes()
    except OSError:
        raise InputError(
            "folder of results", side.typed, "holds no preview.png", "make it anew with the picture"
        ) from None


def _lines(a: str, b: str, found: Mapping[str, list[Difference]], units: str, *, whole: bool) -> list[str]:
    from furnigen.cli.columns import in_columns
    from furnigen.formats.differences import cell, change

    lines = [f"A: {a}", f"B: {b}"]
    for name, rows in found.items():
        if not rows:
            lines += ["", f"{name.capitalize()}: equal"]
            continue
        # what a check finds says more than the share it uses, and a result that changes most
        told = sorted((r for r in rows if r.unit != "share"), key=lambda r: r.what != "result")
        shown = told if whole else told[:MOST_ROWS]
        cells = [("", "", "A", "B", "")]
        for r in shown:
            a_cell, b_cell = (cell(value, r.unit, units) for value in (r.a, r.b))
            cells.append((r.of, r.what, a_cell, b_cell, change(r, units)))
        lines += ["", f"{name.capitalize()}:", *(f"  {line}" for line in in_columns(cells))]
        if len(told) > len(shown):
            lines.append(f"  and {len(told) - len(shown)} more; --all shows them")
    return lines
