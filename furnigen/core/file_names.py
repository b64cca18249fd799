"""File names for what has a name: safe on any file system, and never one for two."""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Iterable, Mapping

LONGEST = 120
"""Bytes of a file name without its ending: file systems take 255, and a version kept beside needs more."""


def file_name(name: str) -> str:
    """A part's name as a file name: letters, digits, dots and dashes only.

    >>> file_name("top/bottom 2 left")
    'top+bottom-2-left'
    """
    plain = "".join(c if c.isalnum() or c in ".-_" else "+" if c == "/" else "-" for c in name)
    if len(plain.encode()) <= LONGEST:
        return plain
    # what the shortening loses, a digest keeps apart
    short = plain.encode()[: LONGEST - 11].decode(errors="ignore")
    return f"{short}~{hashlib.sha256(name.encode()).hexdigest()[:10]}"


def same_name(name: str) -> str:
    """A name as file systems see it that know no capitals, or no difference between composed letters."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())


def file_names(names: Iterable[str]) -> dict[str, str]:
    """A file name of its own for each name. Where two would share one, those that come later are numbered.

    Names that are file names already keep them.

    >>> file_names(["a b", "a-b", "A-B"])
    {'a b': 'a-b-3', 'a-b': 'a-b', 'A-B': 'A-B-2'}
    """
    every = list(dict.fromkeys(names))
    found: dict[str, str] = {}
    taken: set[str] = set()
    for name in sorted(every, key=lambda n: file_name(n) != n):  # stable: else in the order they came
        plain, number = file_name(name), 1
        free = plain
        while same_name(free) in taken:
            number += 1
            free = f"{plain}-{number}"
        taken.add(same_name(free))
        found[name] = free
    return {name: found[name] for name in every}


def series(folder: str, ending: str, contents: Mapping[str, bytes]) -> dict[str, bytes]:
    """Files of one kind in one subfolder, by the path of each.

    Args:
        ending: of their names, with its dot.
        contents: by the name of what each is about.
    """
    names = file_names(contents)
    return {f"{folder}/{names[name]}{ending}": data for name, data in contents.items()}
