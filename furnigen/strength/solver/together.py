"""Pieces worked on side by side, so that what they ask of a solver is solved at once.

Most of the time of a small set of equations is the cost of starting. Work on a piece is written as a
generator that yields what it wants solved (`Ask`) and is sent the answers: alone, each is answered as it
comes; side by side, what all pieces ask of one function is answered by one call. The functions answer each
item by itself, so a piece gets the same answers to the last bit either way.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Mapping, Sequence
from itertools import accumulate
from typing import Any, NamedTuple, TypeVar

T = TypeVar("T")


class Ask(NamedTuple):
    """What a piece wants solved.

    Attributes:
        of: answers a list of items with a list of as many answers, each of which depends on its item alone.
        items: what is asked.
    """

    of: Callable[[Sequence[Any]], Sequence[Any]]
    items: Sequence[Any]


Steps = Generator[Ask, Sequence[Any], T]
"""Work on one piece, which returns a T."""


def alone(steps: Steps[T]) -> T:
    """Do the work on one piece. Raises: what the work raises."""
    try:
        ask = next(steps)
        while True:
            ask = steps.send(ask.of(ask.items))
    except StopIteration as end:
        found: T = end.value
        return found


def side_by_side(works: Sequence[Steps[T]], of_one: tuple[type[Exception], ...]) -> list[T | Exception]:
    """Do the work on some pieces, answering what they ask of one function by one call.

    Args:
        of_one: errors that concern one piece alone.

    Returns: for each piece its result, or the error of those that its work ended with.

    Raises: any other error.
    """
    found: dict[int, T | Exception] = {}
    waiting: dict[int, Ask] = {}

    def go_on(number: int, step: Callable[[], Ask]) -> None:
        try:
            waiting[number] = step()
        except StopIteration as end:
            found[number] = end.value
        except of_one as error:
            found[number] = error

    for number, work in enumerate(works):
        go_on(number, lambda w=work: next(w))  # type: ignore[misc]
    while waiting:
        of = next(iter(waiting.values())).of
        asks = {number: waiting.pop(number) for number, ask in list(waiting.items()) if ask.of is of}
        for number, answers in _answered(of, asks, of_one).items():
            work = works[number]
            if isinstance(answers, Exception):
                go_on(number, lambda w=work, e=answers: w.throw(e))  # type: ignore[misc]
            else:
                go_on(number, lambda w=work, a=answers: w.send(a))  # type: ignore[misc]
    return [found[number] for number in range(len(works))]


def _answered(
    of: Callable[[Sequence[Any]], Sequence[Any]],
    asks: Mapping[int, Ask],
    of_one: tuple[type[Exception], ...],
) -> dict[int, Sequence[Any] | Exception]:
    """What several pieces ask of one function, answered by one call; by one for each where that fails."""
    try:
        answers = of([item for ask in asks.values() for item in ask.items])
    except of_one as error:
        if len(asks) == 1:
            return dict.fromkeys(asks, error)
        each = [_answered(of, {number: ask}, of_one) for number, ask in asks.items()]
        return {number: own for one in each for number, own in one.items()}
    ends = accumulate(len(ask.items) for ask in asks.values())
    return {
        number: answers[end - len(ask.items) : end]
        for (number, ask), end in zip(asks.items(), ends, strict=True)
    }
