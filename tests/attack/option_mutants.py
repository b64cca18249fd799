"""Mutants of command lines, the same for each seed: words changed, added, gone and out of place."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

from cases import Case
from strange import BAD_VALUES, WORDS, good, misspelt

from furnigen import find_recipe, list_recipes

FAMILY = b"""
recipe = "leaning_shelf"
outputs = []
[vary]
width = [600, 700]
"""
PARAMETERS = b"""
recipe = "leaning_shelf"
units = "in"
[parameters]
width = "2 ft"
"""
BENCH = b"""
from furnigen import Draft, from_stock, length, recipe


@recipe("A bench")
def bench(
    width: float = length("900 mm", "300 mm", "2 m", "overall width"),
    board=from_stock("birch-ply-18-2440", "all boards", ("sheet",)),
):
    t = board.thickness_mm
    draft = Draft("bench", "A bench")
    for side, x in (("left", 0), ("right", width - t)):
        draft.board(f"side.{side}", board, (x, 0, 0), (x + t, 300, 400), grain="z")
    draft.board("seat", board, (0, 0, 400), (width, 300, 400 + t), grain="x")
    return draft.done()
"""
LIMITS = (
    "max_width",
    "max_depth",
    "max_height",
    "min_clear_width",
    "min_clear_depth",
    "min_clear_height",
    "reach",
)
OPTIONS: dict[str, tuple[str, ...]] = {
    "--limit": tuple(f"{name}={size}" for name in LIMITS for size in ("1 m", "12", "6'", "2 1/2 in")),
    "--load": ("books", "40 kg/m", "all=150 kg/m2", "20 kg at middle", "empty", "books + 5 kg spread",
    "all=3000 kg/m2"),
    "--sag-limit": ("visible", "L/300", "L/360"),
    "--climate": ("1", "2", "3"),
    "--tip-test": ("child", "pull-top", "carpet", "early", "all"),
    "--tolerance": ("0.1 mm", "1", "0.005", "1/8 in"),
    "--units": ("mm", "in"),
    "--params": ("p.toml",),
    "--out": ("result", "new", "new/below", "é 💥"),
    "--formats": ("cutlist", "hardware", "cutlist,hardware", "stl", "step,cutlist", "3mf", "glb",
    "part-stl", " cutlist , glb "),
    "--only": ("fit", "sag", "strength", "standing", "fit,sag", "solid", "building"),
    "--scale": ("1:12", "1:24", "1/20", '1" = 1\'', "1/2 in = 1 ft", "1:7.5"),
    "--bed": ("220x220x250", "300x300", "256 x 256 x 256", "20 cm x 20 cm x 20 cm"),
    "--nozzle": ("0.4", "0.25 mm", "0.8 mm"),
    "--clearance": ("0.2", "0.1 mm", "0"),
    "--way": ("whole", "kit"),
    "--margin": ("7 mm", "0", "1/4 in"),
    "--spacing": ("6 mm", "0", "1 cm"),
    "--names": ("hidden", "any", "none"),
    "--load-case": ("shove-empty", "shove-loaded", "child-stands", "child-climbs", "all", "none"),
    "--wall-material": ("stud", "timber", "plasterboard", "masonry"),
    "--floor-friction": ("0.3", "0", "0.25"),
    "--decimal": ("point", "comma"),
    "--separator": ("semicolon", "tab"),
    "--workers": ("0",),
    "--cap": ("2", "10"),
}  # fmt: skip
"""Good values of each option, cheap ones."""
SHAPE = ("--limit", "--units", "--params")
CARRIED = ("--load", "--sag-limit", "--climate", "--tip-test", "--tolerance")
CARRIED += ("--load-case", "--wall-material", "--floor-friction")
LISTS = ("--decimal", "--separator")
TAKES = {
    "make": (*SHAPE, *CARRIED, *LISTS, "--out", "--formats"),
    "check": (*SHAPE, *CARRIED, "--only"),
    "mockup": (
        *("--units", "--params", "--scale", "--bed", "--nozzle", "--clearance", "--out"),
        *("--margin", "--spacing", "--names"),
    ),
    "family": (*LISTS, "--out", "--cap"),
    "describe": ("--units",),
    "recipes": (),
    "stock": ("--units",),
    "joints": ("--out",),
    "compare": ("--units",),
    "manual": ("--out",),
    "help": (),
    "completion": (),
}
"""Options that take a value, of each command."""
TABLE = ("--all", "--why")
FLAGS = {
    "make": (*TABLE, "--steps", "--with-hardware"),
    "check": (*TABLE, "--basis", "--with-hardware"),
    "mockup": TABLE,
    "stock": ("--all",),
    "compare": ("--all",),
}
"""Options that take none."""
COMMANDS = (
    ("make",) * 4
    + ("check",) * 4
    + ("mockup",) * 2
    + ("family",) * 2
    + ("compare",) * 2
    + ("describe", "recipes", "stock", "joints", "manual", "help", "completion")
)
ASKED = {
    "stock": ("birch", "18 mm", "3/4 in", "oak", "blank"),
    "joints": ("housing", "half-lap", "cleat"),
    "help": ("make", "check"),
    "completion": ("bash", "zsh", "tcsh"),
}
"""Good words of commands that list what there is."""
SIDES = (
    *("result", "result/report.json", "p.toml", "leaning_shelf", "leaning_shelf width=650", "bench.py"),
    *("bench.py width='1 m'", "crate_wall"),
)
"""What can be compared, an earlier result among it."""
FLAG_SHARE = 0.15
"""How often a flag stands in a good line."""
STEP_SHARE = 0.06
"""Of the checks, those of a STEP file: each starts a process of its own."""


class _Line:
    """One command line while it is made."""

    def __init__(self, seed: int) -> None:
        self.dice = dice = random.Random(f"options {seed}")
        self.case = Case(seed, [], {"f.toml": FAMILY, "p.toml": PARAMETERS, "bench.py": BENCH,
        "file": b"mine",
                                    "broken.toml": b"[parameters",
                                    "bad.step": b"ISO-10303-21;\nDATA;\n#1="})  # fmt: skip
        self.command = dice.choice(COMMANDS)
        self.parts: list[list[str]] = []
        self.case.before = dice.choice(("", "made"))

    def good(self) -> None:
        """A good line: parts of one or more words each, in any order."""
        dice, case, command = self.dice, self.case, self.command
        if command == "family":
            self.parts = [["f.toml"], ["--workers", "0"]]
        elif command in ASKED:
            self.parts = [[dice.choice(ASKED[command])]]
        elif command == "compare":
            case.before = "made"
            self.parts = [[dice.choice(SIDES)] for _ in range(2)]
        elif command == "check" and dice.random() < STEP_SHARE:
            self.parts = [[dice.choice(("good.step", "bad.step"))]]
            return
        elif command not in ("recipes", "manual"):
            name = dice.choice([*(r.name for r in list_recipes()), "bench.py"])
            self.parts = [[name]]
            if name == "bench.py":
                case.files["bench.py"] = BENCH
            else:
                case.recipe = name
        given = dict.fromkeys(
            dice.choice(TAKES[command]) for _ in range(dice.randint(0, 3)) if TAKES[command]
        )
        if command == "mockup":
            given |= {"--scale": None, "--way": None}
        options = {name: dice.choice(OPTIONS[name]) for name in given}
        if command == "make":
            options.setdefault("--formats", dice.choice(("cutlist", "hardware")))
        elif command == "mockup":
            options["--formats"] = dice.choice(("stl", "3mf"))
        elif command == "check":
            options.setdefault("--only", dice.choice(("fit", "sag", "standing")))
        if case.recipe and command in ("make", "check") and dice.random() < 0.1:
            options["--limit"] = "max_width=12"  # more than one piece in ten fails a check
        if case.recipe and command != "describe":
            self.values(options.get("--units", "mm" if "--params" not in options else "in"))
        self.parts += [dice.choice(([n, v], [f"{n}={v}"])) for n, v in options.items()]
        if "--separator" in options:
            options.pop("--decimal", None)  # a comma can not be both
        flags = FLAGS.get(command, ())
        self.parts += [[flag] for flag in flags if dice.random() < FLAG_SHARE]
        if dice.random() < 0.5:
            self.parts.append(["--json"])
        dice.shuffle(self.parts)

    def values(self, units: str) -> None:
        for one in self.dice.sample(find_recipe(self.case.recipe).parameters, self.dice.randint(0, 2)):
            found = good(one, units, self.dice, near=self.dice.random() < 0.8)
            self.parts.append([f"{one.name}={found.text}"])
            self.case.values[one.name] = found.plain

    def change(self) -> None:
        """One change for the worse, or an odd one."""
        dice, parts = self.dice, self.parts
        ways: list[Callable[[], None]] = [
            self.strange,
            self.strange,
            self.added,
            self.gone,
            self.twice,
            self.moved,
        ]
        ways += (
            [self.bad_parameter] * 3
            + [self.bad_option] * 3
            + [self.misspelt_option, self.swapped, self.mangled]
        )
        self.case.values = {}
        dice.choice(ways if parts else [self.added])()

    def _any(self) -> tuple[list[str], int]:
        part = self.dice.choice(self.parts)
        return part, self.dice.randrange(len(part))

    def strange(self) -> None:
        part, at = self._any()
        self.told(f"{part[at]!r} -> {(word := self.dice.choice(WORDS))[:30]!r}")
        part[at] = word

    def added(self) -> None:
        word = self.dice.choice(WORDS)
        self.parts.insert(self.dice.randrange(len(self.parts) + 1), [word])
        self.told(f"added {word[:30]!r}")

    def gone(self) -> None:
        part, at = self._any()
        self.told(f"gone {part.pop(at)!r}")
        if not part:
            self.parts.remove(part)

    def twice(self) -> None:
        part, _ = self._any()
        self.parts.append(list(part))
        self.told(f"twice {part}")

    def moved(self) -> None:
        words = [[w] for part in self.parts for w in part]
        self.dice.shuffle(words)
        self.parts = words
        self.told("shuffled")

    def swapped(self) -> None:
        self.command = self.dice.choice([*TAKES, "show", "", "Make", "-", "\n"])
        self.told(f"command {self.command!r}")

    def mangled(self) -> None:
        part, at = self._any()
        word = part[at]
        where = self.dice.randrange(len(word) + 1)
        part[at] = (
            word[:where]
            + self.dice.choice(("=", " ", "\n", "é", "-", "0", ",", "'", "\udc80"))
            + word[where:]
        )
        self.told(f"{word!r} -> {part[at]!r}")

    def bad_parameter(self) -> None:
        if not self.case.recipe or self.command not in ("make", "check", "mockup"):
            return self.strange()
        dice = self.dice
        one = dice.choice(find_recipe(self.case.recipe).parameters)
        texts = [
            v
            for v in BAD_VALUES
            if isinstance(v, str) and "\0" not in v and (v != "1,5" or one.kind != "counts")
        ]
        if dice.random() < 0.2:
            name = misspelt(one.name, dice).replace("\0", "")
            word = (
                f"{name}={one.default}"
                if name.strip() not in {p.name for p in self._parameters()}
                else f"{name}x=1"
            )
        else:
            word = f"{one.name}={dice.choice(texts)}"
        self.parts = [p for p in self.parts if not p[0].startswith(one.name + "=")]
        self.parts.append([word])
        return self.told(word[:60], bad=True)

    def _parameters(self) -> Any:
        return find_recipe(self.case.recipe).parameters

    def bad_option(self) -> None:
        dice = self.dice
        bad: dict[str, tuple[str, ...]] = {
            "--limit": ("max_width=", "max_width=-3", "max_width=nan", "max_widht=9", "=9", "reach",
            "max_width=9 kg"),
            "--load": ("", "heavy", "-4 kg/m", "nan kg", "1e3 kg", "40", "=", "shelf.99=books", "books +",
            "9999999 kg"),
            "--sag-limit": ("", "L/0", "L/-3", "L/nan", "soft", "300 mm", "L/1e9", "1/0"),
            "--climate": ("0", "4", "-1", "1.5", "x", "", "9" * 500),
            "--tip-test": ("", "push", "all,child", "*"),
            "--tolerance": ("", "0", "-1", "nan", "inf", "1 m", "0.1 kg", "1e-9"),
            "--units": ("", "furlong", "MM"),
            "--params": ("none.toml", "broken.toml", "bench.py", ".", "bad.step", "n" * 300),
            "--out": ("file", "file/x", "/dev/full", "n" * 300, "/", "."),
            "--formats": ("stp", "step,,x", "cutlist stl", "é", ",x"),
            "--only": ("", "most", "fit,most", "fit sag"),
            "--scale": ("", "0", "1:0", "0:1", "-1:12", "12:1", "nan", "1:1e9", "1:99999", "x",
            "1/2 in = 0", "=", "1:12:1"),
            "--bed": ("", "220", "0x0x0", "1x2x3x4", "nanx5", "-200x200", "9999999x5x5", "x", "220*220"),
            "--nozzle": ("", "0", "-1", "99", "nan", "0.4 kg"),
            "--clearance": ("", "-1", "99", "nan", "x"),
            "--way": ("", "all", "Kit"),
            "--margin": ("", "-1", "nan", "x", "9 kg", "9 m"),
            "--spacing": ("", "-1", "nan", "x", "9 kg"),
            "--names": ("", "all", "Hidden"),
            "--load-case": ("", "shove", "all,none", "child", "*"),
            "--wall-material": ("", "brick", "stud,timber", "nan"),
            "--floor-friction": ("", "-1", "nan", "inf", "0.3 kg", "x", "9"),
            "--decimal": ("", ".", ",", "Comma"),
            "--separator": ("", ";", "\\t", "comma,tab"),
            "--workers": ("-1", "257", "1.5", "x", "", "9" * 500),
            "--cap": ("0", "-1", "1", "1.5", "x", ""),
            "--time-limit": ("0", "-1", "nan", "inf", "x"),
            "--memory-limit": ("0", "-1", "nan", "inf", "x"),
            "--copy-limit": ("0", "-1", "nan", "1.5", "x"),
        }  # fmt: skip
        takes = {
            "make": TAKES["make"], "check": (*TAKES["check"], "--time-limit", "--memory-limit",
            "--copy-limit"),
            "mockup": (*TAKES["mockup"], "--way", "--formats"),
            "family": (*LISTS, "--workers", "--cap", "--time-limit", "--memory-limit"),
            "describe": ("--units",), "stock": ("--units",), "compare": ("--units",),
        }.get(self.command, ())  # fmt: skip
        if not takes:
            return self.strange()
        name = dice.choice(takes)
        value = dice.choice(bad[name])
        self.parts = [p for p in self.parts if not p or not p[0].startswith(name)]
        self.parts.append([f"{name}={value}"])
        return self.told(f"{name}={value[:40]}", bad=True)

    def misspelt_option(self) -> None:
        name = self.dice.choice(sorted(OPTIONS))
        name = self.dice.choice((name, "--load-case", "--wall-material", "--with-hardware", "--steps"))
        word = self.dice.choice(
            (
                name + "s",
                name[:3] + "x" + name[3:],
                name.upper(),
                name[1:],
                name.replace("--", "---"),
                name[:4],
            )
        )
        self.parts.append([word, "1"])
        self.told(f"option {word}")

    def told(self, words: str, *, bad: bool = False) -> None:
        self.case.what.append(words)
        self.case.bad |= bad

    def build(self) -> Case:
        self.good()
        for _ in range(self.dice.choice((0, 1, 1, 1, 2, 3))):
            if not self.case.bad:  # nothing may undo it
                self.change()
        words = [word for part in self.parts for word in part]
        self.case.words = [self.command, *words]
        if self.dice.random() < 0.03:
            self.case.words = words
            self.told("no command")
        return self.case


def option_case(seed: int) -> Case:
    """The mutant of a number."""
    return _Line(seed).build()
