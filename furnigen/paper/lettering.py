"""Lettering: the fonts that come with furnigen, what signs they have, and how wide a text is.

Routed Gothic (SIL Open Font License 1.1), like lettering on drawings; DejaVu Sans for the signs it lacks.
Both lie in furnigen/paper/fonts with their licences. No font of the system is ever read.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

FONT_FOLDER = Path(__file__).parent / "fonts"
FAMILIES = ("Routed Gothic", "DejaVu Sans")
"""The families, in the order a sign is looked for."""
_FILES = ("RoutedGothic.ttf", "DejaVuSans.ttf")
_FRACTION = re.compile(r"\d+/\d+")
EMPTY_BOX = "□"
"""Stands for a sign that no font here has."""
CAPITALS = 736 / 1024
"""Height of capitals over the size of the font (Routed Gothic)."""


@dataclass(frozen=True)
class _Face:
    units: int
    advance: dict[int, int]


def font_files() -> tuple[Path, ...]:
    """The font files, in the order of FAMILIES.

    Raises: FileNotFoundError naming one that is missing: a damaged installation.
    """
    paths = tuple(FONT_FOLDER / name for name in _FILES)
    for path in paths:
        if not path.is_file():
            raise FileNotFoundError(2, "this font of furnigen is missing; install furnigen anew", path.name)
    return paths


@cache
def _faces() -> tuple[_Face, ...]:
    from fontTools.ttLib import TTFont

    faces = []
    for path in font_files():
        with TTFont(path, lazy=True) as font:
            widths = font["hmtx"].metrics
            advance = {sign: widths[glyph][0] for sign, glyph in font.getBestCmap().items()}
            faces.append(_Face(font["head"].unitsPerEm, advance))
    return tuple(faces)


def writable(text: str) -> str:
    """`text` on one line, with an empty box for each sign that no font here has."""
    plain = " ".join(text.split())
    if plain.isascii() and plain.isprintable():
        return plain
    faces = _faces()
    return "".join(c if any(ord(c) in f.advance for f in faces) else EMPTY_BOX for c in plain)


def runs(text: str) -> list[tuple[str, str]]:
    """`text` as written, in runs of one font: (family, what it says).

    >>> runs("5 ⇒ 6")
    [('Routed Gothic', '5 '), ('DejaVu Sans', '⇒'), ('Routed Gothic', ' 6')]
    """
    said = writable(text)
    if said.isascii():
        return [(FAMILIES[0], said)]
    first = _faces()[0].advance
    parts: list[tuple[str, str]] = []
    for sign in said:
        family = FAMILIES[0] if ord(sign) in first else FAMILIES[1]
        if parts and parts[-1][0] == family:
            parts[-1] = (family, parts[-1][1] + sign)
        else:
            parts.append((family, sign))
    return parts


def font_size(height: float) -> float:
    """Size of the font whose capitals have some height (both mm)."""
    return height / CAPITALS


def width_of(text: str, height: float = 2.5) -> float:
    """How long a text is, its capitals `height` high (mm).

    >>> width_of("600", 5.0) == 2 * width_of("600", 2.5)
    True
    """
    return advance(writable(text), height)


def advance(said: str, height: float) -> float:
    """How far letters lead, spaces at their ends too, their capitals `height` high (mm).

    Args:
        said: as `writable` gives it, or a part of that.
    """
    faces = _faces()
    total = 0.0
    for sign in said:
        for face in faces:
            if ord(sign) in face.advance:
                total += face.advance[ord(sign)] / face.units
                break
    return total * font_size(height)


def shortened(text: str, most: float, height: float = 2.5) -> str:
    """`text`, or as much of it as fits in `most` mm with "…" after it; empty where not even that fits."""
    plain = writable(text)
    if width_of(plain, height) <= most:
        return plain
    for end in range(len(plain) - 1, 0, -1):
        short = plain[:end].rstrip() + "…"
        if width_of(short, height) <= most:
            return short
    return ""


def words_of(text: str) -> list[str]:
    """What is kept on one line: words, and a fraction with the whole number before it.

    >>> words_of('a board of 1 1/2" x 3/4"')
    ['a', 'board', 'of', '1 1/2"', 'x', '3/4"']
    """
    words: list[str] = []
    for word in writable(text).split(" "):
        if words and _FRACTION.match(word) and words[-1][-1:].isdigit():
            words[-1] += f" {word}"
        else:
            words.append(word)
    return words


def wrapped(text: str, most: float, height: float = 2.5) -> list[str]:
    """`text` in lines of at most `most` mm, broken between `words_of` it.

    A longer word is broken behind a point, stroke, comma or hyphen, else where it must be.
    """
    lines: list[str] = []
    current = ""
    for word in words_of(text):
        joined = f"{current} {word}" if current else word
        if width_of(joined, height) <= most:
            current = joined
            continue
        if current:
            lines.append(current)
        while width_of(word, height) > most and len(word) > 1:
            end = len(word) - 1
            while end > 1 and width_of(word[:end], height) > most:
                end -= 1
            # behind a sign between parts of it where there is one, such as the dots of a label
            sign = max(word.rfind(c, 1, end) for c in "./-,")
            end = sign + 1 if sign > 0 else end
            lines.append(word[:end])
            word = word[end:]
        current = word
    return [*lines, current] if current or not lines else lines
