"""Arithmetic that a family file may hold: numbers, names, + - * / // % **, comparisons, and, or, not, if.

An expression is data. It is parsed into Python's syntax tree, every node of which must be on a short
list, and is then worked out by this module: nothing is compiled or run, there are no calls, no
attributes and no items, and the size of text, numbers and powers is bounded.
"""

from __future__ import annotations

import ast
import operator
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import isfinite

from furnigen.core.errors import InputError

Value = float | int | bool | str

LONGEST = 400
"""Characters of an expression."""
DEEPEST = 40
"""Levels within one another; keeps the working-out well within Python's own limit."""
LARGEST = 1e15
"""Largest intermediate value: integers below it are exact and cheap."""
LARGEST_POWER = 16

_ARITHMETIC: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.FloorDiv: operator.floordiv,
    ast.Mod: operator.mod,
    ast.Pow: operator.pow,
}
_ORDER: dict[type[ast.cmpop], Callable[[float, float], bool]] = {
    ast.Lt: operator.lt,
    ast.LtE: operator.le,
    ast.Gt: operator.gt,
    ast.GtE: operator.ge,
}
_STRUCTURE = (
    ast.Expression, ast.Name, ast.Load, ast.IfExp, ast.BoolOp, ast.boolop, ast.Compare, ast.Eq, ast.NotEq,
    ast.BinOp, ast.UnaryOp, ast.USub, ast.UAdd, ast.Not,
)  # fmt: skip
_ALLOWED = "may hold numbers, names, + - * / // % **, comparisons, and, or, not, and 'a if b else c'"
_NAMED = {
    ast.Call: "a call",
    ast.Attribute: "an attribute (a dot after a name)",
    ast.Subscript: "an item in brackets",
    ast.Lambda: "a function",
    ast.NamedExpr: "an assignment",
    ast.List: "a list",
    ast.Tuple: "a list",
    ast.Dict: "a table",
    ast.Set: "a set",
    ast.JoinedStr: "a formatted text",
    ast.Await: "an await",
    ast.Starred: "a star",
}


@dataclass(frozen=True)
class Expression:
    """One expression, checked.

    Attributes:
        what: where it stands, for messages, such as "[let] depth".
        text: as written.
        tree: its checked syntax tree.
        names: the names it uses, in the order they appear.
    """

    what: str
    text: str
    tree: ast.expr
    names: tuple[str, ...]

    def value(self, names: Mapping[str, Value]) -> Value:
        """What it comes to.

        Args:
            names: a value for each name; lengths in the unit of the family file.

        Raises: InputError when it divides by zero, mixes words and numbers, or leaves all bounds.
        """
        try:
            return self._of(self.tree, names)
        except ZeroDivisionError:
            raise self._refused("divides by zero", names) from None
        except OverflowError:
            raise self._refused(f"comes to more than {LARGEST:g}", names) from None

    def _refused(self, why: str, names: Mapping[str, Value]) -> InputError:
        with_ = ", ".join(f"{n} = {names[n]}" for n in self.names if n in names)
        return InputError(self.what, self.text, f"{why} with {with_}" if with_ else why)

    def _number(self, node: ast.expr, names: Mapping[str, Value]) -> float:
        value = self._of(node, names)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self._refused(f"reckons with {value!r}, which is not a number,", names)
        return value

    def _bounded(self, value: float, names: Mapping[str, Value]) -> float:
        if isinstance(value, complex):
            raise self._refused("takes a root of a negative number", names)
        if not isfinite(value) or abs(value) > LARGEST:
            raise self._refused(f"comes to more than {LARGEST:g}", names)
        return value

    def _of(self, node: ast.expr, names: Mapping[str, Value]) -> Value:
        if isinstance(node, ast.Constant):
            return node.value  # type: ignore[return-value]
        if isinstance(node, ast.Name):
            return names[node.id]
        if isinstance(node, ast.BinOp):
            left, right = self._number(node.left, names), self._number(node.right, names)
            if isinstance(node.op, ast.Pow) and abs(right) > LARGEST_POWER:
                raise self._refused(f"raises to a power above {LARGEST_POWER}", names)
            return self._bounded(_ARITHMETIC[type(node.op)](left, right), names)
        if isinstance(node, ast.UnaryOp):
            if isinstance(node.op, ast.Not):
                return not self._of(node.operand, names)
            number = self._number(node.operand, names)
            return -number if isinstance(node.op, ast.USub) else number
        if isinstance(node, ast.Compare):
            return self._compared(node, names)
        if isinstance(node, ast.BoolOp):
            values = (bool(self._of(v, names)) for v in node.values)
            return all(values) if isinstance(node.op, ast.And) else any(values)
        assert isinstance(node, ast.IfExp)
        return self._of(node.body if self._of(node.test, names) else node.orelse, names)

    def _compared(self, node: ast.Compare, names: Mapping[str, Value]) -> bool:
        left = node.left
        for op, right in zip(node.ops, node.comparators, strict=True):
            if isinstance(op, ast.Eq | ast.NotEq):
                same = self._of(left, names) == self._of(right, names)
                good = same == isinstance(op, ast.Eq)
            else:
                good = _ORDER[type(op)](self._number(left, names), self._number(right, names))
            if not good:
                return False
            left = right
        return True


def _check(node: ast.AST, what: str, text: str, depth: int = 0) -> None:
    """Raises: InputError at the first node that is not on the list, or too deep."""
    if depth > DEEPEST:
        raise InputError(what, text, f"is nested more than {DEEPEST} deep", "split it over several names")
    good = (
        isinstance(node, _STRUCTURE)
        or (isinstance(node, ast.operator) and type(node) in _ARITHMETIC)
        or (isinstance(node, ast.cmpop) and type(node) in _ORDER)
        or (isinstance(node, ast.Constant) and isinstance(node.value, bool | int | float | str))
    )
    if not good:
        kind = _NAMED.get(type(node), f"{type(node).__name__.lower()}")  # type: ignore[call-overload]
        raise InputError(what, text, f"holds {kind}; an expression {_ALLOWED}")
    number = isinstance(node, ast.Constant) and isinstance(node.value, int | float)
    if number and not abs(node.value) <= LARGEST:  # type: ignore[attr-defined]
        raise InputError(what, text, f"holds a number above {LARGEST:g}")
    for child in ast.iter_child_nodes(node):
        _check(child, what, text, depth + 1)


def read_expression(text: object, what: str) -> Expression:
    """Read an expression.

    Args:
        text: as written in the file.
        what: where it stands, for messages.

    Raises: InputError when it is not one, or holds anything but arithmetic.
    """
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise InputError(what, text, f"must be an expression in quotes; it {_ALLOWED}")
    if isinstance(text, int | float):
        text = repr(text)
    if len(text) > LONGEST:
        raise InputError(what, text[:20] + "...", f"must be at most {LONGEST} characters")
    try:
        tree = ast.parse(text.strip(), mode="eval")
    except (SyntaxError, ValueError, MemoryError, RecursionError) as error:
        why = f": {error.msg}" if isinstance(error, SyntaxError) else ""
        raise InputError(what, text, f"is no expression{why}; it {_ALLOWED}") from None
    _check(tree, what, text)
    names = dict.fromkeys(n.id for n in ast.walk(tree) if isinstance(n, ast.Name))
    return Expression(what, text.strip(), tree.body, tuple(names))
