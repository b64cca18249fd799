"""Findings on whether all that a STEP file states was read: by count, size, closedness and volume."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from furnigen.core.finding import FAIL, PASS, WARN, Finding, name_labels
from furnigen.core.wording import in_words
from furnigen.exchange.contents import Contents, Product
from furnigen.exchange.placing import out_of_reach
from furnigen.exchange.shapes import Extent
from furnigen.kernel.step_reader import StepFile, shown_name
from furnigen.pipeline.step_meshes import FINEST_SHARE, MeasuredSolid

_STATED = "counted from the file's own product structure (ISO 10303-44)"
_SOURCE = "a solid has a closed boundary, and what it bounds is one volume"
_SAME_SIZE = 1e-3
"""Share by which the box about a solid's corners may differ from the file's: mended corners move."""
_NAMELESS = "a part without a name"
_AGAIN = "save the file anew in the program it comes from"
_MEND = "have the program it comes from check and mend this solid, then save it anew"


def prove(file: StepFile, solids: Sequence[MeasuredSolid], tolerance_mm: float) -> list[Finding]:
    """Hold what was read against what the file states.

    Args:
        solids: those of `file`, in order.
        tolerance_mm: that was asked for.
    """
    return [
        *_count(file),
        *_structure(file.stated),
        *_unmeasured(file, solids),
        *_sizes(file, solids),
        *_looseness(solids, tolerance_mm),
        *_other_tolerances(solids, tolerance_mm),
        *_complaints(file),
    ]


def _counted(names: Iterable[tuple[str, int]], stated: Contents) -> Counter[str]:
    called = stated.names
    found: Counter[str] = Counter()
    for name, number in names:
        found[shown_name(name, called)] += number
    return found


def _count(file: StepFile) -> Iterator[Finding]:
    stated = file.stated
    expected = _counted(((p.name, p.copies * p.held.solids.total()) for p in stated.products), stated)
    expected.update({"": len(stated.orphans)})
    found = _counted(((file.solids[c.solid].product, 1) for c in file.copies), stated)
    number = stated.solids_placed
    missing = {name: n - found[name] for name, n in expected.items() if n > found[name]}
    extra = {name: n - expected[name] for name, n in found.items() if n > expected[name]}
    same_names = expected.keys() >= found.keys()
    if len(file.copies) == number and not (same_names and missing):
        yield Finding("solids-read", PASS, number, number, "solids", "", _STATED, least=True)
        return
    where = name_labels([_times(name, n) for name, n in missing.items()]) if same_names else ""
    if len(file.copies) > number or not missing:
        yield Finding(
            "solids-read",
            FAIL,
            len(file.copies),
            number,
            "solids",
            name_labels([_times(name, n) for name, n in extra.items()]) if same_names else "",
            f"{_STATED}: more were read than it states",
            _AGAIN,
        )
        return
    yield Finding(
        "solids-read",
        FAIL,
        len(file.copies),
        number,
        "solids",
        where,
        _STATED,
        "what is named could not be read: save it anew in the program it comes from, as a solid",
        least=True,
    )


def _times(name: str, number: int) -> str:
    return (name or _NAMELESS) if number == 1 else f"{name or _NAMELESS} ({number} times)"


def _beneath(stated: Contents) -> set[int]:
    """Products that hold solids, or stand above one that does."""
    above: dict[int, list[int]] = {}
    for usage in stated.usages:
        above.setdefault(usage.child, []).append(usage.parent)
    waiting = [p.number for p in stated.products if p.held.solids]
    found = set(waiting)
    while waiting:
        fresh = [a for a in above.get(waiting.pop(), ()) if a not in found]
        found.update(fresh)
        waiting += fresh
    return found


def _structure(stated: Contents) -> Iterator[Finding]:
    """What the file states of itself and that does not fit together, or is no solid."""
    why = "each product stands where one placement says (ISO 10303-44)"
    solid = _beneath(stated)
    names = {p.number: p.name or _NAMELESS for p in stated.products}
    for fault, usages in (
        ("no placement is given", [u for u in stated.usages if u.child in solid and not u.placed]),
        ("more than one placement is given", [u for u in stated.usages if u.placed > 1]),
        ("its placement is of another part", [u for u in stated.usages if u.placed and not u.fits]),
    ):
        if usages:
            where = name_labels([u.name or names.get(u.child, _NAMELESS) for u in usages])
            yield Finding("placements", FAIL, len(usages), 0, "parts", where, f"{fault}: {why}", _AGAIN)
    if stated.orphans:
        where = name_labels([f"#{n}" for n in stated.orphans])
        yield Finding("solids-of-no-part", FAIL, len(stated.orphans), 0, "solids", where, _STATED, _AGAIN)
    faults = [*stated.faults, *(f"two rows are numbered #{n}" for n in dict.fromkeys(stated.file.twice))]
    if faults:
        shown = "; ".join(faults[:5]) + (f"; and {len(faults) - 5} more" if len(faults) > 5 else "")
        yield Finding("structure", FAIL, len(faults), 0, "faults", shown, _STATED, _AGAIN)
    if stated.elsewhere:
        where = name_labels(stated.elsewhere)
        remedy = "check those files, or save all parts in one file"
        yield Finding("parts-in-other-files", FAIL, len(stated.elsewhere), 0, "files", where, _STATED, remedy)
    if stated.placed("sheets"):
        where = name_labels([_times(p.name, p.copies) for p in stated.products if p.held.sheets])
        source = "an open surface fills no space: it can not be checked"
        remedy = "export it as a solid, or leave it out"
        yield Finding("sheets", FAIL, stated.placed("sheets"), 0, "sheets", where, source, remedy)
    if stated.placed("curves"):
        where = name_labels([_times(p.name, p.copies) for p in stated.products if p.held.curves])
        source = "curves and points fill no space: nothing is checked of them"
        yield Finding("curves", WARN, stated.placed("curves"), None, "sets of curves", where, source)


def _unmeasured(file: StepFile, solids: Sequence[MeasuredSolid]) -> Iterator[Finding]:
    amiss = [k for k, one in enumerate(solids) if one.mesh is None]
    for k in amiss:
        labels = [c.label for c in file.copies if c.solid == k]
        yield Finding(
            "solids-closed",
            FAIL,
            len(labels),
            0,
            "parts",
            name_labels(labels),
            f"{solids[k].fault}. {_SOURCE}",
            "it is left out of all other checks: save it anew as one closed solid",
        )
    if not amiss:
        yield Finding("solids-closed", PASS, len(solids), len(solids), "shapes", "", _SOURCE, least=True)
    invalid = [one.solid.name for one in solids if one.mesh is not None and not one.valid]
    if invalid:
        source = "the CAD kernel finds faces, edges or corners that do not lie on each other as they should"
        yield Finding("solids-sound", WARN, len(invalid), 0, "shapes", name_labels(invalid), source, _MEND)


def _sizes(file: StepFile, solids: Sequence[MeasuredSolid]) -> Iterator[Finding]:
    """Solids that are not as large as the file's own corners say, or have fewer faces."""
    stated = file.stated
    called = stated.names
    by_name: dict[str, list[Product]] = {}
    for product in stated.products:
        by_name.setdefault(shown_name(product.name, called), []).append(product)
    wrong, fewer, far, unitless = [], [], [], []
    mapped = bool(stated.file.of("MAPPED_ITEM"))
    for name, products in by_name.items():
        extents = [stated.shapes.extent(s) for p in products for s in p.held.solids]
        read = [one for one in solids if one.solid.product == name]
        far += [name or _NAMELESS for e in extents if out_of_reach(e)]
        unitless += [name or _NAMELESS for e in extents if e.unit is None]
        for one in read:
            near = [e for e in extents if _alike(one, e)]
            if extents and not near and not mapped and all(e.size_mm for e in extents):
                wrong.append(one.solid.name)
            elif near and one.faces < min(e.faces for e in near):
                fewer.append(f"{one.solid.name}: {one.faces} of {min(e.faces for e in near)} faces")
    if wrong:
        source = "the box about its corners, from the file's own points and unit of length"
        yield Finding("size-as-stated", FAIL, len(wrong), 0, "shapes", name_labels(wrong), source, _MEND)
    if fewer:
        source = "faces that the file states and that were not read"
        yield Finding("faces-read", FAIL, len(fewer), 0, "shapes", "; ".join(fewer[:12]), source, _MEND)
    if far:
        source = "a corner lies farther than 10 km from its own origin, or can not be read"
        yield Finding("within-reach", FAIL, len(far), 0, "shapes", name_labels(far), source, _MEND)
    if unitless:
        source = "no unit of length can be read: millimetres are taken"
        remedy = "see whether the size above is right"
        yield Finding("unit", FAIL, len(unitless), 0, "shapes", name_labels(unitless), source, remedy)


def _alike(one: MeasuredSolid, extent: Extent) -> bool:
    if one.size_mm is None or extent.size_mm is None:
        return True
    within = _SAME_SIZE * max(*extent.size_mm, 1.0) + one.loose_mm
    return all(abs(a - b) <= within for a, b in zip(one.size_mm, extent.size_mm, strict=True))


def _looseness(solids: Sequence[MeasuredSolid], tolerance_mm: float) -> Iterator[Finding]:
    for one in solids:
        if one.mesh is not None and one.loose_mm > tolerance_mm:
            source = "faces, edges and corners meet as well as they are checked"
            yield Finding("gaps", FAIL, one.loose_mm, tolerance_mm, "mm", one.solid.name, source, _MEND)


def _other_tolerances(solids: Sequence[MeasuredSolid], tolerance_mm: float) -> Iterator[Finding]:
    for one in solids:
        if one.mesh is not None and one.tolerance_mm != tolerance_mm:
            too_large = one.tolerance_mm == FINEST_SHARE * max(one.size_mm or (0.0,))
            if too_large and not one.mesh.curved:
                continue  # flat faces are meshed as they are
            why = "is too large to be" if too_large else "can not be"
            fine = in_words(tolerance_mm, digits=None)
            source = f"it {why} meshed at {fine}: overlaps of its curved faces are known so well"
            yield Finding("meshed-at", WARN, one.tolerance_mm, None, "mm", one.solid.name, source)


def _complaints(file: StepFile) -> Iterator[Finding]:
    """What the reader said, once, beside the proof that nothing is missing."""
    proof = "count, size and volume above tell whether anything is missing"
    for complaint in file.complaints:
        yield Finding("reader-says", WARN, complaint.rows, None, "rows", complaint.text, proof)
    dangling = file.stated.file.dangling()
    if dangling:
        where, source = (
            name_labels([f"#{n}" for n in dangling]),
            "named and not there: what else is lost is not known",
        )
        yield Finding("rows-missing", FAIL, len(dangling), 0, "rows", where, source, _AGAIN)
