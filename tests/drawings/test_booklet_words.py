"""The words of a booklet are enough without its pictures, and what they state is so.

What a maker needs at each step (what, where to, which way, glued or dry, fastening, tools, hands, checks,
cautions) is common practice, no source. Places and diagonals are measured on the meshes, which no word is
made from.
"""

from __future__ import annotations

import re
from functools import cache
from itertools import product

import numpy as np
import pytest
from drawn_cases import CASES, built
from test_drawn_sheets import box_of, crosses, segments

from furnigen import Draft, build, butt, find_stock, hardware_places
from furnigen.drawings.actions import actions_of
from furnigen.drawings.balloons import LAYER
from furnigen.drawings.booklet import booklet_pages, scene_of
from furnigen.drawings.closing_page import closing_pages
from furnigen.drawings.key import key_of
from furnigen.drawings.sentences import pushed
from furnigen.drawings.step_measures import is_square
from furnigen.drawings.step_words import HEAVY_KG, Told, mass_of, told
from furnigen.paper.frame import Frame
from furnigen.paper.page import Polyline, paper
from furnigen.parts.cuts import Bore

EACH = [pytest.param(c, marks=() if c == "divided_case" else pytest.mark.slow) for c in CASES]
MARKED = [
    pytest.param(c, marks=() if c == "leaning_shelf" else pytest.mark.slow)
    for c in ("leaning_shelf", "reference_library", "crate_wall", "panel_bookcase", "divided_case")
]
"""Pieces with screws through square boards."""
AXES = {"from the left end": 0, "from the front": 1, "up from the underside": 2}


@cache
def steps_of(case: str):
    one = built(case)
    return actions_of(one.piece, one.construction.assembly)


@cache
def words_of(case: str, units: str = "mm") -> tuple[Told, ...]:
    actions = steps_of(case)
    piece = built(case).piece
    key = key_of(piece, actions)
    return tuple(told(piece, actions, n, key, units) for n in range(len(actions)))


def said(words: Told, heading: str) -> str:
    return " ".join(text for head, text in words.lines if head == heading)


@cache
def mesh_bounds(case: str) -> dict[str, np.ndarray]:
    """Low and high corner of each placement, from its mesh."""
    one = built(case)
    found = {}
    for p in one.piece.placements:
        corners = one.meshes.parts[p.part].vertices @ np.array(p.pose.rotation).T + np.array(p.pose.origin)
        found[p.label] = np.array([corners.min(axis=0), corners.max(axis=0)])
    return found


@pytest.mark.parametrize("case", EACH)
def test_places_are_those_of_the_meshes(case):
    piece, bounds = built(case).piece, mesh_bounds(case)
    count = 0
    for action, words in zip(steps_of(case), words_of(case), strict=True):
        place = said(words, "Place")
        if not place:
            continue
        unit = {n for a in steps_of(case) for s in a.steps if s.builds == action.step.builds for n in s.parts}
        low = np.min([bounds[n][0] for n in unit], axis=0)
        for part in place.rstrip(".").split("; "):
            found = re.search(r"(from the left end|from the front|up from the underside): (.*) mm$", part)
            assert found, part
            axis = AXES[found[1]]
            for name, mm in re.findall(r"(\S+) (\d+(?:\.\d)?)(?:,| and|$)", found[2]):
                inside = [name] if name in bounds else [p.label for p in piece.placements if name in p.path]
                at = min(bounds[n][0][axis] for n in inside) - low[axis]
                assert float(mm) == pytest.approx(at, abs=0.0501), (name, part)
                count += 1
    assert count


@pytest.mark.parametrize("case", ["clay_store", "crate_wall"])
def test_every_size_of_a_booklet_in_inches_has_its_mark_and_none_is_metric(case):
    """But for hardware, which is sold by its size in millimetres."""
    piece, actions = built(case).piece, steps_of(case)
    for words in words_of(case, "in"):
        for name, size in re.findall(r"(\S+) ([~\d'\" /-]+)(?:,| and|;|\.$)", said(words, "Place")):
            assert size.endswith(('"', "'")), (name, size)
    scene = scene_of(piece, actions, {}, "in")
    pages = closing_pages(scene, actions, Frame(*paper("letter"), piece.title))
    assert bool(pages) == (case == "clay_store")
    assert not any(re.search(r"\d mm\b", t.text) for page in pages for t in page.texts)
    assert all("4'-0\"" in " ".join(t.text for t in page.texts) for page in pages)


def listed_places(text: str) -> set[float]:
    """Places read back: each of them, or the first, the step and the last."""
    run = re.fullmatch(r"([\d.]+), then every ([\d.]+) to ([\d.]+)", text)
    if not run:
        return {float(v) for v in re.findall(r"\d+(?:\.\d)?", text)}
    first, step, last = map(float, run.groups())
    return {round(first + k * step, 1) for k in range(round((last - first) / step) + 1)}


@pytest.mark.parametrize("case", EACH)
def test_screws_are_marked_out_where_they_go(case):
    """Against the places of the hardware in the model, and the corner of the board's mesh."""
    piece, bounds = built(case).piece, mesh_bounds(case)
    places = hardware_places(piece)
    for words in words_of(case):
        for head, text in words.lines:
            if not head.startswith("Fasten"):
                continue
            for number, first, second, marked, rows in re.findall(
                r"(\d+) through (\S+) into (\S+) \(mark (\S+): (.*?)\)", text
            ):
                assert marked == first
                mine = [p for p in places if {p.joint.a, p.joint.b} == {first, second}]
                assert len(mine) % int(number) == 0, "one row of several sizes"
                for row in rows.split("; "):
                    told, axis = re.fullmatch(
                        r"(.*) mm (from its left end|from its front|up from its underside)", row
                    ).groups()
                    k = ("from its left end", "from its front", "up from its underside").index(axis)
                    there = {round(p.point[k] - bounds[first][0][k], 1) for p in mine}
                    for value in listed_places(told):
                        assert min(abs(value - t) for t in there) < 0.35, (first, second, row)
                    assert len(listed_places(told)) <= len(there) + 1


def has_its_hole(case: str, label: str, place) -> bool:
    """Whether a board of the model has a hole where a screw goes in."""
    piece = built(case).piece
    pose = piece.placement(label).pose
    for cut in piece.part_of(piece.placement(label)).cuts:
        if isinstance(cut, Bore):
            start, end = (np.array(pose.apply(p)) for p in (cut.start, cut.end))
            axis = (end - start) / np.linalg.norm(end - start)
            off = np.array(place.point) - start
            if np.linalg.norm(off - off @ axis * axis) < 0.5:
                return True
    return False


@pytest.mark.parametrize("case", MARKED)
def test_every_screw_without_a_hole_of_its_own_is_marked_out(case):
    """Other holes in the same board, of shelf pins or dowels, mark no screw."""
    piece = built(case).piece
    places = hardware_places(piece)
    count = 0
    for words in words_of(case):
        for head, text in words.lines:
            if not head.startswith("Fasten") or " screw" not in text.partition(":")[0]:
                continue
            for first, rest in re.findall(r"through (\S+) into ([^;]*)", text):
                # what leans, and a leg or rod, has no side to measure from
                if first not in piece.by_label or not is_square(piece.placement(first)):
                    continue
                second = re.split(r",| and | \(|\. ", rest)[0]
                mine = [p for p in places if {p.joint.a, p.joint.b} == {first, second}]
                assert mine, (first, second)
                assert "(mark " in rest or all(has_its_hole(case, first, p) for p in mine), (first, rest)
                count += 1
    assert count


@pytest.mark.parametrize("case", EACH)
def test_diagonals_are_those_of_the_meshes(case):
    """Over the outside: of all that stands there. Inside: between the faces of the boards it names."""
    bounds = mesh_bounds(case)
    count = 0
    for action, words in zip(steps_of(case), words_of(case), strict=True):
        found = re.search(
            r"diagonals (?:over the outside, seen from the (\w+)|inside, between (.*)): .* about (\d+) mm",
            said(words, "Check"),
        )
        if not found:
            continue
        length = float(found[3])
        if found[1]:
            there = {*action.there, *(n for s in action.pictured for n in s.parts)}
            size = np.ptp(np.concatenate([bounds[n] for n in there]), axis=0)
            a, b = {"side": (1, 2), "front": (0, 2), "top": (0, 1)}[found[1]]
            assert length == pytest.approx(np.hypot(size[a], size[b]), abs=0.51), words.title
        else:
            named = [bounds[n] for n in re.split(r", | and ", found[2])]
            gaps = [
                {abs(float(p[i][k] - q[1 - i][k])) for p in named for q in named for i in (0, 1)}
                for k in (0, 2)
            ]
            assert any(abs(np.hypot(x, z) - length) < 0.51 for x in gaps[0] for z in gaps[1]), words.title
        count += 1
    assert count or case in ("leaning_shelf", "apron_corner", "bat_shelf", "showroom_shelf")


@pytest.mark.parametrize(("case", "units"), list(product([c.values[0] for c in EACH[:1]], ["mm", "in"])))
def test_each_page_says_all_that_a_maker_needs(case, units):
    every_page_is_complete(case, units)


@pytest.mark.slow
@pytest.mark.parametrize(("case", "units"), list(product(CASES, ["mm", "in"])))
def test_each_page_of_every_piece_says_all_that_a_maker_needs(case, units):
    every_page_is_complete(case, units)


def every_page_is_complete(case: str, units: str) -> None:
    piece, actions = built(case).piece, steps_of(case)
    for number, (action, words) in enumerate(zip(actions, words_of(case, units), strict=True)):
        heads = [head for head, _ in words.lines]
        assert {"Do", "Hands"} <= set(heads)
        do = said(words, "Do")
        for name in action.step.brings or action.step.parts:
            assert name in do
        if action.step.onto:
            for name in action.step.onto:
                assert name in do, (words.title, name)
        joints = said(words, "Joints")
        if action.joints:
            assert ("glue, a thin coat" in joints) == any(j.glued for j in action.joints)
            assert ("dry, no glue" in joints) == any(not j.glued for j in action.joints)
        marks = [head for head in heads if head.startswith("Fasten ")]
        assert len(marks) == len({(h.kind, h.size) for h in action.step.hardware})
        for h in action.step.hardware:
            assert any(
                str(h.quantity) in text and h.size in text for head, text in words.lines if head in marks
            )
        cautions = " ".join(words.cautions)
        if any(j.glued for j in action.joints):
            assert "Glue: " in cautions
        if "Drill" in " ".join(text for head, text in words.lines if head in marks):
            assert "Drill: " in cautions
        turned = said(words, "Turn")
        below = action.step.way is not None and action.step.way[2] > 0.7 and action.there
        before = actions[number - 1] if number else None
        assert bool(turned) or not below, words.title
        if turned and "with two people" in turned:
            assert mass_of(piece, action.there) > HEAVY_KG
            assert "Weight: " in cautions
        if turned.startswith("Stand it upright"):
            assert before is not None
            assert before.step.way is not None
            assert before.step.way[2] > 0.7
        for _, text in words.lines:
            assert text[:1].isupper() or text[:1].isdigit()
            assert text.endswith(".")
            assert "  " not in text
            assert "{" not in text


@pytest.mark.slow
@pytest.mark.parametrize("case", CASES)
def test_fixing_to_the_wall_comes_last_with_its_caution(case):
    piece = built(case).piece
    one = built(case)
    pages = booklet_pages(piece, one.construction.assembly, one.custom_meshes)
    last = " ".join(t.text for t in pages[-1].texts)
    fixed = "wall" in pages[-1].title
    assert fixed or not piece.walls
    if fixed:
        for words in ("Find pipes and cables first", "suit the wall", "Level on top", "2 people"):
            assert words in last
    for words in words_of(case):
        if words.title.startswith("Last: fix"):
            how = " ".join(text for head, text in words.lines if head.startswith("Fasten"))
            assert "into the second" not in how
            assert "anchors that suit the wall" in how
            assert any("pipes and cables" in t for t in words.tools)


def test_hardware_that_no_face_lets_be_seen_is_drawn_dashed():
    """Screws within a closed case: their balloon ends on a stroke all the same."""
    one = built("crate_wall")
    pages = booklet_pages(one.piece, one.construction.assembly, {})
    page = next(p for p in pages if "Last: fix" in p.title)
    strokes = [i for i in page.items if isinstance(i, Polyline) and i.layer == "hardware"]
    assert strokes
    assert {i.pen.line for i in strokes} == {"dashed"}
    leader = next(i for i in page.items if isinstance(i, Polyline) and i.layer == LAYER)
    x, y = leader.points[0]
    assert any(
        min(a[0], b[0]) - 0.1 <= x <= max(a[0], b[0]) + 0.1
        and min(a[1], b[1]) - 0.1 <= y <= max(a[1], b[1]) + 0.1
        for a, b in (i.points for i in strokes)
    )


def test_ways_are_said_as_a_person_does():
    assert pushed("back (3)", (0.0, -1.0, 0.0), "side") == (
        "Push back (3) from behind straight toward the front, onto side."
    )
    assert pushed("top", (0.0, 0.0, -1.0), "") == "Lower top straight down."


def test_a_step_from_below_is_told_to_turn_the_piece_and_back():
    draft = Draft("stand", "Stand")
    board = find_stock("birch-ply-18")
    t = board.thickness_mm
    top = draft.board("top", board, (0, 0, 400), (600, 300, 400 + t))
    side = draft.board("side", board, (0, 0, 0), (t, 300, 400), grain="z")
    draft.join(side, top, butt(screws=2))
    piece = draft.done()
    one = build(piece)
    actions = actions_of(piece, one.construction.assembly)
    key = key_of(piece, actions)
    below = [n for n, a in enumerate(actions) if a.there and a.step.way is not None and a.step.way[2] > 0.7]
    for n in below:
        assert "from below" in said(told(piece, actions, n, key, "mm"), "Turn")


@pytest.mark.slow
@pytest.mark.parametrize("case", CASES)
def test_no_line_of_a_booklet_runs_through_a_text(case):
    one = built(case)
    for page in booklet_pages(one.piece, one.construction.assembly, one.custom_meshes):
        lines = [line for item in page.items if isinstance(item, Polyline) for line in segments(item)]
        for text in page.texts:
            a, b, c, d = box_of(text)
            inner = (a + 0.05, b + 0.05, c - 0.05, d - 0.05)
            assert not any(crosses(line, inner) for line in lines), (page.title, text.text)
