"""The page of one piece: `index.html`, with everything it needs inside.

The script of the view and the shapes are packed with gzip, which browsers unpack; the policy of the page lets
its own script run, by hash, and nothing else, and lets it ask no network for anything.
"""

from __future__ import annotations

import gzip
from base64 import b64encode
from collections import Counter
from collections.abc import Sequence
from hashlib import sha256
from html import escape
from typing import Any

from furnigen.core.finding import Finding
from furnigen.formats.glb import glb_bytes
from furnigen.mesh.model import MeshModel
from furnigen.page import sections
from furnigen.page.insert_sections import buying, drawings, layouts, places_of, step_words
from furnigen.page.inserts import Inserts, step_inserts
from furnigen.page.markup import (
    asset,
    content_policy,
    filled,
    json_in_html,
    lamps,
    length,
    packed_script,
    page_head,
    text_asset,
)
from furnigen.page.plates import packed_plates
from furnigen.page.scene_data import scene_data
from furnigen.page.small_picture import small_jpeg

Json = dict[str, Any]

PAGE = "index.html"
MOST_BYTES = 600_000
"""Of a page with drawings; without them it is as large as the piece makes it."""
CAPTION_BYTES = 60
"""A drawing inside the page takes at most this much more HTML than a link to its file."""


def job_page(
    report: Json,
    findings: Sequence[Finding],
    model: MeshModel,
    picture: bytes = b"",
    units: str = "mm",
    inserts: Inserts | None = None,
) -> bytes:
    """The page, UTF-8; the same bytes for the same piece.

    Args:
        report: of the piece, with all of its files.
        findings: its checks, whose texts know their lengths.
        model: what is shown.
        picture: preview PNG, for browsers without 3D and for print; none where it was not made.
        units: "mm" or "in", for all lengths.
        inserts: what is shown of layouts, drawings and booklet; as much of it as leaves the page within
            `MOST_BYTES`, the rest as links to its files.

    Raises:
        GeometryError: see `furnigen.formats.exportable.require_exportable`.
    """
    known = frozenset(p["label"] for p in report["placements"]) | {o["label"] for o in report["openings"]}
    style = text_asset("look.css") + text_asset("job.css")
    boot = text_asset("boot.js")
    viewer = asset("bundle/viewer.js.gz")
    files = [name for name in (*report["files"], "report.json") if name != PAGE]
    texts = {
        "HEAD": page_head(report["title"], style, content_policy((boot, packed_script("viewer")), (style,))),
        "TITLE": escape(report["title"]),
        "BOOT": boot,
        "BLOCK": _title_block(report, findings, units),
        "VIEW": filled(text_asset("view.html"), {"STILL": _still(report["title"], picture)}),
        "CHECKS": sections.carried(report) + sections.checks(findings, known, units),
        "SIZES": sections.sizes(report, units),
        "PARTS": sections.parts(report, units),
        "HARDWARE": sections.hardware(report),
        "SAFETY": escape(report["safety"]),
        "FILES": sections.links(files),
        "DATA": json_in_html(scene_data(report, model.walls, units, _key(report))),
        "MODEL": _packed(gzip.compress(glb_bytes(model, borders=False), 6, mtime=0)),
        "VIEWER": _packed(viewer),
    }
    template, inserts = text_asset("job.html"), inserts or Inserts()
    bare = _with_inserts(template, texts, report, inserts, {}, "")
    plates = inserts.plates
    packed, places = packed_plates(plates, MOST_BYTES - len(bare) - CAPTION_BYTES * len(plates))
    if not places:
        return bare
    return _with_inserts(template, texts, report, inserts, places_of(plates, places), packed)


def _with_inserts(
    template: str, texts: dict[str, str], report: Json, inserts: Inserts, places: dict[int, int], packed: str
) -> bytes:
    """The page with some of its drawings packed inside."""
    steps = {n: step_words(one, places) for n, one in step_inserts(inserts.steps).items()}
    more = {
        "LAYOUTS": layouts(inserts, places),
        "BUYING": buying(inserts),
        "DRAWINGS": drawings(inserts, places),
        "ASSEMBLY": sections.assembly(report, steps),
        "PLATES": packed,
    }
    return filled(template, texts | more).encode("utf-8", "replace")


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
    cells = {
        "Width x depth x height": escape(size),
        "Mass": f"{report['mass_kg']:.1f} kg",
        "Parts": f"{sum(p['quantity'] for p in report['parts'])}, {len(report['parts'])} different",
        "Recipe": f"<bdi>{escape(report['recipe'])}</bdi>",
        "Checks": lamps(Counter(f.status for f in findings)) or "none made",
    }
    return "".join(f"<div><dt>{name}<dd>{text}</div>" for name, text in cells.items())
