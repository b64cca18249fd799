"""furnigen manual: the manual page furnigen.1, written from the same grammar as every --help."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

from furnigen.core.errors import OutputError

FIRST = ".TH FURNIGEN 1"
"""What the page begins with."""


def add_arguments(command: argparse.ArgumentParser) -> None:
    """--out."""
    command.add_argument(
        "--out",
        metavar="FILE",
        help="where to write it, such as furnigen.1 (standard output)",
    )


def run(given: argparse.Namespace) -> int:
    """Write the page."""
    from furnigen.cli.main import parser

    page = manual_page(parser())
    if given.out is not None:
        _refuse_other(Path(given.out))
        try:
            Path(given.out).write_text(page, encoding="utf-8")
        except (OSError, ValueError) as error:
            raise OutputError(f"{given.out} can not be written: {error}") from None
    if given.json:
        print(
            json.dumps({"file": given.out, "page": page if given.out is None else None}, ensure_ascii=False)
        )
    elif given.out is not None:
        print(given.out)
    else:
        sys.stdout.write(page)
    return 0


def _refuse_other(path: Path) -> None:
    """Refuse to write over a file that is no manual page of furnigen's."""
    try:
        if path.is_file() and not path.read_bytes().startswith(FIRST.encode()):
            raise OutputError(f"{path} is a file of yours, not furnigen's manual page; name another")
    except (OSError, ValueError) as error:
        if isinstance(error, OutputError):
            raise
        raise OutputError(f"{path} can not be written: {error}") from None


def manual_page(top: argparse.ArgumentParser) -> str:
    """The page in the markup of man (man(7))."""
    from furnigen import __version__
    from furnigen.cli.grammar import commands_of, lines_of, words_of

    lines = [
        f'{FIRST} "" "furnigen {__version__}" "User Commands"',
        ".SH NAME",
        f"furnigen \\- {_text('3D models of furniture from recipes, with checks, lists and mockups')}",
        ".SH SYNOPSIS",
        ".B furnigen",
        r"\fICOMMAND\fR [\fIWORDS\fR]",
        ".SH DESCRIPTION",
        _text(top.description or ""),
        ".SH COMMANDS",
    ]
    about = lines_of(top)
    for name, command in commands_of(top).items():
        lines += [f'.SS "furnigen {name}"', _text(f"{about[name][:1].upper()}{about[name][1:]}.")]
        for action in words_of(command):
            lines += [".TP", _called(action), _text(_help(action))]
    lines += [
        ".SH LENGTHS",
        _text(
            "Lengths are typed as makers write them: 450, 45 cm, 1.2 m, 18 in, 3/4 in, 7' 3-1/2\". A bare"
            " number is millimetres, or inches with --units in."
        ),
        ".SH EXIT STATUS",
        _text(
            "0 done and every check passes (compare: both are equal), 1 done but a check fails (compare: they"
            " differ), 2 bad input, 130 interrupted, 141 the reader of the output left."
        ),
        ".SH SAFETY",
        _text(_safety()),
    ]
    return "\n".join(lines) + "\n"


def _safety() -> str:
    from furnigen.formats.report import SAFETY_NOTE

    return SAFETY_NOTE


def _help(action: argparse.Action) -> str:
    """A word's help, as argparse fills it in."""
    text = action.help or ""
    return text % {**vars(action), "prog": "furnigen"} if "%(" in text else text


def _called(action: argparse.Action) -> str:
    """How a word is typed: its names bold, its value italic."""
    if not action.option_strings:
        return rf"\fI{_escaped(str(action.metavar or action.dest))}\fR"
    names = ", ".join(rf"\fB{_escaped(name)}\fR" for name in action.option_strings)
    if action.nargs == 0:
        return names
    value = action.metavar if isinstance(action.metavar, str) else None
    if value is None:
        choices = ",".join(map(str, action.choices or ()))
        value = f"{{{choices}}}" if choices else action.dest.upper()
    return rf"{names} \fI{_escaped(value)}\fR"


def _escaped(text: str) -> str:
    """Text with what man's markup takes for its own made plain."""
    return text.replace("\\", r"\e").replace("-", r"\-").replace("'", r"\(aq").replace('"', r"\(dq")


def _text(text: str) -> str:
    """A paragraph; a line that begins with a dot would be a request."""
    line = _escaped(" ".join(text.split()))
    return rf"\&{line}" if line.startswith((".", "\\(aq")) else line
