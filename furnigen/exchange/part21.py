"""The text of a STEP file (ISO 10303-21, clear text encoding): its instances, and what each of them says.

Only what is asked for is taken apart: a file has a hundred thousand points, and its structure lies in some
hundred rows.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

# what is never closed runs to the end: so each byte is looked at once, however broken the file is
_STATEMENT = re.compile(rb"(?:[^;'/]++|'[^']*+(?:'|\Z)|/\*(?s:.)*?(?:\*/|\Z)|/)*+(?:;|\Z)")
_COMMENT = re.compile(rb"('[^']*+')|/\*(?s:.)*?(?:\*/|\Z)")
_STRING = re.compile(rb"'[^']*+'")
_INSTANCE = re.compile(rb"\s*#(\d+)\s*=\s*(?:([A-Za-z_][A-Za-z0-9_]*)\s*)?\(")
_HEADER = re.compile(rb"\s*(FILE_NAME|FILE_SCHEMA)\s*\(")
_REFERENCE = re.compile(rb"#(\d+)")
_TOKEN = re.compile(
    rb"\s*(?:(?P<ref>#\d+)|(?P<text>(?:'[^']*+')+)|(?P<number>[+-]?\d+(?:\.\d*)?(?:[Ee][+-]?\d+)?)"
    rb'|(?P<enum>\.\w+\.)|(?P<word>!?[A-Za-z_]\w*)|(?P<binary>"[0-9A-Fa-f]*")|(?P<mark>[(),$*]))'
)
_ENCODED = re.compile(
    r"\\X2\\([0-9A-Fa-f]*)\\X0\\|\\X4\\([0-9A-Fa-f]*)\\X0\\|\\X\\([0-9A-Fa-f]{2})|\\S\\(.)|\\\\"
)
_DEEPEST = 60
"""Levels of brackets in one row; the schemas in use need five."""

Kind = str


class Ref(int):
    """The number of another instance."""


class Enum(str):
    """A word between full stops, without them."""


def decoded(raw: bytes) -> str:
    r"""The text between the apostrophes of a string: directives (clause 6.4.3, from memory) as characters.

    >>> decoded(rb"R\X2\00E4\X0\ck")
    'Räck'
    """
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError:
        text = raw.decode("latin-1")
    return _ENCODED.sub(_character, text.replace("''", "'").replace("\n", "").replace("\r", ""))


def _character(found: re.Match[str]) -> str:
    two, four, one, shifted = found.groups()
    try:
        if two is not None:
            return bytes.fromhex(two).decode("utf-16-be", "replace")
        if four is not None:
            return bytes.fromhex(four).decode("utf-32-be", "replace")
        if one is not None:
            return chr(int(one, 16))
    except ValueError:
        return found[0]
    return chr(ord(shifted) + 128) if shifted is not None else "\\"


def _parsed(raw: bytes, at: int, end: int) -> list[Any]:
    """The values from an opening bracket to its closing one; ValueError where they are no such list."""
    stack: list[list[Any]] = [[]]
    while at < end:
        token = _TOKEN.match(raw, at, end)
        if token is None:
            if raw[at:end].strip():
                raise ValueError("not a list of values")
            break
        at = token.end()
        kind = token.lastgroup or ""
        text = token[kind]
        if kind == "mark":
            if text == b"(":
                if len(stack) > _DEEPEST:
                    raise ValueError("brackets too deep")
                stack.append([])
            elif text == b")":
                if len(stack) == 1:
                    raise ValueError("a bracket too many")
                done = stack.pop()
                stack[-1].append(done)
            elif text in (b"$", b"*"):
                stack[-1].append(None)
        else:
            stack[-1].append(_value(kind, text))
    if len(stack) != 1:
        raise ValueError("a bracket is missing")
    return stack[0]


def _value(kind: str, text: bytes) -> Any:
    if kind == "ref":
        return Ref(text[1:])
    if kind == "text":
        return decoded(text[1:-1])
    if kind == "number":
        return float(text)
    if kind == "enum":
        return Enum(text.strip(b".").decode().upper())
    return _Word(text.decode("ascii", "replace").upper()) if kind == "word" else text


class _Word(str):
    """A keyword: of a typed value, or of one part of a complex instance."""


@dataclass(eq=False)
class ExchangeFile:
    """The instances of a STEP file.

    Attributes:
        rows: the text of each, by its number.
        kinds: the numbers of all of a kind, in the order of the file; complex ones under each of their kinds.
        twice: numbers that are given to two instances.
        unread: rows that are no instance.
        header: the first values of FILE_NAME and of FILE_SCHEMA.
    """

    rows: dict[int, bytes] = field(default_factory=dict)
    kinds: dict[Kind, list[int]] = field(default_factory=dict)
    twice: list[int] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)
    header: dict[str, list[Any]] = field(default_factory=dict)
    _known: dict[int, dict[Kind, list[Any]]] = field(default_factory=dict)

    def of(self, *kinds: Kind) -> list[int]:
        """The numbers of all instances of some kinds."""
        return [number for kind in kinds for number in self.kinds.get(kind, ())]

    def kind(self, number: int) -> Kind:
        """The kind of an instance; "" for a complex one, which has several."""
        head = _INSTANCE.match(self.rows[number])
        return head[2].decode().upper() if head and head[2] else ""

    def values(self, number: int) -> dict[Kind, list[Any]]:
        """What an instance says, by kind: several of a complex one, none where it can not be read."""
        known = self._known.get(number)
        if known is None:
            known = self._known[number] = self._taken_apart(number)
        return known

    def value(self, number: int, kind: Kind, at: int) -> Any:
        """One value of an instance as that kind; None where it has none."""
        values = self.values(number).get(kind, [])
        return values[at] if at < len(values) else None

    def reference(self, number: int, kind: Kind, at: int) -> int | None:
        """As `value`, where it is the number of an instance the file has."""
        found = self.value(number, kind, at)
        return int(found) if isinstance(found, Ref) and found in self.rows else None

    def references(self, number: int) -> list[int]:
        """The numbers of all instances that one names, whether the file has them or not."""
        return [int(n) for n in _REFERENCE.findall(_STRING.sub(b"", self.rows[number]))]

    def dangling(self) -> list[int]:
        """The numbers of instances that others name and the file does not have."""
        named = {n for row in self.rows.values() for n in _REFERENCE.findall(_STRING.sub(b"", row))}
        return sorted({int(n) for n in named} - self.rows.keys())

    def _taken_apart(self, number: int) -> dict[Kind, list[Any]]:
        row = self.rows.get(number)
        head = _INSTANCE.match(row) if row else None
        if row is None or head is None:
            return {}
        try:
            values = _parsed(row, head.end() - 1, len(row) - 1)
        except ValueError:
            return {}
        if not values or not isinstance(values[0], list):
            return {}
        if head[2]:
            return {head[2].decode().upper(): _typed(values[0])}
        inner = values[0]
        return {
            str(word): _typed(given)
            for word, given in pairwise(inner)
            if isinstance(word, _Word) and isinstance(given, list)
        }


def _typed(values: list[Any]) -> list[Any]:
    """Values with LENGTH_MEASURE(25.4) and its like as what they hold."""
    found: list[Any] = []
    word = False
    for value in values:
        if isinstance(value, _Word):
            word = True
        elif word and isinstance(value, list):
            found.append(value[0] if len(value) == 1 else value)
            word = False
        else:
            found.append(_typed(value) if isinstance(value, list) else value)
    return found


def _statements(data: bytes) -> Iterator[bytes]:
    for found in _STATEMENT.finditer(data):
        row = found[0]
        if not row:
            continue
        yield _COMMENT.sub(lambda m: m[1] or b" ", row) if b"/*" in row else row


def exchange_file(data: bytes) -> ExchangeFile:
    """Take the text of a STEP file apart; whatever the bytes are, there is no error."""
    file = ExchangeFile()
    complex_rows = []
    for row in _statements(data):
        head = _INSTANCE.match(row)
        if head is None:
            _other(file, row)
            continue
        number = int(head[1])
        if number in file.rows:
            file.twice.append(number)
            continue
        file.rows[number] = row
        if head[2]:
            file.kinds.setdefault(head[2].decode().upper(), []).append(number)
        else:
            complex_rows.append(number)
    for number in complex_rows:
        for kind in file.values(number):
            file.kinds.setdefault(kind, []).append(number)
    return file


def _other(file: ExchangeFile, row: bytes) -> None:
    header = _HEADER.match(row)
    if header:
        try:
            file.header[header[1].decode()] = _parsed(row, header.end() - 1, len(row) - 1)[0]
        except (ValueError, IndexError):
            file.unread.append(header[1].decode())
    elif row.lstrip().startswith((b"#", b"=", b"(")):
        file.unread.append(" ".join(row[:40].decode("ascii", "replace").split()))
