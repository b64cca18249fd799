"""What STEP files hold by their own product structure, counted from their text."""

from __future__ import annotations

import pytest
from exchange_files import assembly, cube, product, step_file, usage

from furnigen.core.errors import InputError
from furnigen.exchange.contents import contents
from furnigen.exchange.part21 import exchange_file
from furnigen.exchange.placing import refuse_placements


def held(rows: str):
    return contents(exchange_file(step_file(rows).encode()))


def test_copies_are_counted_without_being_made() -> None:
    """Twenty assemblies, each twice in the next: 2^20 cubes in a file of some kilobytes."""
    rows = [product(0, "cube", cube(0))]
    for level in range(1, 21):
        rows.append(assembly(level, f"level {level}"))
        rows += [usage(level, level - 1, copy) for copy in (1, 2)]
    found = held("\n".join(rows))
    assert found.solids_placed == 2**20
    assert found.name == "level 20"
    assert not found.faults
    assert not found.orphans


def test_an_assembly_within_itself_is_refused() -> None:
    rows = [product(0, "cube", cube(0)), assembly(1, "a"), assembly(2, "b")]
    rows += [usage(1, 0, 1), usage(1, 2, 2), usage(2, 1, 1)]
    with pytest.raises(InputError, match="stands within itself"):
        held("\n".join(rows))


def test_sizes_and_units_are_those_of_the_file() -> None:
    found = held(product(0, "cube", cube(0, 25.0)))
    (solid,) = found.by_solid
    extent = found.shapes.extent(solid)
    assert extent.size_mm == (25.0, 25.0, 25.0)
    assert extent.faces == 6
    inches = step_file(product(0, "cube", cube(0, 25.0))).replace(
        "#9=( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.) );",
        "#9=( CONVERSION_BASED_UNIT('INCH',#8) LENGTH_UNIT() NAMED_UNIT(*) );\n"
        "#8=LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(2.54),#7);\n"
        "#7=( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.CENTI.,.METRE.) );",
    )
    found = contents(exchange_file(inches.encode()))
    unit = found.shapes.extent(solid).unit
    # 1 in = 25.4 mm exactly (international yard and pound agreement, 1959; from memory)
    assert unit is not None
    assert (unit.name, unit.mm) == ("INCH", pytest.approx(25.4))


@pytest.mark.parametrize(
    ("place", "message"),
    [
        (("(0.,0.,0.)", "(0.,0.,1.)", "(0.,0.,-2.)"), "parallel axes"),
        (("(0.,0.,0.)", "(0.,0.,0.)", "(1.,0.,0.)"), "an axis without a direction"),
        (("(0.,0.,1.E300)", "(0.,0.,1.)", "(1.,0.,0.)"), "no origin within 10 km"),
        (("(0.,0.)", "(0.,0.,1.)", "(1.,0.,0.)"), "no origin that can be read"),
    ],
)
def test_a_placement_that_gives_no_position_is_refused(place: tuple[str, str, str], message: str) -> None:
    rows = [product(0, "cube", cube(0)), assembly(1, "stand"), usage(1, 0, 1, place)]
    with pytest.raises(InputError, match=f"the placement of copy 1 of 0 has.*{message}"):
        refuse_placements("a.step", held("\n".join(rows)))


def test_parts_in_other_files_are_named() -> None:
    rows = [
        assembly(1, "stand"),
        "#900=DOCUMENT_FILE('leg.stp','','',#901,'',$);",
        "#901=DOCUMENT_TYPE('');",
        "#902=APPLIED_EXTERNAL_IDENTIFICATION_ASSIGNMENT('leg.stp',#903,#904,(#900));",
        "#903=IDENTIFICATION_ROLE('external document id and location',$);",
        "#904=EXTERNAL_SOURCE(IDENTIFIER(''));",
    ]
    assert held("\n".join(rows)).elsewhere == ["leg.stp"]
