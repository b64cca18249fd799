"""Will it hold, will it stand: findings on sag, stress, bearing, uprights, legs, sway and standing."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from math import inf
from typing import TYPE_CHECKING

from furnigen.check.finding import FAIL, PASS, WARN, Finding, named
from furnigen.check.standing import MOST_USED, standing_findings, wall_findings
from furnigen.piece import Piece
from furnigen.quantities import format_length
from furnigen.strength.assess import Loaded, Strength, UncarriedError, assess, load_boards
from furnigen.strength.boards import Board
from furnigen.strength.posts import FLOOR_FRICTION, Pressure
from furnigen.strength.use import Demands

if TYPE_CHECKING:
    from furnigen.mesh.contacts import Contact
    from furnigen.mesh.support import GroundContact

SAG, STRONG, STANDING = "sag", "strength", "standing"
NAMES = {
    SAG: ("sag", "slides-off"),
    STRONG: (
        "bending",
        "bearing",
        "upright",
        "leg-joint",
        "leg-thrust",
        "sideways",
        "foot-pressure",
        "carried",
    ),
    STANDING: ("standing", "tips-by-itself", "anchor", "wall", "tip-test"),
}
"""Groups of checks that `furnigen check --only` knows, and the names of their findings."""


def in_groups(findings: Iterable[Finding], groups: Collection[str]) -> list[Finding]:
    """The findings that belong to some of SAG, STRONG and STANDING; strength holds sag too."""
    names = {name for group in groups for name in NAMES.get(group, ())}
    if STRONG in groups:
        names |= {*NAMES[SAG]}
    return [f for f in findings if f.name in names or f.name == "carried"]


SWAY_LEAST = 2.0
"""How many times its weight and load a piece should carry before it folds sideways. Our own choice."""
SLIPPERY = 0.4
"""Friction that no floor is sure to have. Common practice, no source."""


def check_strength(
    piece: Piece,
    contacts: Iterable[Contact],
    grounded: Iterable[GroundContact],
    demands: Demands | None = None,
) -> tuple[list[Finding], Strength | None]:
    """All checks of strength and standing, worst first, and what they were drawn from.

    Args:
        contacts, grounded: what touches, from `furnigen.check.solid` or `furnigen.mesh.drafted`.
        demands: what the piece is held to; the usual where None.

    Errors: InputError for a load, climate or material that makes no sense.
    """
    try:
        strength = assess(piece, contacts, grounded, demands)
    except UncarriedError as error:
        return [_uncarried(error)], None
    return findings_of(strength), strength


def check_sag(
    piece: Piece,
    contacts: Iterable[Contact],
    grounded: Iterable[GroundContact],
    demands: Demands | None = None,
) -> tuple[list[Finding], Loaded | None]:
    """Sag alone, as `check_strength` finds it, at a third of its cost.

    Args and errors: as `check_strength`.
    """
    try:
        on = load_boards(piece, contacts, grounded, demands)
    except UncarriedError as error:
        return [_uncarried(error)], None
    return list(_sags(on)), on


def _uncarried(error: UncarriedError) -> Finding:
    many = isinstance(error.value, int)
    return Finding(
        "carried",
        FAIL,
        float(error.value) if many else 0.0,  # type: ignore[arg-type]
        None,
        "parts",
        error.allowed if many else "",
        f"{error.what}: strength is not known for what nothing carries",
        error.fits,
    )


def findings_of(strength: Strength) -> list[Finding]:
    """Every finding on a piece's strength and standing."""
    return [
        *_sags(strength),
        *_stresses(strength),
        *_bearings(strength),
        *_uprights(strength),
        *_legs(strength),
        *_feet(strength),
        *_sideways(strength),
        *standing_findings(strength),
        *wall_findings(strength),
    ]


def _over(strength: Strength | Loaded, boards: Iterable[Board] = ()) -> str:
    """What passing a limit is: a failure where someone said what is carried, else a warning."""
    own = [b.carried for b in boards if b.carried is not None]
    said = any(on.said for on in own or strength.carried.values())
    return FAIL if said or not (own or strength.carried) else WARN


ASSUMED = "the load is assumed: say what it carries, with --load or in the recipe"


def _together(boards: Iterable[Board], used: dict[str, float]) -> list[list[Board]]:
    """Boards that are used alike, as one group; the most used first."""
    groups: dict[tuple[float, float], list[Board]] = {}
    for board in boards:
        assert board.result is not None
        key = (round(used[board.label], 4), round(board.result.final_mm, 3))
        groups.setdefault(key, []).append(board)
    return sorted(groups.values(), key=lambda g: -used[g[0].label])


def _where(group: list[Board]) -> str:
    first = group[0]
    assert first.result is not None
    segment = first.result.segment
    place = f"{segment.kind} {format_length(segment.start)} to {format_length(segment.end)}"
    return f"{named([b.label for b in group])}: {place}, {first.result.loaded}"


def _sags(strength: Strength | Loaded) -> Iterator[Finding]:
    known = [b for b in strength.boards if b.result is not None]
    for board in strength.boards:
        if board.result is None:
            yield Finding(
                "slides-off",
                FAIL,
                1,
                0,
                "boards",
                board.label,
                "a board that only lies needs its load between its supports, whichever bay is full",
                "join it to what carries it, or move a support outward",
            )
    used = {b.label: b.result.used for b in known if b.result is not None}
    groups = _together(known, used)
    shown = [g for g in groups if used[g[0].label] > 1] or groups[:1]
    for group in shown:
        result = group[0].result
        assert result is not None
        low, high = result.spread.range()
        limit = result.shelf.limit
        source = (
            f"limit {limit.title}: {limit.source.text}; {result.shelf.load.text}"
            f" ({result.shelf.load.source.text}); at once {result.first_mm:.2f} mm, creep"
            f" {result.creep.factor:g} ({result.creep.source.text}); 9 of 10 sag {low:.2f} to {high:.2f} mm,"
            f" {result.chance:.0%} stay within the limit"
        )
        over = used[group[0].label] > 1
        yield Finding(
            "sag",
            _over(strength, group) if over else PASS,
            result.final_mm,
            result.limit_mm,
            "mm",
            _where(group),
            source,
            ("" if _over(strength, group) == FAIL else f"{ASSUMED}; else ")
            + "a thicker board, a shorter span, an edge stiffener or one more support"
            if over
            else "",
            used[group[0].label],
        )


def _stresses(strength: Strength) -> Iterator[Finding]:
    known = [b for b in strength.boards if b.result is not None and b.result.stress_used is not None]
    used = {b.label: b.result.stress_used or 0.0 for b in known if b.result is not None}
    groups = _together(known, used)
    for group in [g for g in groups if used[g[0].label] > 1] or groups[:1]:
        result = group[0].result
        assert result is not None
        over = used[group[0].label] > 1
        yield Finding(
            "bending",
            _over(strength, group) if over else PASS,
            result.stress_mpa,
            result.stress_allowed_mpa,
            "N/mm2",
            named([b.label for b in group]),
            "f_m x k_mod / gamma_M / 1.5, lasting load (EN 1995-1-1 2.4.1)",
            "a thicker board or a shorter span" if over else "",
            used[group[0].label],
        )


def _bearings(strength: Strength) -> Iterator[Finding]:
    known = [(p.mpa / p.allowed_mpa, p) for p in strength.pressures if p.allowed_mpa]
    if not known:
        return
    worst = max(known, key=lambda k: k[0])
    alike: dict[float, list[Pressure]] = {}
    for used, p in known:
        alike.setdefault(round(used, 3), []).append(p)
    over_limit = [(used, group) for used, group in alike.items() if used > 1]
    for used, group in over_limit or [(worst[0], [worst[1]])]:
        over = used > 1
        p = group[0]
        yield Finding(
            "bearing",
            WARN if over else PASS,
            p.mpa,
            p.allowed_mpa,
            "N/mm2",
            named([f"{p.label} on {p.by}" for p in group]),
            p.source,
            "a wider bearing: a deeper housing, a cleat below, or a plate" if over else "",
            used,
        )


def _uprights(strength: Strength) -> Iterator[Finding]:
    known = [
        (min(p.pressed.used if p.pressed.amplifier < inf else MOST_USED, MOST_USED), p)
        for p in strength.posts
        if p.pressed is not None
    ]
    if not known:
        return
    worst = max(known, key=lambda k: k[0])
    for used, p in [k for k in known if k[0] > 1] or [worst]:
        over = used > 1
        yield Finding(
            "upright",
            _over(strength) if over else PASS,
            used,
            1.0,
            "",
            f"{p.label}: {p.axial_n:.0f} N between {format_length(p.low)} and {format_length(p.high)}",
            f"pressing and bending together, {p.ends}: {p.why_ends} (EN 1995-1-1 6.3.2, Euler)",
            "a thicker upright, or a level that holds it halfway" if over else "",
            used,
        )


def _legs(strength: Strength) -> Iterator[Finding]:
    if not strength.legs:
        return
    rated = [(leg.used if leg.used is not None else 0.0, leg) for leg in strength.legs]
    used, worst = max(rated, key=lambda r: r[0])
    unknown = next((leg for _, leg in rated if leg.used is None), None)
    friction = f"statics of a leaning leg, floor friction {FLOOR_FRICTION:g} (from memory)"
    if unknown is not None:
        yield Finding(
            "leg-joint",
            WARN,
            unknown.held / 1000,
            None,
            "N m",
            f"{unknown.label}: {unknown.how}",
            friction,
            "join the legs, and see that the joint takes this moment",
        )
    else:
        over = used > 1
        yield Finding(
            "leg-joint",
            _over(strength) if over else PASS,
            used,
            1.0,
            "",
            f"{worst.label}: {worst.held / 1000:.1f} N m, {worst.how}",
            friction,
            "a thicker or deeper tenon, less lean, or stretchers between the legs" if over else "",
            used,
        )
    slope = max(leg.leaned.friction for leg in strength.legs)
    leg = max(strength.legs, key=lambda one: one.leaned.thrust)
    slides = slope > SLIPPERY
    yield Finding(
        "leg-thrust",
        WARN if slides else PASS,
        leg.leaned.thrust,
        None,
        "N",
        f"{leg.label}: pushes outward, floor friction needed {slope:.2f}",
        friction,
        "tie the feet with stretchers, or lean the legs less" if slides else "",
    )


def _feet(strength: Strength) -> Iterator[Finding]:
    pressed: dict[str, float] = {}
    area: dict[str, float] = {}
    for foot in strength.feet:
        if foot.ground == "floor":
            pressed[foot.label] = pressed.get(foot.label, 0.0) + foot.newton
            area[foot.label] = max(area.get(foot.label, 0.0), foot.area)
    if pressed:
        label = max(pressed, key=lambda one: pressed[one] / area[one])
        yield Finding(
            "foot-pressure",
            PASS,
            pressed[label] / area[label],
            None,
            "N/mm2",
            f"{label}: {pressed[label]:.0f} N",
            "load on its contact with the floor; soft floors dent",
        )


def _sideways(strength: Strength) -> Iterator[Finding]:
    if strength.sideways and all(one.by == "the wall" for one in strength.sideways):
        yield Finding("sideways", PASS, 1, None, "wall", "", "a wall takes a push sideways")
        return
    for one in strength.sideways:
        where = f"{one.way}: {one.by}" + (f" ({named(one.panels)})" if one.panels else "")
        if one.safety == inf:
            source = "a panel takes the push in its plane"
            yield Finding("sideways", PASS, len(one.panels), None, "panels", where, source)
            continue
        source = f"safety against folding under its own load, K h / W; joints: {one.joint}"
        weak = one.safety < SWAY_LEAST
        source += f"; at best {min(one.at_best, MOST_USED):.1f}"
        used = min(SWAY_LEAST / one.safety if one.safety > 0 else MOST_USED, MOST_USED)
        if not strength.joined:
            status, remedy = (
                WARN,
                "the piece declares no joints: join its parts to know how stiff it is sideways",
            )
        elif one.at_best < 1:
            status, remedy = (
                _over(strength),
                "fix a back or a diagonal brace, stiffer joints, or anchor it to the wall",
            )
        elif one.by == "joints" or weak:
            status = WARN
            remedy = (
                "only its joints resist a push sideways: a back, a brace or a wall anchor would make it stiff"
            )
        else:
            status, remedy = PASS, ""
        yield Finding("sideways", status, one.safety, SWAY_LEAST, "", where, source, remedy, used)
