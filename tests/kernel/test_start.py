"""What a person is told when the CAD kernel cannot start, in a fresh interpreter each time."""

from __future__ import annotations

import subprocess
import sys

import pytest

BLOCKED = """
import sys

class Block:
    def find_spec(self, name, path=None, target=None):
        if name == {module!r}:
            raise {error}

sys.meta_path.insert(0, Block())
from furnigen.core.errors import GeometryError
try:
    {code}
except GeometryError as error:
    print(error)
"""


def told(module: str, error: str, code: str = "import furnigen.kernel.solids") -> str:
    script = BLOCKED.format(module=module, error=error, code=code)
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    return done.stdout


@pytest.mark.parametrize("library", ["libGL.so.1", "libX11.so.6"])
def test_a_missing_system_library_is_named_with_its_packages(library: str) -> None:
    """The wording of the import error is that of glibc's loader."""
    text = f"{library}: cannot open shared object file: No such file or directory"
    answer = told("OCP", f"ImportError({text!r})")
    assert f"the system library {library} is missing" in answer
    assert "apt install libgl1 libx11-6" in answer


def test_another_missing_system_library_is_named() -> None:
    text = "libexpat.so.1: cannot open shared object file: No such file or directory"
    assert "the system library libexpat.so.1 is missing" in told("OCP", f"ImportError({text!r})")


def test_a_missing_kernel_is_named() -> None:
    answer = told("OCP", "ModuleNotFoundError(\"No module named 'OCP'\", name='OCP')")
    assert answer.strip() == (
        "the CAD kernel cannot start: the Python module OCP is missing; install the package cadquery"
        " (pip install cadquery)"
    )


def test_a_missing_cadquery_is_named() -> None:
    answer = told(
        "cadquery",
        "ModuleNotFoundError(\"No module named 'cadquery'\", name='cadquery')",
        "from furnigen.kernel.start import load; load()",
    )
    assert "the Python module cadquery is missing" in answer


def test_any_other_failure_is_passed_on() -> None:
    answer = told("OCP", "ImportError('DLL load failed')")
    assert answer.strip() == "the CAD kernel cannot start: DLL load failed"


def test_the_kernel_starts_without_the_rest_of_cadquery() -> None:
    """CadQuery's drawing and solver libraries double the time a command takes to start."""
    script = (
        "import sys, furnigen.kernel.solids, furnigen.kernel.step, furnigen.kernel.tessellation;"
        "print([m for m in ('cadquery', 'vtk', 'ezdxf', 'casadi', 'trimesh') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_light_modules_do_not_load_the_kernel() -> None:
    script = "import sys, furnigen.piece.description, furnigen.drafting.draft; print('OCP' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
