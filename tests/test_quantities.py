"""Lengths, angles, scales and counts: what is read, what is printed, what is refused.

Printed inches are checked against tests/facts/imperial.csv (worked out by hand from 1 in = 25.4 mm, the
1959 agreement); other expected values are worked out beside each check.
"""

import csv
import math
import pickle
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from furnigen.core.errors import InputError
from furnigen.core.quantities import (
    MAX_COUNT,
    MAX_LENGTH_MM,
    MM_PER_INCH,
    check_length,
    format_length,
    parse_angle,
    parse_count,
    parse_length,
    parse_scale,
)

FACTS = Path(__file__).parent / "facts"
with (FACTS / "imperial.csv").open(encoding="utf-8", newline="") as lines:
    PAIRS = [(float(r["mm"]), int(r["denominator"]), r["text"]) for r in csv.DictReader(lines)]

# 7' 3-1/2" = 87.5 in x 25.4 = 2222.5 mm; 1 ft = 304.8 mm
READ = {
    "450": 450.0,
    " 450 mm ": 450.0,
    "450mm": 450.0,
    "45 cm": 450.0,
    "1.2 m": 1200.0,
    ".5 m": 500.0,
    "450. MM": 450.0,
    "+450 mm": 450.0,
    "2 metres": 2000.0,
    "18 in": 457.2,
    "18 inches": 457.2,
    "3/4 in": 19.05,
    '5/8"': 15.875,
    '1 1/2"': 38.1,
    "1-1/2 in": 38.1,
    "1.5 in": 38.1,
    "23/16 in": 36.5125,
    "1/2 ft": 152.4,
    "2ft": 609.6,
    "1 foot": 304.8,
    "6 feet": 1828.8,
    "8'-0\"": 2438.4,
    "7' 3-1/2\"": 2222.5,
    "7'-3 1/2\"": 2222.5,
    "7'3-1/2\"": 2222.5,
    "7 ft 3 1/2 in": 2222.5,
    "7 feet 3.5 inches": 2222.5,
    "¾ in": 19.05,
    "1½″": 38.1,
    "1 ½ in": 38.1,
    "1⁷⁄₈ in": 47.625,
    "⁷⁄₈”": 22.225,
    "¹⁵⁄₁₆ in": 23.8125,
    "⅟₁₆ in": 1.5875,
    "7′ 3½″": 2222.5,
    "7’-3½”": 2222.5,
    "7'3''": 2209.8,
    "12\u00a0mm": 12.0,
}


@pytest.mark.parametrize(("text", "mm"), READ.items())
def test_a_typed_length_is_read_to_the_last_bit(text: str, mm: float) -> None:
    assert parse_length(text) == mm


def test_a_bare_number_is_in_the_unit_of_the_caller() -> None:
    assert parse_length("18") == 18.0
    assert parse_length("18", bare_unit="in") == 457.2
    assert parse_length("3/4", bare_unit="in") == 19.05
    assert parse_length("18 mm", bare_unit="in") == 18.0


def test_zero_and_negative_only_where_asked() -> None:
    assert parse_length("0", allow_zero=True) == 0.0
    assert parse_length("-3/4 in", signed=True) == -19.05
    assert parse_length("−7'-3 1/2\"", signed=True) == -2222.5
    assert parse_length("0", signed=True) == 0.0
    with pytest.raises(InputError, match="must be zero or more"):
        parse_length("-1", allow_zero=True)


REFUSED = {
    "": "must be a length; write a length such as",
    "abc": "must be a length; write a length such as",
    "nan": "must be a length",
    "inf": "must be a length",
    "-inf": "must be a length",
    "mm": "must be a length",
    "--5": "must be a length",
    "450 mm 3": "must be a length",
    "2 ft -3 in": "must be a length",
    "~3 in": "must be a length",
    "٣ mm": "must be a length",
    "45²": "must be a length",
    "450\nmm": r"'450\\nmm': must be a length",
    "0": "0 mm: must be more than zero",
    "-5": "-5 mm: must be more than zero",
    "10 km": "the unit km is not known; units are mm, cm, m, in and ft",
    "10000 m": "must be at most 100 m: no furniture is longer",
    "100001": "must be at most 100 m: no furniture is longer",
    "9" * 59: "must be at most 100 m: no furniture is longer",
    "9" * 9999: "must be at most 60 characters",
    "1,5 m": "with a decimal point and without commas; write 1.5$",
    "1,200 mm": "with a decimal point and without commas; write 1.200 or 1200$",
    "1 200 mm": "without a gap between digits; write 1200 if it is one number",
    "1’200": "the 200 after the feet needs an inch mark",
    "1e3": "without an exponent",
    "1.1/2 in": "must not mix a decimal and a fraction",
    "3/4": "a fraction must be in inches or feet, as in 3/4 in",
    "1/2 m": "a fraction must be in inches or feet",
    "3/0 in": "can not have zero below the line",
    "1 5/4 in": "a fraction after a whole number must be less than one",
    "7' 3": "the 3 after the feet needs an inch mark, as in 7' 3\"",
    "7 ft 3 mm": "the 3 after the feet needs an inch mark",
    "7' 12\"": "inches after feet must be less than 12",
    "7.5' 3\"": "feet must be a whole number where inches follow",
}


@pytest.mark.parametrize(("text", "message"), REFUSED.items(), ids=[t[:12] for t in REFUSED])
def test_what_is_no_sensible_length_is_refused_with_a_way_out(text: str, message: str) -> None:
    with pytest.raises(InputError, match=message) as caught:
        parse_length(text, what="width")
    shown = str(caught.value)
    assert shown.startswith("width = ")
    assert "\n" not in shown
    assert len(shown) < 300
    assert str(pickle.loads(pickle.dumps(caught.value))) == shown


@pytest.mark.parametrize("mm", [math.nan, math.inf, -math.inf, True, "18"])
def test_a_length_must_be_a_finite_number(mm: object) -> None:
    with pytest.raises(InputError, match="must be a finite number of millimetres"):
        check_length(mm)  # type: ignore[arg-type]


@given(st.text(max_size=80))
def test_any_text_is_a_length_in_range_or_refused(text: str) -> None:
    mm, shown = 0.0, ""
    try:
        mm = parse_length(text, signed=True)
    except InputError as refused:
        shown = str(refused)
    assert abs(mm) <= MAX_LENGTH_MM
    assert "\n" not in shown


@pytest.mark.parametrize(("mm", "denominator", "text"), PAIRS)
def test_inches_print_as_worked_out_by_hand(mm: float, denominator: int, text: str) -> None:
    assert format_length(mm, "in", denominator=denominator) == text


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (0.0, '0"'),
        (304.8, "1'-0\""),
        (1838.325, "6'-0 3/8\""),  # 72.375 in
        (-2222.5, "-7'-3 1/2\""),
        (-0.3, '0"'),  # under half of 1/32 in = 0.396875 mm: no minus zero
        (12.7, '1/2"'),
        (304.7, "1'-0\""),  # 11.996 in carries into the next foot
    ],
)
def test_inches_at_the_edges(mm: float, text: str) -> None:
    assert format_length(mm, "in") == text


@pytest.mark.parametrize(
    ("mm", "text"),
    [(450, "450.0 mm"), (0.25, "0.3 mm"), (-0.25, "-0.3 mm"), (-0.04, "0.0 mm"), (18.256, "18.3 mm")],
)
def test_millimetres_print_with_one_decimal_ties_up(mm: float, text: str) -> None:
    assert format_length(mm) == text


def test_a_length_changed_by_rounding_can_say_so() -> None:
    assert format_length(18, "in", mark_inexact=True) == '~23/32"'
    assert format_length(19.05, "in", mark_inexact=True) == '3/4"'
    assert format_length(-18, "in", mark_inexact=True) == '~-23/32"'
    assert format_length(283.25, mark_inexact=True) == "~283.3 mm"
    assert format_length(0.1 + 0.2, mark_inexact=True) == "0.3 mm"


def test_printing_refuses_unknown_units_and_denominators() -> None:
    with pytest.raises(InputError, match="units = cm: must be mm or in"):
        format_length(1.0, "cm")
    with pytest.raises(InputError, match="denominator = 10: must be 1, 2, 4, 8, 16, 32 or 64"):
        format_length(1.0, "in", denominator=10)
    with pytest.raises(InputError, match="must be a finite number"):
        format_length(math.nan)


DENOMINATORS = st.sampled_from([1, 2, 4, 8, 16, 32, 64])


@given(st.integers(-200_000, 200_000), DENOMINATORS)
def test_a_whole_number_of_steps_survives_print_and_parse_exactly(steps: int, denominator: int) -> None:
    mm = float(Fraction(steps, denominator) * Fraction(127, 5))
    if abs(mm) <= MAX_LENGTH_MM:
        text = format_length(mm, "in", denominator=denominator, mark_inexact=True)
        assert parse_length(text, signed=True) == mm


@given(st.floats(-99_000, 99_000), DENOMINATORS)
def test_any_length_survives_print_and_parse_within_half_a_step(mm: float, denominator: int) -> None:
    back = parse_length(format_length(mm, "in", denominator=denominator), signed=True)
    assert abs(back - mm) <= MM_PER_INCH / denominator / 2 + 1e-6
    assert abs(parse_length(format_length(mm), signed=True) - mm) <= 0.05 + 1e-6


@given(st.integers(0, 300), st.integers(0, 11), st.integers(0, 63))
def test_every_way_to_write_feet_and_inches_is_one_length(feet: int, inches: int, part: int) -> None:
    expected = float(feet * Fraction(1524, 5) + (inches + Fraction(part, 64)) * Fraction(127, 5))
    for text in (
        f"{feet}'-{inches} {part}/64\"",
        f"{feet} ft {inches}-{part}/64 in",
        f"{feet}′ {inches} {part}⁄64″",
        f"{feet}' {float(inches + part / 64)}\"",
    ):
        assert parse_length(text, allow_zero=True) == expected


def test_angles() -> None:
    assert [parse_angle(t) for t in ("8", "8 deg", "8°", "8.5 degrees", "7 1/2°")] == [8, 8, 8, 8.5, 7.5]
    assert parse_angle("-8°", signed=True) == -8.0
    for text, message in (
        ("8 rad", "must be an angle in degrees; write degrees"),
        ("-8", "must be zero degrees or more"),
        ("361", "must be at most 360 degrees"),
        ("7,5", "without commas; write 7.5"),
        ("nan", "must be an angle in degrees"),
        ("1/0", "zero below the line"),
    ):
        with pytest.raises(InputError, match=f"^splay = {text}: .*{message}"):
            parse_angle(text, what="splay")


@pytest.mark.parametrize(
    ("text", "ratio"),
    [
        ("1:12", 1 / 12),
        (" 1 : 24 ", 1 / 24),
        ("1/12", 1 / 12),
        ("2:3", 2 / 3),
        ("2:15", 2 / 15),
        ("1:7.5", 2 / 15),
        ("1 : 1", 1.0),
        # 12 inches to the foot: an inch to it is 1:12, half an inch 1:24, three quarters 1:16
        ("1\" = 1'", 1 / 12),
        ("1″=1′", 1 / 12),
        ("½ in = 1 ft", 1 / 24),
        ("3/4\" = 1'", 1 / 16),
        ("1 cm = 1 m", 1 / 100),
    ],
)
def test_a_scale_is_read(text: str, ratio: float) -> None:
    assert parse_scale(text) == ratio


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("0", "two numbers and a colon"),
        ("12", "two numbers and a colon"),
        ("-12", "two numbers and a colon"),
        ("0:12", "above zero"),
        ("1:0", "above zero"),
        ("1:-12", "above zero"),
        ("12:1", "larger than the piece; did you mean 1:12?"),
        ("12/1", "did you mean 1:12?"),
        ("1' = 1\"", "larger than the piece"),
        ("1:5000", "from 1:1000 to 1:1"),
        ("1:1001", "from 1:1000 to 1:1"),
        ("one to twelve", "two numbers and a colon"),
        ("1:12:24", "two numbers and a colon"),
        ("1 in = ", "must be a length"),
        ("1 in = -1 ft", "must be more than zero"),
        ("", "two numbers and a colon"),
        ("1:" + "1" * 99, "two numbers and a colon"),
    ],
)
def test_a_scale_is_refused(text: str, says: str) -> None:
    with pytest.raises(InputError, match=r"^scale = ") as caught:
        parse_scale(text)
    assert says in str(caught.value)


def test_counts() -> None:
    assert parse_count("3") == 3
    assert parse_count("0", allow_zero=True) == 0
    assert parse_count(str(MAX_COUNT)) == MAX_COUNT
    for text in ("0", "-1", "3.0", "three", "", "1e3", str(MAX_COUNT + 1), "9" * 5000):
        with pytest.raises(InputError, match="must be a whole number from 1 to 100000"):
            parse_count(text)


def test_reading_lengths_and_stock_loads_no_heavy_library() -> None:
    code = (
        "import sys, furnigen.core.quantities, furnigen.catalogue.stock, furnigen.catalogue.materials;"
        "print(sorted({'numpy', 'cadquery', 'trimesh', 'scipy', 'vtk', 'difflib'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
