"""Pieces assessed side by side: each comes out as it does alone, to the last bit, whatever is beside it."""

from __future__ import annotations

import random
from collections.abc import Iterator

import pytest

from furnigen import find_recipe, list_stock
from furnigen.core.caches import forget_all
from furnigen.core.errors import FurnigenError, InputError
from furnigen.piece.description import Piece
from furnigen.pipeline.built import Built
from furnigen.pipeline.together import work_out_together
from furnigen.recipes.parameters import Parameter
from furnigen.recipes.recipe import Recipe
from furnigen.strength.solver.together import Ask, Steps, alone, side_by_side

CHECKS = ("sag", "strength", "standing")


def drawn_value(chance: random.Random, parameter: Parameter) -> object:
    """Something a parameter allows, near its default where it is a size."""
    low, high = parameter.low, parameter.high
    if parameter.kind in ("length", "angle"):
        return round(min(high, max(low, parameter.default * chance.uniform(0.75, 1.25))), 1)
    if parameter.kind == "count":
        return chance.randint(int(low), min(int(high), int(parameter.default) + 2))
    if parameter.kind == "choice":
        return chance.choice(parameter.options)
    if parameter.kind == "stock":
        return chance.choice([s for s in list_stock() if s.kind in parameter.options])
    return parameter.default


def drawn(recipe: Recipe, count: int, seed: int) -> Iterator[Piece]:
    """Pieces of random parameters."""
    chance = random.Random(seed)
    while count:
        values = {p.name: drawn_value(chance, p) for p in recipe.parameters if chance.random() < 0.4}
        try:
            yield recipe(**values)
        except FurnigenError:
            continue
        count -= 1


@pytest.mark.parametrize(
    ("name", "count"),
    [("ring_rack", 4), ("leaning_shelf", 6), ("crate_wall", 4), ("ladder_rack", 4), ("panel_bookcase", 3)],
)
def test_side_by_side_and_alone_find_the_same(name: str, count: int) -> None:
    pieces = list(drawn(find_recipe(name), count, seed=count))
    by_itself = []
    for piece in pieces:
        forget_all()
        by_itself.append(Built(piece).findings_of(CHECKS))
    forget_all()
    built = [Built(piece) for piece in pieces]
    work_out_together(built, CHECKS)
    assert all(one.assessed is not None for one in built)
    assert [one.findings_of(CHECKS) for one in built] == by_itself
    # again, with all that is kept of them, and beside others
    again = [Built(piece) for piece in reversed(pieces)]
    work_out_together(again[1:], CHECKS)
    assert [one.findings_of(CHECKS) for one in reversed(again)] == by_itself


def doubled(numbers):
    """Twice each of some numbers; thirteen is refused."""
    if 13 in numbers:
        raise InputError("number", 13, "must not be 13")
    return [2 * n for n in numbers]


def work(*numbers: int) -> Steps[list[int]]:
    """Double some numbers, twice over."""
    once = yield Ask(doubled, numbers)
    return list((yield Ask(doubled, once)))


def test_each_gets_the_answers_to_what_it_asked() -> None:
    assert alone(work(1, 2, 3)) == [4, 8, 12]
    assert side_by_side([work(1, 2), work(), work(5)], (InputError,)) == [[4, 8], [], [20]]


def test_what_is_wrong_with_one_ends_that_one() -> None:
    one, two, three = side_by_side([work(1), work(13, 2), work(5)], (InputError,))
    assert (one, three) == ([4], [20])
    assert isinstance(two, InputError)
    with pytest.raises(InputError):
        alone(work(13))
    with pytest.raises(InputError):
        side_by_side([work(1), work(13)], (KeyError,))


def test_work_may_go_on_after_an_error() -> None:
    def careful(number: int) -> Steps[int]:
        try:
            (found,) = yield Ask(doubled, [number])
        except InputError:
            return 0
        return found

    assert side_by_side([careful(13), careful(4)], (InputError,)) == [0, 8]


@pytest.mark.parametrize(
    "name", ["ring_rack", "leaning_shelf", "crate_wall", "panel_bookcase", "divided_case"]
)
def test_the_share_a_joint_uses_is_that_of_its_rule_used_most(name: str) -> None:
    """The share is found without the words that go with it."""
    strength = Built(find_recipe(name)()).strength_of(["strength"])
    assert strength is not None
    cases = strength.cases
    joints = [*strength.joints, *cases.joints, *cases.backs]
    joints += [one for _, under in cases.under_child for one in under]
    assert any(one.known for one in joints)
    for one in joints:
        assert bool(one.bears) == one.known
        if one.known:
            assert one.used == one.bears[0].used == max(b.used for b in one.bears)
