"""Who may ask the live page's server for what."""

from __future__ import annotations

import http.client
import json
import socket
import threading
from typing import Any

import pytest

from furnigen.core.errors import InputError, OutputError
from furnigen.live.board import Board
from furnigen.live.guard import HOST, MOST_BODY, TOKEN
from furnigen.live.server import LiveServer, listening


class Plain:
    """Stands for a session: keeps what it was asked for."""

    start = "first"

    def __init__(self) -> None:
        self.board, self.asked = Board(), []

    def change(self, values: dict[str, Any]) -> None:
        if "depth" in values:
            raise InputError("field", "depth", "is none of this recipe's parameters")
        self.asked.append(values)

    def open(self, key: str) -> None:
        raise InputError("version", key, "is not in the folder of versions")

    def forget(self, key: str) -> None:
        self.open(key)

    def save(self, name: str) -> None:
        raise OutputError("versions can not be written: no space left")

    def file(self, name: str, number: int) -> bytes | None:
        return b"<svg/>" if (name, number) == ("layouts", 3) else None


@pytest.fixture(scope="module")
def server():
    one = listening(0)
    one.session = Plain()
    threading.Thread(target=one.serve_forever, args=(0.05,), daemon=True).start()
    yield one
    one.session.board.close()
    one.shutdown()
    one.server_close()


def ask(
    server: LiveServer,
    method: str,
    path: str,
    body: Any = None,
    *,
    drop: tuple[str, ...] = (),
    **headers: str,
) -> tuple[int, dict[str, str], bytes]:
    """One request as our own page makes it, but for what is given or dropped."""
    own = {"Host": f"{HOST}:{server.port}"}
    content = b""
    if method == "POST":
        content = body if isinstance(body, bytes) else json.dumps(body).encode()
        own |= {
            "Origin": f"http://{HOST}:{server.port}", "Sec-Fetch-Site": "same-origin", TOKEN: server.token,
            "Content-Type": "application/json", "Content-Length": str(len(content)),
        }  # fmt: skip
    own |= {name.replace("_", "-"): value for name, value in headers.items()}
    connection = http.client.HTTPConnection(HOST, server.port, timeout=10)
    connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
    for name, value in own.items():
        if name.lower() not in {d.lower() for d in drop}:
            connection.putheader(name, value)
    connection.endheaders(content or None)
    answer = connection.getresponse()
    found = answer.status, dict(answer.getheaders()), answer.read()
    connection.close()
    return found


def changed(server: LiveServer) -> bool:
    """Whether a change went through since this was asked last."""
    found = bool(server.session.asked)
    server.session.asked.clear()
    return found


CHANGE = {"values": {"width": "700"}}


def test_it_listens_on_the_loopback_address_alone(server):
    assert server.server_address[0] == "127.0.0.1"


def test_the_page_comes_with_a_policy_and_its_word(server):
    status, headers, content = ask(server, "GET", "/")
    assert status == 200
    assert server.token.encode() in content
    policy = headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert "Access-Control-Allow-Origin" not in headers


def test_our_own_page_can_change_a_value(server):
    assert ask(server, "POST", "/change", CHANGE)[0] == 204
    assert changed(server)


@pytest.mark.parametrize(
    "host",
    ["evil.example", "evil.example:8730", "127.0.0.1", "localhost", "127.0.0.1:1", "0.0.0.0:{port}", ""],
)
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_a_request_by_another_name_is_refused(server, host, method):
    # a name of somebody else's that leads to this machine: DNS rebinding
    status, _, _ = ask(
        server, method, "/" if method == "GET" else "/change", CHANGE, Host=host.format(port=server.port)
    )
    assert status == 421
    assert not changed(server)


def test_a_request_without_a_host_or_with_two_is_refused(server):
    assert ask(server, "GET", "/", drop=("Host",))[0] == 421
    raw = socket.create_connection((HOST, server.port), timeout=5)
    own = f"Host: {HOST}:{server.port}\r\n"
    raw.sendall(f"GET / HTTP/1.1\r\n{own}{own}\r\n".encode())
    assert b" 421 " in raw.recv(100)
    raw.close()


def test_localhost_is_a_name_of_ours(server):
    assert ask(server, "GET", "/", Host=f"localhost:{server.port}")[0] == 200


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", "https://127.0.0.1:{port}", "http://127.0.0.1:1"]
)
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_another_origin_is_refused(server, origin, method):
    path = "/events" if method == "GET" else "/change"
    assert ask(server, method, path, CHANGE, Origin=origin.format(port=server.port))[0] == 403
    assert not changed(server)


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_another_site_is_refused(server, site, method):
    status, _, _ = ask(server, method, "/" if method == "GET" else "/change", CHANGE, Sec_Fetch_Site=site)
    assert status == 403
    assert not changed(server)


def test_a_change_is_no_navigation(server):
    assert ask(server, "POST", "/change", CHANGE, Sec_Fetch_Site="none")[0] == 403
    assert ask(server, "GET", "/", Sec_Fetch_Site="none")[0] == 200


@pytest.mark.parametrize("token", ["", "guess", "é"])
def test_a_change_without_the_word_of_this_start_is_refused(server, token):
    status, _, content = ask(
        server, "POST", "/change", CHANGE, X_Furnigen_Token=token.encode().decode("latin-1")
    )
    assert status == 403
    assert "load the page again" in json.loads(content)["error"]
    assert not changed(server)


def test_each_start_has_a_word_of_its_own(server):
    other = listening(0)
    assert other.token != server.token
    assert len(other.token) >= 32
    other.server_close()


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data"])
def test_what_a_form_of_another_page_could_send_is_refused(server, kind):
    assert ask(server, "POST", "/change", CHANGE, Content_Type=kind)[0] == 415
    assert ask(server, "POST", "/change", CHANGE, drop=("Content-Type",))[0] == 415
    assert not changed(server)


def test_a_body_has_a_limit_and_a_stated_length(server):
    large = {"values": {"width": "1" * MOST_BODY}}
    assert ask(server, "POST", "/change", large)[0] == 413
    assert ask(server, "POST", "/change", CHANGE, Content_Length="9" * 30)[0] == 413
    assert ask(server, "POST", "/change", CHANGE, drop=("Content-Length",))[0] == 411
    assert ask(server, "POST", "/change", CHANGE, Content_Length="-1")[0] == 411
    assert ask(server, "POST", "/change", CHANGE, Transfer_Encoding="chunked")[0] == 411
    assert not changed(server)


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"{", 400), (b"\xff\xfe", 400), (b"[" * 30000, 400), (b'{"values": 1' + b"0" * 5000 + b"}", 400),
        (b"[]", 422), (b'"x"', 422), (b"{}", 422), (b'{"values": "x"}', 422),
        (b'{"values": {"depth": "1"}}', 422),
    ],
)  # fmt: skip
def test_a_body_that_says_nothing_is_refused(server, body, status):
    assert ask(server, "POST", "/change", body)[0] == status
    assert not changed(server)


def test_what_goes_wrong_is_said(server):
    status, _, content = ask(server, "POST", "/save", {"name": "x"})
    assert status == 409
    assert "no space left" in json.loads(content)["error"]


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "PATCH", "TRACE", "CONNECT"])
def test_there_are_no_other_methods(server, method):
    assert ask(server, method, "/change")[0] == 405


def test_getting_changes_nothing(server):
    for path in ("/change", "/make", "/undo"):
        assert ask(server, "GET", path)[0] == 404
    assert not changed(server)


@pytest.mark.parametrize(
    "path",
    [
        "/etc/passwd", "/../../etc/passwd", "/..%2f..%2fetc/passwd", "//etc/passwd", "/live.js/../secret",
        "/?x", "/live.js?x", "/model/../3", "/layouts/3/", "/layouts/-3", "/layouts/03333333333333",
        "/model/3", "file:///etc/passwd", "http://evil.example/", "/%2e%2e/", "/\\windows",
    ],
)  # fmt: skip
def test_no_path_leads_to_the_disk(server, path):
    assert ask(server, "GET", path)[0] == 404


def test_a_made_file_is_served_as_what_it_is(server):
    status, headers, content = ask(server, "GET", "/layouts/3")
    assert (status, content) == (200, b"<svg/>")
    assert headers["Content-Type"] == "image/svg+xml"
    assert "default-src 'none'" in headers["Content-Security-Policy"]


@pytest.mark.parametrize("act", ["/open", "/forget"])
def test_a_version_is_looked_up_and_never_opened_as_a_path(server, act):
    status, _, content = ask(server, "POST", act, {"key": "../../etc/passwd"})
    assert status == 422
    assert "not in the folder" in json.loads(content)["error"]


def test_news_come_as_events_and_the_newest_first_to_who_comes_late(server):
    server.session.board.put("piece", {"number": 1, "title": "\u2028 <b>"})
    server.session.board.put("piece", {"number": 2, "title": "Ärmel\n"})
    connection = http.client.HTTPConnection(HOST, server.port, timeout=5)
    connection.request("GET", "/events")
    answer = connection.getresponse()
    assert answer.getheader("Content-Type") == "text/event-stream"
    assert answer.readline() == b"event: piece\n"
    assert json.loads(answer.readline().removeprefix(b"data: ")) == {"number": 2, "title": "Ärmel\n"}
    server.session.board.put("state", {"state": "ready"})
    assert [answer.readline() for _ in range(2)] == [b"\n", b"event: state\n"]
    connection.close()


def test_a_port_that_is_taken_gives_the_next(server):
    beside = listening(server.port)
    try:
        assert beside.port > server.port
    finally:
        beside.server_close()
