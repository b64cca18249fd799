"""The cut list: sizes, bands, allowances, joints in words, and what a spreadsheet reads of it."""

from __future__ import annotations

import io
import tomllib
from dataclasses import replace
from math import asin, atan, cos, degrees, radians, sin, tan

import pyarrow.csv
import pytest
from hypothesis import given
from hypothesis import strategies as st

from furnigen import Draft, InputError, TurnedLeg, find_recipe, find_stock
from furnigen.core.pose import Pose
from furnigen.cutting.cut_rows import Order, Size, cut_rows, rough_size
from furnigen.cutting.cut_table import COLUMNS, cutlist_csv, piece_cutlist_csv, read_columns
from furnigen.cutting.features import features_of, saw_setting
from furnigen.cutting.flat_pack import flat_pack
from furnigen.cutting.own_stock import Offer, Shop, Trim, board_feet
from furnigen.cutting.stock_file import read_shop

RECIPES = ("ring_rack", "divided_case", "ladder_rack", "panel_bookcase", "crate_wall", "leaning_shelf")


def shop(text: str) -> Shop:
    return read_shop(tomllib.loads(text), "stock.toml")


def rows_of(name: str, stock: Shop | None = None, **values: object):
    return cut_rows([Order(find_recipe(name)(**values))], stock or Shop())


@pytest.mark.parametrize("name", RECIPES)
def test_every_copy_is_in_the_list_once(name):
    piece = find_recipe(name)()
    rows = cut_rows([Order(piece)], Shop())
    assert sorted(label for r in rows for label in r.labels) == sorted(p.label for p in piece.placements)
    for row in rows:
        part, _ = row.source
        assert (row.finished.length, row.finished.width, row.finished.thickness) == part.form.blank_mm
        assert row.rough.length >= row.finished.length
    order = [
        (r.stock.kind, r.stock.material, -r.rough.thickness, r.stock.name, -r.rough.length) for r in rows
    ]
    assert order == sorted(order)


def test_joints_in_words_as_one_marks_them_out():
    rows = {r.part: r for r in rows_of("panel_bookcase")}
    assert (
        "5 housings 17.7 x 313.7, 5.6 deep in the right face at 80, 460.5, 841, 1221.4, 1601.9 from the"
        " bottom, open to the front edge"
    ) in rows["side left"].joints
    assert [w.replace("right", "left") for w in rows["side left"].joints] == list(rows["side right"].joints)
    assert not rows["shelf"].joints
    laps = {r.part: r for r in rows_of("crate_wall")}["shelf"].joints
    assert laps == ("3 laps 12.2 x 125 through at 288.9, 585.9, 882.9 from the left, open to the front edge",)
    rung = {r.part: r for r in rows_of("ladder_rack")}["rung"].joints
    assert rung == (
        "tenon 40 x 12.7, 25.3 long, at the front and back ends, 10 from the bottom edge,"
        " 12.7 from the left face",
    )
    upright = {r.part: r for r in rows_of("ring_rack")}["frame upright"]
    assert "8 dowel holes ⌀10 13.6 deep in the back face" in upright.joints[0]
    assert upright.joints[0].endswith("15 and 45 from the left")
    assert upright.settings == ("mitre at the top and bottom ends: blade tilted 45.0°",)


def test_legs_are_told_as_turned():
    leg = next(r for r in rows_of("divided_case") if r.part == "leg")
    assert leg.settings[0] == (
        "blank 137.1 x 61 square, tapered from ⌀60 at the top to ⌀28 at the foot over 108.6"
    )
    assert leg.settings[1] == "both ends cut level, parallel: 5.8° off square to the axis"
    assert leg.settings[2].startswith("tenon ⌀30 x ")
    assert "rake 3.0°, splay 5.0°: resultant 5.8°" in leg.settings[3]


BANDED = """
[[band]]
name = "edge 2"
thickness = "2 mm"
price_per_m = 1.5
[[banding]]
parts = "shelf*"
edges = "front"
band = "edge 2"
"""


def test_a_band_comes_off_the_core_and_is_counted():
    row = next(r for r in rows_of("panel_bookcase", shop(BANDED)) if r.part == "shelf")
    assert row.rough.width == pytest.approx(row.finished.width - 2)
    assert row.rough.length == row.finished.length
    assert row.band_m == pytest.approx(row.quantity * row.finished.length / 1000)
    both = next(
        r for r in rows_of("panel_bookcase", shop(BANDED.replace('"front"', '"ends"'))) if r.part == "shelf"
    )
    assert both.rough.length == pytest.approx(both.finished.length - 4)


def test_copies_that_are_banded_otherwise_are_rows_of_their_own():
    """A plain board banded in front is, turned over, one that is banded at the back; at its end it is not."""
    draft = Draft("pair")
    mdf = find_stock("mdf-18")
    for label, x in (("one", 0), ("two", 500)):
        draft.board(label, mdf, (x, 0, 0), (x + 18, 300, 700), role="side", grain="z")
    order = [Order(draft.done())]
    front = BANDED.replace('"shelf*"', '"one"')
    back = front[front.index("[[banding]]") :].replace('"one"', '"two"')
    both = cut_rows(order, shop(front + back.replace('"front"', '"back"')))
    assert [r.quantity for r in both] == [2]
    other = cut_rows(order, shop(front + back.replace('"front"', '"top"')))
    assert sorted(r.quantity for r in other) == [1, 1]
    assert sorted(b.edge for r in other for b in r.bands) == ["front", "top"]
    one = cut_rows(order, shop(front))
    assert sorted((r.part, len(r.bands)) for r in one) == [("side banded 1", 1), ("side banded 2", 0)]


def test_allowances_and_where_they_give_way():
    pine = find_stock("pine-1x12")
    size, note = rough_size(Size(1000, 200, 19.05), pine, Shop())
    assert (size.length, size.width, size.thickness) == (1025, 206, pine.thickness_mm)
    assert not note
    full, _ = rough_size(Size(1000, pine.width_mm, 19.05), pine, Shop())
    assert full.width == pine.width_mm
    rough = find_stock("red-oak-4-4-rough")
    planed, note = rough_size(Size(500, 100, 20), rough, Shop())
    assert planed.thickness == pytest.approx(25.4)
    assert not note
    _, note = rough_size(Size(500, 100, 25.4), rough, Shop())
    assert note == "nothing is left of the stock for planing its thickness"
    long, note = rough_size(Size(2400, 100, 19.05), pine, Shop())
    assert note == "only 8.4 over length in the longest board"
    assert long.length == pytest.approx(8 * 304.8 - 30)
    veneered = shop('[allowances]\nveneer = ["top"]\nveneered = {length = 12, width = 12}\n')
    panel, _ = rough_size(Size(600, 300, 18), find_stock("mdf-18"), veneered, ("top",))
    assert (panel.length, panel.width) == (612, 312)


def test_board_feet():
    """Thickness x width x length in inches over 144 (the definition, from memory); below 1 in counts as 1."""
    assert board_feet(find_stock("pine-1x12"), 8 * 304.8) == pytest.approx(8.0)
    assert board_feet(find_stock("pine-2x4"), 12 * 304.8) == pytest.approx(8.0)
    assert board_feet(find_stock("red-oak-4-4-rough"), 10 * 304.8) == pytest.approx(1 * 8 * 120 / 144)


SAW_TABLE = ((38.0, 31.62, 33.86), (52.0, 38.24, 25.80), (45.0, 35.26, 30.00))
"""Spring angle of a moulding at a square corner, mitre, bevel (degrees): the usual table for compound
mitres, from memory; tan mitre = sin spring, sin bevel = cos spring / sqrt 2."""


@pytest.mark.parametrize(("spring", "mitre", "bevel"), SAW_TABLE)
def test_compound_mitres_against_the_usual_table(spring, mitre, bevel):
    """A board leaning from the wall meets the plane that halves a square corner."""
    assert (mitre, bevel) == pytest.approx(
        (degrees(atan(sin(radians(spring)))), degrees(asin(cos(radians(spring)) / 2**0.5))), abs=0.01
    )
    # the board's frame in the room: length along the wall, width up and out, thickness square to both
    s = radians(spring)
    length, width = (1.0, 0.0, 0.0), (0.0, sin(s), cos(s))
    thick = (0.0, cos(s), -sin(s))
    plane = (2**-0.5, -(2**-0.5), 0.0)
    normal = tuple(sum(a * b for a, b in zip(plane, axis, strict=True)) for axis in (length, width, thick))
    assert saw_setting(normal) == pytest.approx((mitre, bevel), abs=0.01)


@given(st.floats(1, 30), st.floats(0, 30))
def test_a_square_leg_cut_level_leans_as_it_should(rake, splay):
    """Settings of its level cut: both angles give back the lean (cos lean = cos mitre x cos bevel)."""
    from furnigen.cutting.leg_words import _as_saw
    from furnigen.parts.forms.square_leg import SquareLeg

    leg = SquareLeg(500, 40, 40, splay, rake)
    mitre, bevel = saw_setting(_as_saw(leg.level_in_blank))
    lean = degrees(atan((tan(radians(rake)) ** 2 + tan(radians(splay)) ** 2) ** 0.5))
    assert cos(radians(mitre)) * cos(radians(bevel)) == pytest.approx(cos(radians(lean)), abs=1e-9)


def test_a_spreadsheet_reads_the_list_and_columns_can_be_chosen():
    rows = rows_of("divided_case", shop(BANDED))
    read = pyarrow.csv.read_csv(
        io.BytesIO(cutlist_csv(rows)), parse_options=pyarrow.csv.ParseOptions(newlines_in_values=True)
    )
    assert read.num_rows == len(rows)
    assert read.column("quantity").to_pylist() == [r.quantity for r in rows]
    lengths = read.column("length mm").to_pylist()
    assert lengths == pytest.approx([r.finished.length for r in rows], abs=0.05)
    few = cutlist_csv(rows, "in", read_columns("part, rough length,labels")).decode().splitlines()
    assert few[0] == "part,rough length,rough length in,labels"
    with pytest.raises(InputError, match="column = lenght"):
        read_columns("lenght")
    with pytest.raises(InputError, match="named twice"):
        read_columns("part,part")
    assert read_columns(" ") == COLUMNS


def test_no_cell_starts_a_formula():
    draft = Draft("case")
    draft.board("=1+1", find_stock("mdf-18"), (0, 0, 0), (300, 200, 18), role="-shelf")
    for cell in piece_cutlist_csv(draft.done()).decode().splitlines()[1].split(","):
        assert not cell.startswith(("=", "-", "+", "@"))


def test_a_batch_names_its_copies():
    piece = find_recipe("crate_wall")()
    rows = cut_rows([Order(piece, 2, "crate"), Order(piece, 1, "spare")], Shop())
    labels = [label for r in rows for label in r.labels]
    assert len(labels) == len(set(labels)) == 3 * len(piece.placements)
    assert {"crate-1.side.left", "crate-2.side.left", "spare.side.left"} <= set(labels)


def test_packed_flat_all_parts_lie_in_the_box():
    rows = rows_of("crate_wall")
    box = flat_pack(rows)
    volume = sum(r.finished.length * r.finished.width * r.finished.thickness * r.quantity for r in rows)
    assert volume <= box.length_mm * box.width_mm * box.height_mm <= 1.5 * volume
    assert box.length_mm == max(r.finished.length for r in rows)
    assert flat_pack([]) is None


def test_offers_of_the_shop_take_the_place_of_the_table():
    stock = find_stock("birch-ply-18-2440")
    mine = Offer("mine", find_stock("birch-ply-18"), 1500, 1500, 100, trim=Trim())
    assert [o.name for o in Shop(offers=(mine,)).offers_of(stock)] == ["mine"]
    left = replace(mine, name="R1", offcut=True)
    assert [o.name for o in Shop(offers=(left,)).offers_of(stock)] == ["R1", "birch-ply-18-2440"]


def test_what_is_no_board_has_no_features():
    draft = Draft("peg")
    draft.place("leg", TurnedLeg(300, 40, 30), find_stock("beech-blank-50"), Pose())
    assert features_of(draft.done().parts[0]) == ()


def test_grooves_for_wedges_in_both_ends_are_one_sentence():
    piece = find_recipe("ladder_rack")(rung_joint="wedged")
    row = next(r for r in cut_rows([Order(piece)], Shop()) if r.part == "rung")
    (said,) = [w for w in row.joints if "wedge" in w]
    assert said.startswith("2 grooves for a wedge each in the front and back ends, ")
    assert said.count("of its width from the bottom") == 1


def test_grooves_for_splines_at_both_ends_are_one_sentence():
    row = next(r for r in cut_rows([Order(find_recipe("ring_rack")())], Shop()) if r.part == "frame rail")
    (said,) = row.joints
    assert said.startswith("groove for a spline at the front and back ends, ")
    assert "from each" in said
