"""Whole pieces pushed sideways and tipped: what a back and a brace would add, each way it tips, by hand."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, degrees, hypot

import pytest
from strength_facts import G

from furnigen import find_recipe
from furnigen.catalogue.stock import find_stock
from furnigen.checks.strength import check_strength
from furnigen.core.finding import PASS, WARN
from furnigen.drafting.draft import Draft
from furnigen.formats.report_strength import strength_rows
from furnigen.joints.fastened import dowelled
from furnigen.mesh.light_mesh import light_contacts
from furnigen.piece.description import LoadOn, Piece
from furnigen.strength.model.demands import Demands
from furnigen.strength.model.racking import Rack, push_sideways

PLY = find_stock("birch-ply-18@18")


def checked(piece: Piece, *tests: str):
    piece = piece.without_loose
    touching = light_contacts(piece)
    found, strength = check_strength(
        piece, touching.contacts, touching.support.grounded, Demands(tip_tests=tests)
    )
    assert strength is not None
    by_name: dict[str, list] = {}
    for f in found:
        by_name.setdefault(f.name, []).append(f)
    return by_name, strength


def case(overhang: float = 0.0) -> Piece:
    """Sides 300 deep and 900 tall, three boards, the top standing out in front."""
    draft = Draft("case", fit_mm=0.0)
    draft.board("left", PLY, (0, 0, 0), (18, 300, 882), grain="z", role="side")
    draft.board("right", PLY, (582, 0, 0), (600, 300, 882), grain="z", role="side")
    for name, z in (("bottom", 60), ("shelf", 400)):
        draft.board(name, PLY, (18, 0, z), (582, 300, z + 18), role="shelf")
        for side in ("left", "right"):
            draft.join(side, name, dowelled())
    draft.board("top", PLY, (0, -overhang, 882), (600, 300, 900), role="top")
    for side in ("left", "right"):
        draft.join("top", side, dowelled())
    draft.load("all", "books")
    return draft.done()


# -- sideways ---------------------------------------------------------------------------------------


def test_what_a_back_and_a_brace_would_add_is_told() -> None:
    found, strength = checked(case())
    one = next(s for s in strength.sideways if s.way == "left-right")
    assert one.by == "joints"
    assert one.racking is not None
    assert [w.what.split()[1] for w in one.would] == ["back", "diagonal"]
    for would in one.would:
        assert would.stiffness > 5 * one.racking.stiffness
        assert would.safety / one.safety == pytest.approx(would.stiffness / one.racking.stiffness, rel=1e-9)
    (told,) = [f for f in found["sideways"] if "left-right" in f.where]
    assert told.status == WARN
    assert told.least
    assert all(f"{w.what}: it would hold " in told.remedy for w in one.would)
    row = next(r for r in strength_rows(strength)["sideways"] if r["way"] == "left-right")
    assert [r["what"] for r in row["would"]] == [w.what for w in one.would]
    assert "N m/rad for each metre" in row["joints"]


def test_a_brace_alone_by_hand() -> None:
    """A diagonal of EA at an angle a over a bay of rigid hinged members: K = EA cos² a / L at its top."""
    wide, low, high = 900.0, 0.0, 1200.0
    rigid = 1e13
    rack = Rack((0.0, wide), (low, high), high, rigid, rigid, rigid, rigid, 0.0, brace_ea=5e5)
    long = hypot(wide, high)
    assert push_sideways(rack).stiffness == pytest.approx(5e5 * (wide / long) ** 2 / long, rel=1e-3)


def test_what_a_wall_or_a_back_holds_needs_no_advice() -> None:
    _, strength = checked(find_recipe("panel_bookcase")())
    assert all(s.would == () for s in strength.sideways)


# -- tipping ------------------------------------------------------------------------------------------


def test_each_way_it_tips_empty_and_loaded() -> None:
    found, strength = checked(case())
    stability = strength.stability
    assert stability is not None
    (told,) = found["standing"]
    assert told.value == min(one.edge.tilt_degrees for one in stability.worst)
    for standing, words in zip((stability.empty, stability.loaded), told.where.split("; ")[2:], strict=True):
        x, y, z = standing.centre
        by_hand = {"front": y, "back": 300 - y, "left": x, "right": 600 - x}
        for side, inside in by_hand.items():
            assert f"{side} {degrees(atan2(inside, z)):.1f}" in words
    (pull,) = found["tip-pull"]
    kg = sum(b.kg for b in strength.bodies.values())
    assert pull.value == pytest.approx(kg * G * stability.empty.centre[1] / 900, rel=1e-9)
    assert f"all full {stability.loaded.kg * G * stability.loaded.centre[1] / 900:.0f} N" in pull.where


def test_the_weight_on_a_front_edge_that_tips_it() -> None:
    """W d = P e: the top stands 120 mm out in front of the feet."""
    piece = replace(case(overhang=120.0), loads=(LoadOn("all", "30 kg spread"),))
    found, strength = checked(piece)
    stability = strength.stability
    assert stability is not None
    (told,) = found["tip-load"]
    kg = stability.empty.kg * stability.empty.centre[1] / 120
    assert (told.unit, told.value) == ("kg", pytest.approx(kg, rel=1e-9))
    assert "on the front edge of top" in told.where
    loaded = stability.loaded.kg * stability.loaded.centre[1] / 120
    assert f"all full {loaded:.1f} kg on top" in told.where
    rows = strength_rows(strength)["standing"]
    assert rows["front_edge_load_n"] == pytest.approx(kg * G, rel=1e-9)
    assert rows["front_edge_load_when_loaded_n"] == pytest.approx(loaded * G, rel=1e-9)


def test_what_stands_over_its_feet_can_not_tip_it() -> None:
    found, strength = checked(case(), "child", "pull-top")
    (edge,) = found["tip-load"]
    assert (edge.value, edge.unit, edge.limit) == (0.0, "", None)
    assert "none on a front edge tips it" in edge.where
    child, pull = found["tip-test"]
    assert child.status == PASS
    assert "can not tip it" in child.where
    assert child.used is None
    assert pull.least
    assert pull.limit == 1.5
    assert strength_rows(strength)["standing"]["front_edge_load_n"] is None


def test_a_child_on_a_top_that_stands_out() -> None:
    """stability.md 3: W d against P e, 60 lb = 27.2155 kg."""
    found, strength = checked(replace(case(overhang=120.0), loads=(LoadOn("all", "empty"),)), "child")
    assert strength.stability is not None
    empty = strength.stability.empty
    (told,) = found["tip-test"]
    assert told.value == pytest.approx(empty.kg * empty.centre[1] / (27.2155 * 120), rel=1e-4)
