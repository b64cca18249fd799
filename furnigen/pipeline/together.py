"""Some stages of several pieces at once: in a small piece most time goes into beginning."""

from __future__ import annotations

import contextlib
from collections.abc import Collection, Sequence
from dataclasses import replace

from furnigen.core.errors import FurnigenError
from furnigen.core.threads import in_one_thread
from furnigen.pipeline.built import Built, Touching

_OF_ONE = (FurnigenError, MemoryError)
"""What is wrong with one of several pieces: it is said of that piece, when it is made alone."""
_LIGHT = frozenset({"sag", "strength", "standing"})
_MESHED = frozenset({"solid", "building"})


@in_one_thread
def work_out_together(built: Sequence[Built], groups: Collection[str]) -> None:
    """Find what touches in several pieces and what their loads do, and leave it with each of them.

    Nothing where some group of checks finds it anyhow, none asks, or it can not be found together: then
    each piece finds it by itself.

    Args:
        built: pieces with the same options.
        groups: the checks that will be asked for.
    """
    asked = _LIGHT & set(groups)
    if not asked or _MESHED & set(groups) or any(one.piece.has_custom_forms for one in built):
        return
    only_sag = asked == {"sag"}
    touching = _touching(built, without_holes=only_sag)
    if touching is None:
        return
    for one, touches in zip(built, touching, strict=True):
        if only_sag:
            one.boards_touching = touches
        else:
            one.touching = touches
    from furnigen.strength.assess import assess_in_steps, boards_loaded_in_steps
    from furnigen.strength.members.bracing import try_bracing
    from furnigen.strength.solver.together import side_by_side

    demands = built[0].options.demands
    whole = [(one.piece.without_loose, *touches) for one, touches in zip(built, touching, strict=True)]
    if only_sag:
        loaded = side_by_side([boards_loaded_in_steps(*one, demands) for one in whole], _OF_ONE)
        for one, boards in zip(built, loaded, strict=True):
            one.loaded_boards = None if isinstance(boards, Exception) else boards
    else:
        strong = side_by_side([assess_in_steps(*one, demands) for one in whole], _OF_ONE)
        for one, strength in zip(built, strong, strict=True):
            one.assessed = None if isinstance(strength, Exception) else strength
        known = [strength for strength in strong if not isinstance(strength, Exception)]
        with contextlib.suppress(*_OF_ONE):
            try_bracing(s.frame[0] for strength in known for s in strength.sideways if s.frame is not None)


def _touching(built: Sequence[Built], *, without_holes: bool) -> list[Touching] | None:
    from furnigen.mesh.light_mesh import light_contacts_together, without_hardware_holes

    pieces = [one.piece.without_loose for one in built]
    if without_holes:
        pieces = [
            replace(piece, parts=tuple(without_hardware_holes(p) for p in piece.parts)) for piece in pieces
        ]
    try:
        found = light_contacts_together(pieces, built[0].options.tolerance_mm)
    except _OF_ONE:
        return None
    return [(contacts, support.grounded) for contacts, support in found]
