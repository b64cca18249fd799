"""Pages of a plan: nothing overlaps, all of it is on the paper, every piece is told, sheets alike once."""

from __future__ import annotations

import tomllib
from itertools import combinations

import pytest

from furnigen import Draft, find_recipe, find_stock, ring
from furnigen.core.pose import Pose
from furnigen.cutting.costing import costs_of
from furnigen.cutting.cut_rows import Order, cut_rows
from furnigen.cutting.effort import Effort
from furnigen.cutting.flat_pack import flat_pack
from furnigen.cutting.joint_words import size_text
from furnigen.cutting.list_pages import label_pages, list_pages
from furnigen.cutting.own_stock import Router, Shop
from furnigen.cutting.plan import Plan, lay_out
from furnigen.cutting.plan_pages import frame_for, sheet_pages
from furnigen.cutting.sheet_drawing import CUT_INK
from furnigen.cutting.sheet_dxf import sheets_dxf
from furnigen.cutting.stock_file import read_shop, sample_stock
from furnigen.paper.page import Page, Text
from furnigen.parts.forms.prism import Prism

SAMPLE = read_shop(tomllib.loads(sample_stock()), "stock.toml")


def planned(name: str, copies: int = 1, shop: Shop | None = None, units: str = "mm") -> Plan:
    shop = shop or Shop()
    orders = [Order(find_recipe(name)(), copies, name if copies > 1 else "")]
    return lay_out(orders[0].piece.title, orders, cut_rows(orders, shop, units), shop)


def all_pages(plan: Plan, units: str) -> dict[str, list[Page]]:
    return {
        "sheets": sheet_pages(plan, costs_of(plan), flat_pack(plan.rows), units),
        "list": list_pages(plan.title, plan.rows, units),
        "labels": label_pages(plan, units),
    }


def bounds(text: Text) -> tuple[float, float, float, float]:
    xs, ys = [p[0] for p in text.corners], [p[1] for p in text.corners]
    return min(xs), min(ys), max(xs), max(ys)


def overlapping(page: Page) -> list[tuple[str, str]]:
    boxes = [(bounds(t), t.text) for t in page.texts if t.text.strip()]
    return [
        (one, other)
        for (a, one), (b, other) in combinations(boxes, 2)
        if a[0] < b[2] - 0.05 and b[0] < a[2] - 0.05 and a[1] < b[3] - 0.05 and b[1] < a[3] - 0.05
    ]


CASES = [("crate_wall", 1, "mm"), ("ladder_rack", 1, "in"), ("divided_case", 3, "mm"), ("ring_rack", 2, "in")]


@pytest.mark.parametrize(("name", "copies", "units"), CASES)
def test_no_text_lies_on_another_or_beyond_the_paper(name, copies, units):
    plan = planned(name, copies, SAMPLE, units)
    for kind, pages in all_pages(plan, units).items():
        for page in pages:
            assert overlapping(page) == [], f"{kind}: {page.title}"
            for text in page.texts:
                x0, y0, x1, y1 = bounds(text)
                assert x0 >= -0.1, text
                assert x1 <= page.width + 0.1, text
                assert y0 >= -0.1, text
                assert y1 <= page.height + 0.1, text
                assert text.height >= 1.8, "ISO 3098 has nothing smaller"
                assert "…" not in text.text, "no size is cut short"


def test_labels_tell_the_whole_size_in_either_unit():
    for units in ("mm", "in"):
        plan = planned("ring_rack", 1, Shop(), units)
        said = " ".join(t.text for page in label_pages(plan, units) for t in page.texts)
        for row in plan.rows:
            f = row.finished
            size = " x ".join(size_text(v, units) for v in (f.length, f.width, f.thickness))
            assert size in said


def test_every_label_is_on_a_label_and_every_part_in_the_list():
    plan = planned("divided_case", 2, SAMPLE)
    pages = all_pages(plan, "mm")
    labels = [t.text for page in pages["labels"] for t in page.texts]
    for row in plan.rows:
        for label in row.labels:
            assert labels.count(label) == 1
    listed = " ".join(t.text for page in pages["list"] for t in page.texts)
    for said in ("housings", "blank", "birch 1 mm: ", "splay"):
        assert said in listed


def test_sheets_alike_are_printed_once_with_their_number():
    draft = Draft("stack")
    mdf = find_stock("mdf-18")
    for k in range(8):
        draft.board(f"board.{k}", mdf, (0, 0, 30 * k), (2300, 1100, 30 * k + 18), role="board")
    orders = [Order(draft.done())]
    plan = lay_out("Stack", orders, cut_rows(orders, Shop()), Shop())
    pages = sheet_pages(plan, costs_of(plan), None, "mm")
    said = [t.text for page in pages for t in page.texts if "to be cut" in t.text]
    assert said == ["sheet 1: mdf-18, to be cut 8 times"]
    assert len([p for p in pages if p.title.startswith("Stack: sheet")]) == 1


def test_a_strip_too_small_for_its_number_gets_a_leader():
    draft = Draft("slips")
    mdf = find_stock("mdf-18")
    for k in range(5):
        draft.board(f"slip.{k}", mdf, (0, 12 * k, 0), (40, 12 * k + 8, 18), role="slip")
    orders = [Order(draft.done())]
    plan = lay_out("Slips", orders, cut_rows(orders, Shop()), Shop())
    page = sheet_pages(plan, costs_of(plan), None, "mm")[1]
    assert sum(t.text == "1" for t in page.texts) >= 5
    assert overlapping(page) == []


def nest_of_frames() -> Plan:
    draft = Draft("frames")
    ply = find_stock("birch-ply-18-2440")
    for k in range(4):
        draft.place(f"frame.{k}", ring(1800, 580, ply.thickness_mm, 70), ply, Pose(origin=(0, 0, 40 * k)))
    for k in range(9):
        at = Pose(origin=(0, 0, 200 + 40 * k))
        draft.place(
            f"shelf.{k}", Prism(480, 260, ply.thickness_mm, ((0, 0), (480, 0), (480, 260), (0, 260))), ply, at
        )
    for k in range(6):
        at = Pose(origin=(0, 0, 800 + 40 * k))
        draft.place(f"gusset.{k}", Prism(400, 300, ply.thickness_mm, ((0, 0), (400, 0), (0, 300))), ply, at)
    orders = [Order(draft.done())]
    shop = Shop(router=Router(6.0, 4.0))
    return lay_out("Frames", orders, cut_rows(orders, shop), shop)


def test_parts_of_a_nest_lie_in_windows_and_names_on_material():
    plan = nest_of_frames()
    assert plan.all_fits
    (done,) = plan.jobs
    assert done.solution.sheets == 2
    assert done.solution.proven
    laid = done.layouts[0]
    frames = [p for p, r in zip(laid.layout.placed, laid.rows, strict=True) if r.part == "frame"]
    others = [p for p in laid.layout.placed if p not in frames]
    assert any(
        f.x_um < p.x_um and p.x_um + p.along_x_um < f.x_um + f.along_x_um
        and f.y_um < p.y_um and p.y_um + p.along_y_um < f.y_um + f.along_y_um
        for f in frames for p in others
    )  # fmt: skip
    for page in all_pages(plan, "mm")["sheets"]:
        assert overlapping(page) == []
        assert max(bounds(t)[2] for t in page.texts) <= page.width - 5
    assert sheets_dxf(plan).count(b"LWPOLYLINE") >= 19 + 4


def test_cautions_stand_on_every_page_for_the_machine():
    plan = planned("crate_wall")
    pages = all_pages(plan, "mm")
    for page in (*pages["sheets"], *pages["list"]):
        words = " ".join(t.text for t in page.texts)
        assert "guard and riving knife" in words
        assert "Estimates, not certification" in words.replace("\n", " ")


def test_parts_whose_grain_runs_on_are_named_on_the_sheet():
    shop = read_shop(
        {"matched": [{"labels": ["divider.1.1", "divider.2.1"], "follow": "along"}]}, "stock.toml"
    )
    said = " ".join(
        t.text for page in all_pages(planned("divided_case", 1, shop), "mm")["sheets"] for t in page.texts
    )
    # each has its own place; the other dividers are all alike
    assert "divider.1.1 " in said
    assert "divider.2.1 " in said


def test_a_large_batch_keeps_within_its_pages():
    orders = [
        Order(find_recipe("ladder_rack")(rung_joint="wedged"), 3, "rack"),
        Order(find_recipe("ring_rack")(boards="flat"), 2, "ring"),
    ]
    plan = lay_out("Two racks", orders, cut_rows(orders, SAMPLE, "in"), SAMPLE, Effort(level=0.01))
    pages = all_pages(plan, "in")
    low = frame_for("Two racks", "in").inner[1]
    for page in (*pages["sheets"], *pages["list"]):
        assert overlapping(page) == [], page.title
        below = [t.text for t in page.texts if bounds(t)[1] < low - 0.01 and not t.text.startswith("Saw: ")]
        assert len(below) <= 1, "the second line of the cautions at most"
    assert len(pages["list"]) <= 2
    said = " ".join(t.text for page in pages["list"] for t in page.texts)
    assert "@" not in said, "stock by the name it is bought by"
    assert "bands, continued" not in said


def test_every_cut_has_its_number_on_the_drawing_where_there_is_room():
    plan = planned("divided_case")
    (page,) = [p for p in all_pages(plan, "mm")["sheets"] if "sheet 3" in p.title]
    laid = next(laid for _, laid in plan.layouts if laid.number == 3)
    numbers = [t.text for t in page.texts if t.colour == CUT_INK]
    assert sorted(numbers, key=int) == [str(c.number) for c in laid.layout.cuts if c.stage]
