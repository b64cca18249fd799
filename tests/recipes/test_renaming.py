"""Labels, roles, and the words for joints and cuts are for people: renaming them all changes no number."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from random import Random
from typing import Any
from unittest.mock import patch

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from space import space

from furnigen import Draft, Fact, FurnigenError, InputError, Piece, Recipe, list_recipes
from furnigen.mockup.connections import find_connections
from furnigen.mockup.printed_cuts import kept_cuts
from furnigen.mockup.printer import Printer
from furnigen.mockup.scale import read_scale
from furnigen.mockup.scaled_bodies import scaled_bodies
from furnigen.piece.description import LoadOn
from furnigen.pipeline.built import Built
from furnigen.pipeline.options import MakeOptions
from furnigen.strength.model.demands import ALL, Demands

WORDS = (
    "shelf", "rail", "cleat", "top", "bottom", "seat", "side", "pin", "bolt", "housing", "tenon", "butt",
    "mitre", "screw hole", "dowel hole", "key", "spline", "wall", "zebra", "a",
)  # fmt: skip
"""Words that physics once hung on, and some that mean nothing."""
by_name = pytest.mark.parametrize("recipe", list_recipes(), ids=lambda r: r.name)
WITHOUT_KERNEL = ("fit", "sag", "strength", "standing")


def renamed(piece: Piece, random: Any) -> tuple[Piece, dict[str, str]]:
    """A piece with everything in it called something else, and its new labels by the old ones."""

    def names(old: list[str]) -> dict[str, str]:
        numbers = random.sample(range(1000), len(old))
        return {o: f"{random.choice(WORDS)}.{n}" for o, n in zip(old, numbers, strict=True)}

    labels = names([p.label for p in piece.placements])
    paths = names(sorted({step for p in piece.placements for step in p.path}))
    walls = {w.name: f"{random.choice(WORDS)} of brick {k}" for k, w in enumerate(piece.walls)}
    known = labels | walls
    cut = {c: random.choice(WORDS) for p in piece.parts for c in (x.name for x in p.cuts)}
    parts = tuple(
        replace(
            part,
            name=f"{random.choice(WORDS)} {k}",
            cuts=tuple(replace(c, name=cut[c.name]) for c in part.cuts),
        )
        for k, part in enumerate(piece.parts)
    )
    return (
        replace(
            piece,
            parts=parts,
            placements=tuple(
                replace(
                    p,
                    label=labels[p.label],
                    role=random.choice(WORDS),
                    path=tuple(paths[step] for step in p.path),
                )
                for p in piece.placements
            ),
            openings=tuple(
                replace(o, label=f"room {k}", bounded_by=tuple((side, labels[x]) for side, x in o.bounded_by))
                for k, o in enumerate(piece.openings)
            ),
            walls=tuple(replace(w, name=walls[w.name]) for w in piece.walls),
            joints=tuple(
                replace(
                    j,
                    kind=random.choice(WORDS),
                    a=known[j.a],
                    b=known[j.b],
                    fasteners=tuple(replace(f, parts=tuple(labels[x] for x in f.parts)) for f in j.fasteners),
                )
                for j in piece.joints
            ),
            loads=tuple(replace(one, target=labels.get(one.target, one.target)) for one in piece.loads),
        ),
        labels,
    )


def numbers(value: Any, at: str = "") -> Iterator[tuple[str, float]]:
    """Every number of a report and where it stands, rows of a table taken without their order."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from numbers(inner, f"{at}.{key}")
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from numbers(inner, f"{at}[]")
    elif isinstance(value, int | float):
        yield at, float(f"{value:.6g}") + 0.0


def told(report: dict[str, Any]) -> Counter[Any]:
    """What a report says in numbers, in statuses of its checks, and in facts."""
    checks = [(c["name"], c["status"], c["value"] is None) for c in report["checks"]]
    return Counter(numbers(report)) + Counter(checks)


def drawn(recipe: Recipe, data: st.DataObject) -> Piece:
    """A piece from anywhere in a recipe's space, one of its boards loaded by its label."""
    try:
        piece = recipe(**data.draw(space(recipe)))
    except InputError:
        assume(False)
    takes = [p.label for p in piece.placements if Fact.TAKES_GOODS in p.facts]
    assume(takes)
    one = data.draw(st.sampled_from(takes))
    return replace(piece, loads=(*piece.loads, LoadOn(one, "30 kg at middle")))


def same(one: Counter[Any], other: Counter[Any]) -> None:
    assert sorted(map(str, (one - other).elements()))[:5] == sorted(map(str, (other - one).elements()))[:5]


@by_name
@settings(max_examples=3, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data(), random=st.randoms(use_true_random=False))
def test_renaming_everything_changes_no_number(recipe: Recipe, data: st.DataObject, random: Any) -> None:
    piece = drawn(recipe, data)
    other, _ = renamed(piece, random)
    options = MakeOptions(demands=Demands(tip_tests=(ALL,)))
    same(
        told(Built(piece, options).report_of(WITHOUT_KERNEL)),
        told(Built(other, options).report_of(WITHOUT_KERNEL)),
    )


@by_name
def test_renaming_changes_nothing_of_how_a_piece_is_built(recipe: Recipe) -> None:
    piece = recipe()
    for seed in range(1):
        other, _ = renamed(piece, Random(seed))
        same(told(Built(piece).report), told(Built(other).report))


def mocked_up(piece: Piece) -> tuple[Any, ...]:
    """What of a mockup at 1:12 hangs on joints and cuts: what is shown, what is left out, what holds it."""
    printer, scale = Printer((220.0, 220.0, 250.0)), read_scale("1:12")
    kept, left_out = kept_cuts(piece, 1 / 12, printer, {})
    at = {p.label: k for k, p in enumerate(piece.placements)}
    scaled = scaled_bodies(piece, scale, printer, {})
    held = find_connections(piece, scaled.bodies, printer)
    return (
        [len(kept[p.label]) for p in piece.placements],
        Counter((at[one.label], one.why) for one in left_out for _ in range(one.count)),
        [(at[c.male], at[c.female], c.kind, round(c.area_mm2, 4)) for c in held],
    )


@by_name
def test_renaming_changes_no_mockup(recipe: Recipe) -> None:
    piece = recipe()
    assert mocked_up(renamed(piece, Random(3))[0]) == mocked_up(piece)


@pytest.mark.slow
@by_name
@settings(max_examples=6, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data(), random=st.randoms(use_true_random=False))
def test_renaming_changes_no_way_of_building(recipe: Recipe, data: st.DataObject, random: Any) -> None:
    piece = drawn(recipe, data)
    assume(len(piece.placements) < 60)
    try:
        report = Built(piece).report
    except FurnigenError:
        assume(False)
    same(told(report), told(Built(renamed(piece, random)[0]).report))


@by_name
@settings(max_examples=3, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data(), random=st.randoms(use_true_random=False))
def test_what_the_drafting_table_concludes_hangs_on_no_role(
    recipe: Recipe, data: st.DataObject, random: Any
) -> None:
    values = data.draw(space(recipe))
    try:
        piece = recipe(**values)
    except InputError:
        assume(False)
    place = Draft.place

    def called_otherwise(self: Draft, *args: Any, role: str = "", **more: Any) -> str:
        return place(self, *args, role=random.choice(WORDS), **more)

    with patch.object(Draft, "place", called_otherwise):
        other = recipe(**values)
    assert [p.facts for p in other.placements] == [p.facts for p in piece.placements]
    assert [(j.joinery, j.facts) for j in other.joints] == [(j.joinery, j.facts) for j in piece.joints]
    options = MakeOptions()
    same(
        told(Built(piece, options).report_of(WITHOUT_KERNEL)),
        told(Built(other, options).report_of(WITHOUT_KERNEL)),
    )
