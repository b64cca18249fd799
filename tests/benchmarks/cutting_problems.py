"""The cutting benchmark's problems, read from tests/benchmarks/data (its README names the sources)."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from math import ceil
from pathlib import Path

from furnigen.cutting.problem import (
    Bar,
    BarProblem,
    FirstCut,
    Item,
    Piece,
    Rules,
    Sheet,
    SheetProblem,
    Trims,
    um,
)

DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@dataclass(frozen=True)
class Published:
    """A problem, its name and class, and what is known of it: a lower bound and the best value."""

    name: str
    group: str
    problem: SheetProblem
    bound: int
    best: int
    values: tuple[int, ...] = ()


def sheets_500(turnable: bool) -> Iterator[Published]:
    for r in rows("cutting_sheets_500.csv"):
        v = "R" if turnable else "O"
        items = tuple(
            Item(str(k), *map(int, t.split("x")), turnable=turnable)
            for k, t in enumerate(r["items"].split(";"))
        )
        problem = SheetProblem((Sheet("bin", int(r["W"]), int(r["H"]), price=1),), items)
        yield Published(r["name"], r["cls"], problem, int(r[f"lb_{v}G_computed"]), int(r[f"ub_{v}G"]))


def published_totals(turnable: bool) -> dict[str, int]:
    """The best published total of each class."""
    totals: dict[str, int] = {}
    for r in rows("cutting_published_totals.csv"):
        if r["variant"] == f"2BP|{'R' if turnable else 'O'}|G":
            totals[r["cls"]] = totals.get(r["cls"], 0) + int(r["best_total_of_10"])
    return totals


def _sheets(text: str, copies: int | None) -> tuple[Sheet, ...]:
    found = []
    for k, entry in enumerate(text.split(";")):
        size, _, cost = entry.partition("@")
        w, h = map(int, size.split("x")[:2])
        found.append(Sheet(f"sheet {k + 1}", w, h, price=int(cost or 1), copies=copies))
    return tuple(found)


def several_sizes() -> Iterator[Published]:
    """The 24 sets with three sheet sizes and costs, two stages with trimming, the first along the sheet."""
    for r in rows("cutting_published_175.csv"):
        if r["objective"] != "vsbp":
            continue
        items = tuple(
            Item(str(k), *map(int, t.split("x")), turnable=r["rotation"] == "R")
            for k, t in enumerate(r["items"].split(";"))
        )
        problem = SheetProblem(_sheets(r["bins"], None), items, Rules(stages=2, first_cut=FirstCut.RIP))
        name = f"{Path(r['path']).stem} {r['rotation']}"
        yield Published(
            name, r["rotation"], problem, *(ceil(float(r[k])) for k in ("bound_published", "best_published"))
        )


def single_sheets() -> Iterator[Published]:
    """The 151 single-sheet problems with proven optima; `values` are those of the items."""
    for r in rows("cutting_published_175.csv"):
        if r["objective"] != "kp":
            continue
        items, values = [], []
        for k, entry in enumerate(r["items"].split(";")):
            size, _, value = entry.partition("@")
            w, h, number = map(int, size.split("x"))
            items.append(Item(str(k), w, h, number))
            values.append(int(value or w * h))
        cuts = r["cuts"]
        first = (
            FirstCut.RIP
            if "Horizontal" in cuts
            else FirstCut.CROSSCUT
            if "Vertical" in cuts
            else FirstCut.EITHER
        )
        rules = Rules(stages=int(cuts[0]), equal_last="homogeneous" in cuts, first_cut=first)
        problem = SheetProblem(_sheets(r["bins"], 1), tuple(items), rules)
        best = int(r["best_published"])
        yield Published(f"{r['path']} {cuts}", cuts, problem, best, best, tuple(values))


def bars() -> Iterator[tuple[str, BarProblem, int | None]]:
    """The one-dimensional instances with their proven optimum, None if not known."""
    for r in rows("cutting_bars.csv"):
        pieces = tuple(Piece(str(k), *map(int, t.split("x"))) for k, t in enumerate(r["items"].split(";")))
        optimum = int(r["optimum"]) if r["optimum"] else None
        yield r["name"], BarProblem((Bar("bar", int(r["capacity"]), price=1),), pieces), optimum


def _parts(entries: list[dict[str, str]]) -> tuple[Item, ...]:
    return tuple(
        Item(
            r["part"],
            um(float(r["length_mm"])),
            um(float(r["width_mm"])),
            int(r["quantity"]),
            r["turnable"] == "1",
        )
        for r in entries
    )


def workshop() -> Iterator[Published]:
    """The ten invented workshop jobs."""
    for job, group in groupby(rows("cutting_workshop.csv"), key=lambda r: r["job"]):
        entries = list(group)
        first = entries[0]
        t = um(float(first["trim_mm"]))
        sheet = Sheet(
            "sheet",
            um(float(first["sheet_length_mm"])),
            um(float(first["sheet_width_mm"])),
            price=100,
            trims=Trims(t, t, t, t),
        )
        rules = Rules(kerf_um=um(float(first["kerf_mm"])))
        problem = SheetProblem((sheet,), _parts(entries), rules)
        yield Published(job, "workshop", problem, int(first["bound"]), int(first["best_found"]))


def thousand() -> SheetProblem:
    """1,000 parts in 40 sizes."""
    t = um(10)
    sheet = Sheet("full", um(2800), um(2070), price=9000, trims=Trims(t, t, t, t))
    return SheetProblem((sheet,), _parts(rows("cutting_thousand.csv")), Rules(kerf_um=um(4)))
