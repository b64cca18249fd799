"""Tapered legs, leaned two ways and trimmed flush by the floor and by the underside they carry.

A leg is a right frustum about its own axis (round for a turned leg, square for a sawn one), so its
level sections are all alike: ellipses or quadrilaterals that grow with the leg's own radius. With
r(z) linear in z, the level section has area c r(z)², so

    volume = c H (rf² + rf rt + rt²) / 3,

the formula of a frustum, and the centre of mass is a ratio of polynomials. Local frame: floor z = 0,
top z = `height`, the axis meets the top plane at x = y = 0 and runs outward (+x, +y) going down.
"""

from __future__ import annotations

from math import atan, degrees, radians, sqrt, tan

from furnigen.core.errors import InputError
from furnigen.core.wording import as_given

STEEPEST_DEGREES = 40.0
"""A leg that leans more is a brace; the trimmed ends would be longer than the leg is useful."""
UPRIGHT = 1e-12
"""Slope of a leg that stands upright: over 100 m no maker could measure it, and its direction is noise."""
TRIM_ALLOWANCE_MM = 12.0
"""Extra length of a leg's blank at each end, for the level cuts. Common practice, no source."""


def resultant_degrees(rake: float, splay: float) -> float:
    """Angle of a leg from upright when it rakes and splays, degrees.

    tan² R = tan² rake + tan² splay (chair-makers' geometry; two right-angled views of one line).

    >>> round(resultant_degrees(5.0, 10.0), 4)
    11.1357
    """
    return degrees(atan(sqrt(tan(radians(rake)) ** 2 + tan(radians(splay)) ** 2)))


def sightline_degrees(rake: float, splay: float) -> float:
    """Angle in plan from the front-back line to the plane the leg leans in, degrees; 0 when upright.

    tan S = tan splay / tan rake (chair-makers' geometry).

    >>> round(sightline_degrees(10.0, 5.0), 3)
    26.389
    """
    forward = tan(radians(rake))
    if forward == 0.0:  # upright, or so nearly that numbers can not tell them apart
        return 90.0 if splay else 0.0
    return degrees(atan(tan(radians(splay)) / forward))


def check_lean(lean: float) -> None:
    """Refuse a lean (degrees) beyond `STEEPEST_DEGREES` with InputError."""
    if not abs(lean) <= STEEPEST_DEGREES:
        raise InputError(
            "lean of the leg", f"{lean:.1f}°", f"must be at most {STEEPEST_DEGREES:g}° from upright"
        )


def too_tapered(lean: float) -> InputError:
    """The refusal of a leg whose taper leaves no level section at its lean (degrees)."""
    return InputError(
        "leg lean",
        f"{lean:.1f}°",
        "the taper is too strong for a level section at this lean",
        "lean it less, or taper it less",
    )


def check_leg_size(what: str, value: float, lowest: float = 1.0) -> None:
    """Refuse a size (mm) below `lowest` with InputError."""
    if not value >= lowest:
        raise InputError(what, as_given(value), f"must be at least {as_given(lowest)}")


def frustum_integrals(height: float, a: float, b: float) -> tuple[float, float, float, float]:
    """∫r², ∫z r², ∫r³, of r = a + (b - a) z / H over 0..H, and H itself."""
    h = height
    i2 = h * (a * a + a * b + b * b) / 3
    iz = h * h * (a * a + 2 * a * b + 3 * b * b) / 12
    i3 = h * (a**3 + a * a * b + a * b * b + b**3) / 4
    return i2, iz, i3, h
