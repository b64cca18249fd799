"""What the tests of the guard run in its process."""

from __future__ import annotations

import os
import time
from typing import Any

from furnigen.core.errors import InputError


def double(number: int, on_step: Any) -> int:
    """Twice a number; 0 is refused."""
    if not number:
        raise InputError("number", number, "must not be nothing", "one would do")
    on_step(f"doubling {number}")
    return 2 * number


def end(how: str, on_step: Any) -> None:
    """End in one of the ways a process can."""
    if how == "sleep":
        time.sleep(60)
    elif how == "memory":
        hold = [bytes(2**20) for _ in range(4096)]
        on_step(str(len(hold)))
    elif how == "abort":
        os.abort()
    elif how == "raise":
        raise ValueError("no")
    os._exit(7)
