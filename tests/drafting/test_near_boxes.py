"""What lies above a board is looked for nearby: nothing is missed, and a long run costs what it is long."""

from hypothesis import given, settings
from hypothesis import strategies as st

from furnigen.core.pose import Box, Vector
from furnigen.drafting.near_boxes import NearBoxes


def box(lo: Vector, size: Vector) -> Box:
    return Box(lo, (lo[0] + size[0], lo[1] + size[1], lo[2] + size[2]))


places = st.floats(-1e4, 1e4) | st.integers(-5, 5).map(float)
sizes = st.floats(0.0, 1e4) | st.integers(0, 5).map(float)
boxes = st.builds(box, st.tuples(places, places, places), st.tuples(sizes, sizes, sizes))


def meet(a: Box, b: Box) -> bool:
    return all(a.lo[i] <= b.hi[i] and b.lo[i] <= a.hi[i] for i in range(3))


@settings(deadline=None)
@given(st.lists(boxes, min_size=1, max_size=30), boxes)
def test_all_that_meet_a_box_are_found_in_their_order(given_boxes: list[Box], asked: Box) -> None:
    named = {str(k): b for k, b in enumerate(given_boxes)}
    found = dict(NearBoxes(named).around(asked))
    assert list(found) == [label for label in named if label in found]
    assert {label for label, b in named.items() if meet(b, asked)} <= found.keys()


def run(bays: int) -> dict[str, Box]:
    """Shelves between uprights, 9 to a bay, and a board along all of them."""
    made = {f"upright.{k}": box((600.0 * k, 0.0, 0.0), (18.0, 300.0, 2200.0)) for k in range(bays + 1)}
    for k in range(bays):
        for n in range(9):
            made[f"shelf.{k}.{n}"] = box((600.0 * k + 18.0, 0.0, 200.0 * n), (582.0, 300.0, 18.0))
    return made | {"top": box((0.0, 0.0, 2200.0), (600.0 * bays, 300.0, 18.0))}


def test_of_a_long_run_only_the_neighbours_are_looked_at() -> None:
    looked_at = []
    for bays in (50, 400):
        named = run(bays)
        near = NearBoxes(named)
        looked_at.append(sum(len(list(near.around(b))) for label, b in named.items() if label != "top"))
    assert looked_at[1] <= 10 * looked_at[0]
    assert looked_at[1] <= 60 * len(run(400))
