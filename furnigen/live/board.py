"""The newest of everything the page is told, by topic; a reader waits for what is newer than he has seen."""

from __future__ import annotations

import json
from threading import Condition
from typing import Any


class Board:
    """Topics, each with its newest value: a slow reader misses what was replaced meanwhile, no more."""

    def __init__(self) -> None:
        self._changed = Condition()
        self._topics: dict[str, tuple[int, str]] = {}
        self._ticks = 0
        self.closed = False

    def put(self, topic: str, value: Any) -> None:
        """Set the newest value of a topic, as JSON can hold it."""
        text = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
        with self._changed:
            self._ticks += 1
            self._topics[topic] = (self._ticks, text)
            self._changed.notify_all()

    def newer(self, seen: int, wait_s: float) -> tuple[int, list[tuple[str, str]]]:
        """What is newer than a reader has seen, waited for.

        Args:
            seen: what this returned to him before; 0 at first.
            wait_s: how long to wait for anything (s).

        Returns: what to come back with, and topics with their values as JSON, the oldest first; none when
            time is up or the board is closed.
        """
        with self._changed:
            self._changed.wait_for(lambda: self.closed or self._ticks > seen, wait_s)
            found = sorted((tick, topic, text) for topic, (tick, text) in self._topics.items() if tick > seen)
            return self._ticks, [] if self.closed else [(topic, text) for _, topic, text in found]

    def close(self) -> None:
        """Let all readers go."""
        with self._changed:
            self.closed = True
            self._changed.notify_all()
