"""A piece of furniture as plain values: placements, openings, which parts are the same, hardware."""
