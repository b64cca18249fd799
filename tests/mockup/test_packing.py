"""Boxes on beds: as few beds as can be counted by hand, nothing over an edge, nothing nearer than the gap."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st
from manifold3d import CrossSection
from mockups import failed, made, stl

from furnigen import find_recipe
from furnigen.core.errors import InputError
from furnigen.mockup.packing import PER_MM, BedPlace, Size, pack_on_beds, slant_for
from furnigen.mockup.printer import Printer
from furnigen.pipeline.made import Made

PRINTER = Printer((220.0, 200.0, 250.0), margin_mm=0.0, spacing_mm=2.0)


def outline(size: Size, place: BedPlace, grown: float = 0.0) -> CrossSection:
    """A box as it lies on its bed, larger all round by `grown`."""
    w, d = size[::-1] if place.turned else size
    x, y = place.at_mm
    box = CrossSection.square((w + 2 * grown, d + 2 * grown)).translate((x - grown, y - grown))
    if place.slant is None:
        return box
    middle = (-place.slant.long_mm / 2, -place.slant.wide_mm / 2)
    return box.translate(middle).rotate(place.slant.degrees).translate((110.0, 100.0))


@pytest.mark.parametrize(
    ("sizes", "beds"),
    [
        # with gaps, two by two boxes of 90 mm on 220 x 200 mm
        ([(90.0, 90.0)] * 4, 1),
        ([(90.0, 90.0)] * 9, 3),
        ([(220.0, 200.0)], 1),
        # a strip of 240 mm along the diagonal is 56 mm wide: eight sticks of 5 mm with gaps
        ([(240.0, 5.0)] * 8, 1),
        # and what is short lies beside them
        ([(240.0, 5.0)] * 3 + [(60.0, 10.0)], 1),
        # two strips are too wide for one
        ([(240.0, 40.0)] * 2, 2),
    ],
)
def test_the_fewest_beds(sizes: list[Size], beds: int) -> None:
    places = pack_on_beds(sizes, PRINTER)
    assert isinstance(places, list)
    assert {p.bed for p in places} == set(range(beds))


def test_the_widest_strip_along_the_diagonal_of_a_square() -> None:
    # at 45° a strip l long leaves sqrt(2) x side - l
    slant = slant_for((250.0, 10.0), Printer((220.0, 220.0, 250.0), margin_mm=0.0))
    assert slant is not None
    assert slant.degrees == 45.0
    assert slant.wide_mm == pytest.approx(2**0.5 * 220 - 250, abs=0.1)


def test_a_box_too_long_for_any_bed_is_told() -> None:
    assert pack_on_beds([(10.0, 10.0), (300.0, 10.0), (10.0, 20.0)], PRINTER) == 1
    assert pack_on_beds([(240.0, 60.0)], PRINTER) == 0


@given(st.lists(st.tuples(st.floats(1.0, 290.0), st.floats(1.0, 100.0)), min_size=1, max_size=12))
def test_boxes_stay_on_their_bed_and_apart(sizes: list[Size]) -> None:
    places = pack_on_beds(sizes, PRINTER)
    if isinstance(places, int):
        assert slant_for(sizes[places], PRINTER) is None
        return
    bed = CrossSection.square(PRINTER.bed_mm[:2]).offset(2 / PER_MM)
    for size, place in zip(sizes, places, strict=True):
        assert (outline(size, place) - bed).area() < 1e-6
    near = PRINTER.spacing_mm / 2 - 2 / PER_MM
    for (a, p), (b, q) in combinations(zip(sizes, places, strict=True), 2):
        if p.bed == q.bed:
            assert (outline(a, p, near) ^ outline(b, q, near)).area() < 1e-6
    assert {p.bed for p in places} == set(range(1 + max(p.bed for p in places)))


def beds_of(result: Made) -> list[trimesh.Trimesh]:
    """The beds of a kit, as trimesh reads them."""
    names = sorted(n for n in result.files if n.startswith("kit/bed") and n.endswith(".stl"))
    return [stl(result.files[name]) for name in names]


def test_parts_longer_than_the_bed_share_one() -> None:
    # six uprights of 190 mm on a bed of 180 mm: side by side along the diagonal, and the rest on another bed
    piece = find_recipe("ladder_rack")()
    result = made(piece, "1:10", "kit", (180, 180, 180), margin_mm=0.0, spacing_mm=2.0)
    assert failed(result) == []
    beds = beds_of(result)
    assert len(beds) == 2
    for mesh in beds:
        assert (mesh.bounds[0] >= -1e-3).all()
        assert (mesh.bounds[1] <= 180.001).all()
    assert sum(mesh.body_count for mesh in beds) == len(piece.placements)


@pytest.mark.parametrize(("margin", "spacing"), [(7.0, 6.0), (0.0, 2.0), (12.5, 10.0), (3.3, 1.0)])
@pytest.mark.parametrize("bed", [(220, 220, 250), (180, 190, 180)])
def test_margin_and_spacing_are_found_on_the_beds(bed, margin: float, spacing: float) -> None:
    # on the smaller bed the uprights lie slantwise; the whole rack, of two beds and four, once on each
    few = {} if margin == 7.0 else {"ladders": 2, "width": 700.0}
    piece = find_recipe("ladder_rack")(**few)
    result = made(piece, "1:10", "kit", bed, margin_mm=margin, spacing_mm=spacing)
    assert failed(result) == []
    assert sum(mesh.body_count for mesh in beds_of(result)) == len(piece.placements)
    for mesh in beds_of(result):
        low, high = mesh.bounds[0, :2], mesh.bounds[1, :2]
        assert (low >= margin - 0.02).all()
        assert (high <= np.array(bed[:2]) - margin + 0.02).all()
        # in the middle, to the 64th of a mm that places are rounded to
        assert (low + high) / 2 == pytest.approx(np.array(bed[:2]) / 2, abs=0.02)
        bodies = [project(part) for part in mesh.split(only_watertight=False)]
        for a, b in combinations(bodies, 2):
            grown = a.offset(max(spacing - 0.05, 0.0))
            assert (grown ^ b).area() < 1e-3


def project(mesh: trimesh.Trimesh) -> CrossSection:
    """The hull of a part, seen from above."""
    return CrossSection.hull_points(mesh.vertices[:, :2])


def test_one_piece_lies_in_the_middle() -> None:
    for bed in ((220, 220, 250), (300, 250, 340)):
        result = made(find_recipe("ring_rack")(), "1:12", "whole", bed)
        mesh = stl(result.files["whole/bed.1.stl"])
        assert mesh.bounds[:, :2].mean(axis=0) == pytest.approx(np.array(bed[:2]) / 2, abs=0.02)


def test_a_margin_that_leaves_no_room_is_refused() -> None:
    with pytest.raises(InputError, match=r"margin.*from 0 mm to 107.5 mm"):
        Printer(margin_mm=108.0)
    with pytest.raises(InputError, match="less a margin of 40 mm"):
        made(find_recipe("ladder_rack")(), "1:10", "kit", (180, 180, 180), margin_mm=40.0)
