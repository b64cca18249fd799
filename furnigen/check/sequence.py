"""Check of the order of assembly: every part can be brought in, along a straight way that was swept."""

from __future__ import annotations

from furnigen.check.finding import FAIL, PASS, Finding, named
from furnigen.sequence import Assembly

SOURCE = "every part must come in along a straight way, free of what is there before it (swept meshes)"


def check_assembly(assembly: Assembly) -> list[Finding]:
    """Whether the piece goes together; parts that lock each other are named."""
    if not assembly.locked:
        return [Finding("assembly-order", PASS, len(assembly.steps), None, "steps", "", SOURCE)]
    findings = []
    for labels in assembly.locked:
        remedy = (
            "they lock each other: run a housing out at one edge, split one of them, or join it by something"
            " that goes in last (a screw, a pin, a loose tenon); tilting or turning a part in is not tried"
        )
        findings.append(
            Finding("assembly-order", FAIL, len(labels), 0, "parts", named(labels), SOURCE, remedy)
        )
    return findings
