"""The cutting benchmark's problems, read from tests/benchmarks/data (its README names the sources)."""

from __future__ import annotations

import csv
import random
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


TUNED = frozenset(r["name"] for r in rows("cutting_tuned_on.csv"))
"""Those of the 500 that the constants of the search were chosen by: the hardest at that time."""

BINS = {1: 10, 2: 30, 3: 40, 4: 100, 5: 100, 6: 300}
LONGEST = {1: 10, 2: 10, 3: 35, 4: 35, 5: 100, 6: 100}
"""Side of the square bin and longest side of an item in Berkey and Wang's classes (Journal of the Operational
Research Society 38, 1987), as the 500 have them."""


def fresh_sheets(turnable: bool, seed: int) -> Iterator[Published]:
    """Instances drawn like those of the 500, one for each class and number of items; not published.

    Classes 7 to 10 after Martello and Vigo (Management Science 44, 1998), from memory: of four types of item,
    wide, high, large and small, one makes 70 % and the others 10 % each.
    """
    draw = random.Random(seed)
    for group in range(1, 11):
        for count in (20, 40, 60, 80, 100):
            side = BINS.get(group, 100)
            sizes = [_fresh_size(group, draw) for _ in range(count)]
            items = tuple(Item(str(k), w, h, turnable=turnable) for k, (w, h) in enumerate(sizes))
            problem = SheetProblem((Sheet("bin", side, side, price=1),), items)
            yield Published(f"fresh {group} {count} {seed}", str(group), problem, 0, 0)


def _fresh_size(group: int, draw: random.Random) -> tuple[int, int]:
    if group in LONGEST:
        return draw.randint(1, LONGEST[group]), draw.randint(1, LONGEST[group])
    shares = [7 if group == usual else 1 for usual in (7, 8, 9, 10)]
    wide, high = [((67, 100), (1, 50)), ((1, 50), (67, 100)), ((50, 100), (50, 100)), ((1, 50), (1, 50))][
        draw.choices(range(4), shares)[0]
    ]
    return draw.randint(*wide), draw.randint(*high)


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
