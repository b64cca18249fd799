"""Every printed figure, read back from PDF, SVG and DXF, is a distance that the STEP file measures.

The files are read by readers of others (pypdf, an XML reader, ezdxf, the kernel's document reader). A figure
must be within the rounding of its unit of the distance between two features of the solids in the STEP file,
and both its ends must lie on such features.
"""

from __future__ import annotations

import re
from functools import cache
from itertools import permutations, product
from math import hypot, inf

import numpy as np
import pytest
from drawn_cases import CASES, RECIPES, built, drawn, files
from read_back import (
    Box,
    Measured,
    Read,
    StepPart,
    directions,
    features,
    joined_figure,
    read_dxf,
    read_pdf,
    read_step,
    read_svg,
    room_directions,
    room_features,
    rounding,
    table_rows,
    turned_axis,
    turned_sizes,
    value_of,
)

from furnigen.drawings.cut_tables import HEADS
from furnigen.drawings.files import BETWEEN_MM
from furnigen.drawings.part_data import part_data
from furnigen.drawings.sheet import Setting

METRIC, INCH = Setting(), Setting.usual("in")
SETTINGS = (METRIC, INCH, Setting("A3", "mm", "third"), Setting("tabloid", "in", "first"))
EVERY = [
    pytest.param(case, setting, marks=() if (case, n) == ("divided_case", 0) else pytest.mark.slow)
    for k, case in enumerate(CASES)
    for n, setting in enumerate(SETTINGS)
    if (k < 2 or n < 2) and (case in RECIPES or n == k % 2)
]
"""Recipes in both units, two of them in both projections too; pieces of the studio in one of the units."""
ON_MM = 0.06
"""An end of a dimension lies this near a feature of the solids (mm of the real thing): files state paper to
1e-4 mm, views join lines within 0.02 mm."""
TITLES = {"Front": (0, 1, 2, 1), "Left side": (1, -1, 2, 1), "Plan": (0, 1, 1, 1)}
"""Axis of the room and its sign, rightward and upward, of the views of a piece."""


def named(value: object) -> str:
    return f"{value.sheet}-{value.units}-{value.projection}" if isinstance(value, Setting) else str(value)


@cache
def measured(case: str, folder) -> dict[str, StepPart]:
    path = folder / f"{case}.step"
    path.write_bytes(built(case).make("step", groups=()).files["model.step"])
    return read_step(path)


@pytest.fixture(scope="session")  # tests of other modules come between: the order is by piece
def step_folder(tmp_path_factory):
    return tmp_path_factory.mktemp("step")


@cache
def sheets(case: str, setting: Setting) -> list[tuple[Read, list[Measured]]]:
    widths = [page.width for _, page in drawn(case, setting)]
    return read_dxf(files(case, setting)["drawings.dxf"], widths, BETWEEN_MM)


@cache
def svg_sheets(case: str, setting: Setting) -> list[Read]:
    made = files(case, setting)
    return [read_svg(made[name]) for name in sorted(made) if name.startswith("drawings/")]


@cache
def pdf_sheets(case: str, setting: Setting) -> list[Read]:
    return read_pdf(files(case, setting)["drawings.pdf"])


@pytest.mark.parametrize(("case", "setting"), EVERY, ids=named)
def test_pdf_svg_and_dxf_say_the_same_at_the_same_places(case, setting):
    of_dxf = [read for read, _ in sheets(case, setting)]
    of_svg, of_pdf = svg_sheets(case, setting), pdf_sheets(case, setting)
    assert len(of_dxf) == len(of_svg) == len(of_pdf)
    for dxf, svg, pdf in zip(of_dxf, of_svg, of_pdf, strict=True):
        assert (svg.width, svg.height) == pytest.approx((pdf.width, pdf.height), abs=0.05)
        assert sorted(t.text for t in dxf.texts) == sorted(t.text for t in svg.texts)
        for text in svg.texts:
            assert dxf.says(text.text, text.at), text
            assert pdf.says(text.text, text.at), text
        letters = [sorted("".join(t.text.replace(" ", "") for t in one.texts)) for one in (svg, pdf)]
        assert letters[0] == letters[1], "the PDF says no more than that"


def same_stroke(strokes: np.ndarray, a: tuple[float, float], b: tuple[float, float]) -> bool:
    there = np.abs(strokes - np.array([*a, *b])).max(axis=1)
    back = np.abs(strokes - np.array([*b, *a])).max(axis=1)
    return bool(min(there.min(), back.min()) < 0.02)


@pytest.mark.parametrize(("case", "setting"), EVERY, ids=named)
def test_a_figure_stands_at_its_dimension_line_in_each_file(case, setting):
    """What the DXF file calls a dimension is drawn in PDF and SVG with the same figure and line."""
    for (_, dims), svg, pdf in zip(
        sheets(case, setting), svg_sheets(case, setting), pdf_sheets(case, setting), strict=True
    ):
        for one in (svg, pdf):
            strokes = np.array([[*a, *b] for a, b in one.strokes])
            for d in dims:
                assert joined_figure(d.pieces) == d.text
                for piece in d.pieces:
                    assert one.says(piece.text, piece.at), (d.text, piece)
                assert all(same_stroke(strokes, a, b) for a, b in d.lines), d


def on_features(values: np.ndarray, at: float) -> bool:
    return bool(np.abs(values - at).min() < ON_MM)


def home_of(d: Measured, views: tuple[Box, ...]) -> Box:
    """The view that a dimension stands at: the nearest whose span holds it."""
    x, y = ((d.first[k] + d.second[k]) / 2 for k in (0, 1))

    def away(view: Box) -> float:
        dx = max(view[0] - x, 0.0, x - view[2])
        dy = max(view[1] - y, 0.0, y - view[3])
        return hypot(dx, dy)

    return min(views, key=away)


Way = tuple[int, int, int, int]
"""Axis and sign that a view sees rightward, axis and sign upward."""


def holds(d: Measured, view: Box, way: Way, points: np.ndarray, turns: np.ndarray, units: str) -> bool:
    """Whether both ends of a dimension lie on features, and its figure is their distance."""
    if d.kind == "angular":
        return holds_angle(d, way, turns)
    right, s, up, u = way
    axis, sign = (up, u) if abs(d.turn - 90.0) < 0.01 else (right, s)
    upright = abs(d.turn - 90.0) < 0.01
    start = view[1] if upright else view[0]
    base = points[:, axis].min() if sign > 0 else points[:, axis].max()
    ends = [base + sign * (p[1 if upright else 0] - start) * d.factor for p in (d.first, d.second)]
    figure = value_of(d.text, units)
    return (
        all(on_features(points[:, axis], e) for e in ends)
        and abs(abs(ends[1] - ends[0]) - figure) <= rounding(units) + ON_MM / 2
    )


def holds_angle(d: Measured, way: Way, turns: np.ndarray) -> bool:
    """Whether an angle is that of its legs, and two edges, or an edge and an axis, are seen under it."""
    ends = [np.subtract(p, d.apex) for p in (d.first, d.second)]
    legs = [np.arctan2(y, x) for x, y in ends]
    figure = np.radians(value_of(d.text, ""))
    drawn_angle = (legs[1] - legs[0]) % (2 * np.pi)
    right, s, up, u = way
    flat = np.column_stack([turns[:, right] * s, turns[:, up] * u])
    flat = np.concatenate([flat[np.hypot(*flat.T) > 1e-6], [[1.0, 0.0], [0.0, 1.0]]])
    seen = np.unique(np.round(np.arctan2(flat[:, 1], flat[:, 0]) % np.pi, 7))
    near = np.radians(0.06)

    def is_seen(leg: float) -> bool:
        away = np.abs(seen - leg % np.pi)
        return bool(np.minimum(away, np.pi - away).min() < near)

    return abs(drawn_angle - figure) < near and all(map(is_seen, legs))


@pytest.mark.parametrize(("case", "setting"), EVERY, ids=named)
def test_every_figure_of_the_arrangement_is_a_distance_in_the_step_file(case, setting, step_folder):
    parts = measured(case, step_folder)
    points, turns = room_features(parts), room_directions(parts)
    size = np.ptp(points, axis=0)
    count = 0
    for (sheet, _), (read, dims) in zip(drawn(case, setting), sheets(case, setting), strict=True):
        if sheet.kind != "General arrangement" or not dims:
            continue
        for d in dims:
            view = home_of(d, read.views)
            title = min(
                (t for t in read.texts if t.text in TITLES or t.text.startswith("Section")),
                key=lambda t: hypot(t.at[0] - (view[0] + view[2]) / 2, t.at[1] - view[3]),
            )
            right, s, up, u = TITLES.get(title.text, TITLES["Left side"])
            if title.text in TITLES:
                wide, high = ((view[k + 2] - view[k]) * sheet.scale for k in (0, 1))
                assert (wide, high) == pytest.approx((size[right], size[up]), abs=0.1), title.text
            assert holds(d, view, (right, s, up, u), points, turns, setting.units), (
                sheet.name,
                title.text,
                d,
            )
            count += 1
    assert count >= 5


@pytest.mark.parametrize(("case", "setting"), EVERY, ids=named)
def test_every_figure_of_a_part_sheet_is_a_distance_in_the_step_file(case, setting, step_folder):
    parts = measured(case, step_folder)
    by_name = {p.name: p for p in built(case).piece.parts}
    checked = set()
    for (sheet, _), (read, dims) in zip(drawn(case, setting), sheets(case, setting), strict=True):
        if not sheet.kind.startswith("Part") or not dims:
            continue
        name = sheet.parts[0]
        checked.add(name)
        if by_name[name].form.as_leg is not None:
            of_a_leg(by_name[name].form.blank_mm, parts[name], dims, setting.units)
            continue
        solid = parts[sheet.parts[0]].shape
        points, turns = features(solid), directions(solid)
        by_view: dict[Box, list[Measured]] = {}
        for d in dims:
            by_view.setdefault(home_of(d, read.views), []).append(d)
        for view, mine in by_view.items():
            wide, high = ((view[k + 2] - view[k]) * sheet.scale for k in (0, 1))
            size = np.ptp(points, axis=0)
            ways = [
                (right, s, up, u)
                for right, up in permutations(range(3), 2)
                for s, u in product((1, -1), (1, -1))
                if abs(size[right] - wide) < 0.1 and abs(size[up] - high) < 0.1
            ]
            assert ways, f"{sheet.name}: no side of the solid is {wide:g} x {high:g}"
            fits = [
                way for way in ways if all(holds(d, view, way, points, turns, setting.units) for d in mine)
            ]
            assert fits, (sheet.name, view, mine)
    assert checked == set(parts) == {p.name for p in built(case).piece.parts}


def of_a_leg(blank: tuple[float, float, float], part: StepPart, dims: list[Measured], units: str) -> None:
    """Each size of a turned leg is one along the axis of its solid, a diameter there, or of its blank."""
    turned = turned_sizes(part.shape)
    place = next(iter(part.places.values()))
    x, y, z = np.abs(place[:3, :3] @ turned_axis(part.shape))
    lean = np.degrees(np.arctan2(np.hypot(x, y), z))
    for d in dims:
        value = value_of(d.text, units)
        if d.kind == "angular":
            seen = [np.degrees(np.arctan2(a, b)) for a, b in ((x, y), (x, z), (y, z))]
            known = [lean, 90.0 - lean, *seen, *turned.end_angles]
            assert min(abs(value - k) for k in known) < 0.06, d
        elif d.text.startswith("⌀"):
            assert min(abs(value - k) for k in turned.diameters) < rounding(units) + ON_MM, d
        else:
            known = [
                *blank,
                *turned.edges,
                *(abs(a - b) for a in turned.stops for b in turned.stops if a != b),
            ]
            assert min(abs(value - k) for k in known) < rounding(units) + ON_MM, d


@pytest.mark.parametrize(("case", "setting"), EVERY, ids=named)
def test_angles_of_legs_are_those_of_the_step_file(case, setting, step_folder):
    """Rake, splay, resultant and sightline, from where the leg's own axis points in the file."""
    parts = measured(case, step_folder)
    text = " ".join(t.text for read, _ in sheets(case, setting) for t in read.texts)
    said = re.findall(
        r"([\w ]+): rake ([\d.]+)°, splay ([\d.]+)°, resultant ([\d.]+)°, sightline ([\d.]+)°", text
    )
    leaning = [note for note in built(case).piece.legs if note.resultant > 0.05]
    assert bool(said) == bool(leaning)
    for named_part, *angles in said:
        name = next(n for n in parts if named_part.endswith(n))
        rake, splay, resultant, sight = map(float, angles)
        place = next(iter(parts[name].places.values()))
        axis = place[:3, :3] @ turned_axis(parts[name].shape)
        x, y, z = np.abs(axis)
        assert rake == pytest.approx(np.degrees(np.arctan2(y, z)), abs=0.051)
        assert splay == pytest.approx(np.degrees(np.arctan2(x, z)), abs=0.051)
        assert resultant == pytest.approx(np.degrees(np.arctan2(hypot(x, y), z)), abs=0.051)
        assert sight == pytest.approx(np.degrees(np.arctan2(x, y)), abs=0.51)


def figures_in(cell: str, units: str) -> list[float]:
    """The sizes a cell of a table states: "12, 34", "20 x 30 x 6" or "160 to 1824 in 52 steps of 32"."""
    found = []
    for said in (part.strip() for part in re.split(r", | x ", cell)):
        row = re.fullmatch(r"(.*) to (.*) in (\d+) steps of (.*)", said)
        if row:
            first, last, step = (value_of(row[k], units) for k in (1, 2, 4))
            count = int(row[3])
            assert abs((last - first) / count - step) < rounding(units)
            found += [first + (last - first) * k / count for k in range(count + 1)]
        elif said:
            found.append(value_of(said, units))
    return found


def same_values(told: list[float], meant: set[float], units: str) -> bool:
    """Whether each size told is meant, and none that is meant is left out, within rounding."""
    near = rounding(units)
    return all(min(abs(t - m) for m in meant) <= near for t in told) and all(
        min(abs(t - m) for t in told) <= near for m in meant
    )


@pytest.mark.parametrize(("case", "setting"), EVERY, ids=named)
def test_the_printed_table_states_the_cuts_that_the_part_is_rebuilt_from(case, setting):
    """Read from the PDF; that these cuts make the solid of the STEP file is tested by rebuilding it."""
    units, count = setting.units, 0
    tables: dict[str, list[list[str]]] = {}
    for (sheet, _), read in zip(drawn(case, setting), pdf_sheets(case, setting), strict=True):
        if sheet.kind.startswith("Part"):
            tables.setdefault(sheet.parts[0], []).extend(table_rows(read, HEADS))
    for part in built(case).piece.parts:
        data = part_data(part)
        rows: dict[int, list[list[str]]] = {}
        number = 0
        for row in tables[part.name]:
            if row[0].isdigit():
                number = int(row[0])
            rows.setdefault(number, []).append(row)
        for cut in data.cuts:
            mine = rows[cut.number]
            assert mine[0][1].startswith(cut.what.split(",")[0]), (part.name, cut)
            if cut.shape not in ("box", "hole"):
                continue
            mine = [row for row in mine if "bottom" not in row[1]]
            for axis in range(3):
                told = [v for row in mine for v in figures_in(row[3 + axis], units)]
                if told:
                    assert same_values(told, {p[axis] for p in cut.places}, units), (part.name, cut, told)
                    count += 1
                else:  # along the depth: stated from the face
                    assert "xyz"[axis] == cut.face[0] or cut.depth == inf, (part.name, cut)
            size, depth = mine[0][6], mine[0][7]
            meant = {cut.diameter} if cut.shape == "hole" else set(cut.size)
            assert same_values(figures_in(size, units), meant, units), (part.name, cut, size)
            if cut.depth == inf:
                assert depth == "through"
            else:
                assert same_values(figures_in(depth, units), {cut.depth}, units), (part.name, cut, depth)
            count += 1
    assert count
