"""Files put together of rows that are kept: the same as the plain writer's, and so where that is no use."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from kernel_pieces import board, glaze_case, part

from furnigen.core.pose import Pose
from furnigen.kernel import step, step_cache
from furnigen.kernel.solids import solids
from furnigen.kernel.step import step_bytes
from furnigen.kernel.step_cache import StepCache
from furnigen.piece.description import Piece, Placement
from furnigen.recipes.discovery import find_recipe

RECIPES = ("crate_wall", "divided_case", "ladder_rack", "leaning_shelf", "panel_bookcase", "ring_rack")


def test_rows_that_are_kept_give_the_plain_writer_s_file() -> None:
    """One cache for all, so that each piece comes after others."""
    cache = StepCache()
    for name in RECIPES:
        piece = find_recipe(name)()
        shapes = solids(piece)
        plain = step_bytes(piece, shapes)
        assert cache.step_bytes(piece, shapes) == plain, name
        assert cache.step_bytes(piece, shapes) == plain, f"{name} once more"


def test_few_rows_are_kept_and_the_files_are_the_same() -> None:
    cache, piece = StepCache(most=1), glaze_case()
    shapes = solids(piece)
    assert {cache.step_bytes(piece, shapes) for _ in range(3)} == {step_bytes(piece, shapes)}


def contexts_first(data: bytes) -> bytes:
    """A file of the same content laid out otherwise: what gives shapes their units stands before them."""
    head, mark, rest = data.partition(b"DATA;\n")
    rows = rest.split(b";\n")
    first = [r for r in rows if b"GEOMETRIC_REPRESENTATION_CONTEXT" in r]
    return head + mark + b";\n".join([*first, *(r for r in rows if r not in first)])


def without_blanks(data: bytes) -> bytes:
    """A file of the same content with blanks about no equals sign."""
    return data.replace(b" = MANIFOLD_SOLID_BREP(", b"=MANIFOLD_SOLID_BREP(").replace(
        b" = CIRCLE(", b"=CIRCLE("
    )


@pytest.mark.parametrize("laid_out", [contexts_first, without_blanks])
def test_text_laid_out_otherwise_falls_back_to_the_plain_writer(
    laid_out: Callable[[bytes], bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    """As a later kernel may write it."""
    known = step.stream
    for module in (step, step_cache):
        monkeypatch.setattr(module, "stream", lambda writer: laid_out(known(writer)))
    called: list[Piece] = []

    def plain(piece: Piece, shapes: tuple[object, ...]) -> bytes:
        called.append(piece)
        return step_bytes(piece, shapes)

    monkeypatch.setattr(step_cache, "step_bytes", plain)
    cache = StepCache()
    for piece in (glaze_case(), replace(glaze_case(), name="other")):
        shapes = solids(piece)
        assert cache.step_bytes(piece, shapes) == step_bytes(piece, shapes)
    assert len(called) == 2


def test_a_cache_filled_before_falls_back_too(monkeypatch: pytest.MonkeyPatch) -> None:
    cache, piece = StepCache(), glaze_case()
    shapes = solids(piece)
    plain = cache.step_bytes(piece, shapes)
    known = step_cache.written
    monkeypatch.setattr(step_cache, "written", lambda *given: without_blanks(known(*given)))
    assert cache.step_bytes(piece, shapes) == plain


def test_a_fault_in_the_plain_writer_is_not_hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    piece = Piece("rack", "Rack", (part(board()),), (Placement("a", 0, Pose()),))

    def broken(*given: object) -> bytes:
        raise KeyError("lost")

    monkeypatch.setattr(step_cache, "written", broken)
    with pytest.raises(KeyError, match="lost"):
        StepCache().step_bytes(piece, solids(piece))
