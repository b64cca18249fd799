"""HTML that is safe whatever a name holds, the files pages are made from, and what a page may do."""

from __future__ import annotations

import gzip
import json
import re
from base64 import b64encode
from collections.abc import Container, Iterable, Mapping, Sequence
from hashlib import sha256
from html import escape
from importlib.resources import files
from typing import Any

from furnigen.core.finding import FAIL, PASS, WARN
from furnigen.core.quantities import format_length

VERDICTS = {PASS: "passes", WARN: "look at it", FAIL: "fails", "none": "not made"}
MARKS = {PASS: "M2 8l4 4 8-9", WARN: "M8 2v7M8 12v2", FAIL: "M3 3l10 10M13 3L3 13", "none": "M3 8h10"}
"""Strokes of the mark of each status in a box of 16, so that colour is never alone."""
COUNTED = {FAIL: "{} fail", WARN: "{} to look at", PASS: "{} pass"}


def asset(name: str) -> bytes:
    """A file of this room, such as "look.css"."""
    return (files("furnigen.page") / name).read_bytes()


def text_asset(name: str) -> str:
    """A text file of this room."""
    return asset(name).decode("utf-8")


def name_of(text: str) -> str:
    """A name that somebody typed, escaped; one from right to left does not turn the text around it."""
    return f"<bdi>{escape(text)}</bdi>"


def button(inside: str, step: int | None = None) -> str:
    """What is pressed to see a row, or a step, in the view."""
    plays = "" if step is None else f" data-step={step}"
    return f"<button type=button class=row{plays}>{inside}</button>"


def tick(done: str, what: str) -> str:
    """A box for something that is done to something."""
    key, label = escape(f"{done} {what}"), escape(f"{what} is {done}")
    return f'<input type=checkbox data-tick="{key}" aria-label="{label}">'


def table(heads: Sequence[str], rows: str, figures: Container[int]) -> str:
    """A table that scrolls by itself where it is too wide.

    Args:
        figures: which columns hold numbers.
    """
    cells = "".join(
        f"<th scope=col{' class=n' if i in figures else ''}>{escape(head)}" for i, head in enumerate(heads)
    )
    around = f'<div class=scroll tabindex=0 role=region aria-label="{escape(heads[0])}, table">'
    return f"{around}<table><thead><tr>{cells}<tbody>{rows}</table></div>"


def section(name: str, heading: str, inside: str) -> str:
    """A section of the lists with its heading."""
    return (
        f'<section id="{name}" aria-labelledby="h-{name}"><h2 id="h-{name}">{heading}</h2>{inside}</section>'
    )


def mark(status: str) -> str:
    """The sign of a status, with its word for who hears the page."""
    word = VERDICTS[status]
    return (
        f'<svg class=mark viewBox="0 0 16 16" role=img aria-label="{word}"><path d="{MARKS[status]}"/></svg>'
    )


def lamps(counts: Mapping[str, int], more: Mapping[str, tuple[int, str]] | None = None) -> str:
    """How many there are of each status, worst first.

    Args:
        counts: by status.
        more: others, such as "none", with their number and words.
    """
    every = {status: (counts.get(status, 0), words) for status, words in COUNTED.items()} | dict(more or {})
    return "".join(
        f'<span class="lamp s-{status}">{mark(status)}{words.format(n)}</span>'
        for status, (n, words) in every.items()
        if n
    )


def packed_script(name: str) -> str:
    """The script of a page, as `furnigen.page.bundle` has packed it."""
    return gzip.decompress(asset(f"bundle/{name}.js.gz")).decode()


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


def page_head(title: str, style: str, policy: str) -> str:
    """The head of a page that is a file by itself.

    Args:
        policy: its Content-Security-Policy.
    """
    texts = {"TITLE": escape(title), "STYLE": style, "POLICY": escape(policy)}
    return filled(text_asset("head.html"), texts)


def length(mm: float, units: str) -> str:
    """A length in "mm" or "in", as lists for people give it."""
    return format_length(mm, units, mark_inexact=units == "in")


def content_policy(scripts: Iterable[str], styles: Iterable[str], images: Iterable[str] = ()) -> str:
    """The Content-Security-Policy of a page: these scripts and styles, pictures within it, no more.

    Args:
        images: where else pictures may come from, such as "file:".
    """
    return "; ".join(
        (
            "default-src 'none'",
            f"script-src {_hashes(scripts)}",
            f"style-src {_hashes(styles)}",
            " ".join(("img-src data:", *images)),
            "base-uri 'none'",
            "form-action 'none'",
        )
    )


def _hashes(texts: Iterable[str]) -> str:
    return " ".join(f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'" for text in texts)
