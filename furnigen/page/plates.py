"""Drawings packed into a page: one stream for all, as many as there is room for."""

from __future__ import annotations

import json
import re
import zlib
from base64 import b64encode
from collections.abc import Sequence

from furnigen.page.inserts import Plate
from furnigen.paper.page import Page
from furnigen.paper.svg import letters_of, svg_bytes

GZIP = 31
"""What zlib calls a stream with the head and the end of a gzip file."""
OF_BASE64 = 4 / 3
DECIMALS = 2
"""Of a millimetre on paper: finer than any screen shows."""


def packed_plates(plates: Sequence[Plate], room: int) -> tuple[str, dict[int, int]]:
    """The drawings that fit, as gzip in base64, and where each is in it by its number among `plates`.

    The text within is JSON lines: the fonts, as family and base64, then each drawing as SVG. A drawing that
    does not fit is left out, and smaller ones after it may still come in.

    Args:
        room: bytes it may take; nothing is packed where not even the fonts fit.
    """
    if not plates:
        return "", {}
    texts = [text for plate in plates for text in plate.page.texts]
    fonts = [[family, b64encode(data).decode()] for family, data in letters_of(texts)]
    packer = zlib.compressobj(9, zlib.DEFLATED, GZIP)
    data = _added(packer, fonts)
    places: dict[int, int] = {}
    for number, plate in enumerate(plates):
        trial = packer.copy()
        more = _added(trial, screen_svg(plate.page))
        if (len(data) + len(more)) * OF_BASE64 > room:
            continue
        packer, data = trial, data + more
        places[number] = len(places)
    return (b64encode(data + packer.flush()).decode(), places) if places else ("", {})


def screen_svg(page: Page) -> str:
    """A page as SVG for a screen: without what only programs read, as fine as a screen shows."""
    text = svg_bytes(page, fonts=False).decode().partition("?>\n")[2]
    text = re.sub(r' data-[a-z]+="[^"]*"', "", text)
    return re.sub(r'(?<==)"[^"]*"', lambda value: _FINE.sub(_rounded, value[0]), text)


_FINE = re.compile(rf"(?<![\w#.])-?\d+\.\d{{{DECIMALS + 1},}}")


def _rounded(figure: re.Match[str]) -> str:
    return f"{float(figure[0]):.{DECIMALS}f}".rstrip("0").rstrip(".")


def _added(packer: zlib._Compress, value: object) -> bytes:
    line = json.dumps(value, ensure_ascii=False, separators=(",", ":")) + "\n"
    return packer.compress(line.encode()) + packer.flush(zlib.Z_SYNC_FLUSH)
