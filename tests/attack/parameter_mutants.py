"""Mutants of parameter files."""

from __future__ import annotations

from cases import Case
from file_mutants import FileMaker, written
from strange import good, misspelt

from furnigen import list_recipes


class ParameterMaker(FileMaker):
    """A parameter file, and a command that reads it."""

    def build(self) -> Case:
        if self.units == "in":
            self.data["units"] = "in"
        if self.dice.random() < 0.7:
            self.data["recipe"] = self.recipe.name
        self.table("parameters")
        self.value()
        self.change(
            (self.value, self.value, self.value, self.title, self.limit, self.load, self.strength),
            (self.bad_parameter,) * 8
            + (
                self.bad_name,
                self.bad_title,
                self.bad_key,
                self.bad_table,
                self.bad_units,
                self.bad_limit,
                self.bad_load,
            )
            + (self.bad_strength, self.bad_recipe, self.other_recipe),
        )
        case, dice = self.case, self.dice
        case.files["p.toml"] = self.text(0.1)
        if dice.random() < 0.6:
            case.words = [
                "make",
                case.recipe,
                "--params",
                "p.toml",
                "--json",
                "--out",
                "result",
                "--formats",
                "cutlist,hardware",
            ]
            case.before = dice.choice(("", "made"))
        else:
            only = dice.choice(("fit", "fit,sag", "strength,standing"))
            case.words = ["check", case.recipe, "--params", "p.toml", "--json", "--only", only]
        return case

    def value(self) -> None:
        one = self.parameter()
        found = good(one, self.units, self.dice, near=self.dice.random() < 0.8)
        self.table("parameters")[one.name] = found.value
        self.case.values[one.name] = found.plain
        self.told(f"{one.name} = {written(found.value)}")

    def bad_parameter(self) -> None:
        one = self.parameter()
        value = self.bad_value(one)
        self.table("parameters")[one.name] = value
        self.told(f"{one.name} = {written(value)}", bad=True)

    def bad_name(self) -> None:
        name = misspelt(self.parameter().name, self.dice)
        self.table("parameters")[name] = self.dice.choice((1, "600", [], {"a": {"b": 1}}))
        self.told(f"name {name[:30]!r}", bad=True)

    def other_recipe(self) -> None:
        names = [r.name for r in list_recipes() if r.name != self.recipe.name]
        self.data["recipe"] = self.dice.choice(names)
        self.told("another recipe", bad=True)
