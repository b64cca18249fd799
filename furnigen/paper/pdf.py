"""Pages as PDF/A-2b (ISO 19005-2): vector, searchable text, fonts embedded, the same bytes twice.

Typst sets the file up; each page is our own SVG as its image, which keeps text as text.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from typing import Any

from furnigen.core.errors import InputError
from furnigen.paper.lettering import font_files, writable
from furnigen.paper.page import Page
from furnigen.paper.svg import number, svg_bytes

EARLIEST = 315_532_800
"""1980-01-01: PDF/A asks for a date. SOURCE_DATE_EPOCH states another."""


def pdf_bytes(pages: Iterable[Page], title: str) -> bytes:
    """Pages as one PDF/A-2b file.

    Args:
        title: of the document.

    Raises: InputError for a SOURCE_DATE_EPOCH that is no number, or no page at all.
    """
    return _set_up(list(pages), title, {"format": "pdf", "pdf_standards": "a-2b"})


def png_bytes(page: Page, dots_per_inch: float) -> bytes:
    """A page as a picture of dots, to be shown where no PDF is: in a README, to look it over."""
    return _set_up([page], page.title, {"format": "png", "ppi": dots_per_inch})


def _set_up(pages: list[Page], title: str, how: dict[str, Any]) -> bytes:
    import typst

    if not pages:
        raise InputError("pages", 0, "must be one or more")
    files: dict[str, bytes] = {f"{n}.svg": svg_bytes(page, fonts=False) for n, page in enumerate(pages)}
    source = [f'#set document(title: "{_quoted(title)}", date: auto)', '#set text(lang: "en")']
    for n, page in enumerate(pages):
        w, h = number(page.width), number(page.height)
        said = f', alt: "{_quoted(page.title)}"' if page.title else ""
        source.append(
            f"#page(width: {w}mm, height: {h}mm, margin: 0mm)"
            f'[#image("{n}.svg", width: {w}mm, height: {h}mm{said})]'
        )
    files["main.typ"] = "\n".join(source).encode()
    folder = str(font_files()[0].parent)
    made: bytes = typst.compile(
        files, font_paths=[folder], ignore_system_fonts=True, timestamp=_date(), **how
    )  # type: ignore[call-overload]  # its stub knows no files in memory
    return made


def _quoted(text: str) -> str:
    return writable(text).replace("\\", "\\\\").replace('"', '\\"')


def _date() -> int:
    text = os.environ.get("SOURCE_DATE_EPOCH", "")
    if not text:
        return EARLIEST
    try:
        return int(text)
    except ValueError:
        raise InputError("SOURCE_DATE_EPOCH", text, "must be whole seconds since 1970-01-01") from None
