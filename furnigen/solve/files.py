"""The files of an answer, by name."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite
from typing import Any

from furnigen.core.quantities import as_typed
from furnigen.formats.cells import PLAIN, ListStyle, csv_bytes
from furnigen.formats.report import json_bytes
from furnigen.paper.svg import svg_bytes
from furnigen.solve.answer_json import answer_json
from furnigen.solve.chart import BEST, FAILS, HOLDS, Chart, Dot, chart_page
from furnigen.solve.demands import Goal
from furnigen.solve.facts import Facts
from furnigen.solve.params_file import params_toml
from furnigen.solve.run import Solved

MOST_SHOWN = 300.0
"""Per cent of a limit: what is beyond it is drawn there."""
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
    asked, note = solved.space.asked, f"found by furnigen solve {as_typed(solved.space.asked.path.name)}"
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
            used = _used(facts)
            y = None if used is None else min(100 * used, MOST_SHOWN)
        if y is None:
            continue
        done = solved.space.demands.next_stage(facts) is None
        fails = solved.space.demands.broken(facts) is not None
        if not done and not fails:
            continue
        kind = BEST if facts.number in best else FAILS if fails else HOLDS
        dots.append(Dot(first.value(x), y, kind))
    title, across = asked.family.title, _with_unit(first)
    if len(asked.goals) == 2:
        return Chart(title, across, _with_unit(asked.goals[1]), tuple(dots), line=True)
    return Chart(title, across, "largest share of a limit used (%)", tuple(dots), limit=100.0)


def _with_unit(goal: Goal) -> str:
    alone = len(goal.terms) == 1 and goal.terms[0][1] == 1
    unit = goal.terms[0][0].unit if alone else ""
    return f"{goal.name} ({unit})" if unit else goal.name


def _used(facts: Facts) -> float | None:
    """The largest share of a limit; what only warns beyond its limit keeps no candidate from holding."""
    most = facts.most_used(warnings=False)
    return None if most is None else most["used"]


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
