"""Drawings: what they say is true, all of it can be read, nothing is left out.

The faults looked for are those that automatic drawings are known for (common practice, no source): text on
text, a line through a figure, the largest dimension nearest the part, a label out of its view, a size given
twice.
"""

from __future__ import annotations

import hashlib
import io
import os
import re
import subprocess
import sys
from fractions import Fraction
from itertools import combinations, pairwise
from math import cos, radians, sin

import ezdxf
import numpy as np
import pytest
from drawn_cases import RECIPES, built, drawn
from ezdxf.audit import Auditor
from pypdf import PdfReader

from furnigen import build, find_recipe, find_stock
from furnigen.drawings.files import drawing_sheets, files_of
from furnigen.drawings.sheet import Setting, scales
from furnigen.drawings.views import FRONT, LEFT, PLAN, piece_view
from furnigen.paper.page import Arc, Area, Contour, Dimension, Item, Page, Polyline, Text

SETTINGS = (Setting(), Setting("A4", "in", "third"), Setting.usual("in"), Setting("letter", "mm", "third"))
EVERY = [
    pytest.param(r, s, marks=() if r == "divided_case" and n == 0 else pytest.mark.slow)
    for r in RECIPES
    for n, s in enumerate(SETTINGS)
]

EACH = [pytest.param(r, marks=() if r == "divided_case" else pytest.mark.slow) for r in RECIPES]


def named(value: object) -> str:
    return f"{value.sheet}-{value.units}-{value.projection}" if isinstance(value, Setting) else str(value)


def flat(page: Page) -> list[Item]:
    return [p for i in page.items for p in (i.drawn if isinstance(i, Dimension) else (i,))]


def box_of(text: Text) -> tuple[float, float, float, float]:
    xs, ys = zip(*text.corners, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def crosses(line: tuple[tuple[float, float], tuple[float, float]], box: tuple[float, ...]) -> bool:
    (x0, y0), (x1, y1) = line
    enter, leave = 0.0, 1.0
    for start, delta, low, high in ((x0, x1 - x0, box[0], box[2]), (y0, y1 - y0, box[1], box[3])):
        if abs(delta) < 1e-12:
            if not low < start < high:
                return False
            continue
        a, b = sorted(((low - start) / delta, (high - start) / delta))
        enter, leave = max(enter, a), min(leave, b)
    return leave > enter


def segments(item: Item) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    if isinstance(item, Polyline):
        points = (*item.points, item.points[0]) if item.closed else item.points
        return list(pairwise(points))
    if isinstance(item, Arc):
        many = [item.at(item.start + (item.end - item.start) * k / 32) for k in range(33)]
        return list(pairwise(many))
    return []


@pytest.mark.parametrize(("recipe", "setting"), EVERY, ids=named)
def test_no_text_lies_on_another_and_no_line_runs_through_one(recipe, setting):
    for sheet, page in drawn(recipe, setting):
        boxes = [(t, box_of(t)) for t in page.texts]
        for (s, a), (t, b) in combinations(boxes, 2):
            apart = a[0] >= b[2] or b[0] >= a[2] or a[1] >= b[3] or b[1] >= a[3]
            assert apart, f"{sheet.name}: {s.text!r} on {t.text!r}"
        lines = [line for item in flat(page) for line in segments(item)]
        for text, (a, b, c, d) in boxes:
            inner = (a + 0.05, b + 0.05, c - 0.05, d - 0.05)
            crossed = [line for line in lines if crosses(line, inner)]
            assert not crossed, f"{sheet.name}: {text.text!r} at {text.at} crossed by {crossed[0]}"


@pytest.mark.parametrize(("recipe", "setting"), EVERY, ids=named)
def test_all_stands_within_the_frame(recipe, setting):
    left, low, right, top = setting.inner
    for sheet, page in drawn(recipe, setting):
        points = []
        for item in flat(page):
            if isinstance(item, Text):
                points += item.corners
            elif isinstance(item, Area):
                points += [p for ring in item.rings for p in ring]
            elif not isinstance(item, Contour):
                points += [p for line in segments(item) for p in line]
        for x, y in points:
            assert left - 0.01 <= x <= right + 0.01, (sheet.name, x, y)
            assert low - 0.01 <= y <= top + 0.01, (sheet.name, x, y)


@pytest.mark.parametrize(("recipe", "setting"), EVERY, ids=named)
def test_nothing_but_the_block_stands_in_the_title_block(recipe, setting):
    a, b, c, d = setting.block
    for sheet, page in drawn(recipe, setting):
        for item in page.items:
            if getattr(item, "layer", "") in ("visible", "hidden", "dimension"):
                for line in segments(item):
                    assert not crosses(line, (a + 0.1, b + 0.1, c - 0.1, d - 0.1)), sheet.name


def value_of(figure: str) -> float:
    """Millimetres of a figure on a drawing in feet and inches."""
    found = re.fullmatch(r"~?(?:(\d+)'-)?(\d+(?![\d/]))? ?(?:(\d+)/(\d+))?\"", figure)
    assert found, figure
    inches = (
        int(found[1] or 0) * 12
        + int(found[2] or 0)
        + (Fraction(int(found[3]), int(found[4])) if found[3] else 0)
    )
    return float(inches * Fraction(254, 10))


@pytest.mark.parametrize(("recipe", "setting"), EVERY, ids=named)
def test_every_figure_is_the_distance_it_stands_at(recipe, setting):
    count = 0
    for sheet, page in drawn(recipe, setting):
        for item in page.items:
            if not isinstance(item, Dimension):
                continue
            count += 1
            figure = item.figure.lstrip("⌀□")
            if item.kind == "angular":
                assert float(figure.rstrip("°")) == pytest.approx(item.measured, abs=0.0501), sheet.name
                continue
            assert item.factor == pytest.approx(sheet.scale)
            if setting.units == "mm":
                assert float(figure) == pytest.approx(item.measured, abs=0.0501), sheet.name
            else:
                assert value_of(figure) == pytest.approx(item.measured, abs=25.4 / 64 + 0.001), sheet.name
    assert count >= 3 + 3 * len(built(recipe).piece.parts) - len(built(recipe).piece.parts)


@pytest.mark.parametrize("recipe", EACH)
def test_dimensions_of_the_arrangement_end_at_corners_of_the_meshes(recipe):
    """The meshes are made without the views: their corners judge them."""
    one = built(recipe)
    corners = []
    for placement in one.piece.placements:
        turn = np.array(placement.pose.rotation)
        corners.append(one.meshes.parts[placement.part].vertices @ turn.T + np.array(placement.pose.origin))
    every = np.concatenate(corners)
    (sheet, page) = drawn(recipe, Setting())[0]
    spans = {0: set(), 1: set(), 2: set()}
    for axis in spans:
        spans[axis] = np.unique(np.round(every[:, axis], 3))
    for item in page.items:
        if isinstance(item, Dimension) and item.kind != "angular":
            axes = (2,) if item.turn else (0, 1)
            long = item.measured
            assert any(
                np.abs((s[:, None] - s[None, :]) - long).min() < 0.05 for s in (spans[a] for a in axes)
            ), (sheet.name, item.figure)
    size = np.ptp(every, axis=0)
    said = {float(i.figure) for i in page.items if isinstance(i, Dimension) and i.kind == "linear"}
    assert {round(v, 1) for v in size} <= {round(v, 1) for v in said}, "width, depth and height are given"


@pytest.mark.parametrize(("recipe", "setting"), EVERY, ids=named)
def test_each_size_is_given_once_and_the_largest_outermost(recipe, setting):
    _, page = drawn(recipe, setting)[0]
    dims = [i for i in page.items if isinstance(i, Dimension) and i.kind == "linear"]
    places = [(i.turn, *(round(v, 2) for v in (*_span(i), _edge(i)))) for i in dims]
    assert len(places) == len(set(places))
    for a, b in combinations(dims, 2):
        same_side = a.turn == b.turn and abs(_edge(a) - _edge(b)) < 0.01 and _off(a) * _off(b) > 0
        if same_side and _span(a)[0] <= _span(b)[0] and _span(a)[1] >= _span(b)[1] and _span(a) != _span(b):
            assert abs(_off(a)) > abs(_off(b)), f"{a.figure} nearer than {b.figure}"


def _span(d: Dimension) -> tuple[float, float]:
    k = 1 if d.turn else 0
    a, b = sorted((d.first[k], d.second[k]))
    return a, b


def _edge(d: Dimension) -> float:
    return d.first[0 if d.turn else 1]


def _off(d: Dimension) -> float:
    return d.at[0 if d.turn else 1] - _edge(d)


@pytest.mark.parametrize("recipe", EACH)
@pytest.mark.parametrize("projection", [FRONT, LEFT, PLAN], ids=lambda p: p.name)
def test_no_line_of_a_view_is_drawn_twice_and_none_hidden_under_a_visible_one(recipe, projection):
    view = piece_view(built(recipe).piece, built(recipe).solids, projection)
    assert view.lines
    straight = [line for line in view.lines if line.arc is None and len(line.points) == 2]
    assert any(line.visible for line in straight)
    for a, b in combinations(straight, 2):
        (ax, ay), (bx, by) = a.points
        long = np.hypot(bx - ax, by - ay)
        ux, uy = (bx - ax) / long, (by - ay) / long
        off = [abs((x - ax) * uy - (y - ay) * ux) for x, y in b.points]
        if max(off) > 0.005:
            continue
        p, q = sorted((x - ax) * ux + (y - ay) * uy for x, y in b.points)
        assert min(long, q) - max(0.0, p) < 0.05, f"{a} and {b}"


@pytest.mark.parametrize("recipe", EACH)
def test_bounds_of_the_views_are_those_of_the_piece(recipe):
    piece = built(recipe).piece
    for projection, axes in ((FRONT, (0, 2)), (LEFT, (1, 2)), (PLAN, (0, 1))):
        view = piece_view(piece, built(recipe).solids, projection)
        assert view.size == pytest.approx([piece.bounds.size[k] for k in axes], abs=0.05)
        assert {line.owner for line in view.lines} <= set(piece.by_label)


@pytest.mark.parametrize(("recipe", "setting"), EVERY, ids=named)
def test_every_part_has_its_sheet_and_no_sheet_is_empty(recipe, setting):
    sheets = [s for s, _ in drawn(recipe, setting)]
    on = {name for s in sheets if s.kind.startswith("Part") for name in s.parts}
    assert on == {p.name for p in built(recipe).piece.parts}
    for s in sheets:
        assert s.scale in (*scales(setting.units), 0)
        assert not s.scale or sum(getattr(i, "layer", "") == "visible" for i in s.items) >= 3, s.name


@pytest.mark.parametrize("recipe", EACH)
def test_every_cut_stands_in_the_table_of_its_part(recipe):
    """Each square cut of the model lies where a row has it, and rows have nothing the model has not."""
    from furnigen.cutting.features import Hole, Pocket, features_of
    from furnigen.drawings.part_data import part_data

    for part in built(recipe).piece.parts:
        if part.form.as_board is None:
            continue
        data = part_data(part)
        places = [(c.shape, *p) for c in data.cuts for p in c.places]
        features = features_of(part)
        for f in features:
            if not isinstance(f, Hole | Pocket):
                continue
            hole = isinstance(f, Hole)
            corners = (f.at, f.at) if hole else (f.lo, f.hi)
            turned = [data.turn.apply(p) for p in corners]
            low = [min(a, b) for a, b in zip(*turned, strict=True)]
            shape = "hole" if hole else "box"
            assert any(s == shape and np.allclose(p, low, atol=0.01) for s, *p in places), f
        assert len(places) == sum(not (type(f).__name__ == "SawnEnd" and not f.taken) for f in features)


@pytest.mark.slow
def test_files_say_the_same_and_are_sound():
    one = built("divided_case")
    pages = drawn("divided_case", Setting())
    files = files_of(one.piece, pages, Setting())
    assert next(n for n in files if n.endswith(".svg")) == "drawings/01-general-arrangement.svg"
    assert len([n for n in files if n.endswith(".svg")]) == len(pages)
    pdf = PdfReader(io.BytesIO(files["drawings.pdf"]))
    assert len(pdf.pages) == len(pages)
    said = "".join(p.extract_text() for p in pdf.pages).replace("\n", "")
    svg = "".join(files[n].decode() for n in files if n.endswith(".svg"))
    doc = ezdxf.read(io.StringIO(files["drawings.dxf"].decode()))
    audit: Auditor = doc.audit()
    assert not audit.errors
    drawn_dims = [i for _, page in pages for i in page.items if isinstance(i, Dimension)]
    dims = doc.modelspace().query("DIMENSION")
    assert len(dims) == len(drawn_dims)
    for entity, item in zip(dims, drawn_dims, strict=True):
        assert entity.dxf.text == item.figure
        if item.kind == "angular":
            corners = (entity.dxf.defpoint2, entity.dxf.defpoint3)
            turns = [(p - entity.dxf.defpoint4).angle_deg for p in corners]
            assert float(item.figure.rstrip("°")) == pytest.approx((turns[1] - turns[0]) % 360, abs=0.0501)
            continue
        factor = doc.dimstyles.get(entity.dxf.dimstyle).dxf.dimlfac
        turn = radians(entity.dxf.angle)
        gap = entity.dxf.defpoint3 - entity.dxf.defpoint2
        measured = abs(gap.x * cos(turn) + gap.y * sin(turn)) * factor
        assert float(entity.dxf.text.lstrip("⌀□")) == pytest.approx(measured, abs=0.0501)
        assert item.figure in said
        assert f">{item.figure.lstrip('□')}</t" in svg
    assert {"visible", "hidden", "dimension", "centre"} <= {layer.dxf.name for layer in doc.layers}
    for name in ("side left", "leg block right"):
        assert name in said


PROGRAM = """
import hashlib
from furnigen import build, find_recipe
from furnigen.drawings.files import drawing_files
from furnigen.drawings.sheet import Setting
one = build(find_recipe("crate_wall")())
files = drawing_files(one.piece, one.solids, Setting())
print({n: hashlib.sha256(d).hexdigest() for n, d in files.items()})
"""


@pytest.mark.slow
def test_the_same_bytes_under_any_hash_seed():
    found = set()
    for seed in ("1", "77"):
        env = os.environ | {"PYTHONHASHSEED": seed}
        done = subprocess.run(
            [sys.executable, "-c", PROGRAM], env=env, capture_output=True, text=True, check=True
        )
        found.add(hashlib.sha256(done.stdout.encode()).hexdigest())
    assert len(found) == 1


def test_first_and_third_angle_lay_the_views_out_as_iso_5456_2_says():
    """First angle: plan below the front, view from the left on its right; third: above, and on its left."""
    for projection, sign in (("first", 1), ("third", -1)):
        _, page = drawn("crate_wall", Setting("A4", projection=projection))[0]
        at = {t.text: t.at for t in page.texts if t.text in ("Front", "Plan", "Left side")}
        assert sign * (at["Front"][1] - at["Plan"][1]) > 30
        assert sign * (at["Left side"][0] - at["Front"][0]) > 50


@pytest.mark.parametrize("recipe", EACH)
def test_fractions_are_stacked(recipe):
    pages = [p for _, p in drawn(recipe, Setting.usual("in"))]
    whole = [i for page in pages for i in page.items if isinstance(i, Dimension) and "/" in i.figure]
    assert whole
    for item in whole:
        texts = [t.text for t in item.drawn if isinstance(t, Text)]
        over, under = re.search(r"(\d+)/(\d+)", item.figure).groups()
        assert {over, under} <= set(texts)
        assert not any("/" in t for t in texts)


def test_the_title_block_says_what_iso_7200_asks():
    setting = Setting(date="2031-05-04")
    one = built("crate_wall")
    sheets = drawing_sheets(one.piece, one.solids, setting)
    _, page = sheets[0]
    said = {t.text for t in page.texts}
    heads = {
        "Owner",
        "Drawn",
        "Approved",
        "Date",
        "Piece",
        "Document",
        "Scale",
        "Units",
        "Projection",
        "Sheet",
    }
    assert heads <= said
    assert {"2031-05-04", one.piece.title, "1:5", "mm", "first angle"} <= said
    assert f"1 of {len(sheets)}" in said
    _, dateless = drawn("crate_wall", Setting())[0]
    assert not any(re.search(r"20\d\d", t.text) for t in dateless.texts if t.height < 4)


def test_the_content_hash_follows_what_is_made():
    from furnigen.drawings.sheet import content_hash

    recipe = find_recipe("crate_wall")
    assert content_hash(recipe()) == content_hash(recipe())
    assert content_hash(recipe()) != content_hash(recipe(width=1180.0))


def test_a_form_of_the_authors_own_is_drawn_all_the_same():
    import cadquery

    from furnigen import Draft, Pose

    draft = Draft("shelf with a knob")
    draft.place(
        "knob", cadquery.Workplane().cylinder(40, 12), find_stock("beech-blank-50"), Pose.at(0, 0, 400)
    )
    piece = draft.done()
    sheets = drawing_sheets(piece, build(piece).solids, Setting())
    assert [s.kind for s, _ in sheets] == ["General arrangement", "Part, 1 off"]
    assert any(isinstance(i, Arc) for i in sheets[0][1].items)


@pytest.mark.parametrize("recipe", EACH)
def test_what_the_side_view_hides_is_shown_in_a_section_hatched_within_its_cuts(recipe):
    sheets = [(s, p) for s, p in drawn(recipe, Setting()) if "section A-A" in s.name]
    assert len(sheets) == 1
    _, page = sheets[0]
    hatched = [i for i in page.items if getattr(i, "layer", "") == "hatch"]
    seen = [
        p for i in page.items if getattr(i, "layer", "") == "visible" for line in segments(i) for p in line
    ]
    assert len(hatched) > 10
    edges = np.array(seen).reshape(-1, 2, 2)
    a, along = edges[:, 0], edges[:, 1] - edges[:, 0]
    long2 = np.maximum((along**2).sum(axis=1), 1e-9)
    boxes = [box_of(t) for t in page.texts]
    for item in hatched:
        for end in item.points:
            if any(x0 - 0.6 < end[0] < x1 + 0.6 and y0 - 0.6 < end[1] < y1 + 0.6 for x0, y0, x1, y1 in boxes):
                continue  # broken for a figure
            t = np.clip(((np.array(end) - a) * along).sum(axis=1) / long2, 0, 1)
            off = np.hypot(*(a + along * t[:, None] - end).T).min()
            assert off < 0.1, "hatch lines end on outlines of what is cut"


def test_the_command_draws_and_refuses(tmp_path, capsys):
    from furnigen.cli.main import main

    out = tmp_path / "drawings"
    assert (
        main(["draw", "crate_wall", "width=1 m", "--units", "in", "--sheet", "tabloid", "--out", str(out)])
        == 0
    )
    assert (out / "drawings.pdf").read_bytes().startswith(b"%PDF")
    assert (out / "drawings" / "01-general-arrangement.svg").is_file()
    capsys.readouterr()
    for words, told in (
        (["draw", "crate_wall", "--sheet", "A5"], "must be one of A4, A3, letter, tabloid"),
        (["draw", "no_such_recipe"], "there is no recipe"),
        (["draw", "crate_wall", "width=0"], "width"),
    ):
        assert main([*words, "--out", str(tmp_path / "none")]) == 2
        assert told in capsys.readouterr().err
        assert not (tmp_path / "none").exists()
