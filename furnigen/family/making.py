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
from furnigen.piece.description import Limit, LoadOn, Piece
from furnigen.pipeline.built import Built
from furnigen.pipeline.made import Made
from furnigen.pipeline.options import ALL_GROUPS, MakeOptions
from furnigen.pipeline.part_cache import PartCache
from furnigen.pipeline.together import work_out_together
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


def start_kernel() -> None:
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
        self._parts = PartCache(family=True)
        self._checks = ALL_GROUPS if setup.solid else setup.checks
        if setup.solid:
            start_kernel()

    def make(self, task: Task) -> Outcome:
        """Make one variant; whatever goes wrong with it is in the outcome."""
        return next(self.make_some([task]))

    def make_some(self, tasks: Sequence[Task]) -> Iterator[Outcome]:
        """Make some variants, in order; what needs no solid is found for all of them at once."""
        begun = [self.tried(task, self.begun, task) for task in tasks]
        together = [one for one in begun if isinstance(one, Built)]
        if len(together) > 1:
            work_out_together(together, self._checks)
        for task, one in zip(tasks, begun, strict=True):
            yield one if isinstance(one, Outcome) else self.tried(task, self._finished, task, one)

    def tried(self, task: Task, work: Callable[P, T], *args: P.args, **named: P.kwargs) -> T | Outcome:
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

    def begun(self, task: Task) -> Built:
        """The piece of a variant, nothing of it worked out yet.

        Raises: FurnigenError when the recipe refuses it.
        """
        return Built(self.piece_of(task), self._options, parts_cache=self._parts)

    def piece_of(self, task: Task) -> Piece:
        """The piece of a variant, with the limits and loads of the family. Raises: as `begun`."""
        piece = self._recipe(**task.values)
        return replace(piece, limits=self._limits, loads=piece.loads + self._loads)

    def _finished(self, task: Task, built: Built) -> Outcome:
        made = self._made(built)
        status, reason = verdict(made.findings)
        row: VariantRow = report_row(made.report, made.findings) | given_row({}, task.helpers)
        return Outcome(task.number, task.name, status, reason, row, made.files)

    def _made(self, built: Built) -> Made:
        if self._setup.formats or self._setup.solid:
            return built.make(groups=self._checks)
        return Made(built.report_of(self._checks, basis=False), built.findings_of(self._checks))
