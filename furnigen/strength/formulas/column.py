"""Uprights, posts and legs: pressed along their length, bent by their lean, held in their joints.

A column of bending stiffness EI and length L buckles at Euler's load pi² EI / (K L)², K being the share of
its length between the points where its bent line would turn. A real column is crooked by e0 and may carry a
moment M besides; pressed by P its middle moves out until

    bending = (M + P e0) / (1 - P / P_euler),     P / (A f_c) + bending / (W f_m) <= 1,

Perry's column (1886) in the form EN 1995-1-1 6.3.2 builds on; the amplifier is that of Timoshenko and Gere,
Theory of Elastic Stability (both from memory). e0 = L / 300 (EN 1995-1-1 10.2, solid wood, from memory).

A tapered leg is taken at its smallest section over its whole length: it can only be stiffer.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, radians, sin, tan

from furnigen.core.errors import InputError

CROOKED = 1 / 300
"""First bow of a column as a share of its length: EN 1995-1-1 10.2(1), solid wood, from memory."""
FLOOR_FRICTION = 0.2
"""Friction of a foot on a dry floor, from memory: wood slides at 0.2 and more. Whether something slides is
judged by it; joints are judged without any friction."""


def check_friction(friction: float) -> float:
    """A coefficient of friction as it is.

    Raises: InputError for one below 0 or above 1.
    """
    if not 0 <= friction <= 1:
        raise InputError(
            "floor friction",
            f"{friction:g}",
            "must be from 0 to 1",
            "write 0 for none, 0.2 for wood that slides easily on a dry floor",
        )
    return friction


SCREW_SAFETY = 5.0
"""Ultimate over working load of a screw pulled out: a calculator page gives usual practice, five or six."""
SCREW_PULL = 108.25
"""N and mm: p = 108.25 G² D L; 15,700 in pounds and inches (Wood Handbook ch. 8, as two pages quote it)."""


@dataclass(frozen=True, slots=True)
class EndCondition:
    """How the ends of a column are held.

    Attributes:
        name: for the report.
        theory: Euler's factor K.
        used: the factor used, larger where perfect clamping can not be had.
        source: where both come from.
    """

    name: str
    theory: float
    used: float
    source: str


_NDS = "theory: Euler; used: NDS Appendix G, from memory"
END_CONDITIONS = {
    e.name: e
    for e in (
        EndCondition("both turn", 1.0, 1.0, _NDS),
        EndCondition("one held, one turns", 0.69916, 0.8, _NDS),
        EndCondition("both held", 0.5, 0.65, _NDS),
        EndCondition("held, other end free", 2.0, 2.1, _NDS),
        EndCondition("held, other end slides", 1.0, 1.2, _NDS),
        EndCondition("turns, other end slides", 2.0, 2.4, _NDS),
    )
}
"""End conditions by name. "Slides" is a head that can sway but not turn: an upright of an unbraced rack."""


def find_end_condition(name: str) -> EndCondition:
    """The end condition called `name`.

    Raises: InputError for an unknown one.
    """
    if name not in END_CONDITIONS:
        raise InputError("ends of a column", name, f"must be one of: {'; '.join(END_CONDITIONS)}")
    return END_CONDITIONS[name]


def euler_n(bending: float, length: float, factor: float = 1.0) -> float:
    """Euler's buckling load, N, of EI (N mm²) over a length (mm) with a factor K.

    >>> round(euler_n(11000 * 40**4 / 12, 2000.0))
    5790
    """
    if not (bending > 0 and length > 0 and factor > 0):
        raise InputError("column", f"EI {bending:g}, length {length:g} mm", "must all be more than zero")
    return float(pi**2 * bending / (factor * length) ** 2)


def compression_mpa(bending_mpa: float) -> float:
    """Strength along the grain from that in bending, both characteristic, N/mm².

    f_c = 4.3 sqrt(f_m) (EN 384:2016, from memory), which gives the f_c of EN 338; never above f_m.
    """
    if not bending_mpa > 0:
        raise InputError("bending strength", f"{bending_mpa:g} N/mm²", "must be more than zero")
    return min(4.3 * float(bending_mpa**0.5), bending_mpa)


@dataclass(frozen=True, slots=True)
class ColumnResult:
    """What a column under load does.

    Attributes:
        euler_n: buckling load, N.
        amplifier: how much its bending grows by the pressing; inf where it buckles.
        compression: share of its strength along the grain that is used.
        bending: share of its bending strength that is used, bow included.
    """

    euler_n: float
    amplifier: float
    compression: float
    bending: float

    @property
    def used(self) -> float:
        """Share of its strength that is used; above 1 it does not hold."""
        return self.compression + self.bending


def check_column(
    axial: float,
    *,
    length: float,
    bending: float,
    area: float,
    modulus: float,
    compression_mpa: float,
    bending_mpa: float,
    ends: str = "both turn",
    moment: float = 0.0,
    crooked: float = CROOKED,
) -> ColumnResult:
    """A column under an axial load, N, and a moment beside it, N mm.

    Args:
        axial: pressing force, N; 0 or more.
        length: mm.
        bending: EI about the axis it bends round, N mm², of the least likely modulus.
        area: mm².
        modulus: section modulus W about that axis, mm³.
        compression_mpa, bending_mpa: design strengths, N/mm².
        ends: one of ENDS.
        moment: first-order moment, N mm; its sign does not matter.
        crooked: first bow over length.

    Raises: InputError for values that make no column.
    """
    for what, value in (
        ("area", area), ("section modulus", modulus), ("strength", min(compression_mpa, bending_mpa)),
    ):  # fmt: skip
        if not value > 0:
            raise InputError(f"{what} of a column", f"{value:g}", "must be more than zero")
    if not axial >= 0:
        raise InputError("load of a column", f"{axial:g} N", "must be zero or more: a tie is no column")
    critical = euler_n(bending, length, find_end_condition(ends).used)
    room = 1 - axial / critical
    amplifier = 1 / room if room > 0 else float("inf")
    bow = (abs(moment) + axial * crooked * length) * amplifier
    return ColumnResult(critical, amplifier, axial / (area * compression_mpa), bow / (modulus * bending_mpa))


@dataclass(frozen=True, slots=True)
class LeaningLeg:
    """What a leaning leg does with the load on its foot.

    Attributes:
        axial: along the leg, N.
        across: square to the leg, N.
        moment: at the top joint where the floor holds nothing, N mm: the joint must take it.
        thrust: outward push of the foot where the joint holds nothing, N: floor or stretcher must take it.
        friction: what floor friction would have to be for a hinged leg to stay (thrust over load).
    """

    axial: float
    across: float
    moment: float
    thrust: float
    friction: float

    def left(self, friction: float) -> float:
        """Share of the moment and of the force across that a floor of this friction leaves to the joint.

        Raises: InputError for a friction below 0 or above 1.
        """
        check_friction(friction)
        return max(0.0, 1 - friction / self.friction) if self.friction > 0 else 0.0

    def held(self, friction: float) -> float:
        """Moment the joint takes once the floor's friction has taken its part, N mm."""
        return self.moment * self.left(friction)


def leaning_leg_forces(vertical: float, height: float, lean_degrees: float) -> LeaningLeg:
    """Forces in a leg that leans by its resultant angle, under a load on its foot (N), height in mm.

    Statics: the foot is pushed straight up by the floor at H tan(lean) from below the joint. The two
    extremes are a floor without friction (the joint takes V H tan) and a joint that turns (the floor takes
    V tan); the truth lies between.

    >>> leg = leaning_leg_forces(200.0, 700.0, 8.0)
    >>> round(leg.moment), round(leg.thrust, 1)
    (19676, 28.1)
    """
    if not height > 0:
        raise InputError("height of a leg", f"{height:g} mm", "must be more than zero")
    if not 0 <= lean_degrees < 90:
        raise InputError("lean of a leg", f"{lean_degrees:g}°", "must be from 0° to less than 90°")
    t = tan(radians(lean_degrees))
    return LeaningLeg(
        axial=vertical * cos(radians(lean_degrees)),
        across=vertical * sin(radians(lean_degrees)),
        moment=vertical * height * t,
        thrust=vertical * t,
        friction=t,
    )


def socket_mpa(moment: float, across: float, depth: float, width: float) -> float:
    """Largest pressure on the side of a tenon in its socket, N/mm².

    Pressure straight along the depth d, of a tenon b wide: 6 M / (b d²) + V / (b d); hand-derived.

    Args:
        moment: at the mouth of the socket's middle, N mm.
        across: force square to the tenon, N.
        depth, width: of the tenon, mm.
    """
    if not (depth > 0 and width > 0):
        raise InputError("tenon", f"{depth:g} x {width:g} mm", "must have a depth and a width")
    return 6 * abs(moment) / (width * depth**2) + abs(across) / (width * depth)


def fastener_pull_n(moment: float, lever: float) -> float:
    """Pull on fasteners that hold a moment (N mm) at a lever (mm) from the edge it turns about, N."""
    if not lever > 0:
        raise InputError("lever of the fasteners", f"{lever:g} mm", "must be more than zero")
    return abs(moment) / lever


def screw_withdrawal_n(specific_gravity: float, diameter: float, thread: float) -> float:
    """Working load of one wood screw pulled out of side grain, N: 108.25 G² D L / 5.

    Args:
        specific_gravity: oven-dry.
        diameter: of the shank, mm.
        thread: threaded length in the wood, mm.

    End grain holds three quarters of it at most, and not reliably.
    """
    if not (0 < specific_gravity < 1.5 and diameter > 0 and thread > 0):
        text = f"gravity {specific_gravity:g}, {diameter:g} x {thread:g} mm"
        raise InputError("screw", text, "must have a gravity below 1.5, a diameter and a thread")
    return SCREW_PULL * specific_gravity**2 * diameter * thread / SCREW_SAFETY


def foot_mpa(vertical: float, area: float) -> float:
    """Pressure under a foot, N/mm², of a load (N) on its contact (mm²)."""
    if not area > 0:
        raise InputError("contact of a foot", f"{area:g} mm²", "must be more than zero")
    return vertical / area
