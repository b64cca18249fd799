"""Creep, limits, strengths in the long run, and spread: against the tables and examples they come from."""

import random
from math import exp, isclose, log, sqrt
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strength_facts import G, check, inputs, rows

from furnigen.catalogue.materials import Material, list_materials
from furnigen.catalogue.materials import find_material as wood
from furnigen.catalogue.sag_limits import find_limit, list_limits
from furnigen.core.errors import InputError
from furnigen.core.tables import read_table
from furnigen.strength.formulas.allowable import DURATIONS, basis_of, find_allowable
from furnigen.strength.formulas.creep import CLIMATES, find_creep
from furnigen.strength.formulas.section import rectangular_section
from furnigen.strength.formulas.uncertainty import ends_with_fixed_part, sag_spread
from furnigen.strength.solver.beam import Beam, BeamSupport, SpreadLoad, solve_beams


def sag(length: float, bending: float, newton_per_mm: float) -> float:
    ends = (BeamSupport(0.0), BeamSupport(length))
    result = solve_beams([Beam(length, bending, ends, (SpreadLoad(0.0, length, newton_per_mm),))])[0]
    assert result is not None
    return result.sag


# ---- creep


@pytest.mark.parametrize("row", rows("strength_creep"), ids=lambda r: r["grade"])
def test_creep_factors_are_the_published_ones(row: dict[str, str]) -> None:
    (mine,) = [r for r in read_table("creep") if r["grade"] == row["grade"]]
    assert [mine[f"class_{n}"] for n in CLIMATES] == [row[f"class_{n}"] for n in CLIMATES]


def test_every_material_creeps_by_some_row() -> None:
    for material in list_materials():
        assert find_creep(material).factor >= 0.0
    assert find_creep(wood("particleboard-p5"), 2).factor == 3.0
    assert find_creep(wood("particleboard-p2")).grade == "particleboard P4"
    assert "stands in" in find_creep(wood("mdf-12-19")).note
    assert find_creep(wood("steel")).factor == 0.0


def test_eurocode_example() -> None:
    """A public Eurocode 5 notebook: 50 x 250 mm, 4 m, G = 1.0 and Q = 2.0 kN/m, psi2 0.4, k_def 0.6."""
    at_once, final = check("EC5-1a"), check("EC5-1b")
    ei = rectangular_section(50.0, 250.0, inputs(at_once)["E"]).bending
    lasting, passing = sag(4000.0, ei, 1.0), sag(4000.0, ei, 2.0)
    assert abs(lasting + passing - float(at_once["expected"])) <= float(at_once["tolerance"])
    creep = find_creep(wood("c24"))
    assert creep.factor == inputs(final)["k_def"]
    got = creep.final(lasting, passing, inputs(final)["psi2"])
    assert abs(got - float(final["expected"])) <= float(final["tolerance"])


def test_shelves_in_the_long_run() -> None:
    """beams.md 8.6 and 8.7: birch plywood and MDF of one size, full for good."""
    load = 40 * G / 800
    for name, moe, material in (("SAG-3", 10048, "plywood-birch-18"), ("SAG-4", 2200, "mdf-12-19")):
        row = check(name)
        creep = find_creep(wood(material))
        assert f"k_def {creep.factor:.2f}" in row["inputs"]
        final = creep.final(sag(800.0, rectangular_section(300.0, 18.0, moe).bending, load))
        assert abs(final - float(row["expected"])) <= float(row["tolerance"])


def test_other_rules() -> None:
    assert find_creep(wood("oak-northern-red"), rule="nds").final(2.0) == 3.0
    assert find_creep(wood("plywood-birch-18"), rule="nds").final(2.0) == 4.0
    assert find_creep(wood("mdf-12-19"), rule="mdf-guide").final(2.0) == 3.0


@pytest.mark.parametrize(
    ("material", "climate", "rule", "words"),
    [
        ("oak-northern-red", 4, "eurocode", "must be 1 heated rooms"),
        ("mdf-12-19", 2, "eurocode", "is not made for it"),
        ("oak-northern-red", 1, "guess", "eurocode, nds, mdf-guide"),
        ("oak-northern-red", 2, "nds", "is for heated rooms"),
        ("mdf-12-19", 1, "nds", "does not cover mdf"),
        ("oak-northern-red", 1, "mdf-guide", "is for mdf"),
    ],
)
def test_creep_that_no_rule_gives(material: str, climate: int, rule: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        find_creep(wood(material), climate, rule)


def test_a_share_outside_nought_to_one_is_refused() -> None:
    with pytest.raises(InputError, match="sustained"):
        find_creep(wood("steel")).final(1.0, 1.0, 1.5)


# ---- limits


@pytest.mark.parametrize("row", rows("strength_limits"), ids=lambda r: r["name"])
def test_sag_limits(row: dict[str, str]) -> None:
    limit = find_limit(row["name"])
    assert isclose(limit.mm(914.4) / 25.4, float(row["per_36_in"]), abs_tol=5e-5)
    assert limit.mm(100.0, "overhang") == limit.mm(200.0)
    assert limit.source.provenance == row["provenance"]


def test_all_limits_are_tested() -> None:
    assert [x.name for x in list_limits()] == [r["name"] for r in rows("strength_limits")]


def test_limits_a_maker_gives() -> None:
    assert find_limit("L/300").mm(900.0) == 3.0
    assert find_limit("1/300").share == find_limit("/300").share == 1 / 300
    with pytest.raises(InputError, match="from L/20"):
        find_limit("L/3")
    for typed in ("none at all", "3 mm", "L/abc"):
        with pytest.raises(InputError, match="must be a share of the span such as L/300, or the name"):
            find_limit(typed)


# ---- strength


def test_every_material_with_a_strength_says_what_kind_of_number_it_is() -> None:
    for material in list_materials():
        assert set(basis_of(material)) <= {"mean", "least"}
        allowable = find_allowable(material)
        assert (allowable.bending_mpa is None) == (material.mor_mpa is None)
        assert allowable.moe_mean_mpa >= material.moe_mpa


def test_design_strength_by_hand() -> None:
    """C24 for good: 0.6 x 24 / 1.3; red oak, a mean of clear wood: 99 (1 - 1.645 x 0.16) x 0.6 / 1.3."""
    assert isclose(find_allowable(wood("c24")).bending_mpa or 0, 0.6 * 24 / 1.3, rel_tol=1e-12)
    oak = find_allowable(wood("oak-northern-red"))
    assert isclose(oak.bending_mpa or 0, 99 * (1 - 1.645 * 0.16) * 0.6 / 1.3, rel_tol=1e-12)
    assert oak.bearing_mpa is not None
    # square to its face no value is published: the low end of a range from memory
    assert isclose(find_allowable(wood("mdf-12-19")).bearing_mpa or 0, 2.5 * 0.2 / 1.3, rel_tol=1e-12)
    assert isclose(find_allowable(wood("mdf-12-19"), "short").bending_mpa or 0, 20 * 0.8 / 1.3, rel_tol=1e-12)
    # the least modulus of MDF is a 5-percentile: the mean lies above it
    assert isclose(find_allowable(wood("mdf-12-19")).moe_mean_mpa, 2200 / (1 - 0.1645), rel_tol=1e-12)


def test_moist_wood_bears_less() -> None:
    """k_mod under permanent load 0.60 indoors and under a roof, 0.50 in the weather; P5 0.30 and 0.20 (EN
    1995-1-1 Table 3.1, from memory)."""
    strengths = [find_allowable(wood("c24"), climate=n).bending_mpa for n in (1, 2, 3)]
    assert strengths[0] == strengths[1]
    assert isclose(strengths[2] or 0, 0.50 * 24 / 1.3, rel_tol=1e-3)
    dry, moist = (find_allowable(wood("particleboard-p5"), climate=n).bending_mpa or 0 for n in (1, 2))
    assert isclose(moist / dry, 0.20 / 0.30, rel_tol=1e-3)
    assert "service class 3" in find_allowable(wood("c24"), climate=3).bending_source.text
    with pytest.raises(
        InputError, match="climate for particleboard-p5 = service class 3: no strength is known"
    ):
        find_allowable(wood("particleboard-p5"), climate=3)


def test_a_longer_load_is_borne_less() -> None:
    for material in list_materials():
        strengths = [find_allowable(material, d).bending_mpa for d in DURATIONS]
        if strengths[0] is not None:
            assert strengths == sorted(strengths)  # type: ignore[type-var]


def test_unknown_strength_questions_are_refused() -> None:
    with pytest.raises(InputError, match="permanent, long"):
        find_allowable(wood("c24"), "forever")
    odd = Material(**{f: getattr(wood("c24"), f) for f in Material.__slots__} | {"kind": "cheese"})
    with pytest.raises(InputError, match="knows only"):
        find_allowable(odd)


# ---- spread


def test_spread_against_sampling() -> None:
    """100,000 draws: modulus and thickness from lognormals of the given means and spreads, the load from the
    lognormal whose 5 and 95 percentiles are its stated ends."""
    rng = random.Random(3)

    def draw(mean: float, v: float) -> float:
        s = sqrt(log(1 + v * v))
        return mean * exp(rng.gauss(0, s) - s * s / 2)

    def load() -> float:
        return exp(rng.gauss((log(0.8) + log(1.6)) / 2, log(2.0) / (2 * 1.6448536)))

    draws = sorted(2.0 * load() / draw(1, 0.22) / draw(1, 0.02) ** 3 for _ in range(100_000))
    law = sag_spread(2.0, moe_spread=0.22, load_ends=(0.8, 1.6), thickness_spread=0.02)
    for share in (0.05, 0.5, 0.95):
        assert isclose(law.quantile(share), draws[int(share * len(draws))], rel_tol=0.01)
    for limit in (1.5, 2.0, 3.0):
        assert abs(law.chance(limit) - sum(d <= limit for d in draws) / len(draws)) < 0.005


@given(st.floats(0.01, 20), st.floats(0, 0.5), st.floats(0.01, 40))
def test_chance_and_quantile_are_inverse(value: float, spread: float, limit: float) -> None:
    law = sag_spread(value, moe_spread=spread)
    chance = law.chance(limit)
    if 1e-6 < chance < 1 - 1e-6:
        assert isclose(law.quantile(chance), limit, rel_tol=1e-6)
    low, high = law.range()
    assert low <= law.median <= high


def test_spread_at_its_ends() -> None:
    sure = sag_spread(2.0, moe_spread=0.0, thickness_spread=0.0)
    assert (sure.chance(1.9), sure.chance(2.0), sure.range()) == (0.0, 1.0, (2.0, 2.0))
    assert sag_spread(0.0, moe_spread=0.2).chance(1.0) == 1.0
    assert sag_spread(1.0, moe_spread=0.2).chance(0.0) == 0.0
    assert isclose(NormalDist().inv_cdf(0.95), 1.645, abs_tol=2e-4)
    for bad in ({"sag": -1.0, "moe_spread": 0.1}, {"sag": 1.0, "moe_spread": -0.1}):
        with pytest.raises(InputError):
            sag_spread(**bad)
    with pytest.raises(InputError, match="must rise"):
        sag_spread(1.0, moe_spread=0.1, load_ends=(2.0, 1.0))
    with pytest.raises(InputError, match="between 0 and 1"):
        sure.quantile(1.0)


def test_the_ends_of_a_load_are_its_percentiles() -> None:
    """A load from 0.8 to 1.6 of its design value: of 100 shelves 5 carry less and 5 more."""
    law = sag_spread(1.0, moe_spread=0.0, load_ends=(0.8, 1.6), thickness_spread=0.0)
    assert isclose(law.quantile(0.05), 0.8, rel_tol=1e-9)
    assert isclose(law.quantile(0.95), 1.6, rel_tol=1e-9)
    assert ends_with_fixed_part((0.8, 1.6), 0.5) == (0.9, 1.3)
    assert ends_with_fixed_part((0.8, 1.6), 0.0) == (1.0, 1.0)
