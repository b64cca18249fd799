"""Sawn timber bears what its strength class says: EN 338:2016, as tests/facts/grades.csv has it."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from furnigen.catalogue.grades import graded, list_grades
from furnigen.catalogue.materials import find_material
from furnigen.catalogue.stock import find_stock, graded_stock, list_stock
from furnigen.cli.main import main
from furnigen.core.errors import InputError
from furnigen.strength.formulas.allowable import FIVE_PERCENT, find_allowable

with (Path(__file__).parents[1] / "facts" / "grades.csv").open(encoding="utf-8", newline="") as lines:
    CLASSES = list(csv.DictReader(lines))


@pytest.mark.parametrize("row", CLASSES, ids=lambda r: r["name"])
def test_classes_are_those_of_the_standard(row: dict[str, str]) -> None:
    """EN 338:2016 by a public table; f_d = k_mod f_k / gamma_M = 0.6 f_k / 1.3 (EN 1995-1-1 2.4.1)."""
    species = {"softwood": "pine-eastern-white", "hardwood": "oak-european"}[row["kind"]]
    material = graded(find_material(species), row["name"])
    bears = find_allowable(material)
    assert material.moe_mpa == float(row["moe_mpa"])
    assert bears.characteristic_mpa == float(row["bending_mpa"])
    assert bears.bending_mpa == pytest.approx(0.6 * float(row["bending_mpa"]) / 1.3, rel=1e-12)
    assert bears.bearing_mpa == pytest.approx(0.6 * float(row["bearing_mpa"]) / 1.3, rel=1e-12)
    assert bears.shear_mpa == pytest.approx(0.6 * float(row["shear_mpa"]) / 1.3, rel=1e-12)
    assert bears.compression_mpa == float(row["compression_mpa"])
    fifth = bears.moe_mean_mpa * (1 - FIVE_PERCENT * bears.moe_spread)
    assert fifth == pytest.approx(float(row["moe_5pct_mpa"]), rel=1e-12)


def test_the_standard_agrees_with_itself() -> None:
    """EN 384, from memory: f_c,0 = 4.3 sqrt(f_m); E05 = 0.67 E of softwood, 0.84 E of hardwood."""
    for grade in list_grades():
        assert grade.compression_mpa == pytest.approx(4.3 * grade.bending_mpa**0.5, abs=0.5)
        share = 0.67 if grade.kind == "softwood" else 0.84
        assert grade.moe_5pct_mpa == pytest.approx(share * grade.moe_mpa, rel=0.01)


@pytest.mark.parametrize(
    ("stock", "strength", "clear"),
    [("pine-1x12", 16.0, 59.0), ("spruce-2x4", 16.0, 65.0), ("fir-1x6", 16.0, 85.0)],
)
def test_ungraded_boards_are_the_low_class(stock: str, strength: float, clear: float) -> None:
    """C16 for ungraded pine, spruce and fir (common practice, no source); Wood Handbook: clear."""
    found = graded_stock(find_stock(stock))
    assert find_material(find_stock(stock).material).mor_mpa == clear
    assert (found.mor_mpa, found.grade) == (strength, "C16")
    assert "ungraded" in found.strength_source.text
    assert found.density_kg_m3 == find_material(find_stock(stock).material).density_kg_m3


def test_every_stock_of_solid_wood_has_a_class_and_no_other() -> None:
    for stock in list_stock():
        material = find_material(stock.material)
        assert bool(graded_stock(stock).grade) == (material.kind in ("softwood", "hardwood"))


def test_a_maker_names_the_grade() -> None:
    plain, fine = find_stock("pine-1x3"), find_stock("Pine-1x3:c24")
    assert (fine.name, fine.grade, fine.thickness_mm) == ("pine-1x3:C24", "C24", plain.thickness_mm)
    both = find_stock("pine-1x3:C24@18.5")
    assert (both.grade, both.thickness_mm, both.name) == ("C24", 18.5, "pine-1x3:C24@18.5")
    assert find_stock(both.name) == both
    assert both.with_grade("C16").name == "pine-1x3:C16@18.5"
    assert fine.with_thickness(18.5) == both
    assert fine.family == plain.family
    assert graded_stock(fine).mor_mpa == 24.0


@pytest.mark.parametrize(
    ("spec", "message"),
    [
        ("pine-1x3:C25", r"grade of Eastern white pine = C25: .* softwood: C14, C16, C18, C20, C22, C24$"),
        ("pine-1x3:D30", r"must be a strength class of softwood: C14"),
        ("oak-panel-27:C24", r"must be a strength class of hardwood: D18, D24, D27, D30, D35, D40$"),
        ("pine-1x3:", r"must be a strength class of softwood"),
        ("birch-ply-18:C24", r"plywood has no grade: only solid wood is sawn and graded; leave it out$"),
    ],
)
def test_an_unknown_grade_is_one_clear_error(spec: str, message: str) -> None:
    with pytest.raises(InputError, match=message):
        find_stock(spec)


def test_a_grade_on_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    used = {}
    for grade in ("", ":C24"):
        main(["check", "leaning_shelf", f"shelf_board=pine-1x10{grade}", "--only", "strength", "--json"])
        report = json.loads(capsys.readouterr().out)
        board = next(b for b in report["strength"]["boards"] if b["label"] == "shelf.1")
        used[grade] = board["bending"]["used"]
        assert board["strength_class"] == (grade.removeprefix(":") or "C16")
        bending = next(c for c in report["checks"] if c["name"] == "bending")
        assert f"EN 338 {board['strength_class']}" in bending["source"]
    assert used[""] / used[":C24"] == pytest.approx(24 / 16, rel=0.02)
    assert main(["check", "leaning_shelf", "shelf_board=pine-1x10:C99", "--only", "sag"]) == 2
    err = capsys.readouterr().err
    assert err.count("\n") <= 3
    assert "C14, C16, C18, C20, C22, C24" in err
