"""What the 3D view of a page knows besides the shapes: a value for its script, lengths already in words."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from furnigen.core.finding import name_labels
from furnigen.page.markup import length
from furnigen.piece.description import Wall

Json = dict[str, Any]

PERSON_MM = 1750.0
"""Height of the figure for scale; common practice, no source."""


def scene_data(report: Json, walls: Iterable[Wall], units: str, key: str) -> Json:
    """Placements, openings and steps of a report.

    Args:
        walls: planes the piece is fixed to.
        units: "mm" or "in".
        key: names the piece where a browser keeps its ticks.
    """
    return {
        "key": key,
        "person_mm": PERSON_MM,
        "walls": [{"point": list(w.point), "normal": list(w.normal)} for w in walls],
        "placements": _placements(report, units),
        "openings": [
            {
                "label": o["label"],
                "lo": o["box_mm"]["min"],
                "hi": o["box_mm"]["max"],
                "sizes": [length(mm, units) for mm in o["clear_mm"]],
            }
            for o in report["openings"]
        ],
        "steps": [
            {
                "parts": s["parts"],
                "onto": s["onto"],
                "way": s["way"],
                "travel": s["travel_mm"],
                "builds": s["builds"],
                "text": s["text"],
            }
            for s in report.get("assembly", ())
        ],
    }


def _placements(report: Json, units: str) -> dict[str, list[str]]:
    """Lines about each placement: its part, size and stock, what joins it, what it touches."""
    parts = {p["name"]: p for p in report["parts"]}
    joined: dict[str, dict[str, list[str]]] = defaultdict(dict)
    near: dict[str, dict[str, None]] = defaultdict(dict)
    for j in report.get("joints", ()):
        glued = ", glued" if j["glued"] else ""
        for one, other in ((j["a"], j["b"]), (j["b"], j["a"])):
            joined[one].setdefault(f"{j['kind']}{glued}", []).append(other)
    for c in report.get("contacts", ()):
        near[c["a"]][c["b"]] = near[c["b"]][c["a"]] = None
    rows = {}
    for placement in report["placements"]:
        label, part = placement["label"], parts[placement["part"]]
        size = " x ".join(length(part[s], units) for s in ("length", "width", "thickness"))
        many = part["quantity"]
        named = f"{part['name']}, one of {many}: " if many > 1 else ""
        lines = [f"{named}{size}, {part['stock']}, {part['mass_kg']:.2f} kg"]
        if joined[label]:
            kinds = (f"{kind}, with {name_labels(others)}" for kind, others in joined[label].items())
            lines.append(f"Joints: {'; '.join(kinds)}")
        if near[label]:
            lines.append(f"Touches: {name_labels(list(near[label]))}")
        rows[label] = lines
    return rows
