"""What a live page is about: the values that were typed, their history, versions, and what is made of them.

Requests of the page, what workers say and files that change meet here; the page is told by the board.
"""

from __future__ import annotations

import re
import secrets
import threading
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from furnigen.core.errors import InputError
from furnigen.core.quantities import as_typed
from furnigen.live.board import Board
from furnigen.live.command_line import command_line
from furnigen.live.history import History
from furnigen.live.job import COMPARE, DONE, MAKE, QUICK, SLOW, STRONG, Job, Said
from furnigen.live.runner import Runner
from furnigen.live.setting import FULL_SET, Setting
from furnigen.live.versions import Versions
from furnigen.live.watching import POLL_S, Watched
from furnigen.pipeline.options import MAKE_FORMATS
from furnigen.pipeline.request import Asked
from furnigen.recipes.recipe import not_asked_for

SETTLE_S = 15.0
"""How long saving and making wait for values that have just been typed (s)."""
MOST_TEXT = 200
"""Characters of one value."""
NOW = "now"
"""What is on the page, among versions to compare."""


class Session:
    """One recipe, worked on.

    Attributes:
        board: what the page is told.
        start: names this run of the server.
    """

    def __init__(self, setting: Setting) -> None:
        self._setting = setting
        self.board, self.start = Board(), secrets.token_hex(8)
        self._lock = threading.Condition()  # one thread may take it twice
        self._history = History(setting.asked.values)
        self._number = self._settled = 0
        self._form: dict[str, Any] | None = None
        self._good: dict[str, Any] | None = None
        self._good_texts: dict[str, str] = {}
        self._files: dict[str, tuple[int, bytes]] = {}
        self._busy: set[str] = set()
        self._compared = ["", ""]
        self._failed = False
        self._problem: dict[str, Any] = {"fields": {}, "message": ""}
        self._formats: tuple[str, ...] = FULL_SET
        self._versions = Versions(setting.versions, setting.recipe_name)
        beside = (setting.asked.params, setting.shop)
        self._watched = Watched([setting.recipe_file, *(Path(name) for name in beside if name)])
        self._closed = threading.Event()
        self._quick = Runner(self._heard_quick, setting.limits, early=True)
        self._strong = Runner(self._heard_strong, setting.limits, early=True)
        self._slow = Runner(self._heard_slow, setting.limits)
        self._aside = {
            kind: Runner(partial(self._heard_aside, topic), setting.limits)
            for kind, topic in ((MAKE, "making"), (COMPARE, "compared"))
        }
        self._watcher = threading.Thread(target=self._watch, daemon=True)
        self._watcher.start()
        self.board.put("hello", {"start": self.start})
        self._tell_versions()
        self._again()

    def begun(self) -> str | None:
        """What is wrong with the first values: "" for nothing; None while they are worked out.

        Raises: InputError for a value of a parameter that the recipe does not have.
        """
        with self._lock:
            if not self._settled:
                return None
            names = [f["name"] for f in self._form["fields"]] if self._form else []
            for name in self._setting.asked.values:
                if self._form and name not in names:
                    raise not_asked_for(self._form["recipe"], name, names)
            fields = (f"{name}: {why}" for name, why in self._problem["fields"].items())
            return "; ".join((*fields, *filter(None, [self._problem["message"]])))

    def close(self) -> None:
        """End all work, and let all readers go."""
        self._closed.set()
        self.board.close()
        for runner in (self._quick, self._strong, self._slow, *self._aside.values()):
            runner.close()
        self._watcher.join(5.0)

    # -- what the page asks for ------------------------------------------------------------------

    def change(self, values: Mapping[str, Any]) -> None:
        """Set some fields: texts, or None for what stands there at the start.

        Raises: InputError for a field that there is not, or what is no text.
        """
        with self._lock:
            texts = self._history.now
            names = {f["name"] for f in self._form["fields"]} if self._form else set()
            for name, text in values.items():
                if name not in names:
                    raise InputError("field", as_typed(name), "is none of this recipe's parameters")
                if text is None:
                    texts.pop(name, None)
                elif not isinstance(text, str) or len(text) > MOST_TEXT:
                    raise InputError(
                        name, as_typed(str(text)), f"must be a text of at most {MOST_TEXT} characters"
                    )
                else:
                    texts[name] = text
            if self._history.change(texts, tuple(values)):
                self._again()

    def undo(self) -> None:
        """Back to the values before."""
        self._move(-1)

    def redo(self) -> None:
        """Forward again."""
        self._move(1)

    def _move(self, steps: int) -> None:
        with self._lock:
            if self._history.move(steps):
                self._again()

    def save(self, name: str) -> None:
        """Keep the values as a named version.

        Raises: InputError for a name that can not be, or values that make no piece; OutputError.
        """
        with self._lock:
            good = self._sound()
            units = self._form["units"] if self._form else "mm"
            self._versions.save(name, good["plain"], units)
        self._tell_versions()

    def open(self, key: str) -> None:
        """Take the values of a version.

        Raises: InputError where there is none.
        """
        _, file = self._versions.find(key)
        with self._lock:
            kinds = {f["name"]: f["kind"] for f in self._form["fields"]} if self._form else {}
            units = file.units or "mm"
            texts = {
                name: _as_text(value, kinds[name], units)
                for name, value in file.parameters.items()
                if name in kinds
            }
            if self._history.change(texts, tuple(texts)):
                self._again()

    def forget(self, key: str) -> None:
        """Delete a version.

        Raises: InputError where there is none; OutputError where its file can not be deleted.
        """
        self._versions.remove(key)
        self._tell_versions()

    def compare(self, a: str, b: str) -> None:
        """Begin to compare two versions; NOW is what is on the page.

        Raises: InputError where one is not there.
        """
        with self._lock:
            sides, names = [], []
            for key in (a, b):
                if key == NOW:
                    self._sound()
                    sides.append(replace(self._setting.asked, values=dict(self._good_texts)))
                    names.append("as it is now")
                else:
                    version, _ = self._versions.find(key)
                    own = replace(self._setting.asked, params=str(version.path), values={})
                    sides.append(replace(own, limits={}, loads=(), strength={}))
                    names.append(version.name)
            self.board.put("compared", {"a": names[0], "b": names[1], "waits": True})
            self._compared = names
            self._aside[COMPARE].want(replace(self._job(COMPARE, sides[0]), other=sides[1]))

    def make(self) -> None:
        """Begin to write the files that are chosen.

        Raises: InputError for values that make no piece, or while it is done already.
        """
        with self._lock:
            self._sound()
            if MAKE in self._busy:
                raise InputError("make", "now", "is being done already", "wait for it, or stop it")
            self._busy.add(MAKE)
            asked = replace(self._setting.asked, values=dict(self._good_texts))
            options = replace(self._setting.options, formats=self._formats)
            job = replace(self._job(MAKE, asked), options=options, folder=self._setting.folder)
            self.board.put("making", {"step": "starting"})
            self._aside[MAKE].want(job)

    def choose(self, formats: Sequence[str]) -> None:
        """Set which files are made.

        Raises: InputError for an unknown format.
        """
        for name in formats:
            if not isinstance(name, str) or name not in MAKE_FORMATS:
                raise InputError("format", as_typed(str(name)), f"must be one of {', '.join(MAKE_FORMATS)}")
        with self._lock:
            self._formats = tuple(name for name in FULL_SET if name in formats)
            self._tell_command()

    def stop(self) -> None:
        """Stop writing files; the earlier result stays."""
        self._aside[MAKE].stop()

    def file(self, name: str, number: int) -> bytes | None:
        """A content that a worker made: the model, the picture, the layouts; None for what is no longer."""
        with self._lock:
            found = self._files.get(name)
            return found[1] if found and found[0] == number else None

    # -- what comes of it ------------------------------------------------------------------------

    def _sound(self) -> dict[str, Any]:
        """What the values make, waited for where they were just changed.

        Raises: InputError where they make nothing.
        """
        self._lock.wait_for(lambda: self._settled == self._number or self._closed.is_set(), SETTLE_S)
        if self._good is None or self._good["number"] != self._number:
            raise InputError("values", "as they are", "make no piece", "put right what the page says of them")
        return self._good

    def _job(self, kind: str, asked: Asked) -> Job:
        s = self._setting
        return Job(self._number, kind, asked, str(s.recipe_file), self._watched.editions[0], shop=s.shop)

    def _asked(self) -> Asked:
        """What is typed now."""
        return replace(self._setting.asked, values=self._history.now)

    def _again(self) -> None:
        """Values or files have changed: work all out anew."""
        with self._lock:
            self._number += 1
            texts = self._history.now
            undo, redo = self._history.can
            self.board.put("values", {"number": self._number, "texts": texts, "undo": undo, "redo": redo})
            self._tell_state("working")
            self._quick.want(self._job(QUICK, self._asked()))

    def _heard_quick(self, said: Said) -> None:
        """What the quick worker says."""
        with self._lock:
            if said.number != self._number:
                return  # a newer change has replaced what this is about
            if said.topic == "form":
                self._form = said.value
                self._versions = Versions(self._setting.versions, said.value["recipe"])
                self.board.put("form", said.value)
                self._tell_versions()
            elif said.topic == "piece":
                self._settle({"fields": {}, "message": ""})
                self._good = said.value | {"number": said.number}
                self._good_texts = said.value["changed"]
                self._keep(said)
                self.board.put("piece", {k: v for k, v in self._good.items() if k != "plain"})
                self._tell_command()
                self._tell_state("following")
                self._failed = False
                self._strong.want(self._job(STRONG, self._asked()))
            elif said.topic == "refused":
                self._settle(said.value)
                self._tell_state("refused")
            elif said.topic == "ended":
                self._settle({"fields": {}, "message": said.value})
                self._tell_state("refused")

    def _settle(self, problem: dict[str, Any]) -> None:
        """Something has come of the newest values."""
        self._problem, self._settled = problem, self._number
        self._lock.notify_all()

    def _heard_strong(self, said: Said) -> None:
        """What the worker on strength says; what is slow begins when it has done."""
        with self._lock:
            if said.number != self._number:
                return
            if said.topic == DONE:
                self._tell_state("ready")
                self._slow.want(replace(self._job(SLOW, self._asked()), remedies=self._failed))
                return
            if said.topic == "strength":
                self._failed = said.value["failed"]
            self._follow(said, "strength")

    def _heard_slow(self, said: Said) -> None:
        """Remedies, layouts and the picture."""
        with self._lock:
            if said.number == self._number and said.topic != DONE:
                self._follow(said, "remedies, layouts and picture")

    def _follow(self, said: Said, what: str) -> None:
        """Tell what follows a piece, or why it does not."""
        if said.topic in ("refused", "ended"):
            why = said.value if said.topic == "ended" else said.value["message"] or str(said.value["fields"])
            self.board.put("later", {"number": said.number, "message": f"{what}: {why}"})
            if said.topic == "ended":
                self._tell_state("ready")
            return
        self._keep(said)
        self.board.put(said.topic, said.value | {"number": said.number})

    def _heard_aside(self, topic: str, said: Said) -> None:
        """What becomes of files that are made, and of a comparison: `topic` says which."""
        with self._lock:
            if said.topic == "making":
                self.board.put(topic, said.value)
                return
            value: dict[str, Any] = {"step": "", "waits": False}
            if topic == "making":
                self._busy.discard(MAKE)
            else:
                value["a"], value["b"] = self._compared
            if said.topic in ("made", "compared"):
                self.board.put(topic, value | said.value)
            elif said.topic == "ended":
                self.board.put(
                    topic, value | {"message": f"{said.value}; what was there before is as it was"}
                )
            elif said.topic == "refused":
                fields = "; ".join(f"{name}: {why}" for name, why in said.value["fields"].items())
                self.board.put(topic, value | {"message": said.value["message"] or fields})

    def _keep(self, said: Said) -> None:
        for name, content in said.files.items():
            self._files[name] = (said.number, content)

    def _tell_state(self, state: str) -> None:
        self.board.put("state", {"number": self._number, "state": state, **self._problem})

    def _tell_command(self) -> None:
        s, texts, formats = self._setting, self._good_texts, self._formats
        line = command_line(s.asked.recipe, s.asked.params, texts, s.words, formats, s.folder)
        known = {name: MAKE_FORMATS[name] for name in FULL_SET}
        self.board.put("command", {"line": line, "formats": list(formats), "known": known})

    def _tell_versions(self) -> None:
        listed = [{"key": v.key, "name": v.name} for v in self._versions.listed()]
        self.board.put("versions", {"folder": str(self._setting.versions), "versions": listed})

    def _watch(self) -> None:
        """Work all out anew when somebody saves the recipe or the file of parameters."""
        while not self._closed.wait(POLL_S):
            if self._watched.changed():
                self._again()


def _as_text(value: Any, kind: str, units: str) -> str:
    """A value of a file of parameters as a person types it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ",".join(map(str, value))
    text = str(value)
    return f"{text} {units}" if kind == "length" and re.fullmatch(r"[0-9./ -]+", text) else text
