"""What furnigen did not write, or a person changed since, is never deleted, moved or overwritten."""

from __future__ import annotations

import errno
import json
import stat
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from furnigen.core.errors import OutputError
from furnigen.core.file_names import file_names, same_name
from furnigen.pipeline.result_folder import check_writable, write_folder
from furnigen.pipeline.results import carry_over as carrying

REPORT = {"report.json": b'{"furnigen": "x", "files": ["cutlist.csv"]}'}


def result(letter: str, *names: str) -> dict[str, bytes]:
    return {name: f"{letter} {name}".encode() for name in names} | REPORT


def seen(folder: Path) -> dict[str, str]:
    """Every file but the hidden manifest, and what it holds."""
    return {
        str(p.relative_to(folder)): p.read_text()
        for p in sorted(folder.rglob("*"))
        if p.is_file() and p.name != ".furnigen.json"
    }


@pytest.fixture(params=["links", "copies"])
def folder(request, tmp_path, monkeypatch) -> Path:
    """A result of one cut list, on a file system that has links, and on one that has not."""
    if request.param == "copies":

        def no_links(*_: object, **__: object) -> None:
            raise OSError(errno.EPERM, "Operation not permitted")

        monkeypatch.setattr(carrying.os, "link", no_links)
    place = tmp_path / "result"
    write_folder(place, result("A", "cutlist.csv", "parts/a.stl", "parts/b.stl"))
    return place


def test_files_of_formats_left_out_stay_and_are_told(folder):
    written = write_folder(folder, result("B", "model.stl"))
    assert written.earlier == ("cutlist.csv", "parts/a.stl", "parts/b.stl")
    assert seen(folder)["cutlist.csv"] == "A cutlist.csv"
    manifest = json.loads((folder / ".furnigen.json").read_text())
    assert sorted(manifest["earlier"]) == list(written.earlier)
    assert sorted(manifest["files"]) == ["model.stl", "report.json"]
    assert write_folder(folder, result("C", "cutlist.csv")).earlier == (
        "model.stl",
        "parts/a.stl",
        "parts/b.stl",
    )


def test_a_series_is_never_mixed(folder):
    (folder / "parts" / "notes.txt").write_text("mine")
    write_folder(folder, result("B", "parts/a.stl", "parts/c.stl"))
    assert sorted(p.name for p in (folder / "parts").iterdir()) == ["a.stl", "c.stl", "notes.txt"]


def test_a_changed_file_is_kept_beside_and_the_next_numbered(folder):
    for n, name in enumerate(["cutlist.edited.csv", "cutlist.edited-2.csv", "cutlist.edited-3.csv"]):
        (folder / "cutlist.csv").write_text(f"mine {n}")
        (folder / "parts" / "a.stl").write_text(f"filed {n}")
        written = write_folder(folder, result("B", "cutlist.csv", "parts/a.stl"))
        assert written.kept == (
            ("cutlist.csv", name),
            ("parts/a.stl", f"parts/{name.replace('cutlist', 'a').replace('csv', 'stl')}"),
        )
        assert seen(folder)["cutlist.csv"] == "B cutlist.csv"
        assert seen(folder)[name] == f"mine {n}"
    assert seen(folder)["parts/a.edited-2.stl"] == "filed 1"


def test_a_changed_file_of_a_format_left_out_stays_where_it_is(folder):
    (folder / "cutlist.csv").write_text("mine")
    assert write_folder(folder, result("B", "model.stl")).kept == ()
    assert seen(folder)["cutlist.csv"] == "mine"
    # and is known as changed later still
    assert write_folder(folder, result("C", "cutlist.csv")).kept == (("cutlist.csv", "cutlist.edited.csv"),)


def test_a_changed_file_of_a_series_stays(folder):
    (folder / "parts" / "b.stl").write_text("mine")
    write_folder(folder, result("B", "parts/a.stl"))
    assert seen(folder)["parts/b.stl"] == "mine"


def test_what_stands_where_a_run_would_write_is_refused(folder):
    (folder / "model.stl").write_text("mine")
    (folder / "hardware.csv").mkdir()
    before = seen(folder)
    for name in ("model.stl", "hardware.csv", "model.stl/a.stl"):
        with pytest.raises(OutputError, match="is not furnigen's"):
            write_folder(folder, result("B", name))
        with pytest.raises(OutputError, match="is not furnigen's"):
            check_writable(folder, [name])
    assert seen(folder) == before
    assert (folder / "hardware.csv").is_dir()


def test_links_folders_and_hidden_files_of_a_person_stay(folder):
    (folder / ".hidden").write_text("mine")
    (folder / "deep" / "er").mkdir(parents=True)
    (folder / "deep" / "er" / "x").write_text("mine")
    (folder / "deep").chmod(0o750)
    (folder / "to").symlink_to("nowhere")
    inside = {p.relative_to(folder) for p in folder.rglob("*")}
    write_folder(folder, result("B", "cutlist.csv", "parts/a.stl", "parts/b.stl"))
    assert {p.relative_to(folder) for p in folder.rglob("*")} == inside
    assert (folder / "to").readlink() == Path("nowhere")
    assert stat.S_IMODE((folder / "deep").stat().st_mode) == 0o750


def test_modes_of_folders_are_kept(folder):
    folder.chmod(0o2770)
    (folder / "parts").chmod(0o700)
    write_folder(folder, result("B", "cutlist.csv", "parts/a.stl"))
    assert stat.S_IMODE(folder.stat().st_mode) == 0o2770
    assert stat.S_IMODE((folder / "parts").stat().st_mode) == 0o700


def test_a_folder_whose_manifest_is_gone_keeps_what_differs(folder):
    (folder / ".furnigen.json").unlink()
    assert write_folder(folder, result("A", "cutlist.csv")).kept == ()
    (folder / ".furnigen.json").write_text("[" * 5000)
    assert write_folder(folder, result("B", "cutlist.csv")).kept == (("cutlist.csv", "cutlist.edited.csv"),)
    assert seen(folder)["cutlist.edited.csv"] == "A cutlist.csv"


def test_the_same_input_gives_the_same_bytes(folder, tmp_path):
    write_folder(folder, result("A", "cutlist.csv", "parts/a.stl", "parts/b.stl"))
    write_folder(tmp_path / "other", result("A", "cutlist.csv", "parts/a.stl", "parts/b.stl"))
    for p in folder.rglob("*"):
        if p.is_file():
            assert p.read_bytes() == (tmp_path / "other" / p.relative_to(folder)).read_bytes()


def test_a_file_added_while_a_result_is_put_in_place_stays(folder, monkeypatch):
    from furnigen.pipeline.results import swap

    def add(step: str) -> None:
        if step == "the exchange":
            (folder / "late.txt").write_text("mine")
            (folder / "cutlist.csv").write_text("late")

    monkeypatch.setattr(swap, "watch", add)
    written = write_folder(folder, result("B", "cutlist.csv"))
    assert seen(folder)["late.txt"] == "mine"
    assert seen(folder)["cutlist.csv"] == "B cutlist.csv"
    assert dict(written.kept) == {"cutlist.csv": "cutlist.edited.csv"}
    assert seen(folder)["cutlist.edited.csv"] == "late"


NAMES = st.lists(st.text(st.sampled_from("aAé́b/+- .-ßs2") | st.characters(codec="utf-8"), max_size=9))


@given(NAMES)
def test_names_never_give_one_file_for_two(names):
    found = file_names(names)
    assert list(found) == list(dict.fromkeys(names))
    assert len({same_name(n) for n in found.values()}) == len(found)
    assert not any("/" in n or "\0" in n or len(n.encode()) > 200 for n in found.values())


def test_parts_whose_names_meet_both_have_a_file():
    found = file_names(["top left", "top-left", "Top-Left", "top/left"])
    assert found == {
        "top left": "top-left-3",
        "top-left": "top-left",
        "Top-Left": "Top-Left-2",
        "top/left": "top+left",
    }


def test_a_mockup_and_a_make_write_a_file_for_each_part():
    from furnigen import Draft, find_stock
    from furnigen.mockup import make as mockup
    from furnigen.mockup.printer import Printer, read_bed
    from furnigen.mockup.scale import read_scale
    from furnigen.pipeline.built import Built

    board = find_stock("birch-ply-18-2440")
    t, draft = board.thickness_mm, Draft("stack")
    for n, name in enumerate(("low shelf", "low-shelf", "Low-Shelf")):
        at = (0, 0, n * t)
        draft.board(name, board, at, (300 + 20 * n, 200, (n + 1) * t), role=name)
    piece = draft.done()
    assert len({p.name for p in piece.parts}) == 3
    files = Built(piece).make(("part-stl",)).files
    assert len({same_name(f) for f in files if f.startswith("parts/")}) == 3
    options = mockup.MockupOptions(
        read_scale("1:5"), Printer(read_bed("220x220x250"), 0.4, 0.2), ("kit",), ("part-stl",)
    )
    files = mockup.make_mockup(piece, options).files
    assert len({same_name(f) for f in files if f.startswith("kit/parts/")}) == 3
