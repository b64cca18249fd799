"""What an author hands over to be placed, looked at before anything is made of it."""

from __future__ import annotations

from numbers import Real
from typing import TYPE_CHECKING, cast

from furnigen.catalogue.stock import Stock, require_stock
from furnigen.core.errors import InputError, kind_of
from furnigen.core.pose import Pose, Vector
from furnigen.core.quantities import as_typed, check_length
from furnigen.core.wording import as_given
from furnigen.joints.chosen import ChosenJoint
from furnigen.joints.cleats import Cleat
from furnigen.parts.forms.form import Form

if TYPE_CHECKING:
    from cadquery import Shape, Workplane


FIT_MM = 0.1
"""Usual allowance for each face: a fit that goes home by hand. Common practice, no source."""
LOOSEST_FIT_MM = 2.0
"""A looser fit is a gap, not a joint. Our own limit."""


def placeable(label: str, given: Form | Workplane | Shape, stock: Stock, pose: Pose) -> Form:
    """The form of what is to be placed: as it is, or that of a CadQuery shape; only then is the kernel
    loaded.

    Raises: InputError naming what came, for what is no form and no one solid, no stock or no pose.
    """
    require_stock(f"stock of {label}", stock)
    if not isinstance(pose, Pose):
        raise InputError(f"pose of {label}", kind_of(pose), "must be a Pose, such as Pose.at(0, 0, 450)")
    if callable(getattr(type(given), "support", None)):
        return cast("Form", given)
    if isinstance(given, str | int | float | tuple | list | dict | type | None):
        what = repr(given) if isinstance(given, str | int | float | None) else kind_of(given)
        raise InputError(label, what, "must be a form, or a CadQuery Workplane or Shape that holds one solid")
    from furnigen.kernel.custom import form_of_shape

    return form_of_shape(label, given)


def check_head(name: str, title: str, fit_mm: float) -> None:
    """Refuse a draft whose name or title is no text, or whose fit allowance (mm) is none.

    Raises: InputError.
    """
    for what, value in (("name", name), ("title", title)):
        if not isinstance(value, str):
            raise InputError(what, kind_of(value), "must be text")
    check_length(fit_mm, what="fit allowance", allow_zero=True, signed=True)
    if not 0 <= fit_mm <= LOOSEST_FIT_MM:
        raise InputError(
            "fit allowance",
            as_given(fit_mm),
            f"must be from 0 to {as_given(LOOSEST_FIT_MM)}",
        )


def require_points(label: str, *points: Vector) -> None:
    """Refuse corners that are not three numbers, mm.

    Raises: InputError.
    """
    for point in points:
        numbers = isinstance(point, tuple | list) and all(isinstance(v, Real) for v in point)
        if not numbers or len(point) != 3:
            raise InputError(
                f"corner of {label}", as_typed(repr(point)), "must be three numbers: x, y and z in mm"
            )


def require_joint(what: str, value: object) -> None:
    """Refuse what is no joint: a name, or the function that makes one.

    Raises: InputError.
    """
    if callable(getattr(type(value), "cuts", None)) or isinstance(value, Cleat | ChosenJoint):
        return
    name = getattr(value, "__name__", value if isinstance(value, str) else "housing")
    came = repr(value) if isinstance(value, str) else kind_of(value)
    raise InputError(what, came, "must be a joint", f"{name}() would fit" if str(name).isidentifier() else "")
