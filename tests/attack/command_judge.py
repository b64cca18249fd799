"""Whether a command kept its word: one message, the right exit status, nothing lost or damaged passed."""

from __future__ import annotations

import csv
import hashlib
import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cases import Case

from furnigen import find_recipe
from furnigen.catalogue.stock import find_stock
from furnigen.recipes.parameters import Parameter

NEAR = 2e-6
"""Reports round to a millionth of a millimetre."""
LONGEST_MESSAGE = 1500
WHOLE = ("interference", "floating-parts", "solid", "below-floor")
"""Findings that no piece of a built-in recipe may fail, whatever is asked of it."""


@dataclass(frozen=True)
class Ended:
    """How a command ended, and what it said."""

    status: int
    out: str
    err: str


Seen = dict[str, str]
"""All that lies in a folder, by path: the hash of a file, "folder" for a folder."""


def seen(folder: Path) -> Seen:
    """What lies in a folder now."""
    return {
        str(p.relative_to(folder)): "folder" if p.is_dir() else hashlib.sha256(p.read_bytes()).hexdigest()
        for p in folder.rglob("*")
    }


def faults(case: Case, ended: Ended, before: Seen, folder: Path) -> list[str]:
    """What must not be, a line each."""
    return list(_faults(case, ended, before, folder))


def _faults(case: Case, ended: Ended, before: Seen, folder: Path) -> Iterator[str]:
    if ended.status not in (0, 1, 2):
        yield f"exit status {ended.status}"
    if case.bad and ended.status != 2:
        yield f"exit status {ended.status} for what must be refused: {ended.out[:200]}"
    if "Traceback" in ended.err + ended.out:
        yield "a traceback"
    lines = ended.err.splitlines()
    if not all(line.startswith("furnigen: ") for line in lines):
        yield f"said aside: {ended.err[:300]!r}"
    after = seen(folder)
    if ended.status == 2:
        if len(lines) != 1 or len(ended.err) > LONGEST_MESSAGE:
            yield f"not one message: {ended.err[:300]!r}, {len(ended.err)} signs"
        if ended.out:
            yield f"said beside its message: {ended.out[:200]!r}"
        changed = [n for n in before.keys() | after.keys() if before.get(n) != after.get(n)]
        yield from (f"changed though refused: {name}" for name in sorted(changed) if not _of_state(name))
        return
    yield from _lost(before, after)
    yield from _results(folder, before, after)
    if "--json" in case.words and case.words[0] in ("make", "check", "mockup", "family"):
        yield from _answer(case, ended)


def _of_state(name: str) -> bool:
    return bool(re.search(r"(^|/)\.family(/|$)", name))


def _lost(before: Seen, after: Seen) -> Iterator[str]:
    """A person's files: each is where it was, or beside it where the name is furnigen's."""
    kept = set(after.values())
    for name, what in before.items():
        person = not name.startswith("here/result/") or name.endswith((".txt", "cutlist.csv", "photos"))
        if person and "/width=" not in name and (after.get(name) != what and what not in kept):
            yield f"lost: {name}"


def _results(folder: Path, before: Seen, after: Seen) -> Iterator[str]:
    """Each fresh result is whole: what its manifest says is there."""
    for name in after:
        if name.endswith("/.furnigen.json") and before.get(name) != after[name]:
            written = strict((folder / name).read_text())["files"]
            for one, digest in written.items() if isinstance(written, dict) else ():
                path = (folder / name).parent / one
                if not path.is_file() or hashlib.sha256(path.read_bytes()).hexdigest() != digest:
                    yield f"half written: {path.name}"
                yield from _whole(path)
    for name in after.keys() - before.keys():
        if re.search(r"\.furnigen|\.new|\.old", Path(name).name) and not name.endswith("/.furnigen.json"):
            yield f"left behind: {name}"


def _whole(path: Path) -> Iterator[str]:
    """A file begins and ends as its kind does."""
    data = path.read_bytes() if path.is_file() else b""
    begins, ends = {
        ".step": (b"ISO-10303-21;", b"END-ISO-10303-21;\n"), ".glb": (b"glTF", b""), ".3mf": (b"PK", b""),
        ".json": (b"{", b"}\n"), ".csv": (b"", b"\n"), ".png": (b"\x89PNG", b""),
    }.get(path.suffix, (b"", b""))  # fmt: skip
    if not data or not data.startswith(begins) or not data.endswith(ends):
        yield f"not whole: {path.name}"
    if path.suffix == ".csv":
        rows = list(csv.reader(data.decode("utf-8-sig").splitlines()))
        if any(cell[:1] in ("=", "+", "@", "\t", "\r") for row in rows for cell in row):
            yield f"a formula in {path.name}"


def strict(text: str) -> Any:
    """JSON as the standard has it: no NaN, no infinity."""

    def refuse(word: str) -> None:
        raise ValueError(f"{word} is no JSON")

    return json.loads(text, parse_constant=refuse)


def _answer(case: Case, ended: Ended) -> Iterator[str]:
    """The machine-readable result: it is one, and its findings agree with the exit status."""
    if {"-h", "--help"} & set(case.words):
        return  # help was asked for and given
    try:
        if case.words[0] == "family":
            rows = [strict(line) for line in ended.out.splitlines()]
            yield from _family(rows, ended.status)
            return
        report = strict(ended.out)
    except ValueError as error:
        yield f"no JSON: {error}: {ended.out[:100]!r}"
        return
    if {"--basis", "--uses", "--sag-limits"} & set(case.words):
        return  # a list without findings was asked for and given
    checks = report.get("checks", report) if isinstance(report, dict) else report
    failed = [c["name"] for c in checks if c["status"] == "fail"]
    if bool(failed) != (ended.status == 1):
        yield f"exit status {ended.status} with {failed}"
    if case.recipe and case.words[0] in ("make", "check"):
        yield from (f"a piece that is none: {name} fails" for name in failed if name in WHOLE)
        yield from _piece(case, report)


def _family(rows: list[Mapping[str, Any]], status: int) -> Iterator[str]:
    summary = rows[-1]
    good = all(s in ("pass", "warn") for s in summary["statuses"])
    if good != (status == 0):
        yield f"exit status {status} with {summary['statuses']}"
    if sum(summary["statuses"].values()) + sum(summary["skipped"].values()) != summary["variants"]:
        yield f"variants do not add up: {summary}"
    for row in rows[:-1]:
        if (
            "Traceback" in row["reason"]
            or "Error(" in row["reason"]
            or row["status"] in ("crashed", "stopped")
        ):
            yield f"{row['status']}: {row['reason'][:200]}"


def _piece(case: Case, report: Mapping[str, Any]) -> Iterator[str]:
    given = report["params"]
    for one in find_recipe(case.recipe).parameters:
        if not _allowed(one, given[one.name]):
            yield f"{one.name} = {given[one.name]} is out of its range"
    for name, value in case.values.items():
        if not _same(given[name], value):
            yield f"{name} is {given[name]}, not {value}"
    if not report["mass_kg"] > 0 or not report["placements"]:
        yield "an empty piece"
    low, high = (report["bounds_mm"][k] for k in ("min", "max"))
    if not all(a < b for a, b in zip(low, high, strict=True)):
        yield f"no size: {low} to {high}"
    yield from (f"{p['name']} has no volume" for p in report["parts"] if not p["volume_mm3"] > 0)


def _allowed(one: Parameter, value: Any) -> bool:
    if one.kind in ("length", "angle", "count"):
        return bool(one.low - NEAR <= value <= one.high + NEAR)
    if one.kind == "counts":
        return 1 <= len(value) <= one.most and all(one.low <= v <= one.high for v in value)
    if one.kind == "choice":
        return value in one.options
    return not one.options or find_stock(value).kind in one.options


def _same(found: Any, value: Any) -> bool:
    if isinstance(value, int | float) and not isinstance(value, bool):
        return bool(abs(found - value) <= NEAR)
    return bool(found == value)


def wrong(rows: Iterable[Mapping[str, Any]]) -> list[str]:
    """What of the results of `command_run` must not be, a line each."""
    found = []
    for row in rows:
        told = f"{row['number']} {row['command']}: {row['what']}"
        if row["ended"] in ("time", "crash", "raised"):
            found.append(f"{row['ended']} {row['message']}: {told}")
        found += [f"{fault}: {told}" for fault in row.get("faults", ())]
    return found
