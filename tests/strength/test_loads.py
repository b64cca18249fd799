"""Loads as typed, against conversions of the facts sheet; and every slip a maker may make."""

from math import isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strength_facts import rows

from furnigen.catalogue.loads import GRAVITY, list_uses, parse_load
from furnigen.core.errors import InputError


@pytest.mark.parametrize("row", rows("strength_loads"), ids=lambda r: f"{r['typed']} on {r['depth_mm']} mm")
def test_published_loads(row: dict[str, str]) -> None:
    depth = float(row["depth_mm"])
    got = parse_load(row["typed"]).newton_per_mm(depth, 900.0) * 1000 / GRAVITY
    assert abs(got - float(row["kg_per_m"])) <= float(row["tolerance"])


def test_library_rules_of_thumb_agree() -> None:
    """loads.md: 20 lb/ft on a 10 in shelf is 24.0 psf, 35 lb/ft is 42.0 psf."""
    for line, area in (("20 lb/ft", "24 psf"), ("35 lb/ft", "42 psf")):
        by_line = parse_load(line).newton_per_mm(254.0, 900.0)
        assert isclose(by_line, parse_load(area).newton_per_mm(254.0, 900.0), rel_tol=1e-9)


def test_uses_are_known_and_sourced() -> None:
    uses = {u.text: u for u in list_uses()}
    for wanted in (
        "books", "vinyl-records", "glazed-ware", "plaster-moulds", "bagged-clay", "folded-textiles", "plants",
    ):  # fmt: skip
        assert wanted in uses
    for use in uses.values():
        assert use.source.provenance in ("looked-up", "common practice, no source")
        assert 0 < use.least <= 1 <= use.most
        assert 0 < use.sustained <= 1
        assert (use.line_kg_m > 0) != (use.area_kg_m2 > 0)


@pytest.mark.parametrize(
    ("typed", "kg"),
    [
        ("40 kg/m", 36.0),
        ("40kg/m", 36.0),
        ("40 kg per m", 36.0),
        ("150 kg/m2", 40.5),
        ("150 kg/m²", 40.5),
        ("150 kg/m^2", 40.5),
        ("1.4709975 kPa", 40.5),
        ("1.4709975 kN/m2", 40.5),
        ("50 psf", 65.9128),
        ("50 lb/ft2", 65.9128),
        ("50 lb/sq ft", 65.9128),
        ("25 lb/ft", 33.4837),
        ("25 plf", 33.4837),
        ("0.4 N/mm", 36.7098),
        ("30 kg spread", 30.0),
        ("30 kg at 300 mm", 30.0),
        ("66 lb at 12 in", 29.9371),
        ("30 kg at middle", 30.0),
        ("empty", 0.0),
        ("40 kg/m + 20 kg at 300 mm", 56.0),
        ("Vinyl Records", 53.5738),
    ],
)
def test_the_ways_to_say_a_load(typed: str, kg: float) -> None:
    assert isclose(parse_load(typed).kg(300.0, 900.0), kg, rel_tol=1e-5, abs_tol=1e-12)


def test_things_stand_where_they_are_put() -> None:
    load = parse_load("20 kg at 300 mm + 10 kg at middle")
    assert load.points(900.0) == ((300.0, 20 * GRAVITY), (450.0, 10 * GRAVITY))
    with pytest.raises(InputError, match="only 200 mm long"):
        load.points(200.0)


def test_together_keeps_what_lasts() -> None:
    both = parse_load("dishes + 10 kg spread")
    assert both.sustained == 1.0
    assert "dishes" in both.source.text.lower()
    assert both.text == "dishes + 10 kg spread"


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("bokos", "did you mean books"),
        ("anvils", "uses are books"),
        ("40", "needs a unit"),
        ("40 mm", "can not be in mm"),
        ("40 kg/cm", "can not be in kg/cm"),
        ("40 kg/m3", "can not be in kg/m3"),
        ("40 kg", "does not say where; write 40 kg spread"),
        ("-40 kg/m", "must not be negative"),
        ("-40 kg at middle", "must not be negative"),
        ("0 kg/m", "more than zero; write empty"),
        ("40,5 kg/m", "decimal point"),
        ("9000 kg/m", "at most 3000 kg/m"),
        ("60000 N/m2", "at most 49033.2 n/m2"),
        ("books at 300 mm", "has no place"),
        ("40 kg/m at 300 mm", "has no place"),
        ("20 kg at 3 bananas", "bananas is not known"),
        ("20 kg at -300 mm", "must be zero or more"),
        ("1e3 kg/m", "must be a load"),
        ("", "must be a load"),
        ("books + ", "known use"),
        ("4 kg/m " * 40, "at most 120 characters"),
        (40, "must be a load"),
    ],
)
def test_slips_are_refused_clearly(typed: str, words: str) -> None:
    with pytest.raises(InputError) as wrong:
        parse_load(typed)
    assert words in str(wrong.value)


@given(st.text(max_size=40))
def test_no_text_breaks_the_reader(typed: str) -> None:
    try:
        load = parse_load(typed)
    except InputError:
        return
    assert load.kg(300.0, 900.0) >= 0.0
