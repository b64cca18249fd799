"""Any piece of any recipe, whatever it carries: findings that fit a terminal, a report that is JSON."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from math import isfinite
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parents[1] / "recipes"))

from space import space

from furnigen import InputError, list_recipes
from furnigen.checks.strength import check_strength
from furnigen.cli.finding_table import findings_table
from furnigen.core.finding import FAIL, STATUSES
from furnigen.formats.report import json_bytes, rounded_for_report
from furnigen.formats.report_strength import strength_rows
from furnigen.mesh.light_mesh import light_contacts
from furnigen.piece.description import LoadOn
from furnigen.strength.model.demands import Demands

LOADS = ("", "empty", "bagged clay", "20 kg at middle", "3000 kg/m", "books + 5 kg spread")


@pytest.mark.parametrize("recipe", list_recipes(), ids=lambda r: r.name)
@settings(
    max_examples=10,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
@given(data=st.data())
def test_any_piece_is_told(recipe, data) -> None:
    try:
        piece = recipe(**data.draw(space(recipe)))
    except InputError:
        return
    load = data.draw(st.sampled_from(LOADS))
    if load:
        piece = replace(piece, loads=(LoadOn("all", load),))
    piece = piece.without_loose
    touching = light_contacts(piece)
    found, strength = check_strength(
        piece, touching.contacts, touching.support.grounded, Demands(tip_tests=("all",))
    )
    assert strength is not None, "every recipe's piece is carried"
    assert found
    for f in found:
        assert f.status in STATUSES
        assert (f.value is None) == f.source.startswith("not estimated: ")
        assert f.value is None or isfinite(f.value)
        assert f.used is None or 0 <= f.used < float("inf")
        assert f.status != FAIL or f.remedy, f.name
        assert f.name != "sag-unknown"
    for width in (60, 120):
        assert max(map(len, findings_table(found, "mm", width))) <= width
    told = json.loads(json_bytes(rounded_for_report(strength_rows(strength))))
    assert len(told["loads"]) == len(strength.carried)
