"""The worked examples in the docstrings run, to the digits shown."""

import doctest
import importlib
import pkgutil
import subprocess
import sys

import pytest

import furnigen.strength

MODULES = [
    m.name for m in pkgutil.walk_packages(furnigen.strength.__path__, "furnigen.strength.") if not m.ispkg
]


@pytest.mark.parametrize("name", MODULES)
def test_docstring_examples(name: str) -> None:
    module = importlib.import_module(name)
    assert doctest.testmod(module).failed == 0


def imported(statement: str) -> set[str]:
    """Modules of a fresh interpreter after a statement."""
    code = f"import sys; {statement}; print(*sys.modules)"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(run.stdout.split())


def test_loads_limits_and_standing_need_no_arrays() -> None:
    light = ["catalogue.loads", "catalogue.sag_limits"]
    light += [
        f"strength.formulas.{m}"
        for m in ["creep", "allowable", "uncertainty", "section", "column", "tipping"]
    ]
    assert "numpy" not in imported("; ".join(f"import furnigen.{m}" for m in light))


def test_sag_needs_no_kernel_and_no_mesh_library() -> None:
    modules = imported("import furnigen.strength.members.shelf, furnigen.strength.model.racking")
    assert modules.isdisjoint({"cadquery", "OCP", "trimesh", "vtk", "scipy"})
