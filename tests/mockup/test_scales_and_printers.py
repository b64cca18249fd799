"""What is typed after --scale and --bed, read or refused with a message that helps."""

from __future__ import annotations

import pytest

from furnigen.errors import InputError
from furnigen.mockup.printer import Printer, read_bed
from furnigen.mockup.scale import read_scale


@pytest.mark.parametrize(
    ("text", "ratio"),
    [
        ("1:12", 1 / 12),
        (" 1 : 24 ", 1 / 24),
        ("2:15", 2 / 15),
        ("1:7.5", 2 / 15),
        ("1:1", 1.0),
        # an inch to the foot is 1:12, half an inch 1:24, three quarters 1:16 (12 inches to the foot)
        ("1\" = 1'", 1 / 12),
        ("1/2 in = 1 ft", 1 / 24),
        ("3/4\" = 1'", 1 / 16),
        ("1 cm = 1 m", 1 / 100),
    ],
)
def test_a_scale_is_read(text: str, ratio: float) -> None:
    assert read_scale(text).ratio == pytest.approx(ratio, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("0", "two numbers and a colon"),
        ("0:12", "above zero"),
        ("1:0", "above zero"),
        ("12:1", "larger than the piece; did you mean 1:12?"),
        ("1' = 1\"", "larger than the piece"),
        ("1:5000", "from 1:1000 to 1:1"),
        ("one to twelve", "two numbers and a colon"),
        ("1 in = ", "must be a length"),
        ("", "two numbers and a colon"),
    ],
)
def test_a_scale_is_refused(text: str, says: str) -> None:
    with pytest.raises(InputError, match="scale") as caught:
        read_scale(text)
    assert says in str(caught.value)


def test_a_bed_is_read() -> None:
    assert read_bed("220x220x250") == (220.0, 220.0, 250.0)
    assert read_bed("18 cm x 12 in x 250 mm") == (180.0, 304.8, 250.0)
    assert read_bed("180x200") == (180.0, 200.0, 180.0)


@pytest.mark.parametrize("text", ["220", "220x220x250x1", "220xx250", "wide x deep", "0x220x250", ""])
def test_a_bed_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="bed"):
        read_bed(text)


@pytest.mark.parametrize(
    ("field", "value"),
    [("nozzle_mm", 0.01), ("nozzle_mm", 5.0), ("clearance_mm", -0.1), ("clearance_mm", 9.0)],
)
def test_a_printer_is_refused(field: str, value: float) -> None:
    with pytest.raises(InputError, match=field.split("_")[0]):
        Printer(**{field: value})
