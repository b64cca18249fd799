"""The files of drawings whose names do not depend on the piece."""

DRAWING_FILES = ("drawings.pdf", "drawings.dxf", "templates.pdf")
