"""Mutants of family files and of the tables beside them."""

from __future__ import annotations

from typing import Any

from cases import Case
from file_mutants import FileMaker, written
from strange import Raw, good, misspelt

from furnigen.recipes.parameters import Parameter

FEW_VARIANTS = 12
BAD_EXPRESSIONS = (
    "max(width, 3)", "width.real", "width[0]", "(lambda: 1)()", "__import__('os')", "f'{width}'",
    "(x := 3)", "[1, 2]",
    "width +", "", " ", ")", "1e400", "9" * 500, "(" * 60 + "1" + ")" * 60, "-" * 45 + "1", "not " * 60 + "1",
    "widht * 2", "1 if", "{}", "*width", "1; 2", "width = 3", "await width", "\0", "0x" + "f" * 90,
    True, [1], {"a": 1}, "'a' < 3 < ", "width @ 2", "width << 3", "~1", "width is 3", "width in 3", "...",
    "1j", "b'a'",
)  # fmt: skip
ODD_EXPRESSIONS = (
    "width / 0", "width // 0", "width % 0", "width ** 16", "width ** 17", "width ** -16", "0 ** -1",
    "(0 - 8) ** 0.5",
    "9 ** 15", "1e15 * 10", "'wide'", "width * 'a'", "width if width else 'x'", "not width", "width == 'x'",
    "width > 1 > 0",
    "-width", "width - width", "1 / 3", "True", "width and 'a'", "board == board", "width * 1.0000001", "3.7",
)  # fmt: skip


class FamilyMaker(FileMaker):
    """A family file and its table, and the command that makes it."""

    def build(self) -> Case:
        dice, case = self.dice, self.case
        self.data |= {
            "recipe": self.recipe.name,
            "outputs": dice.choice(([], ["cutlist"], ["cutlist", "hardware"])),
        }
        if self.units == "in":
            self.data["units"] = "in"
        self.data["checks"] = dice.choice((["fit"], ["fit"], ["fit", "sag"], ["all"]))
        self.free = list(self.recipe.parameters)
        dice.shuffle(self.free)
        self.listed()
        self.change(
            (
                self.listed,
                self.spanned,
                self.fixed,
                self.let,
                self.only,
                self.linked,
                self.csv,
                self.odd_let,
                self.title,
                self.limit,
                self.load,
                self.strength,
            ),
            (
                self.bad_listed,
                self.bad_listed,
                self.bad_fixed,
                self.bad_span,
                self.bad_let,
                self.bad_let,
                self.ring,
                self.bad_only,
                self.bad_link,
                self.bad_csv,
                self.bad_outputs,
                self.bad_cap,
                self.twice,
                self.bad_name,
                self.bad_title,
                self.bad_key,
                self.bad_family_table,
                self.bad_units,
                self.bad_limit,
                self.bad_load,
                self.bad_strength,
                self.bad_recipe,
                self.bad_picture,
            ),
        )
        case.files["f.toml"] = self.text(0.06)
        case.words = [
            "family",
            "f.toml",
            "--workers",
            "0",
            "--json",
            "--out",
            "result",
            "--cap",
            str(FEW_VARIANTS),
        ]
        case.before = dice.choice(("", "", "family"))
        return case

    def take(self) -> Parameter:
        """A parameter that is set nowhere yet."""
        return self.free.pop() if self.free else self.parameter()

    def values(self, one: Parameter, most: int) -> list[Any]:
        found = {
            str(g.plain): g.value for g in (good(one, self.units, self.dice, near=True) for _ in range(most))
        }
        return list(found.values())

    def listed(self) -> None:
        one = self.take()
        self.table("vary")[one.name] = values = self.values(one, self.dice.randint(1, 2))
        self.told(f"vary {one.name} = {written(values)}")

    def spanned(self) -> None:
        numbers = [p for p in self.free if p.kind in ("length", "angle", "count")]
        if numbers:
            one = numbers[0]
            self.free.remove(one)
            step = {"length": "10 mm", "angle": 1, "count": 1}[one.kind]
            low = good(one, "mm", self.dice, near=True).plain
            first = f"{low:.4f} mm" if one.kind == "length" else low
            self.table("vary")[one.name] = {"from": first, "to": first, "step": step}
            self.told(f"span {one.name}")

    def fixed(self) -> None:
        one = self.take()
        self.table("fixed")[one.name] = good(one, self.units, self.dice, near=True).value
        self.told(f"fixed {one.name}")

    def let(self) -> None:
        one = next((p for p in self.free if p.kind == "length"), None)
        if one:
            self.free.remove(one)
            other = next(p.name for p in self.recipe.parameters if p.kind == "length" and p is not one)
            self.table("let")[one.name] = f"helper * 2 if {other} > 0 else 1"
            self.table("let")["helper"] = f"{other} / 4"
            self.told(f"let {one.name}")

    def odd_let(self) -> None:
        one = self.take()
        text = self.dice.choice(ODD_EXPRESSIONS).replace("width", "(zz + 1)").replace("board", "zz")
        self.table("let")[one.name] = text
        self.table("fixed")["zz"] = self.dice.choice((0, 600, "600 mm", "word", 1e15, True))
        self.told(f"let {one.name} = {text}, zz = {self.data['fixed']['zz']!r}")

    def only(self) -> None:
        name = self.parameter().name
        self.table("only")[self.dice.choice(("fits", "", "é", "a\nb", "x" * 900))] = self.dice.choice(
            (f"{name} == {name}", f"{name} != {name}", f"{name} > 1", f"not {name}", f"{name} < {name} < 3")
        )
        self.told(f"only of {name}")

    def linked(self) -> None:
        one, other = self.take(), self.take()
        rows = [{p.name: g.value for p, g in ((one, good(one, self.units, self.dice, near=True)),
                                              (other, good(other, self.units, self.dice, near=True)))}
                for _ in range(2)]  # fmt: skip
        self.table("link")["wall"] = {"table": rows}
        self.told(f"link {one.name}, {other.name}")

    def csv(self) -> None:
        one, other = self.take(), self.take()
        cells = [[good(p, self.units, self.dice, near=True).text for p in (one, other)] for _ in range(2)]
        quoted = ['"' + c.replace('"', '""') + '"' for row in cells for c in row]
        lines = [f"{one.name},{other.name}", ",".join(quoted[:2]), ",".join(quoted[2:])]
        end = self.dice.choice(("\n", "\r\n"))
        self.case.files["rows.csv"] = (
            self.dice.choice((b"", b"\xef\xbb\xbf")) + (end.join(lines) + end).encode()
        )
        self.table("link")["rows"] = {"csv": "rows.csv"}
        self.told(f"csv {one.name}, {other.name}")

    def bad_listed(self) -> None:
        one = self.parameter()
        value = self.bad_value(one)
        self.table("vary")[one.name] = listed = self.dice.choice(
            ([value], value, [], [600, [[600]]], {"a": value})
        )
        self.told(f"vary {one.name} = {written(listed)}", bad=True)

    def bad_fixed(self) -> None:
        one = self.parameter()
        self.table("fixed")[one.name] = value = self.bad_value(one)
        self.told(f"fixed {one.name} = {written(value)}", bad=True)

    def bad_span(self) -> None:
        one = self.parameter()
        odd = self.dice.choice((0, -1, float("nan"), "x", 10**30, True, [], {}, Raw("1e400")))
        span = {"from": one.low or 1, "to": one.high or 2, "step": 1}
        self.table("vary")[one.name] = span = self.dice.choice((
            span | {"step": odd}, {"from": odd, "to": one.high, "step": 0}, {"from": 1, "step": 1},
            {"count": 3},
            {"from": one.high + 1, "to": one.low, "count": 3}, {"from": 1, "to": 2, "count": odd},
            span | {"by": 1}, {},
        ))  # fmt: skip
        self.told(f"span {one.name} = {written(span)}", bad=True)

    def bad_let(self) -> None:
        one = self.take()
        self.table("let")[one.name] = text = self.dice.choice(BAD_EXPRESSIONS)
        self.told(f"let {one.name} = {written(text)}", bad=True)

    def ring(self) -> None:
        one, long = self.take(), self.dice.choice((1, 2, 3, 900))
        names = [one.name, *(f"ring{k}" for k in range(long - 1))]
        self.table("let").update({a: f"{b} + 1" for a, b in zip(names, [*names[1:], names[0]], strict=True)})
        self.told(f"a ring of {long}", bad=True)

    def bad_only(self) -> None:
        self.table("only")["why"] = text = self.dice.choice(BAD_EXPRESSIONS)
        self.told(f"only {written(text)}", bad=True)

    def bad_link(self) -> None:
        one = self.parameter()
        self.table("link")["odd"] = given = self.dice.choice((
            3, [], {}, "x", {"table": []}, {"table": [[1], [2]]},
            {"table": [{one.name: self.bad_value(one)}]},
            {"table": [{}]}, {"table": {"a": 1}}, {"csv": 3}, {"csv": "none.csv"}, {"csv": "a\0b"},
            {"csv": ".", "table": []},
            {"csv": ".."}, {"csv": "n" * 300}, {"table": [{"widht": 1}]}, {"rows": []}, {"csv": "f.toml"},
        ))  # fmt: skip
        self.told(f"link {written(given)}", bad=True)

    def bad_csv(self) -> None:
        one = self.parameter()
        name = one.name.encode()
        self.case.files["bad.csv"] = data = self.dice.choice((
            b"", b"\n\n", name, name + b"\n", name + b"\n\xff\n", b"," + name + b"\n1,2\n",
            name + b"," + name + b"\n1,2\n",
            name + b"\n1,2\n", name + b"\n\"x\n", name + b"\n\0\n", name + b"\n=1+1\n",
            name + b"\n" + b"9" * 140_000 + b"\n",
            b"widht\n600\n", name + b";x\n600;1\n", name + b"\nnan\n", b"PK\x03\x04" + bytes(range(256)),
            b"\xff\xfew\0\n\0",
        ))  # fmt: skip
        self.table("link")["bad"] = {"csv": "bad.csv"}
        self.told(f"csv {data[:30]!r}", bad=True)

    def bad_outputs(self) -> None:
        key = self.dice.choice(("outputs", "checks"))
        self.data[key] = value = self.dice.choice(
            (["stp"], [1], [["step"]], [{}], "step", {}, 3, ["fit", "most"], [""], True)
        )
        self.told(f"{key} = {written(value)}", bad=True)

    def bad_cap(self) -> None:
        self.data["cap"] = value = self.dice.choice(
            ("many", 1.5, True, [], float("nan"), {}, Raw("1e3"), Raw("9" * 5000))
        )
        self.told(f"cap = {written(value)}", bad=True)

    def bad_picture(self) -> None:
        key, value = self.dice.choice((("picture", "big"), ("picture", "0x0"), ("picture", "99999x9"),
        ("picture", 3),
                                       ("picture", "6４0x480x"), ("tolerance", "1 m"), ("tolerance", 0.1),
                                       ("tolerance", "nan"), ("tolerance", "-1 mm")))  # fmt: skip
        self.data[key] = value
        self.told(f"{key} = {value!r}", bad=True)

    def twice(self) -> None:
        name = next(iter(self.table("vary")), self.parameter().name)
        self.table("vary").setdefault(name, [1])
        self.table("fixed")[name] = 600
        self.told(f"{name} set twice", bad=True)

    def bad_name(self) -> None:
        name = misspelt(self.parameter().name, self.dice)
        table = self.dice.choice(("fixed", "vary", "let"))
        self.table(table)[name] = {"fixed": 600, "vary": [600], "let": "600"}[table]
        self.told(f"{table} {name[:30]!r}", bad=True)

    def bad_family_table(self) -> None:
        key = self.dice.choice(("fixed", "vary", "link", "let", "only", "brief", "load", "strength"))
        self.data[key] = value = self.dice.choice((1, "x", [], [{}], True, float("nan"), Raw("07:32:00")))
        self.told(f"{key} = {written(value)}", bad=True)
