"""The drawing process of `furnigen.picture.picture`.

It reads one pickled pair from its standard input, a list of mesh models and a view, and writes one
pickled list of PNG files to its standard output. Only the process that started it speaks to it.
"""

from __future__ import annotations

import os
import pickle
import sys


def main() -> None:
    """Draw what standard input asks for."""
    # drivers may print; nothing of theirs may get into the answer
    answer = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    models, view = pickle.load(sys.stdin.buffer)

    from furnigen.picture.renderer import Renderer, png

    renderer = Renderer()
    pickle.dump([png(renderer.draw(model, view)) for model in models], answer)
    answer.close()


if __name__ == "__main__":
    main()
