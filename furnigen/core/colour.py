"""Linear light written as sRGB, for formats and pictures that speak sRGB."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray


def srgb(linear: NDArray[Any]) -> NDArray[Any]:
    """Linear values from 0 to 1 as sRGB from 0 to 1: IEC 61966-2-1, from memory."""
    # the floor under the power only keeps it from 0, whose value comes from the line anyway
    curve = 1.055 * np.maximum(linear, 1e-6) ** (1 / 2.4) - 0.055
    encoded: NDArray[Any] = np.where(linear <= 0.0031308, 12.92 * linear, curve)
    return encoded


def srgb_hex(colour: tuple[float, float, float]) -> str:
    """A linear colour as "#RRGGBB" in sRGB."""
    return "#" + "".join(f"{round(255 * c):02X}" for c in srgb(np.array(colour)).tolist())
