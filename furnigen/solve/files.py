"""The files of an answer, by name."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite
from typing import Any

from furnigen.formats.cells import PLAIN, ListStyle, csv_bytes
from furnigen.formats.report import json_bytes
from furnigen.paper.svg import svg_bytes
from furnigen.solve.answer_json import answer_json
from furnigen.solve.chart import BEST, FAILS, HOLDS, Chart, Dot, chart_page
from furnigen.solve.facts import Facts
from furnigen.solve.params_file import params_toml
from furnigen.solve.run import Solved
from furnigen.solve.setup import SAG, STRENGTH

SOLVE_FILES = ("answer.json", "candidates.csv", "chart.svg", "params.toml")


def solve_files(solved: Solved, style: ListStyle = PLAIN) -> dict[str, bytes]:
    """Answer, table, chart, and the file of parameters: one for each point of a trade-off."""
    files = {
        "answer.json": json_bytes(answer_json(solved)),
        "candidates.csv": csv_bytes(_table(solved), style),
    }
    chart = chart_of(solved)
    if len(chart.dots) > 1:
        files["chart.svg"] = svg_bytes(chart_page(chart))
    asked, note = solved.space.asked, f"found by furnigen solve {solved.space.asked.path.name}"
    numbers = chosen(solved)
    for place, number in enumerate(numbers, 1):
        candidate = solved.space.grid.candidate(number)
        assert candidate is not None
        name = "params.toml" if solved.curve is None else f"points/{place:02}.toml"
        files[name] = params_toml(asked, candidate, note)
    return files


def chosen(solved: Solved) -> list[int]:
    """The candidates of the answer: the best, or the points of a trade-off."""
    if solved.curve is not None:
        return [p.number for p in solved.curve.points]
    assert solved.answer is not None
    return solved.answer.found.best[:1]


def chart_of(solved: Solved) -> Chart:
    """The candidates that were checked: goal against the share of a limit they use, or goal against goal."""
    asked, best = solved.space.asked, set(chosen(solved))
    first = asked.goals[0]
    dots = []
    for facts in solved.known.all:
        x = first.score(facts)
        if x is None:  # it failed before its layout: what it costs at least
            x = first.floor(facts)
        if not isfinite(x) or facts.refusal:
            continue
        y: float | None
        if len(asked.goals) == 2:
            score = asked.goals[1].score(facts)
            y = None if score is None else asked.goals[1].value(score)
        else:
            y = _used(facts)
        if y is None:
            continue
        done = solved.space.demands.next_stage(facts) is None
        fails = solved.space.demands.broken(facts) is not None
        if not done and not fails:
            continue
        kind = BEST if facts.number in best else FAILS if fails else HOLDS
        dots.append(Dot(first.value(x), y, kind))
    up = asked.goals[1].name if len(asked.goals) == 2 else "largest share of a limit used"
    return Chart(asked.family.title, _with_unit(first.name, solved), up, tuple(dots), len(asked.goals) == 2)


def _with_unit(name: str, solved: Solved) -> str:
    terms = solved.space.asked.goals[0].terms
    unit = terms[0][0].unit if len(terms) == 1 else ""
    return f"{name} ({unit})" if unit else name


def _used(facts: Facts) -> float | None:
    shares = [c["used"] for s in (STRENGTH, SAG) for c in facts.checks.get(s, ()) if c["used"] is not None]
    return min(max(shares), 3.0) if shares else None


def _table(solved: Solved) -> Iterator[list[Any]]:
    """One row for each candidate that was tried, the best first, then by what they come to."""
    space = solved.space
    names = list(space.asked.family.varied)
    measures = [m.name for m in space.asked.measures]
    yield ["candidate", "status", *names, *measures, "largest share of a limit", "why it fails"]
    rows = []
    for facts in solved.known.all:
        if not facts.fails and not facts.refusal:
            continue
        broken = space.demands.broken(facts)
        done = space.demands.next_stage(facts) is None
        status = "fails" if broken is not None else "holds" if done else "not checked to the end"
        score = space.asked.goals[0].score(facts)
        varied = space.grid.varied(facts.number)
        values = [varied.get(n, "") for n in names]
        cells = [" ".join(map(str, v)) if isinstance(v, list | tuple) else v for v in values]
        why = broken.why(facts, space.asked.family.units) if broken is not None else ""
        numbers = [facts.exact.get(m, "") for m in measures]
        key = (broken is not None, not done, score if score is not None else float("inf"), facts.number)
        rows.append((key, [facts.number, status, *cells, *numbers, _or_blank(_used(facts)), why]))
    for _, row in sorted(rows, key=lambda r: r[0]):
        yield row


def _or_blank(value: float | None) -> float | str:
    return "" if value is None else value
