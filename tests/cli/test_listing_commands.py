"""Commands that list what there is: stock, joints, a recipe's parts; help, completion, the manual page."""

from __future__ import annotations

import csv
import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import furnigen
from furnigen.cli.grammar import commands_of, words_of
from furnigen.cli.joint_guide import GUIDE
from furnigen.cli.joint_section import apart, section, winding
from furnigen.cli.main import COMMANDS, main, parser
from furnigen.core.finding import FAIL
from furnigen.recipes.discovery import find_recipe

STOCK = Path(furnigen.__file__).parent / "catalogue" / "data" / "stock.csv"


@pytest.fixture(autouse=True)
def here(tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "120")
    return tmp_path


def shown(capsys, *words: str) -> str:
    assert main(words) == 0
    return capsys.readouterr().out


def data(capsys, *words: str):
    return json.loads(shown(capsys, *words, "--json"))


def refused(capsys, *words: str) -> str:
    assert main(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    (line,) = err.strip().splitlines()
    return line


# -- stock ------------------------------------------------------------------------------------------


def test_stock_without_words_lists_families_and_all_of_it_on_request(capsys) -> None:
    table = list(csv.DictReader(STOCK.read_text(encoding="utf-8").splitlines()))
    assert f"{len(table)} in all" in shown(capsys, "stock")
    assert [row["name"] for row in data(capsys, "stock")] == [row["name"] for row in table]
    assert len(shown(capsys, "stock", "--all").splitlines()) >= len(table)


def test_stock_is_found_by_words_and_by_sizes(capsys) -> None:
    birch = data(capsys, "stock", "birch", "18", "mm")
    assert {row["nominal"] for row in birch} == {"18 mm"}
    assert {row["name"] for row in birch} == {"birch-ply-18", "birch-ply-18-2440"}
    # the same by a length as it measures, and whatever the order and capitals
    assert data(capsys, "stock", "17.6 mm", "BIRCH") == birch
    assert data(capsys, "stock", "½ in") == data(capsys, "stock", "1/2 in")
    inches = data(capsys, "stock", "ply", "3/4", "in")
    assert {row["nominal"] for row in inches} == {"3/4 in"}
    assert all(
        "oak" in row["name"] and row["kind"] == "blank" for row in data(capsys, "stock", "oak", "blank")
    )
    assert data(capsys, "stock", "red-oak-4/4")[0]["name"] == "red-oak-4-4"


def test_one_stock_is_told_whole(capsys) -> None:
    out = shown(capsys, "stock", "birch-ply-18-2440")
    (row,) = data(capsys, "stock", "birch-ply-18-2440")
    # mass by hand: 1.22 x 2.44 m of 17.6 mm at the density of the table
    assert row["mass_kg"] == pytest.approx(1.22 * 2.44 * 0.0176 * row["density_kg_m3"], abs=1e-3)
    for text in (
        "1220.0 mm x 2440.0 mm",
        "680 kg/m³",
        "none is stated",
        "birch-ply-18-2440@17.6",
        row["source"],
    ):
        assert text in " ".join(out.split())
    assert "8'-0" in shown(capsys, "stock", "birch-ply-18-2440", "--units", "in")


def test_a_round_bar_weighs_as_a_cylinder(capsys) -> None:
    (row,) = data(capsys, "stock", "dowel-beech-25")
    assert row["mass_kg"] == pytest.approx(np.pi / 4 * 0.025**2 * 1.0 * row["density_kg_m3"], abs=1e-3)


def test_stock_that_is_not_there(capsys) -> None:
    assert "no stock holds zzz; furnigen stock lists" in refused(capsys, "stock", "birch", "zzz")
    assert "no stock holds 99999999mm" in refused(capsys, "stock", "99999999mm")
    both = refused(capsys, "stock", "birch", "oak")
    assert "no stock holds all of these words; alone they find birch: " in both


# -- joints -----------------------------------------------------------------------------------------


def test_every_public_joint_is_in_the_guide() -> None:
    from furnigen.joints.spec import StripJoint

    made = {e.name for e in GUIDE}
    public = {
        name
        for name in furnigen.__all__
        if "." in getattr(getattr(furnigen, name), "__module__", "")
        and getattr(furnigen, name).__module__.startswith("furnigen.joints.")
        and not isinstance(getattr(furnigen, name), type)
    }
    assert public == made
    assert StripJoint.__name__ not in made


@pytest.mark.parametrize("entry", GUIDE, ids=lambda e: e.name)
def test_each_example_is_sound_and_its_section_shows_both_boards(entry) -> None:
    piece = entry.piece()
    assert not [f for f in furnigen.check(piece, only=["solid"]) if f.status == FAIL]
    assert piece.joints[-1].kind in entry.kinds or entry.name == "cleat"
    lines = section(entry)
    text = "".join(lines)
    assert "#" in text
    assert "=" in text
    assert max(map(len, lines)) <= 44
    assert entry.what.endswith(".")
    assert {name for name, _, _ in entry.sizes()}
    assert all(meaning for _, _, meaning in entry.sizes())


def test_a_section_is_cut_where_it_says() -> None:
    """A housing: the groove is a third of 18 mm deep, in a section of 130 mm across 44 characters."""
    lines = section(next(e for e in GUIDE if e.name == "housing"))
    enters = next(line for line in lines if "=" in line)
    assert enters.index("=") == round((18 - 6) / (130 / 44))


def test_winding_tells_inside_from_outside() -> None:
    corners = np.array([(x, y, z) for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=float)
    faces = [
        *((0, 1, 3), (0, 3, 2), (4, 6, 7), (4, 7, 5), (0, 4, 5), (0, 5, 1)),
        *((2, 3, 7), (2, 7, 6), (0, 2, 6), (0, 6, 4), (1, 5, 7), (1, 7, 3)),
    ]
    points = np.array([(0.5, 0.5, 0.5), (0.1, 0.9, 0.2), (1.5, 0.5, 0.5), (-0.1, 0.5, 0.5)])
    assert winding(points, corners[faces]) == pytest.approx([1, 1, 0, 0], abs=1e-9)


def test_entering_boards_are_drawn_clear_of_the_others() -> None:
    from furnigen.mesh.interference import find_interference
    from furnigen.mesh.scene import scene_of

    for entry in GUIDE:
        assert not find_interference(scene_of(apart(entry))).overlaps, entry.name


def test_joints_are_listed_with_the_recipes_that_take_them(capsys) -> None:
    rows = {row["name"]: row for row in data(capsys, "joints")}
    assert list(rows) == [e.name for e in GUIDE]
    # a bookcase on pins is made, and has them
    assert "panel_bookcase (shelf_joint=pins)" in rows["shelf_pins"]["recipes"]
    assert "pins" in {j.kind for j in find_recipe("panel_bookcase")(shelf_joint="pins").joints}
    assert any(r.startswith("divided_case") for r in rows["housing"]["recipes"])
    # those made with it by their defaults say so, beside what else brings it
    assert "crate_wall" in rows["housing"]["recipes"]
    (case,) = (r for r in rows["butt"]["recipes"] if r.startswith("divided_case"))
    assert case.startswith("divided_case (as it comes, ")
    out = " ".join(shown(capsys, "joints").split())
    assert "when shelves and dividers that stay" in out


def test_a_joint_is_told_whole_by_any_of_its_names(capsys) -> None:
    for name in ("half_lap", "half-lap", "Half lap"):
        out = shown(capsys, "joints", name)
        assert "share" in out
        assert "a section: # receives, = enters" in out
    assert "a strip of its own" in shown(capsys, "joints", "cleat")
    assert "did you mean housing?" in refused(capsys, "joints", "hosing")


@pytest.mark.slow
def test_joints_are_drawn(capsys) -> None:
    (row,) = data(capsys, "joints", "housing", "--out", "pictures")
    size = Path(row["picture"]).read_bytes()[16:24]  # of the first chunk of a PNG (W3C PNG, 11.2.2)
    assert (int.from_bytes(size[:4]), int.from_bytes(size[4:])) == (480, 360)
    Path("taken").write_text("")
    assert "taken can not be written" in refused(capsys, "joints", "housing", "--out", "taken")


# -- describe ---------------------------------------------------------------------------------------


def test_a_recipe_is_described_with_its_parts_and_joints(capsys) -> None:
    row = data(capsys, "describe", "divided_case")["at_defaults"]
    piece = find_recipe("divided_case")()
    assert [p["name"] for p in row["parts"]] == [p.name for p in piece.parts]
    assert sum(j["number"] for j in row["joints"]) == len(piece.joints)
    assert row["legs"][0]["splay_deg"] == 5.0
    out = shown(capsys, "describe", "divided_case")
    assert "round tenon, glued" in out
    assert "splay 5°" in out
    assert "side left" in out


def test_a_recipe_whose_defaults_make_nothing_is_still_described(here, capsys) -> None:
    Path("odd.py").write_text(
        "from furnigen import length, recipe, require\n"
        "@recipe('odd')\ndef odd(width: float = length(500, 100, 900, 'overall width')):\n"
        "    require(width > 600, 'width', 'must be more than 600 mm')\n"
    )
    assert "its defaults make no piece: width = 500.0 mm: must be more" in shown(capsys, "describe", "odd.py")
    assert "must be more" in data(capsys, "describe", "odd.py")["error"]


# -- help, completion, manual -----------------------------------------------------------------------


@pytest.mark.parametrize("name", COMMANDS)
def test_help_of_a_command_is_that_of_its_option(name, capsys) -> None:
    first = shown(capsys, "help", name)
    assert main([name, "--help"]) == 0
    assert capsys.readouterr().out == first


def test_help_without_a_command_and_with_a_wrong_one(capsys) -> None:
    assert shown(capsys, "help").startswith("usage: furnigen")
    assert "did you mean make?" in refused(capsys, "help", "mkae")
    assert "command = '': is not known" in refused(capsys, "help", "")


def test_lists_of_options_for_programs(capsys) -> None:
    for words in (["check", "--uses", "--json"], ["make", "--json", "--uses"]):
        assert main(words) == 0
        rows = json.loads(capsys.readouterr().out)
        assert {"name": "books", "amount": "25 lb/ft"}.items() <= rows[0].items()
    assert main(["check", "--sag-limits", "--json"]) == 0
    assert any(row["amount"] == "L/240" for row in json.loads(capsys.readouterr().out))


@pytest.mark.parametrize("shell", ["bash", "zsh", "tcsh"])
def test_completion_knows_every_command_and_option(shell, capsys) -> None:
    script = shown(capsys, "completion", shell)
    for name in COMMANDS:
        assert name in script
    if shell != "tcsh":
        assert "--sag-limit" in script
        assert "_furnigen_recipes" in script
    assert "invalid choice" in refused(capsys, "completion", "cmd")


@pytest.mark.skipif(shutil.which("bash") is None, reason="needs bash")
def test_bash_completes_commands_options_and_recipes(here, capsys) -> None:
    """The script in bash itself: what it offers for a line that is being typed."""
    Path("furnigen.bash").write_text(shown(capsys, "completion", "bash"))
    Path("recipes").mkdir()
    fake = "furnigen() { echo 'ring_rack  thin shelves'; echo 'crate_wall  a grid'; }\n"

    def offered(*words: str) -> set[str]:
        line = " ".join(f"'{w}'" for w in words)
        script = (
            f". ./furnigen.bash\n{fake}COMP_WORDS=({line}); COMP_CWORD={len(words) - 1}\n"
            '_shtab_furnigen; printf "%s\\n" "${COMPREPLY[@]}"'
        )
        done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, check=True)
        return set(done.stdout.split())

    assert offered("furnigen", "st") == {"stock"}
    assert "--sag-limit" in offered("furnigen", "check", "--sag")
    assert offered("furnigen", "make", "cr") == {"crate_wall"}
    Path("crates.toml").write_text("")
    assert offered("furnigen", "serve", "cr") == {"crate_wall", "crates.toml"}


def test_the_manual_page_holds_every_command_and_option(capsys) -> None:
    assert shown(capsys, "manual", "--out", "furnigen.1") == "furnigen.1\n"
    page = Path("furnigen.1").read_text(encoding="utf-8")
    for name, command in commands_of(parser()).items():
        assert f'.SS "furnigen {name}"' in page
        for action in words_of(command):
            for option in action.option_strings:
                assert option.replace("-", "\\-") in page
    assert "%(" not in page
    assert (
        shown(capsys, "manual", "--out", "furnigen.1") == "furnigen.1\n"
    )  # its own page may be written over
    Path("notes.txt").write_text("mine")
    assert "is a file of yours" in refused(capsys, "manual", "--out", "notes.txt")
    assert Path("notes.txt").read_text() == "mine"
    assert page == shown(capsys, "manual")
    assert "can not be written" in refused(capsys, "manual", "--out", "no/such/folder/x.1")


@pytest.mark.skipif(shutil.which("groff") is None, reason="needs groff")
def test_the_manual_page_is_sound_for_groff(capsys) -> None:
    """Every warning of the formatter on, none given; and what it sets reads as it should."""
    page = shown(capsys, "manual")
    words = ["groff", "-man", "-Kutf8", "-Tutf8", "-ww", "-rLL=100n", "-P-c"]
    done = subprocess.run(words, input=page.encode(), capture_output=True, check=True)
    assert done.stderr == b""
    plain = re.sub("\x1b\\[[0-9;]*m|.\x08", "", done.stdout.decode())
    text = " ".join(plain.split())
    assert "furnigen stock" in text
    assert "7' 3-1/2\"" in text


def test_listing_loads_no_kernel() -> None:
    code = (
        "import sys; from furnigen.cli.main import main; main(['stock', 'birch']);"
        " main(['describe', 'ring_rack']); main(['help', 'make']);"
        " main(['completion', 'bash']); main(['manual']);"
        " print({'cadquery', 'OCP', 'trimesh', 'scipy', 'vtk'} & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "set()"
