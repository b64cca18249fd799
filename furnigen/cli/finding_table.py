"""Findings as a table that fits the terminal: worst first, the numbers in columns, words under what is amiss.

What passes takes one line, cut where the terminal ends. What does not is told whole below its numbers: where,
what would put it right, by which reckoning and source. The report has all of it, of what passes too.
"""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

from furnigen.core.finding import FAIL, PASS, STATUSES, WARN, Finding, name_labels, worst_first
from furnigen.core.quantities import format_length

UNITS = {"deg": "°", "N/mm2": "N/mm²", "mm2": "mm²", "mm3": "mm³"}
"""How some units are written for people."""
WORDS = {PASS: "pass", WARN: "warn", FAIL: "FAIL"}
USUAL_WIDTH, LEAST_WIDTH, MOST_WIDTH = 100, 60, 140
"""Columns where the terminal does not say, and the least and most that are used."""
INDENT = 6
LABELS = ("where", "remedy", "why")


def terminal_width() -> int:
    """Columns to write in."""
    return min(max(shutil.get_terminal_size((USUAL_WIDTH, 24)).columns, LEAST_WIDTH), MOST_WIDTH)


def amount(value: float | None, unit: str, units: str) -> str:
    """A value of a finding for people; lengths in `units`."""
    if value is None:
        return ""
    if unit == "mm":
        return format_length(value, units, mark_inexact=units == "in")
    if unit == "mm3":
        return f"{value:,.0f} mm³"
    return f"{_number(value)} {UNITS.get(unit, unit)}".strip()


def _number(value: float) -> str:
    whole = abs(value) >= 1000 or abs(value - round(value)) < 1e-9
    return f"{value:,.0f}" if whole else f"{value:.3g}"


def _numbers(f: Finding, units: str) -> tuple[str, str, str, str]:
    """The cells of a finding: name, what was found, its limit, the share that is used."""
    found = amount(f.value, f.unit, units) if f.unit or f.limit is not None else ""
    limit = ""
    if f.limit is not None and (f.limit or f.value):
        # in millimetres and the like the unit stands beside what was found
        bare = _number(f.limit)
        if f.unit == "mm":
            bare = amount(f.limit, f.unit, units) if units == "in" else bare.replace(",", "")
        limit = f"{'min' if f.least else 'max'} {bare}"
    return f.name, found, limit, _share(f.used)


def _share(used: float | None) -> str:
    """A share of a limit in percent; what is over it by little must not read as just at it."""
    if used is None:
        return ""
    whole = f"{used:.0%}"
    return f"{max(used, 1.001):.1%}" if used > 1 and whole == "100%" else whole


def findings_table(findings: Sequence[Finding], units: str, width: int | None = None) -> list[str]:
    """Checks as lines, worst first.

    Args:
        findings: in any order.
        units: "mm" or "in".
        width: columns to write in; those of the terminal where None.
    """
    columns = width or terminal_width()
    ranked = worst_first(findings)
    rows = [_numbers(f, units) for f in ranked]
    widths = [max((len(row[i]) for row in rows), default=0) for i in range(4)]
    lines = [_count(findings)] if findings else []
    said: set[tuple[str, str]] = set()
    for f, row in zip(ranked, rows, strict=True):
        name, found, limit, used = (cell.ljust(w) for cell, w in zip(row, widths, strict=True))
        line = f"{WORDS[f.status]}  {name}  {found}  {limit}  {used.strip().rjust(widths[3])}"
        if f.status == PASS:
            lines.append(_cut(f"{line}  {f.where}", columns))
        else:
            lines += ["", line.rstrip(), *_told(f, _new(f, said), columns)]
            if f is not ranked[-1] and ranked[ranked.index(f) + 1].status == PASS:
                lines.append("")
    return lines


def _count(findings: Sequence[Finding]) -> str:
    """How many of each status, the worst first."""
    words = {FAIL: "{} fail", WARN: "{} to look at", PASS: "{} pass"}
    numbers = {s: sum(f.status == s for f in findings) for s in reversed(STATUSES)}
    return "Checks: " + ", ".join(words[s].format(n) for s, n in numbers.items() if n)


def _cut(line: str, columns: int) -> str:
    line = line.rstrip()
    return line if len(line) <= columns else line[: columns - 4].rstrip(" ,;:") + " ..."


def _new(f: Finding, said: set[tuple[str, str]]) -> str:
    """The sentences of a finding's reckoning that were not said of another of its name."""
    sentences = [one for one in f.source.split(". ") if (f.name, one) not in said]
    said.update((f.name, one) for one in sentences)
    return ". ".join(sentences)


def _told(f: Finding, why: str, columns: int) -> list[str]:
    """Place, reckoning and remedies of a finding, each from a column of its own."""
    lines = []
    at = INDENT + max(map(len, LABELS)) + 2
    for label, text in zip(LABELS, (f.where, f.remedy, why), strict=True):
        for i, one in enumerate(text.splitlines()):
            # each remedy begins anew; what runs on is set in further
            first = " " * INDENT + (label if i == 0 else "").ljust(at - INDENT)
            more = " " * (at + (2 if label == "remedy" else 0))
            lines += textwrap.wrap(one, columns, initial_indent=first, subsequent_indent=more)
    return lines


def _load(row: Mapping[str, Any]) -> str:
    """A load as it was said, with its amount where that was a use."""
    text: str = row["load"]
    amounts = ((row["kg_per_m"], "kg/m"), (row["kg_per_m2"], "kg/m²"))
    words = " and ".join(f"{_number(round(kg, 1))} {unit}" for kg, unit in amounts if kg)
    return f"{text} ({words})" if words and not any(c.isdigit() for c in text) else text


def carried_lines(strength: Mapping[str, Any], width: int | None = None) -> list[str]:
    """What was taken to lie on which boards, and what the piece was held to.

    Args:
        strength: that part of a report.
        width: as in `findings_table`.
    """
    on: dict[tuple[str, str], list[str]] = {}
    for row in strength.get("loads", ()):
        key = (_load(row), row["source"] if row["assumed"] else "")
        on.setdefault(key, []).append(row["board"])
    loads = []
    for (load, assumed), boards in on.items():
        words = f"{load} on {name_labels(boards)}"
        loads.append(f"{words} (assumed, as nothing is said: {assumed})" if assumed else words)
    if not loads:
        return []
    demands = strength["demands"]
    held = f"sag in the long run at most {demands['sag_limit']}, {demands['climate_words']}"
    text = f"Carries: {'; '.join(loads)}. Held to: {held}."
    return textwrap.wrap(text, width or terminal_width(), subsequent_indent="  ")
