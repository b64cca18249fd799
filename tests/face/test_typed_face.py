"""The public names are typed: a checker sees through the lazy loading, and refuses what is wrong."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest

import furnigen

FACE = Path(furnigen.__file__)

RIGHT = """
from collections.abc import Sequence

import cadquery
from furnigen import Draft, Finding, Piece, Pose, Stock, build, check, equal_clear, find_recipe, find_stock
from furnigen import from_stock, housing, length, recipe, to_cadquery, to_trimesh


@recipe("A shelf between two sides")
def shelf(
    width: float = length("600 mm", "300 mm", "900 mm", "overall width"),
    board: Stock = from_stock("birch-ply-18", "all boards"),
) -> Piece:
    t = board.thickness_mm
    draft = Draft("shelf", fit_mm=0.1)
    left = draft.board("side.left", board, (0, 0, 0), (t, 200, 400))
    right = draft.board("side.right", board, (width - t, 0, 0), (width, 200, 400))
    room = draft.opening("room", (t, 0, 0), (width - t, 200, 400), left=left, right=right)
    labels, _ = draft.divide(room, "z", equal_clear(2), board, role="shelf", grain="x")
    for label in labels:
        draft.join(left, label, housing(depth=6))
    draft.place("knob", cadquery.Workplane().box(9, 9, 9), find_stock("beech-blank-50"), Pose.at(0, 0, 400))
    return draft.done()


piece = shelf(width=700)
other: Piece = find_recipe("divided_case")(width="1.4 m", dividers=(2, 3, 4))
found: Sequence[Finding] = check(piece)
built = build(other)
folder: str = str(built.write("out", formats=("step", "glb")).folder)
name: str = to_cadquery(piece).name
volume: float = piece.parts[0].to_cadquery().Volume()
scene = to_trimesh(piece)
size: float = float(scene.extents[0])
"""

IMPORTS = """
import furnigen
from furnigen import Draft, build, check, equal_clear, find_recipe, housing, to_cadquery
"""
WRONG = {
    "Draft('a', nonsense=3)": 'Unexpected keyword argument "nonsense" for "Draft"',
    "Draft('a').bord()": '"Draft" has no attribute "bord"',
    "housing(dpeth=6)": 'Unexpected keyword argument "dpeth" for "housing"',
    "furnigen.hosing()": 'Module has no attribute "hosing"',
    "find_recipe(3)": 'Argument 1 to "find_recipe" has incompatible type "int"',
    "build('divided_case')": 'Argument 1 to "build" has incompatible type "str"',
    "check(3)": 'Argument 1 to "check" has incompatible type "int"',
    "equal_clear('3')": 'Argument 1 to "equal_clear" has incompatible type "str"',
    "Draft('a').board('b', 'mdf-19', (0, 0, 0), (1, 1, 1))": 'has incompatible type "str"; expected "Stock"',
    "build(find_recipe('a')()).writ('out')": '"Built" has no attribute "writ"',
    "to_cadquery(3)": 'No overload variant of "to_cadquery" matches argument type "int"',
}


@pytest.mark.slow
def test_a_right_file_is_accepted_and_each_wrong_line_refused(tmp_path):
    """All files are looked at in one run of `mypy --strict`, which takes most of its time to begin."""
    (tmp_path / "right.py").write_text(RIGHT, encoding="utf-8")
    messages = {"right.py": ""}
    for n, (line, message) in enumerate(WRONG.items()):
        messages[f"wrong_{n}.py"] = message
        (tmp_path / f"wrong_{n}.py").write_text(f"{IMPORTS}\n{line}\n", encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", "--follow-imports=silent", "--config-file", "", *messages],
        cwd=tmp_path, capture_output=True, text=True, check=False,
        env={**os.environ, "MYPYPATH": str(FACE.parents[1])},
    )  # fmt: skip
    assert not done.stderr, done.stderr
    said = dict.fromkeys(messages, "")
    for row in done.stdout.splitlines():
        if row.partition(":")[0] in said:
            said[row.partition(":")[0]] += row
    assert said.pop("right.py") == ""
    for name, told in said.items():
        assert messages[name] in told, (tmp_path / name).read_text(encoding="utf-8") + told


def test_checkers_and_python_load_the_same_names_from_the_same_homes():
    tree = ast.parse(FACE.read_text(encoding="utf-8"))
    typed = {}
    for block in tree.body:
        if isinstance(block, ast.If):
            for line in block.body:
                if isinstance(line, ast.ImportFrom):
                    typed |= {alias.asname: line.module for alias in line.names if alias.asname == alias.name}
    assert typed == furnigen._HOME_OF
    assert set(furnigen.__all__) == {*typed, "__version__"}
    assert set(typed) <= set(dir(furnigen))
    for name in typed:
        assert getattr(furnigen, name) is not None
    with pytest.raises(AttributeError, match="nonsense"):
        getattr(furnigen, "nonsense")  # noqa: B009


def test_the_package_says_that_it_is_typed():
    assert (FACE.parent / "py.typed").is_file()


def test_importing_the_face_loads_nothing_heavy():
    script = "import sys, furnigen; print([m for m in ('numpy', 'OCP', 'trimesh') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
