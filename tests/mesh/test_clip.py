"""What convex polygons share, against another polygon clipper."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import CrossSection
from numpy.typing import NDArray

from furnigen.mesh.polygon_clipping import area_and_centroid, clip_convex

Corners = NDArray[np.float64]

steps, sizes = st.integers(-4, 4), st.integers(1, 5)


@st.composite
def pieces(draw: st.DrawFn) -> Corners:
    """A rectangle, a half of one (its last corner repeated) or a diamond, on a grid of 10 mm or leaned."""
    x, y, w, h = draw(st.tuples(steps, steps, sizes, sizes))
    square = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
    kind = draw(st.sampled_from(("square", "half", "diamond")))
    if kind == "half":
        square[draw(st.integers(0, 3))] = square[0]
        square = [*dict.fromkeys(square)][:3]
        square.append(square[-1])
    if kind == "diamond":
        square = [(x, y), (x + w, y - h), (x + 2 * w, y), (x + w, y + h)]
    first = draw(st.integers(0, 3)) if kind != "half" else 0
    corners = 10.0 * np.array(square[first:] + square[:first])
    lean = np.radians(draw(st.sampled_from((0.0, 0.0, 0.0, 30.0))))
    return corners @ np.array([[np.cos(lean), np.sin(lean)], [-np.sin(lean), np.cos(lean)]])


@given(st.lists(st.tuples(pieces(), pieces()), min_size=1, max_size=12))
@settings(max_examples=150, deadline=None)
def test_pairs_clipped_together_share_what_a_polygon_boolean_says(
    pairs: list[tuple[Corners, Corners]],
) -> None:
    subject, window = (np.stack(column) for column in zip(*pairs, strict=True))
    rows, poly, count = clip_convex(subject, window)
    area, centre = area_and_centroid(poly)
    assert rows.tolist() == sorted(set(rows.tolist()))
    assert len(rows) == len(poly) == len(count)
    found = dict(zip(rows.tolist(), zip(area, centre, poly, count, strict=True), strict=True))
    for k, (one, two) in enumerate(pairs):
        shared = CrossSection([one]) ^ CrossSection([two])
        if k not in found:
            assert shared.area() < 1e-6
            continue
        mine, middle, corners, size = found[k]
        assert mine == pytest.approx(shared.area(), abs=1e-4)
        assert np.all(corners[size:] == corners[size - 1])
        if mine > 1e-3:
            assert CrossSection([corners]).area() == pytest.approx(mine)
            x0, y0, x1, y1 = shared.bounds()
            assert np.all(
                np.abs(np.concatenate([corners.min(axis=0), corners.max(axis=0)]) - (x0, y0, x1, y1)) < 1e-3
            )
            assert np.all((middle > (x0, y0)) & (middle < (x1, y1)))


def test_rectangles_share_the_same_however_they_are_turned() -> None:
    # along the axes the shared rectangle is read off; leaned it is cut edge by edge
    rng = np.random.default_rng(7)
    lo, size = rng.uniform(-500.0, 500.0, (2, 400, 1, 2)), rng.uniform(5.0, 600.0, (2, 400, 1, 2))
    one, two = lo + size * np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
    lean = np.array([[0.6, 0.8], [-0.8, 0.6]])
    for k in range(4):
        turned = np.roll(one, k, axis=1)
        (rows, poly, _), (rows_leaned, leaned, _) = (
            clip_convex(turned, two),
            clip_convex(turned @ lean, two @ lean),
        )
        (area, centre), (area_leaned, centre_leaned) = area_and_centroid(poly), area_and_centroid(leaned)
        assert 50 < len(rows) < 400
        assert rows.tolist() == rows_leaned.tolist()
        assert area_leaned == pytest.approx(area, rel=1e-9)
        assert centre_leaned == pytest.approx(centre @ lean, abs=1e-9)
