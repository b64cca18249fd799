"""Lists for spreadsheets: marks and separators, numbers of inches, totals by stock."""

from __future__ import annotations

import csv
import io
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from furnigen import Draft, InputError, find_recipe, find_stock
from furnigen.cli.main import main
from furnigen.cutting.cut_table import piece_cutlist_csv as cutlist_csv
from furnigen.formats.cells import ListStyle, csv_bytes, figure, read_list_style
from furnigen.formats.stock_totals import stock_csv
from furnigen.piece.description import Piece

COMMA = ListStyle(";", ",")


def rows_of(data: bytes, separator: str = ",") -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode()), delimiter=separator))


def two_boards() -> Piece:
    """A sheet of plywood of 500 x 300 mm, twice, and a dowel of 400 mm."""
    ply = find_stock("birch-ply-18")
    draft = Draft("two")
    t = ply.thickness_mm
    draft.board("a", ply, (0, 0, 0), (500, 300, t), grain="x")
    draft.board("b", ply, (0, 0, 100), (500, 300, 100 + t), grain="x")
    return draft.done()


def test_a_decimal_comma_brings_the_semicolon() -> None:
    rows = rows_of(cutlist_csv(two_boards(), "mm", read_list_style(None, "comma")), ";")
    assert (rows[0]["length mm"], rows[0]["width mm"], rows[0]["thickness mm"]) == ("500,0", "300,0", "17,6")
    assert "," in rows[0]["mass each kg"]
    assert "." not in rows[0]["mass each kg"]


def test_text_keeps_its_points() -> None:
    rows = rows_of(cutlist_csv(find_recipe("divided_case")(), "mm", COMMA), ";")
    assert any(row["labels"].startswith("shelf.1") for row in rows)
    assert all(" mm" not in row["length mm"] for row in rows)


@pytest.mark.parametrize(
    ("separator", "decimal", "found"),
    [
        (None, None, (",", ".")), ("semicolon", None, (";", ".")), ("tab", "comma", ("\t", ",")),
        (";", ",", (";", ",")), (None, ",", (";", ",")), ("\t", ".", ("\t", ".")),
    ],
)  # fmt: skip
def test_styles_are_read(separator: str | None, decimal: str | None, found: tuple[str, str]) -> None:
    style = read_list_style(separator, decimal)
    assert (style.separator, style.decimal) == found


@pytest.mark.parametrize(
    ("separator", "decimal", "says"),
    [
        ("comma", "comma", "is the decimal mark too"),
        ("pipe", None, "separator = pipe: must be comma, semicolon, tab"),
        (None, "dot", "decimal = dot: must be point or comma"),
        ("", None, "separator"),
    ],
)
def test_bad_styles_are_refused(separator: str | None, decimal: str | None, says: str) -> None:
    with pytest.raises(InputError, match=says):
        read_list_style(separator, decimal)


TEXTS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\r\0"))
CELLS = st.one_of(TEXTS, st.decimals(-9999, 9999, places=3), st.integers())
STYLES = st.sampled_from([ListStyle(), COMMA, ListStyle("\t", ","), ListStyle(";", ".")])


@given(st.lists(CELLS, min_size=1), STYLES)
def test_any_row_reads_back(cells: list, style: ListStyle) -> None:
    text = io.StringIO(csv_bytes([cells], style).decode(), newline="")
    (row,) = csv.reader(text, delimiter=style.separator)
    assert len(row) == len(cells)
    for cell, text in zip(cells, row, strict=True):
        if isinstance(cell, Decimal):
            assert Decimal(text.replace(style.decimal, ".")) == cell
        elif isinstance(cell, int):
            assert int(text) == cell
        else:
            assert text in (cell, f"'{cell}")


def test_figures_round_half_up_and_keep_their_decimals() -> None:
    assert [str(figure(v, 1)) for v in (17.55, 17.65, 450.0, -0.05, 1e-7)] == [
        "17.6",
        "17.7",
        "450.0",
        "-0.1",
        "0.0",
    ]


def test_inch_lists_carry_numbers() -> None:
    # by hand: 500 mm = 19.6850 in, 300 mm = 11.8110 in; 1 in = 25.4 mm exactly
    (row,) = rows_of(cutlist_csv(two_boards(), "in"))
    assert (row["length in"], row["width in"], row["thickness in"]) == ("19.6850", "11.8110", "0.6929")
    assert row["length"].startswith("~1'-7")


def test_each_stock_has_its_total() -> None:
    # by hand: two of 0.5 x 0.3 m: 0.3 m², 1.0 m; 0.3 m² = 3.229 ft², 1 m = 3.281 ft
    (row,) = rows_of(stock_csv(two_boards()))
    assert (row["stock"], row["parts"], row["area m2"], row["length m"]) == (
        "birch-ply-18",
        "2",
        "0.300",
        "1.000",
    )
    density = 680.0  # kg/m³, birch plywood, of the catalogue
    assert float(row["mass kg"]) == pytest.approx(0.3 * 0.0176 * density, rel=0.06)
    (row,) = rows_of(stock_csv(two_boards(), "in"))
    assert (row["area ft2"], row["length ft"]) == ("3.229", "3.281")


def test_totals_add_up_to_the_cut_list() -> None:
    piece = find_recipe("divided_case")()
    totals = {row["stock"]: row for row in rows_of(stock_csv(piece))}
    mass = dict.fromkeys(totals, 0.0)
    count = dict.fromkeys(totals, 0)
    for row in rows_of(cutlist_csv(piece)):
        mass[row["stock"]] += int(row["quantity"]) * float(row["mass each kg"])
        count[row["stock"]] += int(row["quantity"])
    assert count == {name: int(row["parts"]) for name, row in totals.items()}
    for name, row in totals.items():
        assert float(row["mass kg"]) == pytest.approx(mass[name], abs=0.02)
    assert not any(row["area m2"] for row in totals.values() if "blank" in row["stock"])


def test_make_and_family_write_in_the_style_asked_for(tmp_path: Path, capsys, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    words = [
        "make",
        "ring_rack",
        "--formats",
        "cutlist,stock,hardware",
        "--decimal",
        "comma",
        "--out",
        "rack",
    ]
    assert main(words) == 0
    for name in ("cutlist", "stock", "hardware"):
        assert ";" in (tmp_path / f"rack/{name}.csv").read_text().splitlines()[0]
    assert main([*words, "--separator", "comma"]) == 2
    assert "is the decimal mark too" in capsys.readouterr().err
    (tmp_path / "racks.toml").write_text('recipe = "ring_rack"\n[vary]\nshelves = [3, 4]\n', encoding="utf-8")
    assert main(["family", "racks.toml", "--workers", "0", "--decimal", "comma", "--out", "f"]) in (0, 1)
    header, first, second = (tmp_path / "f/family.csv").read_text().splitlines()
    assert header.startswith("variant;status;reason")
    assert len(header.split(";")) == len(first.split(";")) == len(second.split(";"))
    column = header.split(";").index("mass_kg")
    assert float(first.split(";")[column].replace(",", ".")) > 1.0


def test_an_independent_reader_takes_a_comma_list_for_numbers() -> None:
    arrow = pytest.importorskip("pyarrow.csv")
    data = cutlist_csv(find_recipe("ring_rack")(), "mm", COMMA)
    table = arrow.read_csv(
        io.BytesIO(data),
        parse_options=arrow.ParseOptions(delimiter=";"),
        convert_options=arrow.ConvertOptions(decimal_point=","),
    )
    for column in ("length mm", "width mm", "thickness mm", "mass each kg"):
        assert str(table.schema.field(column).type) == "double"
    assert str(table.schema.field("quantity").type) == "int64"
