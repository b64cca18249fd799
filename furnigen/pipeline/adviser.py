"""What puts remedies into findings: of sag (`remedy`) and of joints (`joint_remedies`)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from furnigen.core.errors import GeometryError
from furnigen.core.finding import AS_ABOVE, FAIL, Finding
from furnigen.piece.description import Piece
from furnigen.pipeline.built import Advise
from furnigen.pipeline.joint_remedies import with_joint_remedies
from furnigen.pipeline.remedy import REMEDY_KINDS, Remedy, Search
from furnigen.pipeline.remedy_work import not_tried
from furnigen.recipes.recipe import Origin
from furnigen.strength.model.demands import Demands

Json = dict[str, Any]
Values = dict[str, Any]


def adviser(piece: Piece, demands: Demands) -> Advise | None:
    """What puts computed remedies into findings of sag and joints; None for a piece that no recipe made.

    The recipe and its parameters are those the piece remembers. Title, limits and loads may have been changed
    since; of a piece that was changed otherwise nothing is tried, for what the recipe makes is another one.
    """
    origin = piece.origin
    if not isinstance(origin, Origin):
        return None

    def advise(findings: list[Finding]) -> tuple[list[Finding], list[Json]]:
        bad = [f for f in findings if f.name == "sag" and f.status == FAIL]
        loose = any(f.name == "joint" and f.status == FAIL for f in findings)
        if not (bad or loose):
            return findings, []
        own = origin.made
        if replace(own, title=piece.title, limits=piece.limits, loads=piece.loads) != piece:
            return findings, []
        about = origin.recipe, dict(origin.values)
        whole = piece.loads[: len(own.loads)] == own.loads
        said = piece.loads[len(own.loads) :]

        def changed(values: Values) -> Piece:
            made = origin.recipe(**values)
            loads = made.loads + said if whole else piece.loads
            return replace(made, title=piece.title, limits=piece.limits, loads=loads)

        if not bad:
            return with_joint_remedies(findings, [], *about, changed, piece, demands)
        try:
            search = Search(*about, changed, piece, demands)
            found = search.find()
        except GeometryError:
            return findings, []  # a form of the author's own: nothing can be tried without the kernel
        worst = max(bad, key=lambda f: f.used or 0.0)
        lines = [r.line for r in found]
        if search.untried:
            lines.append(not_tried(REMEDY_KINDS[kind] for kind in search.untried))
        elif not lines:
            lines.append("no single change of this recipe makes every board pass")
        with_remedies = [
            replace(f, remedy="\n".join(lines))
            if f is worst
            else replace(f, remedy=AS_ABOVE)
            if f in bad
            else f
            for f in findings
        ]
        return with_joint_remedies(with_remedies, [_row(r) for r in found], *about, changed, piece, demands)

    return advise


def _row(remedy: Remedy) -> Json:
    """A remedy as the report lists it; what then fails is null where that was not checked."""
    trial = remedy.trial
    return {
        "kind": remedy.kind,
        "change": remedy.change,
        "used": remedy.used,
        "costs": list(remedy.costs),
        "then_fails": sorted(trial.failing) if trial.checked else None,
    }
