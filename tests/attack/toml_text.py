"""Files of TOML from plain data, strange data too."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

from strange import Raw

_BARE = re.compile(r"[A-Za-z0-9_-]+")


def key_text(key: str) -> str:
    """A key, in quotes where it needs them."""
    return key if _BARE.fullmatch(key) else quoted(key)


def quoted(text: str) -> str:
    """Text in quotes; JSON's are TOML's, but for one sign and for halves of pairs."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def value_text(value: Any) -> str:
    """A value within a line."""
    if isinstance(value, Raw):
        return value.text
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key_text(k)} = {value_text(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(value_text, value)) + "]"
    if value is None:
        return "null"
    return value.isoformat() if hasattr(value, "isoformat") else repr(value)


def toml_text(data: Mapping[str, Any]) -> str:
    """A whole file: what is no table first, then a section for each table."""
    lines = [f"{key_text(k)} = {value_text(v)}" for k, v in data.items() if not isinstance(v, Mapping)]
    for name, table in data.items():
        if isinstance(table, Mapping):
            lines += ["", f"[{key_text(name)}]"]
            lines += [f"{key_text(k)} = {value_text(v)}" for k, v in table.items()]
    return "\n".join(lines) + "\n"
