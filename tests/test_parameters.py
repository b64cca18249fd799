"""Parameters and recipes: what is read, what is refused, and that every refusal says what to change."""

import datetime
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from furnigen import (
    Draft,
    InputError,
    Recipe,
    RecipeError,
    angle,
    asked_as,
    choice,
    count,
    counts,
    find_stock,
    from_stock,
    length,
    recipe,
    switch,
)

PLY = "birch-ply-18"


@recipe("One shelf, for tests")
def shelf(
    width: float = length("900 mm", "300 mm", "2 m", "overall width"),
    tilt: float = angle(5, 0, 15, "slope of the shelf"),
    number: int = count(3, 1, 9, "shelves"),
    rows: tuple[int, ...] = counts((1, 2), 0, 4, 3, "dividers in each row"),
    edge: str = choice("square", ("square", "rounded"), "front edge"),
    back: bool = switch(False, "a back"),
    board=from_stock(PLY, "the board", ("sheet", "board")),
):
    draft = Draft("shelf")
    draft.board("shelf", board, (0, 0, 0), (width, 300, board.thickness_mm))
    return draft.done()


def read(name, value, units="mm"):
    return shelf.parameter(name).read(value, units)


# -- what is read ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "given", "units", "value"),
    [
        ("width", "900", "mm", 900.0),
        ("width", "1.2 m", "mm", 1200.0),
        ("width", "3 ft", "mm", 914.4),
        ("width", "36", "in", 914.4),
        ("width", 36, "in", 914.4),
        ("width", 36.5, "in", 927.1),
        ("width", 700, "mm", 700.0),
        ("width", 300, "mm", 300.0),  # both ends are in
        ("width", "2000.0000001 mm", "mm", 2000.0000001),  # the same length, but for rounding
        ("tilt", "7 1/2°", "mm", 7.5),
        ("tilt", 7, "in", 7.0),
        ("number", "4", "mm", 4),
        ("number", 4.0, "mm", 4),
        ("rows", "0,1,2", "mm", (0, 1, 2)),
        ("rows", "3", "mm", (3,)),
        ("rows", [1, 2], "mm", (1, 2)),
        ("rows", 2, "mm", (2,)),
        ("edge", "rounded", "mm", "rounded"),
        ("back", "yes", "mm", True),
        ("back", "Off", "mm", False),
        ("back", True, "mm", True),
        ("board", "birch-ply-18@17.8", "mm", find_stock("birch-ply-18@17.8")),
        ("board", find_stock("pine-1x12"), "mm", find_stock("pine-1x12")),
    ],
)
def test_values_are_read_as_texts_numbers_and_python(name, given, units, value):
    got = read(name, given, units)
    assert got == value
    assert type(got) is type(value)


@given(st.floats(300, 2000))
def test_any_length_in_range_is_read_as_written(mm):
    assert read("width", mm) == mm
    assert read("width", f"{mm:.6f} mm") == pytest.approx(mm, abs=1e-6)


def test_defaults_come_first_and_the_given_replace_them():
    values = shelf.read({"number": "5"})
    assert list(values) == ["width", "tilt", "number", "rows", "edge", "back", "board"]
    assert values["number"] == 5
    assert values["board"] is find_stock(PLY)


# -- what is refused ---------------------------------------------------------------------------

BAD = [
    ("width", "5 m", "width = 5000.0 mm: must be from 300.0 mm to 2000.0 mm"),
    ("width", "-900", "width = -900.0 mm: must be from 300.0 mm to 2000.0 mm"),
    ("width", 0, "width = 0.0 mm: must be from 300.0 mm"),
    ("width", "900 parsecs", "the unit parsecs is not known"),
    ("width", "wide", "must be a length"),
    ("width", "", "width = '': must be a length"),
    ("width", "1,200", "without commas"),
    ("width", float("nan"), "width = nan: must be a finite number"),
    ("width", float("inf"), "width = inf: must be a finite number"),
    ("width", 10**400, "width = 1000"),
    ("width", "10 km", "the unit km is not known"),
    ("width", True, "width = true: must be a length from 300.0 mm to 2000.0 mm; not a yes or no"),
    ("width", [900], "width = [900]: must be a length from 300.0 mm"),
    ("tilt", 20, "tilt = 20°: must be from 0° to 15°"),
    ("tilt", "steep", "tilt = steep: must be an angle in degrees"),
    ("tilt", float("nan"), "tilt = nan°: must be from 0° to 15°"),
    ("tilt", -(10**400), "must be from 0° to 15°"),
    ("tilt", "-5", "tilt = -5°: must be from 0° to 15°"),
    ("number", "0", "number = 0: must be from 1 to 9"),
    ("number", 10, "number = 10: must be from 1 to 9"),
    ("number", 2.5, "number = 2.5: must be a whole number from 1 to 9; 2 or 3 would be one"),
    ("number", "two", "number = two: must be a whole number"),
    ("number", float("nan"), "number = nan: must be a whole number from 1 to 9"),
    ("number", float("inf"), "number = inf: must be a whole number from 1 to 9"),
    ("number", False, "number = false: must be a whole number from 1 to 9; not a yes or no"),
    ("rows", "1,2,3,4", "rows = 1,2,3,4: must be 1 to 3 whole numbers with commas, each from 0 to 4"),
    ("rows", "5", "rows = 5: must be 1 to 3 whole numbers"),
    ("rows", "1,,2", "rows = 1,,2: must be 1 to 3 whole numbers"),
    ("rows", [], "rows = []: must be 1 to 3 whole numbers"),
    ("rows", [1, "2"], "must be 1 to 3 whole numbers"),
    ("rows", [True], "must be 1 to 3 whole numbers"),
    ("rows", -1, "rows = -1: must be 1 to 3 whole numbers"),
    ("edge", "roundd", "edge = roundd: must be one of square, rounded; did you mean rounded?"),
    ("edge", "", "edge = '': must be one of square, rounded"),
    ("edge", 3, "edge = 3: must be one of"),
    ("back", "perhaps", "back = perhaps: must be yes or no"),
    ("back", 1, "back = 1: must be yes or no"),
    ("board", "birch-ply-19", "board = birch-ply-19: stock must be the name of a known stock; did you mean"),
    ("board", "birch-ply-18@40", "board = birch-ply-18@40: thickness of birch-ply-18 must be from"),
    ("board", "beech-blank-50", "board = beech-blank-50: is a blank; it must be a sheet or a board"),
    ("board", 18, "board = 18: must be a stock name"),
    ("board", {"name": PLY}, "must be a stock name"),
    (
        "width",
        datetime.date(2026, 1, 2),
        "must be a length from 300.0 mm to 2000.0 mm; not a date",
    ),
    ("edge", "x" * 5000, "edge = xxxxxxxxxxxxxxxxxxxx...: must be one of"),
    ("edge", "two\nlines", r"edge = 'two\nlines': must be one of"),
]


@pytest.mark.parametrize(("name", "given", "says"), BAD)
def test_bad_values_are_refused_by_the_parameters_name(name, given, says):
    with pytest.raises(InputError) as caught:
        read(name, given)
    assert caught.value.what == name
    message = str(caught.value)
    assert says in message
    assert len(message.splitlines()) == 1
    assert len(message) < 400


@pytest.mark.parametrize("name", [p.name for p in shelf.parameters])
@given(given=st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text() | st.dates(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=2),
    max_leaves=4,
))  # fmt: skip
def test_anything_at_all_is_read_or_refused(name, given):
    """What a parameter file can hold: TOML's texts, numbers, switches, dates, lists and tables."""
    try:
        value = read(name, given)
    except InputError as error:
        refusal = str(error)
        assert refusal.startswith(f"{name} = ")
    else:
        assert read(name, value) == value


def test_inches_are_named_in_inches():
    with pytest.raises(
        InputError, match=re.escape("""width = 8'-4": must be from ~11 13/16" to ~6'-6 3/4\"""")
    ):
        read("width", 100, "in")


def test_unknown_parameters_get_the_nearest_name():
    with pytest.raises(InputError, match="parameter = widht: shelf does not ask for it; did you mean width"):
        shelf(widht=900)
    with pytest.raises(InputError, match="it asks for width, tilt, number"):
        shelf(zzz=900)


# -- how they are told -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "allowed", "default", "unit", "plain"),
    [
        ("width", "from 300.0 mm to 2000.0 mm", "900.0 mm", "mm", 900.0),
        ("tilt", "from 0° to 15°", "5°", "deg", 5.0),
        ("number", "from 1 to 9", "3", "", 3),
        ("rows", "1 to 3 whole numbers with commas, each from 0 to 4", "1,2", "", (1, 2)),
        ("edge", "one of square, rounded", "square", "", "square"),
        ("back", "yes or no", "no", "", False),
        (
            "board",
            "a stock name (sheet, board)",
            PLY,
            "",
            PLY,
        ),
    ],
)
def test_what_describe_prints(name, allowed, default, unit, plain):
    p = shelf.parameter(name)
    assert p.allowed() == allowed
    assert p.show(p.default) == default
    assert p.unit == unit
    assert p.plain(p.default) == plain


def test_the_piece_remembers_what_it_was_made_from():
    piece = shelf(width="36 in")
    assert dict(piece.parameters)["width"] == 914.4
    assert dict(piece.parameters)["board"] == PLY
    assert piece.name == "shelf"
    assert shelf.summary == "One shelf, for tests"


# -- recipes that are wrong --------------------------------------------------------------------


def test_a_parameter_must_be_declared():
    @recipe("bare")
    def bare(width=900):
        return None

    with pytest.raises(RecipeError, match="recipe bare: parameter width must declare what it takes"):
        bare()


@pytest.mark.parametrize(
    ("declared", "says"),
    [
        (length(100, 300, 2000, "w"), "the default of width = 100.0 mm: must be from 300.0 mm to 2000.0 mm"),
        (from_stock("unobtainium-18", "b"), "the default of width = unobtainium-18: stock must be"),
        (choice("oval", ("round",), "c"), "the default of width = oval: must be one of round"),
        (count(3.5, 1, 9, "n"), "the default of width = 3.5"),
    ],
)
def test_a_default_out_of_range_is_the_recipes_fault(declared, says):
    @recipe("wrong")
    def wrong(width=declared):
        return None

    with pytest.raises(RecipeError, match="recipe wrong: ") as caught:
        wrong()
    assert says in str(caught.value)


def test_a_kind_of_stock_must_be_known():
    with pytest.raises(InputError, match="kind of stock = plank: must be one of sheet, board, bar, blank"):
        from_stock(PLY, "board", ("plank",))


def made(function):
    return Recipe(function.__name__, "wrong", function)


def returns_nothing():
    Draft("x")


def returns_a_draft():
    return Draft("x")


def divides_by_zero():
    return 1 / 0


def fails_deep_in_the_package():
    draft = Draft("x")
    draft.repeat([], 3, str)


def gives_up():
    raise SystemExit(3)


@pytest.mark.parametrize(
    ("function", "says"),
    [
        (returns_nothing, "must return a piece (end with `return draft.done()`), not nothing"),
        (returns_a_draft, "must return a piece (end with `return draft.done()`), not a Draft"),
        (divides_by_zero, "failed at line {line}: ZeroDivisionError: division by zero"),
        (fails_deep_in_the_package, "failed at line {second}: TypeError"),
        (gives_up, "failed at line {line}: SystemExit: 3"),
    ],
)
def test_recipes_that_fail_say_where(function, says):
    first = function.__code__.co_firstlineno
    with pytest.raises(RecipeError) as caught:
        made(function)()
    assert says.format(line=first + 1, second=first + 2) in str(caught.value)


@pytest.mark.parametrize(
    ("asked", "deep", "says"),
    [
        (
            ("ladders", 3),
            InputError("first height", "20 mm", "must be less"),
            "ladders = 3: first height 20 mm must be less",
        ),
        # the same value is not said twice
        (("frames", 3), InputError("number of uprights", 3, "leave no space"), "frames = 3: leave no space"),
        # a refusal in the maker's own words passes
        (
            ("frames", 3, "number of uprights"),
            InputError("height", "900 mm", "is too low"),
            "height = 900 mm: is too low",
        ),
    ],
)
def test_refusals_from_deeper_down_speak_of_what_the_maker_typed(asked, deep, says):
    with pytest.raises(InputError) as caught, asked_as(*asked):
        raise deep
    assert str(caught.value) == says


def test_refusals_keep_the_offer_and_the_place():
    deep = InputError("number of boards", 80, "can not fit", "at most 49 would fit")
    deep.add_note("in bay.2")
    with pytest.raises(InputError) as caught, asked_as("shelves", 80):
        raise deep
    assert str(caught.value) == "shelves = 80: in bay.2: can not fit; at most 49 would fit"
