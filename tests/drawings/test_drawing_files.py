"""The files of drawings and booklet: archival PDF, sound DXF, real text, no pictures of dots, the same bytes.

No validator of PDF/A is at hand as a library: what ISO 19005-2 asks at level B of files such as these is read
with pypdf (clause numbers from memory).
"""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
from functools import cache
from html import unescape
from math import hypot
from pathlib import Path

import ezdxf
import pytest
from drawn_cases import CASES, built, drawn, files
from fontTools.ttLib import TTFont
from pypdf import PdfReader
from pypdf.generic import DictionaryObject, IndirectObject, StreamObject

from furnigen.cutting.cut_rows import Order, cut_rows, on_sheets
from furnigen.cutting.list_pages import list_pages
from furnigen.cutting.own_stock import Shop
from furnigen.cutting.short_labels import short_labels
from furnigen.drawings.booklet import booklet_pdf
from furnigen.drawings.files import numbers_by_part
from furnigen.drawings.sheet import Setting
from furnigen.paper.lettering import FONT_FOLDER

ALL_CASES = [pytest.param(c, marks=() if c == "divided_case" else pytest.mark.slow) for c in CASES]


@cache
def booklet(case: str) -> bytes:
    one = built(case)
    return booklet_pdf(one.piece, one.construction.assembly, one.custom_meshes)


def pdf_of(case: str, what: str) -> bytes:
    return booklet(case) if what == "booklet" else files(case, Setting())["drawings.pdf"]


def every_object(reader: PdfReader) -> list[object]:
    return [reader.get_object(IndirectObject(n, 0, reader)) for n in range(1, int(reader.trailer["/Size"]))]


@pytest.mark.parametrize("what", ["drawings", "booklet"])
@pytest.mark.parametrize("case", ALL_CASES)
def test_the_pdf_keeps_the_rules_of_pdf_a_2b(case, what):
    data = pdf_of(case, what)
    # 6.1.2 header and comment of four bytes above 127; 6.1.3 trailer with ID, not encrypted
    first, second = data.split(b"\n")[:2]
    assert re.fullmatch(rb"%PDF-1\.[0-7]\r?", first)
    assert second[:1] == b"%"
    assert sum(b > 127 for b in second[1:5]) == 4
    reader = PdfReader(io.BytesIO(data))
    assert "/ID" in reader.trailer
    assert "/Encrypt" not in reader.trailer
    root = reader.trailer["/Root"]
    # 6.2.3 an output intent with a profile, which covers plain colours
    intents = [i.get_object() for i in root["/OutputIntents"]]
    assert [i["/S"] for i in intents] == ["/GTS_PDFA1"]
    assert intents[0]["/DestOutputProfile"].get_object().get_data()[36:40] == b"acsp"
    # 6.6 metadata names part and level, and says what the document says
    xmp = root["/Metadata"].get_object().get_data().decode()
    assert "<pdfaid:part>2</pdfaid:part>" in xmp
    assert "<pdfaid:conformance>B</pdfaid:conformance>" in xmp
    info = reader.trailer.get("/Info")
    if info is not None and "/Title" in info.get_object():
        assert str(info.get_object()["/Title"]) in unescape(xmp)
    # 6.5 no actions that run anything, 6.8 nothing attached, 6.3 no annotations that could be left out
    assert not {"/OpenAction", "/AA", "/Names"} & (set(root) - {"/Names"})
    found = every_object(reader)
    for one in found:
        if not isinstance(one, DictionaryObject):
            continue
        assert one.get("/S") not in (
            "/JavaScript",
            "/Launch",
            "/Sound",
            "/Movie",
            "/ResetForm",
            "/ImportData",
        )
        assert one.get("/Type") not in ("/Annot", "/Filespec", "/EmbeddedFile")
        assert not {"/TR", "/HTP"} & set(one)
        assert one.get("/Subtype") not in ("/PS", "/Image")
        if isinstance(one, StreamObject):  # 6.1.7
            assert "/F" not in one
            filters = one.get("/Filter", [])
            assert "LZW" not in str(filters)
            assert "/Crypt" not in str(filters)
    fonts = [f for f in found if isinstance(f, DictionaryObject) and f.get("/Type") == "/Font"]
    top = [f for f in fonts if f["/Subtype"] == "/Type0"]
    assert top
    for font in top:
        embedded_and_readable(font)


def embedded_and_readable(font: DictionaryObject) -> None:
    """6.2.11: the font is in the file, its widths are those of its letters, its text can be read."""
    assert "/ToUnicode" in font
    below = font["/DescendantFonts"][0].get_object()
    descriptor = below["/FontDescriptor"].get_object()
    assert re.fullmatch(r"/[A-Z]{6}\+(RoutedGothic|DejaVuSans)", str(descriptor["/FontName"]))
    key = next(k for k in ("/FontFile2", "/FontFile3") if k in descriptor)
    stream = descriptor[key].get_object()
    if key == "/FontFile2":
        with TTFont(io.BytesIO(stream.get_data())) as inner:
            units = inner["head"].unitsPerEm
            advances = [a for a, _ in inner["hmtx"].metrics.values()]
        stated = [w for w in _flat(below["/W"]) if w]
        rounded = {round(a * 1000 / units) for a in advances}
        assert {round(w) for w in stated} <= {r + d for r in rounded for d in (-1, 0, 1)}


def _flat(widths) -> list[float]:
    """Widths of a composite font: 'first [w w ...]' or 'first last w'."""
    found, k = [], 0
    items = [w.get_object() if isinstance(w, IndirectObject) else w for w in widths]
    while k < len(items):
        if isinstance(items[k + 1], list):
            found += [float(w) for w in items[k + 1]]
            k += 2
        else:
            found.append(float(items[k + 2]))
            k += 3
    return found


@pytest.mark.parametrize("case", ALL_CASES)
def test_nothing_is_a_picture_of_dots_or_a_pattern(case):
    """Hatching is lines: a pattern shows seams, a picture of dots blurs."""
    for what in ("drawings", "booklet"):
        raw = b"".join(
            page.get_contents().get_data() + str(page["/Resources"]).encode()
            for page in PdfReader(io.BytesIO(pdf_of(case, what))).pages
        )
        assert b"/Pattern" not in raw
        assert b"BI\n" not in raw
    for name, data in files(case, Setting()).items():
        if name.endswith(".svg"):
            assert b"<image" not in data, name
            assert b"<pattern" not in data, name
            assert data.count(b"<text") > 10, name


@pytest.mark.parametrize("case", ALL_CASES)
def test_a_reader_finds_nothing_to_mend_in_the_dxf(case):
    doc = ezdxf.read(io.StringIO(files(case, Setting())["drawings.dxf"].decode()))
    audit = doc.audit()
    assert not audit.errors
    assert not audit.fixes
    assert doc.units == ezdxf.units.MM
    hidden = doc.modelspace().query('*[layer=="hidden"]')
    assert {e.dxf.linetype for e in hidden} <= {"DASHED"}
    assert {e.dxf.linetype for e in doc.modelspace().query('LINE[layer=="centre"]')} <= {"CENTER"}
    for e in doc.modelspace().query("DIMENSION"):
        assert e.dxf.layer == "dimension"
        assert e.dxf.geometry in doc.blocks


@pytest.mark.parametrize("case", ALL_CASES)
def test_every_row_of_the_cut_list_stands_on_the_sheet_it_names(case):
    sheets = [sheet for sheet, _ in drawn(case, Setting())]
    numbers = numbers_by_part(sheets)
    pages = [page for _, page in drawn(case, Setting())]
    for row in cut_rows([Order(built(case).piece)], Shop()):
        mine = [pages[int(n) - 1] for n in numbers[row.source[0].name].split(", ")]
        said = " ".join(t.text for page in mine for t in page.texts)
        for label in row.labels if len(row.labels) <= 8 else short_labels(row, row.labels).split(" "):
            assert label in said, (row.part, label)
        assert row.source[0].name in said


def test_the_lists_name_the_sheet_of_each_part_when_drawings_are_made():
    one = built("crate_wall")
    made = one.make("cutlist,drawings", groups=()).files
    lines = made["cutlist.csv"].decode().splitlines()
    heads = lines[0].split(",")
    assert heads[:3] == ["part", "quantity", "sheet"]
    pages = PdfReader(io.BytesIO(made["drawings.pdf"])).pages
    for line in lines[1:]:
        part, _, sheet = line.split(",")[:3]
        assert part in pages[int(sheet) - 1].extract_text()
        assert f"{int(sheet)} of {len(pages)}" in pages[int(sheet) - 1].extract_text()
    plain = one.make("cutlist", groups=()).files["cutlist.csv"].decode()
    assert "sheet" not in plain.splitlines()[0].split(",")


def test_the_printed_cut_list_names_the_sheets_too():
    rows = cut_rows([Order(built("divided_case").piece)], Shop())
    sheets = {row.source[0].name: f"{n}, {n + 1}" for n, row in enumerate(rows, 4)}
    said = [t.text for page in list_pages("A case", on_sheets(rows, sheets), "mm") for t in page.texts]
    assert "sheet" in said
    assert set(sheets.values()) <= set(said)
    assert "sheet" not in [t.text for page in list_pages("A case", rows, "mm") for t in page.texts]


COMMAND = """
import hashlib, pathlib, sys
from furnigen.cli.main import main
assert main(["draw", "crate_wall", "--out", "a"]) == 0
assert main(["make", "crate_wall", "--formats", "booklet,drawings,cutlist", "--out", "b"]) == 0
for path in sorted(p for d in ("a", "b") for p in pathlib.Path(d).rglob("*.*")):
    if path.suffix in (".pdf", ".svg", ".dxf", ".csv"):
        print(path, hashlib.sha256(path.read_bytes()).hexdigest(), file=sys.stderr)
"""


@pytest.mark.slow
def test_the_same_bytes_in_any_folder_under_any_hash_seed_and_clock(tmp_path):
    said = set()
    for seed, zone in (("1", "UTC-3"), ("77", "UTC+9")):
        folder = tmp_path / f"in {seed}" / ("deeper" if seed == "77" else "")
        folder.mkdir(parents=True)
        env = os.environ | {"PYTHONHASHSEED": seed, "TZ": zone, "HOME": str(folder), "LC_ALL": "C"}
        env |= {"PYTHONPATH": str(Path(__file__).parents[2])}
        done = subprocess.run(
            [sys.executable, "-c", COMMAND], env=env, cwd=folder, capture_output=True, text=True, check=True
        )
        assert done.stderr.count(".pdf") >= 3
        said.add(done.stderr)
    assert len(said) == 1


def test_the_fonts_come_with_their_licences_and_a_missing_one_is_named(tmp_path, monkeypatch, capsys):
    from furnigen.cli.main import main
    from furnigen.paper import lettering

    names = {p.name for p in FONT_FOLDER.iterdir()}
    assert {"RoutedGothic.ttf", "DejaVuSans.ttf"} <= names
    licences = " ".join(p.read_text(encoding="utf-8") for p in FONT_FOLDER.iterdir() if p.suffix == ".txt")
    assert "SIL OPEN FONT LICENSE" in licences.upper()
    assert "Bitstream" in licences
    monkeypatch.setattr(lettering, "FONT_FOLDER", tmp_path)
    lettering._faces.cache_clear()
    try:
        assert main(["draw", "crate_wall", "--out", str(tmp_path / "none")]) == 2
        said = capsys.readouterr().err
        assert said.count("\n") == 1
        assert "RoutedGothic.ttf" in said
        assert not (tmp_path / "none").exists()
    finally:
        monkeypatch.undo()
        lettering._faces.cache_clear()


@pytest.mark.parametrize("case", ALL_CASES)
def test_exploded_views_do_not_collapse(case):
    """What comes in along a way is drawn apart from what it goes onto, in the direction it came."""
    from furnigen.drawings.actions import actions_of
    from furnigen.drawings.exploded import exploded

    one = built(case)
    piece, order = one.piece, one.construction.assembly
    boxes = {p.label: piece.bounds_of(p) for p in piece.placements}
    for unit in dict.fromkeys(a.step.builds for a in actions_of(piece, order)):
        steps = [s for s in order.steps if s.builds == unit]
        inside = {
            n: [b for b in s.parts if n in piece.placement(b).path] or list(s.parts)
            for s in steps
            for n in s.brings
            if n not in boxes
        }
        away = exploded(steps, boxes, inside)
        moved = [s for s in steps if s.way is not None]
        for s in moved:
            for name in s.brings:
                for label in inside.get(name, [name]):
                    out = [-sum(w * d for w, d in zip(s.way, away[label], strict=True))]
                    assert out[0] > 5.0, (label, away[label])
        places = {tuple(round(c, 3) for c in away[n]) for n in away}
        assert len(places) > 1 or len(steps) < 2
        if moved:
            assert max(hypot(*away[n]) for n in away) > 20.0
