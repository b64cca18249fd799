"""The answer as plain data: what `--json` prints, and answer.json holds."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Any

from furnigen import __version__
from furnigen.family.family_file import Family
from furnigen.formats.report import SAFETY_NOTE
from furnigen.solve.answer import Answer, Binding, Relaxed, binding_of
from furnigen.solve.best_first import Found
from furnigen.solve.demands import Demand, Goal
from furnigen.solve.run import Solved
from furnigen.solve.setup import FIT

Json = dict[str, Any]


def answer_json(solved: Solved) -> Json:
    """All of it; lengths in mm, shares as numbers."""
    space = solved.space
    head: Json = {
        "furnigen": __version__,
        "title": space.asked.family.title,
        "recipe": space.asked.family.recipe.name,
        "goal": [goal_json(g) for g in space.asked.goals],
        "grid": {
            "candidates": space.size,
            "searched_whole": space.whole,
            "axes": {", ".join(a.names): len(a) for a in space.asked.family.axes},
        },
    }
    body = _curve(solved) if solved.curve is not None and solved.curve.points else _single(solved)
    tail: Json = {
        "tried": solved.worked_out[FIT],
        "worked_out": {s: solved.worked_out[s] for s in space.demands.stages},
        "stopped": solved.stopped or None,
        "safety": SAFETY_NOTE,
    }
    return {**body, **tail, **head}


def goal_json(goal: Goal) -> Json:
    """A goal: which way, of what."""
    units = {m.name: m.unit for m, _ in goal.terms}
    return {
        "sense": "maximise" if goal.largest else "minimise",
        "of": {m.name: weight for m, weight in goal.terms},
        "units": units,
    }


def params_of(solved: Solved, number: int) -> Json:
    """The parameters of a candidate that the file sets, as plain values."""
    candidate = solved.space.grid.candidate(number)
    assert candidate is not None
    return {n: list(v) if isinstance(v, tuple) else v for n, v in candidate.values.items()}


def _bound(goal: Goal, found: Found) -> float | None:
    return goal.value(found.floor) if abs(found.floor) < inf else None


def _single(solved: Solved) -> Json:
    answer = solved.answer
    assert answer is not None
    goal, found = answer.goal, answer.found
    there = found.score is not None
    out: Json = {
        "proven": found.proven and there,
        "value": goal.value(found.score) if found.score is not None else None,
        "bound": _bound(goal, found),
        "params": params_of(solved, found.best[0]) if there else None,
        "binding": _binding(answer.binding),
        "gap": gap_of(goal, found),
        "doubts": list(found.doubts),
        "set_aside": {"candidates": found.set_aside, "tried_after_all": found.audited, "pairs": found.pairs},
        "ties": [params_of(solved, n) for n in found.best[1:]],
        "next_best": _next(solved, answer),
        "nearest_that_fails": _failing(solved, answer.failing),
        "relaxing": [_relaxed(solved, answer, r) for r in answer.relaxed],
    }
    if not there:
        out |= _nothing(solved, answer)
    return out


def gap_of(goal: Goal, found: Found) -> float | None:
    """By what share of the bound the value may miss the best there is; None where no bound is known."""
    if found.score is None or abs(found.floor) == inf:
        return None
    if found.score == found.floor:
        return 0.0
    return abs(found.score - found.floor) / abs(found.floor) if found.floor else None


def _binding(some: Sequence[Binding]) -> list[Json]:
    return [{"what": b.what, "used": b.used} for b in some]


def _next(solved: Solved, answer: Answer) -> Json | None:
    following = answer.found.following
    if following is None:
        return None
    score, number = following
    return {
        "value": answer.goal.value(score),
        "params": params_of(solved, number),
        "sure": answer.found.sure_of_next,
    }


def _failing(solved: Solved, failing: tuple[int, Demand] | None) -> Json | None:
    if failing is None:
        return None
    number, demand = failing
    facts = solved.known.facts(number)
    goal = solved.space.asked.goals[0]
    score = goal.score(facts)
    return {
        "value": None if score is None else goal.value(score),
        "params": params_of(solved, number),
        "fails": demand.name,
        "why": demand.why(facts, family_of(solved).units),
    }


def family_of(solved: Solved) -> Family:
    """The family that was searched."""
    return solved.space.asked.family


def _relaxed(solved: Solved, answer: Answer, relaxed: Relaxed) -> Json:
    goal, found = answer.goal, answer.found
    saves = None
    if relaxed.score is not None and found.score is not None:
        saves = abs(round(found.score - relaxed.score, 6))
    return {
        "limit": relaxed.hold.name,
        "from": _limit(relaxed.hold.most, relaxed.hold.least),
        "to": _limit(relaxed.to.most, relaxed.to.least),
        "value": None if relaxed.score is None else goal.value(relaxed.score),
        "saves": saves,
        "params": None if relaxed.number is None else params_of(solved, relaxed.number),
    }


def _limit(most: float | None, least: float | None) -> Json:
    return {k: v for k, v in (("at_most", most), ("at_least", least)) if v is not None}


def _nothing(solved: Solved, answer: Answer) -> Json:
    conflict = answer.conflict
    return {
        "conflict": None
        if conflict is None
        else {"limits": [d.name for d in conflict.demands], "smallest": conflict.smallest},
        "would_hold": [
            {
                "limit": w.hold.name,
                "asked": _limit(w.hold.most, w.hold.least),
                "needed": w.value,
                "proven": w.proven,
                "params": params_of(solved, w.number),
            }
            for w in answer.would
        ],
        "nearest": _failing(solved, answer.nearest),
    }


def _curve(solved: Solved) -> Json:
    curve = solved.curve
    assert curve is not None
    first, second = solved.space.asked.goals
    points = [
        {
            "values": [first.value(p.scores[0]), second.value(p.scores[1])],
            "params": params_of(solved, p.number),
            "proven": p.found.proven,
            "bound": _bound(first, p.found),
            "binding": _binding(binding_of(solved.known.facts(p.number), solved.space.demands, solved.known)),
        }
        for p in curve.points
    ]
    return {
        "proven": curve.proven,
        "value": [p["values"] for p in points],
        "bound": [p["bound"] for p in points],
        "params": [p["params"] for p in points],
        "binding": [p["binding"] for p in points],
        "whole_curve": curve.whole,
        "points": points,
    }
