"""Make random parameter sets of a recipe, each in a fork of this process, and say what each took.

    python tests/attack/limit_run.py RECIPE FIRST COUNT [STRIDE]

prints a line of JSON for each set that the recipe accepts: its values, processor time (s), that of the start
of a process, and most memory (MiB).
"""

from __future__ import annotations

import json
import resource
import shutil
import sys
import tempfile
import time
from importlib import import_module
from pathlib import Path
from typing import Any

from command_run import WORK
from forked import Row, forked, numbers_asked
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from furnigen import InputError, find_recipe
from furnigen.pipeline.build import built_with_remedies
from furnigen.pipeline.options import MakeOptions

sys.path.insert(0, str(Path(__file__).parents[1] / "recipes"))
from space import space, values

SECONDS = 120.0
FORMATS = ("step", "stl", "3mf", "glb", "cutlist", "hardware")
"""All but the picture, which a process of its own draws."""
SEED = 20
MORE = 12
"""So many times more sets are drawn than are made, for some recipes refuse most of what is drawn."""


def drawn(name: str, count: int) -> list[dict[str, Any]]:
    """Sets of some or of all of a recipe's parameters, the same for each seed, each once."""
    recipe = find_recipe(name)
    sets: list[dict[str, Any]] = []

    @seed(SEED)
    @settings(
        max_examples=count,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(space(recipe) | st.fixed_dictionaries({p.name: values(p) for p in recipe.parameters}))
    def collect(some: dict[str, Any]) -> None:
        sets.append(some)

    collect()
    seen: set[str] = set()
    return [v for v in sets if not (text(v) in seen or seen.add(text(v)))]  # type: ignore[func-returns-value]


def text(some: dict[str, Any]) -> str:
    """A set of values in words."""
    return " ".join(f"{name}={getattr(value, 'name', value)}" for name, value in sorted(some.items()))


def made(name: str, some: dict[str, Any]) -> Row:
    """What making a piece and its files takes, in a fresh folder."""
    own = time.process_time()
    folder = Path(tempfile.mkdtemp())
    try:
        built_with_remedies(find_recipe(name)(**some), MakeOptions(FORMATS)).write(folder / "made")
    except InputError as refused:
        return {"ended": 0, "refused": str(refused)}
    finally:
        shutil.rmtree(folder)
    used = resource.getrusage(resource.RUSAGE_SELF)
    return {"ended": 0, "cpu": time.process_time() - own, "mib": used.ru_maxrss / 1024}


def main() -> None:
    """Make the sets asked for."""
    name = sys.argv[1]
    for module in WORK:
        import_module(f"furnigen.{module}")
    find_recipe(name)
    start = time.process_time()
    numbers = list(numbers_asked())
    count, stride = int(sys.argv[3]), int(sys.argv[4]) if len(sys.argv) > 4 else 1
    for some in drawn(name, MORE * count)[numbers[0] :: stride]:
        if not numbers:
            break
        row = forked(lambda v=some: made(name, v), SECONDS)  # type: ignore[misc]
        if "refused" not in row:
            row |= {"number": numbers.pop(0), "values": text(some), "start": start}
            print(json.dumps(row), flush=True)


if __name__ == "__main__":
    main()
