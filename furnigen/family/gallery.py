"""Draws the README's picture of a family, all variants on one sheet: python -m furnigen.family.gallery.

python -m furnigen.family.gallery [FILE.toml [PICTURE.png]]
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from furnigen.family.family_file import read_family
from furnigen.family.variants import Variant, all_variants
from furnigen.picture.camera import View
from furnigen.picture.renderer import Renderer, png
from furnigen.pipeline.built import Built

FAMILY = "recipes/studio/families/drying_rack.toml"
FAMILY_PICTURE = "recipes/gallery/drying_rack_family.png"
EACH_PX = (200, 160)
ACROSS = 6


def main(words: Sequence[str]) -> int:
    """One small picture of each variant, in rows, as one file."""
    family = read_family(Path(words[0] if words else FAMILY))
    picture = Path(words[1] if len(words) > 1 else FAMILY_PICTURE)
    pieces = [
        family.recipe(**v.values) for v in all_variants(family) if isinstance(v, Variant) and not v.refusal
    ]
    renderer = Renderer()
    small = [renderer.draw(Built(p).meshes, View(*EACH_PX)) for p in pieces]
    small += [np.full_like(small[0], 255)] * (-len(small) % ACROSS)
    rows = [np.hstack(small[i : i + ACROSS]) for i in range(0, len(small), ACROSS)]
    picture.parent.mkdir(parents=True, exist_ok=True)
    picture.write_bytes(png(np.vstack(rows)))
    print(picture)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
