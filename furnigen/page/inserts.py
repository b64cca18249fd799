"""What stands in the page of a piece where its format was made: layouts, costs, drawings, steps."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from furnigen.page.cropping import cropped, extent
from furnigen.paper.frame import Row
from furnigen.paper.page import Item, Page, Text

if TYPE_CHECKING:
    from furnigen.construction.assembly_order import AssemblyOrder
    from furnigen.cutting.costing import Costs
    from furnigen.cutting.plan import Plan
    from furnigen.drawings.booklet import Booklet
    from furnigen.drawings.sheet import Sheet
    from furnigen.piece.description import Piece


@dataclass(frozen=True)
class Plate:
    """One drawing.

    Attributes:
        caption: what it shows.
        page: the drawing.
        file: where it stands at its full size, such as "sheets.pdf".
        labels: of the placements it is about.
    """

    caption: str
    page: Page
    file: str
    labels: tuple[str, ...] = ()


@dataclass(frozen=True)
class StepInsert:
    """What the booklet shows and says of one or several equal steps.

    Attributes:
        numbers: of the steps, from 0, as they are in the report.
        plate: its picture.
        lines: (heading, sentence) each.
        cautions: what can hurt someone.
    """

    numbers: tuple[int, ...]
    plate: Plate
    lines: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]


@dataclass
class Inserts:
    """All of it; each part is empty where its format was not made.

    Attributes:
        bought: what to buy, with its cost, as `cutting.plan_pages.buying_rows` gives it.
        notes: what else is to be known of the plan, a sentence each.
        layouts: how sheets and bars are cut.
        arrangement: the drawings of the whole piece.
        sheets: the drawings of its parts.
        exploded: the exploded views.
        steps: pictures and words of the steps.
    """

    bought: list[Row] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    layouts: list[Plate] = field(default_factory=list)
    arrangement: list[Plate] = field(default_factory=list)
    sheets: list[Plate] = field(default_factory=list)
    exploded: list[Plate] = field(default_factory=list)
    steps: list[StepInsert] = field(default_factory=list)

    @property
    def plates(self) -> list[Plate]:
        """All drawings, the most useful first: where not all fit into the page, the last are linked."""
        steps = [s.plate for s in self.steps]
        return [*self.layouts, *self.arrangement, *self.exploded, *steps, *self.sheets]

    def add_plan(self, plan: Plan, costs: Costs, units: str) -> None:
        """Layouts and costs of a plan.

        Args:
            units: "mm" or "in".
        """
        from furnigen.cutting.flat_pack import flat_pack
        from furnigen.cutting.plan_pages import (
            SCALE_WORDS,
            buying_rows,
            frame_for,
            plan_notes,
            sheet_drafts,
        )

        packed, frame = flat_pack(plan.rows), frame_for(plan.title, units)
        self.bought += buying_rows(plan, costs, units)
        self.notes += plan_notes(plan, costs, packed, units)
        for draft in sheet_drafts(plan, costs, packed, units, frame):
            if draft.labels:
                # a screen has no scale
                items = [
                    i for i in draft.items if not (isinstance(i, Text) and i.text.startswith(SCALE_WORDS))
                ]
                page = Page(frame.width, frame.height, tuple(items), draft.heading)
                shown = cropped(page, extent(items))
                self.layouts.append(Plate(draft.heading, shown, "sheets.pdf", draft.labels))

    def add_drawings(self, piece: Piece, drawn: Iterable[tuple[Sheet, Page]]) -> None:
        """The drawings of a piece."""
        for sheet, page in drawn:
            labels = tuple(p.label for p in piece.placements if piece.part_of(p).name in sheet.parts)
            about_parts = sheet.kind != "General arrangement"
            plate = Plate(f"{sheet.kind}: {sheet.name}", page, "drawings.pdf", labels if about_parts else ())
            (self.sheets if about_parts else self.arrangement).append(plate)

    def add_booklet(self, order: AssemblyOrder, booklet: Booklet) -> None:
        """The exploded views and the steps of a booklet."""
        file = "booklet.pdf"
        self.exploded += [Plate(page.title.partition(": ")[2], page, file) for page in booklet.exploded]
        at = {id(step): number for number, step in enumerate(order.steps)}
        units: dict[str, list[Item]] = {}
        for one in booklet.steps:  # all pictures of one unit stand at one place, and keep it
            units.setdefault(one.action.step.builds, []).extend(one.picture.items)
        reach = {unit: extent(items) for unit, items in units.items()}
        for one in booklet.steps:
            picture = cropped(one.picture, reach[one.action.step.builds])
            numbers = tuple(at[id(step)] for step in one.action.steps)
            plate = Plate(picture.title, picture, file)
            self.steps.append(StepInsert(numbers, plate, one.told.lines, one.told.cautions))


def step_inserts(inserts: Sequence[StepInsert]) -> dict[int, StepInsert]:
    """What is shown at each step, by its number: at the first of equal ones."""
    return {one.numbers[0]: one for one in inserts}


def _starts(item: Item, words: str) -> bool:
    return isinstance(item, Text) and item.text.startswith(words)
