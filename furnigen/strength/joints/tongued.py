"""Wood let into wood: housings, rabbets, sliding dovetails, tenons, fingers, laps, and faces only glued.

What presses on a ledge or in a socket is held against the wood square to its grain, what is drawn out against
the glue on its cheeks or the shape of a dovetail, and the tongue itself against shear and bending.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import pi, sqrt

from furnigen.catalogue.joint_values import joint_value, value_source
from furnigen.core.facts import Fact, FastenerKind, Joinery
from furnigen.core.pose import Vector, cross, dot
from furnigen.strength.formulas.allowable import LOAD_FACTOR
from furnigen.strength.formulas.column import socket_mpa
from furnigen.strength.formulas.dowels import bond_pull
from furnigen.strength.formulas.tongues import (
    lap_torsion,
    ledge_bearing,
    round_modulus,
    tenon_modulus,
    tongue_shear,
)
from furnigen.strength.joints.actions import NOISE_N, Action, Bears, LoadedJoint, NotKnownError, extent
from furnigen.strength.joints.glued import glue_pull_mpa, glue_shear_mpa
from furnigen.strength.joints.wood import ALONG, Wood, design

_WHOLE_END = frozenset({Joinery.HOUSING, Joinery.RABBET, Joinery.SLIDING_DOVETAIL})


def tongue_rules(one: LoadedJoint, action: Action) -> Iterator[Bears]:
    """What a joint without fasteners bears of an action.

    Raises: NotKnownError where no rule speaks of it.
    """
    assert one.a is not None
    seat, family = one.seat, one.joint.joinery
    if family in (Joinery.BUTT, Joinery.MITRE) or seat.deep_mm <= 0:
        yield from _faces(one, action)
        return
    side, pull = action.sideways(seat), action.pull(seat)
    size = action.shear(seat)
    if size > NOISE_N:
        way = tuple(c / size for c in side)
        if family is Joinery.RABBET and not _on_shoulder(one, way):  # type: ignore[arg-type]
            yield from _off_shoulder(one, size)
        elif family in _WHOLE_END and abs(dot(way, seat.along)) > ALONG:  # type: ignore[arg-type]
            yield from _slides(one, size)
        else:
            yield from _pressed(one, size)
    if pull > NOISE_N:
        yield from _drawn(one, pull)
    if action.moment > NOISE_N:
        yield from _turned(one, action, size)


def _across_mpa(one: LoadedJoint) -> tuple[float, str] | None:
    """Strength square to the grain of the softer wood over the factor on loads, where any is known."""
    known = [
        (w.bears.bearing_mpa / LOAD_FACTOR, w.bears.bearing_source.text)
        for w in one.woods
        if w.bears.bearing_mpa is not None and w.bears.bearing_source is not None
    ]
    return min(known, default=None)


def _pressed(one: LoadedJoint, size: float) -> Iterator[Bears]:
    """A tongue that presses on a ledge, and its own shear."""
    seat = one.seat
    assert one.a is not None
    across = _across_mpa(one)
    if across is not None:
        wide = seat.thick_mm if seat.round else seat.wide_mm
        held = (
            across[0] * one.bearing_mm2
            if one.bearing_mm2 > 0
            else ledge_bearing(wide, seat.deep_mm, across[0])
        )
        yield Bears(
            "pressure on what carries it",
            size,
            held,
            "N",
            f"k_c90 f_c90 b x depth, EN 1995-1-1 6.1.5 with k_c90 1: {across[1]}",
        )
    area = pi * seat.thick_mm**2 / 4 if seat.round else seat.wide_mm * seat.thick_mm
    if one.joint.joinery is Joinery.LAP:
        return  # notched: the shear of what is left is checked with the board
    area *= 0.5 if one.joint.joinery is Joinery.FINGER else 1.0
    stress = tongue_shear(size, area, round_one=seat.round)
    yield Bears(
        f"shear of what of {one.b.label} goes in",
        stress,
        one.b.shear_mpa,
        "N/mm2",
        f"1.5 V/A (4/3 of a round one) against f_v x k_mod / gamma_M / 1.5: {_shear_source(one.b)}",
    )


def _shear_source(wood: Wood) -> str:
    return wood.bears.shear_source if wood.bears.shear_mpa is not None else value_source("board shear")


def _on_shoulder(one: LoadedJoint, way: Vector) -> bool:
    """Whether a pushes b away from the shoulder of a rabbet: b then presses on it."""
    home = one.joint.home
    return home is None or dot(way, home) < ALONG


def _off_shoulder(one: LoadedJoint, size: float) -> Iterator[Bears]:
    """A board that hangs in the glue of its rabbet: its end in shear, its cheek pulled off the shoulder.

    The stiffer of the two takes the load first: the better one counts alone.
    """
    seat = one.seat
    assert one.a is not None
    if not one.joint.glued:
        yield Bears(
            "board that hangs in a dry rabbet", size, 0.0, "N", "nothing holds it against its shoulder"
        )
        return
    shear, shear_source = glue_shear_mpa(one.a, one.b, seat.into)
    off, off_source = glue_pull_mpa(one.a, one.b, seat.across)
    held = [
        ("glue on the end in a rabbet", shear * seat.wide_mm * seat.thick_mm, shear_source),
        ("glue pulled off the shoulder of a rabbet", off * seat.wide_mm * seat.deep_mm, off_source),
    ]
    what, most, source = max(held, key=lambda h: h[1])
    yield Bears(what, size, most, "N", source)


def _cheeks(one: LoadedJoint) -> float:
    """Area of the glue on the cheeks of what goes in, mm²."""
    seat = one.seat
    if seat.round:
        return pi * seat.thick_mm * seat.deep_mm
    if one.joint.joinery is Joinery.FINGER:
        return (seat.parts - 1) * seat.thick_mm * seat.deep_mm
    if one.joint.joinery is Joinery.RABBET:
        return seat.wide_mm * seat.deep_mm
    return 2 * seat.wide_mm * seat.deep_mm


def _glue_on_cheeks(one: LoadedJoint) -> tuple[float, str]:
    """What the glue on the cheeks bears in shear, N."""
    assert one.a is not None
    seat = one.seat
    if seat.round:
        mean = bond_pull(joint_value("dowel bond"), seat.thick_mm, seat.deep_mm)
        held = design(joint_value("mean to 5-percentile") * mean, one.a, one.b)
        return held, (
            f"pi d L tau, tau as dowels at the low end ({value_source('dowel bond')}), x"
            f" {joint_value('mean to 5-percentile'):g} to a characteristic value, x k_mod / 1.3 / 1.5"
        )
    normal = seat.along if one.joint.joinery is Joinery.FINGER else seat.across
    mpa, source = glue_shear_mpa(one.a, one.b, normal)
    return mpa * _cheeks(one), source


def _slides(one: LoadedJoint, size: float) -> Iterator[Bears]:
    """A board that would slide along its own groove."""
    if not one.joint.glued:
        raise NotKnownError("it is pushed along its own dry groove, which holds nothing that way")
    held, source = _glue_on_cheeks(one)
    yield Bears("glue along the groove", size, held, "N", source)


def _drawn(one: LoadedJoint, pull: float) -> Iterator[Bears]:
    """A tongue drawn out of its groove or mortise."""
    seat, family = one.seat, one.joint.joinery
    held: list[tuple[str, float, str]] = []
    if one.joint.glued:
        newton, source = _glue_on_cheeks(one)
        held.append(("glue on the cheeks", newton, source))
    if family is Joinery.SLIDING_DOVETAIL:
        assert one.a is not None
        softer = min((one.a, one.b), key=lambda w: w.shear_mpa)
        newton = 2 * seat.wide_mm * seat.deep_mm * softer.shear_mpa
        held.append(("flares of the dovetail", newton, f"2 b h f_v (hand-derived): {_shear_source(softer)}"))
    elif family is Joinery.LAP:
        newton = softer_cheeks(one)
        held.append(("wood beside the lap", newton, "b h f_v on both sides (hand-derived)"))
    if not held and any(f.kind is FastenerKind.WEDGE and f.sites for f in one.joint.fasteners):
        raise NotKnownError("no value is published for a dry wedged tenon drawn out")
    if not held:
        yield Bears(
            "what is drawn out of a dry joint", pull, 0.0, "N", "nothing holds it: glue or a fastener would"
        )
        return
    what, most, source = max(held, key=lambda h: h[1])
    yield Bears(what, pull, most, "N", source)


def softer_cheeks(one: LoadedJoint) -> float:
    """What the wood on both sides of a lap bears in shear, N."""
    return min(2 * one.seat.thick_mm * one.seat.deep_mm * w.shear_mpa for w in one.woods)


def _turned(one: LoadedJoint, action: Action, size: float) -> Iterator[Bears]:
    """A tongue turned in its socket by a moment."""
    seat = one.seat
    assert one.a is not None
    moment = action.moment
    tall = extent(seat, action.lever)
    wide = extent(seat, cross(seat.into, action.lever))
    if one.joint.joinery is Joinery.LAP and one.joint.glued:
        side = sqrt(seat.wide_mm * seat.thick_mm)
        limit = min(design(joint_value("lap torsion limit"), *one.woods), *(w.shear_mpa for w in one.woods))
        yield Bears(
            "torsion in the glue of the lap",
            lap_torsion(moment, side),
            limit,
            "N/mm2",
            f"3 sqrt2 T / a³, polar section (hand-derived); {value_source('lap torsion limit')}",
        )
        return
    bend = one.b.bending_mpa
    modulus = round_modulus(seat.thick_mm) if seat.round else tenon_modulus(wide, tall)
    if bend is not None:
        yield Bears(
            f"bending of what of {one.b.label} goes in",
            moment / modulus,
            bend,
            "N/mm2",
            f"M / W of the tongue alone, its shoulders not counted; {one.b.bears.bending_source.text} / 1.5",
        )
    held: list[tuple[str, float, float, str, str]] = []
    across = _across_mpa(one)
    if across is not None:
        pressure = socket_mpa(moment, size, seat.deep_mm, wide)
        source = f"6 M / b d² + V / b d (hand-derived); square to the grain: {across[1]}"
        held.append(("pressure in the socket", pressure, across[0], "N/mm2", source))
    if one.joint.glued:
        glue, source = _glue_on_cheeks(one)
        held.append(
            (
                "couple of the glue on both cheeks",
                moment / tall,
                glue / 2,
                "N",
                f"M / thickness on the glue of each cheek (hand-derived); {source}",
            )
        )
    if not held:
        raise NotKnownError("no strength square to the grain is known of its wood, and it is not glued")
    what, value, allowed, unit, source = min(held, key=lambda h: h[1] / h[2] if h[2] > 0 else float("inf"))
    yield Bears(what, value, allowed, unit, source)


def _faces(one: LoadedJoint, action: Action) -> Iterator[Bears]:
    """Faces that only lie against each other, or are glued: butts and mitres; a spline or key helps."""
    assert one.a is not None
    seat, joint = one.seat, one.joint
    spline = next(
        (f for f in joint.fasteners if f.kind in (FastenerKind.SPLINE, FastenerKind.KEY) and f.sites), None
    )
    size, pull = action.shear(seat), max(0.0, action.pull(seat))
    if joint.joinery is Joinery.MITRE:
        size = max(0.0, size - joint_value("mitre friction") * max(0.0, -action.pull(seat)))
    if max(size, pull) <= NOISE_N and action.moment <= NOISE_N:
        return
    shear, shear_source = (0.0, "") if not joint.glued else glue_shear_mpa(one.a, one.b, seat.into)
    off, off_source = (0.0, "") if not joint.glued else glue_pull_mpa(one.a, one.b, seat.into)
    area = seat.wide_mm * seat.thick_mm
    if spline is not None:
        section = len(spline.sites) * spline.diameter_mm * spline.length_mm
        splined = list(_splined(one, action, size, pull, section))
        if shear * area > 0 and size > NOISE_N:
            alone = Bears("glue of the mitre in shear", size, shear * area, "N", shear_source + _rubs())
            # the stiffer of glue and spline takes the load first: the better one counts alone
            splined[0] = min(splined[0], alone, key=lambda b: b.used)
        yield from splined
        return
    if Fact.CARRIES_BY_ITS_SHAPE in joint.facts and not joint.glued:
        raise NotKnownError("its author says it carries by its shape, and how is not stated")
    if joint.glued and shear <= 0 and off <= 0:
        raise NotKnownError("only glue on end grain holds it, of which no strength is published")
    if size > NOISE_N:
        yield Bears("glue in shear", size, shear * area, "N", shear_source or "nothing joins the faces")
    if pull > NOISE_N:
        yield Bears("glue pulled apart", pull, off * area, "N", off_source or "nothing joins the faces")
    if action.moment > NOISE_N:
        modulus = tenon_modulus(extent(seat, cross(seat.into, action.lever)), extent(seat, action.lever))
        yield Bears(
            "glue turned open", action.moment / modulus, off, "N/mm2", off_source or "nothing joins the faces"
        )


def _rubs() -> str:
    """What is taken off what slides along a mitre, in words."""
    return f"; less {joint_value('mitre friction'):g} of what presses it ({value_source('mitre friction')})"


def _splined(one: LoadedJoint, action: Action, size: float, pull: float, section: float) -> Iterator[Bears]:
    """A mitre held by its spline or keys, taken to be of the wood of b; the glue of the mitre not counted.

    Args:
        section: of all splines where the mitre cuts them, mm².
    """
    assert one.a is not None
    seat, wood = one.seat, one.b
    spline = next(f for f in one.joint.fasteners if f.sites)
    thick, mpa = spline.diameter_mm, wood.shear_mpa
    source = f"spline of the wood of {wood.label}, f_v x k_mod / gamma_M / 1.5: {_shear_source(wood)}"
    in_plane = abs(spline.length_mm - seat.wide_mm) < abs(spline.length_mm - seat.thick_mm)
    if wood.kind == "plywood" and in_plane:
        mpa = design(joint_value("spline in its plane"), wood)
        source = f"{value_source('spline in its plane')}, x k_mod / 1.3 / 1.5"
    if size > NOISE_N:
        yield Bears(
            "shear of the spline", tongue_shear(size, section), mpa, "N/mm2", f"1.5 V/A; {source}{_rubs()}"
        )
    cheeks = 2 * section / thick * max(seat.deep_mm, 0.0)
    glue = design(joint_value("glue across the grain"), one.a, wood) if one.joint.glued else 0.0
    glue_source = (
        f"glue on the cheeks of the spline, {value_source('glue across the grain')}, x k_mod / 1.3 / 1.5"
    )
    if pull > NOISE_N:
        yield Bears("glue on the spline", pull, glue * cheeks, "N", glue_source)
    if action.moment > NOISE_N:
        tall = extent(seat, action.lever)
        # the spline's glue on either half of the mitre resists as a couple at two thirds of its length
        arm = tall * 2 / 3
        yield Bears(
            "glue on the spline, turned open",
            action.moment / arm,
            glue * cheeks / 2,
            "N",
            f"M over two thirds of the mitre, half of the spline in pull (hand-derived); {glue_source}",
        )
