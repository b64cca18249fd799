"""furnigen serve and make --watch as commands in a terminal: what they say, how they end."""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import pty
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from queue import Empty, Queue
from threading import Thread

import pytest
from live_sessions import ENDLESS, WAIT_S, write_plank

from furnigen.cli.main import main

HEARS = (
    "import signal; signal.signal(signal.SIGINT, signal.default_int_handler);"
    "signal.signal(signal.SIGHUP, signal.SIG_DFL)"
)
"""Tests that run in the background may have been told to ignore both, and what they start with them."""
RUN = (sys.executable, "-c", f"{HEARS}; from furnigen.cli.main import run; run()")


class Started:
    """A command that runs, and the lines it says on both of its streams."""

    def __init__(self, words: list[str], folder: Path, **options) -> None:
        self.process = subprocess.Popen(
            [*RUN, *words], cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, **options
        )
        self._lines: Queue[str] = Queue()
        self._errors: list[str] = []
        self._readers = [
            Thread(target=self._read, args=(self.process.stdout, self._lines.put), daemon=True),
            Thread(target=self._read, args=(self.process.stderr, self._errors.append), daemon=True),
        ]
        for reader in self._readers:
            reader.start()

    @staticmethod
    def _read(stream, hear) -> None:
        for line in stream:
            hear(line)

    def line(self) -> str:
        """The next line of its output."""
        try:
            return self._lines.get(timeout=WAIT_S).rstrip("\n")
        except Empty:
            self.process.kill()
            raise AssertionError(f"nothing said: {self._errors}") from None

    def error(self, text: str) -> None:
        """Wait until it has said this on standard error."""
        wait_for(lambda: any(text in line for line in self._errors))

    def end(self, number: int) -> tuple[int, str]:
        """Its status and what it said on standard error, after a signal."""
        self.process.send_signal(number)
        status = self.process.wait(WAIT_S)
        for reader in self._readers:
            reader.join()
        self.process.stdout.close()
        self.process.stderr.close()
        return status, "".join(self._errors)


@contextlib.contextmanager
def started(words: list[str], folder: Path, **options):
    one = Started(words, folder, **options)
    try:
        yield one
    finally:
        if one.process.poll() is None:
            one.end(signal.SIGKILL)


def children(pid: int) -> list[int]:
    """Processes that a process has started and that still run, theirs included."""
    found = []
    for status in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            words = status.read_text(encoding="ascii", errors="replace").rpartition(")")[2].split()
            if int(words[1]) == pid and words[0] != "Z":
                found.append(int(status.parent.name))
    return found + [n for one in found for n in children(one)]


def wait_for(what: Callable[[], object]) -> None:
    """Wait until something is true; it must be in time."""
    end = time.monotonic() + WAIT_S
    while not what():
        assert time.monotonic() < end
        time.sleep(0.05)


def gone(pids: list[int]) -> bool:
    """Wait until processes have ended."""
    wait_for(lambda: not any(running(pid) for pid in pids))
    return True


def running(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text(encoding="ascii", errors="replace")
    except OSError:
        return False
    return state.rpartition(")")[2].split()[0] != "Z"


def answers(port: int) -> bool:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    connection.request("GET", "/live.css")
    found = connection.getresponse().status == 200
    connection.close()
    return found


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks at /proc")
@pytest.mark.slow
def test_two_servers_at_one_port_and_each_ends_with_its_signal_and_all_its_processes(tmp_path):
    write_plank(tmp_path / "plank.py")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    words = ["serve", "plank.py", "--port", str(port), "--json"]
    with started(words, tmp_path) as first:
        assert json.loads(first.line()) == {"address": f"http://127.0.0.1:{port}/", "port": port}
        with started(words, tmp_path) as second:
            beside = json.loads(second.line())["port"]
            assert beside > port
            assert answers(port)
            assert answers(beside)
            pids = children(second.process.pid)
            assert len(pids) >= 2
            status, said = second.end(signal.SIGHUP)  # as a terminal that is closed sends
            assert status == 129
            assert f"port {port} is taken; this is port {beside}" in said
            assert gone(pids)
        pids = children(first.process.pid)
        status, said = first.end(signal.SIGINT)
        assert (status, said) == (130, "furnigen: ended\n")
        assert gone(pids)
    assert list(tmp_path.iterdir()) == [tmp_path / "plank.py"]


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks at /proc")
@pytest.mark.slow
def test_workers_end_with_a_server_that_is_killed_even_in_an_endless_recipe(tmp_path):
    begun = tmp_path / "begun"
    write_plank(tmp_path / "plank.py", f"open({str(begun)!r}, 'w').close()\n    {ENDLESS}")
    with started(["serve", "plank.py", "feet=6", "--port", "0", "--json"], tmp_path) as one:
        one.line()
        wait_for(begun.exists)
        pids = children(one.process.pid)
        assert pids
        assert one.end(signal.SIGKILL)[0] == -signal.SIGKILL
        assert gone(pids)


@pytest.mark.slow
def test_a_terminal_that_is_closed_ends_it(tmp_path):
    write_plank(tmp_path / "plank.py")
    pid, terminal = pty.fork()
    if pid == 0:
        os.chdir(tmp_path)
        os.execv(RUN[0], [*RUN, "serve", "plank.py", "--port", "0"])
    assert b"http://127.0.0.1:" in os.read(terminal, 1000)
    pids = children(pid)
    os.close(terminal)
    assert os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == 129
    assert gone(pids)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["nothing_like_it"], "there is no recipe nothing_like_it"),
        (["gone.py"], "there is no recipe file gone.py"),
        (["gone.toml"], "parameter file = gone.toml: can not be read"),
        (["nameless.toml"], "names no recipe"),
        (["named.toml", "--params", "named.toml"], "one file of parameters too many"),
        (["plank.py", "--port", "80"], "must be a whole number from 1024 to 65535"),
        (["plank.py", "--port", "x"], "must be a whole number from 1024 to 65535"),
        (["plank.py", "width"], "must be NAME=VALUE"),
        (["plank.py", "widht=700", "--port", "0"], "plank does not ask for it; did you mean width?"),
        (["plank.py", "--load", "bricks everywhere"], "load"),
        (["plank.py", "--stock", "gone.toml"], "gone.toml"),
        (["plank.py", "--out", "plank.py"], "is a file, not a folder"),
        (["plank.py", "--versions", "plank.py"], "is a file, not a folder"),
    ],
)
def test_bad_words_are_one_message_and_nothing_is_started(tmp_path, monkeypatch, capsys, words, said):
    monkeypatch.chdir(tmp_path)
    write_plank(tmp_path / "plank.py")
    (tmp_path / "nameless.toml").write_text("title = 'x'\n", encoding="utf-8")
    (tmp_path / "named.toml").write_text("recipe = 'divided_case'\n", encoding="utf-8")
    assert main(["serve", *words]) == 2
    error = capsys.readouterr().err
    assert said in error
    assert error.count("\n") == 1
    assert len(list(tmp_path.iterdir())) == 3


@pytest.mark.slow
def test_make_watch_waits_for_a_recipe_to_be_put_right(tmp_path):
    write_plank(tmp_path / "plank.py", "width = = 3")
    with started(["make", "plank.py", "--watch", "--json"], tmp_path) as one:
        assert "failed at line 13: SyntaxError" in json.loads(one.line())["error"]
        write_plank(tmp_path / "plank.py", "require(False, 'width', 'must be another')")
        assert json.loads(one.line())["error"] == "width: must be another"
        text = (tmp_path / "plank.py").read_text(encoding="utf-8")
        (tmp_path / "plank.py").write_text(text.replace('"600 mm"', '"6 mm"'), encoding="utf-8")
        wrong = "recipe plank: the default of width = 6.0 mm: must be from 300.0 mm to 2000.0 mm"
        assert json.loads(one.line())["error"] == wrong
        assert one.end(signal.SIGINT) == (130, "furnigen: interrupted; nothing was written\n")
    assert [p.name for p in tmp_path.iterdir()] == ["plank.py"]


@pytest.mark.slow
def test_make_watch_says_one_line_a_build_and_ends_as_a_shell_expects(tmp_path):
    file = write_plank(tmp_path / "plank.py")
    words = ["make", "plank.py", "width=700", "--formats", "cutlist,stock", "--out", "made", "--watch"]
    with started(words, tmp_path) as one:
        first = one.line()
        assert "Plank: 700.0 mm x 200.0 mm x 57.6 mm" in first
        assert "; made (" in first
        before = (tmp_path / "made" / "cutlist.csv").read_bytes()
        write_plank(file, "width = width + 33")
        assert "733.0 mm" in one.line()
        assert (tmp_path / "made" / "cutlist.csv").read_bytes() != before
        write_plank(file, "width = = 3")
        one.error("SyntaxError")
        write_plank(file, "width = 800")
        assert "800.0 mm" in one.line()
        one.process.send_signal(signal.SIGINT)
        one.error("interrupted")
        status, said = one.end(signal.SIGINT)  # somebody in a hurry: it is ending already
    assert status == 130
    wrong, last = said.splitlines()
    assert "furnigen: recipe file plank.py failed at line 13: SyntaxError" in wrong
    assert last == "furnigen: interrupted; made holds the last result"


@pytest.mark.slow
def test_make_watch_speaks_json(tmp_path):
    file = write_plank(tmp_path / "plank.py")
    with started(["make", "plank.py", "--formats", "stock", "--watch", "--json"], tmp_path) as one:
        told = json.loads(one.line())
        assert told["folder"] == "out/plank"
        assert told["files"] == ["report.json", "stock.csv"]
        assert set(told["counts"]) == {"pass", "warn", "fail"}
        write_plank(file, "1 / 0")
        assert "ZeroDivisionError" in json.loads(one.line())["error"]


@pytest.mark.slow
def test_make_watch_follows_the_stock_file(tmp_path):
    write_plank(tmp_path / "plank.py")
    stock, lists = tmp_path / "stock.toml", tmp_path / "out" / "plank" / "cutlist.csv"
    stock.write_text("[allowances.panel]\nlength = 10\n", encoding="utf-8")
    words = ["make", "plank.py", "--stock", "stock.toml", "--formats", "cutlist", "--watch", "--json"]
    with started(words, tmp_path) as one:
        json.loads(one.line())
        assert b"610.0" in lists.read_bytes()
        stock.write_text("[allowances.panel]\nlength = 33\n", encoding="utf-8")
        json.loads(one.line())
        assert b"633.0" in lists.read_bytes()
