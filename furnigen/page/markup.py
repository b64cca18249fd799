"""HTML that is safe whatever a name holds, the files pages are made from, and what a page may do."""

from __future__ import annotations

import json
import re
from base64 import b64encode
from collections.abc import Iterable, Mapping
from hashlib import sha256
from html import escape
from importlib.resources import files
from typing import Any

from furnigen.core.quantities import format_length


def asset(name: str) -> bytes:
    """A file of this room, such as "look.css"."""
    return (files("furnigen.page") / name).read_bytes()


def text_asset(name: str) -> str:
    """A text file of this room."""
    return asset(name).decode("utf-8")


def name_of(text: str) -> str:
    """A name that somebody typed, escaped; one from right to left does not turn the text around it."""
    return f"<bdi>{escape(text)}</bdi>"


def json_in_html(value: Any) -> str:
    """JSON that can not end the script element it stands in."""
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")


def of_labels(labels: Iterable[str]) -> str:
    """The attribute that ties a row to placements or openings; empty where there are none."""
    named = list(labels)
    return f' data-labels="{escape(json.dumps(named, ensure_ascii=False))}"' if named else ""


def filled(template: str, texts: Mapping[str, str]) -> str:
    """A template with its `@NAME@`s replaced in one pass: a text may hold what looks like one."""
    return re.sub("@([A-Z_]+)@", lambda mark: texts[mark[1]], template)


def length(mm: float, units: str) -> str:
    """A length in "mm" or "in", as lists for people give it."""
    return format_length(mm, units, mark_inexact=units == "in")


def content_policy(scripts: Iterable[str], styles: Iterable[str]) -> str:
    """The Content-Security-Policy of a page: these scripts and styles, pictures within it, no more."""
    return "; ".join(
        (
            "default-src 'none'",
            f"script-src {_hashes(scripts)}",
            f"style-src {_hashes(styles)}",
            "img-src data:",
            "base-uri 'none'",
            "form-action 'none'",
        )
    )


def _hashes(texts: Iterable[str]) -> str:
    return " ".join(f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'" for text in texts)
