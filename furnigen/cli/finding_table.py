"""Findings as a table that fits the terminal: worst first, the numbers in columns, remedies below.

What passes is one line, findings that are alike are one row, and the whole takes at most `MOST_LINES`, unless
all of it is asked for. Reasons and sources are shown when asked for. The report has all of it, always.
"""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from furnigen.core.finding import (
    AS_ABOVE,
    FAIL,
    PASS,
    STATUSES,
    WARN,
    Finding,
    alike,
    name_labels,
    worst_first,
)
from furnigen.core.wording import shown
from furnigen.formats.amounts import numbers
from furnigen.formats.carried import loads_said

WORDS = {PASS: "pass", WARN: "warn", FAIL: "FAIL"}
HEADING = ("check", "found", "limit", "used", "where")
BOARD_CHECKS = frozenset({"sag", "bending", "shear", "bearing", "slides-off", "wood-movement-glued"})
"""Checks whose places are boards; those of others are called places."""
USUAL_WIDTH, LEAST_WIDTH, MOST_WIDTH = 100, 60, 140
"""Columns where the terminal does not say, and the least and most that are used."""
MOST_LINES = 28
"""Lines of the table; with what is carried and the safety note a check then takes at most 40."""
MOST_CARRIED = 4
INDENT = 6
LABELS = ("where", "remedy", "why")
ALL = "--all shows them"


def terminal_width() -> int:
    """Columns to write in."""
    return min(max(shutil.get_terminal_size((USUAL_WIDTH, 24)).columns, LEAST_WIDTH), MOST_WIDTH)


def findings_table(
    findings: Sequence[Finding],
    units: str,
    width: int | None = None,
    *,
    whole: bool = False,
    why: bool = False,
    most: int = MOST_LINES,
) -> list[str]:
    """Checks as lines, worst first.

    Args:
        findings: in any order.
        units: "mm" or "in", of lengths in the texts too.
        width: columns to write in; those of the terminal where None.
        whole: every finding by itself, passes too; else those that are alike as one, passes as one line, and
            at most `most` lines where no reasons are asked for.
        why: with reasons and sources.
        most: lines, where not all is wanted; at least 8.
    """
    columns = width or terminal_width()
    if not findings:
        return []
    ranked = worst_first(findings)
    amiss = [f for f in ranked if f.status != PASS]
    passes = len(ranked) - len(amiss)
    groups = [[f] for f in ranked] if whole else alike(amiss)
    if not groups:
        return [f"Checks: {passes} pass; {ALL}"]
    rows = [numbers(group[0], units) for group in groups]
    widths = [max(len(row[i]) for row in (HEADING, *rows)) for i in range(4)]
    said: set[tuple[str, str]] = set()
    blocks = [
        _block(group, _row(WORDS[group[0].status], row, widths), _Style(units, columns, why), said)
        for group, row in zip(groups, rows, strict=True)
    ]
    head = [_count(findings), "", _cut(f"{_row('', HEADING[:4], widths)}  {HEADING[4]}", columns)]
    foot = [] if whole or not passes else [f"{passes} pass; {ALL}"]
    if not (whole or why):
        blocks = _within(blocks, most - len(head) - len(foot))
    return [*head, *(line for block in blocks for line in block), *foot]


def _row(status: str, cells: Sequence[str], widths: Sequence[int]) -> str:
    name, found, limit, used = (cell.ljust(w) for cell, w in zip(cells, widths, strict=True))
    return f"{status.ljust(INDENT - 2)}  {name}  {found}  {limit}  {used.strip().rjust(widths[3])}"


def _count(findings: Sequence[Finding]) -> str:
    """How many of each status, the worst first."""
    words = {FAIL: "{} fail", WARN: "{} to look at", PASS: "{} pass"}
    numbers = {s: sum(f.status == s for f in findings) for s in reversed(STATUSES)}
    return "Checks: " + ", ".join(words[s].format(n) for s, n in numbers.items() if n)


def _cut(line: str, columns: int) -> str:
    line = line.rstrip()
    return line if len(line) <= columns else line[: columns - 4].rstrip(" ,;:") + " ..."


class _Style:
    """How the words of a finding are written."""

    def __init__(self, units: str, columns: int, why: bool) -> None:
        self.units, self.columns, self.why = units, columns, why


def _block(group: Sequence[Finding], row: str, style: _Style, said: set[tuple[str, str]]) -> list[str]:
    """A row and the words below it."""
    f = group[0]
    where = _where(group, style.units)
    remedy = shown(f.remedy, style.units)
    if len({one.remedy for one in group} - {"", AS_ABOVE}) > 1:
        remedy += "\nso for the worst; --all shows what each of the others needs"
    why = _new(f.name, shown(f.source, style.units), said) if style.why else ""
    line = f"{row}  {where}"
    if f.status == PASS or ("\n" not in where and len(line) <= style.columns):
        line, where = _cut(line, style.columns), ""
    else:
        line = row.rstrip()
    return [line, *_said((where, remedy, why), style.columns)]


def _where(group: Sequence[Finding], units: str) -> str:
    """Where a group of findings lies: all of its labels, and the worst by itself."""
    worst = shown(group[0].where, units)
    if len(group) == 1:
        return worst
    labels = list(dict.fromkeys(label for f in group for label in f.labels))
    if not labels:
        return f"{len(group)} of them, the worst: {worst}" if worst else f"{len(group)} of them"
    noun = "boards" if group[0].name in BOARD_CHECKS else "places"
    return f"{len(labels)} {noun}: {name_labels(labels)}; the worst: {worst}"


def _within(blocks: list[list[str]], room: int) -> list[list[str]]:
    """Blocks in `room` lines: the least bad say less first, and what then is too much is counted."""
    blocks = list(blocks)
    for kept in (6, 4, 3, 2, 1):
        for i in reversed(range(len(blocks))):
            if sum(map(len, blocks)) <= room:
                return blocks
            blocks[i] = _shortened(blocks[i], kept)
    if len(blocks) > room:
        rest = len(blocks) - room + 1
        blocks = [*blocks[: room - 1], [f"and {rest} more checks to look at; {ALL}"]]
    return blocks


def _shortened(block: list[str], most: int) -> list[str]:
    if len(block) <= most:
        return block
    kept = block[:most]
    if most > 1:
        kept[-1] = kept[-1][: LEAST_WIDTH - 4].rstrip(" ,;:") + " ..."
    return kept


def _new(name: str, source: str, said: set[tuple[str, str]]) -> str:
    """The sentences of a finding's reckoning that were not said of another of its name."""
    sentences = [one for one in source.split(". ") if (name, one) not in said]
    said.update((name, one) for one in sentences)
    return ". ".join(sentences)


def _said(texts: tuple[str, str, str], columns: int) -> Iterator[str]:
    """Place, remedies and reasons of a finding, each from a column of its own."""
    at = INDENT + max(map(len, LABELS)) + 2
    for label, text in zip(LABELS, texts, strict=True):
        for i, one in enumerate(text.splitlines()):
            # each remedy begins anew; what runs on is set in further
            first = " " * INDENT + (label if i == 0 else "").ljust(at - INDENT)
            more = " " * (at + (2 if label == "remedy" else 0))
            yield from textwrap.wrap(one, columns, initial_indent=first, subsequent_indent=more)


def carried_lines(strength: Mapping[str, Any], width: int | None = None, *, whole: bool = False) -> list[str]:
    """What was taken to lie on which boards, and what the piece was held to.

    Args:
        strength: that part of a report.
        width, whole: as in `findings_table`; at most `MOST_CARRIED` lines unless whole.
    """
    loads = loads_said(strength)
    if not loads:
        return []
    demands = strength["demands"]
    columns = width or terminal_width()
    held = f"Held to: sag in the long run at most {demands['sag_limit']}, {demands['climate_words']}."
    lines = textwrap.wrap(f"Carries: {loads}. {held}", columns, subsequent_indent="  ")
    if whole or len(lines) <= MOST_CARRIED:
        return lines
    last = textwrap.wrap(held, columns, subsequent_indent="  ")
    kept = textwrap.wrap(f"Carries: {loads}", columns - 22, subsequent_indent="  ")
    kept = kept[: MOST_CARRIED - len(last)]
    return [*kept[:-1], f"{kept[-1].rstrip(' ,;:')} ... --all shows them", *last]
