"""Tests of drawings run piece by piece, so that one worker makes its sheets once for all tests of it."""

from __future__ import annotations

from pathlib import Path

import pytest

HERE = Path(__file__).parent


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Sorts the tests of this folder among themselves; those of other folders stay where they are."""
    places = [n for n, item in enumerate(items) if HERE in item.path.parents]
    for n, item in zip(places, sorted((items[n] for n in places), key=piece_of), strict=True):
        items[n] = item


def piece_of(item: pytest.Item) -> tuple[str, str]:
    """The piece a test draws and how its sheets are set up; empty where it states none."""
    values = item.callspec.params if hasattr(item, "callspec") else {}
    return str(values.get("case") or values.get("recipe") or ""), repr(values.get("setting", ""))
