"""A page as SVG 1.1, with real text.

The file carries the letters it needs of the fonts of furnigen, so that it looks the same in any browser;
where a reader takes another font all the same, each text is still as long as it was meant to be.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable
from dataclasses import replace
from html import escape
from math import cos, hypot, radians, sin
from typing import Any

from furnigen.paper.lettering import FAMILIES, advance, font_files, font_size, runs, width_of, writable
from furnigen.paper.page import Arc, Area, Contour, Dimension, Item, Page, Pen, Polyline, Text

_ANCHOR = {"left": "start", "middle": "middle", "right": "end"}


def number(mm: float) -> str:
    """A number for a file: to a ten-thousandth, without needless zeros."""
    text = f"{mm:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("", "-0") else text


def svg_bytes(page: Page, *, fonts: bool = True) -> bytes:
    """The page as an SVG file, UTF-8.

    Args:
        fonts: whether the letters used go into the file.
    """
    w, h = number(page.width), number(page.height)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}"'
        f' role="img" font-family="{_families()}">',
        f"<title>{escape(writable(page.title) or 'page')}</title>",
    ]
    if fonts and page.texts:
        lines.append(_faces(page.texts))
    lines.append(f'<rect width="{w}" height="{h}" fill="#ffffff"/>')
    lines += [_item(item, page.height, fonts) for item in page.items]
    return "\n".join([*lines, "</svg>", ""]).encode()


def stacked_svg(pages: Iterable[Page]) -> bytes:
    """Several pages below each other as one SVG file, their texts and lines as they are."""
    pages = list(pages)
    if len(pages) == 1:
        return svg_bytes(pages[0])
    gap = 10.0
    width = max(p.width for p in pages)
    height = sum(p.height for p in pages) + gap * (len(pages) - 1)
    items: list[Item] = []
    top = height
    for page in pages:
        low = top - page.height
        items += [moved(item, 0.0, low) for item in page.items]
        top = low - gap
    return svg_bytes(replace(pages[0], width=width, height=height, items=tuple(items)))


def moved(item: Item, dx: float, dy: float) -> Item:
    """An item elsewhere on the page (mm)."""
    if isinstance(item, Polyline):
        return replace(item, points=tuple((x + dx, y + dy) for x, y in item.points))
    if isinstance(item, Area):
        return replace(item, rings=tuple(tuple((x + dx, y + dy) for x, y in r) for r in item.rings))
    if isinstance(item, Arc):
        return replace(item, centre=(item.centre[0] + dx, item.centre[1] + dy))
    if isinstance(item, Contour):
        return replace(item, corners=tuple((x + dx, y + dy, b) for x, y, b in item.corners))
    if isinstance(item, Dimension):
        drawn: tuple[Any, ...] = tuple(moved(part, dx, dy) for part in item.drawn)
        first, second, at = ((x + dx, y + dy) for x, y in (item.first, item.second, item.at))
        return replace(item, drawn=drawn, first=first, second=second, at=at)
    return replace(item, at=(item.at[0] + dx, item.at[1] + dy))


def _families() -> str:
    return ", ".join(f"'{name}'" for name in FAMILIES) + ", sans-serif"


def _faces(texts: Iterable[Text]) -> str:
    """The letters used, as fonts within the file."""
    rules = []
    for family, data in letters_of(texts):
        source = f"url(data:font/ttf;base64,{b64encode(data).decode()})"
        rules.append(f"@font-face{{font-family:'{family}';src:{source}}}")
    return f"<style>{''.join(rules)}</style>"


def letters_of(texts: Iterable[Text]) -> list[tuple[str, bytes]]:
    """Fonts (TTF) with no more than the letters that some texts use, by the name of the family."""
    signs = sorted({ord(c) for t in texts for c in writable(t.text)})
    found = []
    for family, path in zip(FAMILIES, font_files(), strict=True):
        data, signs = _only(str(path), signs)
        if data:
            found.append((family, data))
    return found


def _only(path: str, signs: list[int]) -> tuple[bytes, list[int]]:
    """A font with some signs only, and the signs it does not have; empty when it has none of them."""
    from io import BytesIO
    from logging import ERROR, getLogger

    from fontTools import subset

    getLogger("fontTools.subset").setLevel(ERROR)  # it remarks on a table of the font's editor
    options = subset.Options(
        layout_features=[], hinting=False, recalc_timestamp=False, notdef_outline=True, drop_tables=["FFTM"]
    )
    with subset.load_font(path, options) as font:
        known = font.getBestCmap()
        have = [s for s in signs if s in known]
        if not have:
            return b"", signs
        cut = subset.Subsetter(options)
        cut.populate(unicodes=have)
        cut.subset(font)
        out = BytesIO()
        font.save(out)
    return out.getvalue(), [s for s in signs if s not in known]


def _stroke(pen: Pen) -> str:
    dashes = f' stroke-dasharray="{" ".join(map(number, pen.dashes))}"' if pen.dashes else ""
    return f'fill="none" stroke="{pen.colour}" stroke-width="{number(pen.width)}"{dashes}'


def _item(item: Item, height: float, fitted: bool) -> str:
    if isinstance(item, Polyline):
        points = " ".join(f"{number(x)},{number(height - y)}" for x, y in item.points)
        word = "polygon" if item.closed else "polyline"
        return f'<{word} points="{points}" {_stroke(item.pen)} stroke-linejoin="round"/>'
    if isinstance(item, Area):
        path = "".join(
            "M" + "L".join(f"{number(x)} {number(height - y)}" for x, y in ring) + "Z" for ring in item.rings
        )
        return f'<path d="{path}" fill="{item.fill}" fill-rule="evenodd"/>'
    if isinstance(item, Arc):
        return _arc(item, height)
    if isinstance(item, Contour):
        return _contour(item, height)
    if isinstance(item, Dimension):
        inner = "".join(_item(part, height, fitted) for part in item.drawn)
        return f'<g class="dimension" data-figure="{escape(item.figure)}">{inner}</g>'
    return _text(item, height, fitted)


def _arc(arc: Arc, height: float) -> str:
    cx, cy, r = number(arc.centre[0]), number(height - arc.centre[1]), number(arc.radius)
    if arc.whole:
        return f'<circle cx="{cx}" cy="{cy}" r="{r}" {_stroke(arc.pen)}/>'
    (x0, y0), (x1, y1) = arc.at(arc.start), arc.at(arc.end)
    large = int((arc.end - arc.start) % 360.0 > 180.0)
    path = f"M{number(x0)} {number(height - y0)}A{r} {r} 0 {large} 0 {number(x1)} {number(height - y1)}"
    return f'<path d="{path}" {_stroke(arc.pen)}/>'


def _contour(contour: Contour, height: float) -> str:
    corners = contour.corners
    path = f"M{number(corners[0][0])} {number(height - corners[0][1])}"
    for (x0, y0, bulge), (x1, y1, _) in zip(corners, corners[1:] + corners[:1], strict=True):
        to = f"{number(x1)} {number(height - y1)}"
        if bulge:
            chord = hypot(x1 - x0, y1 - y0)
            radius = number(chord * (1 + bulge * bulge) / (4 * abs(bulge)))
            path += f"A{radius} {radius} 0 {int(abs(bulge) > 1)} {int(bulge < 0)} {to}"
        else:
            path += f"L{to}"
    return f'<path d="{path}Z" {_stroke(contour.pen)}/>'


def _text(text: Text, height: float, fitted: bool) -> str:
    parts = runs(text.text)
    if len(parts) == 1 or fitted:
        return _one_text(text, height, fitted, parts)
    # Typst takes one font for all of a text, another than the first where a letter is not in that: so each
    # run of letters is a text of its own
    x, y = text.base
    turn = radians(text.turn)
    off = {"left": 0.0, "middle": -0.5, "right": -1.0}[text.align] * width_of(text.text, text.height)
    said = ""
    for family, part in parts:
        at = (x + off * cos(turn), y + off * sin(turn))
        run = replace(text, at=at, align="left", rise="base")
        said += _one_text(run, height, fitted, [(family, part)])
        off += advance(part, text.height)
    return said


def _one_text(text: Text, height: float, fitted: bool, parts: list[tuple[str, str]]) -> str:
    said = "".join(part for _, part in parts)
    x, y = text.base
    px, py = number(x), number(height - y)
    turned = f' transform="rotate({number(-text.turn)} {px} {py})"' if text.turn else ""
    colour = f' fill="{text.colour}"' if text.colour != "#000000" else ""
    size, long = number(font_size(text.height)), number(width_of(said, text.height))
    anchor = f' text-anchor="{_ANCHOR[text.align]}"' if text.align != "left" else ""
    data = f' data-layer="{escape(text.layer)}"' if text.layer != "0" else ""
    # only some readers stretch a text of several fonts as a whole
    fitted = fitted and len(said) > 1 and len(parts) == 1
    fit = f' textLength="{long}" lengthAdjust="spacingAndGlyphs"' if fitted else ""
    inner = escape(said)
    if len(parts) > 1 or parts[0][0] != FAMILIES[0]:  # readers fall back for a whole text otherwise
        inner = "".join(f"<tspan font-family=\"'{family}'\">{escape(part)}</tspan>" for family, part in parts)
    space = ' xml:space="preserve"' if len(parts) > 1 or said != said.strip() else ""
    how = f"{anchor}{fit}{turned}{colour}{data}{space}"
    return f'<text x="{px}" y="{py}" font-size="{size}"{how}>{inner}</text>'
