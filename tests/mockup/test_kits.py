"""The kit: keys reckoned by hand, parts that share no space, an order that reaches every part."""

from __future__ import annotations

import json
import re
from itertools import combinations

import numpy as np
import pytest
import trimesh
from mockups import BOARD, admesh_repairs, bench, failed, made, read_strictly, stl

from furnigen import find_recipe, find_stock
from furnigen.cli.main import main
from furnigen.mockup.connections import find_connections, with_keys
from furnigen.mockup.kit import print_kit
from furnigen.mockup.overlap_removal import without_overlaps
from furnigen.mockup.print_solids import solid_mesh
from furnigen.mockup.printer import Printer
from furnigen.mockup.scale import read_scale
from furnigen.mockup.scaled_bodies import scaled_bodies
from furnigen.pipeline.made import Made

T = find_stock(BOARD).thickness_mm


@pytest.fixture(scope="module")
def bookcase() -> Made:
    """The kit of a bookcase, for a bed that holds none of its longest boards straight."""
    return made(find_recipe("panel_bookcase")(), "1:12", "kit", (180, 180, 180))


def kit_of(piece, scale: str, printer: Printer) -> tuple[list, dict]:
    """The parts of a kit in place as trimesh meshes by label, and its connections."""
    bodies = without_overlaps(piece, scaled_bodies(piece, read_scale(scale), printer).bodies, printer)
    connections = find_connections(piece, bodies, printer)
    meshes = {}
    for body, solid in zip(bodies, with_keys(bodies, connections), strict=True):
        v, f = solid_mesh(solid)
        meshes[body.label] = trimesh.Trimesh(v, f, process=False)
    return connections, meshes


def test_a_shelf_has_tabs_through_its_sides() -> None:
    printer = Printer(clearance_mm=0.2)
    connections, meshes = kit_of(bench(), "1:6", printer)
    assert {(c.male, c.female, c.kind) for c in connections} == {
        ("shelf", "side.left", "tab"),
        ("shelf", "side.right", "tab"),
    }
    # the shelf reaches through both sides: as wide as the bench
    assert np.ptp(meshes["shelf"].vertices, axis=0)[0] == pytest.approx(100.0, abs=4e-3)
    # what a side loses to a slot: tab and clearance all round, its thickness deep, open at the top end
    solid = 400 * 300 * T / 216
    for c in connections:
        assert c.key is not None
        lost = solid - meshes[c.female].volume
        low, high = c.key.least_mm * c.key.count * T / 6, (c.key.least_mm + 3) * 20 * c.key.count * T / 6
        assert low < lost < high


@pytest.mark.parametrize("clearance", [0.0, 0.1, 0.2, 0.3])
def test_the_gap_of_a_slot_is_the_clearance(clearance: float) -> None:
    printer = Printer(clearance_mm=clearance)
    connections, meshes = kit_of(find_recipe("panel_bookcase")(), "1:12", printer)
    tab = next(c for c in connections if c.kind == "tab" and c.male == "shelf.1.2")
    shelf, side = meshes[tab.male], meshes[tab.female]
    # read off the corners: the tip of each tab, and the corners of the slot round it in the side's outer face
    outer = side.bounds[0 if shelf.bounds[0][0] < 1 else 1][0]
    tips = np.unique(shelf.vertices[np.abs(shelf.vertices[:, 0] - outer) < 1e-3][:, 1:].round(4), axis=0)
    rim = side.vertices[np.abs(side.vertices[:, 0] - outer) < 1e-3][:, 1:]
    assert tab.key is not None
    assert len(tips) == 4 * tab.key.count
    for corners in tips.reshape(-1, 4, 2):
        low, high = corners.min(axis=0), corners.max(axis=0)
        slot = rim[((rim > low - 0.5) & (rim < high + 0.5)).all(axis=1)]
        assert slot.min(axis=0) == pytest.approx(low - clearance, abs=4e-3)
        assert slot.max(axis=0) == pytest.approx(high + clearance, abs=4e-3)


@pytest.mark.parametrize("recipe", ["panel_bookcase", "crate_wall", "ring_rack"])
def test_no_two_parts_share_space(recipe: str) -> None:
    _, meshes = kit_of(find_recipe(recipe)().without_loose, "1:12", Printer())  # as a mockup is made
    boxes = {label: m.bounds for label, m in meshes.items()}
    for a, b in combinations(meshes, 2):
        if (boxes[a][0] < boxes[b][1]).all() and (boxes[b][0] < boxes[a][1]).all():
            shared = trimesh.boolean.intersection([meshes[a], meshes[b]], engine="manifold")
            t = shared.triangles
            volume = np.einsum("ij,ij->", t[:, 0], np.cross(t[:, 1], t[:, 2])) / 6 if len(t) else 0.0
            # a film on faces that touch is rounding: a thousandth of a mm on 100 mm²
            assert volume < 0.1, (a, b)


def test_crossing_boards_are_halved() -> None:
    _, meshes = kit_of(find_recipe("crate_wall")(), "1:12", Printer())
    labels = {label for label in meshes if label.split(".")[0] in ("upright", "shelf")}
    assert len(labels) == 5
    for label in labels:
        assert meshes[label].is_volume
        assert meshes[label].body_count == 1


def test_every_part_is_reached_and_lies_flat(tmp_path) -> None:
    piece = find_recipe("ring_rack")()
    result = made(piece, "1:12", "kit")
    assert failed(result) == []
    kit = json.loads(result.files["mockup.json"])["ways"]["kit"]
    labels = {p.label for p in piece.without_loose.placements}  # the slots of loose parts stay uncut
    assert {label for step in kit["assembly"] for label in step["brings"]} >= labels
    assert {p["name"] for p in kit["pieces"]} == labels
    # no part of a rack of boards needs support, or is higher than its board and a letter
    assert kit["support_mm2"] == pytest.approx(0.0, abs=1.0)
    assert kit["height_mm"] < 3.0
    for name, data in result.files.items():
        if name.endswith(".stl"):
            assert set(admesh_repairs(data, tmp_path).values()) == {0}, name


def test_the_files_hold_every_part_within_the_bed(bookcase: Made) -> None:
    piece, result = find_recipe("panel_bookcase")(), bookcase
    told = json.loads(result.files["mockup.json"])
    named: dict[str, trimesh.Trimesh] = {}
    for bed in told["beds"]:
        named |= read_strictly(result.files[f"kit/{bed['name']}.3mf"])
        laid = stl(result.files[f"kit/{bed['name']}.stl"])
        assert laid.bounds[0, 2] == pytest.approx(0, abs=1e-3)
        assert (laid.bounds[0][:2] >= 7 - 0.02).all()
        assert (laid.bounds[1][:2] <= 180 - 7 + 0.02).all()
        # parts on one bed keep apart: each is a body of its own
        assert laid.body_count == len(bed["pieces"])
    assert set(named) == {p.label for p in piece.placements}
    for piece_row in told["ways"]["kit"]["pieces"]:
        by_trimesh = stl(result.files[f"kit/parts/{piece_row['name']}.stl"])
        assert named[piece_row["name"]].volume == pytest.approx(piece_row["volume_mm3"], rel=1e-6)
        assert by_trimesh.volume == pytest.approx(piece_row["volume_mm3"], rel=1e-6)


def test_parts_bear_their_names(bookcase: Made) -> None:
    plain = Printer()
    labels = {row["part"]: row for row in json.loads(bookcase.files["mockup.json"])["ways"]["kit"]["labels"]}
    assert labels["back.1"]["raised"] == "back.1"
    for row in labels.values():
        assert row["raised"] in ("", row["part"], str(row["number"]))
    # the letters stand 0.4 mm above the board of 0.8 mm (facts on printing: looked-up)
    back = stl(bookcase.files["kit/parts/back.1.stl"])
    assert back.extents[2] == pytest.approx(2 * plain.nozzle_mm + 0.4, abs=5e-3)


def borne(piece, scale: str) -> dict[str, str]:
    """What each part of a kit that goes together bears, by label."""
    result = made(piece, scale, "kit")
    assert failed(result) == []
    labels = json.loads(result.files["mockup.json"])["ways"]["kit"]["labels"]
    return {row["part"]: row["raised"] for row in labels}


def sides_up(recipe: str, names: str) -> dict[str, tuple[str, np.ndarray]]:
    """What each part of a kit bears, and which way its upper face as printed looks in the mockup."""
    piece, printer, scale = find_recipe(recipe)(), Printer(), read_scale("1:12")
    plan = print_kit(piece, scaled_bodies(piece, scale, printer), printer, scale, names)
    raised = {row["part"]: row["raised"] for row in plan.details["labels"]}
    return {p.name: (raised[p.name], p.back[:, 2]) for p in plan.pieces if p.name in raised}


def test_names_stand_where_nobody_sees_them() -> None:
    parts = sides_up("panel_bookcase", "hidden")
    assert all(text for text, _ in parts.values())
    looks = {label: tuple(np.round(up).astype(int)) for label, (_, up) in parts.items()}
    # shelves and floors from below, sides from within, the back from behind
    assert {looks[label] for label in looks if label.startswith(("shelf", "bottom", "top"))} == {(0, 0, -1)}
    assert (looks["side.left"], looks["side.right"]) == ((1, 0, 0), (-1, 0, 0))
    assert {looks[label] for label in looks if label.startswith("back")} == {(0, 1, 0)}


@pytest.mark.parametrize("recipe", ["divided_case", "crate_wall"])
@pytest.mark.slow
def test_the_places_of_names_can_be_chosen(recipe: str) -> None:
    hidden, anywhere, none = (sides_up(recipe, names) for names in ("hidden", "any", "none"))
    assert {text for text, _ in none.values()} == {""}
    borne = {label for label, (text, _) in hidden.items() if text}
    assert borne
    assert borne <= {label for label, (text, _) in anywhere.items() if text}


def test_what_wants_glue_is_named(capsys, tmp_path) -> None:
    command = ["mockup", "panel_bookcase", "--scale", "1:12", "--way", "kit", "--formats", "3mf"]
    assert main([*command, "--out", str(tmp_path / "kit")]) == 0
    said = capsys.readouterr().out
    rows = json.loads((tmp_path / "kit/mockup.json").read_text())["ways"]["kit"]["connections"]
    bare = [row for row in rows if row["kind"] == "glued"]
    assert bare
    assert f"glue: {len(bare)} of {len(rows)} joints have no tab or peg" in said
    for row in bare:
        assert re.search(rf"{re.escape(row['into'])} with .*{re.escape(row['from'])}", said)
    assert re.search(r"\d+ g .*of PLA", said)


def test_leaning_parts_lie_along_their_own_edges() -> None:
    # posts of 161 x 8 mm lean by 9°: laid as they lean, each takes a box of 30 mm
    result = made(find_recipe("leaning_shelf")(), "1:12", "kit", (180, 180, 180))
    kit = json.loads(result.files["mockup.json"])["ways"]["kit"]
    posts = [p for p in kit["pieces"] if p["name"].startswith("post")]
    assert len(posts) == 2
    for post in posts:
        assert min(post["size_mm"][:2]) < 10.0


def test_parts_cut_at_an_angle_are_sound() -> None:
    # laid flat, corners of a shelf let into posts that lean by 25° were a fifth of a micrometre apart
    assert failed(made(find_recipe("leaning_shelf")(lean=25.0), "1:12", "kit", (180, 180, 180))) == []


def test_letters_keep_clear_of_boards_halved_into_theirs() -> None:
    # a board that crosses another closes a clearance above its face: letters there had to go, on both
    raised = borne(find_recipe("crate_wall")(), "1:10")
    assert all(text for label, text in raised.items() if label.split(".")[0] in ("upright", "shelf"))


@pytest.mark.slow
def test_keys_that_lock_the_parts_cost_no_letters() -> None:
    sizes = {"width": 900, "depth": 450, "height": 1200, "overhang": 0, "first": 100, "below_top": 250}
    ways = {"build": "butted uprights", "corner": "tenoned", "support": "cleat", "bearer": 60}
    boards = {"frame_board": find_stock("birch-ply-30-2440"), "frames": 2, "shelves": 2, "boards": "flat"}
    result = made(find_recipe("ring_rack")(**sizes, **ways, **boards), "1:6", "kit")
    assert failed(result) == []
    kit = json.loads(result.files["mockup.json"])["ways"]["kit"]
    # the lower shelf gets no keys to the frames, or it could not come in between them
    assert {c["into"] for c in kit["connections"] if "lock" in c.get("why", "")} == {"shelf.1"}
    # letters are not to blame: the frames keep theirs
    raised = {row["part"]: row["raised"] for row in kit["labels"]}
    assert all(raised[f"frame.{n}.{side}"] for n in (1, 2) for side in ("front", "back", "bottom", "top"))


def test_keys_across_mitres_are_one_with_the_boards_they_join():
    """A key of 6.8 mm is 0.6 mm at 1:12, thinner than a line of the nozzle: its slot is not cut."""
    piece = find_recipe("ring_rack")(boards="flat", corner="key")
    assert piece.loose
    result = made(piece, "1:12", "kit")
    mockup = json.loads(result.files["mockup.json"])
    assert not [name for bed in mockup["beds"] for name in bed["pieces"] if ".key" in name]
    assert {c["cut"] for c in mockup["left_out"]} >= {"key"}
    assert not failed(result)
