"""Remedies of a large piece do no more work than its checks do, and say what was not tried."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
from remedy_share import LARGE

from furnigen import find_recipe
from furnigen.core.finding import FAIL
from furnigen.mesh import light_mesh
from furnigen.piece.description import Piece
from furnigen.pipeline import remedy_trial
from furnigen.pipeline.build import build
from furnigen.pipeline.built import Built
from furnigen.pipeline.joint_remedies import JointSearch
from furnigen.pipeline.remedy_trial import RemedyTrial
from furnigen.pipeline.remedy_work import USUAL, size_of
from furnigen.strength.model.demands import Demands


def large(name: str) -> Piece:
    recipe, values = LARGE[name]
    return find_recipe(recipe)(**values)


@pytest.mark.parametrize("name", LARGE)
def test_a_large_piece_is_tried_as_far_as_its_work_goes(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    piece = large(name)
    assert size_of(piece) > USUAL
    trials: list[int] = []
    wholes: list[int] = []
    touching = light_mesh.light_contacts
    examined = Built.findings_of

    def counted(piece: Piece, *more: Any) -> Any:
        trials.append(size_of(piece))
        return touching(piece, *more)

    def whole(built: Built, groups: Any) -> Any:
        wholes.append(size_of(built.piece))
        return examined(built, groups)

    monkeypatch.setattr(light_mesh, "light_contacts", counted)
    monkeypatch.setattr(remedy_trial.Built, "findings_of", whole)
    built = build(piece)
    worst = next(f for f in built._examine(("fit", "strength", "standing")).findings if f.name == "sag")
    assert worst.status == FAIL
    # what touches in the piece itself, then a handful of trials; none checked whole
    assert len(trials) <= 6
    assert not wholes
    # at least one change is known to help, and what was not tried is named
    assert "shorter: width=" in worst.remedy
    assert "its other checks were not made" in worst.remedy
    last = worst.remedy.splitlines()[-1]
    assert last.startswith("not tried, for that would take longer than remedies may: ")
    assert "one more" in last


def test_the_same_piece_gets_the_same_remedies_and_the_report_says_what_is_not_known() -> None:
    groups = ("fit", "strength", "standing")
    one, two = (build(large("dowelled case")).report_of(groups)["remedies"] for _ in range(2))
    assert one == two
    assert one
    assert all(r["then_fails"] is None and r["used"] <= 1 for r in one)


@pytest.mark.slow
def test_a_size_that_is_offered_passes_when_it_is_made() -> None:
    groups = ("fit", "strength", "standing")
    for name, (recipe, values) in LARGE.items():
        offered = build(large(name)).report_of(groups)["remedies"]
        width = next(r["change"] for r in offered if r["kind"] == "span").removeprefix("width=")
        again = find_recipe(recipe)(**values | {"width": float(width)})
        assert "sag" not in {f.name for f in build(again).findings_of(["sag"]) if f.status == FAIL}


def test_a_piece_of_usual_size_is_checked_once_before_its_remedies(monkeypatch: pytest.MonkeyPatch) -> None:
    piece = find_recipe("panel_bookcase")(width=2000.0, shelves=2)
    assert size_of(piece) <= USUAL
    checked: list[Piece] = []
    examined = remedy_trial.Built.findings_of

    def whole(built: Built, groups: Any) -> Any:
        checked.append(built.piece)
        return examined(built, groups)

    monkeypatch.setattr(remedy_trial.Built, "findings_of", whole)
    built = build(piece)
    remedies = built.report["remedies"]
    assert len(remedies) == 5
    # each remedy whole; of the piece all is known
    assert len(checked) == 5
    assert all(p is not piece for p in checked)


def test_other_fasteners_are_judged_as_if_all_were_loaded_anew() -> None:
    recipe = find_recipe("crate_wall")
    values = recipe.read({"joint": "dowelled"})
    piece, demands = recipe(**values), Demands()
    search = JointSearch(recipe, values, lambda new: recipe(**new), piece, demands)
    bad = [j for j in search.before.joints if (j.used or 0.0) > 1]
    found = [r for r in search.find(bad) if r.kind in ("fasteners", "longer")]
    assert found
    for remedy in found:
        anew = RemedyTrial(remedy.trial.piece, demands)
        assert [j.used for j in remedy.trial.joints] == pytest.approx([j.used for j in anew.joints], rel=1e-9)


@pytest.mark.slow
def test_joints_of_a_large_piece_are_tried_as_far_as_there_is_work() -> None:
    recipe = find_recipe("ring_rack")
    values = {"width": 6000.0, "frames": 12, "shelves": 16, "height": 2800.0, "support": "cleat"}
    built = build(recipe(**values))
    assert size_of(built.piece) > USUAL
    worst = next(f for f in built.findings_of(("strength",)) if f.name == "joint" and f.status == FAIL)
    assert "not tried, for that would take longer than remedies may: " in worst.remedy
