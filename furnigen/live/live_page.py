"""The live page as it is sent: markup, script and style of the room `furnigen.page`."""

from __future__ import annotations

import gzip
from functools import cache
from html import escape

from furnigen.formats.report import SAFETY_NOTE
from furnigen.page.markup import asset, filled, text_asset


def page_html(token: str, start: str) -> str:
    """The markup.

    Args:
        token: the word that changes carry.
        start: names this run of the server.
    """
    texts = {"TOKEN": escape(token), "START": escape(start), "SAFETY": escape(SAFETY_NOTE)}
    return filled(text_asset("live.html"), texts)


@cache
def page_script() -> str:
    """The script, packed with three.js."""
    return gzip.decompress(asset("bundle/live.js.gz")).decode()


@cache
def page_style() -> str:
    """The style: that of all pages, of the job page, and what this one has besides."""
    return "".join(map(text_asset, ("look.css", "job.css", "live.css")))
