"""The boards of a STEP file, measured: in a process of its own, since a broken file may end the kernel."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from furnigen.core.errors import FurnigenError
from furnigen.core.progress import Sink, silent
from furnigen.kernel.board_sizes import BoardSize, board_size
from furnigen.kernel.shapes import FAILURES
from furnigen.kernel.step import MADE_HERE
from furnigen.kernel.step_reader import read_step


def measure_boards(path: str, folder: str, most_copies: int, on_step: Sink = silent) -> list[dict[str, Any]]:
    """Each distinct solid of a STEP file: how many copies, its size as a board, or why it is none.

    In files of ours the length of a part lies along its own x, and so does the grain.

    Args:
        folder: that `path` starts from where it is relative.

    Raises: InputError when it is no STEP file, holds no solid or too many.
    """
    whole = Path(folder, path)
    try:
        file = read_step(whole, most_copies=most_copies, on_complaint=lambda text: on_step(f"reader: {text}"))
    except FurnigenError as error:
        raise type(error)(*(str(a).replace(str(whole), path) for a in error.args)) from error
    ours = file.stated.made_by == MADE_HERE
    labels: list[list[str]] = [[] for _ in file.solids]
    for copy in file.copies:
        labels[copy.solid].append(copy.label)
    found = []
    for k, solid in enumerate(file.solids):
        on_step(f"measuring {k + 1} of {len(file.solids)} shapes")
        try:
            size: BoardSize | str = board_size(solid.shape, own_axes=ours)
        except FAILURES as error:
            size = f"the kernel can not measure it: {error}"
        measured = vars(size) if isinstance(size, BoardSize) else {"why": size}
        found.append(
            {
                "name": solid.name,
                "product": solid.product,
                "material": solid.material,
                "labels": labels[k],
                **measured,
            }
        )
    return found
