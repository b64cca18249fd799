"""The pictures of a mockup: one of each bed, of the mockup, and of its pieces drawn apart."""

from __future__ import annotations

import io

import numpy as np
import pytest
from mockups import bench
from PIL import Image

from furnigen import Piece, find_recipe
from furnigen.mockup.make import MockupOptions, make_mockup
from furnigen.mockup.pictures import VIEWS
from furnigen.mockup.printer import Printer
from furnigen.mockup.scale import read_scale


@pytest.mark.parametrize(
    ("piece", "way", "names"),
    [
        (bench(), "kit", {"bed.1", "mockup", "assembly"}),
        (bench(), "whole", {"bed.1", "mockup"}),
        # 333 mm high on a bed of 180 mm: two pieces, to be put together
        (find_recipe("leaning_shelf")(), "whole", {"bed.1", "bed.2", "mockup", "assembly"}),
    ],
    ids=["kit", "whole", "cut"],
)
def test_every_picture_is_drawn(piece: Piece, way: str, names: set[str]) -> None:
    options = MockupOptions(read_scale("1:6"), Printer((180, 180, 180)), (way,), ("picture",))
    files = {n: d for n, d in make_mockup(piece, options).files.items() if n.endswith(".png")}
    assert set(files) == {f"{way}/{name}.png" for name in names}
    drawn = {name: np.asarray(Image.open(io.BytesIO(data)).convert("RGB")) for name, data in files.items()}
    for name, pixels in drawn.items():
        assert pixels.shape == (VIEWS[way].height, VIEWS[way].width, 3), name
        # something stands before the ground: its colours spread far more than the ground's shades
        assert pixels.std() > 5.0, name
    assert len(set(files.values())) == len(files)
