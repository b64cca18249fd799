"""A page as plain values, and its backends: SVG, PDF, DXF."""
