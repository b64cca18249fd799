"""Whether the check of damaged STEP files kept its word: none hung, raised, or passed what is damaged."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

SAME_VOLUME = 2e-6
"""Share by which a whole solid's volume may differ: what a reader that finds curves for itself is off by."""
UNIT_SCALES = (1.0, 10.0, 1000.0)
"""Millimetre, centimetre and metre: what the mutants of a unit say lawfully."""


def wrong(rows: Iterable[Mapping[str, Any]]) -> list[str]:
    """What of the results of `step_run` must not be, a line each.

    A mutant that passes must hold as many solids as the good file and each of the same volume: what changes
    a solid leaves it open, loose or unread, and is to be noticed; where a copy stands may be changed
    lawfully, and a unit of length too, which changes the volumes by its cube. A crash is one message in the
    guarded process, so it is no fault here; a test of the command line holds that.
    """
    good: dict[str, list[float]] = {}
    found = []
    for row in rows:
        volumes = sorted(row.get("volumes", {}).values())
        if row["number"] < 0:
            good[row["source"]] = volumes
            if row["ended"] != 0:
                found.append(f"the good file {row['source']!r} does not pass: {row}")
            continue
        told = f"{row['number']} of {row['source']!r}, {row['kind']}: {row['what']}"
        if row["ended"] in ("time", "raised"):
            found.append(f"{row['ended']} {row['message']}: {told}")
        if row["ended"] == 0 and not _same(volumes, good[row["source"]], row["kind"] == "unit"):
            found.append(f"passed with {volumes} of {good[row['source']]}: {told}; {row['findings']}")
    return found


def _same(volumes: list[float], good: list[float], unit: bool) -> bool:
    if len(volumes) != len(good):
        return False
    scales = UNIT_SCALES if unit else (1.0,)
    left = list(good)
    for volume in volumes:
        near = next((g for g in left for s in scales if abs(volume - g * s**3) <= SAME_VOLUME * volume), None)
        if near is None:
            return False
        left.remove(near)
    return True
