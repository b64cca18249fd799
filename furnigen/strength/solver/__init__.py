"""Beams, frames and boards on one-sided supports, by stiffness matrices."""
