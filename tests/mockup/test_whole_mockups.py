"""The mockup in one solid, against volumes and sizes reckoned by hand and readers that are not ours."""

from __future__ import annotations

import json

import numpy as np
import pytest
from mockups import BOARD, admesh_repairs, bench, failed, made, read_strictly, stl

from furnigen import Draft, find_recipe, find_stock
from furnigen.mockup.printer import Printer
from furnigen.mockup.scale import read_scale
from furnigen.mockup.scaled_bodies import scaled_bodies

T = find_stock(BOARD).thickness_mm
GRID = 2 * 2.0**-10  # the grid of corners moves either end of a size by less than a step


def test_a_bench_is_one_solid_of_the_volume_reckoned_by_hand() -> None:
    result = made(bench(), "1:6", "whole")
    assert failed(result) == []
    mesh = stl(result.files["whole/bed.1.stl"])
    assert mesh.is_volume
    assert mesh.body_count == 1
    # two sides 400 x 300 x T and a shelf (600 - 2 T) x 300 x T, over 6 cubed
    by_hand = (2 * 400 * 300 * T + (600 - 2 * T) * 300 * T) / 216
    assert mesh.volume == pytest.approx(by_hand, rel=2e-3)
    assert sorted(mesh.extents) == pytest.approx([50.0, 400 / 6, 100.0], abs=GRID)


def test_both_readers_agree_with_the_report() -> None:
    result = made(find_recipe("divided_case")(), "1:12", "whole")
    assert failed(result) == []
    told = json.loads(result.files["mockup.json"])["ways"]["whole"]
    by_lib3mf = read_strictly(result.files["whole/bed.1.3mf"])["mockup"]
    by_trimesh = stl(result.files["whole/parts/mockup.stl"])
    assert by_lib3mf.volume == pytest.approx(told["volume_mm3"], rel=1e-6)
    assert by_trimesh.volume == pytest.approx(told["volume_mm3"], rel=1e-6)
    # 1.24 g/cm³, the density of PLA (from memory)
    assert told["mass_g"] == pytest.approx(by_trimesh.volume / 1000 * 1.24, rel=1e-6)
    assert told["height_mm"] == pytest.approx(by_trimesh.extents[2], abs=1e-4)


@pytest.mark.parametrize(
    ("recipe", "scale", "values"),
    [
        ("panel_bookcase", "1:12", {}),
        ("leaning_shelf", "1:20", {}),
        # these lie aslant on the bed, where corners of facets come out on no grid
        ("leaning_shelf", "1:10", {}),
        ("leaning_shelf", "1:10", {"first": 20.0}),
    ],
)
def test_admesh_finds_nothing_to_repair(recipe: str, scale: str, values: dict, tmp_path) -> None:
    result = made(find_recipe(recipe)(**values), scale, "whole", (180, 180, 180))
    for name, data in result.files.items():
        if name.endswith(".stl"):
            assert set(admesh_repairs(data, tmp_path).values()) == {0}, name


def test_a_board_too_thin_is_thickened_and_told() -> None:
    # 18 mm at 1:30 is 0.6 mm: every board grows to 0.8 mm, and the outer sizes stay
    piece, printer = bench(), Printer()
    scaled = scaled_bodies(piece, read_scale("1:30"), printer)
    assert {c.label for c in scaled.changes} == {"side.left", "side.right", "shelf"}
    for change in scaled.changes:
        assert change.from_mm == pytest.approx(T / 30)
        assert change.to_mm == pytest.approx(0.8)
        assert change.how == "inward"  # all three boards lie at the outside of the bench
    result = made(piece, "1:30", "whole")
    assert failed(result) == []
    assert sorted(stl(result.files["whole/bed.1.stl"]).extents) == pytest.approx(
        [10.0, 400 / 30, 20.0], abs=GRID
    )


def test_a_board_inside_grows_about_its_middle() -> None:
    stock = find_stock(BOARD)
    draft = Draft("shelves")
    draft.board("side", stock, (0, 0, 0), (T, 300, 900), grain="z")
    draft.board("shelf", stock, (T, 0, 400), (600, 300, 400 + T), grain="x")
    draft.board("foot", stock, (T, 0, 0), (600, 300, T), grain="x")
    scaled = scaled_bodies(draft.done(), read_scale("1:30"), Printer())
    hows = {c.label: c.how for c in scaled.changes}
    assert hows["shelf"] == "about its middle"
    assert hows["foot"] == "inward"


def test_parts_that_meet_in_an_edge_are_joined_by_a_block() -> None:
    stock = find_stock(BOARD)
    draft = Draft("edge")
    draft.board("low", stock, (0, 0, 0), (300, 300, T), grain="x")
    draft.board("high", stock, (300, 0, T), (600, 300, 2 * T), grain="x")
    result = made(draft.done(), "1:6", "whole")
    told = json.loads(result.files["mockup.json"])["ways"]["whole"]
    assert [m["where"] for m in told["joined_by"]] != []
    mesh = stl(result.files["whole/bed.1.stl"])
    assert mesh.is_volume
    assert mesh.body_count == 1


def test_a_bookcase_lies_on_its_back() -> None:
    # shelves printed standing need no support; upright, each would hang in the air
    piece = find_recipe("panel_bookcase")(width=1800.0)
    told = json.loads(made(piece, "1:12", "whole").files["mockup.json"])
    whole = told["ways"]["whole"]
    assert whole["lies"] == ["on its back"]
    # only the two plinth boards hang over the bed, each (1800 - 2 x 18) / 12 wide, 80 / 12 high
    board = find_stock("birch-ply-18-2440").thickness_mm
    assert whole["support_mm2"] == pytest.approx(2 * (1800 - 2 * board) / 12 * 80 / 12, rel=0.01)


def test_a_large_mockup_is_cut_at_boards_and_pegged(tmp_path) -> None:
    result = made(find_recipe("panel_bookcase")(), "1:6", "whole", (220, 220, 220))
    assert failed(result) == []
    told = json.loads(result.files["mockup.json"])["ways"]["whole"]
    # 300 mm wide and 333 mm high: halves each way are the fewest on a bed of 220 mm
    assert len(told["pieces"]) == 4
    assert {c["face_of"].split(".")[0] for c in told["cuts"]} <= {"upright", "shelf"}
    assert told["pegs"] >= 4
    total = 0.0
    for piece in told["pieces"]:
        assert (np.array(piece["size_mm"]) <= 220.001).all()
        data = result.files[f"whole/parts/{piece['name']}.stl"]
        assert set(admesh_repairs(data, tmp_path).values()) == {0}
        total += stl(data).volume
    # the pieces are the whole, but for the clearance round the pegs
    whole = stl(
        made(find_recipe("panel_bookcase")(), "1:6", "whole", (350, 350, 350)).files["whole/bed.1.stl"]
    )
    assert total == pytest.approx(whole.volume, rel=0.01)


def test_the_same_piece_gives_the_same_bytes() -> None:
    first, second = (made(find_recipe("ring_rack")(), "1:12", "whole").files for _ in range(2))
    assert first == second
