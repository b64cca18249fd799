"""The lists of the page as HTML that reads without any script: checks, sizes, parts, hardware, assembly."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape
from typing import Any
from urllib.parse import quote

from furnigen.core.finding import AS_ABOVE, PASS, Finding, alike, worst_first
from furnigen.core.wording import shown
from furnigen.formats.amounts import share
from furnigen.formats.carried import loads_said
from furnigen.page.check_words import answer, question
from furnigen.page.file_words import FILE_WORDS, FOLDER_WORDS
from furnigen.page.markup import button, length, mark, name_of, of_labels, table, tick

Json = dict[str, Any]

FULL_AT = 160
"""Where a bar of 200 units shows a limit that is just used up: what is over it is seen to be."""
BAR = 200
MOST_PLACES = 6
"""More places of hardware than this are folded away."""


def checks(findings: Sequence[Finding], known: frozenset[str], units: str) -> str:
    """Every finding, worst first; those that are alike together, and those that pass folded away."""
    groups = alike(worst_first(findings))
    amiss = "".join(_check(g, known, units) for g in groups if g[0].status != PASS)
    passed = [g for g in groups if g[0].status == PASS]
    number = sum(map(len, passed))
    folded = "".join(_check(g, known, units) for g in passed)
    rest = (
        f"<details><summary>{number} pass</summary><ul class=checks>{folded}</ul></details>" if passed else ""
    )
    return (f"<ul class=checks>{amiss}</ul>" if amiss else "") + rest


def carried(report: Json) -> str:
    """What it was taken to carry, and how much boards may sag; "" before that is known."""
    strength = report.get("strength") or {}
    loads = loads_said(strength)
    if not loads:
        return ""
    demands = strength["demands"]
    limit = demands["sag_limit"].replace("L/", "1/")
    sag = f"{limit} of what they span" if limit != demands["sag_limit"] else limit
    held = f"Boards may sag {sag} in the long run, in {demands['climate_words']}."
    return f"<p dir=auto>Checked to carry {escape(loads)}. {escape(held)}</p>"


def _check(group: Sequence[Finding], known: frozenset[str], units: str) -> str:
    worst = group[0]
    labels = dict.fromkeys(label for f in group for label in _places(f, known))
    said, used = answer(worst, units), share(worst.used)
    more = f" <span class=quiet>and {len(group) - 1} alike</span>" if len(group) > 1 else ""
    lines = [
        button(f"{mark(worst.status)}<span>{escape(question(worst))}</span>") + more,
        f"<span class=found>{escape(said)}</span>" if said else "",
        _bar(worst.used, used, worst.status) if worst.used is not None else "",
    ]
    where = "" if worst.status == PASS else shown(worst.where or worst.source, units)
    remedy = "" if worst.remedy == AS_ABOVE else shown(worst.remedy, units)
    lines += [f"<p dir=auto>{escape(line)}</p>" for line in where.splitlines()]
    lines += [f"<p class=remedy dir=auto><b>Remedy</b> {escape(line)}</p>" for line in remedy.splitlines()]
    about = of_labels(labels) or ' data-labels="[]"'
    return f'<li class="s-{worst.status}"{about}>{"".join(lines)}</li>'


def _places(finding: Finding, known: frozenset[str]) -> Iterable[str]:
    """Placements and openings a finding speaks of."""
    if finding.labels:
        return [label for label in finding.labels if label in known]
    words = (word.strip(",;:()") for word in finding.where.split())
    return [finding.where] if finding.where in known else [word for word in words if word in known]


def _bar(used: float, text: str, status: str) -> str:
    """How much of a limit is used, as a gauge with a line at the limit."""
    width = min(BAR, round(used * FULL_AT, 1))
    ticks = "".join(f'<path class=tick d="M{FULL_AT * i / 4:g} 0v4"/>' for i in range(1, 4))
    return (
        f'<svg class="gauge" viewBox="0 0 {BAR} 12" preserveAspectRatio="none" role=img'
        f' aria-label="{escape(text)} of the limit is used"><rect class=well width="{BAR}" height="12"/>'
        f'<rect class="fill f-{status}" width="{width:g}" y="3" height="6"/>{ticks}'
        f'<path class=limit d="M{FULL_AT} 0v12"/></svg><span class=share>{escape(text)}</span>'
    )


def sizes(report: Json, units: str) -> str:
    """Overall and clear sizes."""
    lo, hi = report["bounds_mm"]["min"], report["bounds_mm"]["max"]
    overall = [length(b - a, units) for a, b in zip(lo, hi, strict=True)]
    rows = "".join(
        f"<tr{of_labels([o['label']])}><th scope=row>{button(name_of(o['label']))}"
        + "".join(_length_cell(mm, units) for mm in o["clear_mm"])
        for o in report["openings"]
    )
    body = f"<p>Overall {escape(' x '.join(overall))}, width x depth x height.</p>"
    if not rows:
        return body
    head = "Clear opening, mm" if units == "mm" else "Clear opening"
    return body + table((head, "Width", "Depth", "Height"), rows, range(1, 4))


def parts(report: Json, units: str) -> str:
    """The cut list, with a box to tick for each part that is cut."""
    of_part: dict[str, list[str]] = {}
    for placement in report["placements"]:
        of_part.setdefault(placement["part"], []).append(placement["label"])
    rows = "".join(
        f"<tr{of_labels(of_part.get(p['name'], ()))}>"
        f"<th scope=row>{button(name_of(p['name']))}"
        f"<span class=quiet>{name_of(p['stock'])}</span><td class=n>{p['quantity']}"
        + "".join(_length_cell(p[s], units) for s in ("length", "width", "thickness"))
        + f"<td class=n>{_mass(p['mass_kg'])}"
        + f"<td>{tick('cut', p['name'])}<td>{tick('fitted', p['name'])}"
        for p in report["parts"]
    )
    heads = ("Part", "Qty", "Length", "Width", "Thick", "Mass, kg", "Cut", "Fitted")
    told = f"Sizes of the blanks{' in mm' if units == 'mm' else ''}<span class=mass>, mass of one</span>."
    count = "<span class=quiet>Cut: <span data-count='cut '>none yet</span></span>"
    return f"<p>{told} {count}</p>" + table(heads, rows, range(1, 6))


def hardware(report: Json) -> str:
    """What to buy besides wood, with a box to tick."""
    rows = "".join(
        f"<tr{of_labels(dict.fromkeys(one[side] for one in row['places'] for side in 'ab'))}>"
        f"<th scope=row>{button(name_of(row['kind']))}<td>{escape(row['size'])}"
        f"<td class=n>{row['quantity']}<td dir=auto>{_where(row['where'])}"
        f"<td>{tick('bought', row['kind'] + ' ' + row['size'])}"
        for row in report.get("hardware", ())
    )
    if not rows:
        return "<p>It needs no screws, dowels or other hardware.</p>"
    return table(("Hardware", "Size", "Qty", "Where", "Bought"), rows, (2,))


def _where(places: Sequence[str]) -> str:
    """Where hardware goes; more than a few places folded away."""
    listed = escape("; ".join(places))
    if len(places) <= MOST_PLACES:
        return listed
    return f"<details><summary>in {len(places)} places</summary>{listed}</details>"


def assembly(report: Json, more: Mapping[int, str] | None = None) -> str:
    """The order of assembly.

    Args:
        more: HTML that stands below a step, by its number from 0.
    """
    below = more or {}
    rows = "".join(
        f"<li data-number={i}>{button('<span dir=auto>' + escape(step['text']) + '</span>', i)}"
        f"{tick('fitted', f'step {i + 1}')}{below.get(i, '')}</li>"
        for i, step in enumerate(report.get("assembly", ()))
    )
    return f"<ol>{rows}</ol>" if rows else "<p>No order of assembly was found; the checks say why.</p>"


def links(files: Iterable[str]) -> str:
    """The files beside the page, to download: each with what it is for, those of a folder folded away."""
    folders: dict[str, list[str]] = {}
    for name in sorted(files):
        folders.setdefault(name.rpartition("/")[0], []).append(name)
    rows = "".join(f"<li>{_link(name)}" for name in folders.pop("", ()))
    for folder, names in folders.items():
        inside = "".join(f"<li>{_link(name)}" for name in names)
        words = FOLDER_WORDS.get(folder, "")
        said = f" <span class=quiet>{words}</span>" if words else ""
        rows += (
            f"<li><details><summary>{escape(folder)}/, {len(names)} files{said}</summary>"
            f"<ul>{inside}</ul></details>"
        )
    return f"<ul class=files>{rows}</ul>" if rows else "<p>No other files were made.</p>"


def _link(name: str) -> str:
    words = FILE_WORDS.get(name, "")
    said = f" <span class=quiet>{words}</span>" if words else ""
    return f'<a href="{escape(quote(name))}" download>{escape(name.rpartition("/")[2])}</a>{said}'


def _mass(kg: float) -> str:
    """A mass, of which a light part too has something to read."""
    return f"{kg:.2f}" if kg >= 0.05 else f"{kg:.2g}"


def _length_cell(mm: float, units: str) -> str:
    """A length in a table, with the number it is sorted by."""
    return f"<td class=n data-value={mm:.10g}>{escape(_bare(mm, units))}"


def _bare(mm: float, units: str) -> str:
    """A length for a table that names its unit once."""
    return length(mm, units).removesuffix(" mm")
