"""The whole allowed parameter space of any recipe, as a Hypothesis strategy."""

from typing import Any

from hypothesis import strategies as st

from furnigen import Recipe, list_stock
from furnigen.recipes.parameters import Parameter


def values(parameter: Parameter) -> st.SearchStrategy[Any]:
    """Everything a parameter allows, its ends and its default now and then."""
    low, high = parameter.low, parameter.high
    if parameter.kind in ("length", "angle"):
        return st.sampled_from([parameter.default, low, high]) | st.floats(low, high)
    if parameter.kind == "count":
        return st.integers(int(low), int(high))
    if parameter.kind == "counts":
        each = st.integers(int(low), int(high))
        return st.lists(each, min_size=1, max_size=parameter.most).map(tuple)
    if parameter.kind == "choice":
        return st.sampled_from(parameter.options)
    if parameter.kind == "switch":
        return st.booleans()
    if parameter.kind == "stock":
        return st.sampled_from(
            [s for s in list_stock() if not parameter.options or s.kind in parameter.options]
        )
    raise AssertionError(f"no strategy for parameters of kind {parameter.kind}")


def space(recipe: Recipe) -> st.SearchStrategy[dict[str, Any]]:
    """Keywords for `recipe`: any of its parameters, each with any value it allows; the rest default."""
    return st.fixed_dictionaries({}, optional={p.name: values(p) for p in recipe.parameters})
