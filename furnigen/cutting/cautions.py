"""The usual cautions for saw and router, printed on every page that someone takes to a machine."""

SAW = (
    "Saw: guard and riving knife on, never freehand, push stick for strips under 150 mm, support what is"
    " long, stand out of line with the blade, eyes and ears protected, dust drawn off. Check the first cut"
    " of every stop with a rule."
)
ROUTER = (
    "Router: sheet clamped or held by vacuum, small parts held by tabs, hands off while the cutter turns,"
    " parts in windows first, check zero and depth on waste first, eyes and ears protected, dust drawn off."
)
NOT_CERTIFIED = "Estimates, not certification."
"""Common practice of workshops, no source."""


def cautions(router: bool) -> str:
    """What stands at the foot of a page."""
    return f"{ROUTER if router else SAW} {NOT_CERTIFIED}"
