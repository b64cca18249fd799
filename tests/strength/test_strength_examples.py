"""The worked examples in the docstrings run, to the digits shown."""

import doctest
import importlib
import pkgutil
import subprocess
import sys

import pytest

import furnigen.strength

MODULES = [m.name for m in pkgutil.iter_modules(furnigen.strength.__path__)]


@pytest.mark.parametrize("name", MODULES)
def test_docstring_examples(name: str) -> None:
    module = importlib.import_module(f"furnigen.strength.{name}")
    assert doctest.testmod(module).failed == 0


def imported(statement: str) -> set[str]:
    """Modules of a fresh interpreter after a statement."""
    code = f"import sys; {statement}; print(*sys.modules)"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(run.stdout.split())


def test_loads_limits_and_standing_need_no_arrays() -> None:
    light = ("loads", "limits", "creep", "allowable", "uncertainty", "section", "column", "stand")
    assert "numpy" not in imported("; ".join(f"import furnigen.strength.{m}" for m in light))


def test_sag_needs_no_kernel_and_no_mesh_library() -> None:
    modules = imported("import furnigen.strength.shelf, furnigen.strength.racking")
    assert modules.isdisjoint({"cadquery", "OCP", "trimesh", "vtk", "scipy"})
