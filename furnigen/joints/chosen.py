"""A joint that the maker chose by a parameter of the recipe: refusals of it name that parameter."""

from __future__ import annotations

from dataclasses import dataclass, replace

from furnigen.core.errors import InputError, RecipeError
from furnigen.joints.cross_bolt import CrossBolt
from furnigen.joints.fastened import Butt, Dowelled
from furnigen.joints.spec import Spec, StripJoint

USUAL = "usual"
"""The word for leaving a joint to the recipe."""


@dataclass(frozen=True)
class ChosenJoint:
    """The value of a parameter declared with `furnigen.joint_choice`; `Draft.join` takes it as a joint.

    Attributes:
        parameter: the recipe's parameter.
        word: what the maker chose.
        spec: the joint that the word stands for; None where the recipe works it out.
        options: every word that can be chosen, with its joint.

    >>> from furnigen import dowelled, housing, rabbet
    >>> words = (("housing", housing()), ("dowelled", dowelled()))
    >>> chosen = ChosenJoint("shelf_joint", "housing", housing(), words)
    >>> chosen.cut_as(rabbet()).word, chosen.cut_as(rabbet()).spec == rabbet()
    ('housing', True)
    """

    parameter: str
    word: str
    spec: Spec | StripJoint | None
    options: tuple[tuple[str, Spec | StripJoint | None], ...] = ()

    @property
    def asked(self) -> tuple[str, str]:
        """The parameter and the word, as refusals name them."""
        return self.parameter, self.word

    def option(self, word: str) -> ChosenJoint:
        """What another word would have given.

        Raises: RecipeError when it is not one of the words.
        """
        options = dict(self.options)
        if word not in options:
            raise RecipeError(f"{self.parameter} can not be {word}: it is one of {', '.join(options)}")
        return replace(self, word=word, spec=options[word])

    def usual(self, word: str) -> ChosenJoint:
        """This choice, or where the maker left it at "usual", the one called `word`.

        Raises: RecipeError when `word` is not one of the words.
        """
        return self.option(word) if self.word == USUAL else self

    def cut_as(self, spec: Spec | StripJoint) -> ChosenJoint:
        """The same choice, made as another joint: a housing at the very end of a board is a rabbet."""
        return replace(self, spec=spec)

    def with_fasteners(self, count: int | None) -> ChosenJoint:
        """The same choice with a number of dowels, screws or bolts in a line, if it has any.

        Args:
            count: how many; None for the usual spacing.
        """
        if isinstance(self.spec, Butt):
            return replace(self, spec=replace(self.spec, screws=count))
        if isinstance(self.spec, Dowelled | CrossBolt):
            return replace(self, spec=replace(self.spec, count=count))
        return self

    def refusal(self, allowed: str, fits: str = "") -> InputError:
        """An error that names the parameter and the word; `allowed` and `fits` as `InputError` takes them."""
        return InputError(self.parameter, self.word, allowed, fits)


Joining = Spec | StripJoint | ChosenJoint
"""What `Draft.join` takes as a joint."""


def settled_joint(
    joint: Joining, asked: tuple[str, str] | None = None
) -> tuple[Spec | StripJoint, tuple[str, str] | None]:
    """The joint itself, and the parameter it was chosen by with its value.

    Args:
        asked: a parameter and value that go before the joint's own.

    Raises: RecipeError for a choice that the recipe was to work out and did not.
    """
    if not isinstance(joint, ChosenJoint):
        return joint, asked
    if joint.spec is None:
        raise RecipeError(f"{joint.parameter} = {joint.word} stands for no joint until the recipe settles it")
    return joint.spec, asked or joint.asked
