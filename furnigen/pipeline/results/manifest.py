"""What furnigen wrote in a folder of results: a hash of every file, in a hidden file beside them.

By it a file that a person changed is told from one that nobody touched. It names files of an earlier run
apart, so that `report.json` can stay what its input alone makes it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from furnigen import __version__

NAME = ".furnigen.json"
"""The manifest's file in every folder of results."""
REPORT = "report.json"
"""A folder whose manifest is gone is still known by this file, and then no file in it counts as untouched."""


@dataclass(frozen=True)
class Manifest:
    """Files of a folder by their name in it, with the SHA-256 of what was written ("" when not known).

    Attributes:
        files: of the last run.
        earlier: of earlier runs, which the last one did not make anew.
    """

    files: Mapping[str, str] = field(default_factory=dict)
    earlier: Mapping[str, str] = field(default_factory=dict)

    @property
    def every(self) -> dict[str, str]:
        """All of them."""
        return {**self.earlier, **self.files}

    def wrote(self, name: str, path: Path) -> bool:
        """Whether the file of this name is just as furnigen wrote it.

        Args:
            path: where the file is.
        """
        known = self.every.get(name)
        return bool(known) and path.is_file() and not path.is_symlink() and digest_of(path) == known

    def content(self) -> bytes:
        """The manifest as its file holds it."""
        told = {
            "furnigen": __version__,
            "files": dict(sorted(self.files.items())),
            "earlier": dict(sorted(self.earlier.items())),
        }
        return (json.dumps(told, ensure_ascii=False) + "\n").encode(errors="surrogateescape")


def digest(data: bytes) -> str:
    """The SHA-256 of some bytes, in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def digest_of(path: Path) -> str:
    """The SHA-256 of a file; OSError when it can not be read."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def read_manifest(folder: Path) -> Manifest | None:
    """What furnigen wrote in a folder; None where it wrote nothing."""
    told = _read(folder / NAME)
    files, earlier = told.get("files"), told.get("earlier")
    if isinstance(files, dict) and isinstance(earlier, dict):
        return Manifest(*({str(n): str(h) for n, h in part.items()} for part in (files, earlier)))
    told = _read(folder / REPORT)
    files = told.get("files")
    if "furnigen" in told and isinstance(files, list):
        return Manifest({str(name): "" for name in (*files, REPORT)})
    return None


def _read(path: Path) -> dict[str, object]:
    try:
        found = json.loads(path.read_bytes().decode(errors="surrogateescape"))
    except (OSError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}
