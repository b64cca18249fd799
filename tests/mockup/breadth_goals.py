"""The whole breadth mockups are meant to have: every scale and bed, any parameters either way.

Takes long and is not part of the suite yet: pytest -m slow tests/mockup/breadth_goals.py
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_breadth import BEDS, RECIPES, SCALES, TRIED, pieces, prints_or_tells


@pytest.mark.slow
@pytest.mark.parametrize("bed", BEDS, ids=lambda b: f"bed{b[0]:.0f}")
@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("way", ["whole", "kit"])
@pytest.mark.parametrize("recipe", RECIPES, ids=lambda r: r.name)
def test_every_scale_and_bed(recipe, way: str, scale: str, bed) -> None:
    prints_or_tells(recipe(), scale, bed, way)


@pytest.mark.slow
@settings(TRIED, max_examples=150)
@given(
    piece=pieces(),
    scale=st.sampled_from(SCALES),
    bed=st.sampled_from(BEDS),
    way=st.sampled_from(["whole", "kit"]),
)
def test_any_parameters_print_either_way(piece, scale, bed, way) -> None:
    if piece is not None:
        prints_or_tells(piece, scale, bed, way)
