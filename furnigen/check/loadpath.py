"""Check of the load path: every placement is carried from the floor or a wall, by what bears or holds it."""

from __future__ import annotations

from furnigen.check.finding import FAIL, PASS, Finding, named
from furnigen.loadpath import LoadPath

SOURCE = "every part rests on something or is held by a joint, down to the floor or a declared wall"


def check_load_path(path: LoadPath) -> list[Finding]:
    """What nothing carries, and what would tip off what it rests on."""
    findings = [
        Finding("load-path", FAIL, len(island), 0, "parts", named(island), SOURCE, _remedy(path, island))
        for island in path.islands
    ]
    if not findings:
        findings = [Finding("load-path", PASS, 0, 0, "parts", "", SOURCE)]
    for label in path.loose:
        by = tuple(dict.fromkeys(p.by for p in path.under[label]))
        findings.append(
            Finding(
                "tips-off",
                FAIL,
                1,
                0,
                "parts",
                label,
                "a part that only rests needs its centre of mass over what bears it",
                f"it rests on {named(by)} only: add a support on its other side, or join it",
            )
        )
    return findings


def _remedy(path: LoadPath, island: tuple[str, ...]) -> str:
    touches = dict(path.touches)
    inside = set(island)
    near = tuple(dict.fromkeys(x for label in island for x in touches[label] if x not in inside))
    what = "it" if len(island) == 1 else f"one of {named(island)}"
    if near:
        way = "house, tenon, dowel, screw or pin it there, or put a cleat under it"
        return f"{what} only touches {named(near)}: {way}"
    return f"nothing carries {what}: bring it onto another part, and join it"
