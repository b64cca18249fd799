"""The command line that makes what the page shows."""

from __future__ import annotations

import shlex
from collections.abc import Mapping, Sequence

from furnigen.pipeline.options import USUAL_FORMATS


def command_line(
    recipe: str,
    params: str | None,
    texts: Mapping[str, str],
    options: Sequence[str],
    formats: Sequence[str],
    folder: str,
) -> str:
    """A line for a shell.

    Args:
        recipe: name or path, as it was typed.
        params: the file of parameters; None for none.
        texts: values that differ from it, as they were typed.
        options: other words that were typed at the start.
        formats: of the files.
        folder: of the result.
    """
    words = ["furnigen", "make", recipe, *(f"{name}={text}" for name, text in texts.items())]
    if params:
        words += ["--params", params]
    words += options
    if tuple(formats) != USUAL_FORMATS or "--stock" in options:  # with it the usual ones are others
        words += ["--formats", ",".join(formats)]
    return shlex.join([*words, "--out", folder])
