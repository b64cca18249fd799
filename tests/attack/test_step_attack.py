"""Damaged STEP files by the hundred: none may hang, raise, or pass.

    STEP_MUTANTS=1500 pytest -m slow tests/attack

tries more than the usual 300; the same numbers are always the same files.
"""

from __future__ import annotations

import os

import pytest
from forked import rows_of
from step_judge import wrong
from step_mutants import KINDS, mutant

COUNT = int(os.environ.get("STEP_MUTANTS", "300"))


@pytest.mark.slow
def test_no_damaged_step_file_hangs_raises_or_passes() -> None:
    rows = list(rows_of("step_run.py", count=COUNT))
    assert len([r for r in rows if r["number"] >= 0]) == COUNT
    assert not wrong(rows)
    # the judge saw all sorts: files that pass, that fail and that are refused
    assert {r["ended"] for r in rows} >= {0, 1, 2}


def test_a_mutant_is_the_same_each_time() -> None:
    good = {"a": _tiny(), "b": _tiny().replace("A'", "B'")}
    seen = [mutant(good, k) for k in range(2 * len(KINDS))]
    assert seen == [mutant(good, k) for k in range(2 * len(KINDS))]
    assert {one.kind for one in seen} == {change.__name__ for change in KINDS}
    assert sum(one.text not in good.values() for one in seen) >= len(seen) - 4


def _tiny() -> str:
    return (
        "ISO-10303-21;\nDATA;\n#1 = PRODUCT_DEFINITION('A','',#2,#3);\n#2 = CLOSED_SHELL('',(#4,#5));\n"
        "#3 = ITEM_DEFINED_TRANSFORMATION('','',#4,#4);\n#4 = AXIS2_PLACEMENT_3D('',#5,#6,#7);\n"
        "#5 = CARTESIAN_POINT('',(0.,0.,1.));\n#6 = DIRECTION('',(0.,0.,1.));\n"
        "#7 = DIRECTION('',(1.,0.,0.));\n"
        "#8 = SHAPE_REPRESENTATION('',(#4),#9);\n#9 = NEXT_ASSEMBLY_USAGE_OCCURRENCE('','',#1,#1);\n"
        "#10 = MANIFOLD_SOLID_BREP('',#2);\n#11 = ( LENGTH_UNIT() SI_UNIT(.MILLI.,.METRE.) );\n"
        "ENDSEC;\nEND-ISO-10303-21;\n"
    )


def test_the_judge_finds_what_is_wrong() -> None:
    good = {"number": -1, "source": "s", "ended": 0, "volumes": {"a": 1.0, "b": 2.0}}
    about = {"number": 1, "source": "s", "kind": "number", "what": "", "message": "", "findings": []}
    assert not wrong([good, about | {"ended": 0, "volumes": {"a": 2.0, "b": 1.0}}])
    assert not wrong([good, about | {"ended": 1, "volumes": {"a": 2.0}}])
    assert not wrong([good, about | {"ended": 0, "kind": "unit", "volumes": {"a": 1000.0, "b": 2.0}}])
    for bad in (
        {"ended": 0, "volumes": {"a": 1.0}},
        {"ended": 0, "volumes": {"a": 1.0, "b": 2.1}},
        {"ended": "time", "volumes": {}},
        {"ended": "raised", "volumes": {}},
    ):
        assert wrong([good, about | bad])
