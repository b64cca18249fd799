"""What computed remedies take against the checks of pieces at the limits of their recipes' parameters.

python tests/benchmarks/remedy_share.py          prints the share of each
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from statistics import median
from time import process_time
from typing import Any

from furnigen import find_recipe
from furnigen.core.caches import forget_all
from furnigen.core.finding import FAIL
from furnigen.piece.description import Piece
from furnigen.pipeline.build import build
from furnigen.pipeline.built import Built
from furnigen.recipes.recipe import Recipe

RACK: dict[str, Any] = {"width": 6000.0, "frames": 5, "shelves": 16, "height": 2800.0, "first": 150.0}
RACK |= {"below_top": 100.0, "bearer": 20.0, "member": 40.0, "overhang": 40.0}
CASE: dict[str, Any] = {"width": 2987.0, "height": 1238.0, "depth": 316.0, "bays": 1, "shelves": 16}
CASE |= {"case_joint": "dowelled", "board": "mdf-1in", "back_board": "osb-9"}
LARGE: dict[str, tuple[str, dict[str, Any]]] = {
    "rack of flat boards": ("ring_rack", RACK | {"boards": "flat"}),
    "rack of boards on edge": ("ring_rack", RACK | {"boards": "on edge"}),
    "dowelled case": ("panel_bookcase", CASE),
}
"""Pieces at the limits whose shelves sag too far: 116, 116 and 23 boards, with 360, 720 and 219 cuts."""


def _seconds(recipe: Recipe, values: Mapping[str, Any], start: Callable[[Piece], Built]) -> float:
    """Processor time of the findings of a piece made afresh, as by a command: nothing is kept from before."""
    forget_all()
    built = start(recipe(**values))
    _ = built.meshes
    begun = process_time()
    assert any(f.name == "sag" and f.status == FAIL for f in built.findings)
    return process_time() - begun


def remedy_share(recipe: Recipe, values: Mapping[str, Any], rounds: int = 3) -> float:
    """Processor time of the remedies of a piece, in that of its checks: median, warmed up."""
    shares = []
    for k in range(rounds + 1):
        checks, whole = _seconds(recipe, values, Built), _seconds(recipe, values, build)
        if k:
            shares.append((whole - checks) / checks)
    return median(shares)


def main() -> None:
    """Print all of them."""
    for name, (recipe, values) in LARGE.items():
        print(f"{name:30} {remedy_share(find_recipe(recipe), values):.2f}   <= 1.0")


if __name__ == "__main__":
    sys.exit(main())
