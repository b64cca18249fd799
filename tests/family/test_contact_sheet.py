"""The contact sheet: whole in itself, nothing in it can break out, and its best front is the true one."""

from __future__ import annotations

import json
import re
import subprocess
from base64 import b64encode
from hashlib import sha256
from html import unescape
from html.parser import HTMLParser
from importlib import resources

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from trial import PLAIN, finished, trial_family

from furnigen.family.contact_sheet import MOST_EMBEDDED_BYTES, Sheet, SheetColumn, SheetRow, contact_sheet
from furnigen.page.markup import packed_script, text_asset

STYLE = text_asset("look.css") + (
    resources.files("furnigen.family") / "page" / "contact_sheet.css"
).read_text(encoding="utf-8")

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
    assert found.addresses == ["data:,", "#variants"]
    assert "url(" not in text
    assert not re.search(r"https?:|fetch\(|XMLHttpRequest|import\(|innerHTML", text)
    for tag, attributes in found.tags:
        if tag in ("select", "input"):
            # each stands within a label
            assert re.search(rf'<label[^>]*>[^\0]*?id="{attributes["id"]}"[^\0]*?</label>', text)
        if tag == "section":
            assert attributes["aria-label"]
    assert ("html", {"lang": "en"}) in found.tags


def test_its_policy_names_its_script_and_its_style_by_their_hashes():
    text = page([SheetRow("a", "pass", "", (1.0, 2))])
    policy = unescape(re.search(r'Policy" content="([^"]*)"', text)[1])
    assert policy.startswith("default-src 'none'; ")
    assert "unsafe" not in policy
    for inside in (
        text.split("<script>")[1].split("</script>")[0],
        re.search(r"<style>(.*?)</style>", text, re.S)[1],
    ):
        assert b64encode(sha256(inside.encode()).digest()).decode() in policy
    assert not re.search(r"<[a-z][^>]* (?:style|on[a-z]+)=", text.split("<script")[0])


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


def test_node_finds_no_fault_in_the_script(tmp_path):
    script = tmp_path / "family.js"
    script.write_text(packed_script("family"), encoding="utf-8")
    subprocess.run(["node", "--check", str(script)], check=True, timeout=60)


# Contrast ratio and relative luminance: Web Content Accessibility Guidelines 2.2, W3C Recommendation, their
# definitions; limits of level AA: success criteria 1.4.3 (text: 4.5) and 1.4.11 (controls, focus, marks: 3).


def luminance(colour) -> float:
    channels = [v / 255 for v in colour]
    r, g, b = (v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in channels)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one, other) -> float:
    low, high = sorted([luminance(one), luminance(other)])
    return (high + 0.05) / (low + 0.05)


def themes() -> list[dict[str, tuple[int, ...]]]:
    """The colours of the light and of the dark theme, by name."""
    found = []
    for block in re.findall(r":root\{([^}]*)\}", STYLE):
        pairs = re.findall(r"--(\w+):#([0-9a-f]{6})\b", block)
        found.append({name: tuple(bytes.fromhex(digits)) for name, digits in pairs})
    assert len(found) == 2
    return found


STATUS = ("pass", "warn", "fail", "none")
TEXT = {
    "paper": ("ink", "quiet", "glaze"),
    "sheet": ("ink", "quiet", "glaze", *STATUS),
    "shade": ("ink", "quiet", "glaze", *STATUS),  # the marked row, a card without a picture
    "clay": ("sheet",),  # a pressed button
}
MARKS = {"paper": ("edge", "glaze", "clay"), "sheet": ("edge", "glaze", "clay", *STATUS)}


def test_contrast_by_the_examples_of_the_guidelines():
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21)
    # 18.1 to 1, by hand: luminance of #eee is 0.8550
    assert contrast((0xEE,) * 3, (0, 0, 0)) == pytest.approx(0.905 / 0.05, abs=0.02)


@pytest.mark.parametrize("theme", themes(), ids=["light", "dark"])
def test_text_and_controls_reach_level_aa(theme):
    named = {n for names in TEXT.values() for n in names}
    used = set(re.findall(r"(?<![-\w])color:var\(--(\w+)\)", STYLE)) - {"c"}
    assert used <= named
    for limit, pairs in ((4.5, TEXT), (3.0, MARKS)):
        for ground, names in pairs.items():
            for name in names:
                ratio = contrast(theme[name], theme[ground])
                assert ratio >= limit, f"{name} on {ground}: {ratio:.2f}, {limit} needed"
    # points of the drawing let the sheet through
    clear = min(
        float(v) for v in re.findall(r"globalAlpha = .*?\? ([\d.]+)", text_asset("src/family/chart.js"))
    )
    for name in STATUS:
        seen = [clear * a + (1 - clear) * b for a, b in zip(theme[name], theme["sheet"], strict=True)]
        assert contrast(seen, theme["sheet"]) >= 3.0, name


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
    script = text_asset("src/family/front.js")
    function = re.search(r"function bestFront\(.*?\n}\n", script, re.DOTALL)
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
