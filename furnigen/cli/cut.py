"""furnigen cut: what to cut from which sheets and bars, what it costs, proven."""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from furnigen.cli.first_interrupt import Stop, first_interrupt
from furnigen.cli.make import USUAL_OUT
from furnigen.cli.shared_options import (
    add_list_style,
    add_shop,
    add_units,
    list_style,
    named_request,
    shop_of,
)
from furnigen.core.errors import InputError
from furnigen.core.quantities import MAX_COUNT, as_typed

if TYPE_CHECKING:
    from furnigen.cutting.cut_rows import CutRow, Order
    from furnigen.cutting.own_stock import Shop

ENDS = "the search ends; what is found so far is written. Ctrl-C again writes nothing"
STEP_ENDINGS = (".step", ".stp", ".p21")


class _Sample(argparse.Action):
    """Prints the sample of a stock file, and leaves."""

    def __init__(self, option_strings: list[str], dest: str, **_: Any) -> None:
        super().__init__(
            option_strings, dest, nargs=0, help="print a stock file with all it may hold, and leave"
        )

    def __call__(self, parser: argparse.ArgumentParser, *_: Any) -> None:
        from furnigen.cutting.stock_file import sample_stock

        sys.stdout.write(sample_stock())
        parser.exit(0)


def add_arguments(command: argparse.ArgumentParser) -> None:
    """RECIPE, FILE.toml, FILE.step with :COPIES, NAME=VALUE, --stock, --time and the rest."""
    command.add_argument(
        "what",
        metavar="RECIPE[:COPIES]|FILE.toml[:COPIES]|FILE.step",
        nargs="*",
        help="a recipe, parameter files of several pieces, or a STEP file; NAME=VALUE for one recipe",
    )
    add_shop(command)
    command.add_argument("--sample-stock", action=_Sample)
    command.add_argument("--time", metavar="SECONDS", help="end the search after this long (no limit)")
    command.add_argument(
        "--effort",
        metavar="NUMBER",
        default="1",
        help="counted work of the search: 10 looks ten times as long (1)",
    )
    command.add_argument(
        "--columns", metavar="LIST", help="columns of cutlist.csv, with commas between (all)"
    )
    command.add_argument(
        "--out", metavar="DIR", help="folder for the results (out/RECIPE-cutting; out/cutting for several)"
    )
    add_list_style(command)
    command.set_defaults(limit=[])
    add_units(command)


@dataclass(frozen=True)
class _Asked:
    """What is to be cut.

    Attributes:
        title: of the piece or the batch.
        name: of the usual folder.
        orders: the pieces; none for a STEP file.
        rows: the cut list.
        units: that lists are shown in.
        notes: what is no board, and such.
    """

    title: str
    name: str
    orders: tuple[Order, ...]
    rows: tuple[CutRow, ...]
    units: str
    notes: tuple[str, ...] = ()


def run(given: argparse.Namespace) -> int:
    """Lay a cut list out and write its folder; 1 when something does not fit, or a layout is not sound."""
    from furnigen.cli.show import Progress
    from furnigen.cli.written_folder import after_writing, folder_lines, tell_aside
    from furnigen.cutting.cut_table import USUAL_COLUMNS, read_columns
    from furnigen.cutting.file_list import CUTTING_FILES
    from furnigen.cutting.files import plan_files
    from furnigen.cutting.other_sizes import other_sizes
    from furnigen.cutting.plan import lay_out
    from furnigen.pipeline.result_folder import check_writable, write_folder

    columns = read_columns(given.columns) if given.columns else USUAL_COLUMNS
    style = list_style(given)
    seconds = _number("--time", given.time, 1e6, "seconds") if given.time is not None else None
    level = _number("--effort", given.effort, 1000.0, "times the usual work")
    shop = shop_of(given)
    progress = Progress()
    try:
        asked = _asked(given, shop, progress)
        folder = Path(given.out) if given.out else Path(USUAL_OUT) / asked.name
        check_writable(folder, CUTTING_FILES)
        with first_interrupt(ENDS) as stop:
            effort = _effort(level, seconds, stop)
            plan = lay_out(asked.title, asked.orders, asked.rows, shop, effort, progress)
            if not stop.asked:
                plan = replace(plan, other_sizes=other_sizes(plan, effort, asked.units, progress))
            files, report, costs = plan_files(plan, asked.units, columns, style, progress)
        progress("writing the folder")
        written = write_folder(folder, files)
    finally:
        progress.done()
    with after_writing(folder):
        if given.json:
            sys.stdout.write(files["cutting.json"].decode())
            tell_aside(folder, written)
            for note in asked.notes:
                print(f"furnigen: {note}", file=sys.stderr)
        else:
            from furnigen.cli.cut_summary import cut_lines

            print("\n".join(cut_lines(plan, costs, report, asked.units, asked.notes)))
            print("\n".join(folder_lines(folder, files, written)))
    return int(not plan.all_fits)


def _effort(level: float, seconds: float | None, stop: Stop) -> Any:
    from furnigen.cutting.effort import Effort

    return Effort(level=level, seconds=seconds, stop=stop)


def _number(option: str, text: str, most: float, what: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0.0 < value <= most:
        raise InputError(option, as_typed(text), f"must be a number above 0, at most {most:,.0f}: {what}")
    return value


def _asked(given: argparse.Namespace, shop: Shop, progress: Any) -> _Asked:
    """What the command line names: one piece with its values, several, or a STEP file.

    Raises: InputError for nothing, values with several pieces, or a number of copies that is none.
    """
    words = [w for w in given.what if "=" not in w or Path(w.rpartition(":")[0] or w).is_file()]
    values = [w for w in given.what if w not in words]
    if not words:
        raise InputError("what to cut", "nothing", "must be a recipe, a parameter file or a STEP file")
    steps = [w for w in words if w.lower().endswith(STEP_ENDINGS)]
    if steps:
        if len(words) > 1 or values:
            raise InputError("STEP file", steps[0], "is cut by itself, without values or other pieces")
        return _step(steps[0], shop, given.units or "mm", progress)
    for word in words:
        what, colon, number = word.rpartition(":")
        if colon and what.lower().endswith(STEP_ENDINGS):
            raise InputError(
                f"copies of {as_typed(what)}",
                as_typed(number),
                "are for recipes and parameter files; a STEP file is cut as often as it holds each part",
            )
    if values and len(words) > 1:
        raise InputError(
            "parameter",
            as_typed(values[0]),
            "is for one recipe only",
            "put each piece's values into a parameter file",
        )
    from furnigen.catalogue.stock import own_stock
    from furnigen.cutting.cut_rows import Order, cut_rows
    from furnigen.piece.description import free_name

    several = len(words) > 1 or _copies(words[0])[1] > 1
    orders: list[Order] = []
    units, titles, taken = given.units, [], set[str]()
    with own_stock(shop.own):
        for word in words:
            what, copies = _copies(word)
            request = named_request(what, values, given.units)
            units = units or (request.units if not several else None)
            name = free_name(Path(what).stem, taken)
            taken.add(name)
            titles.append(f"{request.piece.title}{f' x {copies}' if copies > 1 else ''}")
            orders.append(Order(request.piece, copies, name if several else ""))
    shown = units or "mm"
    rows = cut_rows(orders, shop, shown)
    name = "cutting" if len(words) > 1 else f"{Path(_copies(words[0])[0]).stem}-cutting"
    return _Asked(", ".join(titles), name, tuple(orders), rows, shown)


def _copies(word: str) -> tuple[str, int]:
    """What is named, and how many of it."""
    what, colon, number = word.rpartition(":")
    if not colon or (Path(word).is_file() and not Path(what).is_file()):
        return word, 1
    if not number.isdigit() or not 1 <= int(number) <= MAX_COUNT or len(number) > 6:
        raise InputError(
            f"copies of {as_typed(what)}", as_typed(number), f"must be a whole number from 1 to {MAX_COUNT}"
        )
    return what, int(number)


def _step(path: str, shop: Shop, units: str, progress: Any) -> _Asked:
    from furnigen.cutting.step_rows import step_rows
    from furnigen.pipeline.result_folder import settle
    from furnigen.pipeline.step_guard import measure_boards_guarded

    settle(Path(path).parent)  # it may lie in a folder that a killed run was about to put in place
    measured = measure_boards_guarded(path, on_step=progress)
    rows, notes = step_rows(measured, shop)
    return _Asked(Path(path).name, f"{Path(path).stem}-cutting", (), rows, units, notes)
