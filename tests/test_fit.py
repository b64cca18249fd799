"""Fit: openings are clear spaces."""

from __future__ import annotations

from dataclasses import replace

import pytest

from furnigen import Box, Draft, find_stock
from furnigen.checks.fit import check_openings
from furnigen.core.finding import FAIL, PASS
from furnigen.piece.description import Opening

PLY = find_stock("birch-ply-18").with_thickness(18.0)


def found(*openings):
    """A shelf 600 x 300 x 18 at height 400 over another at 0, with some openings declared."""
    draft = Draft("two shelves")
    draft.board("low", PLY, (0, 0, 0), (600, 300, 18), grain="x")
    draft.board("high", PLY, (0, 0, 400), (600, 300, 418), grain="x")
    named = tuple(Opening(f"bay.{n}", Box(lo, hi)) for n, (lo, hi) in enumerate(openings, 1))
    return list(check_openings(replace(draft.done(), openings=named)))


def test_an_opening_between_boards_is_clear():
    (told,) = found(((0, 0, 18), (600, 300, 400)), ((600, 0, 0), (900, 300, 500)))
    assert (told.name, told.status, told.where) == ("least-clear-height", PASS, "bay.1")
    assert told.value == 382


@pytest.mark.parametrize("axis", [0, 1, 2])
@pytest.mark.parametrize("end", ["lo", "hi"])
@pytest.mark.parametrize(("into", "held"), [(0.0, False), (5e-7, False), (2e-6, True), (10.0, True)])
def test_a_board_is_in_an_opening_from_a_millionth_of_a_millimetre_on(axis, end, into, held):
    """Beside each of the shelf's six faces in turn, and some way into it: 1e-6 mm is noise."""
    lo, hi = [0.0, 0.0, 400.0], [600.0, 300.0, 418.0]
    if end == "lo":  # the opening lies beyond the low face
        lo[axis], hi[axis] = lo[axis] - 100.0, lo[axis] + into
    else:
        lo[axis], hi[axis] = hi[axis] - into, hi[axis] + 100.0
    told = found((tuple(lo), tuple(hi)))
    assert [f.name for f in told] == ["clear-opening", "least-clear-height"][not held :]
    if held:
        assert (told[0].status, told[0].value, told[0].where) == (FAIL, 1, "bay.1: high")


def test_what_encloses_and_what_is_enclosed_is_told_with_every_label():
    told = found(((-10, -10, -10), (700, 400, 500)), ((200, 100, 405), (300, 200, 410)))
    assert [(f.value, f.where) for f in told[:2]] == [(2, "bay.1: low, high"), (1, "bay.2: high")]


def test_an_opening_without_room_holds_nothing():
    assert [f.name for f in found(((200, 100, 405), (300, 200, 405)))] == ["least-clear-height"]
