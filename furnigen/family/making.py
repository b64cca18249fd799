"""One variant: from its task to its outcome. Runs in a worker process, or in this one."""

from __future__ import annotations

import hashlib
import traceback
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import ParamSpec, TypeVar

from furnigen import __version__
from furnigen.core.errors import FurnigenError, InputError
from furnigen.family.columns import report_row, verdict
from furnigen.family.task import CRASHED, REFUSED, STOPPED, Outcome, Setup, Task, VariantRow, given_row
from furnigen.formats.cut_list import cutlist_csv
from furnigen.formats.hardware_list import hardware_csv
from furnigen.formats.report import json_bytes
from furnigen.piece.description import Limit, LoadOn, Piece
from furnigen.pipeline.make import KnownResults, Made, MakeOptions, examine, known_together, make_piece
from furnigen.pipeline.part_cache import PartCache
from furnigen.recipes.discovery import load_file
from furnigen.recipes.recipe import Recipe
from furnigen.strength.model.demands import read_demands

P = ParamSpec("P")
T = TypeVar("T")


def _recipe(setup: Setup) -> Recipe:
    """The recipe: the file on this machine where it is the same, else a copy of what was sent."""
    path = Path(setup.recipe_path)
    if path.is_file() and _digest(path.read_bytes()) == _digest(setup.recipe_source):
        return load_file(path)
    with TemporaryDirectory(prefix="furnigen-") as folder:
        copy = Path(folder) / f"{setup.recipe}.py"
        copy.write_bytes(setup.recipe_source)
        return load_file(copy)


def _digest(data: bytes) -> bytes:
    return hashlib.sha256(data).digest()


def _start_kernel() -> None:
    """Import the kernel now, and keep it to one thread: workers share the cores among themselves.

    Raises: GeometryError when it can not start.
    """
    import furnigen.kernel.solids
    import furnigen.kernel.step_cache
    import furnigen.kernel.tessellation  # noqa: F401
    from furnigen.kernel.start import one_thread

    one_thread()


class Maker:
    """Makes the variants of one family, one after another.

    Raises:
        InputError: it was sent by another version of furnigen.
        RecipeError: the recipe can not be read here.
        GeometryError: the kernel can not start here.
    """

    def __init__(self, setup: Setup) -> None:
        if setup.furnigen != __version__:
            fits = "install the same version on every machine"
            raise InputError("worker's furnigen", __version__, f"must be {setup.furnigen}", fits)
        self._setup = setup
        self._recipe = _recipe(setup)
        demands = read_demands({n: list(v) if isinstance(v, tuple) else v for n, v in setup.strength})
        self._options = MakeOptions(setup.formats, setup.tolerance_mm, setup.units, setup.picture_px, demands)
        self._limits = tuple(Limit(name, mm) for name, mm in setup.limits)
        self._loads = tuple(LoadOn(target, text) for target, text in setup.loads)
        self._workshop = PartCache(family=True)
        if setup.solid:
            _start_kernel()

    def make(self, task: Task) -> Outcome:
        """Make one variant; whatever goes wrong with it is in the outcome."""
        return next(self.make_some([task]))

    def make_some(self, tasks: Sequence[Task]) -> Iterator[Outcome]:
        """Make some variants, in order; what needs no solid is found for all of them at once."""
        drafted = [self._tried(task, self._piece, task) for task in tasks]
        pieces = {i: piece for i, piece in enumerate(drafted) if isinstance(piece, Piece)}
        together = [KnownResults()] * len(pieces)
        if len(pieces) > 1 and not self._setup.solid:
            together = known_together(list(pieces.values()), self._options, self._setup.checks)
        known = dict(zip(pieces, together, strict=True))
        for i, (task, piece) in enumerate(zip(tasks, drafted, strict=True)):
            if isinstance(piece, Outcome):
                yield piece
            else:
                yield self._tried(task, self._finished, task, piece, known[i])

    def _tried(self, task: Task, work: Callable[P, T], *args: P.args, **named: P.kwargs) -> T | Outcome:
        """What some work on a variant comes to, or what went wrong with it."""
        given = given_row(task.values, task.helpers)
        try:
            return work(*args, **named)
        except MemoryError:
            return Outcome(task.number, task.name, STOPPED, "ran out of memory", given)
        except FurnigenError as error:
            return Outcome(task.number, task.name, REFUSED, str(error), given)
        except Exception as error:  # the others of the family must go on; this one says what and where
            last = traceback.extract_tb(error.__traceback__)[-1]
            where = f"{Path(last.filename).name}, line {last.lineno}"
            return Outcome(
                task.number, task.name, CRASHED, f"{type(error).__name__}: {error} ({where})", given
            )

    def _piece(self, task: Task) -> Piece:
        piece = self._recipe(**task.values)
        return replace(piece, limits=self._limits, loads=piece.loads + self._loads)

    def _finished(self, task: Task, piece: Piece, known: KnownResults) -> Outcome:
        made = self._made(piece, known)
        status, reason = verdict(made.findings)
        row: VariantRow = report_row(made.report, made.findings) | given_row({}, task.helpers)
        return Outcome(task.number, task.name, status, reason, row, made.files)

    def _made(self, piece: Piece, known: KnownResults) -> Made:
        if self._setup.solid:
            return make_piece(piece, self._options, parts_cache=self._workshop)
        table = {
            "cutlist": lambda: {"cutlist.csv": cutlist_csv(piece, self._setup.units)},
            "hardware": lambda: {"hardware.csv": hardware_csv(piece)},
        }
        files: dict[str, bytes] = {}
        for name in self._setup.formats:
            files.update(table[name]())
        made = examine(piece, self._options, self._setup.checks, files=files, known=known)
        if files:
            files["report.json"] = json_bytes(made.report)
        return replace(made, files=files)
