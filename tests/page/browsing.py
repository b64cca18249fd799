"""Pages in a real browser: the system's Chromium without a screen, drawing by software."""

from __future__ import annotations

import shutil
from base64 import b64decode
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image
from playwright.sync_api import Browser, Page, Playwright

FLAGS = (
    "--no-sandbox",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
NO_WEBGL = ("--disable-gpu", "--disable-3d-apis")


@dataclass
class Opened:
    """A page that is open, and what it said and asked for."""

    page: Page
    said: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def parts(self, what: str) -> dict[str, Any]:
        """A value of each part of the view, by label; `what` is an expression on `p`."""
        script = (
            f"() => Object.fromEntries([...furnigenView.stage.parts.values()].map(p => [p.label, {what}]))"
        )
        found: dict[str, Any] = self.page.evaluate(script)
        return found

    def slide(self, name: str, value: float) -> None:
        """Set a slider."""
        self.page.locator(f"#{name}").fill(str(value))

    def place_of(self, label: str, up: float = 0.5) -> tuple[float, float]:
        """Where the middle of a part's box is on the screen; `up` 1 is the middle of its top."""
        script = """([label, up]) => {
            const { mesh } = furnigenView.stage.parts.get(label), { camera, canvas } = furnigenView.stage;
            mesh.geometry.computeBoundingBox();
            const { min, max } = mesh.geometry.boundingBox.clone().applyMatrix4(mesh.matrixWorld);
            const at = min.clone().add(max).multiplyScalar(0.5);
            at.y = min.y + (max.y - min.y) * up;
            camera.updateMatrixWorld();
            at.project(camera);
            const box = canvas.getBoundingClientRect();
            return [box.left + (at.x + 1) / 2 * box.width, box.top + (1 - at.y) / 2 * box.height]; }"""
        x, y = self.page.evaluate(script, [label, up])
        return x, y

    def pixels(self) -> np.ndarray:
        """The canvas as it is drawn now, (height, width, 4)."""
        png = self.page.evaluate("() => furnigenView.stage.picture()")
        return np.asarray(Image.open(BytesIO(b64decode(png.partition(",")[2]))).convert("RGBA"))

    def readout(self) -> str:
        """What stands beside the view."""
        return self.page.locator("#readout").inner_text()


def browser(play: Playwright, *more: str) -> Browser:
    """A browser without a screen."""
    command = shutil.which("chromium")
    assert command, "chromium is not installed: sh .setup/system-packages tests"
    return play.chromium.launch(executable_path=command, args=[*FLAGS, *more])


def opened(on: Browser, file: Path, *, ready: bool = True, **context: Any) -> Opened:
    """A page of a file, once its view is drawn."""
    page = on.new_context(**context).new_page()
    one = Opened(page)
    page.on("console", lambda message: one.said.append(message.text))
    page.on("pageerror", lambda error: one.said.append(str(error)))
    page.on("request", lambda request: one.asked.append(request.url))
    page.goto(file.as_uri())
    if ready:
        page.wait_for_selector("html[data-ready]", state="attached")
    return one
