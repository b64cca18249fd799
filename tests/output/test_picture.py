"""The picture: what must be in it, that it is repeatable, and what happens where it cannot be drawn.

Where a corner of the piece falls in the picture is reckoned here once more, by plain perspective.
"""

from __future__ import annotations

import os
import struct
import subprocess
import sys
import zlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hand_built import BIRCH, at, box, part, small_case
from numpy.typing import NDArray

from furnigen.cli.main import main
from furnigen.core.errors import GeometryError, InputError, OutputError
from furnigen.mesh.model import MeshInstance, MeshModel
from furnigen.picture.camera import Camera, View
from furnigen.picture.picture import LARGEST, PictureError, picture_png, render_many
from furnigen.piece.description import Wall

SMALL = View(320, 240)


def pixels_of(png: bytes) -> NDArray[np.int64]:
    """(height, width, 3) bytes of a PNG of 8-bit RGB, decoded by the W3C's PNG specification."""
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    at, packed, header = 8, b"", (0, 0)
    kinds = []
    while at < len(png):
        length, kind = struct.unpack(">I4s", png[at : at + 8])
        body = png[at + 8 : at + 8 + length]
        assert struct.unpack(">I", png[at + 8 + length : at + 12 + length])[0] == zlib.crc32(kind + body)
        kinds.append(kind)
        if kind == b"IHDR":
            width, height, depth, colour = struct.unpack(">IIBB", body[:10])
            assert (depth, colour) == (8, 2)
            header = (height, width)
        packed += body if kind == b"IDAT" else b""
        at += 12 + length
    assert b"tIME" not in kinds
    height, width = header
    rows = np.frombuffer(zlib.decompress(packed), np.uint8).reshape(height, 1 + 3 * width)
    out = np.zeros((height, 3 * width), np.int64)
    above = np.zeros(3 * width, np.int64)
    for y in range(height):
        out[y] = above = _unfiltered(int(rows[y, 0]), rows[y, 1:].astype(np.int64), above)
    return out.reshape(height, width, 3)


def _unfiltered(kind: int, row: NDArray[np.int64], above: NDArray[np.int64]) -> NDArray[np.int64]:
    if kind == 0:
        return row
    if kind == 2:
        return (row + above) % 256
    done = np.zeros_like(row)
    for i in range(len(row)):
        left, up, corner = (done[i - 3], above[i], above[i - 3]) if i > 2 else (0, above[i], 0)
        guess = left + up - corner
        nearest = min(
            (abs(guess - left), 0, left), (abs(guess - up), 1, up), (abs(guess - corner), 2, corner)
        )[2]
        done[i] = (row[i] + {1: left, 3: (left + up) // 2, 4: nearest}[kind]) % 256
    return done


@pytest.fixture(scope="module")
def drawn() -> bytes:
    return picture_png(small_case(), width=SMALL.width, height=SMALL.height)


def is_paper(pixels: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Pale and without colour, as the floor in and out of the shadow is, and no board."""
    return (pixels.max(axis=2) - pixels.min(axis=2) < 16) & (pixels.min(axis=2) > 60)


def test_the_piece_fills_its_frame_on_pale_paper(drawn: bytes) -> None:
    pixels = pixels_of(drawn)
    assert pixels.shape == (240, 320, 3)
    for corner in (pixels[0, 0], pixels[0, -1], pixels[-1, -1]):
        assert corner.min() > 225
        assert corner.max() - corner.min() < 12
    rows, columns = np.nonzero(~is_paper(pixels))
    # a margin of 6 % on the tighter sides, here above and below (a line may add a pixel)
    assert rows.min() == pytest.approx(0.06 * 240, abs=2)
    assert rows.max() == pytest.approx(0.94 * 240, abs=2)
    assert (columns.min() + columns.max()) / 2 == pytest.approx(160, abs=3)
    assert 0.25 < np.mean(~is_paper(pixels)) < 0.75


def test_the_parts_show_their_materials(drawn: bytes) -> None:
    pixels = pixels_of(drawn).astype(float)
    # birch is redder than green and greener than blue, in light and in shade
    birch = pixels[120, 100]
    assert birch[0] > birch[1] > birch[2] + 20
    # light and shade: many tones, none burnt out, some deep
    tones = pixels[~is_paper(pixels.astype(np.int64))].mean(axis=1)
    assert np.percentile(tones, 2) < 90
    assert np.percentile(tones, 98) > 190
    assert np.mean(tones >= 254) < 0.01


def block(x: float, y: float, z: float, up: float = 0.0, walls: tuple[Wall, ...] = ()) -> MeshModel:
    """One birch block, its lower left front corner at the origin or `up` over it."""
    name = MeshInstance("b.1", 0, at(0.0, 0.0, up))
    return MeshModel("b", (part("b", box(x, y, z), BIRCH),), (name,), walls)


def test_the_piece_casts_a_shadow_on_the_floor() -> None:
    """Paper beside the foot is darker on the side away from the lamp than on the lamp's, at the right."""
    pixels = pixels_of(picture_png(block(300.0, 300.0, 300.0), width=360, height=240, azimuth_deg=0.0))
    left, right = pixels[185, 50].mean(), pixels[185, -50].mean()
    assert left < right - 6


@pytest.mark.parametrize("azimuth_deg", [0.0, 30.0, -60.0])
@pytest.mark.slow
def test_the_frame_cuts_no_shadow(azimuth_deg: float) -> None:
    """All round the frame the paper is as pale as in its corners, also beside a wide piece."""
    for model in (block(1500.0, 300.0, 300.0), small_case(), block(300.0, 300.0, 1500.0)):
        pixels = pixels_of(picture_png(model, width=320, height=240, azimuth_deg=azimuth_deg))
        rim = np.concatenate([pixels[0], pixels[-1], pixels[:, 0], pixels[:, -1]])
        assert (rim.max(axis=0) - rim.min(axis=0)).max() <= 2


def test_the_shadow_is_soft_and_without_streaks() -> None:
    """From one pixel of the floor to the next its light changes little, and it changes its course seldom."""
    pixels = pixels_of(picture_png(block(300.0, 300.0, 600.0), width=400, height=300))
    # lines and what they touch are no floor
    floor = _blurred(is_paper(pixels).astype(np.float64), 9) > 1 - 1e-9
    tones = pixels.mean(axis=2)
    steps = np.abs(np.diff(tones, axis=1))
    beside = floor[:, 1:] & floor[:, :-1]
    assert tones[floor].min() < 200  # there is a shadow
    assert steps[beside].max() <= 8
    row = tones[225][: int(np.flatnonzero(~is_paper(pixels)[225])[0]) - 4]
    turns = np.diff(np.sign(np.round(np.diff(np.convolve(row, np.ones(7) / 7, "valid")), 1)))
    assert np.count_nonzero(turns == 2) + np.count_nonzero(turns == -2) <= 2


def test_a_plain_board_is_plain() -> None:
    """No blotches: an open face is of one tone but for its lines, and close to its material's colour."""
    pixels = pixels_of(picture_png(block(600.0, 300.0, 400.0), width=400, height=300, azimuth_deg=0.0))
    face = pixels[130:230, 80:320]
    assert face.std(axis=(0, 1)).max() < 2.0
    # sRGB of the linear colour by IEC 61966-2-1
    true = 255 * (1.055 * np.array(BIRCH[1]) ** (1 / 2.4) - 0.055)
    assert np.abs(face.mean(axis=(0, 1)) - true).max() < 0.08 * 255


def test_the_back_of_an_open_box_is_smooth() -> None:
    """Inner sides darken towards corners evenly: neighbours differ by little once the grain is averaged."""
    back, side, shelf = (part(n, box(*s), BIRCH) for n, s in (
        ("back", (600.0, 6.0, 400.0)), ("side", (18.0, 300.0, 400.0)), ("shelf", (600.0, 300.0, 18.0)),
    ))  # fmt: skip
    placed = [
        (0, 0.0, 300.0, 0.0),
        (1, -18.0, 0.0, 0.0),
        (1, 600.0, 0.0, 0.0),
        (2, 0.0, 0.0, 400.0),
        (2, 0.0, 0.0, -18.0),
    ]
    copies = tuple(MeshInstance(f"p.{k}", p, at(*xyz)) for k, (p, *xyz) in enumerate(placed))
    model = MeshModel("box", (back, side, shelf), copies)
    tones = pixels_of(picture_png(model, width=1200, height=900, azimuth_deg=0.0)).mean(axis=2)
    face = tones[300:620, 250:950]
    assert face[160, 350] > face[160, 5] + 3  # the corner is darker than the middle
    grain = face - _blurred(face, 9)
    assert grain[9:-9, 9:-9].std() < 2.5
    coarse = _blurred(face, 25)[25:-25:25, 25:-25:25]
    assert np.abs(np.diff(coarse, 2, axis=1)).max() < 6.0


def _blurred(values: NDArray[np.float64], cells: int) -> NDArray[np.float64]:
    window = np.ones(cells) / cells
    rows = np.apply_along_axis(np.convolve, 1, values, window, "same")
    blurred: NDArray[np.float64] = np.apply_along_axis(np.convolve, 0, rows, window, "same")
    return blurred


def test_edges_between_boards_of_one_tone_are_drawn() -> None:
    """Two boards of one material flush with each other: a dark, thin line between, and round them."""
    one = part("b", box(300.0, 300.0, 300.0), BIRCH)
    model = MeshModel("two", (one,), tuple(MeshInstance(f"b.{i}", 0, at(300.0 * i)) for i in range(2)))
    tones = pixels_of(picture_png(model, width=1200, height=900, azimuth_deg=0.0)).mean(axis=2)
    row = tones[450]
    inside = np.flatnonzero(row < 225)
    middle = (inside[0] + inside[-1]) // 2
    for place in (middle, int(inside[0]) + 1, int(inside[-1]) - 1):
        near = row[place - 4 : place + 5]
        dark = near < 0.8 * np.median(row[middle + 20 : middle + 120])
        assert 1 <= np.count_nonzero(dark) <= 3


WALL = Wall("wall", (0.0, 200.0, 0.0), (0.0, -1.0, 0.0))


def test_a_hung_piece_has_a_wall_and_the_floor_stays_where_it_is() -> None:
    """Hung a metre up it casts its shadow on the wall, left of it and below; without a wall it stands."""
    hung = block(600.0, 200.0, 400.0, up=1000.0, walls=(WALL,))
    with_wall, without = (
        pixels_of(p) for p in render_many([hung, replace(hung, walls=())], View(400, 300, 20.0))
    )
    # the wall just above the top and beside it at mid height: shaded only where there is a wall
    rows, _ = np.nonzero(~is_paper(without))
    above = int(rows.min()) - 4
    assert with_wall[above, 200].mean() < with_wall[0, -1].mean() - 6
    assert without[above, 200].mean() > without[0, -1].mean() - 1
    assert with_wall[-1].std() < 2  # no line of a floor a metre below


def test_a_low_piece_on_a_wall_shows_where_the_floor_begins() -> None:
    leaning = block(600.0, 200.0, 400.0, walls=(WALL,))
    pixels = pixels_of(picture_png(leaning, width=400, height=300))
    assert np.abs(pixels[-1, -1] - pixels[0, -1]).max() > 1


def test_a_wall_at_the_side_does_not_hide_the_piece() -> None:
    """A wall at the left stands between piece and the usual camera: it is looked at from the right."""
    left = Wall("left", (0.0, 0.0, 0.0), (1.0, 0.0, 0.0))
    pixels = pixels_of(picture_png(block(300.0, 300.0, 600.0, walls=(left,)), width=320, height=240))
    assert 0.1 < np.mean(~is_paper(pixels)) < 0.6


def test_every_part_is_where_perspective_puts_it() -> None:
    """One red block among birch: its pixels surround the point where its centre must fall."""
    red = ("paint", (0.6, 0.02, 0.02))
    birch, paint = part("a", box(100.0, 100.0, 100.0), BIRCH), part("r", box(100.0, 100.0, 100.0), red)
    model = MeshModel(
        "row",
        (birch, paint),
        tuple(MeshInstance(f"b{i}", int(i == 3), at(200.0 * i, 0.0, 150.0 * i)) for i in range(4)),
    )
    view = View(240, 240, azimuth_deg=-25.0, elevation_deg=20.0)
    (png,) = render_many([model], view)
    pixels = pixels_of(png)
    rows, columns = np.nonzero(pixels[..., 0] > 2 * pixels[..., 1])
    corners = np.concatenate([model.world_vertices(i) for i in model.instances])
    # by hand: camera right of the front for a negative azimuth, level, framed on all corners
    a, e = np.radians(view.azimuth_deg), np.radians(view.elevation_deg)
    ahead, right = np.array([np.sin(a), np.cos(a), 0]), np.array([np.cos(a), -np.sin(a), 0])
    eye = Camera(corners, view).eye
    back = (corners.min(axis=0) + corners.max(axis=0)) / 2 - eye
    assert back @ right == pytest.approx(0, abs=1e-9)
    assert -back[2] == pytest.approx(np.tan(e) * (back @ ahead))
    slopes = (
        np.column_stack([(corners - eye) @ right, corners[:, 2] - eye[2]])
        / ((corners - eye) @ ahead)[:, None]
    )
    low, high = slopes.min(axis=0), slopes.max(axis=0)
    scale = max(high - low) / 0.88
    block = slopes[-8:]
    expected = (block - (low + high) / 2) / scale * 240
    assert columns.min() == pytest.approx(120 + expected[:, 0].min(), abs=2)
    assert columns.max() == pytest.approx(120 + expected[:, 0].max(), abs=2)
    assert rows.min() == pytest.approx(120 - expected[:, 1].max(), abs=2)
    assert rows.max() == pytest.approx(120 - expected[:, 1].min(), abs=2)


def test_same_model_same_bytes_alone_and_among_others(drawn: bytes) -> None:
    other = replace(small_case(), instances=small_case().instances[:4])
    first, second, third = render_many([small_case(), other, small_case()], SMALL)
    assert first == third == drawn
    assert second != first
    assert render_many([], SMALL) == []


def test_drawing_needs_no_display(drawn: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DISPLAY", raising=False)
    assert picture_png(small_case(), width=SMALL.width, height=SMALL.height) == drawn


def test_asking_for_a_picture_loads_no_vtk_here() -> None:
    code = "import sys, furnigen.picture.picture; print(any(m.startswith('vtk') for m in sys.modules))"
    run = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert run.stdout.strip() == "False"


# --- where it cannot be drawn ---------------------------------------------------------------------


def test_no_opengl_at_all_is_one_clear_error(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """Libraries that cannot be loaded stand before the system's: VTK then ends its process."""
    for name in ("libEGL.so.1", "libEGL.so", "libOSMesa.so", "libOSMesa.so.8", "libOSMesa.so.6"):
        (tmp_path / name).touch()
    monkeypatch.setenv("LD_LIBRARY_PATH", str(tmp_path))
    monkeypatch.delenv("DISPLAY", raising=False)
    with pytest.raises(PictureError, match=r"no picture: .*OpenGL.*libegl1"):
        picture_png(small_case(), width=64, height=48)
    assert capfd.readouterr() == ("", "")  # VTK's own chatter stays out of the way


@pytest.mark.parametrize(
    ("command", "words"),
    [("make", ()), ("make", ("--json",)), ("mockup", ("--scale", "1:8", "--way", "whole"))],
)
def test_a_command_says_once_that_there_is_no_picture(
    command: str,
    words: tuple[str, ...],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "executable", str(tmp_path / "gone"))
    assert main([command, "leaning_shelf", "--formats", "picture", *words]) in (0, 1)
    said = capsys.readouterr()
    told = said.err if "--json" in words else said.out + said.err  # the report has it too
    assert told.count("no picture: ") == 1


def _script(path: Path, text: str) -> str:
    path.write_text(f"#!/bin/sh\n{text}\n", encoding="utf-8")
    path.chmod(0o755)
    return str(path)


@pytest.mark.parametrize(
    ("does", "message"),
    [
        ("kill -KILL $$", "ended by SIGKILL"),
        ("echo 'ImportError: libX11.so.6: cannot open shared object file' >&2; exit 1", "libX11.so.6"),
        ("exit 3", "exit 3"),
    ],
)
def test_a_drawing_process_that_fails(
    does: str, message: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "executable", _script(tmp_path / "python", does))
    with pytest.raises(PictureError, match=message):
        picture_png(small_case(), width=64, height=48)


def test_a_drawing_process_that_hangs_is_stopped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        sys, "executable", _script(tmp_path / "python", f"echo $$ > {tmp_path}/pid; exec sleep 60")
    )
    with pytest.raises(PictureError, match=r"longer than 0\.5 s and was stopped"):
        picture_png(small_case(), timeout_s=0.5)
    with pytest.raises(ProcessLookupError):
        os.kill(int((tmp_path / "pid").read_text(encoding="utf-8")), 0)


def test_no_python_to_draw_with(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "executable", str(tmp_path / "gone"))
    with pytest.raises(PictureError, match="could not be started"):
        picture_png(small_case())


def test_a_missing_picture_is_an_output_error_that_crosses_processes() -> None:
    import pickle

    error = PictureError("no picture: why")
    assert isinstance(error, OutputError)
    assert str(pickle.loads(pickle.dumps(error))) == "no picture: why"


@pytest.mark.parametrize(
    ("ask", "message"),
    [
        (lambda m: picture_png(m, width=8), "picture width = 8: must be from 16"),
        (lambda m: picture_png(m, height=LARGEST + 1), f"picture height = {LARGEST + 1}"),
        (lambda m: picture_png(m, elevation_deg=80.0), "elevation_deg = 80"),
        (lambda m: picture_png(m, azimuth_deg=float("nan")), "azimuth_deg = nan"),
    ],
)
def test_views_out_of_range_are_refused(ask: Callable[[MeshModel], bytes], message: str) -> None:
    with pytest.raises(InputError, match=message):
        ask(small_case())


def test_an_empty_model_is_refused() -> None:
    with pytest.raises(GeometryError, match="no parts"):
        picture_png(MeshModel("nothing", (), ()))
