"""Tables that run over several spaces: nothing stands outside of them, groups keep their heading."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from furnigen.paper.frame import Column, Row, Space, table
from furnigen.paper.page import Text

COLUMNS = (Column("what", 40.0), Column("labels", 25.0))
PAGE = Space(10.0, 20.0, 180.0)


def texts(items) -> list[Text]:
    return [i for i in items if isinstance(i, Text)]


def within(spaces: list[Space], pages) -> bool:
    return all(
        space.bottom - 0.01 <= min(y for _, y in t.corners) and max(y for _, y in t.corners) <= space.top
        for space, items in zip(spaces, pages, strict=True)
        for t in texts(items)
    )


@given(
    st.lists(st.tuples(st.integers(1, 120), st.booleans()), min_size=1, max_size=12),
    st.lists(st.floats(5, 60), max_size=3),
)
def test_every_row_is_whole_within_the_spaces(rows, small):
    given_spaces: list[Space] = []

    def space(number: int) -> Space:
        found = Space(10.0, 20.0, 20.0 + small[number]) if number < len(small) else PAGE
        given_spaces.append(found)
        return found

    made = [
        Row((f"group {k}", ""), bold=True, spans=True, leads=True)
        if heads
        else Row((f"row {k}", " ".join(f"w{k}.{n}" for n in range(many))))
        for k, (many, heads) in enumerate(rows)
    ]
    pages = table(COLUMNS, made, space)
    assert within(given_spaces, pages)
    said = " ".join(t.text for items in pages for t in texts(items)).split()
    for k, (many, heads) in enumerate(rows):
        if not heads:
            for n in range(many):
                assert said.count(f"w{k}.{n}") == 1


def test_a_heading_stands_with_its_rows_and_again_where_they_go_on():
    rows = [Row(("first", ""), bold=True, spans=True, leads=True)]
    rows += [Row((f"row {k}", "")) for k in range(40)]
    rows += [Row(("second", ""), bold=True, spans=True, leads=True), Row(("last", ""))]
    for height in range(60, 90):
        pages = table(COLUMNS, rows, lambda _, h=height: Space(10.0, 20.0, 20.0 + h))
        for number, items in enumerate(pages):
            said = [t.text for t in texts(items)]
            assert said[-1] not in ("first", "second", "first, continued"), "a heading without a row below"
            assert said[2] in (("first",) if number == 0 else ("first, continued", "second"))


def test_a_space_too_small_for_a_row_stays_empty():
    spaces = [Space(10.0, 20.0, 26.0), PAGE]
    pages = table(
        COLUMNS, [Row(("a", "b c d e f g h i j k l m n o p q r s t u v w x y z" * 2))], spaces.__getitem__
    )
    assert pages[0] == []
    assert within(spaces, pages)


@pytest.mark.parametrize("many", [13, 200])
def test_a_long_row_goes_on_in_the_next_space(many):
    spaces = [Space(10.0, 20.0, 50.0), Space(10.0, 20.0, 60.0)] + [PAGE] * 5
    row = Row(("shelf", " ".join(f"label.number.{n}" for n in range(many))))
    pages = table(COLUMNS, [row], spaces.__getitem__)
    assert len(pages) > 1
    assert within(spaces[: len(pages)], pages)
