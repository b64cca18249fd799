"""The scaled, printable version of a piece: one joined solid, or a kit of flat parts to assemble."""
