"""Sections against printed tables, closed forms and a mesh of thin slices."""

from math import inf, isclose, pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from strength_facts import check, rows

from furnigen.catalogue.materials import find_material
from furnigen.core.errors import InputError
from furnigen.strength.formulas.section import (
    Strip,
    glued_section,
    loose_section,
    plywood_moduli,
    rectangular_section,
    round_section,
)

PLY_MATERIALS = {5: "6.5", 7: "9", 9: "12", 11: "15", 13: "18", 15: "21", 17: "24", 19: "27", 21: "30"}


@pytest.mark.parametrize("row", rows("strength_checks", "PLY"), ids=lambda r: r["id"])
def test_birch_plywood(row: dict[str, str]) -> None:
    """The maker's handbook, to the digit; and the materials of the project say the same."""
    count = int(row["id"].split("-")[1])
    plies = [1.1, *[1.4] * (count - 2), 1.1]
    got = plywood_moduli(plies, 17500.0)
    for mine, printed in zip(got, row["expected"].split("/"), strict=True):
        assert abs(mine - float(printed)) <= float(row["tolerance"])
    material = find_material(f"plywood-birch-{PLY_MATERIALS[count]}")
    assert round(got[0]) == material.moe_mpa
    assert round(got[1]) == material.moe_cross_mpa


def test_older_plywood_table() -> None:
    """BS 5268-2 gives 18 mm birch-faced plywood I = 417 000 mm4 a metre at its least thickness 17.1 mm."""
    assert round(rectangular_section(1000.0, 17.1, 1.0).bending / 1000) == 417


def test_shear_areas_of_the_handbook() -> None:
    """Wood Handbook Eq. 9-4: 5/6 b h and 9/40 pi d²."""
    assert isclose(
        rectangular_section(40.0, 90.0, 12000.0, 700.0).shear, 700 * 5 / 6 * 40 * 90, rel_tol=1e-12
    )
    assert isclose(round_section(30.0, 12000.0, 700.0).shear, 700 * 9 / 40 * pi * 900, rel_tol=1e-12)
    assert isclose(round_section(30.0, 12000.0).bending, 12000 * pi * 30**4 / 64, rel_tol=1e-12)
    assert isclose(
        rectangular_section(300.0, 18.0, 16000.0).shear, 1000 * 5 / 6 * 300 * 18, rel_tol=1e-12
    )  # G = E/16


def test_shear_in_or_out_never_twice() -> None:
    board = rectangular_section(300.0, 18.0, 10000.0)
    assert board.for_beam(with_shear=False) == (board.bending, inf)
    assert board.for_beam(with_shear=True) == (board.bending * 1.10, board.shear)


def test_two_glued_halves_are_one_board_and_loose_a_quarter() -> None:
    halves = [Strip(100.0, 9.0, 8000.0), Strip(100.0, 9.0, 8000.0, low=9.0)]
    whole = rectangular_section(100.0, 18.0, 8000.0)
    assert isclose(glued_section(halves).bending, whole.bending, rel_tol=1e-12)
    assert isclose(glued_section(halves).shear, whole.shear, rel_tol=1e-12)
    assert isclose(loose_section(halves).bending, whole.bending / 4, rel_tol=1e-12)
    assert isclose(loose_section(halves).shear, whole.shear, rel_tol=1e-12)


def test_tee_by_hand() -> None:
    """Flange 100 x 10 on a web 10 x 90, one modulus: neutral axis and I by the parallel-axis theorem."""
    tee = glued_section([Strip(10.0, 90.0, 1.0), Strip(100.0, 10.0, 1.0, low=90.0)])
    neutral = (900 * 45 + 1000 * 95) / 1900
    inertia = 10 * 90**3 / 12 + 900 * (45 - neutral) ** 2 + 100 * 10**3 / 12 + 1000 * (95 - neutral) ** 2
    assert isclose(tee.neutral, neutral, rel_tol=1e-12)
    assert isclose(tee.bending, inertia, rel_tol=1e-12)
    web, flange = tee.stresses(-1e5)
    assert isclose(web, 1e5 * neutral / inertia, rel_tol=1e-12)
    assert isclose(flange, 1e5 * (100 - neutral) / inertia, rel_tol=1e-12)


def test_stresses_of_plain_sections() -> None:
    """6 M / b t² and 32 M / pi d³."""
    assert isclose(
        rectangular_section(300.0, 18.0, 9000.0).stresses(1e5)[0], 6e5 / (300 * 18**2), rel_tol=1e-12
    )
    assert isclose(round_section(30.0, 9000.0).stresses(1e5)[0], 32e5 / (pi * 30**3), rel_tol=1e-12)
    pile = loose_section([Strip(100.0, 9.0, 8000.0), Strip(100.0, 9.0, 8000.0, low=9.0)])
    assert isclose(pile.stresses(1e5)[0], 6 * 0.5e5 / (100 * 9**2), rel_tol=1e-12)


strips = st.lists(
    st.tuples(st.floats(5, 400), st.floats(3, 60), st.floats(1500, 16000), st.floats(100, 1500)),
    min_size=1,
    max_size=4,
)


@given(strips)
def test_piled_strips_against_thin_slices(sizes: list[tuple[float, float, float, float]]) -> None:
    """EI and the shear energy summed over 4000 slices, a numerical integral of the same statics."""
    pile, z = [], 0.0
    for b, t, e, g in sizes:
        pile.append(Strip(b, t, e, z, g))
        z += t
    section = glued_section(pile)
    edges = np.unique(np.concatenate([np.linspace(s.low, s.low + s.thickness, 1001) for s in pile]))
    middle, dz = (edges[1:] + edges[:-1]) / 2, np.diff(edges)
    which = np.searchsorted([s.low for s in pile], middle) - 1
    e = np.array([s.moe for s in pile])[which]
    b = np.array([s.width for s in pile])[which]
    g = np.array([s.g for s in pile])[which]
    neutral = (e * b * middle * dz).sum() / (e * b * dz).sum()
    ei = (e * b * (middle - neutral) ** 2 * dz).sum()
    first = np.cumsum((e * b * (middle - neutral) * dz)[::-1])[::-1]
    first_middle = first - e * b * (middle - neutral) * dz / 2
    kga = ei**2 / (first_middle**2 / (g * b) * dz).sum()
    assert isclose(section.bending, ei, rel_tol=1e-5)
    assert isclose(section.shear, kga, rel_tol=1e-3)


def test_what_makes_no_section_is_refused() -> None:
    with pytest.raises(InputError, match="at least one board"):
        glued_section([])
    with pytest.raises(InputError, match="at least one board"):
        loose_section([])
    with pytest.raises(InputError, match="must touch"):
        glued_section([Strip(10.0, 10.0, 1.0), Strip(10.0, 10.0, 1.0, low=25.0)])
    with pytest.raises(InputError, match="thickness of a section"):
        Strip(10.0, 0.0, 1.0)
    with pytest.raises(InputError, match="shear modulus"):
        Strip(10.0, 1.0, 1.0, shear_modulus=0.0)
    with pytest.raises(InputError, match="diameter of a rod"):
        round_section(0.0, 1.0)
    with pytest.raises(InputError, match="plies"):
        plywood_moduli([], 17500.0)


def test_mass_and_own_weight() -> None:
    """The area carries the own weight: 18 x 300 mm of 680 kg/m3, 800 mm long."""
    row = check("MASS-1")
    mass = rectangular_section(300.0, 18.0, 1.0).area * 800 * 680e-9
    assert abs(mass - float(row["expected"])) <= float(row["tolerance"])
