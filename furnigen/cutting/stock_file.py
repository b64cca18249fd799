"""Reading a maker's `stock.toml`: what can be had, the saw, prices; strictly.

`furnigen cut --sample-stock` prints a sample with every key explained (furnigen/cutting/sample_stock.toml).
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from furnigen.catalogue.materials import find_material
from furnigen.catalogue.stock import KINDS, Stock, find_stock, own_stock
from furnigen.core.errors import InputError
from furnigen.cutting.own_stock import (
    EDGE_WORDS,
    Allowance,
    Allowances,
    Band,
    Banding,
    Finish,
    Labour,
    Offer,
    Router,
    Saw,
    Shop,
    Trim,
    as_sold,
    board_feet,
    same_stock,
)
from furnigen.cutting.strict_table import StrictTable, read_each
from furnigen.recipes.discovery import read_toml

PRICES = ("price", "price_per_m2", "price_per_m", "price_per_board_foot")
MM2_PER_M2 = 1e6


def sample_stock() -> str:
    """The sample of a stock file, as text; its prices are invented."""
    return (Path(__file__).parent / "sample_stock.toml").read_text(encoding="utf-8")


def read_stock_file(path: Path) -> Shop:
    """All that a stock file states.

    Raises: InputError naming the place in the file: an unknown key, stock or price, a size out of range, two
        offers of one name.
    """
    return read_shop(read_toml(path, "stock file"), path.name)


def shop_in(path: str | Path | None) -> Shop:
    """What a stock file states; without one, what the catalogue says is sold, without prices.

    Raises: as `read_stock_file`.
    """
    return Shop() if path is None else read_stock_file(Path(path))


def read_shop(data: dict[str, object], name: str) -> Shop:
    """All that the tables of a stock file state.

    Raises: as `read_stock_file`.
    """
    units = data.get("units", "mm")
    if units not in ("mm", "in"):
        raise InputError(f"{name}: units", units, "must be mm or in")
    top = StrictTable(data, name, str(units))
    top.take("units")
    currency = top.text("currency") or ""
    invented = top.flag("invented", False)
    saw, trims = _saw(top)
    bands = tuple(read_each(top.tables("band"), _band))
    by_name = {b.name: b for b in bands}
    shop = Shop(
        name=name,
        currency=currency,
        invented=invented,
        saw=saw,
        router=_router(top),
        allowances=_allowances(top),
        bands=bands,
        banding=tuple(read_each(top.tables("banding"), lambda t: _banding(t, by_name))),
        finishes=tuple(read_each(top.tables("finish"), _finish)),
        labour=_labour(top),
        hardware=_hardware(top),
        matched=tuple(read_each(top.tables("matched"), _matched)),
        least_offcut_mm=_or(top.length("least_offcut"), 100.0),
        trim=trims[0],
        end_trim=trims[1],
    )
    own: dict[str, Stock] = {}
    offers: list[Offer] = []
    for kind in ("sheet", "board", "bar", "blank", "offcut"):
        for table in top.tables(kind):
            with table.naming():
                offers += _offers(table, kind, shop, own)
            table.done()
    top.done()
    _different(name, offers, bands)
    _all_or_no_prices(name, offers)
    offers.sort(key=lambda o: not o.offcut)
    return replace(shop, offers=tuple(offers), own=tuple(own.values()))


def _or(value: float | None, usual: float) -> float:
    return usual if value is None else value


def _trim(table: StrictTable, key: str, usual: Trim) -> Trim:
    """One length for all edges, or a table with some of them."""
    if not table.has(key):
        table.take(key)
        return usual
    value = table.take(key)
    if not isinstance(value, dict):
        again = StrictTable({key: value}, table.place, table.units)
        each = again.length(key, zero=True) or 0.0
        return Trim(each, each, each, each)
    inner = StrictTable(value, f"{table.place}: {key}", table.units)
    sides = [inner.length(side, zero=True) for side in ("left", "right", "bottom", "top")]
    inner.done()
    return Trim(*(_or(side, 0.0) for side in sides))


def _saw(top: StrictTable) -> tuple[Saw, tuple[Trim, Trim]]:
    table = top.table("saw")
    usual, shop = Saw(), Shop()
    if table is None:
        return usual, (shop.trim, shop.end_trim)
    kerf = _or(table.length("kerf", zero=True), usual.kerf_mm)
    first = table.text("first_cut", ("either", "rip", "crosscut")) or usual.first_cut
    stages = table.count("stages")
    trimming = table.flag("trimming", True)
    widest = table.length("largest_strip")
    trims = _trim(table, "trim", shop.trim), _trim(table, "end_trim", shop.end_trim)
    table.done()
    return Saw(kerf, first, stages, trimming, widest), trims


def _router(top: StrictTable) -> Router | None:
    table = top.table("router")
    if table is None:
        return None
    cutter = table.need("cutter", table.length("cutter"), '"6 mm"')
    spacing = _or(table.length("spacing", zero=True), 0.0)
    table.done()
    return Router(cutter, spacing)


def _allowances(top: StrictTable) -> Allowances:
    table = top.table("allowances")
    usual = Allowances()
    if table is None:
        return usual
    found = {}
    for kind in ("solid", "surfaced", "bar", "panel", "veneered"):
        inner = table.table(kind)
        before: Allowance = getattr(usual, kind)
        if inner is None:
            found[kind] = before
            continue
        sides = [
            _or(inner.length(s, zero=True), getattr(before, s)) for s in ("length", "width", "thickness")
        ]
        inner.done()
        found[kind] = Allowance(*sides)
    veneer = table.texts("veneer", empty=True) or ()
    table.done()
    return Allowances(**found, veneer=veneer)


def _band(table: StrictTable) -> Band:
    name = table.need("name", table.text("name"), '"birch 1 mm"')
    thickness = table.need("thickness", table.length("thickness"), '"1 mm"')
    price = table.money("price_per_m")
    return Band(name, thickness, None if price is None else round(price))


def _banding(table: StrictTable, bands: dict[str, Band]) -> Banding:
    parts = table.need("parts", table.texts("parts"), '"shelf*"')
    edges = table.need("edges", table.texts("edges", EDGE_WORDS), '"front"')
    name = table.need("band", table.text("band"), '"birch 1 mm"')
    if name not in bands:
        known = ", ".join(bands) or "none in the file; add a [[band]]"
        raise InputError(f"{table.place}: band", name, "is not a band of this file", f"there are {known}")
    return Banding(parts, edges, bands[name])


def _finish(table: StrictTable) -> Finish:
    name = table.need("name", table.text("name"), '"hard wax oil"')
    parts = table.texts("parts") or ("*",)
    price = table.money("price_per_m2")
    minutes = _or(table.number("minutes_per_m2"), 0.0)
    return Finish(name, parts, None if price is None else round(price), minutes)


def _labour(top: StrictTable) -> Labour | None:
    table = top.table("labour")
    if table is None:
        return None
    per_hour = table.need("per_hour", table.money("per_hour"), "45")
    keys = ("per_sheet", "per_bar", "per_part", "per_band_m", "per_joint_cut")
    minutes = {key: _or(table.number(f"minutes_{key}"), 0.0) for key in keys}
    table.done()
    return Labour(round(per_hour), **minutes)


def _hardware(top: StrictTable) -> tuple[tuple[str, int], ...]:
    table = top.table("hardware")
    if table is None:
        return ()
    prices = {}
    for name, value in table.rest().items():
        price = StrictTable({name: value}, table.place, table.units).money(name)
        prices[name] = round(price or 0.0)
    return tuple(prices.items())


def _matched(table: StrictTable) -> tuple[tuple[str, ...], bool]:
    labels = table.need("labels", table.texts("labels"), '["front.1", "front.2"]')
    if len(labels) < 2:
        raise InputError(f"{table.place}: labels", labels[0], "must be two or more, in their order")
    return labels, table.text("follow", ("along", "across")) != "across"


def _offers(table: StrictTable, kind: str, shop: Shop, own: dict[str, Stock]) -> list[Offer]:
    """The offers of one table: one for each length it lists."""
    stock = _stock_of(table, kind, own)
    sheet = stock.kind == "sheet"
    name = table.text("number") if kind == "offcut" else None
    name = name or table.text("name") or (stock.name if kind != "offcut" else "")
    if not name:
        raise InputError(f"{table.place}: number", "not given", "must be given", 'such as number = "R12"')
    lengths = _lengths(table, stock)
    width = _or(table.length("width"), stock.width_mm)
    rate = _price(table)
    copies = table.count("copies", 0)
    if kind == "offcut" and copies is None:
        copies = 1
    trim = _trim(table, "trim", shop.trim if sheet else shop.end_trim)
    if kind == "offcut" and rate is None:
        rate = ("price", 0.0)
    defects = table.stretches("defects")
    if sheet and defects:
        raise InputError(
            f"{table.place}: defects", "stretches", "are of boards and bars; cut the sheet there first"
        )
    made = []
    for length in lengths:
        full = name if len(lengths) == 1 else f"{name} {length:.10g}"
        price = None if rate is None else _price_of(rate, stock, length, width)
        _fits(table, trim, length, width if sheet else None, defects)
        made.append(Offer(full, stock, length, width, price, copies, trim, defects, kind == "offcut"))
    return made


def _stock_of(table: StrictTable, kind: str, own: dict[str, Stock]) -> Stock:
    """The stock a table is of: one of the table of stock, or the maker's own."""
    named = table.text("stock")
    material = table.text("material")
    if named is not None and material is not None:
        raise InputError(f"{table.place}: material", material, "is known already from stock", "leave it out")
    if named is not None:
        with own_stock(own.values()):
            stock = find_stock(named)
        fits = kind == "offcut" or stock.kind == kind
        if not fits:
            raise InputError(
                f"{table.place}: stock", named, f"is a {stock.kind}", f"put it under [[{stock.kind}]]"
            )
        return stock
    if material is None or kind == "offcut":
        table.need("stock", None, '"birch-ply-18-2440"')
    assert material is not None
    name = table.need("name", table.text("name"), '"maple-ply-19"')
    thickness = table.need("thickness", table.length("thickness"), '"19 mm"')
    length = table.length("length") if not table.has("lengths") else None
    made = Stock(
        name=name,
        title=table.text("title") or name,
        kind=kind if kind in KINDS else "sheet",
        material=find_material(material).name,
        nominal=f"{thickness:g} mm",
        thickness_mm=thickness,
        width_mm=table.need("width", table.length("width"), '"1220 mm"'),
        length_mm=length or _longest(table),
        grain=table.flag("grain", True),
        section="round" if table.flag("round", False) else "rect",
        source=f"stated in {table.place.partition(':')[0]}",
        provenance="stated by the maker",
    )
    if name in own and own[name] != made:
        raise InputError(f"{table.place}: name", name, "is that of another stock in this file")
    own[name] = made
    # the same keys state the offer
    table.put("name", name)
    table.put("width", f"{made.width_mm:.10g} mm")
    if not table.has("lengths"):
        table.put("length", f"{made.length_mm:.10g} mm")
    return made


def _longest(table: StrictTable) -> float:
    """The longest of its lengths, left to be read again."""
    value = table.take("lengths")
    if value is None:
        table.need("length", None, '"2440 mm"')
    again = StrictTable({"lengths": value}, table.place, table.units)
    table.put("lengths", value)
    return max(_each_length(again))


def _each_length(table: StrictTable) -> list[float]:
    value = table.take("lengths")
    if not isinstance(value, list) or not value:
        raise InputError(f"{table.place}: lengths", str(value), "must be a list", 'such as ["2.4 m", "3 m"]')
    return [table.one_length("lengths", one) for one in value]


def _lengths(table: StrictTable, stock: Stock) -> list[float]:
    if table.has("lengths"):
        if table.has("length"):
            raise InputError(f"{table.place}: lengths", "given", "together with length", "give one of them")
        return _each_length(table)
    table.take("lengths")
    return [_or(table.length("length"), stock.length_mm)]


def _price(table: StrictTable) -> tuple[str, float] | None:
    stated = [(key, value) for key in PRICES if (value := table.money(key)) is not None]
    if len(stated) > 1:
        both = " and ".join(key for key, _ in stated)
        raise InputError(f"{table.place}: price", both, "are both given", "give one of them")
    return stated[0] if stated else None


def _price_of(rate: tuple[str, float], stock: Stock, length: float, width: float) -> int:
    """Price of one piece, hundredths of the currency."""
    key, value = rate
    amount = {
        "price": 1.0,
        "price_per_m2": length * width / MM2_PER_M2,
        "price_per_m": length / 1000,
        "price_per_board_foot": board_feet(stock, length),
    }[key]
    return round(value * amount)


def _fits(
    table: StrictTable,
    trim: Trim,
    length: float,
    width: float | None,
    defects: tuple[tuple[float, float], ...],
) -> None:
    """Refuse trims that leave nothing, and defects beyond the end."""
    if trim.left + trim.right >= length:
        raise InputError(
            f"{table.place}: trim",
            f"{trim.left + trim.right:g} mm",
            f"must be less than the length of {length:g} mm",
        )
    if width is not None and trim.bottom + trim.top >= width:
        raise InputError(
            f"{table.place}: trim",
            f"{trim.bottom + trim.top:g} mm",
            f"must be less than the width of {width:g} mm",
        )
    if defects and defects[-1][1] > length:
        raise InputError(
            f"{table.place}: defects",
            f"{defects[-1][0]:g} to {defects[-1][1]:g} mm",
            f"must lie within the length of {length:g} mm",
        )


def _different(name: str, offers: list[Offer], bands: tuple[Band, ...]) -> None:
    seen: set[str] = set()
    for one in (*(o.name for o in offers), *(f"band {b.name}" for b in bands)):
        if one in seen:
            raise InputError(f"{name}: name", one, "is there twice", "give each its own name")
        seen.add(one)


def _all_or_no_prices(name: str, offers: list[Offer]) -> None:
    """Of what is of one material and thickness, all to be bought must have a price, or none."""
    for one in offers:
        if one.price is not None:
            continue
        priced = next((o for o in offers if o.price and same_stock(o.stock, one.stock)), None)
        if priced is not None:
            raise InputError(
                f"{name}: price of {one.name}",
                "not given",
                f"must be given, since {priced.name}, of the same {as_sold(one.stock).name}, has one",
            )
