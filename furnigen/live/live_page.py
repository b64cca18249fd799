"""The live page as it is sent: markup, script and style of the room `furnigen.page`."""

from __future__ import annotations

from functools import cache
from html import escape

from furnigen.formats.report import SAFETY_NOTE
from furnigen.page.markup import filled, packed_script, text_asset

STILL = '<img id="still" alt="The piece, seen from the front left">'
"""Where the picture stands in a browser without 3D, and on paper."""


def page_html(token: str, start: str) -> str:
    """The markup.

    Args:
        token: the word that changes carry.
        start: names this run of the server.
    """
    texts = {
        "TOKEN": escape(token),
        "START": escape(start),
        "SAFETY": escape(SAFETY_NOTE),
        "VIEW": filled(text_asset("view.html"), {"STILL": STILL}),
    }
    return filled(text_asset("live.html"), texts)


@cache
def page_script() -> str:
    """The script, packed with three.js."""
    return packed_script("live")


@cache
def page_style() -> str:
    """The style: that of all pages, of the job page, and what this one has besides."""
    return "".join(map(text_asset, ("look.css", "job.css", "live.css")))
