"""The mockup as a kit: flat parts that connect by tabs, laps and pegs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from manifold3d import Manifold

from furnigen.catalogue.materials import find_material
from furnigen.core.array_types import Floats
from furnigen.core.errors import InputError
from furnigen.core.finding import FAIL, PASS, WARN, Finding, name_labels
from furnigen.core.wording import in_words
from furnigen.formats.report import Json
from furnigen.mockup.beds import UnplacedPrint, packed
from furnigen.mockup.connections import DEEPEST_MM, Connection, find_connections, with_clearance, with_keys
from furnigen.mockup.kit_order import KitFit, KitTrial
from furnigen.mockup.labelling import NONE, Lettering, find_lettering, unseen_sides
from furnigen.mockup.orientation import Orientation, best_orientation
from furnigen.mockup.overlap_removal import without_overlaps
from furnigen.mockup.pictures import APART, standing
from furnigen.mockup.print_plan import PrintPlan, check_pieces, piece_rows
from furnigen.mockup.printer import LETTER_DEPTH_MM, Printer
from furnigen.mockup.scale import Scale, would_fit
from furnigen.mockup.scaled_bodies import ScaledBody, ScaledPiece, finest_scale
from furnigen.piece.description import Piece

FIT_SOURCE = "the parts of the kit in place, at the clearance asked for"
ORDER_SOURCE = "every part must come in along a straight way, free of what is there before it (swept meshes)"


@dataclass(frozen=True, eq=False)
class _Kit:
    """Parts in place with keys and letters, how each is printed, and whether they can be assembled."""

    connections: list[Connection]
    solids: list[Manifold]
    orientations: list[Orientation]
    texts: dict[str, str]
    fit: KitFit


def print_kit(
    piece: Piece, scaled: ScaledPiece, printer: Printer, scale: Scale, names: str = "hidden"
) -> PrintPlan:
    """The mockup as a kit.

    Args:
        names: where the parts' names may stand: on "hidden" faces, on "any", or "none".

    Raises: InputError when a part is larger than the bed, or the clearance larger than the tabs.
    """
    _refuse_loose(scaled.bodies, printer)
    bodies = without_overlaps(piece, scaled.bodies, printer)
    finest = finest_scale(piece, printer)
    unseen = unseen_sides(bodies)
    _refuse_large(bodies, [_flat(b, b.solid, unseen, printer) for b in bodies], printer, scale, finest)
    found = find_connections(piece, bodies, printer)
    bodies, found = with_clearance(bodies, found, printer)
    kit = _together(bodies, found, KitTrial(piece, scaled.made), unseen, names, printer)
    _refuse_large(bodies, kit.orientations, printer, scale, finest)
    things = [
        UnplacedPrint(body.label, solid, orientation, _colour(piece, body))
        for body, solid, orientation in zip(bodies, kit.solids, kit.orientations, strict=True)
    ]
    pieces, beds = packed(things, printer)
    findings = [*check_pieces("kit", pieces, printer, scale), *_findings(kit)]
    numbers = {b.label: n for n, b in enumerate(bodies, 1)}
    details: Json = {
        "parts": len(pieces),
        "connections": [_row(c) for c in kit.connections],
        "labels": [
            {"part": label, "number": numbers[label], "raised": text} for label, text in kit.texts.items()
        ],
        "assembly": _steps(kit.fit, scale),
        "pieces": piece_rows(beds, printer),
    }
    return PrintPlan(
        "kit",
        pieces,
        beds,
        standing(piece.name, pieces),
        standing(piece.name, pieces, APART),
        details,
        tuple(findings),
    )


def _together(
    bodies: Sequence[ScaledBody],
    connections: list[Connection],
    trial: KitTrial,
    unseen: Mapping[str, Floats],
    names: str,
    printer: Printer,
) -> _Kit:
    """The kit with as many keys as can be assembled, and as many letters as then are in no part's way."""
    texts = {
        b.label: [b.label, str(n)] if names != "none" else []
        for n, b in enumerate(bodies, 1)
        if b.kind == "board"
    }
    plain: KitFit | None = None
    while True:
        keyed = with_keys(bodies, connections)
        orientations = [_flat(b, s, unseen, printer) for b, s in zip(bodies, keyed, strict=True)]
        if names == "hidden":
            for body, lies in zip(bodies, orientations, strict=True):
                if body.label in texts and lies.turn[2] @ unseen[body.label] < 0:
                    texts[body.label] = []
        borne = _lettered(bodies, keyed, orientations, printer, texts)
        tried = [s if w.block is None else s + w.block for s, w in zip(keyed, borne.values(), strict=True)]
        fit = trial.fit(tried)
        speaking = {label: w for label, w in borne.items() if w.text}
        if fit.good or (plain is not None and not speaking):
            solids = [
                s if w.letters is None else s + w.letters for s, w in zip(keyed, borne.values(), strict=True)
            ]
            return _Kit(connections, solids, orientations, {label: w.text for label, w in borne.items()}, fit)
        if plain is None:
            given, plain = _unlocked(bodies, connections, trial)
            if given != connections:
                connections = given
                continue
        # of the letters on parts that lock each other, those in the way in an order without letters
        stuck = {label for labels in fit.assembly.locked for label in labels}
        stuck |= {label for o in fit.overlaps for label in (o.a, o.b)}
        blocks = {label: w.block for label, w in speaking.items() if w.block is not None}
        hit = trial.in_the_way(plain.assembly, keyed, blocks) if plain.good else set[str]()
        # a shorter name may fit where a longer one does not
        for label in hit & stuck or hit or set(speaking):
            texts[label] = texts[label][texts[label].index(speaking[label].text) + 1 :]


def _unlocked(
    bodies: Sequence[ScaledBody], connections: list[Connection], trial: KitTrial
) -> tuple[list[Connection], KitFit]:
    """Connections of which none locks the parts, without any letters, and how they fit.

    Keys are given up first where the piece has no joint, then at butt joints, then at the rest.
    """
    while True:
        fit = trial.fit(with_keys(bodies, connections))
        locking = [
            c
            for c in connections
            if c.key is not None and any({c.male, c.female} <= set(labels) for labels in fit.assembly.locked)
        ]
        if not locking:
            return connections, fit
        least = min(c.rank for c in locking)
        given_up = {id(c) for c in locking if c.rank == least}
        connections = [
            c.without_key("a key there would lock the parts") if id(c) in given_up else c for c in connections
        ]


def _lettered(
    bodies: Sequence[ScaledBody],
    solids: Sequence[Manifold],
    orientations: Sequence[Orientation],
    printer: Printer,
    texts: Mapping[str, Sequence[str]],
) -> dict[str, Lettering]:
    """What each part bears of the texts it may bear, by label in the order of the parts."""
    borne = {}
    for body, solid, orientation in zip(bodies, solids, orientations, strict=True):
        borne[body.label] = NONE
        if texts.get(body.label):
            others = [x for x in solids if x is not solid and _near(x, solid)]
            borne[body.label] = find_lettering(
                solid, orientation, body.thickness_mm, texts[body.label], others, printer
            )
    return borne


def _flat(body: ScaledBody, solid: Manifold, unseen: Mapping[str, Floats], printer: Printer) -> Orientation:
    """How a part lies: a board on one of its faces, anything else as it needs the least support.

    Of two faces that are as good it lies on the one that is seen, which the bed makes smooth.
    """
    downs = np.stack([-unseen[body.label], unseen[body.label]]) if body.kind == "board" else None
    return best_orientation(solid, printer, downs)


def _colour(piece: Piece, body: ScaledBody) -> tuple[float, float, float]:
    return find_material(piece.parts[body.part].stock.material).colour


def _near(a: Manifold, b: Manifold) -> bool:
    """Whether two parts come as near each other as a letter is high."""
    one, two = np.array(a.bounding_box()), np.array(b.bounding_box())
    return bool((np.maximum(one[:3], two[:3]) - np.minimum(one[3:], two[3:]) < LETTER_DEPTH_MM).all())


def _refuse_loose(bodies: Sequence[ScaledBody], printer: Printer) -> None:
    """Refuse a clearance that is as large as what it should hold."""
    thinnest = min(bodies, key=lambda b: round(b.thickness_mm, 4))
    most = thinnest.thickness_mm / 2
    if printer.clearance_mm >= most:
        raise InputError(
            "clearance",
            f"{printer.clearance_mm:g} mm",
            f"must be less than {most:.2f} mm, half the thickness of the thinnest tab, on {thinnest.label}",
        )


def _refuse_large(
    bodies: Sequence[ScaledBody],
    orientations: Sequence[Orientation],
    printer: Printer,
    scale: Scale,
    finest: float,
) -> None:
    """Refuse parts that fit no bed, with the scale that would do: all of them, with a tab at either end."""
    over = [b for b, s in zip(bodies, orientations, strict=True) if not s.fits]
    if not over:
        return
    tabs = 2 * max(min(b.thickness_mm, DEEPEST_MM) for b in bodies)
    bed = np.sort(printer.room_mm[:2])

    def share(body: ScaledBody) -> float:
        long, wide, _ = -np.sort(-(body.hi - body.lo))
        return float(max((long + tabs) / bed[1], (wide + tabs) / bed[0]))

    body = max(over, key=lambda b: round(share(b), 6))
    size = in_words(*-np.sort(-(body.hi - body.lo)), digits=0)
    n = int(np.ceil(scale.denominator * share(body)))
    every = "every part; the largest is " if len(over) == len(bodies) else ""
    raise InputError(
        "bed",
        printer.bed_text,
        f"is too small for {every}{body.label}, {size} and its tabs at {scale.text}",
        would_fit(n if n <= finest else None),
    )


def _findings(kit: _Kit) -> list[Finding]:
    connections, fit, names = kit.connections, kit.fit, kit.texts
    overlaps = [f"{o.a} and {o.b}" for o in fit.overlaps]
    locked = [label for labels in fit.assembly.locked for label in labels]
    keyed = {label for c in connections if c.key is not None for label in (c.male, c.female)}
    loose = [label for label in names if label not in keyed]
    bare = [label for label, text in names.items() if not text]
    fault = "this is a fault of furnigen: another scale or clearance may do"
    return [
        Finding(
            "kit-interference",
            FAIL if overlaps else PASS,
            sum(o.volume_mm3 for o in fit.overlaps),
            0.0,
            "mm3",
            name_labels(overlaps),
            FIT_SOURCE,
            fault if overlaps else "",
        ),
        Finding(
            "kit-order",
            FAIL if locked else PASS,
            len(locked) if locked else len(fit.assembly.steps),
            0 if locked else None,
            "parts" if locked else "steps",
            name_labels(locked),
            ORDER_SOURCE,
            "they lock each other at any scale, as the piece itself does" if locked else "",
        ),
        Finding(
            "kit-keys",
            WARN if loose else PASS,
            len(loose),
            0,
            "parts",
            name_labels(loose),
            "a part is held by at least one tab, lap or peg",
            "glue these face on face: there is no room for a tab or a peg; a larger scale gives it"
            if loose
            else "",
        ),
        Finding("kit-labels", PASS, len(names) - len(bare), None, "parts", "", "", ""),
    ]


def _row(c: Connection) -> Json:
    row: Json = {"kind": c.kind, "from": c.male, "into": c.female, "area_mm2": c.area_mm2}
    if c.key is not None:
        return row | {"count": c.key.count, "least_mm": c.key.least_mm}
    return row | {"why": c.why}


def _steps(fit: KitFit, scale: Scale) -> list[Json]:
    return [
        {
            "builds": s.builds,
            "brings": list(s.brings),
            "onto": list(s.onto),
            "way": None if s.way is None else list(s.way),
            "travel_mm": s.travel_mm * scale.ratio,
        }
        for s in fit.assembly.steps
        if s.brings
    ]
