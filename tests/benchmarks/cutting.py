"""Prints the table of the cutting benchmark: python tests/benchmarks/cutting.py [--level N] [--every N]
[PART ...].

Parts: oriented, rotatable, fresh, single, sizes, bars, workshop, thousand; all without any. `--level 10`
searches ten times as long; `--every 10` takes each tenth problem. Seconds are of one core. Every layout is
checked by the independent check. Returns 1 when a yardstick of the whole set is missed.
"""

from __future__ import annotations

import argparse
import resource
import sys
from collections import defaultdict
from itertools import islice
from pathlib import Path
from time import process_time

sys.path.insert(0, str(Path(__file__).parent))

import cutting_problems as problems

from furnigen.cutting.bars import cut_bars
from furnigen.cutting.effort import Effort
from furnigen.cutting.proof import check_bars, check_sheets
from furnigen.cutting.solve import cut_sheets, most_valuable

GOALS = {(False, 1): 7255, (True, 1): 7005, (False, 10): 7245, (True, 10): 6998}
LEAST_BOUNDS = {(False, 1): 7138, (True, 1): 6886, (False, 10): 7160, (True, 10): 6945}


def line(group: str, sums: list[float], published: str) -> str:
    """One line of the table."""
    *counts, spent = sums
    return f"{group:>5} {' '.join(f'{c:>6.0f}' for c in counts)} {published:>9} {spent:>7.1f}"


def sheets_500(turnable: bool, level: float, every: int) -> bool:
    """By class: bins, our bound, the best published total, the bound known, seconds."""
    table: dict[str, list[float]] = defaultdict(lambda: [0.0] * 6)
    untuned = [0, 0, 0, 0]
    faults = 0
    slowest = 0.0
    for p in islice(problems.sheets_500(turnable), 0, None, every):
        start = process_time()
        s = cut_sheets(p.problem, Effort(level=level))
        spent = process_time() - start
        slowest = max(slowest, spent)
        faults += len(check_sheets(p.problem, s))
        for k, value in enumerate((s.sheets, s.sheets_bound, p.best, p.bound, s.proven, spent)):
            table[p.group][k] += value
        if p.name not in problems.TUNED:
            for k, count in enumerate((1, s.sheets, s.sheets_bound, p.best)):
                untuned[k] += count
    totals = problems.published_totals(turnable)
    print(f"{'rotatable' if turnable else 'oriented'}: two-dimensional, guillotine, level {level:g}")
    print("class   bins  bound   best  known proven published       s")
    for group in sorted(table, key=int):
        published = str(totals[group]) if every == 1 else "-"
        print(line(group, table[group], published))
    whole = [sum(column) for column in zip(*table.values(), strict=True)]
    bins, bound = whole[:2]
    print(line("all", whole, str(sum(totals.values()))), f"slowest {slowest:.2f} s, faults {faults}")
    count, theirs, least, known = untuned
    print(
        f"the {count} the search was not tuned on: {theirs} bins, bound {least}, best known of each {known}"
    )
    if every > 1:
        return faults == 0
    goal, least = GOALS.get((turnable, level)), LEAST_BOUNDS.get((turnable, level))
    return faults == 0 and (goal is None or bins <= goal) and (least is None or bound >= least)


def fresh(level: float, every: int) -> bool:
    """Instances drawn anew like the 500: how far from our bound, beside the same figure of the 500."""
    good = True
    print("drawn anew, not published        bins  bound  over  proven  slowest s")
    for turnable in (False, True):
        bins = bound = proven = 0
        slowest = 0.0
        for seed in (1, 2):
            for p in islice(problems.fresh_sheets(turnable, seed), 0, None, every):
                start = process_time()
                s = cut_sheets(p.problem, Effort(level=level))
                slowest = max(slowest, process_time() - start)
                good = good and not check_sheets(p.problem, s)
                bins, bound, proven = bins + s.sheets, bound + s.sheets_bound, proven + s.proven
        name = "rotatable" if turnable else "oriented"
        print(f"{name:<30} {bins:>6} {bound:>6} {bins / bound - 1:>6.2%} {proven:>6} {slowest:>8.2f}")
    return good


def single(level: float, every: int) -> bool:
    """One sheet, proven optima."""
    count = matched = within = above = 0
    worst = slowest = 0.0
    for p in islice(problems.single_sheets(), 0, None, every):
        start = process_time()
        _, value = most_valuable(p.problem, p.values)
        slowest = max(slowest, process_time() - start)
        count += 1
        matched += value == p.best
        within += value >= 0.99 * p.best
        above += value > p.best
        worst = max(worst, 1 - value / p.best)
    print(
        f"single sheets: {matched} of {count} optima matched, {within} within 1 %, {above} above, "
        f"worst {worst:.2%}, slowest {slowest:.2f} s"
    )
    return within == count and 3 * matched >= 2 * count and not above


def sizes(level: float, every: int) -> bool:
    """Several sheet sizes with costs."""
    good = True
    print("three sheet sizes        cost      bound  published      bound    over      s")
    for p in islice(problems.several_sizes(), 0, None, every):
        start = process_time()
        s = cut_sheets(p.problem, Effort(level=level))
        spent = process_time() - start
        over = s.cost / p.best - 1
        good = good and over <= 0.02 and not check_sheets(p.problem, s)
        costs = " ".join(f"{c:>10}" for c in (s.cost, s.cost_bound, p.best, p.bound))
        print(f"{p.name:<18} {costs} {over:>7.2%} {spent:>6.2f}")
    return good


def bars(level: float, every: int) -> bool:
    """One dimension."""
    known = solved = faults = 0
    for name, problem, optimum in islice(problems.bars(), 0, None, every):
        start = process_time()
        s = cut_bars(problem, Effort(level=level))
        spent = process_time() - start
        faults += len(check_bars(problem, s))
        if optimum is None:
            continue
        known += 1
        good = s.proven and s.bars == optimum
        solved += good and spent <= 1.0
        if not good or spent > 1.0:
            print(f"  {name}: {s.bars}, at least {s.bars_bound}, optimum {optimum}, {spent:.2f} s")
    print(f"bars: {solved} of {known} solved with proof within 1 s, faults {faults}")
    return not faults and (every > 1 or solved >= 50)


def workshop(level: float, every: int) -> bool:
    """Ten workshop jobs."""
    good = True
    for p in islice(problems.workshop(), 0, None, every):
        start = process_time()
        s = cut_sheets(p.problem, Effort(level=level))
        spent = process_time() - start
        faults = check_sheets(p.problem, s)
        good = good and not faults and s.sheets <= s.sheets_bound + 1
        said = "proven" if s.proven else f"at least {s.sheets_bound}"
        print(f"{p.name}: {s.sheets} sheets, {said}; known {p.bound} to {p.best}; {spent:.2f} s")
    return good


def thousand(level: float, every: int) -> bool:
    """1,000 parts in 40 sizes."""
    problem = problems.thousand()
    start = process_time()
    s = cut_sheets(problem, Effort(level=level))
    spent = process_time() - start
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    faults = check_sheets(problem, s)
    print(
        f"1,000 parts: {s.sheets} sheets, at least {s.sheets_bound} ({s.sheets / s.sheets_bound - 1:.1%}), "
        f"{len(s.layouts)} different, {spent:.2f} s, peak memory {peak:.0f} MiB, faults {len(faults)}"
    )
    return not faults and s.sheets <= 1.02 * s.sheets_bound


PARTS = {
    "oriented": lambda level, every: sheets_500(False, level, every),
    "rotatable": lambda level, every: sheets_500(True, level, every),
    "fresh": fresh,
    "single": single,
    "sizes": sizes,
    "bars": bars,
    "workshop": workshop,
    "thousand": thousand,
}


def warm_up() -> None:
    """Compile the search and load the solver's library, so that neither is timed."""
    cut_sheets(next(problems.workshop()).problem, Effort(level=0.01))
    for p in islice(problems.sheets_500(True), 2, 3):
        cut_sheets(p.problem, Effort(level=0.01))
    for p in islice(problems.single_sheets(), 1):
        most_valuable(p.problem, p.values)
    for _, problem, _ in islice(problems.bars(), 1):
        cut_bars(problem)


def main() -> int:
    """Run the parts asked for; 1 when one misses its yardstick."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("parts", nargs="*", metavar="PART", help=", ".join(PARTS))
    ask.add_argument("--level", type=float, default=1.0)
    ask.add_argument("--every", type=int, default=1)
    given = ask.parse_args()
    warm_up()
    missed = []
    for name in given.parts or PARTS:
        if not PARTS[name](given.level, given.every):
            missed.append(name)
        sys.stdout.flush()
    print("all met" if not missed else f"missed: {', '.join(missed)}")
    return int(bool(missed))


if __name__ == "__main__":
    sys.exit(main())
