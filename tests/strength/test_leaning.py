"""What leans on a wall: its push, the friction of its feet and its fixing, by statics."""

from __future__ import annotations

from itertools import combinations
from math import isclose

import pytest
from strength_facts import POUND, G
from test_pieces import PLY, assessed, findings

from furnigen import InputError, build, find_recipe
from furnigen.core.finding import FAIL, PASS, WARN
from furnigen.drafting.draft import Draft
from furnigen.piece.hardware_list import hardware_list
from furnigen.strength.formulas.tipping import Mass
from furnigen.strength.members.contents import contents_masses


def test_friction_of_the_feet_by_every_part_of_its_load() -> None:
    """Moments about the feet, with every set of shelves full: the most of push over weight."""
    piece = find_recipe("leaning_shelf")()
    strength = assessed(piece)
    (wall,) = strength.walls
    spans = {b.label: b.span for b in strength.boards}
    goods = contents_masses(strength.bodies, strength.carried, spans)
    parts = [Mass(b.kg, b.centre) for b in strength.bodies.values()]
    assert len(goods) == 5
    # the posts stand on what their rear corners leave of the floor: 90 mm square to a lean of 10 degrees
    foot = 90 / 0.984807753 / 2
    assert isclose(wall.height, 1900, abs_tol=1e-6)
    worst = 0.0
    for count in range(len(goods) + 1):
        for some in combinations(goods, count):
            every = [*parts, *some]
            kg = sum(m.kg for m in every)
            worst = max(worst, sum(m.kg * (m.at[1] - foot) for m in every) / (kg * 1900))
    assert isclose(wall.friction, worst, rel_tol=1e-6)
    kg = sum(m.kg for m in [*parts, *goods])
    push = sum(m.kg * (m.at[1] - foot) for m in [*parts, *goods]) * G / 1900
    assert isclose(wall.out_n, push, rel_tol=1e-6)
    # feet on ice: moments about the top give what the floor still carries, the fixings take the rest
    reach = piece.walls[0].point[1] - foot
    floor = sum(m.kg * (piece.walls[0].point[1] - m.at[1]) for m in [*parts, *goods]) * G / reach
    assert isclose(wall.down_n, kg * G - floor, rel_tol=1e-6)


def test_it_is_fixed_and_says_what_its_feet_need() -> None:
    piece = find_recipe("leaning_shelf")()
    found = findings(piece)
    assert found["wall"][0].status == PASS
    assert "is fixed to it" in found["wall"][0].where
    (grip,) = found["feet-grip"]
    assert (grip.status, grip.limit) == (PASS, 0.2)
    assert "rubber pads" in grip.where
    screws = [row for row in hardware_list(piece) if "rail to wall" in " ".join(row.where)]
    assert [(row.kind, row.quantity) for row in screws] == [("screw", 2)]


def test_its_fixing_holds_the_test_load_of_a_restraint() -> None:
    """ASTM F3096-23: 60 lb, 266.9 N, on two screws."""
    (held,) = [j for j in assessed(find_recipe("leaning_shelf")()).joints if j.loaded.joint.a == "wall"]
    (action,) = [a for a in held.loaded.actions if not a.idle]
    assert isclose(action.pull(held.loaded.seat), 60 * POUND * G, rel_tol=1e-3)
    pulled = [b for b in held.bears if b.what.startswith("pull on each fixing")]
    assert isclose(pulled[0].value, 60 * POUND * G / 2, rel_tol=1e-3)
    weak = findings(find_recipe("leaning_shelf")(), wall_material="plasterboard")["joint"]
    assert weak[0].status in (WARN, FAIL)
    assert "wall" in weak[0].where


def test_feet_that_would_slide_leave_it_to_the_fixing() -> None:
    piece = find_recipe("leaning_shelf")(lean=20)
    strength = assessed(piece)
    (wall,) = strength.walls
    assert wall.friction > 0.2
    (held,) = [j for j in strength.joints if j.loaded.joint.a == "wall"]
    slides = next(a for a in held.loaded.actions if a.name == "feet that slide")
    assert isclose(slides.force[2], wall.down_n * (1 - 0.2 / wall.friction), rel_tol=1e-9)
    (grip,) = findings(piece)["feet-grip"]
    assert grip.status == PASS
    assert "pads" in grip.remedy


def test_what_only_leans_is_told_to_be_fixed() -> None:
    draft = Draft("plank", fit_mm=0.0)
    draft.wall("wall", (0, 300, 0), (0, -1, 0))
    draft.board("base", PLY, (0, 0, 0), (400, 300, 18), role="base")
    draft.board("back", PLY, (0, 282, 18), (400, 300, 900), grain="z", role="back")
    draft.load("base", "5 kg spread")
    found = findings(draft.done())
    assert found["wall"][0].status == WARN
    assert "is not fixed" in found["wall"][0].where
    assert "screws into studs" in found["wall"][0].remedy


def test_unknown_walls_and_rails_that_do_not_fit() -> None:
    with pytest.raises(InputError, match=r"wall material = marble.*stud, timber"):
        findings(find_recipe("leaning_shelf")(), wall_material="marble")
    with pytest.raises(InputError, match="rail = 150"):
        find_recipe("leaning_shelf")(lean=25, rail=150)
    with pytest.raises(InputError, match="below_top = 50"):
        find_recipe("leaning_shelf")(below_top=50)
    whole = build(find_recipe("leaning_shelf")())
    assert [f.name for f in whole.findings if f.status != PASS] == []


@pytest.mark.parametrize(
    ("values", "says"),
    [
        (
            {"rows": 1, "width": 200, "columns": 9, "screws": 1},
            "screws = 1: .*heads 12.0 mm wide.*wider bays",
        ),
        ({"width": 400, "screws": 6}, "screws = 6: .*need 24.0 mm each.*at most 3 would fit"),
    ],
)
def test_a_rail_has_room_for_its_wall_screws(values, says):
    with pytest.raises(InputError, match=says):
        find_recipe("crate_wall")(**values)
