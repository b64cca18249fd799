"""Reading family files: what they say, and one clear message for each thing wrong."""

from __future__ import annotations

import copy
import json
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from trial import PLAIN, trial_family

from furnigen.cli.main import main
from furnigen.core.errors import FurnigenError, InputError
from furnigen.family.family_file import read_family
from furnigen.family.variants import Skipped, Variant, all_variants, folder_name


def family(tmp_path, body: str, **more):
    return read_family(trial_family(tmp_path, 'recipe = "trial.py"\n' + body), **more)


def variants(of) -> list[Variant]:
    return [v for v in all_variants(of) if isinstance(v, Variant)]


def test_lists_ranges_and_rows_span_all_combinations(tmp_path):
    (tmp_path / "walls.csv").write_text("width,depth\n600 mm,30 cm\n1.2 m, 400\n")
    of = family(
        tmp_path,
        """
        [vary]
        shelves = { from = 2, to = 4, step = 1 }
        board = ["birch-ply-18-2440", "birch-ply-12-2440"]
        [link.wall]
        csv = "walls.csv"
        """,
    )
    assert of.count == 3 * 2 * 2
    got = variants(of)
    assert [v.number for v in got] == list(range(12))
    assert got[0].values == {"shelves": 2, "board": "birch-ply-18-2440", "width": 600.0, "depth": 300.0}
    assert got[1].values["width"] == 1200.0  # the last axis turns fastest
    assert got[1].values["depth"] == 400.0
    assert got[-1].name == "shelves=4,board=birch-ply-12-2440,width=1200,depth=400"


@pytest.mark.parametrize(
    ("span", "values"),
    [
        ("{ from = 600, to = 900, step = 150 }", [600, 750, 900]),
        ("{ from = 600, to = 899, step = 150 }", [600, 750]),
        ("{ from = '60 cm', to = '3 ft', step = '6 in' }", [600, 752.4, 904.8]),
        ("{ from = 600, to = 601, count = 5 }", [600, 600.25, 600.5, 600.75, 601]),
        ("{ from = 600, to = 600.3, step = 0.1 }", [600, 600.1, 600.2, 600.3]),
        ("{ from = 700, to = 700, step = 50 }", [700]),
    ],
)
def test_ranges_hold_both_ends_exactly(tmp_path, span, values):
    """By hand; 6 in is 152.4 mm exactly."""
    of = family(tmp_path, f"[vary]\nwidth = {span}")
    assert [v.values["width"] for v in variants(of)] == values


def test_what_follows_is_worked_out_in_any_order(tmp_path):
    of = family(
        tmp_path,
        """
        units = "in"
        [fixed]
        room = "8 ft"
        [vary]
        width = [24, 36]
        [let]
        depth = "half + 1"
        half = "width / 4"
        shelves = "2 if width < 30 else 3"
        [only]
        "fits the room" = "width <= room / 3"
        """,
    )
    first, second = all_variants(of)
    # 24 in: depth 24 / 4 + 1 = 7 in = 177.8 mm; the room is 96 in, a third of it 32 in
    assert first.values == {"width": 609.6, "depth": pytest.approx(177.8), "shelves": 2}
    assert first.helpers == {"room": 96.0, "half": 6.0}  # exactly: comparisons must hold
    assert second == Skipped("fits the room")


def test_a_value_that_follows_and_does_not_fit_is_that_variants_refusal(tmp_path):
    of = family(tmp_path, "[vary]\nwidth = [400, 1200]\n[let]\ndepth = 'width'")
    good, bad = all_variants(of)
    assert good.refusal == ""
    assert "depth" in bad.refusal
    assert "must be from 100.0 mm to 900.0 mm" in bad.refusal


def several(kind):
    """Some different values of one kind, as a parameter that varies has them."""
    return st.lists(kind, min_size=2, max_size=8, unique=True)


@given(
    several(st.floats(1, 5000).map(lambda x: round(x, 6)))
    | several(st.text(max_size=200))
    | several(st.booleans())
)
def test_folder_names_are_safe_and_distinct(values):
    names = [folder_name({"x": v}) for v in values]
    assert len({n.lower() for n in names}) == len(names)
    for name in names:
        assert len(name.encode()) <= 130
        assert not set(name) & set('/\\:*?"<>|\0 ')
        assert not name.startswith(".")


def test_a_million_variants_are_counted_not_made(tmp_path):
    body = """
    [vary]
    width = { from = 300, to = 2000, step = 0.001 }
    depth = { from = 100, to = 900, step = 0.001 }
    """
    start = time.process_time()
    with pytest.raises(InputError) as refusal:
        family(tmp_path, body)
    assert time.process_time() - start < 1.0
    # 1,700,001 x 800,001, by hand
    assert "1700001 x 800001 = 1,360,002,500,001" in str(refusal.value)
    assert "must be at most 2,000" in str(refusal.value)
    assert "--cap" in str(refusal.value)


def test_the_cap_can_be_set_in_the_file_and_goes_over_it_on_the_command_line(tmp_path):
    body = "[vary]\nwidth = { from = 300, to = 2000, count = 1500 }\nshelves = [1, 2]"
    assert family(tmp_path, "cap = 3000\n" + body).count == 3000
    with pytest.raises(InputError, match="at most 2,999"):
        family(tmp_path, "cap = 3000\n" + body, cap=2999)


CASES = [
    ('recpie = "x"', "did you mean recipe?"),
    ("[fixed]\nwidht = 900", "did you mean width?"),
    ("[vary]\nwidht = [900]", "did you mean width?"),
    ("[let]\nwidht = '900'", "did you mean width?"),
    ("[fixed]\nwidth = 9000", "must be from 300.0 mm to 2000.0 mm"),
    ("[vary]\nwidth = [600, 'wide']", "width = wide"),
    ("[vary]\nwidth = []", "is empty"),
    ("[vary]\nwidth = 600", "must be a list or a range"),
    ("[vary]\nwidth = [600, '60 cm']", "is given twice"),
    ("[vary]\nwidth = { from = 900, to = 600, step = 50 }", "is empty: it ends before it begins"),
    ("[vary]\nwidth = { from = 600, to = 900 }", "either step or count"),
    ("[vary]\nwidth = { from = 600, to = 900, step = 50, count = 3 }", "either step or count"),
    ("[vary]\nwidth = { from = 600, to = 900, steps = 50 }", "a range needs"),
    ("[vary]\nwidth = { from = 600, to = 900, step = 0 }", "must be more than zero"),
    ("[vary]\nwidth = { from = 600, to = 900, step = -50 }", "step"),
    ("[vary]\nwidth = { from = 600, to = 9000, step = 50 }", "must be from 300.0 mm to 2000.0 mm"),
    ("[vary]\nwidth = { from = 600, to = 900, count = 0 }", "1 or more"),
    ("[vary]\nwidth = { from = 600, to = 900, count = 1 }", "does not fit"),
    ("[vary]\nshelves = { from = 1, to = 4, count = 3 }", "whole steps"),
    ("[vary]\nshelves = { from = 1, to = 4, step = 0.5 }", "step"),
    ("[vary]\ntrick = { from = 1, to = 4, step = 1 }", "is no number"),
    ("[link.a]\ntable = []", "is empty"),
    ("[link.a]\ntable = [{ width = 600 }, { depth = 300 }]", "has other names"),
    ("[link.a]\ntable = [{ width = 600 }, { width = '600 mm' }]", "is given twice"),
    ("[link.a]\ncsv = 'none.csv'", "can not be read"),
    ("[link.a]\ncsv = 'uneven.csv'", "row 3 = 1 cells: is uneven"),
    ("[link.a]\ncsv = 'empty.csv'", "is empty"),
    ("[link.a]\ncsv = 'twice.csv'", "two with the same one"),
    ("[link.a]\ncsv = 'latin.csv'", "is not UTF-8"),
    ("[link.a]\ncsv = 'a.csv'\ntable = []", "and nothing else"),
    ("[fixed]\nwidth = 900\n[vary]\nwidth = [600]", "is set in [fixed] too"),
    ("[vary]\nwidth = [600]\n[let]\nwidth = '900'", "is set in"),
    (
        "[let]\nwidth = 'depth * 2'\ndepth = 'width / 2'",
        "width -> depth -> width: follow from each other",
    ),
    ("[let]\nwidth = 'width + 1'", "width -> width"),
    ("[let]\nwidth = 'dpeth * 2'", "did you mean depth?"),
    ("[let]\nwidth = 'max(depth, 3)'", "holds a call"),
    ("[let]\nwidth = 'board.thickness_mm * 3'", "holds an attribute"),
    ("[only]\nx = 'widht > 3'", "did you mean width?"),
    ("[only]\nx = true", "must be an expression in quotes"),
    ("outputs = ['stp']", "outputs = stp"),
    ("outputs = 'step'", "must be a list"),
    ("checks = 'fit'", "must be a list"),
    ("checks = ['most']", "must be all, or of fit, solid"),
    ("outputs = ['step']\nchecks = ['fit']", "must be all where step is made"),
    ("[load]\nshelf = 'heavy'", "load on shelf = heavy"),
    ("[strength]\nclimate = 9", "climate = 9"),
    ("[strength]\nsag = 3", "strength = sag: is not known"),
    ("cap = 0", "must be 1 or more"),
    ("cap = 'many'", "must be a whole number"),
    ("units = 'furlong'", "must be mm or in"),
    ("picture = 'big'", "pixels such as 640x480"),
    ("tolerance = '1 m'", "must be from 0.005 mm"),
    ("[brief]\nmax_widht = 900", "did you mean max_width?"),
    ("[fixed", "is not TOML"),
    (f"cap = {'9' * 5000}", "is not TOML"),
    (f"outputs = {'[' * 3000}{']' * 3000}", "is not TOML"),
    (f"[load]\n{'a.' * 3000}b = 'books'", "nests tables and lists more than 30 deep"),
    (f"[fixed]\nwidth{'.a' * 3000} = 1", "nests tables and lists more than 30 deep"),
    ("outputs = [['step']]", "outputs = ['step']: must be of step"),
    ("checks = [{ a = 1 }]", "checks = {'a': 1}: must be all, or of fit"),
    ("[vary]\nwidth = [[600]]", "width = [600]: must be"),
    ("[vary]\nwidth = { from = 300, to = 900, step = 1e-300 }", "makes more than 1,000,000,000 values"),
    (f"[vary]\nwidth = {{ from = 300, to = 900, count = {10**30} }}", "at most 1,000,000,000"),
    ("[fixed]\ngap = nan\n[only]\nx = 'gap > 1'", "gap = nan: must be a number from"),
    ("[fixed]\ngap = inf\n[only]\nx = 'gap > 1'", "gap = inf: must be a number from"),
    (f"[vary]\ngap = [1, {10**30}]\n[only]\nx = 'gap > 1'", "must be a number from -1e+15 to 1e+15"),
    (
        "[link.a]\ncsv = 'long.csv'",
        "long.csv: can not be read at line 2: field larger than field limit (131072)",
    ),
    ("[link.a]\ncsv = 'a\\u0000b'", "can not be read"),
    ("[link.a]\ntable = [[1], [2]]", "must be a list of tables"),
    ("[link.a]\ntable = [{ width = 600 }, 3]", "must be a list of tables"),
    (f"[only]\n'{'x' * 5000}' = 'widht > 3'", "did you mean width?"),
    ('[vary]\n"a\\nb" = [1]', "parameter = a\\nb: trial does not ask for it"),
]


@pytest.mark.parametrize(("body", "says"), CASES, ids=[b.replace("\n", " ")[:50] for b, _ in CASES])
def test_bad_files_get_one_clear_message(tmp_path, monkeypatch, capsys, body, says):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "uneven.csv").write_text("width,depth\n600,300\n900\n")
    (tmp_path / "empty.csv").write_text("")
    (tmp_path / "long.csv").write_text(f"width\n{'9' * 140_000}\n")
    (tmp_path / "twice.csv").write_text("width,width\n600,700\n")
    (tmp_path / "latin.csv").write_bytes("width,größe\n600,1\n".encode("latin-1"))
    trial_family(tmp_path, 'recipe = "trial.py"\n' + body)
    assert main(["family", "family.toml"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert len(err.strip().splitlines()) == 1, err
    assert len(err) < 1500
    assert says in err
    assert "family.toml" in err
    assert not (tmp_path / "out").exists()


def test_the_name_of_a_recipe_may_be_of_any_length(tmp_path):
    path = tmp_path / "family.toml"
    path.write_text(f"recipe = '{'x' * 5000}.py'\n")
    with pytest.raises(FurnigenError, match=r"there is no recipe file x+") as caught:
        read_family(path)
    assert len(str(caught.value)) < 500


def test_a_thousand_names_may_follow_from_each_other(tmp_path):
    chain = "".join(f"a{i} = 'a{i + 1} + 1'\n" for i in range(1000))
    of = family(tmp_path, f"[let]\nwidth = 'a0'\n{chain}a1000 = '0'\n")
    assert [v.values["width"] for v in variants(of)] == [1000]
    with pytest.raises(InputError, match=r"follow from each other in a ring") as caught:
        family(tmp_path, f"[let]\nwidth = 'a0'\n{chain}a1000 = 'a7'\n")
    assert len(str(caught.value)) < 700


GOOD = {
    "title": "Stacks", "units": "mm", "outputs": ["cutlist"], "checks": ["fit"], "cap": 50,
    "tolerance": "0.1 mm", "picture": "640x480", "fixed": {"board": "birch-ply-18-2440", "gap": 3},
    "vary": {"width": [600, 900], "shelves": {"from": 2, "to": 4, "step": 1}},
    "link": {"a": {"table": [{"depth": 300}, {"depth": 400}]}}, "only": {"x": "width > gap"},
    "brief": {"max_width": "2 m"}, "load": {"all": "books"}, "strength": {"climate": 1},
}  # fmt: skip
STRANGE = [
    [], [[1]], [{}], {}, {"a": [1]}, {"from": 1, "to": [2], "step": 1}, float("nan"), float("-inf"), 10**30,
    -1, "", "a\0\n", "9" * 5000, True, [True, "a"],
]  # fmt: skip


def toml(value) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(k)} = {toml(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return f"[{', '.join(map(toml, value))}]"
    return json.dumps(value) if isinstance(value, str | bool) else repr(value)


def places(value, way=()):
    """The way to every value within a table of tables and lists."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, one in inner:
        yield (*way, key)
        yield from places(one, (*way, key))


@pytest.mark.parametrize("place", list(places(GOOD)), ids=lambda way: ".".join(map(str, way)))
def test_a_strange_value_anywhere_is_taken_or_refused_in_one_line(tmp_path, place):
    for strange in STRANGE:
        table = copy.deepcopy(GOOD)
        inner = table
        for key in place[:-1]:
            inner = inner[key]
        inner[place[-1]] = strange
        body = "\n".join(f"{key} = {toml(value)}" for key, value in table.items())
        try:
            of = family(tmp_path, body)
            of.definition()
            for variant in variants(of):
                json.dumps([variant.values, variant.helpers], allow_nan=False)
        except FurnigenError as error:
            assert str(error).isprintable()
            assert len(str(error)) < 1500


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("family", "none.toml"), "can not be read"),
        (("family", "family.toml", "--workers", "-1"), "must be from 0 to 256"),
        (("family", "family.toml", "--workers", "many"), "invalid int"),
        (("family", "family.toml", "--time-limit", "0"), "must be more than zero"),
        (("family", "family.toml", "--memory-limit", "-5"), "must be more than zero"),
        (("family", "family.toml", "--workers", "0", "--time-limit", "5"), "can not hold to limits"),
        (("family", "family.toml", "--workers", "2", "--cluster", "tcp://127.0.0.1:1"), "leave it out"),
        (("family", "family.toml", "--cap", "20"), "must be at most 20"),
    ],
)
def test_bad_words(tmp_path, monkeypatch, capsys, words, says):
    monkeypatch.chdir(tmp_path)
    trial_family(tmp_path, PLAIN)
    assert main(list(words)) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert says in err
    assert len(err.strip().splitlines()) == 1
    assert not (tmp_path / "out").exists()


def test_no_recipe_and_unknown_recipe(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    for text, says in (("title = 'x'", "must be given"), ("recipe = 'ring_rakc'", "did you mean ring_rack?")):
        trial_family(tmp_path, text)
        assert main(["family", "family.toml"]) == 2
        assert says in capsys.readouterr().err


def test_constraints_that_leave_nothing_are_refused(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    trial_family(tmp_path, PLAIN + "\n[only]\n'is small' = 'width < 100'")
    assert main(["family", "family.toml"]) == 2
    assert "is small (21): leaves no variant" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()
