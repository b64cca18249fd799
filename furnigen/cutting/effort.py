"""How long a search may go on: counted work, so that the same input gives the same bytes; time only cuts
it short."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from time import monotonic


@dataclass(frozen=True)
class Effort:
    """Limits of a search.

    Args:
        level: multiplies the counted work; 1 takes about a second a problem, 10 about ten.
        seconds: the search ends after this long, and the result says it was cut short; None for no limit.
        stop: asked between portions of work (each about a tenth of a second); True ends the search with
        the best
            so far, marked as cut short. For a Ctrl-C that is to end the search only.
        progress: called between portions with the share of the work done (0 to 1) and a line about the
        best so far.
    """

    level: float = 1.0
    seconds: float | None = None
    stop: Callable[[], bool] | None = None
    progress: Callable[[float, str], None] | None = None
    _start: float = field(default_factory=monotonic, repr=False, compare=False)

    def over(self) -> bool:
        """True when time is up or a stop is asked for."""
        if self.stop is not None and self.stop():
            return True
        return self.seconds is not None and monotonic() - self._start >= self.seconds

    def tell(self, share: float, line: str) -> None:
        """Report progress to whoever asked for it."""
        if self.progress is not None:
            self.progress(share, line)
