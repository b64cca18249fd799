"""The check of STEP files from elsewhere: all of it is read, or it is told what is not."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import cadquery as cq
import pytest

from furnigen import find_recipe
from furnigen.core.errors import GeometryError, InputError
from furnigen.core.finding import Finding
from furnigen.kernel.solids import solids
from furnigen.kernel.step import step_bytes
from furnigen.kernel.tessellation import triangles
from furnigen.pipeline import step_meshes
from furnigen.pipeline.step_check import check_step


@pytest.fixture(scope="module")
def shelf() -> str:
    """Our own file of a leaning shelf without round holes: eight solids of eight parts."""
    piece = find_recipe("leaning_shelf")(rail_joint="screwed")
    return step_bytes(piece, solids(piece)).decode()


def checked(folder: Path, text: str) -> tuple[dict[str, Any], list[Finding]]:
    path = folder / "model.step"
    path.write_text(text, encoding="utf-8")
    return check_step(path, 0.1)


def amiss(findings: list[Finding]) -> dict[str, Finding]:
    return {f.name: f for f in findings if f.status != "pass"}


def volumes(report: dict[str, Any]) -> list[float]:
    return [row["volume_mm3"] for row in report["placements"]]


def in_inches(text: str, dimensions: str) -> str:
    """The file with each unit of length an inch, by conversion."""
    inch = f"( CONVERSION_BASED_UNIT('INCH',#900000) LENGTH_UNIT() NAMED_UNIT({dimensions}) );"
    text = text.replace("( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.) );", inch)
    return text.replace(
        "ENDSEC;\nEND-ISO",
        "#900000 = LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),#900001);\n"
        "#900001 = ( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.) );\nENDSEC;\nEND-ISO",
    )


def no_unit_read(text: str) -> str:
    """The file with a prefix misspelt in its first unit of length."""
    return text.replace("SI_UNIT(.MILLI.,", "SI_UNIT(.MILI.,", 1)


COMPLAINTS: dict[str, tuple[Callable[[str], str], float]] = {
    "transformations without a name": (
        lambda t: t.replace("ITEM_DEFINED_TRANSFORMATION('','',", "ITEM_DEFINED_TRANSFORMATION($,$,"),
        1.0,
    ),
    "inches without dimensions": (lambda t: in_inches(t, "$"), 25.4),
    "inches of dimensions left open": (lambda t: in_inches(t, "*"), 25.4),
    "angles in units of three values": (
        lambda t: t.replace("SI_UNIT($,.RADIAN.)", "SI_UNIT(*,$,.RADIAN.)").replace(
            "SI_UNIT($,.STERADIAN.)", "SI_UNIT(*,$,.STERADIAN.)"
        ),
        1.0,
    ),
    "lengths in units of three values": (
        lambda t: t.replace("SI_UNIT(.MILLI.,.METRE.)", "SI_UNIT(*,.MILLI.,.METRE.)"),
        1.0,
    ),
    "a unit in small letters": (lambda t: t.replace("SI_UNIT(.MILLI.,", "si_unit(.MILLI.,"), 1.0),
    "formations without an identifier": (
        lambda t: re.sub(r"PRODUCT_DEFINITION_FORMATION\('[^']*'", "PRODUCT_DEFINITION_FORMATION($", t),
        1.0,
    ),
    "shapes without a name": (
        lambda t: t.replace("SHAPE_REPRESENTATION('',", "SHAPE_REPRESENTATION($,"),
        1.0,
    ),
    "solids without a name": (
        lambda t: t.replace("MANIFOLD_SOLID_BREP('',", "MANIFOLD_SOLID_BREP($,").replace(
            "CLOSED_SHELL('',", "CLOSED_SHELL($,"
        ),
        1.0,
    ),
    "geometry without a name": (
        lambda t: t.replace("CARTESIAN_POINT('',", "CARTESIAN_POINT($,").replace(
            "DIRECTION('',", "DIRECTION($,"
        ),
        1.0,
    ),
    "positions without a name": (
        lambda t: t.replace("AXIS2_PLACEMENT_3D('',", "AXIS2_PLACEMENT_3D($,"),
        1.0,
    ),
}


@pytest.mark.parametrize("complaint", COMPLAINTS)
def test_a_file_that_transfers_whole_passes_and_the_complaint_is_told_once(
    tmp_path: Path, shelf: str, complaint: str
) -> None:
    change, scale = COMPLAINTS[complaint]
    good, _ = checked(tmp_path, shelf)
    report, findings = checked(tmp_path, change(shelf))
    assert report["solids"] == 8
    assert volumes(report) == pytest.approx([v * scale**3 for v in volumes(good)], rel=1e-9)
    assert report["size_mm"] == pytest.approx([s * scale for s in good["size_mm"]], rel=1e-9)
    # only that which changed with the size may be amiss: nothing fails, and each complaint is told once
    told = [f for f in findings if f.name == "reader-says"]
    assert told
    assert len({f.where for f in told}) == len(told)
    assert set(amiss(findings)) == {"reader-says"}
    assert {f.status for f in told} == {"warn"}


def without(text: str, kind: str) -> str:
    """The file without the first row of a kind."""
    found = re.search(rf"\n#\d+ = {kind}\([^;]*;", text)
    assert found
    return text.replace(found[0], "", 1)


def first(text: str, kind: str, old: str, new: str) -> str:
    """The file with something changed in the first row of a kind."""
    found = re.search(rf"\n#\d+ = {kind}\([^;]*;", text)
    assert found
    changed = re.sub(old, new, found[0], count=1)
    assert changed != found[0]
    return text.replace(found[0], changed, 1)


def in_post(text: str, kind: str, old: str, new: str) -> str:
    """As `first`, in the rows of the left post's solid."""
    at = text.index("= MANIFOLD_SOLID_BREP")
    return text[:at] + first(text[at:], kind, old, new)


DAMAGES: dict[str, tuple[Callable[[str], str], str, str]] = {
    "a wrong edge in a loop": (
        lambda t: in_post(t, "EDGE_LOOP", r"\(#\d+,(#\d+)", r"(\1,\1"),
        "solids-read|solids-closed",
        "post",
    ),
    "a face too few": (
        lambda t: in_post(t, "CLOSED_SHELL", r"\(#\d+,", "("),
        "solids-read|solids-closed",
        "post",
    ),
    "a placement deleted": (
        lambda t: without(t, "CONTEXT_DEPENDENT_SHAPE_REPRESENTATION"),
        "placements",
        "post",
    ),
    "a usage deleted": (
        lambda t: without(t, "NEXT_ASSEMBLY_USAGE_OCCURRENCE"),
        "structure",
        "nothing that is there",
    ),
    "a shape deleted": (
        lambda t: without(t, "ADVANCED_BREP_SHAPE_REPRESENTATION"),
        "structure",
        "",
    ),
    "a keyword misspelt": (
        lambda t: t.replace("= MANIFOLD_SOLID_BREP", "= MANIFOLD_SOLID_BREB", 1),
        "structure",
        "MANIFOLD_SOLID_BREB",
    ),
    "a number given twice": (
        lambda t: t.replace("ENDSEC;\nEND-ISO", "#12 = DIRECTION('',(0.,0.,1.));\nENDSEC;\nEND-ISO"),
        "structure",
        "two rows are numbered #12",
    ),
    "no unit of length": (
        lambda t: re.sub(r"GLOBAL_UNIT_ASSIGNED_CONTEXT\(\(#\d+,", "GLOBAL_UNIT_ASSIGNED_CONTEXT((", t),
        "unit",
        "post",
    ),
}


@pytest.mark.parametrize("damage", DAMAGES)
def test_what_is_lost_is_a_failure_with_its_name(tmp_path: Path, shelf: str, damage: str) -> None:
    change, names, where = DAMAGES[damage]
    _, findings = checked(tmp_path, change(shelf))
    failed = [f for f in findings if f.status == "fail" and re.fullmatch(names, f.name)]
    assert failed, [f.name for f in findings]
    assert any(where in f"{f.where} {f.source}" for f in failed), failed


def test_a_sheet_beside_a_solid_fails_by_name(tmp_path: Path) -> None:
    assembly = cq.Assembly(name="mixed").add(cq.Solid.makeBox(10, 10, 10), name="block")
    assembly.add(cq.Face.makePlane(10, 10), name="label")
    path = tmp_path / "mixed.step"
    assembly.export(str(path))
    report, findings = check_step(path, 0.1)
    assert report["solids"] == 1
    assert amiss(findings)["sheets"].where == "label"
    assert amiss(findings)["sheets"].status == "fail"


@pytest.mark.parametrize("number", ["1.E300", "-1.E400", "INF", "NAN", "12.5.3", "123456789012345678."])
def test_a_coordinate_that_is_no_number_is_refused_by_name(tmp_path: Path, shelf: str, number: str) -> None:
    broken = in_post(shelf, "CARTESIAN_POINT", r"\(-?[\d.]+,", f"({number},")
    with pytest.raises(InputError, match=rf"CARTESIAN_POINT #\d+ of post left says {re.escape(number)}"):
        checked(tmp_path, broken)


def test_a_unit_that_can_not_be_read_is_refused(tmp_path: Path, shelf: str) -> None:
    with pytest.raises(InputError, match=r"states a unit of length \(#\d+\) that can not be read"):
        checked(tmp_path, no_unit_read(shelf))


def test_parallel_axes_of_a_placement_are_refused(tmp_path: Path, shelf: str) -> None:
    found = re.search(r"#15 = AXIS2_PLACEMENT_3D\('',#16,#17,#18\);", shelf)
    assert found
    broken = shelf.replace(found[0], found[0].replace("#18", "#17"))
    with pytest.raises(InputError, match=r"the placement of post\.left has parallel axes"):
        checked(tmp_path, broken)


def test_a_solid_that_meshes_at_another_tolerance_is_meshed_at_it_and_told(
    tmp_path: Path, shelf: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The kernel's mesher fails on some curved faces at one tolerance and not at another near it."""

    def fussy(shape: Any, *, tolerance_mm: float, angle_radians: float) -> Any:
        if tolerance_mm in (0.1, 0.05):
            raise GeometryError("the kernel could not mesh one of its faces")
        return triangles(shape, tolerance_mm=tolerance_mm, angle_radians=angle_radians)

    good, _ = checked(tmp_path, shelf)
    monkeypatch.setattr(step_meshes, "triangles", fussy)
    report, findings = checked(tmp_path, shelf)
    told = [f for f in findings if f.name == "meshed-at"]
    assert [(f.status, f.value) for f in told] == [("warn", 0.2)] * 8
    assert volumes(report) == pytest.approx(volumes(good), rel=1e-3)


def test_a_file_in_metres_by_mistake_is_meshed_as_finely_as_its_size_allows(tmp_path: Path) -> None:
    rack = find_recipe("ring_rack")()
    text = step_bytes(rack, solids(rack)).decode().replace("SI_UNIT(.MILLI.,.METRE.)", "SI_UNIT($,.METRE.)")
    begun = time.process_time()
    report, findings = checked(tmp_path, text)
    assert time.process_time() - begun < 30.0  # all memory was not enough before
    assert report["size_mm"][2] == pytest.approx(1.8e6)
    told = [f for f in findings if f.name == "meshed-at"]
    assert told
    assert all("is too large to be meshed at 0.1 mm" in f.source for f in told)
    # the frames' boards, a hundred-thousandth of their 1800 m
    assert max(f.value or 0.0 for f in told) == pytest.approx(18.0)


def test_a_solid_that_meshes_at_no_tolerance_fails_by_name_and_the_rest_is_checked(
    tmp_path: Path, shelf: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    usual = step_meshes._meshed

    def fussy(solid: Any, tolerance_mm: float, angle_radians: float) -> Any:
        if solid.name == "post left":
            raise GeometryError("the kernel could not mesh one of its faces")
        return usual(solid, tolerance_mm, angle_radians)

    monkeypatch.setattr(step_meshes, "_meshed", fussy)
    report, findings = checked(tmp_path, shelf)
    (closed,) = [f for f in findings if f.name == "solids-closed"]
    assert (closed.status, closed.where, closed.value) == ("fail", "post.left", 1)
    assert len(report["placements"]) == 7
    assert report["solids"] == 8


def test_parts_in_other_files_are_told(tmp_path: Path, shelf: str) -> None:
    elsewhere = (
        "#900000 = DOCUMENT_FILE('leg.stp','','',#900001,'',$);\n#900001 = DOCUMENT_TYPE('');\n"
        "#900002 = APPLIED_EXTERNAL_IDENTIFICATION_ASSIGNMENT('leg.stp',#900003,#900004,(#900000));\n"
        "#900003 = IDENTIFICATION_ROLE('external document id and location',$);\n"
        "#900004 = EXTERNAL_SOURCE(IDENTIFIER(''));\nENDSEC;\nEND-ISO"
    )
    _, findings = checked(tmp_path, shelf.replace("ENDSEC;\nEND-ISO", elsewhere))
    told = amiss(findings)["parts-in-other-files"]
    assert (told.status, told.where) == ("fail", "leg.stp")


def test_what_the_file_is_stands_in_the_report(tmp_path: Path, shelf: str) -> None:
    report, _ = checked(tmp_path, shelf)
    assert report["name"] == "Leaning shelf"
    assert report["stated"] == {
        "unit": ["millimetre"],
        "unit_mm": [1.0],
        "solids": 8,
        "sheets": 0,
        "curves": 0,
        "written": "1970-01-01T00:00:00",
        "other_files": [],
    }
    assert (report["solids"], report["shapes"]) == (8, 8)
    assert report["size_mm"] == pytest.approx([700.0, 380.7, 1900.0], abs=0.1)
    assert report["seconds"] > 0


def test_a_placement_of_what_is_no_usage_fails(tmp_path: Path, shelf: str) -> None:
    """A row of a usage says that it is something else: the product structure lacks the copy it placed."""
    changed = shelf.replace("NEXT_ASSEMBLY_USAGE_OCCURRENCE(", "CARTESIAN_POINT(", 1)
    _, findings = checked(tmp_path, changed)
    assert any(f.status == "fail" and "is of no usage of a product" in f.where for f in findings)
