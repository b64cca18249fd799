"""Pages as values, and what other programs read of their SVG, PDF and DXF."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st
from page_items import ITEMS, PAGE, SAID
from PIL import ImageFont
from pypdf import PdfReader

from furnigen import InputError
from furnigen.paper.dxf import dxf_bytes
from furnigen.paper.lettering import FAMILIES, font_files, font_size, shortened, width_of, wrapped, writable
from furnigen.paper.page import Area, Contour, Page, Pen, Text, paper
from furnigen.paper.pdf import pdf_bytes
from furnigen.paper.svg import stacked_svg, svg_bytes


def test_the_pdf_is_archival_searchable_and_has_our_fonts_only():
    data = pdf_bytes([PAGE, PAGE], "Two pages")
    reader = PdfReader(io.BytesIO(data))
    assert len(reader.pages) == 2
    text = reader.pages[0].extract_text()
    for said in SAID:
        assert said in text
    xmp = reader.xmp_metadata
    assert xmp is not None
    # ISO 19005-2 names its level in the metadata
    raw = xmp.stream.get_data().decode()
    assert "<pdfaid:part>2</pdfaid:part>" in raw
    assert "<pdfaid:conformance>B</pdfaid:conformance>" in raw
    fonts = {str(f["/BaseFont"]).split("+")[-1] for p in reader.pages for f in _fonts(p)}
    assert fonts == {"RoutedGothic", "DejaVuSans"}
    assert all(_embedded(f) for p in reader.pages for f in _fonts(p))
    assert [float(v) for v in reader.pages[0].mediabox[2:]] == pytest.approx(
        [210 / 25.4 * 72, 297 / 25.4 * 72], abs=0.01
    )


def _fonts(page):
    """The fonts of a page, and of the pictures it shows."""
    found, todo = [], [page["/Resources"].get_object()]
    while todo:
        resources = todo.pop()
        found += [f.get_object() for f in resources.get("/Font", {}).values()]
        for inner in resources.get("/XObject", {}).values():
            if "/Resources" in inner.get_object():
                todo.append(inner.get_object()["/Resources"].get_object())
    return found


def _embedded(font) -> bool:
    inner = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
    descriptor = inner["/FontDescriptor"].get_object()
    return any(key in descriptor for key in ("/FontFile", "/FontFile2", "/FontFile3"))


def test_the_svg_has_real_text_where_it_belongs():
    root = ElementTree.fromstring(svg_bytes(PAGE))
    texts = ["".join(e.itertext()) for e in root.iter("{http://www.w3.org/2000/svg}text")]
    assert texts == list(SAID)
    assert root.get("viewBox") == "0 0 210 297"
    assert root.find("{http://www.w3.org/2000/svg}title").text == PAGE.title
    assert b"font/ttf;base64" in svg_bytes(PAGE)
    assert (
        len(ElementTree.fromstring(stacked_svg([PAGE, PAGE])).findall(".//{http://www.w3.org/2000/svg}text"))
        == 6
    )


def test_two_readers_find_the_dxf_sound_and_its_lines_where_they_are():
    data = dxf_bytes(ITEMS, [("cut", "red")])
    document = ezdxf.read(io.StringIO(data.decode()))
    audit = document.audit()
    assert not audit.errors
    assert not audit.fixes
    assert document.units == ezdxf.units.MM
    arcs = document.modelspace().query("CIRCLE ARC")
    assert {(a.dxftype(), a.dxf.radius) for a in arcs} == {("CIRCLE", 20), ("ARC", 30)}
    bulges = [p.get_points("b") for p in document.modelspace().query('LWPOLYLINE[layer=="cut"]')]
    assert bulges == [[(0.0,), (1.0,), (0.0,), (0.0,)]]
    # trimesh has a reader of its own; it leaves text and hatches out
    plain = dxf_bytes([i for i in ITEMS if not isinstance(i, Text | Area | Contour)])
    path = trimesh.load_path(io.BytesIO(plain), file_type="dxf")
    assert path.bounds.tolist() == [[20, 10], [200, 287]]
    assert dict(document.layers.get("cut").dxfattribs())["color"] == 1


SAME = """
import hashlib, sys
sys.path.insert(0, {tests!r})
from page_items import ITEMS, PAGE
from furnigen.paper.dxf import dxf_bytes
from furnigen.paper.pdf import pdf_bytes
from furnigen.paper.svg import svg_bytes
print([hashlib.sha256(d).hexdigest() for d in (svg_bytes(PAGE), pdf_bytes([PAGE], "x"), dxf_bytes(ITEMS))])
"""


def test_the_same_bytes_in_any_process_and_nothing_in_the_home_folder(tmp_path):
    said = set()
    for seed in ("1", "2", "77"):
        env = {**os.environ, "PYTHONHASHSEED": seed, "HOME": str(tmp_path), "TZ": f"UTC-{seed[-1]}"}
        env.pop("XDG_CACHE_HOME", None)
        code = SAME.format(tests=str(Path(__file__).parent))
        done = subprocess.run(
            [sys.executable, "-c", code], env=env, capture_output=True, text=True, check=True
        )
        said.add(done.stdout)
    assert len(said) == 1
    # ezdxf would list the system's fonts there; the programs' own caches of code are others' affair
    assert not list(tmp_path.rglob("*font*"))


def test_a_date_can_be_stated(monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    assert b"2023" in pdf_bytes([PAGE], "x")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "yesterday")
    with pytest.raises(InputError, match="SOURCE_DATE_EPOCH = yesterday"):
        pdf_bytes([PAGE], "x")


@pytest.mark.parametrize("text", ["600 x 200 mm", "Shelf", "⌀12", "3'-10 25/32\""])
def test_letters_are_as_wide_as_another_reader_of_fonts_says(text):
    font = ImageFont.truetype(str(font_files()[0]), 1000, layout_engine=ImageFont.Layout.BASIC)
    assert width_of(text, 2.5) == pytest.approx(font.getlength(text) / 1000 * font_size(2.5), rel=0.01)


@given(st.text(max_size=60), st.floats(3.0, 80.0), st.sampled_from([1.8, 2.5, 5.0]))
def test_text_keeps_within_its_room(text, room, height):
    assert width_of(shortened(text, room, height), height) <= room + 1e-9
    for said in wrapped(text, room, height):
        assert width_of(said, height) <= room + 1e-9 or len(said) <= 2
    assert "".join(wrapped(text, room, height)).replace(" ", "") == writable(text).replace(" ", "")


def test_a_sign_of_no_font_is_an_empty_box():
    assert writable("漢 a\nb") == "□ a b"
    assert (
        "□ a"
        in PdfReader(io.BytesIO(pdf_bytes([Page(50, 50, (Text((5, 5), "漢 a"),))], "x")))
        .pages[0]
        .extract_text()
    )
    assert FAMILIES[0] == "Routed Gothic"


def test_fonts_ship_with_their_licences():
    folder = font_files()[0].parent
    assert "SIL OPEN FONT LICENSE Version 1.1" in (folder / "RoutedGothic-OFL.txt").read_text()
    assert "Bitstream" in (folder / "DejaVuSans-licence.txt").read_text()


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Pen(0.0),
        lambda: Pen(0.25, "dotted"),
        lambda: Page(0, 10),
        lambda: paper("B7"),
        lambda: pdf_bytes([], "x"),
    ],
)
def test_what_cannot_be_drawn_is_refused(wrong):
    with pytest.raises(InputError):
        wrong()


def test_paper_sizes():
    """ISO 216 halves the last; letter is 8.5 x 11 in, tabloid 11 x 17 in (ASME Y14.1, from memory)."""
    assert paper("A4") == (210, 297)
    assert paper("A3") == (420, 297)
    assert paper("letter") == pytest.approx((8.5 * 25.4, 11 * 25.4))
    assert paper("tabloid") == pytest.approx((17 * 25.4, 11 * 25.4))


def test_a_text_of_two_fonts_keeps_its_letters_and_its_length_in_the_pdf():
    """A renderer that takes one font for all of a text would draw it wider than its room."""
    said = "a heading that was too long and so cut sho…"
    page = Page(200, 40, (Text((10, 20), said, 2.8), Text((100, 30), "5 ⇒ 6", 2.8, "middle", turn=90)), "t")
    found = []

    def letter(text, cm, tm, font, size):
        if text.strip():
            found.append((text, cm[4] / 72 * 25.4, str(font["/BaseFont"]).split("+")[-1]))

    read = PdfReader(io.BytesIO(pdf_bytes([page], "x"))).pages[0]
    read.extract_text(visitor_text=letter)
    line = [f for f in found if f[1] < 95]
    assert "".join(f[0] for f in line) == said.replace(" ", "")
    assert {f[2] for f in line[:-1]} == {"RoutedGothic"}
    assert line[-1][2] == "DejaVuSans"
    assert line[-1][1] == pytest.approx(10 + width_of(said[:-1], 2.8), abs=0.05)
    assert said in " ".join(read.extract_text().split())


def test_a_long_label_is_broken_behind_a_point():
    assert wrapped("ladder.1-3.rung.1-8.wedge.1-4", 30.0, 2.0)[0].endswith((".", "-"))
