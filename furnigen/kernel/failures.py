"""What the kernel may throw: its binding makes each kind an exception by itself, of no common family."""

from __future__ import annotations

import OCP.Standard

FAILURES: tuple[type[Exception], ...] = tuple(
    kind for kind in vars(OCP.Standard).values() if isinstance(kind, type) and issubclass(kind, Exception)
)
"""To be caught together."""
