"""Values as TOML writes them: for files, and for messages about values that came from one."""

from __future__ import annotations

from typing import Any


def toml_value(value: Any) -> str:
    """A text, number, yes or no, list or table as TOML writes it.

    >>> toml_value("90 %"), toml_value([True, 2.0]), toml_value({"mass": 1})
    ('"90 %"', '[true, 2.0]', '{ mass = 1 }')
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(toml_value, value))}]"
    if isinstance(value, dict):
        inner = ", ".join(f"{toml_key(k)} = {toml_value(v)}" for k, v in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    marks = {'"': '\\"', "\\": "\\\\"}
    return '"' + "".join(
        marks.get(c) or (c if c.isprintable() or c == " " else f"\\U{ord(c):08x}") for c in str(value)
    ) + '"'  # fmt: skip


def toml_key(name: str) -> str:
    """A key, in quotes where it needs them.

    >>> toml_key("shelf_board"), toml_key("shelf.1")
    ('shelf_board', '"shelf.1"')
    """
    return name if name.replace("_", "").isalnum() and name.isascii() else toml_value(name)
