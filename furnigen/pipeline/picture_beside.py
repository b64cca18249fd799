"""The picture of a piece, drawn in a process of its own while the checks go on."""

from __future__ import annotations

from collections.abc import Iterable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import TYPE_CHECKING

from furnigen.core.finding import WARN, Finding
from furnigen.core.threads import in_one_thread

if TYPE_CHECKING:
    from furnigen.mesh.model import MeshModel


@in_one_thread
def start_picture(beside: ThreadPoolExecutor, meshes: MeshModel, size_px: tuple[int, int]) -> Future[bytes]:
    """Begin the picture, width and height as given."""
    from furnigen.picture.picture import picture_png

    width, height = size_px
    return beside.submit(picture_png, meshes, width=width, height=height)


def drawn(picture: Future[bytes], findings: list[Finding]) -> Iterable[tuple[str, bytes]]:
    """The picture; where the machine can not draw, a warning and nothing else."""
    from furnigen.picture.picture import PictureError

    try:
        return [("preview.png", picture.result())]
    except PictureError as error:
        findings.append(Finding("picture", WARN, 0, 1, "pictures", "preview.png", "", str(error)))
        return []
