"""Stock and materials: every value against the facts it was copied from, and what a maker may ask for.

tests/facts/wood.csv and shrinkage.csv hold the published rows with their provenance; lumber.csv holds the
nominal and real sizes of softwood (PS 20), plywood and hardwood quarters.
"""

import csv
import pickle
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from furnigen.catalogue.materials import Material, find_material, list_materials
from furnigen.catalogue.stock import KINDS, Stock, find_stock, list_stock
from furnigen.core.errors import InputError
from furnigen.core.quantities import parse_length

FACTS = Path(__file__).parent / "facts"
GUESS = "common practice, no source"


def facts(name: str) -> list[dict[str, str]]:
    with (FACTS / f"{name}.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def inches(what: str) -> dict[str, float]:
    """Nominal size to real mm of one group of lumber.csv."""
    return {
        r["nominal_in"]: parse_length(r["actual_in"], bare_unit="in")
        for r in facts("lumber")
        if r["what"] == what
    }


def maybe(text: str) -> float | None:
    return float(text) if text else None


# ---- materials


@pytest.mark.parametrize("row", facts("wood"), ids=lambda r: r["material"])
def test_stiffness_strength_and_density_are_the_published_ones(row: dict[str, str]) -> None:
    material = find_material(row["material"])
    assert material.moe_mpa == float(row["moe_mpa"])
    assert material.moe_cross_mpa == maybe(row["moe_perp_mpa"])
    assert material.mor_mpa == maybe(row["mor_mpa"])
    assert (material.strength_source.text, material.strength_source.provenance) == (
        row["source"],
        row["provenance"],
    )
    if row["density_kg_m3"]:
        assert material.density_kg_m3 == float(row["density_kg_m3"])
        assert material.density_source.provenance == row["provenance"]
    else:
        assert material.density_source.text != row["source"]


def test_a_density_no_table_gives_is_the_middle_of_the_usual_range() -> None:
    """700 to 800 kg/m³ for MDF, 650 to 700 for particleboard: common practice, no source."""
    assert find_material("mdf-12-19").density_kg_m3 == (700 + 800) / 2
    assert find_material("particleboard-p2").density_kg_m3 == (650 + 700) / 2
    assert find_material("mdf-12-19").density_source.provenance == GUESS
    # Douglas-fir plywood: middle of SG 0.4 to 0.6, Wood Handbook FPL-GTR-190 Table 12-1
    low, high = find_material("plywood-softwood-low"), find_material("plywood-softwood-high")
    middle = (low.density_kg_m3 + high.density_kg_m3) / 2
    assert find_material("plywood-douglas-fir").density_kg_m3 == middle == 500


def test_handbook_density_is_specific_gravity_times_1120() -> None:
    """Ovendry mass over volume at 12 % moisture, times 1.12 for the water: 1120 kg/m³ a unit of SG."""
    rows = [r for r in facts("wood") if "Table 5-3a" in r["source"]]
    assert len(rows) > 80
    for row in rows:
        density = find_material(row["material"]).density_kg_m3
        assert density == pytest.approx(1120 * float(row["sg_12pct"]), abs=0.5 + 1e-9)


@pytest.mark.parametrize("row", facts("shrinkage"), ids=lambda r: r["material"])
def test_movement_is_the_published_one(row: dict[str, str]) -> None:
    material = find_material(row["material"])
    assert material.shrink_radial_pct == float(row["radial_pct"])
    assert material.shrink_tangential_pct == float(row["tangential_pct"])
    assert material.shrink_source is not None
    assert (material.shrink_source.text, material.shrink_source.provenance) == (
        row["source_shrinkage"],
        row["provenance_shrinkage"],
    )
    assert material.cr == maybe(row["CR_per_pct_MC"])
    assert material.ct == maybe(row["CT_per_pct_MC"])
    if material.ct is not None:
        assert material.movement_source is not None
        assert material.movement_source.provenance == row["provenance_coeff"]
        # across the rings wood moves less than along them, in every species of the table
        assert material.cr is None or material.cr < material.ct


def test_movement_gives_the_handbook_example() -> None:
    """White fir 232 mm wide, flat-sawn, 8 to 11 %: +1.7 mm (Wood Handbook chapter 13, worked example)."""
    ct = find_material("fir-white").ct
    assert ct is not None
    assert 232 * ct * (11 - 8) == pytest.approx(1.7, abs=0.05)


@pytest.mark.parametrize("material", list_materials(), ids=lambda m: m.name)
def test_every_value_has_a_source(material: Material) -> None:
    known = {"looked-up", "memory", "hand-derived", GUESS}
    for source in (material.density_source, material.strength_source, material.look_source):
        assert source.text
        assert source.provenance in known
    assert (material.shrink_radial_pct is None) == (material.shrink_source is None)
    assert (material.ct is None) == (material.movement_source is None)
    assert 100 < material.density_kg_m3 < 8000
    assert material.mor_mpa is None or material.mor_mpa < material.moe_mpa
    assert all(0 <= c <= 1 for c in material.colour)
    assert material.name == material.name.lower()
    assert " " not in material.name


def test_the_look_is_linear_light() -> None:
    """sRGB 188 of 255 is half the light to within 1 % (IEC 61966-2-1, from memory)."""
    base = find_material("pla")
    grey = Material(**{f: getattr(base, f) for f in base.__slots__} | {"look": "#00ffbc"})
    assert grey.colour == (0.0, 1.0, pytest.approx(0.5, rel=0.01))


def test_an_unknown_material_is_refused_with_names_like_it() -> None:
    with pytest.raises(InputError, match=r"material = oak: must be .* did you mean .*oak-"):
        find_material("oak")
    with pytest.raises(InputError, match=r"kind = wood: .* kinds are .*hardwood"):
        list_materials("wood")
    assert {m.kind for m in list_materials("softwood")} == {"softwood"}


# ---- stock


@pytest.mark.parametrize("stock", list_stock(), ids=lambda s: s.name)
def test_every_stock_is_whole(stock: Stock) -> None:
    material = find_material(stock.material)
    assert stock.source
    assert stock.provenance in {"looked-up", "memory", GUESS}
    assert 0 < stock.thickness_mm <= stock.width_mm <= stock.length_mm
    assert find_stock(stock.name) is stock
    assert stock.grain or material.kind in {"mdf", "particleboard", "melamine-faced", "hardboard"}
    if stock.section == "round" or stock.kind in {"bar", "blank"}:
        assert stock.width_mm == stock.thickness_mm
    assert stock.name == stock.name.lower()
    assert not set(stock.name) & set(" /@\"'")


@pytest.mark.parametrize("name", ["pine", "spruce", "fir", "cedar"])
def test_softwood_is_dressed_to_ps_20(name: str) -> None:
    """PS 20 minimum dressed, dry: engineering reference table of PS 20."""
    widths = inches("width")
    thick = {"1": inches("board thickness")["1"], "2": inches("dimension thickness")["2"]}
    boards = [s for s in list_stock("board") if s.name.startswith(f"{name}-")]
    assert len(boards) >= 15
    for board in boards:
        t, w = board.nominal.split("x")
        assert (board.thickness_mm, board.width_mm) == (thick[t], widths[w])
        assert board.provenance == "looked-up"


def test_a_one_by_twelve_is_3_4_by_11_1_4_inches() -> None:
    """19.05 x 285.75 mm, worked out by hand from PS 20."""
    board = find_stock("pine-1x12")
    assert (board.thickness_mm, board.width_mm) == (19.05, 285.75)


def test_plywood_sold_in_inches_is_thinner_than_its_name() -> None:
    """Plywood specification page, agreeing with three more; 23/32 in = 18.256 mm by hand."""
    actual = inches("plywood thickness")
    sheets = [s for s in list_stock("sheet") if s.name.startswith("fir-ply-")]
    assert len(sheets) == 6
    for sheet in sheets:
        assert sheet.thickness_mm == actual[sheet.nominal.removesuffix(" in")]
        assert (sheet.width_mm, sheet.length_mm) == (1219.2, 2438.4)  # 4 x 8 ft
    assert find_stock("fir-ply-3/4in").thickness_mm == pytest.approx(18.256, abs=5e-4)


@pytest.mark.parametrize(
    ("nominal", "plies"),
    [("6.5", 5), ("9", 7), ("12", 9), ("15", 11), ("18", 13), ("21", 15), ("24", 17), ("27", 19), ("30", 21)],
)
def test_birch_plywood_is_as_thick_as_its_plies(nominal: str, plies: int) -> None:
    """1.4 mm a ply, each face ply sanded to 1.1 mm (Handbook of Finnish Plywood, second-hand)."""
    sheet = find_stock(f"birch-ply-{nominal}")
    assert sheet.thickness_mm == pytest.approx(plies * 1.4 - 0.6)
    row = next(r for r in facts("wood") if r["material"] == sheet.material)
    mean = row["thickness_mm"].split("; ")[1].removesuffix(" mean")
    assert sheet.thickness_mm == float(mean)
    assert find_stock(f"birch-ply-{nominal}-2440").thickness_mm == sheet.thickness_mm


def test_thirteen_plies_of_18_mm_birch_are_17_6_mm() -> None:
    """Mean thickness in the Handbook of Finnish Plywood (second-hand copy)."""
    assert find_stock("birch-ply-18").thickness_mm == 17.6


def test_each_board_material_covers_the_thickness_of_the_sheet() -> None:
    """EN 622-5, EN 300 and EN 312 state stiffness by thickness class."""
    for sheet in list_stock("sheet"):
        row = next(r for r in facts("wood") if r["material"] == sheet.material)
        if row["source"].startswith(("EN 622-5", "EN 300", "EN 312")):
            low, high = row["thickness_mm"].replace("<", "").split("-")
            above, least = low.startswith(">"), float(low.lstrip(">"))
            if "stiffness taken from the class" not in sheet.note:
                assert sheet.thickness_mm > least if above else sheet.thickness_mm >= least
            assert sheet.thickness_mm <= float(high)


def test_hardwood_quarters() -> None:
    """4/4 surfaces to 13/16 in (woodworking tips page), 8/4 to 1-3/4 in (common practice, no source)."""
    for species in ("red-oak", "white-oak", "ash", "beech", "maple", "walnut", "cherry", "poplar"):
        assert find_stock(f"{species}-4/4").thickness_mm == inches("hardwood 4/4 surfaced")["1"] == 20.6375
        assert find_stock(f"{species}-8/4").thickness_mm == inches("hardwood 8/4 surfaced")["2"] == 44.45
        assert find_stock(f"{species}-4/4-rough").thickness_mm == 25.4
        assert find_stock(f"{species}-8/4-rough").thickness_mm == 50.8


# ---- measured thickness


def test_a_measured_thickness_is_the_same_stock_but_for_it() -> None:
    plain = find_stock("birch-ply-18")
    for spec in ("birch-ply-18@17.8", "birch-ply-18@17.8mm", "birch-ply-18 @ 1.78 cm"):
        measured = find_stock(spec)
        assert measured == plain.with_thickness(17.8)
        assert (measured.name, measured.thickness_mm, measured.as_sold_mm) == (
            "birch-ply-18@17.8",
            17.8,
            17.6,
        )
        assert (measured.material, measured.length_mm) == (plain.material, plain.length_mm)
    assert find_stock("birch-ply-18@11/16in").thickness_mm == 17.4625  # 11/16 x 25.4
    assert find_stock("birch-ply-18@17.6") == plain
    assert find_stock("birch-ply-18@17.8").with_thickness(17.6) == plain


def test_a_square_blank_or_rod_is_measured_both_ways_at_once() -> None:
    blank = find_stock("beech-blank-50@45")
    assert (blank.thickness_mm, blank.width_mm, blank.length_mm) == (45.0, 45.0, 900.0)
    rod = find_stock("dowel-beech-10@10.1")
    assert (rod.thickness_mm, rod.width_mm) == (10.1, 10.1)
    assert rod.with_thickness(10.0) == find_stock("dowel-beech-10")
    board = find_stock("pine-2x2@30")
    assert (board.thickness_mm, board.width_mm) == (30.0, 38.1)


@pytest.mark.parametrize(
    ("spec", "message"),
    [
        # 17.6 mm less or more 15 % is 14.96 to 20.24 mm
        ("birch-ply-18@12", r"= 12.0 mm: must be from 14.96 mm to 20.24 mm .* birch-ply-12 is 12.0 mm$"),
        ("birch-ply-18-2440@12", "birch-ply-12-2440 is 12.0 mm$"),
        # a board planes down, not up: 19.05 mm and a third of it, 6.35 mm
        ("pine-1x12@20", r"must be from 6.35 mm to 19.05 mm .* pine-2x12 is 38.1 mm$"),
        ("pine-1x12@5", "no pine in the table can be 5.0 mm$"),
        ("red-oak-4/4@30 mm", "red-oak-5-4-rough is 31.8 mm$"),
        ("dowel-beech-10@12", "dowel-beech-12 is 12.0 mm$"),
        ("mdf-18@-3", "thickness of mdf-18 = -3 mm: must be more than zero"),
        ("mdf-18@", "thickness of mdf-18 = '': must be a length"),
        ("mdf-18@18@18", "must be a length"),
        ("mdf-18@nan", "must be a length"),
    ],
)
def test_a_thickness_the_stock_can_not_have_is_refused_with_what_would_fit(spec: str, message: str) -> None:
    with pytest.raises(InputError, match=message):
        find_stock(spec)


@pytest.mark.parametrize(
    ("spec", "message"),
    [
        ("brch-ply-18", "did you mean birch-ply-18"),
        ("birch 18", "did you mean birch-ply-18"),
        ("oak 4/4", "did you mean red-oak-4-4"),
        ("xyz", "there are [0-9]+ to choose from"),
        ("", "stock = '': must be the name of a known stock"),
        ("@18", "stock = '': must be the name of a known stock"),
        ("a" * 5000, "stock = aaaaaaaaaaaaaaaaaaaa[.]{3}: must be"),
    ],
)
def test_an_unknown_stock_is_refused_with_names_like_it(spec: str, message: str) -> None:
    with pytest.raises(InputError, match=message):
        find_stock(spec)


STOCK = st.sampled_from(list_stock())


@given(STOCK, st.floats(0.05, 3.0))
def test_a_measured_stock_is_found_again_by_its_name(stock: Stock, ratio: float) -> None:
    mm, sold = ratio * stock.thickness_mm, stock.thickness_mm
    planed = stock.kind != "sheet" and stock.section == "rect"
    least, most = (sold / 3, sold) if planed else (0.85 * sold, 1.15 * sold)
    rounding = 0.005 + 1e-6  # the limits are whole hundredths of a millimetre
    if not least - rounding <= mm <= most + rounding:
        with pytest.raises(InputError, match="must be from"):
            stock.with_thickness(mm)
    elif least + rounding <= mm <= most - rounding:
        measured = stock.with_thickness(mm)
        assert measured.thickness_mm == pytest.approx(mm, rel=1e-9)
        assert find_stock(measured.name) == measured
        assert measured.with_thickness(sold) == stock
        assert pickle.loads(pickle.dumps(measured)) == measured
        assert len({measured, find_stock(measured.name)}) == 1


@pytest.mark.parametrize("stock", list_stock(), ids=lambda s: s.name)
def test_the_limits_a_refusal_names_are_taken(stock: Stock) -> None:
    with pytest.raises(InputError) as caught:
        stock.with_thickness(9 * stock.thickness_mm)
    least, most = caught.value.allowed.removeprefix("must be from ").split(" (")[0].split(" to ")
    for limit in (least, most):
        mm = parse_length(limit)
        assert stock.with_thickness(mm).thickness_mm == mm


def test_stock_by_kind() -> None:
    assert sum(len(list_stock(kind)) for kind in KINDS) == len(list_stock())
    assert {s.kind for s in list_stock("blank")} == {"blank"}
    with pytest.raises(InputError, match="kind of stock = plank: must be sheet, board, bar, blank"):
        list_stock("plank")


def own(**changes: object) -> Stock:
    """A stock a recipe might declare for itself."""
    given_: dict[str, object] = {
        "name": "own", "title": "Own", "kind": "sheet", "material": "acrylic", "nominal": "5 mm",
        "thickness_mm": 5.0, "width_mm": 600.0, "length_mm": 900.0, "grain": False,
        "source": "offcut", "provenance": "measured",
    }  # fmt: skip
    return Stock(**(given_ | changes))  # type: ignore[arg-type]


def test_a_recipe_may_declare_its_own_stock() -> None:
    assert own().with_thickness(5.2).name == "own@5.2"
    assert hash(own()) == hash(pickle.loads(pickle.dumps(own())))
    assert pickle.loads(pickle.dumps(find_material("oak-white"))) == find_material("oak-white")
    with pytest.raises(InputError, match="thickness of own = 0 mm: must be more than zero"):
        own(thickness_mm=0.0)
    with pytest.raises(InputError, match="kind of stock = foil"):
        own(kind="foil")
    with pytest.raises(InputError, match="section of stock = oval: must be rect or round"):
        own(section="oval")
