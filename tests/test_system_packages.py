"""What the README's commands do about the system's packages, with stand-ins for the system's own programs."""

from __future__ import annotations

import os
import pty
import re
import shutil
import subprocess
from pathlib import Path

import pytest

TREE = Path(__file__).parents[1]
SCRIPT = TREE / ".setup" / "system-packages"
LINES = [
    line.split(None, 3)
    for line in (TREE / ".setup" / "packages").read_text(encoding="utf-8").splitlines()
    if line.strip() and not line.startswith("#")
]
MAIN = [package for chosen, package, _, _ in LINES if chosen == "main"]
ALL = [package for _, package, _, _ in LINES]
PYTHON = ["python3", "python3-venv"]  # there, not as packages: see System


class System:
    """A system of its own: nothing on the PATH but what is put there; `asked` is what apt-get was asked."""

    def __init__(self, folder: Path) -> None:
        self.bin = folder / "bin"
        self.bin.mkdir()
        self.log = folder / "asked"
        for name in ("sh", "env", "cat", "true"):
            found = shutil.which(name)
            assert found
            (self.bin / name).symlink_to(found)
        self.has("id", "echo 0")
        self.has("uname", "echo Linux")
        self.has("ldconfig")
        self.has("python3")  # with every module that may be asked for

    def has(self, name: str, does: str = "exit 0") -> None:
        path = self.bin / name
        path.unlink(missing_ok=True)
        path.write_text(f"#!/bin/sh\n{does}\n", encoding="utf-8")
        path.chmod(0o755)

    def debian(self, *installed: str, architecture: str = "amd64") -> System:
        """With apt-get and dpkg, and these packages installed."""
        status = "".join(f"installed/{package}/{architecture} " for package in installed)
        # a package that dpkg has met and that is not there now
        self.has("dpkg-query", f"echo 'config-files/admesh/amd64 {status}'; exit 1")
        self.has("dpkg", "echo amd64")
        self.has("apt-get", f'echo "$DEBIAN_FRONTEND apt-get $*" >> {self.log}')
        return self

    def person(self, sudo: str | None = None) -> System:
        """Used by somebody who is not root; `sudo` is what it does."""
        self.has("id", "echo 1000")
        if sudo is not None:
            self.has("sudo", f'echo "sudo $*" >> {self.log}\n{sudo}')
        return self

    def run(self, *words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            ["/bin/sh", str(SCRIPT), *words],
            env={"PATH": str(self.bin)},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )

    @property
    def asked(self) -> list[str]:
        return self.log.read_text(encoding="utf-8").splitlines() if self.log.exists() else []

    @property
    def installed(self) -> list[str]:
        """The packages that apt-get was asked for."""
        asked = [
            line.split("--no-install-recommends ")[1].split()
            for line in self.asked
            if " install " in line and not line.startswith("sudo")
        ]
        assert len(asked) <= 1
        return asked[0] if asked else []


@pytest.fixture
def system(tmp_path: Path) -> System:
    return System(tmp_path)


def lacking(packages: list[str]) -> list[str]:
    return [package for package in packages if package not in PYTHON]


def test_every_package_has_its_set_its_proof_and_its_reason() -> None:
    proof = re.compile(r"(lib|command|python|file):[^,\s]+")
    for chosen, package, there, why in LINES:
        assert chosen in ("main", "tests")
        assert re.fullmatch(r"[a-z0-9][a-z0-9+.-]+", package)
        assert all(proof.fullmatch(shown) for shown in there.split(",")), there
        assert len(why) > 3
    assert len(set(ALL)) == len(ALL)


@pytest.mark.parametrize(("mark", "words"), [("main job", ""), ("tests", " tests")])
def test_the_commands_of_the_readme_begin_with_it(mark: str, words: str) -> None:
    text = (TREE / "README.md").read_text(encoding="utf-8")
    block = re.search(rf"^<!-- {mark} -->\n```sh\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    assert block
    lines = block[1].splitlines()
    assert len(lines) == 1
    assert lines[0].startswith(f"sh .setup/system-packages{words} && ")


def test_ci_has_no_list_of_its_own() -> None:
    text = (TREE / ".ci" / "run").read_text(encoding="utf-8")
    assert "<!-- tests -->" in text
    assert "apt-get" not in text


@pytest.mark.parametrize(("words", "packages"), [((), MAIN), (("main",), MAIN), (("tests",), ALL)])
def test_root_on_a_bare_debian_gets_the_set(
    system: System, words: tuple[str, ...], packages: list[str]
) -> None:
    done = system.debian().run(*words)
    assert done.returncode == 0
    assert system.installed == lacking(packages)
    update, install = system.asked
    assert re.fullmatch(r"noninteractive apt-get .*-y.* update", update)
    assert "noninteractive apt-get" in install
    assert done.stdout == ""
    assert done.stderr == f"furnigen: installing system packages: {' '.join(lacking(packages))}\n"


def test_without_python_it_is_installed_too(system: System) -> None:
    (system.bin / "python3").unlink()
    system.debian().run()
    assert system.installed == MAIN


def test_where_all_is_there_nothing_is_asked_or_said(system: System) -> None:
    done = system.debian(*ALL).person(sudo="exit 1").run("tests")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert system.asked == []


def test_only_what_is_lacking_is_installed(system: System) -> None:
    system.debian(*(package for package in ALL if package not in ("libegl1", "admesh"))).run("tests")
    assert system.installed == ["libegl1", "admesh"]


def test_node_from_elsewhere_counts(system: System) -> None:
    system.has("node")
    system.debian(*MAIN).run("tests")
    assert "nodejs" not in system.installed
    assert "npm" in system.installed


def test_a_library_of_another_architecture_does_not_count(system: System) -> None:
    system.debian(*MAIN, architecture="i386").run()
    assert system.installed == lacking(MAIN)


def test_sudo_without_a_password_is_used_without_a_word(system: System) -> None:
    done = system.debian().person(sudo='shift; exec "$@"').run()
    assert done.returncode == 0
    assert system.installed == lacking(MAIN)
    assert all(line.startswith("sudo -n ") for line in system.asked if line.startswith("sudo"))


NEEDS_PASSWORD = 'case "$1" in -n) exit 1;; -v) echo "[sudo] password"; exit {answer};; esac; exec "$@"'


def named(done: subprocess.CompletedProcess[str], packages: list[str], reason: str) -> None:
    """It went on, and said why and what is lacking, each with what needs it."""
    assert done.returncode == 0
    assert done.stderr.count(reason) == 1
    for chosen, package, _, why in LINES:
        line = re.compile(rf"^  {re.escape(package)} +{re.escape(why)}$", re.MULTILINE)
        assert len(line.findall(done.stderr)) == (package in packages), (chosen, package)


def test_a_password_is_asked_for_in_a_terminal_after_saying_what_for(system: System) -> None:
    system.debian().person(sudo=NEEDS_PASSWORD.format(answer=0))
    code, said = in_a_terminal(system)
    assert code == 0
    assert system.installed == lacking(MAIN)
    assert re.search(r"libgl1.*sudo may ask for your password.*\[sudo\] password", said, re.DOTALL)


def test_a_password_refused_is_said_and_the_job_goes_on(system: System) -> None:
    system.debian().person(sudo=NEEDS_PASSWORD.format(answer=1))
    code, said = in_a_terminal(system)
    assert code == 0
    assert "sudo refused" in said
    assert system.installed == []


def in_a_terminal(system: System) -> tuple[int, str]:
    """Exit status and all that is said, with a terminal on every stream."""
    ours, theirs = pty.openpty()
    try:
        done = subprocess.run(
            ["/bin/sh", str(SCRIPT)],
            env={"PATH": str(system.bin)},
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            timeout=60,
            check=False,
        )
        return done.returncode, os.read(ours, 65536).decode()
    finally:
        os.close(ours)
        os.close(theirs)


def test_a_password_is_not_asked_for_without_a_terminal(system: System) -> None:
    done = system.debian().person(sudo=NEEDS_PASSWORD.format(answer=0)).run()
    named(done, lacking(MAIN), "sudo wants a password, and there is no terminal to ask for it")
    assert system.installed == []
    assert not any("-v" in line for line in system.asked)


def test_no_root_and_no_sudo(system: System) -> None:
    done = system.debian().person().run("tests")
    named(done, lacking(ALL), "you are not root, and there is no sudo")
    assert f"apt-get install {' '.join(lacking(ALL))}" in done.stderr
    assert system.asked == []


def test_another_system_is_told_what_it_lacks(system: System) -> None:
    libraries = "".join(f"\t{name} (libc6,x86-64) => /lib/{name}\n" for name in ("libGL.so.1", "libX11.so.6"))
    system.has("ldconfig", f"cat <<'END'\n2 libs found in cache\n{libraries}END")
    system.has("admesh")
    done = system.run("tests")
    there = {"libgl1", "libx11-6", "admesh"}
    if any(Path("/usr/lib").glob("*/dri/*_dri.so")) or any(Path("/usr/lib").glob("*/libgallium-*.so")):
        there.add("libgl1-mesa-dri")
    named(done, [p for p in lacking(ALL) if p not in there], "this system has no apt-get")


def test_a_system_that_is_no_linux_needs_commands_only(system: System) -> None:
    system.has("uname", "echo Darwin")
    assert system.run().stderr == ""
    named(
        system.run("tests"),
        ["admesh", "slic3r", "groff-base", "nodejs", "npm", "chromium"],
        "this system has no apt-get",
    )


def test_old_lists_of_packages_will_do_where_they_can_not_be_renewed(system: System) -> None:
    system.debian().has(
        "apt-get", f'echo "$*" >> {system.log}; case "$*" in *update) echo no net; exit 100;; esac'
    )
    done = system.run()
    assert done.returncode == 0
    assert system.installed == lacking(MAIN)
    assert "no net" not in done.stderr


def test_what_apt_get_says_is_told_when_it_fails(system: System) -> None:
    system.debian().has("apt-get", 'echo "E: no $# such luck" >&2; exit 100')
    done = system.run()
    named(done, lacking(MAIN), "apt-get failed")
    assert "such luck" in done.stderr


def test_a_package_that_a_release_has_not_keeps_no_other_away(system: System) -> None:
    none = 'case " $* " in *" slic3r "*) echo "E: no candidate" >&2; exit 100;; esac'
    system.debian().has("apt-get", f'echo "$*" >> {system.log}\n{none}')
    done = system.run("tests")
    named(done, ["slic3r"], "this release has no such packages")
    last = system.asked[-1]
    assert "--simulate" not in last
    assert last.split("--no-install-recommends ")[1].split() == [p for p in lacking(ALL) if p != "slic3r"]


def test_an_unknown_set_is_refused(system: System) -> None:
    done = system.debian().run("everything")
    assert done.returncode == 2
    assert done.stderr == "system-packages: unknown set 'everything': say main or tests\n"
    assert system.asked == []
