"""Wood movement: published examples, the tables against each other, and pieces that hold their wood.

tests/facts/movement.csv holds the published examples with their provenance.
"""

import csv
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from furnigen.catalogue.materials import find_material, list_materials
from furnigen.catalogue.stock import find_stock
from furnigen.checks.wood_movement import check_movement
from furnigen.construction.wood_movement import (
    Restraint,
    cross_strain,
    equilibrium_moisture_pct,
    find_restraints,
    seasonal_movement,
    size_change_mm,
    size_change_wide_mm,
)
from furnigen.core.errors import InputError
from furnigen.drafting.draft import Draft
from furnigen.formats.report_construction import movement_rows
from furnigen.joints.joint import Fastener, Joint
from furnigen.mesh.light_mesh import description_contacts
from furnigen.piece.description import Piece

FACTS = Path(__file__).parent / "facts" / "movement.csv"
OAK = find_stock("red-oak-4-4")  # 13/16 in = 20.6375 mm
PLY = find_stock("birch-ply-18@18")
T = OAK.thickness_mm
# northern red oak, flat sawn, 6 to 12 %: 0.00369 x 6 (Wood Handbook Table 13-5)
OAK_STRAIN = 0.00369 * 6

EXAMPLES: dict[str, Callable[[], float]] = {
    "WH-13-2": lambda: size_change_mm(232.0, 0.00245, 8.0, 11.0),
    "MOVE-2": lambda: size_change_mm(8.0, 0.0026, 6.0, 12.0),
    "MOVE-3": lambda: size_change_mm(5.0, 0.00129, 6.0, 9.0),
    "EMC-1": lambda: equilibrium_moisture_pct(20.0, 50.0),
}


def facts() -> list[dict[str, str]]:
    with FACTS.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


@pytest.mark.parametrize("row", facts(), ids=lambda r: r["id"])
def test_published_examples(row: dict[str, str]) -> None:
    assert EXAMPLES[row["id"]]() == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_a_wide_oak_board() -> None:
    # 600 mm of flat-sawn red oak over 6 points: 13.3 mm (hand-derived)
    assert size_change_mm(600.0, 0.00369, 6.0, 12.0) == pytest.approx(13.3, abs=0.05)


@pytest.mark.parametrize(
    "name", ["cherry-black", "walnut-black", "ash-white", "beech-american", "maple-sugar", "birch-yellow"]
)
def test_the_wide_formula_agrees_with_the_coefficients(name: str) -> None:
    # Table 13-5's coefficients are Eq. 13-3 with Table 4-3's shrinkage S at 10 %: C = 1 / (3000 / S - 20)
    material = find_material(name)
    assert material.ct is not None
    assert material.shrink_tangential_pct is not None
    wide = size_change_wide_mm(1.0, material.shrink_tangential_pct, 10.0, 11.0)
    assert wide == pytest.approx(material.ct, rel=0.01)


def test_drying_from_green_to_nothing_is_the_whole_shrinkage() -> None:
    # shrinkage is told of the green size: 8.6 % of 100 mm
    assert size_change_wide_mm(100.0, 8.6, 30.0, 0.0) == pytest.approx(-8.6)


@given(st.floats(10, 500), st.floats(2, 12), st.floats(0, 30), st.floats(0, 30))
def test_swelling_undoes_shrinking(size: float, shrinkage: float, a: float, b: float) -> None:
    there = size + size_change_wide_mm(size, shrinkage, a, b)
    assert there + size_change_wide_mm(there, shrinkage, b, a) == pytest.approx(size)


def test_air_dries_and_dampens_wood() -> None:
    # Wood Handbook Table 4-2 at 21.1 °C (from memory): 6.2 % at 30 %, 9.2 % at 50 %, 16.0 % at 80 %
    for humidity, moisture in ((30.0, 6.2), (50.0, 9.2), (80.0, 16.0)):
        assert equilibrium_moisture_pct(21.1, humidity) == pytest.approx(moisture, abs=0.15)
    assert equilibrium_moisture_pct(20.0, 0.0) == 0.0


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (lambda: size_change_mm(100, 0.002, 5.0, 12.0), "5 %: must be from 6 to 14 %"),
        (lambda: size_change_wide_mm(100, 8.0, 6.0, 31.0), "31 %: must be from 0 to 30 %"),
        (lambda: size_change_wide_mm(100, 0.0, 6.0, 12.0), "shrinkage"),
        (lambda: equilibrium_moisture_pct(20.0, 101.0), "relative humidity = 101 %"),
        (lambda: cross_strain(find_material("oak-white"), (12.0, 6.0)), "12 to 6 %: must rise"),
        (lambda: cross_strain(find_material("oak-white"), cut="rift"), "must be one of flat, quarter"),
    ],
)
def test_bad_values_are_refused(wrong: Callable[[], object], says: str) -> None:
    with pytest.raises(InputError, match=says):
        wrong()


def test_coefficients_come_with_their_source_and_unknown_ones_with_the_worst() -> None:
    oak = cross_strain(find_material("oak-northern-red"))
    assert oak.value == pytest.approx(OAK_STRAIN)
    assert "Table 13-5" in oak.source
    quarter = cross_strain(find_material("oak-northern-red"), cut="quarter")
    assert quarter.value == pytest.approx(0.00158 * 6)
    # a range beyond 6 to 14 % takes the wide formula
    wide = cross_strain(find_material("oak-northern-red"), (4.0, 16.0))
    assert "Eq. 13-3" in wide.source
    assert wide.value == pytest.approx(12 / (3000 / 8.6 - 30 + 4))
    unknown = cross_strain(find_material("beech-european"))
    known = [cross_strain(m).value for m in list_materials("hardwood") if m.ct is not None]
    assert unknown.value == max(known)
    assert "no coefficient of" in unknown.source


@pytest.mark.parametrize("stock", ["birch-ply-18", "mdf-19"])
def test_sheet_goods_are_still(stock: str) -> None:
    assert cross_strain(find_material(find_stock(stock).material)).value == 0.0


# ---- pieces


def top_on_rail(
    top_width: float, *, glued: bool = True, sites: tuple[float, ...] = (), grain: str = "x"
) -> Piece:
    """An oak board 600 long and `top_width` deep, on an oak rail that runs front to back under it."""
    draft = Draft("top")
    draft.board("rail", OAK, (0, 0, 0), (T, top_width, 60), grain="y")
    draft.board("top", OAK, (0, 0, 60), (600, top_width, 60 + T), grain=grain)
    screws = tuple(((T / 2, y, 60.0), (0.0, 0.0, 1.0)) for y in sites)
    fasteners = (Fastener("screw", 4.0, 30.0, screws),) if sites else ()
    return replace(draft.done(), joints=(Joint("butt", "rail", "top", glued, fasteners),))


def held(piece: Piece) -> tuple[Restraint, ...]:
    return find_restraints(piece, description_contacts(piece))


def test_a_top_glued_across_a_rail_fails() -> None:
    piece = top_on_rail(300.0)
    (found,) = held(piece)
    # the top moves over its 300 mm; the rail does not move along its own grain
    assert (found.how, found.label, found.by) == ("glued", "top", ("rail",))
    assert found.extent_mm == pytest.approx(300.0)
    assert found.movement_mm == pytest.approx(300 * OAK_STRAIN)
    assert [abs(c) for c in found.along] == pytest.approx([0, 1, 0])
    (finding,) = check_movement([found])
    assert (finding.name, finding.status, finding.limit) == ("wood-movement-glued", "fail", 1.5)
    assert finding.value == pytest.approx(6.642)
    assert "slots 6.6 mm longer" in finding.remedy
    assert "no more than 67.8 mm" in finding.remedy  # 1.5 / 0.02214


def test_a_narrow_glued_face_passes_and_says_how_much_it_holds() -> None:
    (finding,) = check_movement(held(top_on_rail(60.0)))
    assert (finding.name, finding.status) == ("wood-movement", "pass")
    assert finding.value == pytest.approx(60 * OAK_STRAIN)


def test_grains_that_run_alike_hold_nothing() -> None:
    # both boards' grain runs front to back: they move together
    piece = top_on_rail(300.0, grain="y")
    assert held(piece) == ()
    assert [f.status for f in check_movement(held(piece))] == ["pass"]


def test_shelves_and_sides_of_one_wood_move_together() -> None:
    # shelf grain across, side grain up, both 280 deep: nothing but the shelf's thickness differs
    draft = Draft("case")
    draft.board("side", OAK, (0, 0, 0), (T, 280, 600), grain="z")
    draft.board("shelf", OAK, (T, 0, 300), (600, 280, 300 + T), grain="x")
    piece = replace(draft.done(), joints=(Joint("butt", "side", "shelf", True),))
    (found,) = held(piece)
    assert found.extent_mm == pytest.approx(T)
    assert found.movement_mm == pytest.approx(T * OAK_STRAIN)


def test_a_solid_shelf_glued_to_a_plywood_side_fails() -> None:
    draft = Draft("case")
    draft.board("side", PLY, (0, 0, 0), (18, 280, 600), grain="z")
    draft.board("shelf", OAK, (18, 0, 300), (600, 280, 300 + T), grain="x")
    piece = replace(draft.done(), joints=(Joint("butt", "side", "shelf", True),))
    (found,) = held(piece)
    assert (found.label, found.by) == ("shelf", ("side",))
    assert found.movement_mm == pytest.approx(280 * OAK_STRAIN)


def test_sheet_goods_hold_nothing() -> None:
    draft = Draft("case")
    draft.board("side", PLY, (0, 0, 0), (18, 280, 600), grain="z")
    draft.board("shelf", PLY, (18, 0, 300), (600, 280, 318), grain="x")
    piece = replace(draft.done(), joints=(Joint("butt", "side", "shelf", True),))
    (finding,) = check_movement(held(piece))
    assert (finding.status, finding.value) == ("pass", 0.0)


def test_screws_across_the_grain_want_slots() -> None:
    piece = top_on_rail(300.0, glued=False, sites=(37.0, 261.0))
    (found,) = held(piece)
    assert found.how == "fastened"
    assert found.extent_mm == pytest.approx(224.0)
    (finding,) = check_movement([found])
    assert (finding.name, finding.status) == ("wood-movement-fastened", "warn")
    assert finding.value == pytest.approx(224 * OAK_STRAIN)
    assert "slots 5.0 mm longer" in finding.remedy


def test_one_screw_holds_nothing_and_a_dry_joint_neither() -> None:
    assert held(top_on_rail(300.0, glued=False, sites=(150.0,))) == ()
    assert held(top_on_rail(300.0, glued=False)) == ()


@pytest.mark.parametrize("gap", [0.0, 2.0])
def test_a_panel_shut_in_without_a_gap_is_told_what_it_needs(gap: float) -> None:
    draft = Draft("frame")
    for label, y in (("front", -50.0), ("back", 200.0)):
        draft.board(label, OAK, (0, y, 0), (400, y + 50, T), grain="x")
    draft.board("panel", OAK, (0, gap, 0), (400, 200, T), grain="x")
    (finding,) = check_movement(held(draft.done()))
    if gap:
        assert finding.status == "pass"
    else:
        assert (finding.name, finding.status) == ("wood-movement-trapped", "warn")
        assert finding.value == pytest.approx(200 * OAK_STRAIN)
        assert "leave a gap of 4.4 mm" in finding.remedy
        assert finding.where == "panel and front, back"


def test_a_drier_house_moves_less() -> None:
    piece = top_on_rail(300.0)
    contacts = description_contacts(piece)
    (usual,) = find_restraints(piece, contacts)
    (dry,) = find_restraints(piece, contacts, (6.0, 9.0))
    assert dry.movement_mm == pytest.approx(usual.movement_mm / 2)


def test_seasonal_movement_of_every_solid_part() -> None:
    draft = Draft("mixed")
    draft.board("side", PLY, (0, 0, 0), (18, 280, 600), grain="z")
    draft.board("shelf", OAK, (18, 0, 300), (600, 280, 300 + T), grain="x")
    piece = draft.done()
    (row,) = seasonal_movement(piece)
    assert (row.part, row.width_mm) == ("shelf", 280.0)
    assert row.change_mm == pytest.approx(280 * OAK_STRAIN)
    rows = movement_rows([row], held(top_on_rail(300.0)))
    assert rows["parts"][0]["change_mm"] == row.change_mm
    assert rows["held"][0]["label"] == "top"
    assert rows["held"][0]["movement_mm"] == pytest.approx(300 * OAK_STRAIN)
