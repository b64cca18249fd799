"""What a drawing's files say, read back by other programs' readers, and what a STEP file measures.

PDF by pypdf (its content streams token by token), SVG by an XML reader, DXF by ezdxf, STEP by the kernel's
document reader. Everything on paper is in mm from the lower left corner of its sheet.
"""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians, sin, sqrt
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import ezdxf
import numpy as np
from pypdf import PdfReader

from furnigen.paper.lettering import CAPITALS, advance, width_of

SVG = "{http://www.w3.org/2000/svg}"
POINT_MM = 25.4 / 72.0
KERNED = 0.3
"""Letters are drawn nearer to each other than they lead by at most this share of their height."""
Point = tuple[float, float]


@dataclass(frozen=True)
class Said:
    """A text: where its base line starts, how high its capitals are, how it is turned (degrees)."""

    text: str
    at: Point
    height: float
    turn: float = 0.0


@dataclass(frozen=True)
class Measured:
    """A dimension of the DXF file: what it says, the two points it measures, its kind, real over paper.

    Attributes:
        apex: a point of its line; of an angle its vertex.
        pieces, lines: what is drawn of it: texts and straight lines.
    """

    text: str
    first: Point
    second: Point
    turn: float
    factor: float
    kind: str
    apex: Point
    pieces: tuple[Said, ...]
    lines: tuple[tuple[Point, Point], ...] = ()

    @property
    def paper_mm(self) -> float:
        """Along its dimension line, on paper (mm)."""
        t = radians(self.turn)
        dx, dy = self.second[0] - self.first[0], self.second[1] - self.first[1]
        return abs(dx * cos(t) + dy * sin(t))


Box = tuple[float, float, float, float]
"""Left, bottom, right, top."""


@dataclass(frozen=True)
class Read:
    """One sheet as a reader found it.

    Attributes:
        strokes: straight ones, their ends in either order.
        views: the boxes that its visible lines fill, one for each view (DXF only: it has layers).
        letters: each by itself, in their order, where they start (PDF only).
    """

    width: float
    height: float
    texts: tuple[Said, ...]
    strokes: tuple[tuple[Point, Point], ...]
    views: tuple[Box, ...] = ()
    letters: tuple[tuple[str, Point], ...] = ()

    def says(self, text: str, at: Point, within: float = 0.25) -> bool:
        """Whether some text starts at a point (mm): what stands in the middle shifts by half its kerning."""
        if not self.letters:
            return any(
                t.text == text and hypot(t.at[0] - at[0], t.at[1] - at[1]) < within for t in self.texts
            )
        plain = text.replace(" ", "")
        return any(
            said == plain[0]
            and hypot(x - at[0], y - at[1]) < within
            and plain == "".join(c for c, _ in self.letters[k : k + len(plain)])
            for k, (said, (x, y)) in enumerate(self.letters)
        )


def _numbers(text: str) -> list[float]:
    return [float(v) for v in re.findall(r"-?\d+(?:\.\d+)?(?:e-?\d+)?", text)]


def read_svg(data: bytes) -> Read:
    """A sheet from its SVG file."""
    root = ElementTree.fromstring(data)
    _, _, wide, high = _numbers(root.get("viewBox", ""))
    texts, strokes = [], []
    for e in root.iter(f"{SVG}text"):
        said = "".join(e.itertext())
        x, y = float(e.get("x", "0")), high - float(e.get("y", "0"))
        turn = -_numbers(e.get("transform", "rotate(0)"))[0]
        tall = float(e.get("font-size", "0")) * CAPITALS
        long = float(e.get("textLength") or width_of(said, tall))
        back = {"start": 0.0, "middle": long / 2, "end": long}[e.get("text-anchor", "start")]
        t = radians(turn)
        texts.append(Said(said, (x - back * cos(t), y - back * sin(t)), tall, turn))
    for kind in ("polyline", "polygon"):
        for e in root.iter(f"{SVG}{kind}"):
            v = _numbers(e.get("points", ""))
            points = [(a, high - b) for a, b in zip(v[::2], v[1::2], strict=True)]
            ends = points[1:] if kind == "polyline" else [*points[1:], points[0]]
            strokes += list(zip(points, ends, strict=False))
    return Read(wide, high, tuple(texts), tuple(strokes))


def read_pdf(data: bytes) -> list[Read]:
    """The sheets of a PDF file."""
    return [_pdf_page(page) for page in PdfReader(io.BytesIO(data)).pages]


_TOKEN = re.compile(
    rb"\((?:\\.|[^\\()])*\)|<<|>>|<[0-9A-Fa-f\s]*>|/[^\s/\[\](<>]+|\[|\]|[-+.\d]+|[A-Za-z'\"*]+", re.S
)
_ESCAPE = re.compile(rb"\\([0-7]{1,3}|.)", re.S)
_PLAIN = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}


def _string(token: bytes) -> bytes:
    """The bytes of a string of a content stream."""
    if token[:1] == b"<":
        return bytes.fromhex(token[1:-1].decode())

    def plain(m: re.Match[bytes]) -> bytes:
        said = m[1]
        return bytes([int(said, 8)]) if said.isdigit() else _PLAIN.get(said, said)

    return _ESCAPE.sub(plain, token[1:-1])


def _letters_of(font: Any) -> dict[int, str]:
    """What each code of a font says: its ToUnicode map."""
    text = font["/ToUnicode"].get_object().get_data().decode()
    found = {}
    for block in re.findall(r"beginbfchar(.*?)endbfchar", text, re.S):
        for code, said in re.findall(r"<([0-9A-F]+)>\s*<([0-9A-F]+)>", block):
            found[int(code, 16)] = bytes.fromhex(said).decode("utf-16-be")
    for block in re.findall(r"beginbfrange(.*?)endbfrange", text, re.S):
        for first, last, said in re.findall(r"<([0-9A-F]+)>\s*<([0-9A-F]+)>\s*<([0-9A-F]+)>", block):
            start = ord(bytes.fromhex(said).decode("utf-16-be"))
            for k in range(int(first, 16), int(last, 16) + 1):
                found[k] = chr(start + k - int(first, 16))
    return found


def _pdf_page(page: Any) -> Read:
    """One page: what its content stream draws, straight strokes and letters."""
    says = {name: _letters_of(f.get_object()) for name, f in page["/Resources"].get("/Font", {}).items()}
    letters: list[tuple[str, Point, float, float]] = []
    strokes: list[tuple[Point, Point]] = []
    path: list[tuple[Point, Point]] = []
    stack, m = [], [1.0, 0.0, 0.0, 1.0, 0.0, 0.0]
    tm, font, size = m, "", 0.0
    start = at = (0.0, 0.0)
    operands: list[bytes] = []

    def spot(x: bytes, y: bytes) -> Point:
        a, b = float(x), float(y)
        return (m[0] * a + m[2] * b + m[4]) * POINT_MM, (m[1] * a + m[3] * b + m[5]) * POINT_MM

    for token in _TOKEN.findall(page.get_contents().get_data()):
        if not token[:1].isalpha():
            operands.append(token)
            continue
        if token == b"q":
            stack.append(m)
        elif token == b"Q":
            m = stack.pop()
        elif token == b"cm":
            m = _times([float(v) for v in operands[-6:]], m)
        elif token == b"m":
            start = at = spot(*operands[-2:])
        elif token == b"l":
            to = spot(*operands[-2:])
            path.append((at, to))
            at = to
        elif token == b"c":
            at = spot(*operands[-2:])
        elif token == b"h":
            if at != start:
                path.append((at, start))
        elif token in (b"S", b"s"):
            strokes += path
            path = []
        elif token in (b"f", b"f*", b"n", b"F", b"B", b"B*"):
            path = []
        elif token == b"Tf":
            font, size = operands[-2].decode(), float(operands[-1])
        elif token == b"Tm":
            tm = [float(v) for v in operands[-6:]]
        elif token == b"Tj":
            codes = _string(operands[-1])
            assert len(codes) == 2, "Typst places each letter by itself"
            said = says[font][codes[0] * 256 + codes[1]]
            w = _times(tm, m)
            down = hypot(w[2], w[3]) * size * POINT_MM * CAPITALS
            if said.strip():
                here = (w[4] * POINT_MM, w[5] * POINT_MM)
                letters.append((said, here, down, degrees(atan2(w[1], w[0]))))
        operands = []
    return Read(
        float(page.mediabox.width) * POINT_MM,
        float(page.mediabox.height) * POINT_MM,
        tuple(_words(letters)),
        tuple(strokes),
        letters=tuple((said, spot) for said, spot, _, _ in letters),
    )


def _times(a: Any, b: Any) -> list[float]:
    """PDF matrices: first a, then b."""
    return [
        a[0] * b[0] + a[1] * b[2], a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2], a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4], a[4] * b[1] + a[5] * b[3] + b[5],
    ]  # fmt: skip


def _words(letters: list[tuple[str, Point, float, float]]) -> list[Said]:
    """Letters that follow each other on one base line as texts; a gap as wide as a space is one."""
    found: list[Said] = []
    end = (0.0, 0.0)
    for text, at, tall, turn in letters:
        t = radians(turn)
        dx, dy = at[0] - end[0], at[1] - end[1]
        gap, off = dx * cos(t) + dy * sin(t), -dx * sin(t) + dy * cos(t)
        long = width_of(text, tall)
        end = (at[0] + long * cos(t), at[1] + long * sin(t))
        if found:
            last = found[-1]
            same = abs(last.turn - turn) < 0.1 and abs(last.height - tall) < 0.02 and abs(off) < 0.02
            space = advance(" ", tall)
            if same and -KERNED * tall < gap < 0.1 * tall:
                found[-1] = Said(last.text + text, last.at, tall, turn)
                continue
            if same and -KERNED * tall < gap - space < 0.1 * tall:
                found[-1] = Said(f"{last.text} {text}", last.at, tall, turn)
                continue
        found.append(Said(text, at, tall, turn))
    return found


def read_dxf(data: bytes, widths: list[float], between: float) -> list[tuple[Read, list[Measured]]]:
    """The sheets of a DXF file that stand side by side, and the dimensions on each."""
    doc = ezdxf.read(io.StringIO(data.decode()))
    starts, x = [], 0.0
    for wide in widths:
        starts.append(x)
        x += wide + between
    texts: list[list[Said]] = [[] for _ in widths]
    strokes: list[list[tuple[Point, Point]]] = [[] for _ in widths]
    dims: list[list[Measured]] = [[] for _ in widths]
    seen: list[list[Box]] = [[] for _ in widths]

    def sheet(px: float) -> int:
        return max(k for k, s in enumerate(starts) if px >= s - between / 2)

    for e in doc.modelspace():
        kind = e.dxftype()
        if e.dxf.layer == "visible":
            a, b, c, d = _reach(e)
            k = sheet(a)
            seen[k].append((a - starts[k], b, c - starts[k], d))
        if kind == "TEXT":
            at = _dxf_start(e)
            k = sheet(at[0])
            texts[k].append(_dxf_said(e, starts[k]))
        elif kind == "LINE":
            k = sheet(e.dxf.start.x)
            a, b = e.dxf.start, e.dxf.end
            strokes[k].append(((a.x - starts[k], a.y), (b.x - starts[k], b.y)))
        elif kind == "DIMENSION":
            k = sheet(e.dxf.defpoint2.x if e.dxf.hasattr("defpoint2") else e.dxf.defpoint.x)
            dims[k].append(_measured(doc, e, starts[k]))
            strokes[k] += dims[k][-1].lines
            texts[k] += dims[k][-1].pieces
    return [
        (Read(w, 0.0, tuple(t), tuple(s), tuple(clusters(v))), d)
        for w, t, s, d, v in zip(widths, texts, strokes, dims, seen, strict=True)
    ]


def _reach(e: Any) -> Box:
    """The box of an entity."""
    from ezdxf.bbox import extents

    kind = e.dxftype()
    if kind in ("LINE", "LWPOLYLINE"):
        points = [e.dxf.start, e.dxf.end] if kind == "LINE" else e.get_points("xy")
        xs, ys = zip(*((p[0], p[1]) for p in points), strict=True)
        return min(xs), min(ys), max(xs), max(ys)
    box = extents([e], fast=False)
    return box.extmin.x, box.extmin.y, box.extmax.x, box.extmax.y


def clusters(boxes: list[Box], apart: float = 0.3) -> list[Box]:
    """Boxes that touch or lie in one another, together: one for each view of a sheet."""
    left = np.array(boxes).reshape(-1, 4)
    found: list[Box] = []
    while len(left):
        one, left = left[0], left[1:]
        while True:
            near = (
                (left[:, 0] <= one[2] + apart)
                & (left[:, 2] >= one[0] - apart)
                & (left[:, 1] <= one[3] + apart)
                & (left[:, 3] >= one[1] - apart)
            )
            if not near.any():
                break
            every = np.concatenate([one[None], left[near]])
            one = np.concatenate([every[:, :2].min(axis=0), every[:, 2:].max(axis=0)])
            left = left[~near]
        found.append(tuple(one.tolist()))
    return found


def _measured(doc: Any, e: Any, start: float) -> Measured:
    style = doc.dimstyles.get(e.dxf.dimstyle)
    kind = {0: "linear", 1: "aligned", 2: "angular", 5: "angular", 6: "ordinate"}[e.dxf.dimtype & 7]
    names = ("defpoint2", "defpoint3", "defpoint4" if kind == "angular" else "defpoint")
    points = [(p.x - start, p.y) for name in names for p in [getattr(e.dxf, name)]]
    block = doc.blocks.get(e.dxf.geometry)
    pieces = tuple(_dxf_said(t, start) for t in block if t.dxftype() == "TEXT")
    turn = e.dxf.angle if e.dxf.hasattr("angle") else 0.0
    lines = tuple(
        ((a.x - start, a.y), (b.x - start, b.y))
        for part in block
        if part.dxftype() == "LINE"
        for a, b in [(part.dxf.start, part.dxf.end)]
    )
    factor = style.dxf.dimlfac
    return Measured(e.dxf.text, points[0], points[1], turn, factor, kind, points[2], pieces, lines)


def _dxf_start(e: Any) -> Point:
    from ezdxf.enums import TextEntityAlignment as Where

    align, p, _ = e.get_placement()
    long = width_of(e.dxf.text, e.dxf.height)
    back = {Where.LEFT: 0.0, Where.CENTER: long / 2, Where.RIGHT: long}[align]
    t = radians(e.dxf.rotation)
    return p.x - back * cos(t), p.y - back * sin(t)


def _dxf_said(e: Any, start: float) -> Said:
    x, y = _dxf_start(e)
    return Said(e.dxf.text, (x - start, y), e.dxf.height, e.dxf.rotation)


def joined_figure(pieces: tuple[Said, ...]) -> str:
    """A figure from its texts: whole, over, under and what follows a stacked fraction.

    The two of a fraction are smaller, and stand one above the other.
    """
    tall = max((p.height for p in pieces), default=0.0)
    small = [p for p in pieces if p.height < 0.9 * tall]
    large = [p for p in pieces if p not in small]
    if len(pieces) == 2 and not small:  # a lone fraction: both are equal
        small, large = list(pieces), []
    if not small:
        return "".join(p.text for p in large)
    assert len(small) == 2, pieces
    t = radians(small[0].turn)

    def up(p: Said) -> float:
        return -p.at[0] * sin(t) + p.at[1] * cos(t)

    def along(p: Said) -> float:
        return p.at[0] * cos(t) + p.at[1] * sin(t)

    under, over = sorted(small, key=up)
    before = [p.text for p in large if along(p) < along(over)]
    after = [p.text for p in large if along(p) >= along(over)]
    whole = "".join(before)
    gap = " " if whole and whole[-1].isdigit() else ""
    return f"{whole}{gap}{over.text}/{under.text}{''.join(after)}"


def value_of(figure: str, units: str) -> float:
    """Millimetres of a figure, or degrees of an angle."""
    if figure.endswith("°"):
        return float(figure[:-1])
    plain = figure.lstrip("~⌀R□")
    if units == "mm":
        return float(plain)
    found = re.fullmatch(r"(?:(\d+)'-)?(\d+(?![\d/]))? ?(?:(\d+)/(\d+))?\"", plain)
    assert found, figure
    over = Fraction(int(found[3]), int(found[4])) if found[3] else Fraction(0)
    return float((int(found[1] or 0) * 12 + int(found[2] or 0) + over) * Fraction(254, 10))


def rounding(units: str) -> float:
    """Most that a figure differs from what it states (mm): half of 0.1 mm, or half of 1/32 inch."""
    return 0.0501 if units == "mm" else 25.4 / 64 + 0.001


@dataclass(frozen=True)
class StepPart:
    """One product of a STEP file: its solid in its own frame, and the placements of its copies.

    Attributes:
        places: (4, 4) matrices from its own frame to the room, by label.
    """

    name: str
    shape: Any
    places: dict[str, np.ndarray]


def read_step(path: Path) -> dict[str, StepPart]:
    """The products with solids of a STEP file, by name."""
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDF import TDF_Label, TDF_LabelSequence
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

    document = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
    reader = STEPCAFControl_Reader()
    reader.ReadFile(str(path))
    assert reader.Transfer(document)
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    found: dict[str, StepPart] = {}

    def called(label: Any) -> str:
        name = TDataStd_Name()
        return name.Get().ToExtString() if label.FindAttribute(TDataStd_Name.GetID_s(), name) else ""

    def visit(label: Any, turn: np.ndarray, copy: str) -> None:
        if XCAFDoc_ShapeTool.IsAssembly_s(label):
            parts = TDF_LabelSequence()
            XCAFDoc_ShapeTool.GetComponents_s(label, parts, False)
            for k in range(1, parts.Length() + 1):
                part, of = parts.Value(k), TDF_Label()
                assert XCAFDoc_ShapeTool.GetReferredShape_s(part, of)
                where = XCAFDoc_ShapeTool.GetLocation_s(part).Transformation()
                m = np.eye(4)
                for r in range(3):
                    for c in range(4):
                        m[r, c] = where.Value(r + 1, c + 1)
                visit(of, turn @ m, f"{copy}/{called(part)}")
            return
        name = called(label)
        one = found.setdefault(name, StepPart(name, XCAFDoc_ShapeTool.GetShape_s(label), {}))
        one.places[copy] = turn

    roots = TDF_LabelSequence()
    tool.GetFreeShapes(roots)
    for k in range(1, roots.Length() + 1):
        visit(roots.Value(k), np.eye(4), "")
    return found


def features(shape: Any) -> np.ndarray:
    """(n, 3) ends of edges, middles of round ones, outermost points of circles along each axis (mm)."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.GeomAbs import GeomAbs_Circle, GeomAbs_Ellipse
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    points: list[tuple[float, float, float]] = []
    edges = TopExp_Explorer(shape, TopAbs_EDGE)
    while edges.More():
        curve = BRepAdaptor_Curve(TopoDS.Edge_s(edges.Current()))
        edges.Next()
        for t in (curve.FirstParameter(), curve.LastParameter()):
            p = curve.Value(t)
            points.append((p.X(), p.Y(), p.Z()))
        if curve.GetType() == GeomAbs_Ellipse:  # a hole askew to its face
            c = curve.Ellipse().Location()
            points.append((c.X(), c.Y(), c.Z()))
        if curve.GetType() == GeomAbs_Circle:
            circle = curve.Circle()
            c, n, r = circle.Location(), circle.Axis().Direction(), circle.Radius()
            middle = np.array([c.X(), c.Y(), c.Z()])
            normal = np.array([n.X(), n.Y(), n.Z()])
            points.append(tuple(middle))
            for axis in np.eye(3):
                away = axis - normal * (axis @ normal)
                long = sqrt(float(away @ away))
                if long > 1e-9:
                    points += [tuple(middle + s * r * away / long) for s in (1, -1)]
    return np.array(points)


@dataclass(frozen=True)
class Turned:
    """Sizes of a turned part, measured on its solid.

    Attributes:
        axis: unit vector along it.
        stops: where its end faces and shoulders meet the axis, from the origin (mm).
        diameters: of its cylinders and cones there (mm).
        end_angles: of those faces, off square to the axis (degrees).
        edges: lengths of straight edges (mm), for one of square section.
    """

    axis: np.ndarray
    stops: tuple[float, ...]
    diameters: tuple[float, ...]
    end_angles: tuple[float, ...]
    edges: tuple[float, ...] = ()


def turned_sizes(shape: Any) -> Turned:
    """Measures a turned part: one axis, flat ends, cylinders and cones."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_Cone, GeomAbs_Cylinder, GeomAbs_Plane
    from OCP.TopAbs import TopAbs_FACE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    def xyz(p: Any) -> np.ndarray:
        return np.array([p.X(), p.Y(), p.Z()])

    planes, rounds = [], []
    faces = TopExp_Explorer(shape, TopAbs_FACE)
    while faces.More():
        surface = BRepAdaptor_Surface(TopoDS.Face_s(faces.Current()))
        kind = surface.GetType()
        if kind == GeomAbs_Plane:
            plane = surface.Plane()
            planes.append((xyz(plane.Axis().Direction()), xyz(plane.Location())))
        elif kind == GeomAbs_Cylinder:
            of = surface.Cylinder()
            rounds.append((of.Radius(), 0.0, xyz(of.Axis().Direction()), xyz(of.Location())))
        elif kind == GeomAbs_Cone:
            cone = surface.Cone()
            rounds.append(
                (cone.RefRadius(), cone.SemiAngle(), xyz(cone.Axis().Direction()), xyz(cone.Location()))
            )
        faces.Next()
    _, _, axis, at = max(rounds, key=lambda r: r[0])
    stops = sorted({round(float(n @ (p - at) / (n @ axis)), 6) for n, p in planes if abs(n @ axis) > 0.2})
    found = []
    for radius, half, way, origin in rounds:
        sign = 1.0 if way @ axis > 0 else -1.0
        found += [2 * (radius + sign * (t - (origin - at) @ axis) * float(np.tan(half))) for t in stops]
    angles = [degrees(float(np.arccos(min(1.0, abs(n @ axis))))) for n, _ in planes]
    return Turned(axis, tuple(stops), tuple(found), tuple(angles), tuple(_edge_lengths(shape)))


def _edge_lengths(shape: Any) -> list[float]:
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.GeomAbs import GeomAbs_Line
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    found = []
    edges = TopExp_Explorer(shape, TopAbs_EDGE)
    while edges.More():
        curve = BRepAdaptor_Curve(TopoDS.Edge_s(edges.Current()))
        if curve.GetType() == GeomAbs_Line:
            found.append(curve.LastParameter() - curve.FirstParameter())
        edges.Next()
    return found


def turned_axis(shape: Any) -> np.ndarray:
    """Unit vector along the axis of a turned part."""
    return turned_sizes(shape).axis


def directions(shape: Any) -> np.ndarray:
    """(n, 3) unit vectors along straight edges, and along the axes of turned faces."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_Cone, GeomAbs_Cylinder, GeomAbs_Line
    from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    found = set()

    def keep(d: Any) -> None:
        v = (round(d.X(), 9), round(d.Y(), 9), round(d.Z(), 9))
        found.add(max(v, (-v[0], -v[1], -v[2])))

    edges = TopExp_Explorer(shape, TopAbs_EDGE)
    while edges.More():
        curve = BRepAdaptor_Curve(TopoDS.Edge_s(edges.Current()))
        if curve.GetType() == GeomAbs_Line:
            keep(curve.Line().Direction())
        edges.Next()
    faces = TopExp_Explorer(shape, TopAbs_FACE)
    while faces.More():
        surface = BRepAdaptor_Surface(TopoDS.Face_s(faces.Current()))
        if surface.GetType() == GeomAbs_Cylinder:
            keep(surface.Cylinder().Axis().Direction())
        elif surface.GetType() == GeomAbs_Cone:
            keep(surface.Cone().Axis().Direction())
        faces.Next()
    return np.array(sorted(found))


def room_directions(parts: dict[str, StepPart]) -> np.ndarray:
    """The directions of all copies in the room."""
    found = [directions(p.shape) @ m[:3, :3].T for p in parts.values() for m in p.places.values()]
    return np.concatenate(found)


def room_features(parts: dict[str, StepPart]) -> np.ndarray:
    """The features of all copies in the room (mm)."""
    found = []
    for part in parts.values():
        own = features(part.shape)
        for m in part.places.values():
            found.append(own @ m[:3, :3].T + m[:3, 3])
    return np.concatenate(found)


def table_rows(read: Read, heads: tuple[str, ...]) -> list[list[str]]:
    """The rows of a table on a sheet, a text a column; empty where the sheet has none.

    Args:
        heads: of its columns, from the left.
    """
    first = [t for t in read.texts if t.text == heads[0]]
    if not first:
        return []
    top = first[0].at[1]
    starts = [min(t.at[0] for t in read.texts if t.text == h and abs(t.at[1] - top) < 0.1) for h in heads]
    rules = [
        (a, b)
        for a, b in read.strokes
        if abs(a[1] - b[1]) < 1e-3 and abs(min(a[0], b[0]) - starts[0] + 1.2) < 0.1 and a[1] < top
    ]
    levels = sorted({round(a[1], 2) for a, _ in rules}, reverse=True)
    right = max(max(a[0], b[0]) for a, b in rules)
    rows = []
    for upper, lower in pairwise(levels):
        cells: list[list[Said]] = [[] for _ in heads]
        for t in read.texts:
            if lower < t.at[1] < upper and starts[0] - 0.5 <= t.at[0] < right:
                cells[max(k for k, x in enumerate(starts) if x <= t.at[0] + 0.5)].append(t)
        rows.append([" ".join(t.text for t in sorted(c, key=lambda t: -t.at[1])) for c in cells])
    return rows
