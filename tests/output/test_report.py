"""How a report keeps its numbers, and how it is laid out as JSON."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest

from furnigen.formats.report import json_bytes, rounded_for_report


def test_numbers_are_kept_to_six_decimals_wherever_they_stand():
    third = 1.0 / 3.0
    report = {"a": third, "rows": [{"at": (third, 2.0, -4e-9), "n": 1}, {"at": [], "n": third}]}
    assert rounded_for_report(report) == {
        "a": 0.333333,
        "rows": [{"at": [0.333333, 2.0, 0.0], "n": 1}, {"at": [], "n": 0.333333}],
    }


def test_a_number_keeps_its_kind():
    """1, 1.0 and true are equal to Python, and three things to a reader of the report."""
    report = rounded_for_report([1.0, 1, True, 0.0, -0.0, 0, False, None, "1", np.float64(1.0)])
    assert [type(v) for v in report] == [float, int, bool, float, float, int, bool, type(None), str, float]
    assert math.copysign(1.0, report[4]) == 1.0
    assert json_bytes(report) == b'[1.0, 1, true, 0.0, 0.0, 0, false, null, "1", 1.0]\n'


def test_a_row_of_a_table_is_a_line():
    report = {
        "title": "a rack",
        "rows": [{"way": [1.0, 0.0], "says": '}, {"way": ü'}, {"way": []}],
        "inner": {"none": [], "numbers": [1, 2], "rows": [[1, [2]], [3]], "deep": {"er": {}}},
    }
    data = json_bytes(report)
    assert data.decode().splitlines() == [
        "{",
        ' "title": "a rack",',
        ' "rows": [',
        '  {"way": [1.0, 0.0], "says": "}, {\\"way\\": ü"},',
        '  {"way": []}',
        " ],",
        ' "inner": {',
        '  "none": [],',
        '  "numbers": [1, 2],',
        '  "rows": [',
        "   [1, [2]],",
        "   [3]",
        "  ],",
        '  "deep": {"er": {}}',
        " }",
        "}",
    ]
    assert json.loads(data) == report


@pytest.mark.parametrize("number", [math.inf, -math.inf, math.nan])
def test_what_json_has_no_number_for_is_refused(number):
    with pytest.raises(ValueError, match="JSON"):
        json_bytes({"rows": [{"n": number}]})
