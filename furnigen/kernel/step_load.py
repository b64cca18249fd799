"""From the bytes of a STEP file to the kernel's document of shapes, and what its reader finds amiss."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

from OCP.IFSelect import IFSelect_RetDone
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDocStd import TDocStd_Document

from furnigen.core.errors import GeometryError, InputError
from furnigen.kernel.settings import kernel_settings
from furnigen.kernel.shapes import FAILURES

_MAGIC = b"ISO-10303-21"
_THREE_VALUES = re.compile(rb"(NAMED_UNIT\s*\([^()]*\)\s*SI_UNIT\s*\()\s*\*\s*,")
"""A unit of length as some catalogues of parts write it, with the values of a plain SI_UNIT in a row of
several kinds. The kernel would take metres for it."""


@dataclass(frozen=True)
class Complaint:
    """One thing the kernel's reader says of rows of the file.

    Attributes:
        text: the kind of row, and what is amiss.
        rows: how many rows.
    """

    text: str
    rows: int


def ignored(text: str) -> None:
    """For who does not want to be told."""


def step_content(path: Path) -> bytes:
    """The bytes of a STEP file.

    Raises: InputError when it can not be read, or does not begin as one.
    """
    what = "STEP file"
    try:
        content = path.read_bytes()
    except IsADirectoryError:
        raise InputError(what, path, "is a folder; name a STEP file in it") from None
    except FileNotFoundError:
        raise InputError(what, path, "does not exist") from None
    except OSError as error:
        raise InputError(what, path, f"cannot be read: {error.strerror}") from error
    if _MAGIC not in content[:1024]:
        raise InputError(what, path, f"is not a STEP file: it does not begin with {_MAGIC.decode()}")
    return content


def _complaints(model: Any) -> tuple[Complaint, ...]:
    """What the kernel could not make of rows of a loaded file, each thing once."""
    found: Counter[str] = Counter()
    for i in range(1, model.NbEntities() + 1):
        if model.IsErrorEntity(i):
            kind = type(model.Value(i)).__name__.rpartition("_")[2]
            check = model.Check(i, True)
            found[f"{kind}: {check.CFail(1) if check.NbFails() else 'cannot be read'}"] += 1
    return tuple(Complaint(text, rows) for text, rows in found.items())


def load_document(
    path: Path, content: bytes, on_complaint: Callable[[str], None] = ignored
) -> tuple[Any, tuple[Complaint, ...]]:
    """The document of a STEP file, in millimetres, and the reader's complaints.

    Args:
        path: of the file, for messages.
        on_complaint: told each complaint before the shapes are built, which may end the process.

    Raises:
        InputError: when the kernel can not read the file, or finds no shape in it.
        GeometryError: when the kernel can not build its shapes.
    """
    reader = STEPCAFControl_Reader()
    # the kernel is told no name of the file: it takes none that is not UTF-8
    reader.SetNameMode(True)
    reader.SetColorMode(True)
    reader.SetMatMode(True)
    document = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
    try:
        content, mended = _THREE_VALUES.subn(rb"\1", content)
        if reader.ReadStream("model.step", BytesIO(content)) != IFSelect_RetDone:
            raise InputError(
                "STEP file", path, "is not a STEP file that the kernel can read, or is cut short"
            )
        complaints = _complaints(reader.ChangeReader().StepModel())
        if mended:
            complaints += (
                Complaint("SI_UNIT: three values where two belong, the first is left out", mended),
            )
        for complaint in complaints:
            on_complaint(complaint.text)
        with kernel_settings({"xstep.cascade.unit": "MM"}):
            done = reader.Transfer(document)
    except FAILURES as error:
        raise GeometryError(f"{path}: the kernel could not build its shapes: {error}") from error
    if not done:
        raise InputError("STEP file", path, "holds no shape")
    return document, complaints
