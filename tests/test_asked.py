"""Refusals name the recipe's parameter and its value, whatever in the library raised them."""

import pickle

import pytest

from furnigen import (
    ChosenJoint,
    Draft,
    InputError,
    RecipeError,
    asked_as,
    asked_by,
    butt,
    cleat,
    cross_bolt,
    dowelled,
    find_recipe,
    find_stock,
    from_stock,
    housing,
    join_ends,
    joint_choice,
    length,
    mitre,
    rabbet,
    recipe,
    require,
)
from furnigen.core.asked import running

PLY = find_stock("birch-ply-18-2440")
T = PLY.thickness_mm
JOINTS = {"usual": None, "housing": housing(depth=40), "dowelled": dowelled(), "cleat": cleat(PLY)}


def values(**shown):
    """A recipe that runs with these parameters."""
    return running({name: lambda text=text: text for name, text in shown.items()})


def shelf_between(joint, width=600.0, board=PLY):
    draft = Draft("shelf")
    t = board.thickness_mm
    left = draft.board("left", board, (0, 0, 0), (t, 300, 800), grain="z")
    right = draft.board("right", board, (width - t, 0, 0), (width, 300, 800), grain="z")
    shelf = draft.board("shelf", board, (t, 0, 400), (width - t, 300, 400 + t), grain="x")
    room = draft.opening("room", (t, 0, 0), (width - t, 300, 400), left=left, right=right, top=shelf)
    join_ends(draft, room, [shelf], joint)
    return draft.done()


@recipe("one shelf between two sides")
def one_shelf(
    width: float = length("600 mm", "100 mm", "2 m", "overall width"),
    joint: ChosenJoint = joint_choice("dowelled", JOINTS, "how the shelf meets the sides"),
    board=from_stock("birch-ply-18-2440", "all boards"),
):
    require(width > 300, "width", "must be more than 300 mm", "400 mm would fit")
    require(board.thickness_mm > 10, "board", "must be thicker than 10 mm")
    return shelf_between(joint.usual("dowelled"), width, board)


def test_a_joint_chosen_by_a_word_is_cut_and_refused_by_that_word():
    assert {j.kind for j in one_shelf().joints} == {"dowelled"}
    assert one_shelf(joint="usual").joints == one_shelf(joint="dowelled").joints
    with pytest.raises(InputError) as caught:
        one_shelf(joint="housing")
    assert str(caught.value).startswith("joint = housing: ")


def test_a_choice_of_joints_is_a_choice_of_words_everywhere_else():
    (joint,) = [p for p in one_shelf.parameters if p.name == "joint"]
    assert (joint.kind, joint.default) == ("choice", "dowelled")
    assert joint.allowed() == "one of usual, housing, dowelled, cleat"
    assert one_shelf.read({"joint": "housing"})["joint"] == "housing"
    assert dict(one_shelf().parameters)["joint"] == "dowelled"
    with pytest.raises(InputError, match=r"joint = housin: must be one of .*did you mean housing\?"):
        one_shelf(joint="housin")


def test_a_cleat_can_be_chosen_too():
    labels = {p.label for p in one_shelf(joint="cleat").placements}
    assert labels == {"left", "right", "shelf", "shelf.cleat.1", "shelf.cleat.2"}


def test_a_choice_that_the_recipe_did_not_settle_is_its_own_mistake():
    chosen = ChosenJoint("corner", "usual", None, (("usual", None), ("spline", mitre("spline"))))
    with pytest.raises(RecipeError, match="corner = usual stands for no joint until the recipe settles it"):
        shelf_between(chosen)
    with pytest.raises(RecipeError, match="corner can not be key: it is one of usual, spline"):
        chosen.usual("key")
    assert chosen.usual("spline").asked == ("corner", "spline")


@pytest.mark.parametrize(
    ("joint", "counted"),
    [
        (butt(), butt(3)),
        (dowelled(), dowelled(3)),
        (cross_bolt(), cross_bolt(3)),
        (housing(), housing()),
    ],
)
def test_fasteners_are_counted_where_a_joint_has_any(joint, counted):
    chosen = ChosenJoint("joint", "word", joint)
    assert chosen.with_fasteners(3).spec == counted
    assert pickle.loads(pickle.dumps(chosen)) == chosen


def test_cut_otherwise_a_joint_is_still_the_makers_choice():
    chosen = ChosenJoint("joint", "housing", housing())
    assert chosen.cut_as(rabbet()).asked == ("joint", "housing")
    error = chosen.refusal("does not suit", "dowelled would fit")
    assert str(error) == "joint = housing: does not suit; dowelled would fit"


# -- require -----------------------------------------------------------------------------------


def test_require_shows_values_as_people_read_them():
    with pytest.raises(InputError) as caught:
        one_shelf(width="25 cm")
    assert str(caught.value) == "width = 250.0 mm: must be more than 300 mm; 400 mm would fit"
    with pytest.raises(InputError, match=r"^board = birch-ply-6.5-2440: must be thicker than 10 mm"):
        one_shelf(board="birch-ply-6.5-2440")


def test_a_condition_that_holds_says_nothing():
    require(True, "no such parameter", "must be so")


def test_a_recipe_that_misspells_its_parameter_is_told_so():
    @recipe("misspelt")
    def misspelt(width: float = length("600 mm", "100 mm", "2 m", "overall width")):
        require(width > 700, "widht", "must be more")

    with pytest.raises(RecipeError, match=r"parameter widht, which it does not have; did you mean width\?"):
        misspelt()


def test_outside_a_recipe_there_is_no_value_to_show():
    with pytest.raises(InputError, match="width = as given: must be more"):
        require(False, "width", "must be more")
    with pytest.raises(InputError, match="shelves = as given: can not fit"), asked_as("shelves"):
        raise InputError("number of boards", 9, "can not fit")


def test_values_are_those_of_the_innermost_recipe_and_go_with_it():
    with values(width="600 mm"):
        with values(width="300 mm"), pytest.raises(InputError, match="width = 300 mm"):
            require(False, "width", "must be more")
        with pytest.raises(InputError, match="width = 600 mm"):
            require(False, "width", "must be more")
    with pytest.raises(InputError, match="width = as given"):
        require(False, "width", "must be more")


# -- refusals from within ----------------------------------------------------------------------


def test_a_refusal_in_the_makers_own_words_stays():
    with values(first="900 mm", shelves="4"):
        with pytest.raises(InputError, match=r"^first = 900 mm: is too high"), asked_as("shelves"):
            raise InputError("first", "900 mm", "is too high")
        with pytest.raises(InputError, match=r"^shelves = 4: pitch 9 mm is too small"), asked_as("shelves"):
            raise InputError("pitch", "9 mm", "is too small")


@pytest.mark.parametrize(
    ("what", "says"),
    [
        ("leg stock", "leg_blank = oak-30: leg stock 9 mm is too thin"),
        ("leg top", "leg_top = 42 mm: leg top 9 mm is too thin"),  # as the parameter, but for the blank
        ("block", "block = 90 mm: is too thin"),
        ("side of a leg block", "block = 90 mm: side of a leg block 9 mm is too thin"),
    ],
)
def test_each_field_finds_the_parameter_behind_it(what, says):
    with (
        values(leg_blank="oak-30", leg_top="42 mm", block="90 mm"),
        pytest.raises(InputError) as caught,
        asked_by({"leg stock": "leg_blank"}, other="block"),
    ):
        raise InputError(what, "90 mm" if what == "block" else "9 mm", "is too thin")
    assert str(caught.value) == says


def test_join_names_a_parameter_by_its_name_alone():
    draft = Draft("a")
    side = draft.board("side", PLY, (0, 0, 0), (T, 300, 800), grain="z")
    shelf = draft.board("shelf", PLY, (T, 0, 0), (500, 300, T), grain="x")
    with values(depth="300 mm"), pytest.raises(InputError, match=r"^depth = 300 mm: "):
        draft.join(side, shelf, housing(depth=40), asked="depth")
    with pytest.raises(InputError, match=r"^depth = 3: "):
        draft.join(side, shelf, housing(depth=40), asked=("depth", "3"))


@pytest.mark.parametrize(
    ("name", "given", "says"),
    [
        (
            "ring_rack",
            {"support": "rail", "boards": "flat"},
            "support = rail: rails lie in frames of boards on",
        ),
        ("ring_rack", {"build": "one piece"}, "build = one piece: a frame sawn from one sheet lies flat"),
        (
            "ring_rack",
            {"corner": "tenoned"},
            "corner = tenoned: does not join a mitred frame of boards on edge; glued, spline, key would fit",
        ),
        (
            "ring_rack",
            {"corner": "key", "build": "butted rails", "boards": "flat"},
            "corner = key: does not join a butted rails frame of flat boards;"
            " dowelled, tenoned, half-lap, screwed would fit",
        ),
        ("ring_rack", {"frames": 40, "boards": "flat", "width": "900 mm"}, "frames = 40: "),
        ("ring_rack", {"frames": 40}, "member = 60.0 mm: "),
        ("ring_rack", {"first": "1.5 m", "height": "1 m"}, "first = 1500 mm: must be at most 988.0 mm"),
        ("ring_rack", {"first": "30 mm"}, "first = 30 mm: leaves no room for a rail of 20.4 mm above"),
        ("ring_rack", {"shelves": 16, "height": "900 mm"}, "shelves = 16: leave "),
        (
            "ladder_rack",
            {"rung": "120 mm", "below_top": "5 cm"},
            "below_top = 50 mm: must be at least 120 mm",
        ),
        ("divided_case", {"leg_top": "120 mm"}, "block = 90.0 mm: must be more than the leg's 120.0"),
        ("divided_case", {"inset": "400 mm", "leg_joint": "screwed"}, "inset = 400.0 mm: "),
        ("crate_wall", {"columns": 12, "width": "200 mm", "board": "birch-ply-18-2440"}, "columns = 12: "),
        ("panel_bookcase", {"toe": "150 mm", "depth": "150 mm"}, "toe = 150.0 mm: must be less than"),
        ("leaning_shelf", {"below_top": "20 mm", "lean": 4}, "below_top = 20.0 mm: leaves the last shelf"),
    ],
)
def test_recipes_name_what_is_at_fault_and_what_would_fit(name, given, says):
    with pytest.raises(InputError) as caught:
        find_recipe(name)(**given)
    assert str(caught.value).startswith(says), str(caught.value)
