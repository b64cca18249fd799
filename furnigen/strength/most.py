"""The largest of some, told alike everywhere: mirror images differ by rounding only."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

T = TypeVar("T")

ALIKE = 1e-9
"""Share by which two values that are mirror images may differ by rounding."""


def first_most(some: Sequence[T], share: Callable[[T], float]) -> T:
    """The one of which that is most; of those alike the first.

    >>> first_most(["left", "right"], {"left": 1.0, "right": 1.0 + 1e-15}.__getitem__)
    'left'
    """
    most = max(map(share, some))
    return next(one for one in some if share(one) >= most - ALIKE * abs(most))
