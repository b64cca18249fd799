"""Who may ask the live page for what: this machine, by the page itself, and nothing else.

A page of any other site can make a browser send requests to this machine. So the name it was asked by must be
ours (a foreign name that leads here is refused), so must the page that asks, and a change needs the word that
only our page knows. Common practice for servers on the loopback address, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from email.message import Message
from http import HTTPStatus
from secrets import compare_digest

HOST = "127.0.0.1"
NAMES = (HOST, "localhost")
"""What this machine calls itself; a port follows."""
MOST_BODY = 64 * 1024
"""Bytes of a request's body."""
TOKEN = "X-Furnigen-Token"
"""The header that carries the word of this start."""
POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "connect-src 'self'",
        "base-uri 'none'",
        "form-action 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS: Mapping[str, str] = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cache-Control": "no-store",
}
"""Sent with every answer."""

Refusal = tuple[HTTPStatus, str]


def refusal(method: str, headers: Message, port: int, token: str) -> Refusal | None:
    """Why a request is refused; None where it is not.

    Args:
        method: "GET", "HEAD" or "POST".
        port: ours.
        token: the word of this start.
    """
    hosts = headers.get_all("Host", [])
    if len(hosts) != 1 or hosts[0].lower() not in {f"{name}:{port}" for name in NAMES}:
        return HTTPStatus.MISDIRECTED_REQUEST, f"this is {HOST}:{port} alone"
    own = {f"http://{name}:{port}" for name in NAMES}
    if any(origin.lower() not in own for origin in headers.get_all("Origin", [])):
        return HTTPStatus.FORBIDDEN, "asked for by another page"
    sites = {"same-origin", "none"} if method != "POST" else {"same-origin"}
    if any(site.lower() not in sites for site in headers.get_all("Sec-Fetch-Site", [])):
        return HTTPStatus.FORBIDDEN, "asked for by another site"
    return _refused_change(headers, token) if method == "POST" else None


def _refused_change(headers: Message, token: str) -> Refusal | None:
    """Why a change is refused; its length is known to be allowed when it is not."""
    given = headers.get(TOKEN, "")
    if not compare_digest(given.encode(errors="replace"), token.encode()):
        return HTTPStatus.FORBIDDEN, "the server was started anew: load the page again"
    if headers.get_content_type() != "application/json" or "Content-Type" not in headers:
        return HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "a change is JSON"
    length = headers.get("Content-Length", "")
    if "Transfer-Encoding" in headers or not (length.isascii() and length.isdigit()):
        return HTTPStatus.LENGTH_REQUIRED, "the length of the body must be stated"
    if len(length) > 9 or int(length) > MOST_BODY:
        return HTTPStatus.REQUEST_ENTITY_TOO_LARGE, f"a change has at most {MOST_BODY} bytes"
    return None
