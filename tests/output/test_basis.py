"""The basis page: what rests on what, of one piece and of nothing else."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path

import pytest

from furnigen import build, find_recipe, list_recipes
from furnigen.catalogue.joint_values import joint_values, value_source
from furnigen.catalogue.sag_limits import list_limits
from furnigen.cli.main import main
from furnigen.core.finding import PASS, Finding
from furnigen.formats import basis as module
from furnigen.formats.basis import STANDINGS, basis_of, standing_of

DATA = Path(module.__file__).parents[1] / "catalogue" / "data"


def table(name: str) -> list[dict[str, str]]:
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def basis(name: str, **demands: object) -> list[dict[str, object]]:
    built = build(find_recipe(name)(), **demands)  # type: ignore[arg-type]
    return list(built.report_of(("fit", "sag", "strength", "standing"))["basis"])


def whats(rows: list[dict[str, object]], kind: str) -> list[str]:
    return [str(row["what"]) for row in rows if row["kind"] == kind]


@pytest.mark.parametrize("recipe", list_recipes(), ids=lambda r: r.name)
def test_every_entry_says_where_from_and_what_that_is_worth(recipe) -> None:
    rows = basis(recipe.name)
    assert len(rows) > 40
    for row in rows:
        assert row["source"], row
        assert row["standing"], row
        assert set(row["standing"]) <= set(STANDINGS), row  # type: ignore[arg-type]
        assert "not stated" not in row["standing"], row
    assert len({json.dumps(row) for row in rows}) == len(rows), "each once"


def test_only_what_this_piece_uses() -> None:
    hung, standing = basis("crate_wall"), basis("divided_case")
    assert not any("beech" in what for what in whats(hung, "material"))
    assert any("beech" in what for what in whats(standing, "material"))
    assert "glazed-ware" in whats(hung, "load")
    assert "glazed-ware" not in whats(standing, "load")
    assert not any("leaning leg" in what for what in whats(hung, "method"))
    assert any("leaning leg" in what for what in whats(standing, "method"))
    assert not any(what.startswith("test load") for what in whats(standing, "load"))
    assert "test load child" in whats(basis("divided_case", tip_tests=("child",)), "load")
    assert "load case shove-loaded" not in whats(standing, "load")
    assert "load case shove-loaded" in whats(basis("divided_case", load_cases=("all",)), "load")
    assert not [w for w in whats(basis("divided_case", load_cases=("none",)), "load") if "case" in w]


def test_what_tables_admit_is_what_the_page_says() -> None:
    """Each value of the strength table under the provenance of its own column."""
    words = {
        "looked-up": "published",
        "memory": "from memory",
        "common practice, no source": "common practice without source",
    }
    (plywood,) = [row for row in table("strengths") if row["group"] == "plywood"]
    rows = {str(row["what"]): row for row in basis("crate_wall")}
    for group in ("bearing", "shear", "spread", "panel_g", "planar_g", "poisson"):
        row = rows[f"plywood, {group.replace('_', ' ')}"]
        assert row["source"] == plywood[f"{group}_source"]
        assert words[plywood[f"{group}_provenance"]] in row["standing"]  # type: ignore[operator]
    assert plywood["bearing_mpa"] in str(rows["plywood, bearing"]["value"])


def test_values_that_modules_hold() -> None:
    """EN 1990's factor, 60 lb of ASTM F3096, 27 in of 16 CFR 1261, EN 16122's 50 mm: as published."""
    rows = {str(row["what"]): str(row["value"]) for row in basis("divided_case")}
    assert rows["factor on every load"] == "1.5"
    assert rows["least pull of a tip restraint"] == "266.9 N"
    assert rows["anchored from this height on"] == "686 mm"
    assert rows["where it stands within an edge"] == "50 mm"


def test_every_method_row_is_well_formed() -> None:
    for row in table("methods"):
        assert row["what"]
        assert row["source"]
        assert standing_of("", row["provenance"]) != ("not stated",), row
        if row["constant"]:
            module_name, _, name = row["constant"].partition(":")
            assert module_name.startswith("furnigen.")
            assert name.isupper()


def test_a_check_of_which_no_table_speaks_appears_by_itself() -> None:
    piece = find_recipe("crate_wall")()
    new = Finding("joint", PASS, 1.0, 2.0, "N", "", "EN 1995-1-1 8.3; embedment from memory")
    (row,) = basis_of(piece, [new])[-1:]
    assert (row.kind, row.what, row.value) == ("finding", "joint", "most 2 N")
    assert row.standing == ("published", "from memory")
    vague = Finding("another", PASS, 1.0, None, "N", "", "by eye")
    assert basis_of(piece, [vague])[-1].standing == ("not stated",)


def test_a_table_of_which_nothing_is_known_appears_where_a_finding_names_it(monkeypatch) -> None:
    rows = (
        {"name": "head", "value": "10.5", "source": "a declared value of a maker", "provenance": "memory"},
    )
    monkeypatch.setattr(module, "_other_tables", lambda: ("joint_values",))
    known = module.table_rows
    monkeypatch.setattr(module, "table_rows", lambda t: rows if t == "joint_values" else known(t))
    piece = find_recipe("crate_wall")()
    by = Finding("joint", PASS, 1.0, 2.0, "N", "", "pull-through: a declared value of a maker")
    assert next(b for b in basis_of(piece, [by]) if b.what == "head").value == "value 10.5"
    other = Finding("joint", PASS, 1.0, 2.0, "N", "", "statics")
    assert not [b for b in basis_of(piece, [other]) if b.what == "head"]


def test_sag_limits_are_told_as_shares_of_the_span() -> None:
    for limit in list_limits():
        assert re.match(r"L/\d+", limit.title), limit.title
        assert limit.title.startswith(f"L/{1 / limit.share:.0f}")
    (sag,) = [f for f in build(find_recipe("panel_bookcase")()).findings_of(("sag",)) if f.name == "sag"]
    assert re.search(r"with creep .* mm \(L/\d+\)", sag.source)
    assert "Limit L/240" in sag.source


def test_the_command(capsys) -> None:
    assert main(["check", "crate_wall", "--only", "strength", "--basis"]) == 0
    text = capsys.readouterr().out
    assert "Basis:" in text
    assert "from memory" in text
    assert "APA TT-001" in text
    assert "licensed practice" in " ".join(text.split())
    assert main(["check", "crate_wall", "--only", "strength", "--basis", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert {"kind", "what", "value", "used_by", "source", "standing"} == set(data["basis"][0])
    assert "checks" not in data
    assert main(["check", "piece.step", "--basis"]) == 2


def test_values_of_joints_from_memory_are_marked_so() -> None:
    """A finding names the source of its value: what is from memory must not read as usual practice alone."""
    marked = {
        name: standing_of(value_source(name))
        for name, v in joint_values().items()
        if v.source.provenance == "memory"
    }
    assert marked
    assert all("from memory" in standing for standing in marked.values()), marked


def test_the_rule_of_the_very_joint_is_listed() -> None:
    built = build(find_recipe("crate_wall")())
    rows = {row.what: row for row in basis_of(built.piece, built.findings) if row.kind == "finding"}
    assert "rolling shear" in rows["joint"].source
    assert "from memory" in rows["joint"].standing
    assert "F2057" in rows["child-on-joint"].source
    assert not any(row.standing == ("not stated",) for row in rows.values())


def test_values_are_shown_in_the_units_asked_for(capsys):
    assert main(["check", "ring_rack", "--basis", "--units", "in"]) == 0
    said = capsys.readouterr().out
    assert '~13/16" thick' in said  # 20.4 mm of plywood
    assert "20.4 mm thick" not in said
    assert "anchored from this height on: ~2'-3\"" in said  # 686 mm, 27 in
