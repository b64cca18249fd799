"""What `furnigen solve` says in the terminal: answer, what binds, what one step more would save, chart."""

from __future__ import annotations

import textwrap
from dataclasses import replace
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING

from furnigen.cli.finding_table import terminal_width
from furnigen.cli.show import safety

if TYPE_CHECKING:
    from furnigen.family.family_file import Family
    from furnigen.solve.answer import Answer, Relaxed
    from furnigen.solve.best_first import Found
    from furnigen.solve.demands import Demand, Goal, Hold
    from furnigen.solve.run import Solved

MOST_TIES = 5
INDENT = "  "


def solve_lines(solved: Solved, folder: Path) -> list[str]:
    """All that is said before the closing lines."""
    from furnigen.solve.chart import chart_lines
    from furnigen.solve.files import chart_of

    family = solved.space.asked.family
    lines = [family.title]
    if solved.curve is not None and solved.curve.points:
        lines += _curve_lines(solved)
    elif solved.found:
        lines += _answer_lines(solved)
    else:
        lines += _nothing_lines(solved)
    lines += ["", *_wrapped(_tried(solved), "")]
    chart = chart_lines(chart_of(solved))
    lines += ["", *chart] if chart else []
    if solved.found:
        name = "params.toml" if solved.curve is None else "points/01.toml"
        lines += ["", f"furnigen make {_recipe_word(family)} --params {folder / name}"]
    return [*lines, safety()]


def _recipe_word(family: Family) -> str:
    """What to call its recipe on a command line: its name, or its file where the name leads elsewhere."""
    from furnigen.core.errors import FurnigenError
    from furnigen.recipes.discovery import find_recipe

    try:
        if find_recipe(family.recipe.name) is family.recipe:
            return family.recipe.name
    except FurnigenError:
        pass
    return str(family.recipe_file)


def _wrapped(text: str, indent: str = INDENT) -> list[str]:
    more = indent + INDENT
    return textwrap.wrap(text, terminal_width(), initial_indent=indent, subsequent_indent=more)


def verdict(goal: Goal, found: Found, size: int, *, whole: bool) -> str:
    """How sure it is, in words."""
    from furnigen.solve.answer_json import gap_of

    gap = gap_of(goal, found)
    better, side = ("most", "below") if goal.largest else ("least", "above")
    if found.proven and whole:
        return f"proven the {better} of {size:,} candidate{'s' if size > 1 else ''}"
    if found.proven:
        return f"proven the {better}: it is at the bound"
    if gap is None:
        return "best found; no bound is known"
    return f"best found, at most {gap * 100:.3g} % {side} the bound"


def _answer_lines(solved: Solved) -> list[str]:
    from furnigen.solve.demands import Hold

    answer = solved.answer
    assert answer is not None
    goal, found, space = answer.goal, answer.found, solved.space
    assert found.score is not None
    units = space.asked.family.units
    how = verdict(goal, found, space.size, whole=space.whole)
    lines = [f"{goal.words}: {goal.show(found.score, units)}, {how}"]
    lines += [line for doubt in found.doubts for line in _wrapped(doubt)]
    if found.set_aside:
        lines += _wrapped(
            f"{found.set_aside:,} candidates were set aside as weaker in every parameter than one that failed"
            f" ({found.pairs:,} pairs tested, none against it; {found.audited:,} tried after all, none held)"
        )
    lines += ["", *_table(solved, answer), ""]
    lines.append("What binds:")
    lines += [line for b in answer.binding for line in _wrapped(b.what)]
    if not space.whole and any(isinstance(d, Hold) for d in space.demands.all):
        lines.append(
            f"Limits are relaxed only where all candidates are searched: {space.asked.cap:,} at most."
        )
    if answer.relaxed:
        lines.append("One step more of a limit, searched again:")
        lines += [line for r in answer.relaxed for line in _wrapped(_relaxed(answer, r, units))]
    return lines


def _table(solved: Solved, answer: Answer) -> list[str]:
    """The best, its ties, the next best, the nearest that fails."""
    goal, found, units = answer.goal, answer.found, solved.space.asked.family.units
    assert found.score is not None
    rows = [("best", goal.show(found.score, units), _values(solved, found.best[0]), "")]
    rows += [
        ("as good", goal.show(found.score, units), _values(solved, n), "")
        for n in found.best[1 : MOST_TIES + 1]
    ]
    if len(found.best) > MOST_TIES + 1:
        rows.append((f"and {len(found.best) - MOST_TIES - 1} more", "", "in candidates.csv", ""))
    if found.following is not None:
        word = "next best" if found.sure_of_next else "next best found"
        rows.append((word, goal.show(found.following[0], units), _values(solved, found.following[1]), ""))
    if answer.failing is not None:
        number, demand = answer.failing
        facts = solved.known.facts(number)
        score, floor = goal.score(facts), goal.floor(facts)
        if score is not None:
            shown = goal.show(score, units)
        else:
            shown = f"from {goal.show(floor, units)}" if isfinite(floor) else ""
        rows.append(("nearest that fails", shown, _values(solved, number), demand.why(facts, units)))
    wide = [max(len(r[k]) for r in rows) for k in (0, 1)]
    lines = []
    for what, value, params, why in rows:
        first = f"{INDENT}{what:<{wide[0]}}  {value:>{wide[1]}}  "
        lines += textwrap.wrap(
            params or "the only candidate",
            terminal_width(),
            initial_indent=first,
            subsequent_indent=" " * len(first),
        )
        if why:
            lines += _wrapped(f"fails: {why}", " " * len(first))
    return lines


def _values(solved: Solved, number: int) -> str:
    from furnigen.solve.params_file import shown_values

    return shown_values(solved.space.asked.family, solved.space.grid.varied(number))


def _ends(relaxed: Relaxed) -> tuple[Hold, Hold]:
    """The end of a limit that was relaxed, before and after."""
    was, to = relaxed.hold, relaxed.to
    if was.most is None or was.least is None:
        return was, to
    if to.most != was.most:
        return replace(was, least=None), replace(to, least=None)
    return replace(was, most=None), replace(to, most=None)


def _relaxed(answer: Answer, relaxed: Relaxed, units: str) -> str:
    (was, to), one = _ends(relaxed), relaxed.hold.measure
    what = f"{one.name} {to.limit(units)} instead of {was.limit(units)}"
    goal, best = answer.goal, answer.found.score
    if relaxed.score is None or best is None:
        return f"{what}: not searched to the end"
    if relaxed.score >= best:
        return f"{what}: saves nothing" if not goal.largest else f"{what}: gains nothing"
    word = "gains" if goal.largest else "saves"
    by = goal.show(goal.value(0) + abs(best - relaxed.score) * (-1 if goal.largest else 1), units)
    return f"{what}: {word} {by.lstrip('-')}, {goal.show(relaxed.score, units)}"


def _nothing_lines(solved: Solved) -> list[str]:
    answer = solved.answer
    assert answer is not None
    units, found = solved.space.asked.family.units, answer.found
    if found.stopped:
        lines = ["Nothing that holds was found before the search was ended; run again to go on."]
    elif not solved.space.whole:
        lines = [f"Nothing that holds was found; {'; '.join(found.doubts)}."]
    else:
        lines = [f"Nothing holds: none of {solved.space.size:,} candidates."]
    if answer.conflict is not None:
        names = [demand_words(d, units) for d in answer.conflict.demands]
        least = "" if answer.conflict.smallest else " (perhaps fewer of them)"
        alone = len(names) == 1
        lines += _wrapped(
            f"no candidate {'meets' if alone else 'meets together:'} {' and '.join(names)}{least}"
        )
    elif answer.nearest is None and not found.stopped:
        refused = next((f.refusal for f in solved.known.all if f.refusal), "")
        lines += _wrapped(f"the recipe refuses every candidate: {refused}") if refused else []
    for w in answer.would:
        value = w.hold.measure.show(w.value, units)
        near = "" if w.proven else "; less of a change may do"
        lines += _wrapped(f"it would hold with {w.hold.name} {value}, {w.hold.limit(units)} asked{near}:")
        lines += _wrapped(_values(solved, w.number), INDENT * 2)
    if answer.nearest is not None and not answer.would:
        number, demand = answer.nearest
        lines += _wrapped(f"the nearest fails: {demand.why(solved.known.facts(number), units)}")
        lines += _wrapped(_values(solved, number), INDENT * 2)
    return lines


def demand_words(demand: Demand, units: str) -> str:
    """Something that must hold, in words: "sheets at most 2", "the check of sag"."""
    from furnigen.solve.demands import Hold, NamedCheck

    if isinstance(demand, Hold):
        return f"{demand.name} {demand.limit(units)}"
    return f"the check {demand.check}" if isinstance(demand, NamedCheck) else demand.name


def _curve_lines(solved: Solved) -> list[str]:
    from furnigen.solve.answer import NEAR, binding_of

    curve = solved.curve
    assert curve is not None
    first, second = solved.space.asked.goals
    units = solved.space.asked.family.units
    how = "proven: no candidate is better in one and as good in the other" if curve.proven else "best found"
    if not curve.whole:
        how += "; the curve may go on"
    lines = [f"{first.words} against {second.words}: {len(curve.points)} points, {how}", ""]
    rows = [("", first.name, second.name, "")]
    for place, p in enumerate(curve.points, 1):  # as its file is called
        scores = first.show(p.scores[0], units), second.show(p.scores[1], units)
        rows.append((f"{place:02}", *scores, _values(solved, p.number)))
    wide = [max(len(r[k]) for r in rows) for k in (1, 2)]
    table = [f"{INDENT}{n:2}  {a:>{wide[0]}}  {b:>{wide[1]}}  {v}".rstrip() for n, a, b, v in rows]
    lines.append(table[0])
    for line, p in zip(table[1:], curve.points, strict=True):
        lines.append(line)
        some = binding_of(solved.known.facts(p.number), solved.space.demands, solved.known)
        tight = [b.what for b in some if b.used is not None and b.used >= NEAR]
        lines += _wrapped("; ".join(tight), " " * (len(INDENT) + sum(wide) + 8)) if tight else []
    return lines


def _tried(solved: Solved) -> str:
    from furnigen.solve.setup import STAGE_WORDS

    done = ", ".join(f"{solved.worked_out[s]:,} {STAGE_WORDS[s]}" for s in solved.space.demands.stages)
    more = ", ".join(f"{solved.beside[s]:,} {w}" for s, w in STAGE_WORDS.items() if solved.beside[s])
    done += f"; to explain the answer, {more} more" if more else ""
    earlier = f"; {solved.earlier:,} of these steps were kept from an earlier run" if solved.earlier else ""
    ended = {"time": "; ended when time was up", "interrupt": "; ended by Ctrl-C"}.get(solved.stopped, "")
    return f"Tried: {done}, in {solved.seconds:.1f} s{earlier}{ended}."
