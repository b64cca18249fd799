"""The booklet: the proven order, every part and all hardware where it belongs, pages one can print.

Balloons and leaders: ISO 6433 (leaders end in a dot on the part, do not cross; numbers aligned; each once).
"""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from io import BytesIO
from itertools import combinations, pairwise
from math import hypot

import drawn_cases
import pytest
from drawn_cases import STUDIO, built
from pypdf import PdfReader

from furnigen import Draft, build, find_recipe, find_stock
from furnigen.construction.assembly_order import AssemblyOrder, Step
from furnigen.core.errors import InputError
from furnigen.drawings.actions import actions_of, joints_of_steps, written_out
from furnigen.drawings.balloons import LAYER, RADIUS, segments_cross
from furnigen.drawings.booklet import booklet_pages, booklet_pdf, scene_of
from furnigen.drawings.exploded_pages import exploded_pages
from furnigen.drawings.key import key_of
from furnigen.drawings.key_pages import key_pages
from furnigen.paper.frame import Frame
from furnigen.paper.page import Arc, Page, Polyline, Text, paper
from furnigen.piece.hardware_list import hardware_list
from furnigen.recipes.discovery import read_parameter_file

CASES = [
    pytest.param(c, marks=() if c in ("divided_case", "crate_wall") else pytest.mark.slow)
    for c in drawn_cases.CASES
]


@cache
def made(case):
    """A piece, its proven order, meshes only the kernel can make, and the units people read."""
    one = built(case)
    path = next((p for p in STUDIO if p.stem == case), None)
    units = (read_parameter_file(path).units or "mm") if path else "mm"
    return one.piece, one.construction.assembly, one.custom_meshes, units


@cache
def pages_of(case, units=""):
    piece, order, meshes, usual = made(case)
    return booklet_pages(piece, order, meshes, units or usual)


def balloons_on(page: Page) -> list[str]:
    return [i.text for i in page.items if isinstance(i, Text) and i.layer == LAYER]


def heading(page: Page) -> str:
    return page.title


@pytest.mark.parametrize("case", CASES)
def test_the_pages_are_the_proven_steps_in_their_order(case):
    piece, order, _, _ = made(case)
    assert order.locked == ()
    assert written_out(actions_of(piece, order)) == order.steps


@pytest.mark.parametrize("case", CASES)
def test_each_step_makes_the_joints_that_the_proven_one_makes(case):
    piece, order, _, _ = made(case)
    joints = joints_of_steps(piece, order)
    for step, mine in zip(order.steps, joints, strict=True):
        assert tuple(dict.fromkeys(j.kind for j in mine)) == step.joints
        assert any(j.glued for j in mine) == step.glued
    assert sum(map(len, joints)) == len(piece.joints)


@pytest.mark.parametrize("case", CASES)
def test_hardware_over_all_steps_is_the_list_to_buy(case):
    piece, order, _, _ = made(case)
    used = Counter()
    for action in actions_of(piece, order):
        for step in action.steps:
            used.update({(h.kind, h.size): h.quantity for h in step.hardware})
    assert used == {(h.kind, h.size): h.quantity for h in hardware_list(piece)}


@pytest.mark.parametrize("case", CASES)
def test_every_placement_comes_in_once_and_its_page_says_so(case):
    piece, order, _, _ = made(case)
    actions = actions_of(piece, order)
    brought = Counter(n for a in actions for s in a.steps for n in s.brings if n in piece.by_label)
    assert brought == Counter(p.label for p in piece.placements)
    pages = pages_of(case)
    for n, action in enumerate(actions, 1):
        mine = [p for p in pages if f": Step {n}: " in heading(p)]
        assert mine
        said = " ".join(t.text for p in mine for t in p.texts)
        for label in action.step.brings:
            assert label in said


@pytest.mark.parametrize("case", CASES)
def test_a_step_shows_a_balloon_for_each_part_and_kind_of_hardware_it_brings(case):
    piece, order, _, _ = made(case)
    actions = actions_of(piece, order)
    key = key_of(piece, actions)
    for n, action in enumerate(actions, 1):
        page = next(p for p in pages_of(case) if f": Step {n}: " in heading(p))
        brings = [name for s in action.pictured for name in s.brings]
        wanted = {
            str(key.number[piece.placement(b).part]) if b in piece.by_label else key.letter[b] for b in brings
        }
        wanted |= {key.mark[h.kind, h.size] for h in action.step.hardware}
        assert sorted(balloons_on(page)) == sorted(wanted)


@pytest.mark.parametrize("case", CASES)
def test_every_part_has_its_balloon_once_in_each_exploded_view_that_shows_it(case):
    """Numbers are those of one unit: times the units made, over all views, they are those of the key."""
    piece, order, _, _ = made(case)
    key = key_of(piece, actions_of(piece, order))
    count: Counter[int] = Counter()
    for page in pages_of(case):
        if "Exploded view" not in heading(page):
            continue
        found = balloons_on(page)
        assert found
        assert len(found) == len(set(found))
        times = re.search(r"made (\d+) times", heading(page))
        notes = [t for t in page.texts if re.fullmatch(r"\d+ x", t.text)]
        for text in (t for t in page.texts if t.text in found and t.layer == LAYER):
            note = min(notes, key=lambda t: hypot(t.at[0] - text.at[0], t.at[1] - text.at[1]))
            number = int(note.text.split()[0])
            if text.text.isdigit():
                count[int(text.text)] += number * (int(times[1]) if times else 1)
            else:
                assert number == sum(letter == text.text for letter in key.letter.values())
    assert count == {key.number[k]: quantity for k, quantity in enumerate(piece.quantities)}


def lines_that_cross(page: Page) -> list[tuple[object, object]]:
    leaders = [i.points for i in page.items if isinstance(i, Polyline) and i.layer == LAYER]
    parts = [(p, q) for points in leaders for p, q in pairwise(points)]
    return [(one, other) for one, other in combinations(parts, 2) if segments_cross(*one, *other)]


def boxes_of(page: Page) -> list[tuple[str, tuple[float, float, float, float]]]:
    found = []
    for t in page.texts:
        xs, ys = zip(*t.corners, strict=True)
        found.append((t.text, (min(xs), min(ys), max(xs), max(ys))))
    return found


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("case", CASES)
def test_nothing_overlaps_and_all_of_it_is_on_the_paper(case, units):
    for page in pages_of(case, units):
        assert lines_that_cross(page) == [], heading(page)
        boxes = boxes_of(page)
        for said, (x0, y0, x1, y1) in boxes:
            inside = x0 >= 4 and y0 >= 4 and x1 <= page.width - 4 and y1 <= page.height - 4
            assert inside, (heading(page), said)
        for (one, a), (other, b) in combinations(boxes, 2):
            apart = a[0] >= b[2] or b[0] >= a[2] or a[1] >= b[3] or b[1] >= a[3]
            assert apart, (heading(page), one, other)
        rounds = [
            i.centre for i in page.items if isinstance(i, Arc) and i.layer == LAYER and i.radius == RADIUS
        ]
        for (x, y), (u, v) in combinations(rounds, 2):
            assert ((x - u) ** 2 + (y - v) ** 2) ** 0.5 > 2 * RADIUS
        for i in page.items:
            if isinstance(i, Polyline):
                assert all(0 <= x <= page.width and 0 <= y <= page.height for x, y in i.points)


@pytest.mark.parametrize("case", CASES)
def test_no_picture_is_empty_and_pictures_of_a_unit_have_one_scale(case):
    for page in pages_of(case):
        if ": Step " in heading(page) and "continued" not in heading(page):
            assert any(isinstance(i, Polyline) and i.layer in ("parts", "hidden") for i in page.items)


@pytest.mark.slow
def test_the_same_piece_gives_the_same_bytes_and_its_text_is_found():
    piece, order, meshes, units = made("divided_case")
    first, second = (booklet_pdf(piece, order, meshes, units) for _ in range(2))
    assert first == second
    reader = PdfReader(BytesIO(first))
    text = " ".join(page.extract_text() for page in reader.pages)
    for words in ("Step 3", "leg.back.left", "16 x screw", "Glue", "fix it to the wall", "H1"):
        assert words in " ".join(text.split())
    fonts = {
        str(f.get_object()["/BaseFont"])
        for page in reader.pages
        for f in page["/Resources"]["/Font"].values()
    }
    assert fonts
    assert all("Routed" in f or "DejaVu" in f for f in fonts)


def test_make_writes_it_when_asked_for():
    files = build(find_recipe("crate_wall")()).make("booklet", groups=("fit",)).files
    assert files["booklet.pdf"].startswith(b"%PDF-")


def test_four_equal_frames_are_shown_once_with_how_many():
    piece, order, _, _ = made("ring_rack")
    frames = [a for a in actions_of(piece, order) if a.step.builds]
    assert {a.step.builds for a in frames} == {"frame.1"}
    assert {a.count for a in frames} == {4}
    said = " ".join(t.text for p in pages_of("ring_rack") for t in p.texts)
    assert "Make four alike: frame.1, frame.2, frame.3 and frame.4." in said


def test_heavy_and_glued_and_wall_pages_carry_their_cautions():
    said = [" ".join(t.text for t in p.texts) for p in pages_of("divided_case")]
    assert "Find pipes and cables first" in said[-1]
    assert "Last: fix it to the wall" in said[-1]
    for text in said:
        if "glue, a thin coat" in text:
            assert "Fresh air" in text
        if "Drill driver" in text and "Step" in text:
            assert "Eye protection" in text


def many_boards(count: int):
    """A field of boards, each a little longer than the one before: as many distinct parts."""
    draft = Draft("field", "Field of boards")
    stock = find_stock("birch-ply-18")
    for n in range(count):
        x, y = n % 20 * 300.0, n // 20 * 150.0
        draft.board(f"b{n}", stock, (x, y, 0.0), (x + 120.0 + n / 2, y + 100.0, stock.thickness_mm))
    piece = draft.done()
    steps = [
        Step("", (p.label,), (p.label,), (), (0.0, 0.0, -1.0) if n else None, 0.0, (), False, ())
        for n, p in enumerate(piece.placements)
    ]
    return piece, AssemblyOrder(tuple(steps))


@pytest.mark.slow
def test_three_hundred_parts_have_their_balloons_over_several_sheets():
    piece, order = many_boards(300)
    actions = actions_of(piece, order)
    assert len(piece.parts) == 300
    frame = Frame(*paper("A4"), piece.title)
    scene = scene_of(piece, actions, {}, "mm")
    sheets = exploded_pages(scene, actions, frame)
    assert len(sheets) > 1
    assert sorted(int(b) for page in sheets for b in balloons_on(page)) == list(range(1, 301))
    for page in sheets:
        assert lines_that_cross(page) == []
    cells = [
        t for page in key_pages(scene, actions, frame) for t in page.texts if t.text.endswith("x 17.6 mm")
    ]
    assert len(cells) == 300


def test_a_piece_that_locks_says_so_before_its_steps():
    piece, order = many_boards(3)
    locked = AssemblyOrder(order.steps[:1], (("b1", "b2"),))
    said = [" ".join(t.text for t in p.texts) for p in booklet_pages(piece, locked, {})]
    assert any("b1" in t and "lock each other" in t for t in said)


def test_an_unknown_sheet_is_refused_with_those_there_are():
    piece, order = many_boards(2)
    with pytest.raises(InputError, match="A4"):
        booklet_pages(piece, order, {}, sheet="B7")
