"""Check of the load path: every placement is carried from the floor or a wall, by what bears or holds it."""

from __future__ import annotations

from furnigen.construction.load_path import LoadPath
from furnigen.core.finding import FAIL, PASS, Finding, name_labels

LOAD_PATH_SOURCE = "every part rests on something or is held by a joint, down to the floor or a declared wall"


def check_load_path(path: LoadPath) -> list[Finding]:
    """What nothing carries, and what would tip off what it rests on."""
    findings = [
        Finding(
            "load-path",
            FAIL,
            len(island),
            0,
            "parts",
            name_labels(island),
            LOAD_PATH_SOURCE,
            _remedy(path, island),
        )
        for island in path.islands
    ]
    if not findings:
        findings = [Finding("load-path", PASS, 0, 0, "parts", "", LOAD_PATH_SOURCE)]
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
                f"it rests on {name_labels(by)} only: add a support on its other side, or join it",
            )
        )
    return findings


def _remedy(path: LoadPath, island: tuple[str, ...]) -> str:
    touches = dict(path.touches)
    inside = set(island)
    near = tuple(dict.fromkeys(x for label in island for x in touches[label] if x not in inside))
    what = "it" if len(island) == 1 else f"one of {name_labels(island)}"
    if near:
        way = "house, tenon, dowel, screw or pin it there, or put a cleat under it"
        return f"{what} only touches {name_labels(near)}: {way}"
    return f"nothing carries {what}: bring it onto another part, and join it"
