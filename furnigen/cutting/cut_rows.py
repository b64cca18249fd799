"""The cut list as rows: what to cut how often, finished and rough sizes, grain, bands, joints in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from furnigen.catalogue.stock import Stock
from furnigen.core.pose import Pose
from furnigen.cutting.edge_bands import BandedCopies, banded_copies
from furnigen.cutting.features import SawnEnd, features_of
from furnigen.cutting.joint_words import Sides, joint_words, size_text
from furnigen.cutting.leg_words import leg_words
from furnigen.cutting.own_stock import Allowance, Band, Shop, named_in
from furnigen.parts.mass import mass_kg
from furnigen.parts.part import Part
from furnigen.piece.description import Piece, Placement


@dataclass(frozen=True)
class Size:
    """Length along the grain, width across it, thickness (mm)."""

    length: float
    width: float
    thickness: float


@dataclass(frozen=True)
class BandedEdge:
    """One edge of one copy that gets a band.

    Attributes:
        edge: what it is called.
        side: which edge of the part, "x-" to "y+".
        band: the band.
        length_mm: of the edge.
    """

    edge: str
    side: str
    band: Band
    length_mm: float


@dataclass(frozen=True)
class CutRow:
    """One row of the cut list.

    Attributes:
        part: name of the part, unique in the list.
        labels: of its copies, in order.
        stock: what it is cut from.
        finished: with tenons and tongues, and with its bands.
        rough: as it is cut out: without the thickness of its bands, with allowances.
        grain: whether its length must lie along the grain of the stock.
        form, hand: as in the description.
        bands: banded edges of one copy.
        joints: what is cut into it, in words.
        settings: saw settings, turning, in words.
        note: what a careful maker must know.
        mass_kg: of one copy.
        source: the part, and how its first copy stands; None where only its size is known.
        piece: what it belongs to, where several pieces are cut together.
        sheet: numbers of the sheets it is drawn on, where drawings are made.
    """

    part: str
    labels: tuple[str, ...]
    stock: Stock
    finished: Size
    rough: Size
    grain: bool
    form: str = "board"
    hand: str = ""
    bands: tuple[BandedEdge, ...] = ()
    joints: tuple[str, ...] = ()
    settings: tuple[str, ...] = ()
    note: str = ""
    mass_kg: float = 0.0
    source: tuple[Part, Pose] | None = None
    piece: str = ""
    sheet: str = ""

    @property
    def quantity(self) -> int:
        """How many copies."""
        return len(self.labels)

    @property
    def band_m(self) -> float:
        """Metres of band for all copies."""
        return self.quantity * sum(b.length_mm for b in self.bands) / 1000


@dataclass(frozen=True)
class Order:
    """One piece and how many of it are cut.

    Attributes:
        piece: the piece.
        copies: how many.
        name: what its labels are prefixed with, where several pieces are cut together.
    """

    piece: Piece
    copies: int = 1
    name: str = ""


def cut_rows(orders: Sequence[Order], shop: Shop, units: str = "mm") -> tuple[CutRow, ...]:
    """The rows of some pieces cut together, by stock, then thickness, then length.

    Args:
        units: of the words, "mm" or "in".
    """
    rows = [row for order in orders for row in _rows_of(order, shop, units)]
    return grouped_as_worked(rows)


def on_sheets(rows: Iterable[CutRow], sheets: Mapping[str, str]) -> tuple[CutRow, ...]:
    """Rows with the sheets they are drawn on.

    Args:
        sheets: numbers of sheets by name of the part, such as "4" or "4, 5".
    """
    return tuple(
        row if row.source is None else replace(row, sheet=sheets.get(row.source[0].name, "")) for row in rows
    )


def grouped_as_worked(rows: Iterable[CutRow]) -> tuple[CutRow, ...]:
    """Rows by stock, the thickest first, then the longest first."""
    return tuple(
        sorted(
            rows,
            key=lambda r: (
                r.stock.kind, r.stock.material, -r.rough.thickness, r.stock.name, -r.rough.length,
                -r.rough.width, r.part,
            ),
        )
    )  # fmt: skip


def _rows_of(order: Order, shop: Shop, units: str) -> list[CutRow]:
    piece = order.piece
    copies: list[list[Placement]] = [[] for _ in piece.parts]
    for placement in piece.placements:
        copies[placement.part].append(placement)
    legs = {note.part: note for note in piece.legs}
    rows = []
    for index, part in enumerate(piece.parts):
        groups = banded_copies(part, copies[index], shop.banding)
        features = features_of(part)
        settings = leg_words(part, legs.get(index), units)
        for number, group in enumerate(groups, 1):
            sides = Sides(group.placements[0].pose, part.form.blank_mm)
            row = _row(part, group, sides, shop, units)
            words = joint_words([f for f in features if not isinstance(f, SawnEnd)], sides, units)
            sawn = joint_words([f for f in features if isinstance(f, SawnEnd)], sides, units)
            name = part.name if len(groups) == 1 else f"{part.name} banded {number}"
            row = replace(
                row, part=name, joints=words, settings=(*settings, *sawn), note=row.note, piece=order.name
            )
            rows.append(_batched(row, order))
    return rows


def _batched(row: CutRow, order: Order) -> CutRow:
    """A row with the labels of all copies of its piece."""
    if not order.name:
        return row
    stems = [order.name] if order.copies == 1 else [f"{order.name}-{k}" for k in range(1, order.copies + 1)]
    labels = tuple(f"{stem}.{label}" for stem in stems for label in row.labels)
    return replace(row, part=f"{order.name} {row.part}", labels=labels)


def _row(part: Part, group: BandedCopies, sides: Sides, shop: Shop, units: str) -> CutRow:
    placements = group.placements
    pose = placements[0].pose
    finished = Size(*part.form.blank_mm)
    bands = tuple(
        BandedEdge(sides.name(e), e, band, finished.width if e[0] == "x" else finished.length)
        for e, band in group.edges
    )
    core = Size(
        finished.length - sum(b.band.thickness_mm for b in bands if b.side[0] == "x"),
        finished.width - sum(b.band.thickness_mm for b in bands if b.side[0] == "y"),
        finished.thickness,
    )
    names = (part.name, *(p.label for p in placements))
    rough, note = rough_size(
        core, part.stock, shop, names, own_blank=part.form.as_leg is not None, units=units
    )
    return CutRow(
        part.name,
        tuple(p.label for p in placements),
        part.stock,
        finished,
        rough,
        part.stock.kind != "sheet" or part.stock.grain,
        part.form.kind,
        part.hand,
        bands,
        note=note,
        mass_kg=mass_kg(part),
        source=(part, pose),
    )


def allowance_of(stock: Stock, shop: Shop, names: Sequence[str] = ()) -> Allowance:
    """What parts of a stock are cut larger by.

    Args:
        names: of the part, for panels that are veneered.
    """
    given = shop.allowances
    if stock.kind == "sheet":
        return given.veneered if named_in(given.veneer, *names) else given.panel
    if stock.kind in ("bar", "blank"):
        return given.bar
    return given.solid if "-rough" in stock.name else given.surfaced


def rough_size(
    core: Size,
    stock: Stock,
    shop: Shop,
    names: Sequence[str] = (),
    *,
    own_blank: bool = False,
    units: str = "mm",
) -> tuple[Size, str]:
    """The size a part is cut out at, and what must be known about it.

    Allowances give way where the stock itself ends: a board as wide as the part is taken at its width.

    Args:
        core: finished size, less the thickness of its bands.
        own_blank: the size is that of a blank already, with its allowance.
    """
    allow = Allowance() if own_blank else allowance_of(stock, shop, names)
    length, width, thickness = core.length + allow.length, core.width + allow.width, core.thickness
    notes = []
    clear = [o.length_mm - o.trim.left - o.trim.right for o in shop.offers_of(stock)]
    longest = max(clear, default=length)
    if core.length <= longest < length:
        notes.append(
            f"only {size_text(longest - core.length, units)} over length in the longest {stock.kind}"
        )
        length = longest
    if stock.kind != "sheet":
        if stock.kind in ("bar", "blank"):
            width = max(width, stock.width_mm)  # its whole section is taken
        elif core.width <= stock.width_mm:
            width = min(width, stock.width_mm)
        sold = stock.as_sold_mm or stock.thickness_mm
        thickness = sold
        spare = sold - core.thickness
        if spare < allow.thickness - 0.01:
            left = size_text(spare, units) if spare > 0.01 else "nothing"
            notes.append(f"{left} is left of the stock for planing its thickness")
    return Size(length, width, thickness), "; ".join(notes)
