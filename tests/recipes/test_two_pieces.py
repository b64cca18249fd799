"""The two kinds of piece that furnigen is for, to a builder's figures (common practice, no source)."""

from math import atan, degrees, hypot, radians, tan

import pytest

from furnigen import find_recipe
from furnigen.cli.sizes import sizes_lines
from furnigen.pipeline.built import Built

IN = 25.4
RACK = {
    "width": "7' 2-1/2\"",
    "depth": "2 ft",
    "height": "8 ft",
    "frames": 4,
    "overhang": "6 in",
    "shelves": 6,
    "first": "6 in",
    "below_top": "12 in",
    "last_to": "underside",
    "member": "2-1/2 in",
    "frame_board": "pine-1x3",
    "shelf_board": "mdf-5-8in",
}
CASE = {
    "width": "4 ft",
    "depth": "18 in",
    "height": "56 in",
    "leg_height": "8 in",
    "shelves": 2,
    "dividers": "1,2,3",
    "board": "ash-3-4in",
    "back": "none",
    "legs": "turned",
    "leg_top": "2 in",
    "inset": "4 in",
    "leg_joint": "screwed",
    "leg_blank": "beech-blank-63",
}


def made(name: str, typed: dict[str, object]):
    recipe = find_recipe(name)
    return recipe(**recipe.read(typed))


@pytest.mark.parametrize("support", ["rail", "bearer", "cleat", "screws"])
def test_the_rack_of_rings_set_on_edge(support):
    """Four frames 8 ft by 2 ft of 3/4 in by 2-1/2 in at 2 ft steps; shelves at (96 - 6 - 12)/5 = 15.6 in."""
    piece = made("ring_rack", RACK | {"support": support})
    boxes = {p.label: piece.bounds_of(p) for p in piece.placements}
    for n in range(1, 5):
        front, top = boxes[f"frame.{n}.front"], boxes[f"frame.{n}.top"]
        assert front.lo[0] / IN == pytest.approx(6 + 24 * (n - 1))
        assert [s / IN for s in front.size] == pytest.approx([2.5, 0.75, 96])
        assert [s / IN for s in top.size] == pytest.approx([2.5, 24, 0.75])
    for n in range(1, 7):
        shelf = boxes[f"shelf.{n}"]
        assert [s / IN for s in shelf.size] == pytest.approx([86.5, 22.5, 0.625])
        assert shelf.lo[2] / IN == pytest.approx(6 + 15.6 * (n - 1))
    assert boxes["shelf.6"].lo[2] / IN == pytest.approx(96 - 12)
    ends = boxes["frame.1.front"].lo[0], boxes["frame.4.front"].hi[0]
    assert [ends[0] / IN, (piece.bounds.hi[0] - ends[1]) / IN] == pytest.approx([6, 6])


def test_the_racks_pitch_and_steps_are_told_and_reported():
    piece = made("ring_rack", RACK)
    told = " ".join(" ".join(sizes_lines(piece, "in")).split())
    assert "Steps of frames 24 in, 4 of them, the first at 6 in" in told
    pitch = "Pitch of shelves 15.6 in, underside to underside, 6 of them, the first 6 in above the floor"
    assert pitch in told
    assert "Pitch of shelves 396.24 mm" in " ".join(" ".join(sizes_lines(piece, "mm")).split())
    report = Built(piece).report
    frames, shelves = report["pitches"]
    assert frames == {"what": "frames", "axis": "x", "first_mm": 152.4, "step_mm": 609.6, "count": 4}
    assert shelves == {"what": "shelves", "axis": "z", "first_mm": 152.4, "step_mm": 396.24, "count": 6}
    status = {c["name"]: c["status"] for c in report["checks"]}
    for name in ("interference", "floating-parts", "load-path", "assembly-order", "part-fits-stock"):
        assert status[name] == "pass", name


def test_the_last_shelf_is_measured_to_its_top_where_the_maker_says_so():
    piece = made("ring_rack", RACK | {"last_to": "top"})
    assert piece.bounds_of(piece.placement("shelf.6")).hi[2] / IN == pytest.approx(96 - 12)
    shelves = next(p for p in piece.pitches if p.what == "shelves")
    assert shelves.step_mm / IN == pytest.approx((96 - 6 - 12 - 0.625) / 5)


def test_the_divided_case_on_leaning_legs():
    """48 in of case in 3/4 in boards, two shelves: rows (48 - 3)/3 = 15 in; halves, thirds, quarters of 46.5.

    A foot 2 in out each way under 8 in: atan(2/8) each way, atan(sqrt(8)/8) = 19.471 degrees together.
    """
    lean = degrees(atan(2 / 8))
    piece = made("divided_case", CASE | {"splay": lean, "rake": lean})
    clear = {o.label: [c / IN for c in o.clear_mm] for o in piece.openings}
    for row, wide in ((1, 22.875), (2, 15.0), (3, 11.0625)):
        cells = [c for label, c in clear.items() if label.startswith(f"row.{row}.")]
        assert len(cells) == row + 1
        for cell in cells:
            assert cell[0] == pytest.approx(wide)
            assert cell[2] == pytest.approx(15)
    legs = [p for p in piece.placements if p.role == "leg"]
    assert len({p.part for p in legs}) == 1
    assert len(legs) == 4
    (note,) = piece.legs
    assert note.resultant == pytest.approx(19.471, abs=5e-4)
    for leg in legs:
        # the pose sends the foot of the axis to the floor: 2 in out each way of 4 in in from the edges
        x, y, z = (c / IN for c in leg.pose.apply(leg_foot(piece.part_of(leg).form)))
        assert z == pytest.approx(0, abs=1e-9)
        assert [min(x, 48 - x), min(y, 18 - y)] == pytest.approx([4 - 2, 4 - 2])


def leg_foot(form) -> tuple[float, float, float]:
    """Foot of a turned leg's axis in its own frame: its top leans away from there along x."""

    assert hypot(2, 2) / 8 == pytest.approx(tan(radians(form.lean)))
    return form.axis_at(0.0)
