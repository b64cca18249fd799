"""Do its bearings hold: findings on the pressure where one part rests on another."""

from __future__ import annotations

from collections.abc import Iterator

from furnigen.checks.boards import grouped
from furnigen.core.finding import PASS, WARN, Finding, name_labels, not_estimated
from furnigen.strength.assess import Strength
from furnigen.strength.members.bearings import Pressure


def bearing_findings(strength: Strength) -> Iterator[Finding]:
    """Bearings pressed beyond what their wood bears, or the one nearest to it; those of which no limit is
    known."""
    known = [p for p in strength.pressures if p.allowed_mpa]
    for group in grouped(known, _pressed, lambda p: p.mpa):
        p = group[0]
        over = _pressed(p) > 1
        formula = f"load over contact, {p.newton:.0f} N"
        if p.moment > 0:
            formula = (
                f"its only bearing takes {p.newton:.0f} N and {p.moment / 1000:.1f} N m: pressure at its"
                " edge, F/A + 6 M/(b w²), hand-derived"
            )
        yield Finding(
            "bearing",
            WARN if over else PASS,
            p.mpa,
            p.allowed_mpa,
            "N/mm2",
            _bearings(group),
            f"{formula}; design strength square to grain or face / 1.5: {p.source}",
            "a wider bearing: a deeper housing, a cleat below, or a plate" if over else "",
            _pressed(p),
            labels=tuple(dict.fromkeys(one.label for one in group)),
        )
    unknown = [p for p in strength.pressures if not p.allowed_mpa]
    if unknown:
        most = max(p.mpa for p in unknown)
        names = ", ".join(dict.fromkeys(p.source for p in unknown))
        yield not_estimated(
            "bearing",
            "whether its bearings crush",
            f"{_bearings(unknown)}: the largest pressure is {most:.2g} N/mm²",
            f"no strength of {names} square to its face is known",
            "ask its maker how much it bears",
        )


def _pressed(p: Pressure) -> float:
    return p.mpa / p.allowed_mpa if p.allowed_mpa else 0.0


def _bearings(group: list[Pressure]) -> str:
    """What rests on what: the boards that rest on the same carriers together."""
    by: dict[str, list[str]] = {}
    for p in group:
        by.setdefault(p.label, []).append(p.by)
    on: dict[str, list[str]] = {}
    for label in sorted(by):
        on.setdefault(name_labels(list(dict.fromkeys(by[label]))), []).append(label)
    return "; ".join(f"{name_labels(labels)} on {carriers}" for carriers, labels in on.items())
