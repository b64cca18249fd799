"""Linear colours written as sRGB, for formats that speak sRGB."""

from __future__ import annotations

Colour = tuple[float, float, float]


def srgb(colour: Colour) -> Colour:
    """A linear colour (0 to 1 each) as sRGB (0 to 1 each): IEC 61966-2-1, from memory."""
    red, green, blue = (12.92 * c if c <= 0.0031308 else 1.055 * c ** (1 / 2.4) - 0.055 for c in colour)
    return (red, green, blue)


def srgb_hex(colour: Colour) -> str:
    """A linear colour as "#RRGGBB" in sRGB."""
    return "#" + "".join(f"{round(255 * c):02X}" for c in srgb(colour))
