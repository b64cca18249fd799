"""The picture of a piece."""
