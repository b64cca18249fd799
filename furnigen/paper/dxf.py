"""Pages and plain plane geometry as DXF (R2010), the same bytes under any hash seed.

Layers get the colour and line type that their first item is drawn with; text is TEXT, circles and arcs are
true ones, polylines LWPOLYLINE.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from io import StringIO
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from furnigen.core.errors import InputError
from furnigen.paper.lettering import writable
from furnigen.paper.page import LINE_TYPES, Arc, Area, Contour, Dimension, Item, Pen, Polyline, Text

if TYPE_CHECKING:
    from ezdxf.document import Drawing

_LINE_TYPE = {
    "continuous": "CONTINUOUS", "dashed": "DASHED", "chain": "CENTER", "double chain": "PHANTOM",
}  # fmt: skip
COLOURS = {"black": 7, "red": 1, "yellow": 2, "green": 3, "cyan": 4, "blue": 5, "magenta": 6, "grey": 8}
"""Colour numbers of DXF by name; 7 is black on white paper and white on a black screen."""
_FORBIDDEN = str.maketrans(dict.fromkeys('<>/\\":;?*|=`,', "-"))


@contextmanager
def _without_system_fonts() -> Iterator[None]:
    """While ezdxf is imported: it would list the system's fonts, and write that list in the home folder."""
    before = os.environ.get("XDG_CACHE_HOME")
    with TemporaryDirectory() as folder:
        os.environ["XDG_CACHE_HOME"] = folder
        with open(f"{folder}/font_manager_cache.json", "w", encoding="utf-8") as empty:  # noqa: PTH123
            empty.write('{"version": 2, "font-faces": []}')
        try:
            yield
        finally:
            if before is None:
                del os.environ["XDG_CACHE_HOME"]
            else:
                os.environ["XDG_CACHE_HOME"] = before


@contextmanager
def _no_clock() -> Iterator[None]:
    """While ezdxf makes or writes a document: fixed dates and ids instead of the clock and random ones."""
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def layer_name(text: str) -> str:
    """`text` as the name of a layer: without the signs that DXF forbids there."""
    return writable(text).translate(_FORBIDDEN).strip() or "0"


def dxf_bytes(items: Iterable[Item], layers: Sequence[tuple[str, str]] = ()) -> bytes:
    """Items as a DXF file in millimetres.

    Args:
        layers: name and colour (a key of COLOURS) of layers, in order; those of the items are added.

    Raises: InputError for an unknown colour.
    """
    doc = new_document(layers)
    space = doc.modelspace()
    for item in items:
        _draw(doc, space, item)
    return document_bytes(doc)


def new_document(layers: Sequence[tuple[str, str]] = ()) -> Drawing:
    """An empty DXF document: R2010, millimetres, the line types of ISO 128, the lettering of furnigen.

    Raises: InputError for an unknown colour.
    """
    with _without_system_fonts():
        from ezdxf.filemanagement import new
    from ezdxf import units

    with _no_clock():
        doc = new("R2010", units=units.MM)
    doc.header["$MEASUREMENT"] = 1
    for name in LINE_TYPES[1:]:
        dashes = Pen(0.25, name).dashes
        pattern = [sum(dashes), *(d if n % 2 == 0 else -d for n, d in enumerate(dashes))]
        doc.linetypes.add(_LINE_TYPE[name], pattern, description=name)
    doc.styles.add("LETTERING", font="RoutedGothic.ttf")
    for name, colour in layers:
        if colour not in COLOURS:
            raise InputError("colour of a layer", colour, f"must be one of {', '.join(COLOURS)}")
        doc.layers.add(layer_name(name), color=COLOURS[colour])
    return doc


def document_bytes(doc: Drawing) -> bytes:
    """A document as a file, the same bytes each time."""
    # its section of classes follows the order of a set otherwise
    for kind in sorted(doc.entitydb.dxf_types_in_use()):
        doc.classes.add_class(kind)
    out = StringIO(newline="")
    with _no_clock():
        doc.write(out)
    return out.getvalue().encode(doc.output_encoding, errors="dxfreplace")


def _draw(doc: Drawing, space: Any, item: Item) -> None:
    layer = layer_name(item.layer)
    if layer not in doc.layers:
        doc.layers.add(layer, color=COLOURS["black"])
    how: dict[str, Any] = {"layer": layer}
    if isinstance(item, Polyline | Arc | Contour):
        if item.pen.line != "continuous":
            how["linetype"] = _LINE_TYPE[item.pen.line]
        how["lineweight"] = round(item.pen.width * 100) if item.pen.width * 100 in _WEIGHTS else 25
    if isinstance(item, Polyline):
        if len(item.points) == 2 and not item.closed:
            space.add_line(*item.points, dxfattribs=how)
        else:
            space.add_lwpolyline(item.points, close=item.closed, dxfattribs=how)
    elif isinstance(item, Contour):
        space.add_lwpolyline(item.corners, format="xyb", close=True, dxfattribs=how)
    elif isinstance(item, Arc):
        if item.whole:
            space.add_circle(item.centre, item.radius, dxfattribs=how)
        else:
            space.add_arc(item.centre, item.radius, item.start, item.end, dxfattribs=how)
    elif isinstance(item, Area):
        hatch = space.add_hatch(color=COLOURS["grey"], dxfattribs=how)
        for ring in item.rings:
            hatch.paths.add_polyline_path(ring, is_closed=True)
        if item.fill == "#000000":
            hatch.dxf.color = COLOURS["black"]
    elif isinstance(item, Dimension):
        _dimension(doc, space, item, how)
    else:
        _write(space, item, how)


def _dimension(doc: Drawing, space: Any, item: Dimension, how: dict[str, Any]) -> None:
    """A DIMENSION that looks as on paper: its block holds our own lines, its points what is measured."""
    style = f"SCALE-{item.factor:g}".replace(".", "-")
    if style not in doc.dimstyles:
        doc.dimstyles.add(style, dxfattribs={"dimlfac": item.factor, "dimtxt": 2.5, "dimasz": 3.0})
    block = doc.blocks.new_anonymous_block("D")
    for part in item.drawn:
        _draw(doc, block, part)
    points: dict[str, Any] = {
        "dimtype": 32,  # a linear one, its block its own
        "defpoint": (*item.at, 0.0),
        "defpoint2": (*item.first, 0.0),
        "defpoint3": (*item.second, 0.0),
        "angle": item.turn,
    }
    if item.kind == "angular":
        on_arc = [part for part in item.drawn if isinstance(part, Arc)]
        middle = on_arc[0].at((on_arc[0].start + on_arc[0].end) / 2) if on_arc else item.first
        points = {
            "dimtype": 37,  # an angle by three points, its block its own
            "defpoint": (*middle, 0.0),
            "defpoint2": (*item.first, 0.0),
            "defpoint3": (*item.second, 0.0),
            "defpoint4": (*item.at, 0.0),
        }
    measured = space.new_entity(
        "DIMENSION",
        how | points | {"geometry": block.name, "dimstyle": style, "text": item.figure},
    )
    where = [part for part in item.drawn if isinstance(part, Text)]
    if where:
        measured.dxf.text_midpoint = (*where[0].at, 0.0)


_WEIGHTS = frozenset({13, 18, 25, 35, 50, 70, 100, 140, 200})
"""Line weights of DXF that ISO 128 has too, in hundredths of a millimetre."""


def _write(space: Any, text: Text, how: dict[str, Any]) -> None:
    from ezdxf.enums import TextEntityAlignment as Where

    where = {"left": Where.LEFT, "middle": Where.CENTER, "right": Where.RIGHT}[text.align]
    how |= {"height": text.height, "rotation": text.turn, "style": "LETTERING"}
    space.add_text(writable(text.text), dxfattribs=how).set_placement(text.base, align=where)
