"""The names of the files of a plan; light, for whoever must know them beforehand."""

CUTTING_FILES = (
    "cutting.json", "cutlist.csv", "cutlist.pdf", "sheets.svg", "sheets.pdf", "sheets.dxf", "labels.pdf",
    "offcuts.toml",
)  # fmt: skip
"""Files of a plan whose names do not depend on its parts; parts/NAME.dxf come with them."""
