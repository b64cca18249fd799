"""The package is built as DEVELOPERS.md draws it: imports run downward, modules lie where they are used."""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "furnigen"
LATER = {"page": "drawings"}
"""Rooms that are to come, each with the one it will stand on: none of them has to be there."""
LONGEST = 400
MOST_PLAIN = 5
BANNED = {"util", "utils", "helper", "helpers", "common", "misc", "tools"}
FRONT_DOORS = {
    "formats": "writers, one a format, called by the pipeline",
    "checks": "groups of checks, called by the pipeline",
    "cutting": "what the pipeline and a command call",
    "drawings.booklet": "what the pipeline calls",
    "mesh.part_meshes": "meshes from solids: what the pipeline calls",
    "pipeline.together": "stages of several pieces at once, for families",
    "page.job_page": "what the pipeline calls",
    "mockup.make": "what a command calls",
    "live.server": "what a command calls",
    "family.run": "what a command calls",
    "solve": "what a command calls",
    "pipeline.step_check": "what a command calls",
    "pipeline.step_guard": "what a command calls",
    "exchange.numbers": "reads the text of an exchange file, as its room does",
    "parts.forms.custom": "a form is one file in its room, whoever drafts it",
    "kernel.section": "only the kernel's room may cut with the kernel",
    "kernel.hidden_lines": "only the kernel's room may draw with the kernel",
    "paper.pdf": "a backend is one file in its room, whoever makes the pages",
    "kernel.board_sizes": "only the kernel's room may measure with the kernel",
    "kernel.step_reader": "only the kernel's room may read with the kernel",
}
"""Rooms and modules for which one importer outside their room is enough, and why."""


def drawn_layers() -> list[str]:
    """Rooms from the base upward: the first drawing under Architecture in DEVELOPERS.md, read from below."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    block = re.search(r"## Architecture.*?```\n(.*?)```", text, re.DOTALL)
    assert block, "DEVELOPERS.md draws no house under Architecture"
    rooms = [m.group(1) for line in block.group(1).splitlines() if (m := re.match(r"(\w+)/", line))]
    layers = rooms[::-1]
    for room, below in LATER.items():
        if room not in layers and below in layers:
            layers.insert(layers.index(below) + 1, room)
    return layers


def module_name(path: Path) -> str:
    name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
    return name.removesuffix(".__init__")


MODULES = {module_name(p): p for p in sorted(PACKAGE.rglob("*.py"))}


def imports_of(name: str, path: Path) -> set[str]:
    """Modules of the package that a module imports: at its top, within functions, and for type checking."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {a.name for a in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                package = name.split(".") if path.name == "__init__.py" else name.split(".")[:-1]
                kept = package[: len(package) - node.level + 1]
                base = ".".join([*kept, *([base] if base else [])])
            found |= {f"{base}.{a.name}" if f"{base}.{a.name}" in MODULES else base for a in node.names}
    return {f for f in found if f in MODULES and f != name}


@cache
def imports() -> dict[str, set[str]]:
    """What every module imports; worked out where a test asks, not by each process that collects tests."""
    return {name: imports_of(name, path) for name, path in MODULES.items()}


def room_of(name: str) -> str:
    """The room a module lies in; empty for the face and other modules at the top."""
    parts = name.split(".")
    inside = len(parts) > 2 or (len(parts) == 2 and MODULES[name].name == "__init__.py")
    return parts[1] if inside else ""


def against(layers: list[str]) -> list[str]:
    """Imports that run upward."""
    height = {room: k for k, room in enumerate(layers)}
    return [
        f"{name} -> {target}"
        for name, targets in imports().items()
        for target in sorted(targets)
        if room_of(name)
        and (not room_of(target) or height[room_of(name)] < height[room_of(target)])
        and target != "furnigen"
    ]


def test_every_room_is_drawn_and_every_drawn_room_is_there():
    layers = drawn_layers()
    assert len(layers) == len(set(layers))
    rooms = {room_of(name) for name in MODULES} - {""}
    assert rooms <= set(layers), f"not drawn in DEVELOPERS.md: {sorted(rooms - set(layers))}"
    assert set(layers) - rooms <= set(LATER), f"drawn, but empty: {sorted(set(layers) - rooms - set(LATER))}"


def test_imports_run_downward():
    assert against(drawn_layers()) == []


def test_the_order_of_rooms_is_really_held():
    assert against(drawn_layers()[::-1]), "turned upside down, the house must fall"


def test_no_import_is_part_of_a_circle():
    # the face names its homes for type checkers, and everything stands beneath it
    graph = {name: targets - {"furnigen"} for name, targets in imports().items()}
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as circle:
        pytest.fail(" -> ".join(reversed(circle.args[1])))


def test_few_modules_lie_loose_at_the_top():
    loose = sorted(p.name for p in PACKAGE.glob("*.py") if not p.name.startswith("__"))
    assert len(loose) <= MOST_PLAIN, loose


def test_every_module_is_named_for_what_it_holds_and_is_short():
    assert [name for name in MODULES if BANNED & set(name.split("."))] == []
    lines = {name: len(path.read_text(encoding="utf-8").splitlines()) for name, path in MODULES.items()}
    assert {name: n for name, n in lines.items() if n > LONGEST} == {}, f"at most {LONGEST} lines"


def test_what_one_module_alone_uses_lies_beside_it():
    importers = defaultdict(set)
    for name, targets in imports().items():
        for target in targets:
            importers[target].add(name)
    face = (PACKAGE / "__init__.py").read_text(encoding="utf-8")
    lost = []
    for name, path in MODULES.items():
        by = importers[name]
        own = name.removeprefix("furnigen.")
        if len(by) != 1 or path.name.startswith("__") or not room_of(name):
            continue
        if room_of(next(iter(by))) == room_of(name) or f'"{name}"' in face or f"from {name} import" in face:
            continue
        if own in FRONT_DOORS or room_of(name) in FRONT_DOORS or own == "cli.main":
            continue
        lost.append(f"{name} is used by {next(iter(by))} alone")
    assert lost == []
