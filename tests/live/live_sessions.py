"""Sessions that the tests of live work talk to, and recipes that they are about."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from furnigen.live.runner import Limits
from furnigen.live.session import Session
from furnigen.live.setting import Setting
from furnigen.pipeline.request import Asked

PLANK = """
from furnigen import Draft, Stock, choice, count, from_stock, length, recipe, require, switch


@recipe("A plank on feet")
def plank(
    width: float = length("600 mm", "300 mm", "2 m", "how long it is"),
    feet: int = count(2, 0, 6, "feet under it"),
    finish: str = choice("oiled", ("oiled", "soaped"), "what is put on it"),
    flat: bool = switch(False, "without feet"),
    board: Stock = from_stock("birch-ply-18", "the plank", ("sheet",)),
):
    {first}
    require(feet != 5, "feet", "must not be 5", "4 or 6 would do")
    draft = Draft("plank", "Plank")
    t = board.thickness_mm
    high = 0 if flat or not feet else 40
    draft.board("top", board, (0, 0, high), (width, 200, high + t))
    if high:
        for i in range(feet):
            at = i * (width - t) / max(feet - 1, 1)
            draft.board(f"foot.{{i + 1}}", board, (at, 0, 0), (at + t, 200, high))
    return draft.done()
"""
ENDLESS = "while feet == 6: pass"


WAIT_S = 120.0
"""How long a test waits for what must come: on a busy machine the start of a process takes half a minute."""


def write_plank(path: Path, first: str = "pass") -> Path:
    """A small recipe as a file; `first` is what it does before all else."""
    path.write_text(PLANK.format(first=first), encoding="utf-8")
    return path


class Heard:
    """What a session's board says, waited for."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self._seen = 0
        self._news: list[tuple[str, Any]] = []
        self.log: list[tuple[str, Any]] = []

    def until(self, what: Callable[[str, Any], bool], wait_s: float = WAIT_S) -> Any:
        """The first value told from now on for which `what(topic, value)` is true."""
        end = time.monotonic() + wait_s
        while time.monotonic() < end:
            while self._news:
                topic, value = self._news.pop(0)
                self.log.append((topic, value))
                if what(topic, value):
                    return value
            self._seen, news = self.session.board.newer(self._seen, 0.5)
            self._news = [(topic, json.loads(text)) for topic, text in news]
        states = [value for topic, value in self.log if topic == "state"]
        raise AssertionError(f"not told; last were {[t for t, _ in self.log[-8:]]}, {states[-1:]}")

    def topic(self, name: str, wait_s: float = WAIT_S) -> Any:
        """The next value of a topic."""
        return self.until(lambda topic, _: topic == name, wait_s)

    def state(self, *names: str, number: int = 0, wait_s: float = WAIT_S) -> Any:
        """The state of the newest change, once it is one of these; of a change not older than `number`."""
        least = max(number, self.session._number)

        def holds(topic: str, v: Any) -> bool:
            return topic == "state" and v["state"] in names and v["number"] >= least

        last = [v for topic, v in self.log if topic == "state"][-1:]
        return last[0] if last and holds("state", last[0]) else self.until(holds, wait_s)


@contextmanager
def session_of(
    recipe: Path,
    folder: Path,
    values: dict[str, str] | None = None,
    limits: Limits | None = None,
    shop: str | None = None,
    **more: Any,
) -> Iterator[Heard]:
    """A session of a recipe's file, ended afterwards."""
    asked = Asked(str(recipe), values=values or {}, **more)
    setting = Setting(
        asked,
        recipe.resolve(),
        recipe.stem,
        str(folder / "out"),
        folder / "versions",
        limits=limits or Limits(),
        shop=shop,
    )
    session = Session(setting)
    try:
        yield Heard(session)
    finally:
        session.close()
