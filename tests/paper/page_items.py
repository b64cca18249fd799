"""A page with every kind of item, for tests."""

from furnigen.paper.page import Arc, Area, Contour, Page, Pen, Polyline, Text, box

SAID = ('600 x 200 ⌀5, 3⁄4" ½', "Ж → shelf", "plain")
ITEMS = (
    box(20, 10, 180, 277, Pen(0.5)),
    Polyline(((30, 200), (100, 250), (150, 200)), True, Pen(0.5, "dashed"), "outline"),
    Arc((100, 100), 20, layer="drill"),
    Arc((100, 100), 30, 0, 120, Pen(0.25, "chain")),
    Area((((40, 40), (90, 40), (90, 60), (40, 60)),)),
    Contour(((20, 20, 0.0), (60, 20, 1.0), (60, 40, 0.0), (20, 40, 0.0)), layer="cut"),
    *(Text((40, 60 + 20 * k), said, 3.5, turn=30.0 * k) for k, said in enumerate(SAID)),
)
PAGE = Page(210, 297, ITEMS, 'A page with "quotes" <and> marks')
