"""The page's server: the standard library's, on the loopback address, for one session.

Nothing a browser sends is a path: what can be fetched is a table here, and what is named otherwise is looked
up among what the session knows.
"""

from __future__ import annotations

import errno
import json
import re
import secrets
import sys
import threading
from collections.abc import Callable
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

from furnigen.core.errors import FurnigenError, InputError, OutputError
from furnigen.live.guard import HEADERS, HOST, refusal
from furnigen.live.live_page import page_html, page_script, page_style
from furnigen.live.session import Session

PORT = 8730
"""The usual port; no service is registered for it that we know of (from memory)."""
TRIED = 20
"""Ports that are tried, from the one asked for."""
BEAT_S = 5.0
"""How often a reader who is told nothing new is told that we are here."""
IDLE_S = 60.0
"""A connection over which nothing is asked for this long is closed."""
MOST_READERS = 12
"""Pages that may be open at once."""
FILE = re.compile(r"/(model|picture|layouts)/([0-9]{1,12})")
KINDS = {"model": "model/gltf-binary", "picture": "image/png", "layouts": "image/svg+xml"}


class LiveServer(ThreadingHTTPServer):
    """Serves one session.

    Attributes:
        session: what the page is about.
        token: the word that changes carry, made at each start.
    """

    daemon_threads = True
    block_on_close = False
    request_queue_size = 64

    session: Session

    def __init__(self, port: int) -> None:
        """Listen; nothing is answered before `session` is set and it serves.

        Raises: OSError where the port can not be had.
        """
        super().__init__((HOST, port), _Handler)
        self.token = secrets.token_urlsafe(24)
        self.readers = threading.Semaphore(MOST_READERS)

    @property
    def port(self) -> int:
        """Where it listens."""
        return int(self.server_address[1])

    @property
    def address(self) -> str:
        """What is typed into a browser."""
        return f"http://{HOST}:{self.port}/"

    def handle_error(self, request: Any, client_address: Any) -> None:
        """One line for a fault of ours; nothing for a browser that left."""
        error = sys.exception()
        if not isinstance(error, ConnectionError | TimeoutError):
            print(f"furnigen: a request failed: {type(error).__name__}: {error}", file=sys.stderr)


def listening(port: int = PORT) -> LiveServer:
    """A server at a port, or at the next one that is free.

    Args:
        port: 0 for any.

    Raises: OutputError where none can be had.
    """
    last = min(port + TRIED - 1, 65535) if port else 0
    for number in range(port, last + 1):
        try:
            return LiveServer(number)
        except OSError as error:
            if error.errno not in (errno.EADDRINUSE, errno.EACCES):
                raise OutputError(f"port {number} of {HOST} can not be used: {error.strerror}") from None
    raise OutputError(f"no port of {HOST} from {port} to {last} is free; name another with --port")


class _Handler(BaseHTTPRequestHandler):
    """One connection of a browser."""

    server: LiveServer
    protocol_version = "HTTP/1.1"
    server_version, sys_version = "furnigen", ""
    disable_nagle_algorithm = True  # else an answer waits 40 ms for the one before to be acknowledged
    timeout = IDLE_S

    def do_GET(self) -> None:
        self._answered(self._get)

    def do_HEAD(self) -> None:
        self._answered(self._get)

    def do_POST(self) -> None:
        self._answered(self._post)

    def _answered(self, answer: Callable[[], None]) -> None:
        why = refusal(self.command, self.headers, self.server.port, self.server.token)
        if why:
            self._refuse(*why)
        else:
            answer()

    def _get(self) -> None:
        fixed: dict[str, tuple[Callable[[], str], str]] = {
            "/": (lambda: page_html(self.server.token, self.server.session.start), "text/html"),
            "/live.js": (page_script, "text/javascript"),
            "/live.css": (page_style, "text/css"),
        }
        if self.path in fixed:
            text, kind = fixed[self.path]
            self._send(HTTPStatus.OK, text().encode(), f"{kind}; charset=utf-8")
            return
        if self.path == "/events" and self.command == "GET":
            self._events()
            return
        named = FILE.fullmatch(self.path)
        found = self.server.session.file(named[1], int(named[2])) if named else None
        if named and found is not None:
            self._send(HTTPStatus.OK, found, KINDS[named[1]])
        else:
            self._refuse(HTTPStatus.NOT_FOUND, "there is nothing of this name")

    def _post(self) -> None:
        session = self.server.session
        acts: dict[str, Callable[[Any], None]] = {
            "/change": lambda b: session.change(_of(b, "values", dict)),
            "/undo": lambda b: session.undo(),
            "/redo": lambda b: session.redo(),
            "/save": lambda b: session.save(_of(b, "name", str)),
            "/open": lambda b: session.open(_of(b, "key", str)),
            "/forget": lambda b: session.forget(_of(b, "key", str)),
            "/compare": lambda b: session.compare(_of(b, "a", str), _of(b, "b", str)),
            "/choose": lambda b: session.choose(_of(b, "formats", list)),
            "/make": lambda b: session.make(),
            "/stop": lambda b: session.stop(),
        }
        body = self.rfile.read(int(self.headers["Content-Length"]))
        if self.path not in acts:
            self._refuse(HTTPStatus.NOT_FOUND, "there is nothing of this name")
            return
        try:
            acts[self.path](json.loads(body))
        except InputError as error:
            self._refuse(HTTPStatus.UNPROCESSABLE_ENTITY, str(error))
        except FurnigenError as error:
            self._refuse(HTTPStatus.CONFLICT, str(error))
        except (ValueError, RecursionError):
            self._refuse(HTTPStatus.BAD_REQUEST, "the body is not JSON")
        else:
            self._send(HTTPStatus.NO_CONTENT, b"", "")

    def _events(self) -> None:
        """Tell all that is new as it comes, until the browser or the session ends."""
        if not self.server.readers.acquire(blocking=False):
            self._refuse(HTTPStatus.SERVICE_UNAVAILABLE, f"{MOST_READERS} pages are open already")
            return
        try:
            self.close_connection = True
            self._head(HTTPStatus.OK, "text/event-stream", None)
            board, seen = self.server.session.board, 0
            while not board.closed:
                seen, news = board.newer(seen, BEAT_S)
                told = "".join(f"event: {topic}\ndata: {text}\n\n" for topic, text in news)
                self.wfile.write((told or ": here\n\n").encode("utf-8", "replace"))
                self.wfile.flush()
        finally:
            self.server.readers.release()

    def _refuse(self, status: HTTPStatus, why: str) -> None:
        self.close_connection = True  # what is left of the request is not read
        self._send(status, json.dumps({"error": why}).encode(), "application/json")

    def _send(self, status: HTTPStatus, content: bytes, kind: str) -> None:
        self._head(status, kind, len(content))
        if self.command != "HEAD":
            self.wfile.write(content)

    def _head(self, status: HTTPStatus, kind: str, length: int | None) -> None:
        self.send_response(status)
        for name, value in HEADERS.items():
            self.send_header(name, value)
        if kind:
            self.send_header("Content-Type", kind)
        if length is not None and status != HTTPStatus.NO_CONTENT:
            self.send_header("Content-Length", str(length))
        if self.close_connection:
            self.send_header("Connection", "close")
        self.end_headers()

    def send_error(self, code: int, message: str | None = None, explain: str | None = None) -> None:
        """What the library refuses by itself: a method that there is not, a request that can not be read."""
        self.close_connection = True
        status = HTTPStatus(code)
        if status == HTTPStatus.NOT_IMPLEMENTED:
            status = HTTPStatus.METHOD_NOT_ALLOWED
        if not hasattr(self, "command") or self.command is None:
            self.command = ""
        if not getattr(self, "request_version", ""):
            self.request_version = self.protocol_version
        self._send(status, json.dumps({"error": message or status.phrase}).encode(), "application/json")

    def log_message(self, format: str, *args: Any) -> None:  # noqa: A002 - the library's name
        """Nothing: the terminal is for the person who started it."""


def _of(body: Any, name: str, kind: type) -> Any:
    """A member of a body.

    Raises: InputError where it is not there, or of another kind.
    """
    value = body.get(name) if isinstance(body, dict) else None
    if not isinstance(value, kind):
        raise InputError(name, "as sent", f"must be a {kind.__name__}")
    return value
