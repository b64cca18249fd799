"""What travels to worker processes and back: plain data, so any engine can carry it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from importlib import import_module
from typing import Any, ClassVar, Protocol

from furnigen import __version__
from furnigen.family.family_file import ALL_CHECKS, Family
from furnigen.family.variants import Variant

PASS, WARN, FAIL = "pass", "warn", "fail"
REFUSED, STOPPED, CRASHED = "refused", "stopped", "crashed"
OUTCOMES = (PASS, WARN, FAIL, REFUSED, STOPPED, CRASHED)
"""How a variant may end: its checks, or no piece at all: refused by the recipe or the kernel, stopped at a
limit, or its worker process ended again and again."""

VariantRow = dict[str, Any]


@dataclass(frozen=True)
class Limits:
    """What one variant may take.

    Attributes:
        seconds: the longest it may take; None for no limit.
        memory_mb: the most its worker process may hold (resident, MB of 10^6 bytes); None for no limit.
    """

    seconds: float | None = None
    memory_mb: float | None = None

    def __bool__(self) -> bool:
        return self.seconds is not None or self.memory_mb is not None


NO_LIMITS = Limits()


@dataclass(frozen=True)
class Setup:
    """All that the variants of a family share.

    Attributes:
        furnigen: version that must make them.
        recipe: name of the recipe's file without its ending.
        recipe_path: where it is on the machine that asks.
        recipe_source: its content: other machines need not have it.
        units, formats, checks, tolerance_mm, picture_px, limits, loads, strength: as in `Family`.
    """

    furnigen: str
    recipe: str
    recipe_path: str
    recipe_source: bytes
    units: str
    formats: tuple[str, ...]
    checks: tuple[str, ...]
    tolerance_mm: float
    picture_px: tuple[int, int]
    limits: tuple[tuple[str, float], ...]
    loads: tuple[tuple[str, str], ...]
    strength: tuple[tuple[str, Any], ...]

    MAKER: ClassVar[str] = "furnigen.family.making:Maker"
    """Module and class of what makes tasks with such a setup, in whatever process does."""
    BATCH: ClassVar[int] = 50
    """Tasks sent to a machine of a cluster at a time, where no solids are made."""
    KEPT: ClassVar[int] = 0
    """Of so many tasks a worker keeps the piece: it is given those again that it had."""

    @property
    def solid(self) -> bool:
        """Whether variants are made solid, so need the kernel."""
        return ALL_CHECKS in self.checks


@dataclass(frozen=True)
class Task:
    """One variant to make: its place and name in the family, plain values, helpers for its row.

    Attributes:
        alone: whether it must be made by itself, so that what happens to its worker can be put down to it.
    """

    number: int
    name: str
    values: dict[str, Any]
    helpers: dict[str, Any] = field(default_factory=dict)
    alone: bool = False


@dataclass(frozen=True)
class Outcome:
    """What became of one variant.

    Attributes:
        number, name: of its task.
        status: one of STATUSES.
        reason: why it is not a pass; "" where it is.
        row: columns and values of the family's table.
        files: name and content of each file of its folder; empty where it has none.
    """

    number: int
    name: str
    status: str
    reason: str = ""
    row: VariantRow = field(default_factory=dict)
    files: dict[str, bytes] = field(default_factory=dict)


class MakesTasks(Protocol):
    """Makes the tasks of one setup, in a worker process or in this one."""

    def make_some(self, tasks: Sequence[Task]) -> Iterator[Outcome]:
        """Make some tasks, in order; whatever goes wrong with one is in its outcome."""


def maker_of(setup: Setup) -> MakesTasks:
    """What makes the tasks of a setup.

    Raises: FurnigenError when it can not be made here: another version, no recipe, no kernel.
    """
    module, _, name = setup.MAKER.partition(":")
    maker: MakesTasks = getattr(import_module(module), name)(setup)
    return maker


def setup_of(family: Family) -> Setup:
    """What workers need to know of a family."""
    path = family.recipe_file
    return Setup(
        __version__,
        path.stem,
        str(path),
        path.read_bytes(),
        family.units,
        family.formats,
        family.checks,
        family.tolerance_mm,
        family.picture_px,
        family.limits,
        family.loads,
        family.strength,
    )


def task_of(variant: Variant) -> Task:
    """The task of making a variant."""
    return Task(variant.number, variant.name, variant.values, variant.helpers)


def given_row(values: dict[str, Any], helpers: dict[str, Any]) -> VariantRow:
    """What the file sets for a variant, as columns: all a row has when no piece came of it."""
    return {f"params.{n}": v for n, v in values.items()} | {f"given.{n}": v for n, v in helpers.items()}
