"""The STEP file we write: its tree, names, colours, density, sharing, and that it repeats."""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import cadquery as cq
import pytest
from kernel_pieces import board, glaze_case, part
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

from furnigen.catalogue.materials import find_material
from furnigen.core.errors import GeometryError, InputError
from furnigen.core.pose import Pose
from furnigen.kernel.custom import custom_form
from furnigen.kernel.solids import solids
from furnigen.kernel.step import encoded, step_bytes
from furnigen.kernel.step_reader import read_step
from furnigen.piece.description import Piece, Placement


@pytest.fixture(autouse=True)
def no_stamp(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)


def unbroken(text: str) -> str:
    """`text` without the line breaks and indents that the kernel puts between tokens."""
    return re.sub(r"\n *", "", text)


def entities(text: str, kind: str) -> list[str]:
    """The arguments of every entity of one kind, line breaks taken out."""
    return re.findall(rf"= {kind}\((.*?)\);(?=#|ENDSEC)", unbroken(text))


def written(piece: Piece) -> str:
    return step_bytes(piece, solids(piece)).decode("ascii")


def one_board(name: str = "shelf", label: str = "shelf.1") -> Piece:
    return Piece("rack", "Rack", (part(board(), name),), (Placement(label, 0, Pose()),))


def test_each_distinct_part_has_one_shape_however_often_it_is_placed() -> None:
    piece = glaze_case()
    text = written(piece)
    assert len(piece.placements) == 12
    assert len({p.part for p in piece.placements}) == 7  # the eighth is never placed
    assert len(entities(text, "MANIFOLD_SOLID_BREP")) == 7
    assert "never placed" not in text


def test_names_follow_the_piece() -> None:
    piece = glaze_case()
    text = written(piece)
    products = [re.match(r"'([^']*)','([^']*)'", p) for p in entities(text, "PRODUCT")]
    names = [p[2] for p in products if p]
    assert products[0]
    assert products[0].groups() == ("glaze_case", "Glaze case")
    assemblies = ["case", "left end", "right end", "base"]
    parts = ["shelf", "side", "frame", "rail", "rod", "leg", "foot"]
    assert sorted(names) == sorted(["Glaze case", *assemblies, *parts])
    occurrences = [
        re.match(r"'(\d+)','([^']*)'", o) for o in entities(text, "NEXT_ASSEMBLY_USAGE_OCCURRENCE")
    ]
    assert [o[1] for o in occurrences if o] == [str(i + 1) for i in range(len(occurrences))]
    labels = [o[2] for o in occurrences if o]
    assert sorted(labels) == sorted([*(p.label for p in piece.placements), *assemblies])


def test_products_with_one_name_have_ids_of_their_own() -> None:
    """ISO 10303-41 (from memory): a product's id tells it from all others."""
    piece = replace(one_board("rack"), placements=(Placement("rack.1", 0, Pose(), ("rack",)),))
    products = [re.match(r"'([^']*)','([^']*)'", p) for p in entities(written(piece), "PRODUCT")]
    assert [(p[1], p[2]) for p in products if p] == [
        ("rack", "Rack"), ("rack (2)", "rack"), ("rack (3)", "rack")
    ]  # fmt: skip


def test_rows_are_numbered_through_and_tell_of_rows_that_are_there() -> None:
    data = re.sub(r"'[^']*'", "''", written(glaze_case())).partition("DATA;\n")[2]
    rows = re.findall(r"(?m)^#(\d+) = (.*);$", data)
    assert [int(number) for number, _ in rows] == list(range(1, len(rows) + 1))
    told = {int(n) for _, text in rows for n in re.findall(r"#(\d+)", text)}
    assert told <= set(range(1, len(rows) + 1))
    assert data.count("\n") == len(rows) + 2  # the two last lines; nothing but whole rows besides
    unseen = set(range(1, len(rows) + 1)) - told
    kinds = {re.match(r"\w*", text)[0] for number, text in rows if int(number) in unseen}  # type: ignore[index]
    assert not kinds & {"MANIFOLD_SOLID_BREP", "CLOSED_SHELL", "ADVANCED_FACE", "STYLED_ITEM", "CIRCLE"}


@pytest.mark.parametrize("name", ["shelf #12", "50 % off", "#1", "%d", "o'clock #3", "#" * 90])
def test_names_that_look_like_numbers_of_rows_stay(name: str) -> None:
    text = written(one_board(name, label=name))
    quoted = name.replace("'", "''")
    assert entities(text, "PRODUCT")[1].startswith(f"'{quoted}','{quoted}'")
    assert f"'1','{quoted}'" in entities(text, "NEXT_ASSEMBLY_USAGE_OCCURRENCE")[0]


def hollow(size: float) -> cq.Workplane:
    return cq.Workplane().box(size, size, size).cut(cq.Workplane().box(size / 2, size / 2, size / 2))


def test_a_hollow_form_keeps_its_hollow(tmp_path: Path) -> None:
    one = part(custom_form(hollow, size=40.0), "float")
    piece = Piece("rack", "Rack", (one, part(board())), (Placement("float.1", 0, Pose()),))
    path = tmp_path / "float.step"
    path.write_bytes(step_bytes(piece, solids(piece)))
    assert cq.importers.importStep(str(path)).val().Volume() == pytest.approx(40**3 - 20**3, rel=1e-9)


def test_units_and_schema() -> None:
    text = written(one_board())
    assert set(re.findall(r"SI_UNIT\(\s*(\S+?),.METRE.\)", text)) == {".MILLI.", ".CENTI."}  # centi: density
    assert "LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.)" in text
    assert "AUTOMOTIVE_DESIGN" in text


def test_the_look_is_written_as_srgb() -> None:
    """STEP readers take COLOUR_RGB for sRGB; the table's look is sRGB, so the same numbers come out."""
    piece = one_board()
    look = find_material(piece.parts[0].stock.material).look
    (colour,) = entities(written(piece), "COLOUR_RGB")
    values = [float(v) for v in colour.split(",")[1:]]
    assert values == pytest.approx([int(look[i : i + 2], 16) / 255 for i in (1, 3, 5)], abs=1e-6)


def test_every_shape_has_a_style() -> None:
    text = written(glaze_case())
    styled = [s.rpartition("#")[2] for s in entities(text, "STYLED_ITEM")]
    breps = re.findall(r"#(\d+) = MANIFOLD_SOLID_BREP", unbroken(text))
    assert sorted(styled) == sorted(breps)
    assert len(entities(text, "COLOUR_RGB")) == 2  # birch plywood and oak


def test_density_is_in_grams_per_cubic_centimetre() -> None:
    piece = one_board()
    text = written(piece)
    material = find_material(piece.parts[0].stock.material)
    assert entities(text, "DESCRIPTIVE_REPRESENTATION_ITEM") == [f"'{material.name}','{material.title}'"]
    (measure,) = entities(text, "MEASURE_REPRESENTATION_ITEM")
    value = re.search(r"POSITIVE_RATIO_MEASURE\(\s*([0-9.E+-]+)\s*\)", measure)
    assert value
    assert float(value[1]) == pytest.approx(material.density_kg_m3 / 1000)
    units = dict(
        re.findall(r"#(\d+) = \( (\w+)_UNIT\(\) NAMED_UNIT\(\*\) SI_UNIT\([^)]*\) \)", unbroken(text))
    )
    elements = [e.split(",") for e in entities(text, "DERIVED_UNIT_ELEMENT")]
    assert [(units[unit[1:]], float(power)) for unit, power in elements] == [("MASS", 1.0), ("LENGTH", -3.0)]


def test_three_exports_in_one_process_are_the_same() -> None:
    piece = glaze_case()
    shapes = solids(piece)
    first = step_bytes(piece, shapes)
    assert step_bytes(piece, shapes) == first
    assert step_bytes(piece, solids(piece)) == first  # shapes built anew, elsewhere in memory


@pytest.mark.parametrize("letters", range(1, 30))
def test_lines_break_alike_however_much_was_written_before(letters: int) -> None:
    """The kernel counts occurrences through the whole process, and its count moves where lines break."""
    piece = one_board(label="s" * letters)
    shapes = solids(piece)
    written_before = {step_bytes(piece, shapes) for _ in range(4)}
    assert len(written_before) == 1
    assert re.search(rb"(?m)^#\d+ = NEXT_ASSEMBLY_USAGE_OCCURRENCE\('1','s+','',.*;$", written_before.pop())


def test_two_processes_write_the_same() -> None:
    script = (
        "import sys, hashlib; sys.path.insert(0, sys.argv[1])\n"
        "from kernel_pieces import glaze_case\n"
        "from furnigen.kernel.solids import solids\n"
        "from furnigen.kernel.step import step_bytes\n"
        "p = glaze_case(); print(hashlib.sha256(step_bytes(p, solids(p))).hexdigest())"
    )
    piece = glaze_case()
    here = hashlib.sha256(step_bytes(piece, solids(piece))).hexdigest()
    seed = "2" if os.environ.get("PYTHONHASHSEED") == "1" else "1"
    done = subprocess.run(
        [sys.executable, "-c", script, str(Path(__file__).parent)],
        capture_output=True, text=True, check=True, env={**os.environ, "PYTHONHASHSEED": seed},
    )  # fmt: skip
    # nothing else on stdout: the kernel's own statistics are silenced
    assert done.stdout == here + "\n"


def test_the_header_has_no_clock_and_no_machine(monkeypatch: pytest.MonkeyPatch) -> None:
    (name,) = re.findall(r"FILE_NAME\((.*?)\);", unbroken(written(one_board())))
    assert name.startswith("'rack','1970-01-01T00:00:00',(''),(''),")
    assert name.endswith("'furnigen',''")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    assert "'2023-11-14T22:13:20'" in written(one_board())  # date -u -d @1700000000


@pytest.mark.parametrize("stamp", ["yesterday", "1.5", "", "9" * 30])
def test_a_stamp_that_is_no_number_is_refused(stamp: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", stamp)
    with pytest.raises(InputError, match="SOURCE_DATE_EPOCH"):
        written(one_board())


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("plain shelf.1", "plain shelf.1"),
        ("Böden", r"B\X2\00F6\X0\den"),
        ("東", r"\X2\6771\X0\ ".strip()),
        ("a\\b", r"a\X2\005C\X0\b"),
        ("tab\there", r"tab\X2\0009\X0\here"),
        ("𝄞", r"\X4\0001D11E\X0\ ".strip()),
        ("\ud800", "?"),
    ],
)
def test_names_are_encoded_as_the_standard_says(text: str, expected: str) -> None:
    """ISO 10303-21, 6.4.3 (from memory): \\X2\\ UTF-16 hexadecimal \\X0\\, \\X4\\ for four bytes."""
    assert encoded(text) == expected


@pytest.mark.parametrize(
    "label",
    [
        "a');", "');", "a')", "a'); b", "')'", ",'',", "' ,", "o'clock, three", "'", "''", "';", "a;b", ");",
        "é", "東", "𝄞", "é é", "\\", "été", "#1=", "$", "*", "/* x */", "END-ISO-10303-21;",
    ],
)  # fmt: skip
def test_any_label_is_read_back_whole(label: str, tmp_path: Path) -> None:
    """By the kernel's own reader, as other programs use it, and by ours.

    It takes an apostrophe before a bracket or comma for the end of a string, and a name without any plain
    character for none.
    """
    path = tmp_path / "model.step"
    piece = one_board("board " + label, label)
    path.write_bytes(step_bytes(piece, solids(piece)))
    file = read_step(path)
    assert ([c.label for c in file.copies], file.solids[0].name) == ([label], "board " + label)
    document = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
    reader = STEPCAFControl_Reader()
    assert reader.ReadFile(str(path)) == IFSelect_RetDone
    assert reader.Transfer(document)
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    roots, placed = TDF_LabelSequence(), TDF_LabelSequence()
    shapes.GetFreeShapes(roots)
    XCAFDoc_ShapeTool.GetComponents_s(roots.Value(1), placed, False)
    name = TDataStd_Name()
    assert placed.Value(1).FindAttribute(TDataStd_Name.GetID_s(), name)
    assert name.Get().ToExtString() == label


@pytest.mark.parametrize(
    "name",
    ["Böden 東 𝄞", "'quoted' ''", "a\\X2\\b", "; END-ISO-10303-21;", "long " * 40 + "é'" * 40, "#1 ="],
)
def test_any_name_survives_in_one_line(name: str) -> None:
    text = unbroken(written(one_board(name, name)))
    token = "'" + encoded(name).replace("'", "''") + "'"
    assert f"= PRODUCT({token},{token},''" in text
    assert f"= NEXT_ASSEMBLY_USAGE_OCCURRENCE('1',{token},''" in text


def test_options_of_the_kernel_are_put_back() -> None:
    written(one_board())
    Interface_Static.SetCVal_s("write.step.unit", "INCH")
    try:
        text = written(one_board())
        assert Interface_Static.CVal_s("write.step.unit") == "INCH"
    finally:
        Interface_Static.SetCVal_s("write.step.unit", "MM")
    assert text == written(one_board())


def test_nothing_to_write_is_refused() -> None:
    with pytest.raises(GeometryError, match="rack: nothing is placed"):
        written(replace(one_board(), placements=()))
