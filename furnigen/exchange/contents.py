"""What a STEP file holds by its own product structure: products, their shapes, how often each stands where.

The words are those of ISO 10303-41, -42, -43 and -44 (from memory): a product definition has a shape, whose
representations hold solids, sheets or mapped items; next-assembly usage occurrences place one product in
another. Numbers of copies are counted without making any copy.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from furnigen.core.errors import InputError
from furnigen.exchange.part21 import ExchangeFile
from furnigen.exchange.shapes import Held, Shapes

_DEFINITIONS = ("PRODUCT_DEFINITION", "PRODUCT_DEFINITION_WITH_ASSOCIATED_DOCUMENTS")
_USAGE = "NEXT_ASSEMBLY_USAGE_OCCURRENCE"
_USAGES = (
    _USAGE,
    "ASSEMBLY_COMPONENT_USAGE",
    "SPECIFIED_HIGHER_USAGE_OCCURRENCE",
    "PROMISSORY_USAGE_OCCURRENCE",
    "QUANTIFIED_ASSEMBLY_COMPONENT_USAGE",
)
"""What a placement may be of (ISO 10303-44); furnigen counts those of the first kind."""
_FORMATIONS = ("PRODUCT_DEFINITION_FORMATION", "PRODUCT_DEFINITION_FORMATION_WITH_SPECIFIED_SOURCE")
_DOCUMENTS = "APPLIED_EXTERNAL_IDENTIFICATION_ASSIGNMENT"


@dataclass(frozen=True)
class Usage:
    """One product placed in another.

    Attributes:
        number: of the usage.
        name: of the placement; "" where it has none.
        parent, child: numbers of the product definitions.
        placed: how often a placement is given for it: once, in a sound file.
        fits: whether that placement relates the shapes of just those two products.
    """

    number: int
    name: str
    parent: int
    child: int
    placed: int
    fits: bool


@dataclass(frozen=True)
class Product:
    """One product of the file.

    Attributes:
        number: of its product definition.
        name: "" where it has none.
        held: what its own shape holds, without what is placed in it.
        copies: how often it stands in the whole file.
    """

    number: int
    name: str
    held: Held
    copies: int


@dataclass
class Contents:
    """What the whole file holds.

    Attributes:
        products: each once, in the order of the file.
        usages: which stands in which.
        orphans: solids of no product.
        elsewhere: names of other files that hold parts of this one.
        faults: what of its structure can not be followed, a clause each.
        file: the text they were read from.
    """

    products: list[Product]
    usages: list[Usage]
    orphans: list[int]
    elsewhere: list[str]
    faults: list[str]
    file: ExchangeFile
    shapes: Shapes = field(repr=False)

    def placed(self, kind: str) -> int:
        """How many "solids", "sheets" or "curves" stand in the file, copies counted."""
        return sum(p.copies * sum(getattr(p.held, kind).values()) for p in self.products)

    @property
    def solids_placed(self) -> int:
        """How many solids stand in the file: those of products, copies counted, and those of none."""
        return self.placed("solids") + len(self.orphans)

    @property
    def name(self) -> str:
        """The name of the one product that stands in no other; "" where there are several."""
        children = {u.child for u in self.usages}
        roots = [p for p in self.products if p.number not in children]
        return roots[0].name if len(roots) == 1 else ""

    @property
    def names(self) -> frozenset[str]:
        """What the file calls its products and placements, in words of people: identifiers are no names."""
        words = (self.file.value(n, kind, 1) for kind in ("PRODUCT", _USAGE) for n in self.file.of(kind))
        return frozenset(w.strip() for w in words if isinstance(w, str) and w.strip())

    @property
    def written(self) -> str:
        """When the file was written, as its header says; "" where it does not."""
        values = self.file.header.get("FILE_NAME", [])
        return values[1] if len(values) > 1 and isinstance(values[1], str) else ""

    @property
    def made_by(self) -> str:
        """The program whose model it is, as its header says; "" where it does not."""
        values = self.file.header.get("FILE_NAME", [])
        return values[5] if len(values) > 5 and isinstance(values[5], str) else ""

    @property
    def by_solid(self) -> dict[int, str]:
        """The name of the product that each solid belongs to."""
        return {solid: p.name for p in self.products for solid in p.held.solids}


def contents(file: ExchangeFile) -> Contents:
    """Count what a STEP file holds.

    Raises: InputError when an assembly stands within itself.
    """
    shapes = Shapes(file)
    definitions = file.of(*_DEFINITIONS)
    faults: list[str] = []
    usages = list(_usages(file, shapes, set(definitions), faults))
    held = {d: shapes.held(shapes.of_product.get(d, ())) for d in definitions}
    copies = _copies(definitions, usages)
    products = [Product(d, product_name(file, d), held[d], copies[d]) for d in definitions]
    known = {solid for h in held.values() for solid in h.solids}
    orphans = [solid for solid in shapes.all_solids() if solid not in known]
    return Contents(products, usages, orphans, _elsewhere(file), shapes.faults + faults, file, shapes)


def product_name(file: ExchangeFile, definition: int) -> str:
    """What a product is called: its name, else its identifier; "" for neither."""
    for kind in _DEFINITIONS:
        formation = file.reference(definition, kind, 2)
        if formation is None:
            continue
        for how in _FORMATIONS:
            product = file.reference(formation, how, 2)
            if product is not None:
                words = (file.value(product, "PRODUCT", at) for at in (1, 0))
                return next((w.strip() for w in words if isinstance(w, str) and w.strip()), "")
    return ""


def _usages(file: ExchangeFile, shapes: Shapes, definitions: set[int], faults: list[str]) -> Iterable[Usage]:
    for number in shapes.placements:
        if not any(kind in file.values(number) for kind in _USAGES):
            faults.append(f"the placement of #{number} is of no usage of a product")
    for number in file.of(_USAGE):
        parent, child = (file.reference(number, _USAGE, at) for at in (3, 4))
        if parent not in definitions or child not in definitions:
            faults.append(f"the usage #{number} is of a product that is not there, or in one")
            continue
        inner, outer = (set(shapes.of_product.get(d, ())) for d in (child, parent))
        related = shapes.placements.get(number, [])
        if not related and any(m in inner for m in shapes.mapped_in(outer)):
            continue  # placed by a mapped item, and counted as one
        fits = all({a, b} & inner and {a, b} & outer for a, b in related)
        names = (file.value(number, _USAGE, at) for at in (1, 0))
        name = next((n.strip() for n in names if isinstance(n, str) and n.strip()), "")
        yield Usage(number, name, parent, child, len(related), fits)


def _copies(definitions: list[int], usages: list[Usage]) -> Counter[int]:
    """How often each product stands in the file, by the products that stand in none first."""
    within: dict[int, list[int]] = {}
    waiting: Counter[int] = Counter()
    for usage in usages:
        within.setdefault(usage.parent, []).append(usage.child)
        waiting[usage.child] += 1
    ready = [d for d in definitions if not waiting[d]]
    copies = Counter(dict.fromkeys(ready, 1))
    done = 0
    while ready:
        parent = ready.pop()
        done += 1
        for child in within.get(parent, ()):
            copies[child] += copies[parent]
            waiting[child] -= 1
            if not waiting[child]:
                ready.append(child)
    if done < len(set(definitions)):
        raise InputError("STEP file", "its product structure", "has an assembly that stands within itself")
    return copies


def _elsewhere(file: ExchangeFile) -> list[str]:
    """Names of other files that the shapes of products lie in."""
    found: dict[str, None] = {}
    for number in file.of(_DOCUMENTS):
        items = file.value(number, _DOCUMENTS, 3)
        for item in items if isinstance(items, list) else ():
            if isinstance(item, int) and "DOCUMENT_FILE" in file.values(item):
                words = (
                    file.value(number, _DOCUMENTS, 0),
                    *(file.value(item, "DOCUMENT_FILE", k) for k in (1, 0)),
                )
                name = next((w.strip() for w in words if isinstance(w, str) and w.strip()), "")
                found[name or "a file without a name"] = None
    return list(found)
