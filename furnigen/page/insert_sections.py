"""Layouts, costs and drawings as HTML; each is empty where its format was not made."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from urllib.parse import quote

from furnigen.cutting.cautions import cautions
from furnigen.page.inserts import Inserts, Plate, StepInsert
from furnigen.page.markup import name_of, of_labels, section, table, tick
from furnigen.paper.frame import Row
from furnigen.paper.svg import number

Places = Mapping[int, int]
"""Where a drawing is among those packed into the page, by the identity of its page."""
NO_PRICES = "Prices come from a file of your own stock: furnigen make --stock FILE.toml."
MOST_OPEN = 4
"""More drawings of parts than this are folded away."""


def buying(inserts: Inserts) -> str:
    """What to buy and what it costs."""
    if not inserts.bought:
        return ""
    heads = ("To buy", "Qty", "Size", "Cost", "Bought")
    rows = "".join(_bought(row) for row in _merged(inserts.bought))
    notes = "".join(f"<li dir=auto>{escape(note)}</li>" for note in inserts.notes)
    priced = any(row.cells[4] not in ("", "no price") for row in inserts.bought)
    more = "" if priced else f"<p>{NO_PRICES}</p>"
    return section("buying", "Boards and cost", table(heads, rows, (1, 2, 3)) + more + f"<ul>{notes}</ul>")


def _merged(rows: Sequence[Row]) -> list[Row]:
    """The rows, where a material is one stock under one name as one row with what is proven of it."""
    found: list[Row] = []
    for n, row in enumerate(rows):
        before = rows[n - 1] if n else None
        alone = n + 1 == len(rows) or not rows[n + 1].cells[0].startswith(" ")
        same = before is not None and before.bold and before.cells[0] == row.cells[0].strip()
        if before is not None and same and alone:
            what, *_, note, _ = before.cells
            found[-1] = Row((what, *row.cells[1:3], note, row.cells[4]))
        else:
            found.append(row)
    return found


def _bought(row: Row) -> str:
    what, amount, size, note, cost = (cell.strip() for cell in row.cells)
    kind, _, rest = what.partition(": ")
    if row.bold:
        said = f" <span class=quiet>{escape(note)}</span>" if note else ""
        return f"<tr class=head><th scope=row colspan=3>{name_of(what)}{said}<td class=n>{escape(cost)}<td>"
    said = f"<span class=quiet dir=auto>{escape(note)}</span>" if note else ""
    # hardware has its boxes in its own list, and nobody buys hours
    elsewhere = bool(rest) and kind in ("hardware", "labour")
    box = "" if not amount or elsewhere or note.startswith("does not fit") else tick("bought", what)
    cells = "".join(f"<td class=n>{escape(cell)}" for cell in (amount, size, cost))
    return f"<tr><th scope=row>{name_of(what)}{said}{cells}<td>{box}"


def layouts(inserts: Inserts, places: Places) -> str:
    """How sheets and bars are cut."""
    if not inserts.layouts:
        return ""
    figures = "".join(figure(plate, places) for plate in inserts.layouts)
    caution = f"<p class=caution>{escape(cautions(False))}</p>"
    return section("layouts", "Layouts", f"<div class=plates>{figures}</div>{caution}")


def drawings(inserts: Inserts, places: Places) -> str:
    """General arrangement, exploded views, sheets of parts."""
    whole = [*inserts.arrangement, *inserts.exploded]
    if not whole and not inserts.sheets:
        return ""
    first = "".join(figure(plate, places) for plate in whole)
    rest = "".join(figure(plate, places) for plate in inserts.sheets)
    folded = "" if len(inserts.sheets) > MOST_OPEN else " open"
    parts = (
        f"<details{folded}><summary>{len(inserts.sheets)} sheets of parts</summary>"
        f"<div class='plates small'>{rest}</div></details>"
        if rest
        else ""
    )
    return section("drawings", "Drawings", f"<div class=plates>{first}</div>{parts}")


def step_words(insert: StepInsert, places: Places) -> str:
    """The picture and the words of a step, below its line."""
    lines = "".join(f"<dt>{escape(head)}<dd dir=auto>{escape(said)}" for head, said in insert.lines)
    cautions_of = "".join(f"<p class=caution dir=auto>{escape(said)}</p>" for said in insert.cautions)
    return (
        f"<details class=step open><summary>Picture and words</summary><div class=both>"
        f"{figure(insert.plate, places)}<div><dl>{lines}</dl>{cautions_of}</div></div></details>"
    )


def figure(plate: Plate, places: Places) -> str:
    """A drawing: packed into the page, else a link to its file."""
    place = places.get(id(plate.page))
    file, name = escape(quote(plate.file)), escape(plate.file)
    caption = f"<figcaption dir=auto>{escape(plate.caption)}</figcaption>"
    about = of_labels(plate.labels)
    if place is None:
        link = f'<a href="{file}" download>{name}</a>'
        return f"<figure{about}>{caption}<p class=quiet>Too large for this page: see {link}.</p></figure>"
    w, h = number(plate.page.width), number(plate.page.height)
    said = escape(plate.caption)
    # until its drawing is there, an empty sheet keeps its place; without a script that names the file
    empty = f'<svg viewBox="0 0 {w} {h}" aria-hidden=true><text x=10 y=20 font-size=8>see {name}</text></svg>'
    return (
        f'<figure{about}><a class=paper data-plate={place} data-caption="{said}" href="{file}"'
        f' aria-label="{said}: look at it larger">{empty}</a>{caption}</figure>'
    )


def places_of(plates: Sequence[Plate], packed: Mapping[int, int]) -> dict[int, int]:
    """Where drawings are among those packed, by the identity of their pages."""
    return {id(plate.page): packed[n] for n, plate in enumerate(plates) if n in packed}
