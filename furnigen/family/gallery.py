"""Draws the README's picture of a family, all variants on one sheet: python -m furnigen.family.gallery.

python -m furnigen.family.gallery [FILE.toml [PICTURE.png]]
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from furnigen.family.familyfile import read_family
from furnigen.family.variants import Variant, members
from furnigen.make import mesh_of
from furnigen.output.camera import View
from furnigen.output.renderer import Renderer, png

FAMILY = "recipes/studio/families/drying_rack.toml"
PICTURE = "recipes/gallery/drying_rack_family.png"
EACH_PX = (200, 160)
ACROSS = 6


def main(words: Sequence[str]) -> int:
    """One small picture of each variant, in rows, as one file."""
    family = read_family(Path(words[0] if words else FAMILY))
    picture = Path(words[1] if len(words) > 1 else PICTURE)
    pieces = [family.recipe(**v.values) for v in members(family) if isinstance(v, Variant) and not v.refusal]
    renderer = Renderer()
    small = [renderer.draw(mesh_of(p)[1], View(*EACH_PX)) for p in pieces]
    small += [np.full_like(small[0], 255)] * (-len(small) % ACROSS)
    rows = [np.hstack(small[i : i + ACROSS]) for i in range(0, len(small), ACROSS)]
    picture.parent.mkdir(parents=True, exist_ok=True)
    picture.write_bytes(png(np.vstack(rows)))
    print(picture)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
