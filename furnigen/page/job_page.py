"""The page of one piece: `index.html`, with everything it needs inside.

The script of the view and the shapes are packed with gzip, which browsers unpack; the policy of the page lets
its own script run, by hash, and nothing else, and lets it ask no network for anything.
"""

from __future__ import annotations

import gzip
from base64 import b64encode
from collections.abc import Sequence
from hashlib import sha256
from html import escape
from typing import Any

from furnigen.core.finding import FAIL, PASS, WARN, Finding
from furnigen.formats.glb import glb_bytes
from furnigen.mesh.model import MeshModel
from furnigen.page import sections
from furnigen.page.markup import asset, content_policy, filled, json_in_html, length, text_asset
from furnigen.page.scene_data import scene_data
from furnigen.page.small_picture import small_jpeg

Json = dict[str, Any]

PAGE = "index.html"


def job_page(
    report: Json, findings: Sequence[Finding], model: MeshModel, picture: bytes = b"", units: str = "mm"
) -> bytes:
    """The page, UTF-8; the same bytes for the same piece.

    Args:
        report: of the piece, with all of its files.
        findings: its checks, whose texts know their lengths.
        model: what is shown.
        picture: preview PNG, for browsers without 3D and for print; none where it was not made.
        units: "mm" or "in", for all lengths.

    Raises:
        GeometryError: see `furnigen.formats.exportable.require_exportable`.
    """
    known = frozenset(p["label"] for p in report["placements"]) | {o["label"] for o in report["openings"]}
    style = text_asset("look.css") + text_asset("job.css")
    boot = text_asset("boot.js")
    viewer = asset("bundle/viewer.js.gz")
    texts = {
        "POLICY": escape(content_policy((boot, gzip.decompress(viewer).decode()), (style,))),
        "TITLE": escape(report["title"]),
        "STYLE": style,
        "BOOT": boot,
        "BLOCK": _title_block(report, findings, units),
        "STILL": _still(report["title"], picture),
        "CHECKS": sections.checks(findings, known, units),
        "SIZES": sections.sizes(report, units),
        "PARTS": sections.parts(report, units),
        "HARDWARE": sections.hardware(report),
        "ASSEMBLY": sections.assembly(report),
        "SAFETY": escape(report["safety"]),
        "FILES": sections.links(name for name in report["files"] if name != PAGE),
        "DATA": json_in_html(scene_data(report, model.walls, units, _key(report))),
        "MODEL": _packed(gzip.compress(glb_bytes(model, borders=False), 6, mtime=0)),
        "VIEWER": _packed(viewer),
    }
    return filled(text_asset("job.html"), texts).encode("utf-8", "replace")


def _packed(data: bytes) -> str:
    return b64encode(data).decode()


def _key(report: Json) -> str:
    """Names this piece in this size, so that ticks of another are not taken for its own."""
    said = json_in_html([report["parts"], report["params"]])
    return f"{report['recipe']} {sha256(said.encode('utf-8', 'replace')).hexdigest()[:16]}"


def _still(title: str, picture: bytes) -> str:
    if not picture:
        return '<p id="still">No picture was made.</p>'
    source = f"data:image/jpeg;base64,{_packed(small_jpeg(picture))}"
    return f'<img id="still" alt="{escape(title)}, seen from the front left" src="{source}">'


def _title_block(report: Json, findings: Sequence[Finding], units: str) -> str:
    """The block of a drawing: what it is, how large, how heavy, and whether it holds."""
    lo, hi = report["bounds_mm"]["min"], report["bounds_mm"]["max"]
    size = " x ".join(length(b - a, units) for a, b in zip(lo, hi, strict=True))
    numbers = {status: sum(f.status == status for f in findings) for status in (FAIL, WARN, PASS)}
    words = {FAIL: "{} fail", WARN: "{} to look at", PASS: "{} pass"}
    lamps = "".join(
        f'<span class="lamp s-{status}">{sections.mark(status)}{words[status].format(n)}</span>'
        for status, n in numbers.items()
        if n
    )
    cells = {
        "Width x depth x height": escape(size),
        "Mass": f"{report['mass_kg']:.1f} kg",
        "Parts": f"{sum(p['quantity'] for p in report['parts'])}, {len(report['parts'])} different",
        "Recipe": f"<bdi>{escape(report['recipe'])}</bdi>",
        "Checks": lamps or "none made",
    }
    return "".join(f"<div><dt>{name}<dd>{text}</div>" for name, text in cells.items())
