"""Volumes, centres of mass and bounds of parts with their cuts, in closed form."""
