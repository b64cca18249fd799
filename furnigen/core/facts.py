"""What things in a piece are and do, as typed values: what checks go by, where labels, roles and kinds of
joints in words are for people alone.

    of a placement   takes goods / takes no goods        things are put on it
                     fixed to the wall / free of the wall    what hangs is carried there
    of a joint       carries by its shape / carries nothing by its shape   dry, without any fastener
    of a cut         hardware hole                        a screw, dowel, pin or bolt goes into it
                     groove                               it weakens its board across a face

`furnigen.drafting.draft.Draft` sets them from what an author does; each may be said plainly instead.
"""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from enum import Enum, Flag, StrEnum, auto

from furnigen.core.caches import STRENGTH_WORDS, kept
from furnigen.core.errors import InputError
from furnigen.core.quantities import as_typed


class Fact(Flag):
    """A fact, or several joined with `|`.

    >>> Fact.TAKES_GOODS in (Fact.TAKES_GOODS | Fact.GROOVE)
    True
    """

    TAKES_GOODS = auto()
    TAKES_NO_GOODS = auto()
    FIXED_TO_THE_WALL = auto()
    FREE_OF_THE_WALL = auto()
    CARRIES_BY_ITS_SHAPE = auto()
    CARRIES_NOTHING_BY_ITS_SHAPE = auto()
    HARDWARE_HOLE = auto()
    GROOVE = auto()


NO_FACTS = Fact(0)

Said = Fact | str | Iterable[Fact | str]
"""How an author says facts: members, their words such as "takes goods", or several of either."""


class Subject(Enum):
    """What a fact can be about."""

    PLACEMENT = "a placement"
    JOINT = "a joint"
    CUT = "a cut"


_OF = {
    Subject.PLACEMENT: Fact.TAKES_GOODS
    | Fact.TAKES_NO_GOODS
    | Fact.FIXED_TO_THE_WALL
    | Fact.FREE_OF_THE_WALL,
    Subject.JOINT: Fact.CARRIES_BY_ITS_SHAPE | Fact.CARRIES_NOTHING_BY_ITS_SHAPE,
    Subject.CUT: Fact.HARDWARE_HOLE | Fact.GROOVE,
}

_EXCLUDE = (
    (Fact.TAKES_GOODS, Fact.TAKES_NO_GOODS),
    (Fact.FIXED_TO_THE_WALL, Fact.FREE_OF_THE_WALL),
    (Fact.CARRIES_BY_ITS_SHAPE, Fact.CARRIES_NOTHING_BY_ITS_SHAPE),
    (Fact.HARDWARE_HOLE, Fact.GROOVE),
    (Fact.HARDWARE_HOLE, Fact.TAKES_GOODS),
    (Fact.HARDWARE_HOLE, Fact.CARRIES_BY_ITS_SHAPE),
)
"""Pairs of facts that exclude each other."""


class FastenerKind(StrEnum):
    """Kinds of hardware that joints need; those sold are in furnigen/catalogue/data/hardware.csv under these
    words."""

    SCREW = "screw"
    NAIL = "nail"
    DOWEL = "dowel"
    SHELF_PIN = "shelf pin"
    BOLT = "bolt"
    BARREL_NUT = "barrel nut"
    CONNECTOR = "connector"
    BRACKET = "bracket"
    WALL_ANCHOR = "wall anchor"
    WEDGE = "wedge"
    SPLINE = "spline"
    KEY = "key"

    @property
    def holds_fast(self) -> bool:
        """Whether it keeps wood from moving: on a pin a shelf only lies."""
        return self is not FastenerKind.SHELF_PIN


@kept(STRENGTH_WORDS)
def fastener_kind(kind: str) -> FastenerKind:
    """The kind of hardware of that name.

    Raises: InputError for an unknown one.
    """
    try:
        return FastenerKind(kind)
    except ValueError:
        raise InputError("kind of fastener", kind, f"must be one of {', '.join(FastenerKind)}") from None


class Joinery(StrEnum):
    """Families of joints that turn alike: a row each of furnigen/catalogue/data/turning.csv."""

    BUTT = "butt"
    SCREWED = "screwed"
    DOWELLED = "dowelled"
    BOLTED = "bolted"
    PINS = "pins"
    RABBET = "rabbet"
    HOUSING = "housing"
    LAP = "cross-lap"
    FINGER = "finger joint"
    MITRE = "mitre"
    TENON = "tenon"
    SLIDING_DOVETAIL = "sliding dovetail"


_INTERLOCK = frozenset(
    {
        Joinery.DOWELLED,
        Joinery.BOLTED,
        Joinery.PINS,
        Joinery.HOUSING,
        Joinery.LAP,
        Joinery.TENON,
        Joinery.SLIDING_DOVETAIL,
    }
)


def shape_facts(joinery: Joinery, said: Fact = NO_FACTS) -> Fact:
    """What a joint of a family does by its shape, unless its author states otherwise.

    Housings, sliding dovetails, laps, tenons, dowels, pins and bolts interlock; butts, mitres and rabbets
    carry only when they are glued or fastened (common practice, no source).
    """
    if said & _OF[Subject.JOINT]:
        return said
    interlocks = joinery in _INTERLOCK
    return said | (Fact.CARRIES_BY_ITS_SHAPE if interlocks else Fact.CARRIES_NOTHING_BY_ITS_SHAPE)


def words_of(facts: Fact) -> list[str]:
    """Facts in words, in the order of `Fact`."""
    return [_word(f) for f in facts]


def _word(fact: Fact) -> str:
    return (fact.name or "").lower().replace("_", " ")


_BY_WORD = {_word(f): f for f in Fact}


def read_facts(said: Said, subject: Subject, what: str) -> Fact:
    """Facts stated about one thing.

    Args:
        what: the thing, for messages, such as a label.

    Raises: InputError for a fact that is not known, two that exclude each other, or one that is not of such
        a thing.
    """
    if said is NO_FACTS or said == ():
        return NO_FACTS
    facts = NO_FACTS
    for one in (said,) if isinstance(said, Fact | str) else said:
        facts |= _one(one, subject, what)
    check_facts(facts, what)
    for fact in facts & ~_OF[subject]:
        home = next(s for s, own in _OF.items() if fact in own)
        raise InputError(
            f"fact of {what}",
            _word(fact),
            f"is said of {home.value}, not of {subject.value}",
            ", ".join(words_of(_OF[subject])) + " would fit",
        )
    return facts


def _one(said: Fact | str, subject: Subject, what: str) -> Fact:
    if isinstance(said, Fact):
        return said
    found = _BY_WORD.get(" ".join(said.lower().replace("_", " ").split())) if isinstance(said, str) else None
    if found is None:
        own = words_of(_OF[subject])
        near = get_close_matches(str(said), _BY_WORD, 1)
        offer = f"did you mean {near[0]}?" if near else f"of {subject.value} there are {', '.join(own)}"
        raise InputError(f"fact of {what}", as_typed(str(said)), "is not known", offer)
    return found


def check_facts(facts: Fact, what: str) -> None:
    """Refuse facts that exclude each other.

    Raises: InputError naming the two.
    """
    for one, other in _EXCLUDE:
        if one in facts and other in facts:
            raise InputError(
                f"facts of {what}",
                f"{_word(one)} and {_word(other)}",
                "exclude each other",
                "say one of them, or neither",
            )
