"""What parameter files and family files have in common, and how it is changed for the good and the bad."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

from cases import Case
from strange import BAD_VALUES, Raw
from toml_text import toml_text, value_text

from furnigen import find_recipe, list_recipes
from furnigen.recipes.parameters import Parameter

Data = dict[str, Any]
BAD_LOADS = (
    "heavy", "nan kg", "-4 kg/m", "9999999 kg", "1e3 kg", "40", 40, float("nan"), [1], {"a": [1]}, True, "",
    "books +",
    "20 kg at", "20 kg at -3 mm", "20 kg at 1 kg", "x" * 500, "40 kg/m" * 40, "+ +", "\0",
)  # fmt: skip
BAD_LIMITS = (("max_widht", 900), ("max_width", -3), ("max_width", 0), ("max_width", "wide"), ("reach",
float("nan")),
              ("max_depth", [300]), ("min_clear_height", float("inf")), ("max_height", True), ("", 3),
              ("max_width", 10**30))  # fmt: skip
BAD_STRENGTH = (("climate", 9), ("climate", "2"), ("climate", float("nan")), ("climate", 1.5), ("sag_limit",
"L/0"),
                ("sag_limit", 300), ("sag_limit", "L/-3"), ("sag", 3), ("tip_test", "push"), ("tip_test",
                [["child"]]),
                ("tip_test", {"a": 1}), ("sag_limit", "L/1e400"), ("climate", [1]), ("sag_limit",
                ["L/300"]))  # fmt: skip


def _recipe(dice: random.Random) -> Any:
    return dice.choice([r.name for r in list_recipes()])


def written(value: Any) -> str:
    """A value for who looks into a failure."""
    text = value_text(value)
    return text if len(text) <= 60 else f"{text[:40]}... ({len(text)} signs)"


class FileMaker:
    """Builds one mutant: good things first, so that nothing undoes a bad one."""

    def __init__(self, seed: int) -> None:
        self.dice = random.Random(f"toml {seed}")
        self.recipe = find_recipe(_recipe(self.dice))
        self.units = self.dice.choice(("mm", "mm", "mm", "in"))
        self.data: Data = {}
        self.case = Case(seed, [], {}, recipe=self.recipe.name)

    def told(self, words: str, *, bad: bool = False) -> None:
        self.case.what.append(words)
        self.case.bad |= bad

    def parameter(self) -> Parameter:
        found: Parameter = self.dice.choice(self.recipe.parameters)
        return found

    def table(self, name: str) -> Data:
        """A table of the file; a fresh one in the place of what is none."""
        found = self.data.get(name)
        if not isinstance(found, dict):
            found = self.data[name] = {}
        return found

    def bad_value(self, parameter: Parameter) -> Any:
        return self.dice.choice([v for v in BAD_VALUES if v != "1,5" or parameter.kind != "counts"])

    # changes that both kinds of file know

    def title(self) -> None:
        self.data["title"] = self.dice.choice(
            ("", "é 💥", "=1+1", "{{x}} ${y} %s", "a\nb", "</script>", "x" * 3000, "\u202e")
        )
        self.told("title")

    def limit(self) -> None:
        self.table("brief")[self.dice.choice(("max_width", "max_height", "min_clear_height", "reach"))] = (
            self.dice.choice(("1 m", 600, "6'", "2 1/2 in"))
        )
        self.told("a limit")

    def load(self) -> None:
        self.table("load")["all"] = self.dice.choice(
            ("books", "40 kg/m", "50 psf", "20 kg at 100 mm", "empty", "5 kg spread")
        )
        self.told("a load")

    def strength(self) -> None:
        self.table("strength").update(
            self.dice.choice(
                ({"climate": 2}, {"sag_limit": "L/300"}, {"tip_test": "all"}, {"tip_test": ["child"]})
            )
        )
        self.told("strength")

    def bad_title(self) -> None:
        self.data["title"] = value = self.dice.choice((1, [], {}, True, Raw("'a"), Raw('"""a'), Raw("nan")))
        self.told(f"title = {written(value)}", bad=True)

    def bad_key(self) -> None:
        key = self.dice.choice(
            ("recpie", "Title", "", "a\nb", "parametres", "x" * 300, "__proto__", "é", "fixedd")
        )
        self.data[key] = self.dice.choice((1, {}, {"width": 3}, [[1]], "x", Raw("1979-05-27T07:32:00Z")))
        self.told(f"key {key[:20]!r}", bad=True)

    def bad_table(self) -> None:
        key = self.dice.choice(("brief", "load", "strength"))
        self.data[key] = value = self.dice.choice((1, "x", [], [{}], True, Raw("07:32:00"), Raw("[")))
        self.told(f"{key} = {written(value)}", bad=True)

    def bad_units(self) -> None:
        self.data["units"] = value = self.dice.choice(
            ("furlong", "", "IN", "mm ", 1, [], Raw("mm"), True, {})
        )
        self.told(f"units = {written(value)}", bad=True)

    def bad_limit(self) -> None:
        name, value = self.dice.choice(BAD_LIMITS)
        self.table("brief")[name] = value
        self.told(f"brief {name} = {written(value)}", bad=True)

    def bad_load(self) -> None:
        value = self.dice.choice(BAD_LOADS)
        self.table("load")["all"] = value
        self.told(f"load = {written(value)}", bad=True)

    def bad_strength(self) -> None:
        name, value = self.dice.choice(BAD_STRENGTH)
        self.table("strength")[name] = value
        self.told(f"strength {name} = {written(value)}", bad=True)

    def bad_recipe(self) -> None:
        self.data["recipe"] = value = self.dice.choice(
            ("nobody", "nobody.py", "../x.py", "x" * 5000, "a\nb", 3, [], "\0.py", "/etc/passwd", "..", "é")
        )
        self.told(f"recipe = {written(value)}", bad=True)

    # changes of the finished text

    def bad_text(self, text: str) -> bytes:
        dice = self.dice
        lines = [n for n, line in enumerate(text.splitlines()) if "=" in line]
        kept = text.splitlines(keepends=True)
        at = dice.choice(lines)
        how = dice.randrange(9)
        deep = dice.choice((300, 3000, 20_000))
        if how == 0:
            kept.insert(at, kept[at])  # the same key twice
        elif how == 1:
            kept.insert(
                at, dice.choice(("<<<<<<< HEAD\n", "=======\n", "= 3\n", "[a\n", "]\n", "width: 3\n", "{}\n"))
            )
        elif how == 2:
            data = text.encode()
            where = dice.randrange(len(data) + 1)
            self.told("not UTF-8", bad=True)
            return (
                data[:where] + dice.choice((b"\xff", b"\xc3(", b"\xed\xa0\x80", b"\xfe\xff")) + data[where:]
            )
        elif how == 3:
            kept.insert(at, f"zz = {'[' * deep}{']' * deep}\n")
        elif how == 4:
            kept.insert(at, f"zz = {'{a=' * deep}1{'}' * deep}\n")
        elif how == 5:
            kept.append(f"\n[zz{'.a' * deep}]\nb = 1\n")
        elif how == 6:
            kept.append(
                f"\n[load]\n{'a.' * deep}b = 'nothing'\n" if "load" not in self.data else "\n[load]\n[load]\n"
            )
        elif how == 7:
            kept[at] = kept[at].replace("=", dice.choice(("==", ":", " ", "= =", "=,", "\0=")), 1)
        else:
            kept[at] = kept[at].rstrip("\n") + dice.choice((" x", ",", "]", "\x01", "\rx", " = 3")) + "\n"
        self.told(f"text changed, way {how}", bad=True)
        return "".join(kept).encode()

    def odd_text(self, text: str) -> bytes:
        dice, data = self.dice, text.encode()
        self.case.values = {}
        how = dice.randrange(5)
        self.told(f"text changed, odd way {how}")
        at = dice.randrange(len(data))
        if how == 0:
            return data[:at]
        if how == 1:
            return data[:at] + bytes([dice.choice(b"'\"[]{}=#.,-9\n\t \\")]) + data[at + dice.randrange(2) :]
        if how == 2:
            return data.replace(b"\n", b"\r\n")
        if how == 3:
            return b"\xef\xbb\xbf" + data
        lines = text.splitlines(keepends=True)
        dice.shuffle(lines)
        return "".join(lines).encode()

    def text(self, odd: float) -> bytes:
        """The file, its text damaged at times."""
        text = toml_text(self.data)
        how = self.dice.random()
        if how < odd and "=" in text:
            return self.bad_text(text)
        if how < 2 * odd and not self.case.bad and text.strip():
            return self.odd_text(text)
        return text.encode()

    def change(
        self, good_ones: tuple[Callable[[], None], ...], bad_ones: tuple[Callable[[], None], ...]
    ) -> None:
        """Some good changes, then perhaps bad ones."""
        for _ in range(self.dice.randint(1, 3)):
            self.dice.choice(good_ones)()
        if self.dice.random() < 0.6:
            for _ in range(self.dice.choice((1, 1, 1, 2))):
                self.dice.choice(bad_ones)()
