"""Expressions reckon as Python does, and hold nothing but arithmetic."""

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from furnigen.core.errors import InputError
from furnigen.family.expression import LARGEST, read_expression

SIGNS = ["+", "-", "*", "/", "//", "%", "<", "<=", ">", ">=", "==", "!="]
NAMES = {"a": 7.5, "b": 3, "c": -2}


def grown(inner):
    pair = st.tuples(inner, inner)
    return st.one_of(
        st.tuples(
            pair, st.sampled_from(["+", "-", "*", "/", "//", "%", "<", "<=", ">", ">=", "==", "!="])
        ).map(lambda t: f"({t[0][0]} {t[1]} {t[0][1]})"),
        inner.map(lambda x: f"(-{x})"),
        st.tuples(pair, inner).map(lambda t: f"({t[0][0]} if {t[1]} else {t[0][1]})"),
        st.tuples(pair, st.sampled_from(["and", "or"])).map(
            lambda t: f"(({t[0][0]} > 1) {t[1]} not ({t[0][1]} > 2))"
        ),
    )


EXPRESSIONS = st.recursive(
    st.one_of(st.sampled_from(list(NAMES)), st.integers(0, 50).map(str), st.sampled_from(["0.5", "2.25"])),
    grown,
    max_leaves=8,
)


@given(EXPRESSIONS)
def test_value_is_what_python_says(text):
    """Python itself is the reference: these texts hold arithmetic only, so eval of them is safe."""
    try:
        theirs = eval(text, {"__builtins__": {}}, dict(NAMES))
    except ZeroDivisionError:
        theirs = None
    refusal = ""
    ours = None
    try:
        ours = read_expression(text, "x").value(NAMES)
    except InputError as error:
        refusal = str(error)
    if refusal:
        # we refuse what Python does with True and False as numbers, and nothing else
        assert theirs is None or "not a number" in refusal or abs(theirs) > LARGEST
    else:
        assert ours == theirs


def test_words_compare():
    pick = read_expression("1 if build == 'mitred' else 2", "x")
    assert pick.value({"build": "mitred"}) == 1
    assert pick.value({"build": "butted rails"}) == 2
    assert pick.names == ("build",)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("max(a, b)", "a call"),
        ("__import__('os').system('true')", "a call"),
        ("a.real", "an attribute"),
        ("(1).__class__", "an attribute"),
        ("a[0]", "an item in brackets"),
        ("(lambda: 1)", "a function"),
        ("[x for x in a]", "listcomp"),
        ("(a := 3)", "an assignment"),
        ("f'{a}'", "a formatted text"),
        ("{a: b}", "a table"),
        ("a in b", "in"),
        ("a is b", "is"),
        ("a & b", "bitand"),
        ("a @ b", "matmult"),
        ("~a", "invert"),
        ("1j", "constant"),
        ("b'x'", "constant"),
        ("...", "constant"),
        ("None", "constant"),
        ("1e400", "a number above"),
        ("a = 3", "is no expression"),
        ("import os", "is no expression"),
        ("a +", "is no expression"),
        ("", "is no expression"),
        ("\x00", "is no expression"),
        ("(" * 150 + "a" + ")" * 150 + "a" * 200, "at most 400"),
        ("-" * 390 + "a", "nested more than 40 deep"),
        ("(" * 199 + ")", "is no expression"),
    ],
)
def test_what_is_refused(text, says):
    with pytest.raises(InputError) as refusal:
        read_expression(text, "[let] x")
    assert says in str(refusal.value)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("a / (b - b)", "divides by zero with a = 7.5, b = 3"),
        ("10 ** 10 ** 10", "raises to a power above 16"),
        ("999999 ** 16", "comes to more than 1e+15"),
        ("(0 - 2) ** 0.5", "root of a negative"),
        ("a + 'x'", "not a number"),
        ("'x' * 1000000", "not a number"),
        ("a + (b > 1)", "not a number"),
        ("w < 3", "not a number"),
        ("1e15 * 1e15 * 1e300", "a number above"),
    ],
)
def test_what_can_not_be_worked_out(text, says):
    start = time.process_time()
    with pytest.raises(InputError) as refusal:
        read_expression(text, "[let] x").value({**NAMES, "w": "word"})
    assert says in str(refusal.value)
    assert time.process_time() - start < 1.0
