"""The contact sheet of a family: one HTML file with its data, pictures, style and script inside.

It reads nothing from any network. Variants are shown as cards or as a table, sorted and filtered by any
column, and drawn against any two columns with the best front marked: the variants that no other beats in
one of the two without losing in the other.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from html import escape
from importlib.resources import files
from typing import Any

from furnigen.core.finding import FAIL, PASS, WARN
from furnigen.page.markup import (
    content_policy,
    filled,
    json_in_html,
    lamps,
    mark,
    name_of,
    packed_script,
    page_head,
    text_asset,
)

MOST_EMBEDDED_BYTES = 24_000_000
"""Pictures beyond this stay in their folders and are loaded from there, so that any browser copes."""


@dataclass(frozen=True)
class SheetColumn:
    """One column a person may sort, filter and draw by.

    Attributes:
        label: for people, such as "overall width".
        unit: "mm", "kg" ... or "".
        number: whether it holds numbers.
        given: whether it is something the family varies.
        less: whether less of it is better, at first.
    """

    label: str
    unit: str = ""
    number: bool = True
    given: bool = False
    less: bool = True


@dataclass(frozen=True)
class SheetRow:
    """One variant.

    Attributes:
        name: of its folder.
        status, reason: as in the table.
        cells: a value for each column; None where it has none.
        files: names of the files in its folder.
        picture: PNG bytes; empty for none.
        picture_name: the picture's file within the folder.
    """

    name: str
    status: str
    reason: str
    cells: tuple[Any, ...]
    files: tuple[str, ...] = ()
    picture: bytes = b""
    picture_name: str = ""


@dataclass(frozen=True)
class Sheet:
    """A family for the contact sheet.

    Attributes:
        title: what a person calls it.
        lines: short sentences under the title.
        counts: how many variants there are of each status.
        columns: what can be sorted, filtered and drawn.
        note: at the foot.
        tables: files of the whole table, to link to.
    """

    title: str
    lines: tuple[str, ...]
    columns: tuple[SheetColumn, ...]
    note: str
    tables: tuple[str, ...]
    counts: Mapping[str, int] = field(default_factory=dict)


def contact_sheet(sheet: Sheet, rows: Iterable[SheetRow]) -> Iterator[bytes]:
    """The page, UTF-8, piece by piece: rows are taken one at a time.

    Args:
        sheet: what it is about.
        rows: the variants, in the order of the family.
    """
    style, script = text_asset("look.css") + _asset("css"), packed_script("family")
    # pictures beyond MOST_EMBEDDED_BYTES are read from the folders beside the page
    policy = content_policy((script,), (style,), ("file:", "'self'"))
    head, tail = _asset("html").split("@DATA@")
    varied = [name_of(c.label) for c in sheet.columns if c.given]
    other = sum(n for status, n in sheet.counts.items() if status not in (FAIL, WARN, PASS))
    texts = {
        "HEAD": page_head(sheet.title, style, policy),
        "TITLE": escape(sheet.title),
        "LINES": "".join(f"<p dir=auto>{escape(line)}</p>" for line in sheet.lines),
        "LAMPS": lamps(sheet.counts, {"none": (other, "{} not made")}) or "none made",
        "VARIED": ", ".join(varied) or "nothing",
        "NOTE": escape(sheet.note),
        "MARKS": "".join(f"<span class=s-{s}>{mark(s)}</span>" for s in (PASS, WARN, FAIL, "none")),
        "SCRIPT": script,
    }
    yield filled(head, texts).encode()
    yield b'{"columns":' + json_in_html([_column(c) for c in sheet.columns]).encode()
    yield b',"tables":' + json_in_html(list(sheet.tables)).encode() + b',"rows":['
    room = MOST_EMBEDDED_BYTES
    for index, row in enumerate(rows):
        room -= len(row.picture)
        yield (b",\n" if index else b"\n") + json_in_html(_row(row, embed=room >= 0)).encode()
    yield b"]}"
    yield filled(tail, texts).encode()


def _asset(kind: str) -> str:
    """The page's template or style."""
    return (files("furnigen.family") / "page" / f"contact_sheet.{kind}").read_text(encoding="utf-8")


def _column(c: SheetColumn) -> list[Any]:
    return [c.label, c.unit, int(c.number), int(c.given), int(c.less)]


def _row(row: SheetRow, *, embed: bool) -> list[Any]:
    picture = ""
    if row.picture:
        picture = f"data:image/png;base64,{b64encode(row.picture).decode()}" if embed else row.picture_name
    return [row.name, row.status, row.reason, list(row.cells), list(row.files), picture]
