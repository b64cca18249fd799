"""Named versions of a piece: files of parameters in one folder, which every command reads as well.

Their names are made here, so that nothing a page sends is ever a path.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from furnigen.core.errors import FurnigenError, InputError, OutputError
from furnigen.core.quantities import as_typed
from furnigen.core.toml_text import toml_value
from furnigen.piece.description import Piece
from furnigen.pipeline.request import Asked
from furnigen.recipes.discovery import ParameterFile, read_parameter_file

LONGEST_NAME = 80
"""Characters of a version's name."""
MOST = 500
"""Files of the folder that are looked at."""

Tables = dict[str, Any]


@dataclass(frozen=True)
class Version:
    """A version as it lies in the folder.

    Attributes:
        key: names it for a page: the name of its file, which is looked up, never opened.
        name: its title.
        path: its file.
    """

    key: str
    name: str
    path: Path


class Versions:
    """The versions of one recipe in one folder, which is made when the first is saved."""

    def __init__(self, folder: Path, recipe: str) -> None:
        self.folder, self._recipe = folder, recipe

    def listed(self) -> list[Version]:
        """All of them, in the order of their files' names; other files of the folder are left out."""
        found = []
        for path in sorted(self.folder.glob("*.toml"))[:MOST]:
            try:
                file = read_parameter_file(path)
            except FurnigenError:
                continue  # somebody's own, or half written
            if file.recipe == self._recipe:
                found.append(Version(path.name, file.title or path.stem, path))
        return found

    def find(self, key: str) -> tuple[Version, ParameterFile]:
        """A version by its key.

        Raises: InputError where there is none.
        """
        for version in self.listed():
            if version.key == key:
                return version, read_parameter_file(version.path)
        raise InputError("version", as_typed(key), "is not in the folder of versions")

    def save(self, name: str, tables: Tables, units: str) -> Version:
        """Write a version.

        Args:
            name: what a person calls it.
            tables: as `file_tables` gives them.
            units: "mm" or "in", that its lists are shown in.

        Raises: InputError for a name that is empty, too long or taken; OutputError where the file can not be
            written.
        """
        name = " ".join(name.split())
        if not name or len(name) > LONGEST_NAME or not name.isprintable():
            raise InputError("name", as_typed(name), f"must be 1 to {LONGEST_NAME} characters")
        there = self.listed()
        if any(v.name.casefold() == name.casefold() for v in there):
            raise InputError("name", as_typed(name), "is the name of a version already", "choose another")
        text = version_toml(name, self._recipe, tables, units)
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            number = 1 + max((int(n) for p in self.folder.iterdir() if (n := _number(p.name))), default=0)
            path = self.folder / f"{number:03d}-{_plain(name)}.toml"
            with path.open("x", encoding="utf-8", errors="replace") as file:
                file.write(text)
        except OSError as error:
            raise OutputError(f"{self.folder} can not be written: {error.strerror or error}") from None
        return Version(path.name, name, path)

    def remove(self, key: str) -> None:
        """Delete the file of a version.

        Raises: InputError where there is none; OutputError where it can not be deleted.
        """
        version, _ = self.find(key)
        try:
            version.path.unlink(missing_ok=True)
        except OSError as error:
            raise OutputError(f"{version.path} can not be deleted: {error.strerror or error}") from None


def _number(file: str) -> str:
    found = re.match(r"([0-9]{1,6})-", file)
    return found[1] if found else ""


def _plain(name: str) -> str:
    """A name as a part of a file's name: small letters, digits and dashes."""
    ascii_only = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", ascii_only.lower()).strip("-")[:40] or "version"


def file_tables(piece: Piece, file: ParameterFile, asked: Asked) -> Tables:
    """What a file of parameters holds that makes a piece anew: all values, the brief, loads, strength."""
    loads = {target or "all": text for target, text in (*file.loads.items(), *asked.loads)}
    origin: Any = piece.origin
    kinds = {p.name: p.kind for p in origin.recipe.parameters}
    return {
        "parameters": {
            name: f"{value!r} mm" if kinds[name] == "length" else value for name, value in piece.parameters
        },
        "brief": {limit.name: f"{limit.value_mm!r} mm" for limit in piece.limits},
        "load": loads,
        "strength": {**file.strength, **asked.strength},
    }


def version_toml(name: str, recipe: str, tables: Tables, units: str) -> str:
    """A version as a file of parameters."""
    lines = [f"title = {toml_value(name)}", f"recipe = {toml_value(recipe)}", f"units = {toml_value(units)}"]
    for table, rows in tables.items():
        if rows:
            lines += ["", f"[{table}]", *(f"{toml_value(k)} = {toml_value(v)}" for k, v in rows.items())]
    return "\n".join(lines) + "\n"
