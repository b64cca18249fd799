"""Sweeps of sag and strength: what the checks alone say, for each variant, without the kernel."""

from __future__ import annotations

import csv
import importlib
import re
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from trial import command, finished, trial_family

from furnigen import __version__
from furnigen.core.errors import GeometryError
from furnigen.family.making import Maker
from furnigen.family.task import Setup, Task
from furnigen.piece.description import LoadOn
from furnigen.pipeline.built import Built
from furnigen.pipeline.options import MakeOptions
from furnigen.recipes.discovery import find_recipe, load_file
from furnigen.recipes.recipe import Recipe
from furnigen.strength.model.demands import Demands

SAG = """
recipe = "trial.py"
outputs = []
checks = ["fit", "sag", "standing"]
[vary]
width = [600, 900, 1200]
[load]
shelf = "30 kg/m"
[strength]
sag_limit = "L/300"
climate = 2
"""


def test_a_sweep_says_what_the_check_alone_says(tmp_path):
    trial_family(tmp_path, SAG)
    status, _, err = finished(tmp_path, "family.toml", "--workers", "1")
    assert err == ""
    with (tmp_path / "out" / "family" / "family.csv").open() as file:
        rows = list(csv.DictReader(file))
    recipe = load_file(tmp_path / "trial.py")
    for row, width in zip(rows, (600.0, 900.0, 1200.0), strict=True):
        piece = replace(recipe(width=width), loads=(LoadOn("shelf", "30 kg/m"),))
        options = MakeOptions((), demands=Demands("L/300", 2))
        alone = Built(piece, options).make((), ["fit", "sag", "standing"])
        sag = max((f for f in alone.findings if f.name == "sag"), key=lambda f: f.used or 0.0)
        assert float(row["checks.sag.value"]) == pytest.approx(sag.value, abs=1e-6)
        assert float(row["checks.sag.used"]) == pytest.approx(sag.used, abs=1e-6)
    sags = [float(r["checks.sag.value"]) for r in rows]
    # 5 w L^4 / (384 E I): twice the span, about sixteen times the sag
    assert 12 < sags[2] / sags[0] < 20
    assert status == int(any(r["status"] == "fail" for r in rows))


def test_a_sweep_of_sag_loads_no_kernel(tmp_path):
    trial_family(tmp_path, SAG)
    script = (
        "import sys; from furnigen.cli.main import main; main(sys.argv[1:]);"
        "heavy = ('OCP', 'cadquery', 'trimesh', 'vtkmodules');"
        "print([n for n in heavy if n in sys.modules], file=sys.stderr)"
    )
    words = [command()[0], "-c", script, "family", "family.toml", "--workers", "0"]
    done = subprocess.run(words, cwd=tmp_path, capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"


@pytest.mark.parametrize("name", ["ring_rack", "divided_case", "ladder_rack", "leaning_shelf", "crate_wall"])
def test_sag_alone_is_the_sag_of_all_strength(name):
    """Sag alone looks at boards without the holes for hardware: that must change next to nothing."""
    piece = find_recipe(name)()
    alone = [f for f in Built(piece).findings_of(["sag"]) if f.name == "sag"]
    whole = [f for f in Built(piece).findings_of(["sag", "standing"]) if f.name == "sag"]
    assert [f.status for f in alone] == [f.status for f in whole]
    for one, other in zip(alone, whole, strict=True):
        assert one.value == pytest.approx(other.value, rel=2e-3, abs=1e-6)
        assert one.where.split(":")[0] == other.where.split(":")[0]


def maker_of(recipe: Recipe, checks: tuple[str, ...]) -> Maker:
    file = Path(recipe.function.__code__.co_filename)
    rest = {"units": "mm", "formats": (), "tolerance_mm": 0.1, "picture_px": (8, 8), "limits": ()}
    rest |= {"checks": checks, "loads": (), "strength": ()}
    return Maker(Setup(__version__, recipe.name, str(file), file.read_bytes(), **rest))


@pytest.mark.parametrize("checks", [("fit", "sag"), ("fit", "strength", "standing")], ids="+".join)
@pytest.mark.parametrize(
    "name", ["crate_wall", "divided_case", "ladder_rack", "leaning_shelf", "panel_bookcase", "ring_rack"]
)
def test_variants_made_together_come_out_as_when_made_alone(name, checks):
    recipe = find_recipe(name)
    maker = maker_of(recipe, checks)
    tall = next(p for p in recipe.parameters if p.name == "height")
    heights = [tall.default * share for share in (0.9, 1.0, 1.1, 50.0, 0.95)]
    tasks = [Task(i, str(i), {"height": height}) for i, height in enumerate(heights)]
    together = list(maker.make_some(tasks))
    assert [o.status == "refused" for o in together] == [False, False, False, True, False]
    assert together == [maker.make(task) for task in tasks]


LIFTED = """
from furnigen import Draft, from_stock, length, recipe

@recipe("A board on two blocks, which may stand in the air")
def lifted(
    lift: float = length("0 mm", "0 mm", "1 m", "floor to the blocks"),
    board=from_stock("birch-ply-18-2440", "all boards", ("sheet",)),
):
    t = board.thickness_mm
    draft = Draft("lifted", "Lifted board")
    draft.board("block.left", board, (0, 0, lift), (t, 300, lift + 100), grain="y")
    draft.board("block.right", board, (700, 0, lift), (700 + t, 300, lift + 100), grain="y")
    draft.board("shelf", board, (0, 0, lift + 100), (700 + t, 300, lift + 100 + t), grain="x")
    draft.load("shelf", "10 kg/m")
    return draft.done()
"""


def test_one_in_the_air_among_others_is_told_and_the_others_are_loaded(tmp_path):
    (tmp_path / "lifted.py").write_text(LIFTED)
    recipe = load_file(tmp_path / "lifted.py")
    maker = maker_of(recipe, ("sag",))
    tasks = [Task(i, str(i), {"lift": lift}) for i, lift in enumerate((0.0, 40.0, 0.0))]
    together = list(maker.make_some(tasks))
    assert [o.status for o in together] == ["pass", "fail", "pass"]
    assert "the piece touches neither the floor" in together[1].reason
    assert together[0].row["checks.sag.value"] == together[2].row["checks.sag.value"] > 0
    assert together == [maker.make(task) for task in tasks]


WHERE = ["mesh.light_mesh.light_contacts_together", "strength.members.shelf.solve_beams"]


@pytest.mark.parametrize("where", WHERE)
@pytest.mark.parametrize("fault", [GeometryError("lost"), MemoryError()])
def test_what_is_wrong_with_one_of_several_is_left_to_each_alone(monkeypatch, where, fault):
    maker = maker_of(find_recipe("crate_wall"), ("fit", "sag"))
    tasks = [Task(i, str(i), {"height": 1200.0 + 50 * i}) for i in range(3)]
    module, _, name = where.rpartition(".")
    whole = getattr(importlib.import_module(f"furnigen.{module}"), name)
    most = [1]

    def counted(asked, *more):
        most.append(len(asked))
        return whole(asked, *more)

    monkeypatch.setattr(f"furnigen.{where}", counted)
    alone = [maker.make(task) for task in tasks]
    met = []

    def broken(asked, *more):
        if len(asked) > max(most):
            met.append(len(asked))
            raise fault
        return whole(asked, *more)

    monkeypatch.setattr(f"furnigen.{where}", broken)
    assert list(maker.make_some(tasks)) == alone
    assert met


def test_a_fault_of_the_program_met_together_is_not_hidden(monkeypatch):
    maker = maker_of(find_recipe("crate_wall"), ("fit", "sag"))

    def broken(*given):
        raise KeyError("lost")

    monkeypatch.setattr("furnigen.mesh.light_mesh.light_contacts_together", broken)
    with pytest.raises(KeyError, match="lost"):
        list(maker.make_some([Task(i, str(i), {"height": 1200.0 + 50 * i}) for i in range(3)]))


def test_a_fault_of_the_program_says_what_and_where(monkeypatch):
    maker = maker_of(find_recipe("crate_wall"), ("fit", "sag"))

    def broken(*given, **named):
        raise KeyError("lost")

    monkeypatch.setattr("furnigen.family.making.Built.findings_of", broken)
    made = maker.make(Task(0, "0", {}))
    assert made.status == "crashed"
    assert re.fullmatch(r"KeyError: 'lost' \(test_strong_families\.py, line \d+\)", made.reason)
