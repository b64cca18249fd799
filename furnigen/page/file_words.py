"""What each file beside a page is for, in words for whoever opens the folder."""

from __future__ import annotations

FILE_WORDS = {
    "booklet.pdf": "how to put it together, a step a page",
    "cutlist.csv": "what to cut, for a spreadsheet",
    "cutlist.pdf": "what to cut, to print",
    "cutting.json": "layouts and costs, for a program",
    "drawings.dxf": "all drawings, for a CAD program",
    "drawings.pdf": "drawings to print, to scale",
    "hardware.csv": "screws, dowels, pins and bolts to buy",
    "labels.pdf": "labels for the parts",
    "model.3mf": "the shape, for printing in 3D",
    "model.glb": "the shape, for viewers",
    "model.step": "the solids, for CAD programs",
    "model.stl": "the shape as one mesh",
    "offcuts.toml": "what is left of the sheets, for the next job",
    "preview.png": "a picture",
    "report.json": "all of it, for a program",
    "sheets.dxf": "layouts, for a router",
    "sheets.pdf": "layouts to take to the saw",
    "sheets.svg": "layouts, for a browser",
    "stock.csv": "area, length and mass of each stock",
    "templates.pdf": "outlines of parts at full size",
}
"""By the name of the file; one not listed goes by its name alone."""
FOLDER_WORDS = {"drawings": "a drawing a sheet", "parts": "a file for each part"}
