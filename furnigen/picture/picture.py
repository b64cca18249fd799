"""The picture of a piece: `preview.png` and the small ones of a contact sheet.

VTK, which draws, ends the process where it finds no OpenGL at all. So the drawing is done in a
process of its own (`furnigen.picture.worker`): what happens to it becomes one clear error
here, and the caller goes on without a picture.
"""

from __future__ import annotations

import pickle
import signal
import subprocess
from collections.abc import Sequence

from furnigen.core.errors import InputError, OutputError
from furnigen.core.processes import environment, module_command
from furnigen.formats.exportable import require_exportable
from furnigen.mesh.model import MeshModel
from furnigen.picture.camera import View

START_S, EACH_S = 30.0, 60.0
"""Seconds a drawing process may take to start, and for each picture: ten times what a large one takes."""

SMALLEST, LARGEST = 16, 2400
"""Limits of width and height, pixels."""

_NEEDS = "it needs EGL or OSMesa (on Debian: apt-get install libegl1 libgl1-mesa-dri, or libosmesa6)"


class PictureError(OutputError):
    """A picture that could not be drawn; all other results are made without it."""


def picture_png(
    model: MeshModel,
    *,
    width: int = 1200,
    height: int = 900,
    azimuth_deg: float = View.azimuth_deg,
    elevation_deg: float = View.elevation_deg,
    timeout_s: float = START_S + EACH_S,
) -> bytes:
    """One picture of the piece, from the front left and a little above, as PNG.

    The same model and view give the same bytes on the same machine.

    Args:
        model: what to draw, millimetres, front towards -Y, Z up; where it has walls they are drawn too, and
            the floor is at 0.
        width: pixels.
        height: pixels.
        azimuth_deg: how far left of the front the camera stands, degrees; right of it where a wall would hide
            the piece.
        elevation_deg: how far above the middle of the piece the camera stands, degrees, 0 to 30: the shifted
            window leans what is seen from higher.
        timeout_s: the longest to wait, seconds.

    Raises:
        InputError: a size or an angle out of its range.
        GeometryError: see `require_exportable`.
        PictureError: it could not be drawn here.
    """
    view = View(width, height, azimuth_deg, elevation_deg)
    (picture,) = render_many([model], view, timeout_s=timeout_s)
    return picture


def render_many(models: Sequence[MeshModel], view: View, *, timeout_s: float | None = None) -> list[bytes]:
    """A picture of each model, all from the same view, as PNG: one drawing process for all.

    Args:
        models: what to draw.
        view: size and direction.
        timeout_s: the longest to wait for all, seconds; by default START_S and EACH_S for each.

    Raises:
        InputError: a size or an angle out of its range.
        GeometryError: see `require_exportable`.
        PictureError: one could not be drawn here.
    """
    _require_view(view)
    for model in models:
        require_exportable(model)
    if not models:
        return []
    limit = START_S + EACH_S * len(models) if timeout_s is None else timeout_s
    done = _run_worker(pickle.dumps((list(models), view)), limit)
    if done.returncode:
        raise PictureError(f"no picture: {_reason(done)}")
    pictures: list[bytes] = pickle.loads(done.stdout)
    return pictures


def _require_view(view: View) -> None:
    for name, pixels in (("width", view.width), ("height", view.height)):
        if not SMALLEST <= pixels <= LARGEST:
            raise InputError(f"picture {name}", pixels, f"must be from {SMALLEST} to {LARGEST} pixels")
    if not -360 <= view.azimuth_deg <= 360:
        raise InputError("azimuth_deg", view.azimuth_deg, "must be from -360 to 360 degrees")
    if not 0 <= view.elevation_deg <= 30:
        raise InputError("elevation_deg", view.elevation_deg, "must be from 0 to 30 degrees")


def _run_worker(job: bytes, timeout_s: float) -> subprocess.CompletedProcess[bytes]:
    try:
        return subprocess.run(
            module_command("furnigen.picture.worker"),
            input=job,
            capture_output=True,
            timeout=timeout_s,
            check=False,
            env=environment(),
        )
    except subprocess.TimeoutExpired as error:
        raise PictureError(f"no picture: drawing took longer than {timeout_s:g} s and was stopped") from error
    except OSError as error:
        raise PictureError(
            f"no picture: the drawing process could not be started: {error.strerror}"
        ) from error


def _reason(done: subprocess.CompletedProcess[bytes]) -> str:
    """Why the worker failed, in one clause; VTK's own warnings on the way are noise."""
    if done.returncode < 0:
        name = signal.Signals(-done.returncode).name
        return f"the drawing process was ended by {name}; most likely VTK found no OpenGL here: {_NEEDS}"
    said = done.stderr.decode(errors="replace").strip().splitlines()
    return f"the drawing process failed: {said[-1] if said else f'exit {done.returncode}'}; {_NEEDS}"
