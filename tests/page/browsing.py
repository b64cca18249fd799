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
DESK = {"viewport": {"width": 1400, "height": 900}}
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
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


# relative luminance and contrast: WCAG 2.1, definitions, from memory
LOW_CONTRAST = """() => {
  const f = v => (v /= 255) <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
  const lum = c => 0.2126 * f(c[0]) + 0.7152 * f(c[1]) + 0.0722 * f(c[2]);
  const rgb = s => s.match(/[\\d.]+/g).map(Number);
  const low = [];
  const all = "h1,h2,h3,p,dt,dd,th,td,button,legend,summary,span,strong,a,label,li,figcaption";
  for (const e of document.querySelectorAll(all)) {
    if (!e.innerText?.trim() || e.disabled || !e.checkVisibility()) continue;
    let ground = e;
    const clear = one => (rgb(getComputedStyle(one).backgroundColor)[3] ?? 1) === 0;
    while (ground && clear(ground)) ground = ground.parentElement;
    const paints = [getComputedStyle(e).color, getComputedStyle(ground || document.body).backgroundColor];
    const [a, b] = paints.map(rgb).map(lum);
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ratio < 4.5) low.push([e.outerHTML.slice(0, 80), ratio]);
  }
  return low;
}"""
"""Gives the text that does not stand out from its ground by 4.5 to 1."""
NAMELESS = """() => [...document.querySelectorAll("button,input,select,canvas,a,[role=img]")]
    .filter(e => !(e.getAttribute("aria-label") || e.textContent.trim() || e.alt || e.closest("label")))
    .map(e => e.outerHTML)"""
"""Gives what is used but has no name for who hears the page."""


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
