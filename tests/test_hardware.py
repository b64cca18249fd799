"""Hardware: sizes against published rules, choices against hand-worked boards, lists against hand counts."""

import csv
from dataclasses import replace
from io import StringIO
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from furnigen.catalogue.hardware import (
    check_screw_length,
    dowel_for,
    gauge_mm,
    hardware_kinds,
    list_hardware,
    places_along,
    screw_for,
)
from furnigen.catalogue.stock import find_stock
from furnigen.core.errors import InputError
from furnigen.drafting.draft import Draft
from furnigen.formats.hardware_list import hardware_csv, hardware_rows
from furnigen.joints.joint import Fastener, Joint
from furnigen.piece.description import Piece
from furnigen.piece.hardware_list import hardware_list

INCH = 25.4


def fastener(kind: str, diameter: float, length: float, count: int) -> Fastener:
    return Fastener(
        kind, diameter, length, tuple(((0.0, 32.0 * k, 0.0), (1.0, 0.0, 0.0)) for k in range(count))
    )


def case(*joints: Joint) -> Piece:
    ply = find_stock("birch-ply-18@18")
    draft = Draft("case")
    draft.board("side.left", ply, (0, 0, 0), (18, 300, 700), grain="z")
    draft.board("side.right", ply, (582, 0, 0), (600, 300, 700), grain="z")
    draft.board("shelf", ply, (18, 0, 300), (582, 300, 318))
    return replace(draft.done(), joints=joints)


@pytest.mark.parametrize(
    ("number", "inches"),
    # ASME B18.6.1 basic diameters (from memory); No. 8 also in a furniture-making text (looked up)
    [(4, 0.112), (6, 0.138), (8, 0.164), (10, 0.190), (12, 0.216)],
)
def test_gauge_numbers_are_the_standard_diameters(number: int, inches: float) -> None:
    assert gauge_mm(number) == pytest.approx(inches * INCH, abs=1e-9)
    sold = [h for h in list_hardware("screw", "in") if h.size.startswith(f"#{number} ")]
    assert sold
    assert all(h.diameter_mm == pytest.approx(inches * INCH, abs=1e-9) for h in sold)


def test_every_row_says_where_it_comes_from() -> None:
    for kind in hardware_kinds():
        for row in list_hardware(kind):
            assert row.source
            assert row.provenance in ("looked-up", "memory", "common practice, no source")
            assert row.length_mm > 0 < row.diameter_mm


def test_no_size_is_listed_twice() -> None:
    sizes = [(h.kind, h.size) for kind in hardware_kinds() for h in list_hardware(kind)]
    assert len(sizes) == len(set(sizes))


def test_the_common_furniture_dowels_are_sold() -> None:
    # DIN 68150 family, from memory
    assert {"6 x 30 mm", "8 x 30 mm", "8 x 35 mm", "8 x 40 mm", "10 x 40 mm"} <= {
        h.size for h in list_hardware("dowel", "mm")
    }


@pytest.mark.parametrize(
    ("through", "into", "edge", "system", "size"),
    [
        # 18 mm board on 18 mm board: 30 mm leaves 6 mm, 35 mm would leave 1 mm
        (18.0, 18.0, None, "mm", "4 x 30 mm"),
        # through an 18 mm side into the end of an 18 mm shelf: 18 + 25 = 43, the next sold is 45
        (18.0, 564.0, 18.0, "mm", "4 x 45 mm"),
        # two 3/4 in boards face to face: 1-1/4 in, the trade's usual screw for them
        (0.75 * INCH, 0.75 * INCH, None, "in", "#8 x 1 1/4 in"),
        # a 6 mm back on the edge of a 12 mm side: 6 + 25 = 31 wants more than 30
        (6.0, 300.0, 12.0, "mm", "3.5 x 35 mm"),
        # 40 mm tops on 45 mm rails: thick wood takes a thick screw; 40 + 45 - 3 = 82
        (40.0, 45.0, None, "mm", "6 x 80 mm"),
    ],
)
def test_screws_for_two_boards(
    through: float, into: float, edge: float | None, system: str, size: str
) -> None:
    assert screw_for(through, into, edge_mm=edge, system=system).size == size


@given(st.floats(3, 60), st.floats(10, 60), st.sampled_from(["mm", "in"]))
def test_a_chosen_screw_is_never_longer_than_both_boards(through: float, into: float, system: str) -> None:
    try:
        screw = screw_for(through, into, system=system)
    except InputError:
        return
    assert through + 8.0 <= screw.length_mm <= through + into - 3.0
    check_screw_length(screw.length_mm, through, into)


def test_boards_too_thin_for_a_screw_are_refused_with_a_way_out() -> None:
    with pytest.raises(InputError, match=r"6\.0 mm through, 6\.0 mm into.*use thicker boards"):
        screw_for(6.0, 6.0)


@pytest.mark.parametrize(
    ("length", "says"),
    [(40.0, "longer than both boards"), (35.0, "show through"), (22.0, "at least 26.0 mm is needed")],
)
def test_a_screw_that_does_not_fit_is_refused(length: float, says: str) -> None:
    with pytest.raises(InputError, match=says):
        check_screw_length(length, 18.0, 18.0)


@pytest.mark.parametrize(
    ("edge", "face", "size"),
    # at most half the edge; two thirds of the face and three diameters long: 18: 12 + 24 = 36
    [(18.0, 18.0, "8 x 35 mm"), (12.0, 12.0, "6 x 25 mm"), (22.0, 22.0, "10 x 40 mm")],
)
def test_dowels_for_two_boards(edge: float, face: float, size: str) -> None:
    assert dowel_for(edge, face).size == size


def test_boards_too_thin_for_a_dowel_are_refused() -> None:
    with pytest.raises(InputError, match="no dowel sold"):
        dowel_for(8.0, 18.0)


@given(st.floats(80, 3000), st.floats(32, 400))
def test_fasteners_stand_on_the_32_mm_grid(length: float, widest: float) -> None:
    # 37 mm in, steps of 32 n (common practice, no source)
    places = places_along(length, widest_mm=widest)
    if len(places) == 1:
        assert places == (length / 2,)
        assert length < 37 * 2 + 32
        return
    assert places[0] == 37.0
    assert length - places[-1] >= 37.0 - 0.05
    assert length - places[-1] < 37.0 + 32.0
    for a, b in pairwise(places):
        assert (b - a) % 32 == 0
        assert 0 < b - a <= max(widest, 32)


def test_the_list_counts_what_the_joints_need() -> None:
    # two screwed ends of 3, two dowels each, four pins: 6, 4 and 4 by hand
    piece = case(
        Joint(
            "butt", "side.left", "shelf", fasteners=(fastener("screw", 4, 45, 3), fastener("dowel", 8, 35, 2))
        ),
        Joint(
            "butt",
            "side.right",
            "shelf",
            fasteners=(fastener("screw", 4, 45, 3), fastener("dowel", 8, 35, 2)),
        ),
        Joint("pins", "side.left", "shelf", fasteners=(fastener("shelf pin", 5, 16, 4),)),
    )
    rows = hardware_list(piece)
    assert [(r.kind, r.size, r.quantity) for r in rows] == [
        ("screw", "4 x 45 mm", 6),
        ("dowel", "8 x 35 mm", 4),
        ("shelf pin", "5 x 16 mm", 4),
    ]
    assert rows[0].where == ("3 shelf to side.left", "3 shelf to side.right")
    assert hardware_rows(rows)[2] == {
        "kind": "shelf pin",
        "size": "5 x 16 mm",
        "quantity": 4,
        "where": ["4 shelf to side.left"],
    }


def test_inch_screws_are_named_by_gauge_and_odd_sizes_plainly() -> None:
    piece = case(
        Joint("butt", "side.left", "shelf", fasteners=(fastener("screw", gauge_mm(8), 1.25 * INCH, 2),)),
        Joint("butt", "side.right", "shelf", fasteners=(fastener("screw", 4.0, 43.0, 2),)),
        Joint("wedged tenon", "side.right", "shelf", fasteners=(fastener("wedge", 6.0, 30.0, 1),)),
        Joint("pins", "side.left", "shelf", fasteners=(fastener("shelf pin", 5, 16, 4),)),
    )
    # what is not in the table, as wedges cut from an offcut, comes last
    assert [(r.kind, r.size) for r in hardware_list(piece)] == [
        ("screw", "4 x 43 mm"),
        ("screw", "#8 x 1 1/4 in"),
        ("shelf pin", "5 x 16 mm"),
        ("wedge", "6 x 30 mm"),
    ]


def test_hardware_csv_reads_back_and_repeats() -> None:
    piece = case(Joint("butt", "side.left", "shelf", fasteners=(fastener("screw", 4, 45, 3),)))
    data = hardware_csv(piece)
    assert list(csv.DictReader(StringIO(data.decode()))) == [
        {"kind": "screw", "size": "4 x 45 mm", "quantity": "3", "where": "3 shelf to side.left"}
    ]
    assert hardware_csv(piece) == data
    assert hardware_csv(case()) == b"kind,size,quantity,where\n"


def test_unknown_kinds_and_systems_are_refused() -> None:
    with pytest.raises(InputError, match="must be one of screw, dowel"):
        list_hardware("glue")
    with pytest.raises(InputError, match="must be one of mm, in"):
        list_hardware("screw", "cubits")
