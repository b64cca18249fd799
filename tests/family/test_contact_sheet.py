"""The contact sheet: whole in itself, nothing in it can break out, and its best front is the true one."""

from __future__ import annotations

import json
import re
import subprocess
from html.parser import HTMLParser

from hypothesis import given, settings
from hypothesis import strategies as st
from trial import PLAIN, finished, trial_family

from furnigen.family.contact_sheet import MOST_EMBEDDED_BYTES, Sheet, SheetColumn, SheetRow, contact_sheet
from furnigen.family.contact_sheet_script import SCRIPT

COLUMNS = (SheetColumn("mass", "kg"), SheetColumn("shelves", given=True, less=False))


def page(rows, title="Racks") -> str:
    sheet = Sheet(title, ("Two of them.",), COLUMNS, "Take care.", ("family.csv",))
    return b"".join(contact_sheet(sheet, rows)).decode()


class Reader(HTMLParser):
    """What a browser would find: the data, the elements, and every address it would fetch."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.data, self.tags, self.addresses, self.labels = "", [], [], 0
        self._in_data = False
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        found = dict(attrs)
        self.tags.append((tag, found))
        self._in_data = found.get("id") == "data"
        self.addresses += [v for k, v in attrs if k in ("src", "href") and v]

    def handle_endtag(self, tag):
        self._in_data = False

    def handle_data(self, data):
        if self._in_data:
            self.data += data


def test_it_fetches_nothing_and_names_its_controls():
    text = page([SheetRow("a", "pass", "", (1.0, 2), ("model.step",))])
    found = Reader(text)
    assert found.addresses == ["#variants"]
    assert "url(" not in text
    assert not re.search(r"https?:|fetch\(|XMLHttpRequest|import\(|innerHTML", text)
    for tag, attributes in found.tags:
        if tag in ("select", "input"):
            # each stands within a label
            assert re.search(rf'<label[^>]*>[^\0]*?id="{attributes["id"]}"[^\0]*?</label>', text)
        if tag == "section":
            assert attributes["aria-label"]
    assert ("html", {"lang": "en"}) in found.tags


def test_names_and_reasons_can_not_break_out_of_the_page():
    evil = '</script><script>alert(1)</script><!-- "&\u2028'
    found = Reader(page([SheetRow(evil, "fail", evil, (1.0, 2))], title=evil))
    data = json.loads(found.data)
    assert data["rows"][0][:3] == [evil, "fail", evil]
    assert [t for t, _ in found.tags].count("script") == 2


def test_pictures_are_inside_until_there_are_too_many():
    picture = b"\x89PNG" + bytes(MOST_EMBEDDED_BYTES // 2)
    rows = [SheetRow(n, "pass", "", (1.0, 2), ("preview.png",), picture, "preview.png") for n in "abc"]
    data = json.loads(Reader(page(rows)).data)
    assert [r[5][:22] for r in data["rows"]] == ["data:image/png;base64,", "preview.png", "preview.png"]


def best_front(rows, less_x, less_y) -> list[int]:
    """The front by definition: every pair compared."""

    def better(a, b, less):
        return a < b if less else a > b

    able = [(i, x, y) for i, (status, x, y) in enumerate(rows)
            if status in ("pass", "warn") and x is not None and y is not None]  # fmt: skip

    def beaten(one):
        return any(
            (better(x, one[1], less_x) and not better(one[2], y, less_y))
            or (better(y, one[2], less_y) and not better(one[1], x, less_x))
            for _, x, y in able
        )

    return [one[0] for one in able if not beaten(one)]


def script_front(cases) -> list[list[int]]:
    """What the page's own function says, run by node (a JavaScript engine of its own)."""
    function = re.search(r"function bestFront\(.*?\n}\n", SCRIPT, re.DOTALL)
    assert function
    run = (
        function[0]
        + "const cases = JSON.parse(require('fs').readFileSync(0));"
        + "console.log(JSON.stringify(cases.map(([rows, lx, ly]) => bestFront("
        + "rows.map(([status, x, y], i) => ({ i, status, cells: [x, y] })), 0, 1, lx, ly).map(r => r.i))));"
    )
    done = subprocess.run(
        ["node", "-e", run], input=json.dumps(cases), capture_output=True, text=True, check=True
    )
    return json.loads(done.stdout)


NUMBERS = st.one_of(st.none(), st.integers(0, 6), st.floats(-5, 5).map(lambda v: round(v, 2)))
ROWS = st.lists(
    st.tuples(st.sampled_from(["pass", "warn", "fail", "refused"]), NUMBERS, NUMBERS), max_size=12
)


@settings(max_examples=5, deadline=None)
@given(st.lists(st.tuples(ROWS, st.booleans(), st.booleans()), min_size=40, max_size=60))
def test_best_front_is_every_variant_nothing_beats(cases):
    for (rows, less_x, less_y), found in zip(cases, script_front(cases), strict=True):
        assert sorted(found) == best_front(rows, less_x, less_y)


def test_a_family_lists_its_files_and_what_varies(tmp_path):
    trial_family(tmp_path, PLAIN.replace("[vary]", 'units = "in"\n[vary]').replace(
        "{ from = 600, to = 1200, step = 100 }", "[24, 36]"))  # fmt: skip
    assert finished(tmp_path, "family.toml", "--workers", "0")[0] == 0
    data = json.loads(Reader((tmp_path / "out" / "family" / "family.html").read_text()).data)
    columns = {c[0]: c for c in data["columns"]}
    # label, unit, number, given, less is better
    assert columns["width"] == ["width", "in", 1, 1, 0]
    assert columns["mass"] == ["mass", "kg", 1, 0, 1]
    assert columns["overall height"][1] == "in"
    assert [c[0] for c in data["columns"]][:2] == ["width", "shelves"]
    assert len(data["rows"]) == 6
    name, status, reason, cells, files, picture = data["rows"][0]
    assert (name, status, reason, picture) == ("width=609.6,shelves=1", "pass", "", "")
    assert cells[:2] == [24.0, 1]
    assert set(files) == {"cutlist.csv", "report.json"}
    assert "family.csv" in data["tables"]


def test_parquet_holds_the_same_table(tmp_path):
    import csv

    from pyarrow import parquet

    trial_family(tmp_path, PLAIN)
    assert finished(tmp_path, "family.toml", "--workers", "0")[0] == 0
    table = parquet.read_table(tmp_path / "out" / "family" / "family.parquet").to_pylist()
    with (tmp_path / "out" / "family" / "family.csv").open() as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == len(table) == 21
    for row, typed in zip(rows, table, strict=True):
        assert list(row) == list(typed)
        for name, text in row.items():
            value = typed[name]
            if isinstance(value, bool):
                assert text == ("yes" if value else "no")
            elif isinstance(value, int | float):
                assert float(text) == value
            else:
                assert text == (value or "")
