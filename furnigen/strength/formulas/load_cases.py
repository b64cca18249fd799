"""Named load cases: what happens to furniture besides what it carries, each with its source.

They are on unless a maker leaves them off (`Demands.load_cases`): furniture is moved, and children climb it,
whether anyone says so or not.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from furnigen.catalogue.loads import GRAVITY, parse_load
from furnigen.catalogue.materials import Source
from furnigen.core.pose import Vector
from furnigen.core.quantities import parse_length
from furnigen.core.tables import look_up, read_table
from furnigen.strength.formulas.tipping import Edge


@dataclass(frozen=True, slots=True)
class LoadCase:
    """A named load case.

    Attributes:
        name, title: for the command line and for people.
        usual: whether it is on where nothing is said.
        loaded: whether the piece carries its load meanwhile.
        frictions: coefficients of the floor that it is tried with; empty where it is not shoved.
        push_height: it is pushed at this height or at its top, whichever is lower, mm.
        weight_n: of the child, N; 0 for none.
        beyond: how far in front of a front edge that weight hangs, mm.
        source: where from.
        note: what a careful reader must know.
    """

    name: str
    title: str
    usual: bool
    loaded: bool
    frictions: tuple[float, ...]
    push_height: float
    weight_n: float
    beyond: float
    source: Source
    note: str


def _case(row: dict[str, str]) -> LoadCase:
    return LoadCase(
        row["name"],
        row["title"],
        row["usual"] == "yes",
        row["contents"] != "no",
        tuple(float(row[c]) for c in ("friction_low", "friction_high") if row[c]),
        parse_length(row["push_height"]) if row["push_height"] else 0.0,
        parse_load(f"{row['weight']} spread").spread_kg * GRAVITY if row["weight"] else 0.0,
        parse_length(row["beyond"]) if row["beyond"] else 0.0,
        Source(row["source"], row["provenance"]),
        row["note"],
    )


@cache
def list_cases() -> tuple[LoadCase, ...]:
    """Every load case, in the order of the table."""
    return tuple(_case(row) for row in read_table("load_cases"))


def find_case(name: str) -> LoadCase:
    """The load case called `name`.

    Raises: InputError for an unknown one, with the nearest.
    """
    return look_up("load case", name, {c.name: c for c in list_cases()})


@dataclass(frozen=True, slots=True)
class Shove:
    """A piece shoved toward one line of its feet.

    Attributes:
        push_n: level push, N: what friction holds against it, or what just tips it.
        friction: of the floor.
        tips: whether it tips before it slides.
        tips_at: friction from which it tips instead of sliding.
        leading_n: load that goes over from the trailing feet to the leading ones, N.
    """

    push_n: float
    friction: float
    tips: bool
    tips_at: float
    leading_n: float


def shove(weight: float, inside: float, base: float, height: float, friction: float) -> Shove:
    """A piece pushed at a height until its feet slide, or it tips over the line it is pushed toward.

    Plain statics: the floor holds mu W; the push at height h makes F h about the leading line, which the
    weight holds with W d; F h / base goes over to the leading feet.

    Args:
        weight: N.
        inside: how far its centre lies behind the leading line, mm.
        base: distance from the trailing feet to the leading ones, mm.
        height: of the push, mm.
        friction: of the floor.

    >>> one = shove(1000.0, 150.0, 300.0, 1000.0, 0.7)
    >>> one.push_n, one.tips, round(one.leading_n, 9)
    (150.0, True, 500.0)
    """
    tips_at = max(inside, 0.0) / height
    push = min(friction, tips_at) * weight
    return Shove(push, friction, friction > tips_at, tips_at, push * height / base if base > 0 else 0.0)


def tip_factor(edge: Edge, at: Vector, weight_n: float) -> float:
    """Resisting over overturning moment of a weight (N) at a point about one line; inf inside it."""
    return edge.load_n(at) / weight_n
