"""Finding recipes: by name in the recipe folders, or by the path of a Python file.

Also reads parameter files. A recipe file is Python and runs with all your rights: open only files
you trust.
"""

from __future__ import annotations

import contextlib
import sys
import tomllib
from collections.abc import Callable
from dataclasses import dataclass, field
from difflib import get_close_matches
from importlib.machinery import SourceFileLoader
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from types import CodeType
from typing import Any

from furnigen.core.author_code import run_authored
from furnigen.core.errors import FurnigenError, InputError, RecipeError, kind_of
from furnigen.core.quantities import as_typed
from furnigen.recipes.recipe import Recipe

DEEPEST = 30
"""Levels of tables and lists within one another that a file may have; sound ones have four."""


def recipe_folders() -> list[Path]:
    """Folders that recipes are looked for in: `recipes` here, then beside the package."""
    folders = [_built_in()]
    with contextlib.suppress(OSError):  # the current folder may be gone
        folders.insert(0, Path("recipes").resolve())
    return [f for f in dict.fromkeys(folders) if f.is_dir()]


def _built_in() -> Path:
    return Path(__file__).resolve().parents[2] / "recipes"


def _tell_shadowing(path: Path) -> None:
    """Say that a recipe file found here goes before a built-in one of its name."""
    if path.parent != _built_in() and is_file(_built_in() / path.name):
        told = f"{path.stem} is recipes/{path.name} here, not the built-in recipe of that name"
        print(f"furnigen: {told}", file=sys.stderr)


def is_file(path: Path) -> bool:
    """Whether there is such a file; no for a name that no file system takes, too."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def list_recipes(broken: Callable[[str, RecipeError], None] | None = None) -> list[Recipe]:
    """All recipes in the folders, by name; the first folder wins where names meet, and says so.

    Args:
        broken: is told the name and the error of each recipe that can not be read, and it is left out.

    Raises: RecipeError for the first recipe that can not be read, where nobody is to be told.

    >>> [recipe.name for recipe in list_recipes()][:2]
    ['crate_wall', 'divided_case']
    """
    found: dict[str, Recipe | None] = {}
    for folder in recipe_folders():
        for path in sorted(folder.glob("*.py")):
            if path.name.startswith("_") or path.stem in found:
                continue
            _tell_shadowing(path)
            try:
                found[path.stem] = load_file(path)
            except RecipeError as error:
                if broken is None:
                    raise
                found[path.stem] = None
                broken(path.stem, error)
    return [recipe for _, recipe in sorted(found.items()) if recipe is not None]


def find_recipe(name: str | Path) -> Recipe:
    """A recipe by name, or by the path of its file. A name is looked for here before among the built-in ones.

    Raises: RecipeError offering names when there is none.

    >>> find_recipe("ladder_rack").name
    'ladder_rack'
    """
    return load_file(recipe_file(name))


def recipe_file(name: str | Path) -> Path:
    """The file of a recipe by its name or path, which is not read.

    Raises: as `find_recipe`.
    """
    if not isinstance(name, str | Path):
        raise InputError("recipe", kind_of(name), "must be the name of a recipe, or the path of its file")
    name = str(name)
    if name.endswith(".py"):
        path = Path(name)
        if not is_file(path):
            raise RecipeError(f"there is no recipe file {as_typed(name)}")
        return path
    for folder in recipe_folders():
        path = folder / f"{name}.py"
        if name.isidentifier() and is_file(path):
            _tell_shadowing(path)
            return path
    known = sorted({p.stem for f in recipe_folders() for p in f.glob("*.py") if not p.name.startswith("_")})
    near = get_close_matches(name, known, 1)
    offer = f"did you mean {near[0]}?" if near else f"there are {', '.join(known) or 'none here'}"
    raise RecipeError(f"there is no recipe {as_typed(name) if name else 'without a name'}; {offer}")


class _Source(SourceFileLoader):
    """Reads a file as it is now, and leaves nothing beside it.

    What Python keeps compiled is told from its file by seconds and size alone.
    """

    def get_code(self, fullname: str) -> CodeType:
        path = self.get_filename(fullname)
        return self.source_to_code(self.get_data(path), path)


def load_file(path: Path, *, anew: bool = False) -> Recipe:
    """The one recipe that a Python file declares.

    Its module is kept under a name of its own so that values made by it pickle.

    Args:
        anew: read it as it is now, though it was loaded before.

    Raises: RecipeError when the file fails, or declares none or several.
    """
    path = path.resolve()
    module_name = f"furnigen_recipe_{path.stem}"
    loaded = None if anew else sys.modules.get(module_name)
    if loaded is None or getattr(loaded, "__file__", None) != str(path):
        spec = spec_from_file_location(module_name, path, loader=_Source(module_name, str(path)))
        if spec is None or spec.loader is None:
            raise RecipeError(f"{path.name} is not a Python file")
        loaded = module_from_spec(spec)
        sys.modules[module_name] = loaded
        what = f"recipe file {path.name}"
        try:
            run_authored(what, str(path), spec.loader.exec_module, loaded)
        except BaseException as error:
            sys.modules.pop(module_name, None)
            if isinstance(error, FurnigenError) and not str(error).startswith(what):
                raise RecipeError(f"{what}: {error}") from error
            raise
    recipes = {id(v): v for v in vars(loaded).values() if isinstance(v, Recipe)}
    if len(recipes) != 1:
        raise RecipeError(
            f"recipe file {path.name} declares {len(recipes) or 'no'} recipes;"
            " it must declare one, with @recipe(...)"
        )
    return next(iter(recipes.values()))


@dataclass(frozen=True)
class ParameterFile:
    """What a parameter file says.

    Attributes:
        title: what a person calls this piece; "" when not said.
        recipe: the recipe it is for; "" when not said.
        parameters: name and value, as written.
        limits: what the brief demands, name and value, as written.
        units: the unit of bare numbers; "" when not said.
        loads: what boards carry, by label, role or "all", as written.
        strength: what strength is held to, name and value, as written.
    """

    title: str = ""
    recipe: str = ""
    parameters: dict[str, Any] = field(default_factory=dict)
    limits: dict[str, Any] = field(default_factory=dict)
    units: str = ""
    loads: dict[str, Any] = field(default_factory=dict)
    strength: dict[str, Any] = field(default_factory=dict)


def read_toml(path: Path, what: str) -> dict[str, Any]:
    """The tables of a TOML file.

    Args:
        what: what kind of file it is, for messages.

    Raises: InputError when it can not be read or is not TOML.
    """
    try:
        content = path.read_bytes()
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else error
        raise InputError(what, as_typed(path.name), f"can not be read: {why}") from None
    try:
        tables = tomllib.loads(content.decode("utf-8"))
    except (ValueError, RecursionError) as error:  # not only TOML's own: a number may have too many digits
        raise InputError(what, as_typed(path.name), f"is not TOML: {error}") from None
    if _deeper(tables, DEEPEST):  # names with thousands of dots, which TOML itself takes
        raise InputError(what, as_typed(path.name), f"nests tables and lists more than {DEEPEST} deep")
    return tables


def _deeper(value: object, levels: int) -> bool:
    """Whether tables and lists lie in one another more than some levels deep; found without recursion."""
    layer: list[Any] = [value]
    for _ in range(levels + 1):
        layer = [
            inner
            for one in layer
            for inner in (one.values() if isinstance(one, dict) else one)
            if isinstance(inner, dict | list)
        ]
        if not layer:
            return False
    return True


def read_parameter_file(path: Path) -> ParameterFile:
    """Read a TOML file of parameters.

    Keys: title, recipe, units, and the tables [parameters], [brief], [load] and [strength].

    Raises: InputError when it can not be read, is not TOML, or has other keys.
    """
    data = read_toml(path, "parameter file")
    tables = {
        "parameters": dict, "brief": dict, "load": dict, "strength": dict, "title": str, "recipe": str,
        "units": str,
    }  # fmt: skip
    for key, value in data.items():
        if key not in tables:
            fits = "tables are [parameters], [brief], [load] and [strength]; keys are title, recipe and units"
            raise InputError(f"{path.name}: key", key, "is not known", fits)
        if not isinstance(value, tables[key]):
            kind = "a table" if tables[key] is dict else "text"
            raise InputError(f"{path.name}: {key}", as_typed(str(value)), f"must be {kind}")
    if data.get("units", "mm") not in ("mm", "in"):
        raise InputError(f"{path.name}: units", data["units"], "must be mm or in")
    return ParameterFile(
        data.get("title", ""),
        data.get("recipe", ""),
        data.get("parameters", {}),
        data.get("brief", {}),
        data.get("units", ""),
        flat_labels(data.get("load", {})),
        data.get("strength", {}),
    )


def flat_labels(table: dict[str, Any], stem: str = "") -> dict[str, Any]:
    """A table with its labels joined again: TOML reads `shelf.2 = "books"` as a table within a table."""
    flat: dict[str, Any] = {}
    for key, value in table.items():
        if isinstance(value, dict):
            flat |= flat_labels(value, f"{stem}{key}.")
        else:
            flat[stem + key] = value
    return flat
