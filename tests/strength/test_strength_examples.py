"""The worked examples in the docstrings run, to the digits shown."""

import doctest
import importlib
import pkgutil

import pytest

import furnigen.strength

MODULES = [m.name for m in pkgutil.iter_modules(furnigen.strength.__path__)]


@pytest.mark.parametrize("name", MODULES)
def test_docstring_examples(name: str) -> None:
    module = importlib.import_module(f"furnigen.strength.{name}")
    assert doctest.testmod(module).failed == 0
