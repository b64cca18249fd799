"""The few errors furnigen raises.

FurnigenError
├── InputError     a value typed by a person, a recipe or a file that cannot be used
├── RecipeError    a recipe that cannot be found, read or run
├── GeometryError  a solid or mesh that the kernel could not make or read
└── OutputError    a result that could not be written

All of them can be pickled, so they cross process boundaries with all they say.
"""

from __future__ import annotations

from furnigen.core.wording import shown, worded

LONGEST_CLAUSE = 400
"""Characters of each part of a message: the value typed may be of any length."""


def one_line(text: str) -> str:
    """`text` as one line of printable characters, cut to MOST_CHARS."""
    if len(text) > LONGEST_CLAUSE:
        text = f"{text[: LONGEST_CLAUSE // 2]} ... {text[-20:]}"
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else ascii(c)[1:-1] for c in text)


def kind_of(value: object) -> str:
    """What kind of thing came, for a message about a wrong one.

    >>> kind_of(3), kind_of([1]), kind_of(None)
    ('an int', 'a list', 'None')
    """
    if value is None:
        return "None"
    name = type(value).__name__
    return f"{'an' if name[:1] in 'AEIOUaeiou' else 'a'} {name}"


class FurnigenError(Exception):
    """Root of every error furnigen raises on purpose.

    >>> issubclass(InputError, FurnigenError)
    True
    """


class InputError(FurnigenError, ValueError):
    """A value that cannot be used.

    Args:
        what: the parameter or field, as the person who typed it knows it.
        value: what was given, printable.
        allowed: what is allowed, a clause ("must be from 300 mm to 2400 mm").
        fits: what would fit, a clause; empty when `allowed` says it already.

    >>> print(InputError("width", "10 mm", "must be from 300 mm to 2400 mm"))
    width = 10 mm: must be from 300 mm to 2400 mm
    """

    def __init__(self, what: str, value: object, allowed: str, fits: str = "") -> None:
        self.what, self.allowed, self.fits = worded(what), worded(allowed), worded(fits)
        self.value = worded(value) if isinstance(value, str) else value
        super().__init__(self.what, self.value, self.allowed, self.fits)

    def __str__(self) -> str:
        return self.shown("mm")

    def shown(self, units: str) -> str:
        """The message with its lengths in "mm" or "in", where they were put there by `wording.in_words`."""
        value = self.value if isinstance(self.value, str) else str(self.value)
        texts = (self.what, value, self.allowed, self.fits)
        what, value, allowed, fits = (one_line(shown(text, units)) for text in texts)
        return f"{what} = {value}: {allowed}{'; ' if fits else ''}{fits}"


class RecipeError(FurnigenError):
    """A recipe that cannot be found, read or run.

    >>> from furnigen import find_recipe
    >>> find_recipe("no_such")  # doctest: +IGNORE_EXCEPTION_DETAIL
    Traceback (most recent call last):
    furnigen.core.errors.RecipeError: ...
    """


class GeometryError(FurnigenError, RuntimeError):
    """A solid or mesh that could not be made or read.

    >>> print(GeometryError("part 'shelf': the kernel could not cut it"))
    part 'shelf': the kernel could not cut it
    """


class OutputError(FurnigenError, OSError):
    """A result that could not be written.

    >>> print(OutputError("out is a file, not a folder"))
    out is a file, not a folder
    """

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message

    def __str__(self) -> str:
        return self.message
