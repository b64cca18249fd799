"""Closed formulas: sections, columns, creep, shear, allowable stress, tipping, uncertainty."""
