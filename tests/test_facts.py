"""Facts: what Draft concludes from what an author does, what he may say, and what contradicts itself."""

from collections.abc import Iterable
from dataclasses import replace

import pytest

from furnigen import Draft, Fact, InputError, Piece, butt, dowelled, equal_clear, find_stock, housing, mitre
from furnigen.catalogue.hardware import hardware_kinds
from furnigen.catalogue.materials import table_rows
from furnigen.checks.strength import check_sag, check_strength
from furnigen.core.facts import FastenerKind, Joinery, Subject, fastener_kind, read_facts, words_of
from furnigen.core.finding import WARN, Finding
from furnigen.core.pose import Box
from furnigen.drafting.goods import lies_level
from furnigen.joints.joint import Fastener
from furnigen.mesh.light_mesh import light_contacts
from furnigen.piece.description import LoadOn, Placement

PLY = find_stock("birch-ply-18@18")


def span(
    role: str = "shelf", deep: float = 300.0, facts: Iterable[str] = (), load: str = "", clear: float = 1500
) -> Piece:
    """A board housed between two sides, with no opening said."""
    draft = Draft("span")
    draft.board("left", PLY, (0, 0, 0), (18, 300, 600), grain="z")
    draft.board("right", PLY, (18 + clear, 0, 0), (36 + clear, 300, 600), grain="z")
    draft.board("board", PLY, (18, 0, 300), (18 + clear, deep, 318), grain="x", role=role, facts=facts)
    for side in ("left", "right"):
        draft.join(side, "board", housing())
    if load:
        draft.load("board", load)
    return draft.done()


def found(piece: Piece) -> dict[str, list[Finding]]:
    touching = light_contacts(piece)
    findings, _ = check_strength(piece, touching.contacts, touching.support.grounded)
    by_name: dict[str, list[Finding]] = {}
    for f in findings:
        by_name.setdefault(f.name, []).append(f)
    return by_name


def facts(piece: Piece, label: str) -> list[str]:
    return words_of(piece.placement(label).facts)


# -- one number whatever it is called --------------------------------------------------------------


@pytest.mark.parametrize("load", ["", "books"])
def test_a_board_sags_the_same_whatever_people_call_it(load: str) -> None:
    one, other = (found(span(role, load=load))["sag"][0] for role in ("shelf", "plank"))
    assert one.value == other.value > 10
    assert (one.status, one.used) == (other.status, other.used)


def hung(role: str) -> Piece:
    """A shelf on two sides, hung on the wall by a strip behind it."""
    draft = Draft("hung")
    draft.wall("wall", (0, 300, 0), (0, -1, 0))
    for label, x in (("left", 0), ("right", 582)):
        draft.board(label, PLY, (x, 0, 1000), (x + 18, 300, 1600), grain="z")
    draft.board("shelf", PLY, (18, 0, 1200), (582, 300, 1218), grain="x")
    draft.board("strip", PLY, (18, 282, 1540), (582, 300, 1600), grain="x", role=role)
    for side in ("left", "right"):
        draft.join(side, "shelf", dowelled())
        draft.join(side, "strip", dowelled())
    draft.load("shelf", "books")
    return draft.done()


def test_a_strip_on_the_wall_carries_whatever_it_is_called() -> None:
    by_role = [found(hung(role)) for role in ("rail", "batten")]
    rail, batten = ([(f.name, f.value, f.used) for fs in one.values() for f in fs] for one in by_role)
    assert rail == batten
    assert facts(hung("batten"), "strip") == ["fixed to the wall"]
    assert facts(hung("rail"), "left") == []


# -- loads -----------------------------------------------------------------------------------------


def test_a_load_said_of_a_board_counts_though_it_would_take_none() -> None:
    narrow = span("slat", deep=60, load="20 kg/m")
    (load,) = (f for f in found(narrow)["sag"])
    assert "20 kg/m" in load.where
    assert "load" not in found(narrow)
    assert found(narrow)["sag"][0].value > 1.5 * found(span("slat", deep=60))["sag"][0].value


def test_a_load_on_a_role_lies_on_every_level_board_called_so() -> None:
    piece = replace(span("slat", deep=60), loads=(LoadOn("slat", "20 kg/m"),))
    assert found(piece)["sag"][0].value == found(span("slat", deep=60, load="20 kg/m"))["sag"][0].value


@pytest.mark.parametrize(
    ("target", "says"),
    [
        ("boards", r"nothing is called so; did you mean board\?"),
        ("left", "it does not lie level"),
        ("spare", "nothing is called so"),
    ],
)
def test_a_load_on_what_can_take_none_is_refused(target: str, says: str) -> None:
    piece = replace(span(), loads=(LoadOn(target, "books"),))
    with pytest.raises(InputError, match=f"load on = {target}: is not a board .*{says}"):
        found(piece)


def test_a_load_on_a_board_said_to_take_no_goods_is_refused() -> None:
    with pytest.raises(InputError, match="is said to take no goods"):
        found(span(facts=("takes no goods",), load="books"))


def test_a_board_without_any_load_is_reported() -> None:
    for piece, why in ((span(), "nothing is said of its use"), (span(deep=60), "is narrower than 80")):
        told = found(piece)["load"][0]
        assert (told.status, told.value, told.where) == (WARN, None, "board")
        assert told.source.startswith("not estimated: ")
        assert why in told.source
        assert "say what it carries" in told.remedy
    touching = light_contacts(span())
    sag, _ = check_sag(span(), touching.contacts, touching.support.grounded)
    assert "load" in {f.name for f in sag}
    # a board that is said to take none has its answer: its own weight
    assert {f.where for f in found(span(facts=["takes no goods"]))["load"]} == {""}
    assert "load" not in found(span(load="books"))


def test_a_piece_that_takes_nothing_says_so() -> None:
    draft = Draft("post")
    draft.board("post", PLY, (0, 0, 0), (18, 300, 600), grain="z")
    (told,) = found(draft.done())["load"]
    assert (told.status, told.value) == (WARN, None)
    assert "because no board of it takes goods" in told.source


# -- what the drafting table concludes -------------------------------------------------------------


def test_which_boards_take_goods() -> None:
    draft = Draft("case")
    left = draft.board("left", PLY, (0, 0, 0), (18, 300, 600), grain="z")
    right = draft.board("right", PLY, (582, 0, 0), (600, 300, 600), grain="z")
    bottom = draft.board("a", PLY, (18, 0, 0), (582, 300, 18), grain="x")  # on the floor, under an opening
    top = draft.board("b", PLY, (18, 0, 582), (582, 300, 600), grain="x")
    draft.board("under", PLY, (18, 0, 564), (582, 300, 582), grain="x")  # close under the top
    draft.board("strip", PLY, (18, 0, 400), (582, 60, 418), grain="x")
    draft.board("foot", PLY, (620, 0, 0), (920, 300, 18))  # on the floor
    room = draft.opening(
        "room", (18, 100, 18), (582, 300, 564), left=left, right=right, bottom=bottom, top=top
    )
    draft.divide(room, "z", equal_clear(1), PLY, role="x", label="level")
    piece = draft.done()
    takes = [p.label for p in piece.placements if Fact.TAKES_GOODS in p.facts]
    assert takes == ["a", "b", "level.1"]
    assert all(lies_level(piece.part_of(p).form, p.pose) for p in piece.placements if p.label in takes)


def test_dividing_with_uprights_makes_no_shelves_and_words_win() -> None:
    draft = Draft("room")
    room = draft.opening("room", (0, 0, 0), (900, 300, 900))
    uprights, bays = draft.divide(room, "x", equal_clear(1), PLY, role="shelf", label="u", grain="z")
    draft.divide(bays[0], "z", equal_clear(1), PLY, role="x", label="dust", facts="takes no goods")
    piece = draft.done()
    assert facts(piece, uprights[0]) == []
    assert facts(piece, "dust.1") == ["takes no goods"]


def test_a_thin_back_on_the_wall_is_no_rail_unless_it_is_said() -> None:
    thin = find_stock("birch-ply-6.5-2440")
    for said, expected in ((), []), (("fixed to the wall",), ["fixed to the wall"]):
        draft = Draft("back")
        draft.wall("wall", (0, 300, 0), (0, -1, 0))
        draft.board("back", thin, (0, 300 - thin.thickness_mm, 0), (900, 300, 900), facts=said)
        assert facts(draft.done(), "back") == expected


def test_facts_go_with_copies_and_can_be_said_later() -> None:
    draft = Draft("copies")
    draft.board("a", PLY, (0, 0, 100), (900, 300, 118), facts=Fact.TAKES_NO_GOODS)
    draft.mirror(["a"], "x", 1000, lambda label: f"{label}.mirrored")
    draft.board("b", PLY, (0, 0, 500), (900, 300, 518))
    draft.say("b", "takes_no_goods")
    piece = draft.done()
    assert {label: facts(piece, label) for label in ("a", "a.mirrored", "b")} == {
        label: ["takes no goods"] for label in ("a", "a.mirrored", "b")
    }


def test_a_joint_is_what_it_is_not_what_it_is_called() -> None:
    draft = Draft("joints")
    draft.board("left", PLY, (0, 0, 0), (18, 300, 600), grain="z")
    draft.board("one", PLY, (18, 0, 100), (600, 300, 118), grain="x")
    draft.board("two", PLY, (18, 0, 300), (600, 300, 318), grain="x")
    draft.board("three", PLY, (18, 0, 500), (600, 300, 518), grain="x")
    draft.join("left", "one", housing())
    draft.join("left", "two", butt(screws=0))
    draft.join("left", "three", butt(screws=0), facts="carries by its shape")
    one, two, three = draft.done().joints
    assert (one.joinery, words_of(one.facts)) == (Joinery.HOUSING, ["carries by its shape"])
    assert (two.joinery, words_of(two.facts)) == (Joinery.BUTT, ["carries nothing by its shape"])
    assert (three.joinery, words_of(three.facts)) == (Joinery.BUTT, ["carries by its shape"])
    assert Fact.CARRIES_BY_ITS_SHAPE in mitre("spline").facts
    assert not mitre().facts


def test_every_row_of_the_tables_has_its_fact() -> None:
    assert {FastenerKind(kind) for kind in hardware_kinds()} <= set(FastenerKind)
    assert {row["joint"] for row in table_rows("turning")} == set(Joinery)


# -- what contradicts itself -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "subject", "says"),
    [
        ("takes good", Subject.PLACEMENT, r"takes good: is not known; did you mean takes goods\?"),
        ("xyzzy", Subject.CUT, "xyzzy: is not known; of a cut there are hardware hole, groove"),
        (("takes goods", "takes no goods"), Subject.PLACEMENT, "exclude each other"),
        (("hardware hole", "takes goods"), Subject.CUT, "hardware hole and takes goods: exclude each other"),
        (("hardware hole", "groove"), Subject.CUT, "exclude each other"),
        ("takes goods", Subject.CUT, "takes goods: is said of a placement, not of a cut"),
        ("groove", Subject.JOINT, "groove: is said of a cut, not of a joint"),
    ],
)
def test_facts_that_can_not_be(said: str | tuple[str, ...], subject: Subject, says: str) -> None:
    with pytest.raises(InputError, match=says):
        read_facts(said, subject, "it")


def test_the_drafting_table_refuses_them_where_they_are_said() -> None:
    draft = Draft("refused")
    box = ((0, 0, 0), (900, 300, 18))
    with pytest.raises(InputError, match="facts of a = takes goods and takes no goods: exclude each other"):
        draft.board("a", PLY, *box, facts=("takes goods", "takes no goods"))
    draft.board("a", PLY, *box, facts="takes goods")
    with pytest.raises(InputError, match="exclude each other"):
        draft.say("a", Fact.TAKES_NO_GOODS)
    with pytest.raises(InputError, match="slot in a = hardware hole and takes goods: exclude each other"):
        draft.cut("a", Box((0, 0, 0), (20, 20, 18)), "slot", facts=("hardware hole", "takes goods"))
    draft.board("b", PLY, (0, 0, 18), (18, 300, 318), grain="z")
    with pytest.raises(InputError, match="fact of the joint of b to a = sturdy: is not known"):
        draft.join("a", "b", butt(), facts="sturdy")
    with pytest.raises(InputError, match="kind of fastener = scrwe: must be one of screw"):
        Fastener("scrwe", 4.0, 40.0, ())  # type: ignore[arg-type]
    assert fastener_kind("screw") is FastenerKind.SCREW
    assert Placement("x", 0, draft.done().placements[0].pose).facts == Fact(0)


def test_what_does_not_lie_level_can_not_take_goods() -> None:
    draft = Draft("upright")
    draft.board("a", PLY, (0, 0, 0), (18, 300, 900), grain="z", facts="takes goods")
    with pytest.raises(InputError, match="facts of a = takes goods: it does not lie level"):
        draft.done()


def test_fixed_to_a_wall_that_is_not_there() -> None:
    draft = Draft("no wall")
    draft.board("a", PLY, (0, 0, 0), (18, 300, 900), grain="z", facts="fixed to the wall")
    with pytest.raises(InputError, match="facts of a = fixed to the wall: the piece declares no wall"):
        draft.done()
