"""The text of STEP files taken apart by our own reader, whatever the bytes are."""

from __future__ import annotations

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from furnigen.exchange.part21 import decoded, exchange_file
from furnigen.kernel.step import encoded

HEAD = (
    b"ISO-10303-21;\nHEADER;\nFILE_NAME('a; b','2026-01-01T00:00:00',(''),(''),'','','');\nENDSEC;\nDATA;\n"
)
FOOT = b"ENDSEC;\nEND-ISO-10303-21;\n"


def test_rows_with_strings_comments_and_several_kinds() -> None:
    rows = b"""#1=DIRECTION('it''s; #9 /* no comment',(0.,-1.,1.E-3)); /* a; 'comment */ #2 = ( LENGTH_UNIT()
    NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.) );
    #3=LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),#2);"""
    file = exchange_file(HEAD + rows + FOOT)
    assert file.values(1) == {"DIRECTION": ["it's; #9 /* no comment", [0.0, -1.0, 0.001]]}
    assert file.value(2, "SI_UNIT", 0) == "MILLI"
    assert file.of("LENGTH_UNIT") == file.of("SI_UNIT") == [2]
    assert file.value(3, "LENGTH_MEASURE_WITH_UNIT", 0) == 25.4
    assert file.reference(3, "LENGTH_MEASURE_WITH_UNIT", 1) == 2
    assert file.header["FILE_NAME"][:2] == ["a; b", "2026-01-01T00:00:00"]
    assert not file.dangling()


def test_what_is_there_twice_not_there_or_unreadable_is_told() -> None:
    file = exchange_file(HEAD + b"#1=A(#2,'#5');\n#1=B();\n#3=C(1..,;\n#4=D((1.);\n#=E();\n")
    assert file.twice == [1]
    assert file.dangling() == [2]
    assert file.values(3) == file.values(4) == {}
    assert len(file.unread) == 1


@given(st.text(st.characters(exclude_categories=("Cs",)), max_size=40))
def test_text_comes_back_as_it_was_encoded(text: str) -> None:
    line = "".join(c for c in text if c not in "\r\n")
    assert decoded(encoded(line).replace("'", "''").encode()) == line


@settings(max_examples=200)
@given(st.text(alphabet="#=;(),'/*$.12AB\n ", max_size=200))
def test_no_text_is_an_error(text: str) -> None:
    file = exchange_file(HEAD + text.encode() + FOOT)
    for number in file.rows:
        file.values(number)
        file.references(number)


@pytest.mark.parametrize("broken", [b"'", b"/*", b"(" * 100_000])
def test_what_is_never_closed_takes_no_longer(broken: bytes) -> None:
    """Each byte is looked at once: a search that begins anew at each of them would take hours here."""
    rows = b"".join(b"#%d=DIRECTION('',(0.,0.,1.));\n" % n for n in range(1, 30_000))
    start = time.process_time()
    exchange_file(HEAD + rows + FOOT)
    whole = time.process_time() - start
    start = time.process_time()
    file = exchange_file(HEAD + b"#99999=A(" + broken + rows + FOOT)
    assert file.values(99999) == {}
    assert time.process_time() - start < 20 * whole
