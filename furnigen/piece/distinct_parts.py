"""Which placements are copies of one part, and which parts are a handed pair."""

from __future__ import annotations

from dataclasses import dataclass, field

from furnigen.catalogue.stock import Stock
from furnigen.core.facts import NO_FACTS, Fact
from furnigen.core.pose import Pose
from furnigen.parts.cuts import Cut, CutKey
from furnigen.parts.forms.form import Form
from furnigen.parts.part import Part, canonical, mirror_key
from furnigen.piece.description import Placement


@dataclass
class Item:
    """A placement in the making."""

    label: str
    form: Form
    stock: Stock
    pose: Pose
    path: tuple[str, ...]
    role: str
    facts: Fact = NO_FACTS
    cuts: list[Cut] = field(default_factory=list)


@dataclass
class _Group:
    """Placements that are copies of one part."""

    form: Form
    stock: Stock
    cuts: tuple[Cut, ...]
    key: CutKey
    members: list[Item] = field(default_factory=list)
    hand: str = ""

    @property
    def roles(self) -> list[str]:
        return list(dict.fromkeys(m.role for m in self.members))

    @property
    def mean_place(self) -> tuple[float, ...]:
        n = len(self.members)
        return tuple(round(sum(m.pose.origin[i] for m in self.members) / n, 6) for i in range(3))


def distinct(items: list[Item]) -> tuple[tuple[Part, ...], tuple[Placement, ...]]:
    """The distinct parts of some placements, named, and the placements of them."""
    groups: dict[tuple[Stock, CutKey], _Group] = {}
    placed = []
    for item in items:
        key, form, cuts, pose = canonical(item.form, tuple(item.cuts))
        group = groups.setdefault((item.stock, key), _Group(form, item.stock, cuts, key))
        group.members.append(item)
        placed.append((item, group, item.pose @ pose))
    ordered = list(groups.values())
    names = _names(ordered, _hands(groups))
    index = {id(g): i for i, g in enumerate(ordered)}
    parts = tuple(Part(name, g.form, g.stock, g.cuts, g.hand) for name, g in zip(names, ordered, strict=True))
    placements = tuple(
        Placement(m.label, index[id(g)], pose, m.path, m.role, m.facts) for m, g, pose in placed
    )
    return parts, placements


def _hands(groups: dict[tuple[Stock, CutKey], _Group]) -> dict[int, _Group]:
    """Say which groups are left and right of a handed pair; returns the other one of each such group."""
    others: dict[int, _Group] = {}
    for (stock, key), group in groups.items():
        if group.hand or (group.form.own_mirror_image and not group.cuts):
            continue
        image = mirror_key(group.form, group.cuts)
        other = groups.get((stock, image)) if image is not None and image != key else None
        if other is None:
            continue
        left, right = sorted((group, other), key=lambda g: g.mean_place)
        left.hand, right.hand = "left", "right"
        others[id(left)], others[id(right)] = right, left
    return others


def _roles(group: _Group, other: _Group | None) -> str:
    return "/".join(dict.fromkeys(group.roles + (other.roles if other else [])))


def _words(group: _Group) -> str:
    """What the labels of a group's members say, without their numbers."""
    words = [" ".join(w for w in m.label.split(".") if not w.isdigit()) or m.role for m in group.members]
    return "/".join(dict.fromkeys(words))


def _too_many(sharers: list[_Group], others: dict[int, _Group]) -> bool:
    """Whether several parts would share a name that no author gave them; handed pairs are told by numbers."""
    handed = any(id(g) in others for g in sharers)
    by_label = all(m.role == first_word(m.label) for g in sharers for m in g.members)
    return len(sharers) > 1 and not handed and by_label


def first_word(label: str) -> str:
    """What a placement is called where no role is given: its label up to the first dot."""
    return label.split(".")[0]


def _names(groups: list[_Group], others: dict[int, _Group]) -> list[str]:
    """A unique name for each group: its roles, a number where several share them, its hand.

    A handed pair shares its roles and its number. Where parts of an author who gave no roles would share one,
    they are called as their labels are, numbers aside: "frame front", "frame top".
    """
    by_roles: dict[str, list[_Group]] = {}
    for g in groups:
        other = others.get(id(g))
        by_roles.setdefault(_roles(g, other), []).append(g)
    called = {
        id(g): _words(g) if _too_many(sharers, others) else roles
        for roles, sharers in by_roles.items()
        for g in sharers
    }
    sharing: dict[str, int] = {}
    numbered: dict[int, tuple[str, int]] = {}
    for g in groups:
        if id(g) in numbered:
            continue
        other = others.get(id(g))
        roles = called[id(g)]
        sharing[roles] = sharing.get(roles, 0) + 1
        for member in (g, other) if other else (g,):
            numbered[id(member)] = (roles, sharing[roles])
    names: dict[str, None] = {}
    for g in groups:
        roles, number = numbered[id(g)]
        name = roles + (f" {number}" if sharing[roles] > 1 else "") + (f" {g.hand}" if g.hand else "")
        # an author's own role may read like a numbered one
        names[name if name not in names else f"{name} ({len(names) + 1})"] = None
    return list(names)
