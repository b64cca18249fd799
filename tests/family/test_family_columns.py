"""A row has a column for every number of its report."""

from __future__ import annotations

from dataclasses import replace

import pytest

from furnigen.core.finding import FAIL, PASS, WARN, Finding, worst_first
from furnigen.family.columns import report_row, verdict
from furnigen.pipeline.built import Built
from furnigen.recipes.discovery import find_recipe

NAMED = {"parts", "openings", "legs", "stands_on", "bounds_mm"}
PLACES = {"pose", "box_mm", "outline_mm", "centre_mm", "normal"}


def numbers(value, way=()):
    """Every number of a report with its way there, by an independent walk; places are left out."""
    if isinstance(value, bool) or value is None or isinstance(value, str):
        return
    if isinstance(value, int | float):
        yield way, value
    elif isinstance(value, dict):
        for key, inner in value.items():
            if key not in PLACES:
                yield from numbers(inner, (*way, key))
    else:
        for inner in value:
            yield from numbers(inner, (*way, "*"))


@pytest.fixture(scope="module")
def made():
    piece = find_recipe("ring_rack")(frames=2, shelves=3)
    return Built(piece).make(())


def test_every_number_of_the_report_is_in_the_row(made):
    row = report_row(made.report, made.findings)
    held = {round(v, 6) for v in row.values() if isinstance(v, int | float)}
    for way, value in numbers(made.report):
        if way[0] in ("placements", "checks"):
            continue  # see below for the checks
        if "*" in way and way[0] not in NAMED:
            continue  # lists of any length: the row has their count, least, greatest and sum
        assert round(value, 6) in held, way
    worst = {}
    for f in worst_first(made.findings):
        worst.setdefault(f.name, f)
    for name, f in worst.items():
        for number in ("value", "limit", "used", "status"):
            told = getattr(f, number)
            assert row.get(f"checks.{name}.{number}") == (round(told, 6) if isinstance(told, float) else told)


def test_lists_without_names_are_totalled(made):
    row = report_row(made.report, made.findings)
    areas = [c["area_mm2"] for c in made.report["contacts"]]
    assert row["contacts.count"] == len(areas)
    assert row["contacts.area_mm2.min"] == min(areas)
    assert row["contacts.area_mm2.max"] == max(areas)
    assert row["contacts.area_mm2.sum"] == pytest.approx(sum(areas), abs=1e-5)


def test_named_parts_and_size(made):
    row = report_row(made.report, made.findings)
    for part in made.report["parts"]:
        for number in ("quantity", "length", "width", "thickness", "volume_mm3", "mass_kg"):
            assert row[f"parts.{part['name']}.{number}"] == part[number]
    for opening in made.report["openings"]:
        assert row[f"openings.{opening['label']}.clear_mm.z"] == opening["clear_mm"][2]
    bounds = made.report["bounds_mm"]
    assert row["size.depth_mm"] == pytest.approx(bounds["max"][1] - bounds["min"][1])
    assert row["bounds_mm.max.z"] == bounds["max"][2]
    assert row["placements.count"] == len(made.report["placements"])
    assert row["params.shelves"] == 3


FINDINGS = [
    Finding("gap", PASS, 3.0, 2.0, "mm"),
    Finding("gap", FAIL, 1.0, 2.0, "mm", "shelf.1", "the brief", "move it"),
    Finding("gap", FAIL, 0.5, 2.0, "mm", "shelf.2"),
    Finding("look", WARN, 1, None, "", "door"),
]


def test_the_worst_of_a_check_is_told(made):
    row = report_row(made.report, FINDINGS)
    assert (row["checks.gap.status"], row["checks.gap.value"], row["checks.gap.limit"]) == ("fail", 1.0, 2.0)
    assert (row["checks.pass"], row["checks.warn"], row["checks.fail"]) == (1, 1, 2)
    assert "checks.look.limit" not in row


def test_verdicts():
    assert verdict(FINDINGS) == ("fail", "gap: shelf.1 (move it); gap: shelf.2")
    assert verdict(FINDINGS[3:]) == ("warn", "look: door")
    assert verdict(FINDINGS[:1]) == ("pass", "")
    long = replace(FINDINGS[1], remedy="move it\nor take it away")
    assert verdict([long]) == ("fail", "gap: shelf.1 (move it)")
    assert verdict([replace(long, status="warn")]) == ("warn", "gap: shelf.1")
    assert verdict(FINDINGS[1:3] * 3)[1].endswith("; and 3 more")
