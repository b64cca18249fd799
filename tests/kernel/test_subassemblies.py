"""Equal sub-assemblies are one product placed several times, and every copy keeps its name and place."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import cadquery as cq
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from kernel_pieces import board, part

from furnigen.cli.main import main
from furnigen.core.pose import Pose
from furnigen.kernel.solids import solids
from furnigen.kernel.step import step_bytes
from furnigen.kernel.step_reader import read_step
from furnigen.kernel.subassemblies import tree_of
from furnigen.piece.description import Piece, Placement
from furnigen.recipes.discovery import find_recipe


def frames(poses: list[Pose], labels: str = "frame.{n}.{local}") -> Piece:
    """Frames of two posts and a rail, one at each pose."""
    parts = (part(board(400.0), "post"), part(board(200.0), "rail"))
    members = (
        ("left", 0, Pose()),
        ("right", 0, Pose.at(300, 0, 0)),
        ("rail", 1, Pose.turned("z", 90.0, (250, 0, 0))),
    )
    placements = [
        Placement(labels.format(n=n, k=3 * n + k, local=local), index, pose @ inner, (f"frame.{n}",))
        for n, pose in enumerate(poses, 1)
        for k, (local, index, inner) in enumerate(members)
    ]
    return Piece("rack", "Tall rack", parts, tuple(placements))


def step_of(piece: Piece, folder: Path) -> Path:
    path = folder / "model.step"
    path.write_bytes(step_bytes(piece, solids(piece)))
    return path


def products(path: Path) -> list[str]:
    return re.findall(r"= PRODUCT\('[^']*','([^']*)'", path.read_text())


def comes_back(piece: Piece, path: Path) -> None:
    """Our reader finds each placement under its label, in its path, where it stands."""
    found = {copy.label: copy for copy in read_step(path).copies}
    assert list(found) == [p.label for p in piece.placements]
    for placement in piece.placements:
        copy = found[placement.label]
        assert copy.path == placement.path
        np.testing.assert_allclose(copy.matrix, placement.pose.matrix(), atol=1e-7)


def test_four_equal_frames_are_one_product_placed_four_times(tmp_path: Path) -> None:
    piece = frames([Pose.at(600.0 * n, 0, 0) for n in range(4)])
    path = step_of(piece, tmp_path)
    assert products(path) == ["Tall rack", "frame", "post", "rail"]
    occurrences = re.findall(r"OCCURRENCE\('\d+','([^']*)'", path.read_text())
    assert occurrences == ["frame.1", "left", "right", "rail", "frame.2", "frame.3", "frame.4"]
    comes_back(piece, path)


def test_another_reader_sees_every_copy_in_its_place(tmp_path: Path) -> None:
    """CadQuery's importer of shapes: three solids in each of four frames, by their centres."""
    piece = frames([Pose.turned("z", 30.0 * n, (600.0 * n, 50.0 * n, 0)) for n in range(4)])
    placed = cq.importers.importStep(str(step_of(piece, tmp_path))).solids().vals()
    assert len(placed) == len(piece.placements)
    seen = sorted(tuple(round(v, 4) for v in s.Center().toTuple()) for s in placed)
    expected = []
    for placement in piece.placements:
        x, y, z = piece.part_of(placement).form.blank_mm
        expected.append(tuple(round(v, 4) for v in placement.pose.apply((x / 2, y / 2, z / 2))))
    assert seen == [pytest.approx(e, abs=2e-4) for e in sorted(expected)]


turns = st.builds(
    Pose.turned,
    st.sampled_from("xyz"), st.integers(0, 359), st.tuples(*[st.floats(-5000, 5000)] * 3),
)  # fmt: skip


@given(first=turns, second=turns)
@settings(max_examples=60, deadline=None)
def test_equal_frames_are_shared_however_they_are_turned(first: Pose, second: Pose) -> None:
    root = tree_of(frames([first, second @ first]))
    one, two = root.components
    assert one.inner is two.inner
    assert one.inner is not None
    assert one.inner.title == "frame"
    for a, b in zip(one.inner.components, frames([second @ first]).placements, strict=True):
        np.testing.assert_allclose((two.pose @ a.pose).matrix(), b.pose.matrix(), atol=1e-7)


def shared(piece: Piece) -> bool:
    one, two = tree_of(piece).components
    return one.inner is two.inner


def test_what_differs_is_not_shared() -> None:
    two = [Pose(), Pose.at(600, 0, 0)]
    assert shared(frames(two))
    whole = frames(two)
    *others, last = whole.placements
    for changed in (
        Placement(last.label, 0, last.pose, last.path),  # another part
        Placement(last.label, 1, last.pose.shifted((0, 0, 0.001)), last.path),  # a micrometre aside
        Placement("frame.2.bar", 1, last.pose, last.path),  # another name
    ):
        assert not shared(Piece("rack", "Rack", whole.parts, (*others, changed)))
    # labels that do not begin with the frame's name could not be told from each other
    assert not shared(frames(two, labels="{local}.{n}"))
    assert not shared(frames(two, labels="post.{k}"))


def test_names_that_do_not_fit_are_kept(tmp_path: Path) -> None:
    piece = frames([Pose(), Pose.at(600, 0, 0)], labels="post.{k}")
    comes_back(piece, step_of(piece, tmp_path))


def test_frames_within_shared_bays_are_shared(tmp_path: Path) -> None:
    """Two bays of two frames: one product for the bays, one for the frames."""
    post = part(board(400.0), "post")
    placements = [
        Placement(
            f"bay.{i}.frame.{k}.post.{n}", 0, Pose.at(900.0 * i, 300.0 * k, 25.0 * n),
            (f"bay.{i}", f"bay.{i}.frame.{k}"),
        )
        for i in (1, 2) for k in (1, 2) for n in (1, 2)
    ]  # fmt: skip
    piece = Piece("rack", "Rack", (post,), tuple(placements))
    path = step_of(piece, tmp_path)
    assert products(path) == ["Rack", "bay", "frame", "post"]
    comes_back(piece, path)


def test_check_of_the_file_finds_every_placement_by_name(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    piece = find_recipe("ring_rack")(frames=4)
    path = step_of(piece, tmp_path)
    main(["check", str(path), "--json"])
    report: dict[str, Any] = json.loads(capsys.readouterr().out)
    rows = {row["label"]: row for row in report["placements"]}
    assert sorted(rows) == sorted(p.label for p in piece.placements)
    for placement in piece.placements:
        box, row = piece.bounds_of(placement), rows[placement.label]
        assert row["path"] == list(placement.path)
        assert row["part"] == piece.part_of(placement).name
        assert row["bounds_mm"]["min"] == pytest.approx(box.lo, abs=1e-4)
        assert row["bounds_mm"]["max"] == pytest.approx(box.hi, abs=1e-4)
