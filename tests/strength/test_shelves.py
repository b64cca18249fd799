"""Whole shelves: the worked examples of the facts sheet, and what must hold of any shelf."""

from dataclasses import replace
from math import isclose

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strength_facts import G, check

from furnigen.catalogue.loads import GRAVITY, parse_load
from furnigen.catalogue.materials import find_material
from furnigen.catalogue.sag_limits import find_limit
from furnigen.core.errors import InputError
from furnigen.strength.formulas.section import Strip, glued_section, rectangular_section
from furnigen.strength.members.load_patterns import bays_between, patterns
from furnigen.strength.members.shelf import Shelf, ShelfResult, check_shelves
from furnigen.strength.solver.beam import Beam, BeamSupport, PointLoad, SpreadLoad, solve_beams

BIRCH = find_material("plywood-birch-18")


def birch_shelf(load: str = "40 kg spread", **changes: object) -> Shelf:
    """beams.md 8.6: 18 mm birch plywood, 300 x 800 mm."""
    shelf = Shelf(
        label="shelf",
        length=800.0,
        depth=300.0,
        section=rectangular_section(300.0, 18.0, BIRCH.moe_mpa),
        materials=(BIRCH,),
        supports=(BeamSupport(0.0), BeamSupport(800.0)),
        load=parse_load(load),
        own_kg_m=0.0,
        limit=find_limit("visible"),
    )
    return replace(shelf, **changes)


def one(shelf: Shelf) -> ShelfResult:
    (result,) = check_shelves([shelf])
    assert result is not None
    return result


def test_birch_shelf_of_the_facts_sheet() -> None:
    result = one(birch_shelf())
    for name, got in (("SAG-2", result.first_mm), ("SAG-3", result.final_mm)):
        row = check(name)
        assert abs(got - float(row["expected"])) <= float(row["tolerance"])
    assert isclose(result.limit_mm, 800 / 240)
    assert result.used < 1
    # with its own weight of 2.9376 kg: 1.916 mm
    own = one(birch_shelf(own_kg_m=2.9376 / 0.8))
    assert abs(own.first_mm - 1.916) < 5e-4
    assert isclose(sum(own.most), (40 + 2.9376) * G, rel_tol=1e-9)


def test_mdf_shelf_of_the_facts_sheet() -> None:
    """beams.md 8.7: it fails every limit."""
    mdf = find_material("mdf-12-19")
    result = one(birch_shelf(section=rectangular_section(300.0, 18.0, 2200.0), materials=(mdf,)))
    row = check("SAG-4")
    assert abs(result.final_mm - float(row["expected"])) <= float(row["tolerance"])
    assert abs(result.first_mm - 8.153) < 5e-4
    assert result.used > 1
    # its table lists a least modulus: most boards sag less, but none of them little enough
    assert result.chance < 0.01


def test_passing_load_creeps_less() -> None:
    """Eurocode 5: (1 + psi2 k_def), psi2 = 0.8 for dishes."""
    result = one(birch_shelf("dishes"))
    assert isclose(result.final_mm, result.first_mm * (1 + 0.8 * 0.8), rel_tol=1e-9)


def test_one_bay_full_is_worse_than_all() -> None:
    """Two spans: 0.00915 with one full against 0.005416 (AISC Table 3-23)."""
    two = birch_shelf(
        "40 kg/m", length=1600.0, supports=(BeamSupport(0.0), BeamSupport(800.0), BeamSupport(1600.0))
    )
    result = one(two)
    w = 40 * GRAVITY / 1000
    assert isclose(result.first_mm, 0.0091506 * w * 800**4 / two.section.bending, rel_tol=1e-4)
    assert result.loaded in ("bay 1", "bay 2")
    assert isclose(max(result.most), 1.25 * w * 800, rel_tol=1e-9)
    assert min(result.least) < 0
    # stress by the largest moment over all patterns: w L²/8 over the middle with both full
    assert isclose(result.stress_mpa, (w * 800**2 / 8) / (300 * 18**2 / 6), rel_tol=1e-9)
    assert result.stress_at == 800.0


def test_patterns_and_bays() -> None:
    assert patterns(1) == (("all bays", (0,)), ("no bay", ()))
    assert patterns(2) == (("all bays", (0, 1)), ("bay 1", (0,)), ("bay 2", (1,)), ("no bay", ()))
    # the two edges of a post part the bays once; a bearing at the end parts none
    assert bays_between((9.0, 51.0, 791.0, 833.0, 1591.0), 1600.0) == ((0.0, 812.0), (812.0, 1600.0))


def test_a_shelf_that_tips_off() -> None:
    loose = (BeamSupport(300.0, holds_down=False), BeamSupport(500.0, holds_down=False))
    heavy_end = birch_shelf("20 kg at 790 mm", supports=loose)
    assert check_shelves([heavy_end, birch_shelf()])[0] is None
    assert check_shelves([heavy_end, birch_shelf()])[1] is not None


def test_glued_edge_carries_and_is_stressed() -> None:
    """A lipping 40 mm deep under one edge: stress in each wood by its own modulus, the worst one told."""
    oak = find_material("oak-northern-red")
    strips = [Strip(300.0, 18.0, BIRCH.moe_mpa, low=40.0), Strip(20.0, 40.0, oak.moe_mpa)]
    stiff = birch_shelf(section=glued_section(strips), materials=(BIRCH, oak))
    plain, lipped = one(birch_shelf()), one(stiff)
    ratio = stiff.section.bending / birch_shelf().section.bending
    assert isclose(plain.first_mm / lipped.first_mm, ratio, rel_tol=1e-9)
    assert lipped.stress_in == 1
    assert lipped.creep.factor == 0.8  # plywood creeps more than oak: the larger is taken
    with pytest.raises(InputError, match="one for each of 2 boards"):
        replace(stiff, materials=(BIRCH,))


def test_unknown_strength_is_said_not_guessed() -> None:
    glass = find_material("glass")
    result = one(birch_shelf(section=rectangular_section(300.0, 8.0, glass.moe_mpa), materials=(glass,)))
    assert result.stress_allowed_mpa is None
    assert result.stress_used is None
    assert result.stress_mpa > 0
    assert result.creep.factor == 0.0


def test_negative_weight_is_refused() -> None:
    with pytest.raises(InputError, match="zero or more"):
        birch_shelf(own_kg_m=-1.0)


@settings(max_examples=40, deadline=None)
@given(
    st.floats(300, 2400),
    st.integers(2, 5),
    st.floats(6, 40),
    st.sampled_from(["books", "dishes", "40 kg/m", "20 kg at middle", "plants + 5 kg at {:.3f} mm"]),
    st.booleans(),
)
def test_more_is_never_better(length: float, uprights: int, thick: float, load: str, loose: bool) -> None:
    """Thicker sags less, longer and heavier sags more, the long run more; reactions carry the weight.

    A single thing stands at the same share of the longer shelf: elsewhere it may well sag less.
    """
    supports = tuple(BeamSupport(length * i / (uprights - 1), holds_down=not loose) for i in range(uprights))
    shelf = birch_shelf(
        load.format(length / 8),
        length=length,
        supports=supports,
        own_kg_m=3.0,
        section=rectangular_section(300.0, thick, 1e4),
    )
    on_longer = parse_load(load.format(length * 1.1 / 8))
    stretched = tuple(replace(s, at=s.at * 1.1) for s in supports)
    results = check_shelves(
        [
            shelf,
            replace(shelf, section=rectangular_section(300.0, thick * 1.1, 1e4)),
            replace(shelf, length=length * 1.1, supports=stretched, load=on_longer),
            replace(shelf, own_kg_m=6.0),
        ]
    )
    base, thicker, longer, heavier = (r for r in results if r is not None)
    assert base.final_mm > base.first_mm > 0
    assert thicker.final_mm < base.final_mm < longer.final_mm
    assert heavier.final_mm > base.final_mm * (1 - 1e-9) or loose
    assert all(m >= n for m, n in zip(base.most, base.least, strict=True))
    assert 0 <= base.chance <= 1


def test_shelves_alike_are_told_each_under_its_own_name() -> None:
    some = [birch_shelf(label=name) for name in ("a", "b")] + [birch_shelf("60 kg spread", label="c")]
    a, b, c = check_shelves(some)
    assert a is not None
    assert b is not None
    assert c is not None
    assert [r.shelf.label for r in (a, b, c)] == ["a", "b", "c"]
    assert a.final_mm == b.final_mm < c.final_mm


def test_full_bays_side_by_side_are_one_load() -> None:
    """A shelf full from end to end bends as under one load; loads of one place add up."""
    supports = (BeamSupport(0.0), BeamSupport(300.0), BeamSupport(800.0))
    parts = (PointLoad(200.0, 30.0), PointLoad(200.0, 12.0))
    apart = one(birch_shelf(supports=supports, dead=parts[:1], live=parts[1:]))
    whole = SpreadLoad(0.0, 800.0, 40 * G / 800)
    bent = solve_beams(
        [Beam(800.0, apart.shelf.section.bending, supports, (whole,), (PointLoad(200.0, 42.0),))]
    )[0]
    assert bent is not None
    assert isclose(max(apart.most), max(bent.reactions), rel_tol=1e-9)  # over the middle: both bays full
