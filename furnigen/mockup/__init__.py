"""The scaled, printable version of a piece: in one solid, or as a kit of flat parts that goes together."""
