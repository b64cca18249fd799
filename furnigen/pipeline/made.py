"""What making a piece gives: as data, and as a folder of files."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from furnigen.core.finding import Finding
from furnigen.formats.report import Json
from furnigen.pipeline.results.staging import Written


@dataclass(frozen=True)
class Made:
    """A result as data.

    Attributes:
        report: the content of report.json.
        findings: results of all checks.
        files: name and content of every file, report.json among them.
    """

    report: Json
    findings: tuple[Finding, ...]
    files: dict[str, bytes] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class WrittenPiece(Written):
    """What `Built.write` wrote.

    Besides: `earlier`, files of an earlier run that are still there, and `kept`, files that a person had
    changed, each with the name it is kept under.

    Attributes:
        folder: where.
        files: names of the files written, report.json among them, in order.
        findings: results of all checks.
        report: the content of report.json.

    >>> from tempfile import TemporaryDirectory
    >>> from furnigen import build, find_recipe
    >>> with TemporaryDirectory() as folder:
    ...     build(find_recipe("crate_wall")()).write(f"{folder}/crates", "step,glb").files
    ('model.glb', 'model.step', 'report.json')
    """

    folder: Path
    files: tuple[str, ...]
    findings: tuple[Finding, ...]
    report: Json
