"""Sizes that several kinds of joint share, each with its source."""

HOLE_SPARE_MM = 1.6
"""Room left at the bottom of a hole for a dowel or round tenon: 1/16 in. Source: a dowel maker's page."""
BLIND_SHARE = 2 / 3
"""Length of a blind tenon as a share of the member it is let into. Common practice, no source."""
LEAST_WALL_MM = 3.0
"""Wood left at the bottom of a blind mortise or hole. Common practice, no source."""
THIRD = 1 / 3
"""Depth of a housing (1/4 in in 3/4 stock), thickness of a tenon, spline or key, as a share of its board.

Common practice, no source.
"""
