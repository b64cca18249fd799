"""What is typed after --bed, read or refused with a message that helps; how a scale is shown."""

from __future__ import annotations

import pytest

from furnigen.core.errors import InputError
from furnigen.mockup.printer import Printer, read_bed
from furnigen.mockup.scale import read_scale


@pytest.mark.parametrize(
    ("text", "shown"),
    [("1:12", "1:12"), ("2:15", "1:7.5"), ("1\" = 1'", "1:12"), ("1/24", "1:24"), ("3:10", "1:3.333")],
)
def test_a_scale_is_shown_as_one_to_something(text: str, shown: str) -> None:
    assert read_scale(text).text == shown


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
