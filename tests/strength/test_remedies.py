"""Remedies: each that is told passes when it is made by itself, and a step less of it does not."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from furnigen import find_recipe
from furnigen.catalogue.stock import find_stock
from furnigen.cli.main import main
from furnigen.core.finding import FAIL
from furnigen.drafting.draft import Draft
from furnigen.joints.fastened import butt, dowelled
from furnigen.piece.description import Limit, LoadOn, Piece
from furnigen.pipeline.edge_strips import FRONT, backs_behind, stiffened, with_backs_glued
from furnigen.pipeline.remedy import Remedy, Search
from furnigen.pipeline.remedy_trial import try_piece
from furnigen.pipeline.stock_ladder import thicker
from furnigen.strength.model.demands import Demands

RECIPE = find_recipe("panel_bookcase")
VALUES = RECIPE.read({"width": 2000.0, "shelves": 2})
DEMANDS = Demands()


def changed(values):
    return RECIPE(**values)


@pytest.fixture(scope="module")
def search() -> Search:
    return Search(RECIPE, VALUES, changed, changed(VALUES), DEMANDS)


@pytest.fixture(scope="module")
def found(search) -> dict[str, Remedy]:
    return {r.kind: r for r in search.find()}


def passes(values) -> bool:
    return try_piece(changed(values), DEMANDS).used <= 1


def test_the_case_needs_help(search) -> None:
    assert search.bad
    assert search.before.used > 1
    assert "sag" in search.before.failing


def test_every_remedy_passes_when_made_again(found) -> None:
    assert {"thickness", "span", "stiffener", "support"} <= found.keys()
    for remedy in found.values():
        assert remedy.used <= 1
        assert "interference" not in remedy.trial.failing
        assert "floating-parts" not in remedy.trial.failing
        # every check of the changed piece, how it is built with it
        names = {f.name for f in remedy.trial.findings}
        assert {"interference", "least-clear-height", "load-path", "assembly-order", "standing"} <= names
        assert remedy.costs
        if remedy.kind not in ("stiffener", "back"):
            text = dict(word.split("=") for word in remedy.change.split(" "))
            values = VALUES | {n: RECIPE.parameter(n).read(t) for n, t in text.items()}
            again = try_piece(changed(values), DEMANDS)
            assert again.used == pytest.approx(remedy.used, rel=1e-9)


def test_the_thickness_is_the_least(found) -> None:
    name = found["thickness"].change.removeprefix("board=")
    ladder = [VALUES["board"], *thicker(VALUES["board"])]
    at = [s.name for s in ladder].index(name)
    assert at >= 1
    assert not passes(VALUES | {"board": ladder[at - 1]})


def test_the_span_is_the_longest_but_for_a_step(found) -> None:
    width = float(found["span"].change.removeprefix("width="))
    assert passes(VALUES | {"width": width})
    assert not passes(VALUES | {"width": width + 10.0})


def test_the_strip_is_made_and_lowers_the_openings(found, search) -> None:
    remedy = found["stiffener"]
    strips = [p for p in remedy.trial.piece.placements if p.role == "edge strip"]
    # one between each two supports under the front, and under the rear where no back holds it
    edges = [1 if b.span.backed else 2 for b in search.bad]
    spans = [len(b.span.stations) - 1 for b in search.bad]
    assert len(strips) == sum(n * m for n, m in zip(edges, spans, strict=True))
    assert "under the front and the rear of" in remedy.change
    assert any("least clear height" in cost for cost in remedy.costs)
    lower = stiffened(search.before.piece, search.bad, 5.0)
    assert min(o.clear_mm[2] for o in lower.openings) == pytest.approx(
        min(o.clear_mm[2] for o in search.before.piece.openings) - 5.0
    )
    # a strip too low does not pass
    shares = {b.label: b.result.used for b in try_piece(lower, DEMANDS).boards if b.result}
    assert max(shares[p.label.partition(".strip")[0]] for p in strips) > remedy.used


def test_one_strip_under_the_front_is_not_offered_where_the_rear_edge_still_sags(search) -> None:
    """A strip under the front leaves 0.77 of the bare sag at the rear edge (three-dimensional elements)."""
    for height in (20.0, 80.0):
        alone = try_piece(stiffened(search.before.piece, search.bad, height, (FRONT,)), DEMANDS)
        assert alone.used > 1


def shelves_before_a_back(fixed: bool, load: str = "35 kg/m") -> Piece:
    """A wide shelf, deep for its span, before a back that is fixed to it or not."""
    ply = find_stock("birch-ply-18@18")
    draft = Draft("case", fit_mm=0.0)
    draft.board("left", ply, (0, 0, 0), (18, 600, 700), grain="z", role="side")
    draft.board("right", ply, (918, 0, 0), (936, 600, 700), grain="z", role="side")
    draft.board("shelf", ply, (18, 0, 300), (918, 600, 318), grain="y", role="shelf")
    draft.board("back", ply, (0, 600, 0), (936, 618, 700), grain="z", role="back")
    for side in ("left", "right"):
        draft.join(side, "shelf", dowelled())
        draft.join(side, "back", butt())
    if fixed:
        draft.join("shelf", "back", butt(screws=0, glued=True))
    draft.load("shelf", load)
    return draft.done()


def test_a_back_behind_a_board_is_found_and_glued_to_it() -> None:
    before = try_piece(shelves_before_a_back(False), DEMANDS)
    shelves = [b for b in before.boards if b.label == "shelf"]
    behind = backs_behind(before.piece, shelves)
    assert behind == {"shelf": ("back",)}
    after = next(
        b for b in try_piece(with_backs_glued(before.piece, behind), DEMANDS).boards if b.label == "shelf"
    )
    assert after.span.backed == ("back",)
    assert after.result is not None
    assert after.result.across_mm[2] == pytest.approx(0.0, abs=1e-9)
    # plywood twists easily: the front of it gains nothing by the back
    assert after.result.used > shelves[0].result.used
    # where it is fixed already there is nothing to offer
    assert backs_behind(shelves_before_a_back(True), shelves) == {}


def test_one_more_bay_costs_clear_width(found) -> None:
    remedy = found["support"]
    assert remedy.change == "bays=3"
    assert any(cost.startswith("least clear width") for cost in remedy.costs)


def test_what_a_remedy_spoils_elsewhere_is_told() -> None:
    """Shelves thick enough for plaster leave less than the brief's clear height."""
    limit = Limit("min_clear_height", 616.0)
    low = replace(changed(VALUES), limits=(limit,))
    assert "min-clear-height" not in try_piece(low, DEMANDS).failing
    found = Search(RECIPE, VALUES, lambda v: replace(changed(v), limits=(limit,)), low, DEMANDS).find()
    costs = {r.kind: r.costs for r in found}
    assert any(c.startswith("then fails: min-clear-height") for c in costs["stiffener"])


def test_thicker_stock_of_the_same_sheets() -> None:
    names = [s.name for s in thicker(find_stock("birch-ply-18-2440"))]
    assert names == [f"birch-ply-{t}-2440" for t in (21, 24, 27, 30)]
    assert thicker(find_stock("birch-ply-30")) == []
    assert all(s.name.startswith("red-oak") for s in thicker(find_stock("red-oak-4-4")))


def test_the_command_tells_them_worst_first(tmp_path, monkeypatch, capsys) -> None:
    monkeypatch.chdir(tmp_path)
    words = ["check", "panel_bookcase", "width=2000", "shelves=2", "--only", "sag"]
    assert main(words) == 1
    out = capsys.readouterr().out.splitlines()
    first = next(i for i, line in enumerate(out) if line.startswith("FAIL  sag"))
    assert out[first].endswith("%")
    told = " ".join(" ".join(out[first:]).split())
    for remedy in ("thicker: board=birch-ply-", "shorter: width=", "edge strips: 20", "one more: bays=3"):
        assert remedy in told
    assert told.count("worst sag then uses") == told.count("Costs: ") == 5
    assert main([*words, "--json"]) == 1
    report = json.loads(capsys.readouterr().out)
    assert {r["kind"] for r in report["remedies"]} == {"thickness", "span", "stiffener", "back", "support"}
    assert all(r["used"] <= 1 for r in report["remedies"])


def test_a_piece_that_passes_needs_none() -> None:
    values = RECIPE.read({})
    assert Search(RECIPE, values, changed, changed(values), DEMANDS).find() == []


def test_no_remedy_is_said_where_none_is_found(tmp_path, monkeypatch, capsys) -> None:
    """Nothing this recipe can change carries that much."""
    monkeypatch.chdir(tmp_path)
    Path("stack.py").write_text(
        """
from furnigen import Draft, from_stock, recipe

@recipe("A slab on two blocks")
def stack(board=from_stock("birch-ply-30-2440", "all", ("sheet",))):
    t = board.thickness_mm
    draft = Draft("stack")
    for n, x in enumerate((0, 1000)):
        draft.board(f"block.{n}", board, (x, 0, 0), (x + t, 300, 400), grain="z")
    draft.board("slab", board, (0, 0, 400), (1000 + t, 300, 400 + t), role="shelf")
    draft.load("slab", "2000 kg spread")
    return draft.done()
"""
    )
    assert main(["check", "stack.py", "--only", "sag"]) == 1
    assert "no single change of this recipe makes every board pass" in capsys.readouterr().out


def test_loads_of_the_command_line_stay_on_trials() -> None:
    piece = changed(VALUES)
    heavier = LoadOn("all", "art-books")

    def loaded(values):
        made = changed(values)
        return replace(made, loads=(*made.loads, heavier))

    search = Search(RECIPE, VALUES, loaded, loaded(VALUES), DEMANDS)
    assert search.before.used > try_piece(piece, DEMANDS).used
    assert next(f.status for f in search.before.findings if f.name == "sag") == FAIL
