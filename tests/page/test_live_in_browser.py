"""The live page as somebody uses it, in Chromium."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest
from browsing import LOW_CONTRAST, NAMELESS, NO_WEBGL, PHONE, Opened, browser
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.slow
DESK = {"viewport": {"width": 1500, "height": 950}}
RUN = (sys.executable, "-c", "from furnigen.cli.main import run; run()")
SLOW_MS = 120_000
"""How long a page is waited for: on a busy machine it is drawn without a graphics card, and slowly."""
expect.set_options(timeout=SLOW_MS)
HOSTILE = "<script>globalThis.ran = 1</script>'\"><img src=x onerror=ran=2> \u05de\u05d3\u05e3 \U0001f3fa"
PIECE = """
from furnigen import Draft, Stock, choice, from_stock, length, recipe

@recipe("A board with a name that is markup")
def board(
    width: float = length("600 mm", "300 mm", "2 m", {meaning!r}),
    stock: Stock = from_stock("birch-ply-18", "the board", ("sheet",)),
    word: str = choice({meaning!r}, ({meaning!r}, "plain"), "which word"),
):
    draft = Draft("board", {meaning!r})
    draft.board({meaning!r}, stock, (0, 0, 0), (width, 200, stock.thickness_mm))
    return draft.done()
"""


@dataclass
class Server:
    """furnigen serve in a folder of its own."""

    folder: Path
    words: tuple[str, ...]
    port: int = 0
    process: subprocess.Popen | None = field(default=None, repr=False)

    def start(self) -> Server:
        words = [*RUN, "serve", *self.words, "--port", str(self.port), "--json"]
        self.process = subprocess.Popen(words, cwd=self.folder, stdout=subprocess.PIPE, text=True)
        self.port = json.loads(self.process.stdout.readline())["port"]
        return self

    def end(self, number: int = signal.SIGTERM) -> None:
        self.process.send_signal(number)
        try:
            self.process.wait(20)
        finally:
            self.process.kill()  # nothing where it has ended
            self.process.stdout.close()


@pytest.fixture(scope="module")
def shared(tmp_path_factory):
    """A server of a divided case that several tests look at."""
    folder = tmp_path_factory.mktemp("live")
    one = Server(folder, ("divided_case", "--out", "made")).start()
    yield one
    one.end()


@pytest.fixture
def serve(tmp_path):
    """Starts servers in a folder of this test."""
    servers = []

    def start(*words: str) -> Server:
        servers.append(Server(tmp_path, words).start())
        return servers[-1]

    yield start
    for one in servers:
        if one.process.poll() is None:
            one.end()


@pytest.fixture(autouse=True)
def _pages_are_closed(chromium):
    """A server shows a dozen pages at most, so a test leaves none open."""
    before = list(chromium.contexts)
    yield
    for context in chromium.contexts:
        if context not in before:
            context.close()


def at(chromium, server: Server, **context) -> Opened:
    """The page of a server, once its piece is drawn; foreign requests are noted in `said`."""
    page = chromium.new_context(**(context or DESK)).new_page()
    page.set_default_timeout(SLOW_MS)
    one = Opened(page)
    page.on("console", lambda message: one.said.append(message.text))
    page.on("pageerror", lambda error: one.said.append(str(error)))
    page.on("request", lambda request: one.asked.append(request.url))
    page.goto(f"http://127.0.0.1:{server.port}/")
    page.wait_for_selector("html[data-ready]", state="attached")
    return one


def settled(page: Page, state: str = "up to date") -> None:
    expect(page.locator("#lamp")).to_have_text(state)


def write(page: Page, name: str, text: str) -> None:
    page.locator(f"#f-{name}").fill(text)
    page.locator(f"#f-{name}").press("Enter")


def width_of(page: Page) -> str:
    return page.locator("#block dd").first.inner_text()


def at_start(page: Page) -> None:
    """All values back to those the server began with."""
    page.evaluate("() => document.querySelectorAll('.back:not([hidden])').forEach(b => b.click())")
    expect(page.locator(".back:visible")).to_have_count(0)


def test_a_changed_parameter_changes_sizes_lists_and_the_view(chromium, shared):
    one = at(chromium, shared)
    page = one.page
    at_start(page)
    write(page, "width", "1.4 m")
    expect(page.locator("#block dd").first).to_have_text("1400.0 mm")
    page.wait_for_function("() => Math.abs(furnigenView.stage.bounds.max.x - 1.4) < 1e-4")
    settled(page)
    assert "Sag of boards" in page.locator("[data-part=strength]").inner_text()
    assert "1400.0 mm" in page.locator("#sizes").inner_text()
    assert "furnigen make divided_case 'width=1.4 m'" in page.locator("#command").inner_text()
    # the first search after an install is compiled before
    expect(page.locator("#layouts-svg")).to_be_visible(timeout=240_000)
    page.wait_for_function("() => document.getElementById('picture-png').naturalWidth === 960")
    page.wait_for_function("() => document.getElementById('layouts-svg').naturalWidth > 0")
    page.click("#undo")
    expect(page.locator("#block dd").first).to_have_text("1200.0 mm")
    expect(page.locator("#f-width")).to_have_value("1200 mm")
    page.click("#redo")
    expect(page.locator("#block dd").first).to_have_text("1400.0 mm")
    page.locator("#canvas").focus()
    page.keyboard.press("Control+z")
    expect(page.locator("#block dd").first).to_have_text("1200.0 mm")
    assert one.said == []
    assert all(url.startswith((f"http://127.0.0.1:{shared.port}/", "data:")) for url in one.asked)


def test_a_slider_is_dragged_and_the_view_follows_without_moving_the_eye(chromium, shared):
    page = at(chromium, shared).page
    at_start(page)
    page.locator("#canvas").focus()
    page.keyboard.press("ArrowLeft")
    eye = "() => furnigenView.stage.camera.position.clone().sub(furnigenView.stage.controls.target).toArray()"
    before = page.evaluate(eye)
    slider = page.locator("[data-field=width] input[type=range]")
    slider.focus()
    for _ in range(25):
        page.keyboard.press("ArrowRight")
    expect(page.locator("#f-width")).to_have_value("1225 mm")
    expect(page.locator("#block dd").first).to_have_text("1225.0 mm")
    page.wait_for_function("() => Math.abs(furnigenView.stage.bounds.max.x - 1.225) < 1e-4")
    after = page.evaluate(eye)
    assert np.cross(after, before) == pytest.approx([0, 0, 0], abs=1e-6)  # the same direction, a step back
    at_start(page)


def test_a_wrong_value_is_said_at_its_field_and_the_piece_stays(chromium, shared):
    page = at(chromium, shared).page
    at_start(page)
    settled(page)
    write(page, "width", "12")
    expect(page.locator("#w-width")).to_have_text("must be from 300.0 mm to 2400.0 mm")
    expect(page.locator("#f-width")).to_have_attribute("aria-invalid", "true")
    assert width_of(page) == "1200.0 mm"
    page.click("#make")
    expect(page.locator("#progress")).to_contain_text("make no piece")
    page.locator("[data-field=width] .back").click()
    expect(page.locator("#w-width")).to_be_hidden()
    settled(page)


def test_choices_switches_and_stock_with_search(chromium, shared):
    page = at(chromium, shared).page
    at_start(page)
    page.locator("[data-field=legs] label", has_text="none").click()
    expect(page.locator("#command")).to_contain_text("legs=none")
    name = page.evaluate("() => [...document.querySelectorAll('[role=combobox]')][0].id")
    box = page.locator(f"#{name}")
    box.click()
    assert page.locator(f"#{name} ~ ul li").count() > 10
    box.fill("birch 12")
    rows = page.locator(f"#{name} ~ ul li")
    assert 0 < rows.count() < 10
    box.press("ArrowDown")
    chosen = page.locator(f"#{name} ~ ul li[aria-selected=true] strong").inner_text()
    box.press("Enter")
    expect(page.locator("#command")).to_contain_text(f"={chosen}")
    expect(rows.first).to_be_hidden()
    at_start(page)


def test_what_is_picked_stays_picked_and_rows_light_parts(chromium, shared):
    one = at(chromium, shared)
    page = one.page
    at_start(page)
    settled(page)
    page.locator("#parts tr", has_text="back").first.locator("button").click()
    assert one.readout().splitlines()[0] == "back"
    write(page, "width", "1300")
    page.wait_for_function("() => Math.abs(furnigenView.stage.bounds.max.x - 1.3) < 1e-4")
    assert one.readout().splitlines()[0] == "back"
    assert one.parts("p.mesh.material.opacity")["back"] == 1
    page.select_option("#across", "depth")
    write(page, "width", "1250")
    page.wait_for_function("() => Math.abs(furnigenView.stage.bounds.max.x - 1.25) < 1e-4")
    assert page.evaluate("() => furnigenView.section.group.children.length") > 8
    page.select_option("#across", "")
    page.keyboard.press("Escape")
    settled(page)
    one.slide("explode", 100)
    assert any(v > 0 for v in one.parts("p.offset.length()").values())
    at_start(page)


def test_versions_are_kept_compared_and_opened(chromium, serve):
    one = at(chromium, serve("divided_case"))
    page = one.page
    settled(page)
    page.fill("#version-name", HOSTILE)
    page.press("#version-name", "Enter")
    expect(page.locator("#version-list bdi").nth(1)).to_have_text(HOSTILE)
    write(page, "width", "1500")
    page.locator("[data-field=legs] label", has_text="none").click()
    settled(page)
    page.click("#compare")
    expect(page.locator("#compared")).to_contain_text("as it is now")
    table = page.locator("#compared")
    expect(table.locator("tr", has_text="overall").first).to_contain_text("1200.0 mm")
    expect(table.locator("tr", has_text="overall").first).to_contain_text("1500.0 mm")
    expect(table.locator("tr.gone").first).to_contain_text("(gone)")
    page.get_by_role("button", name="Open").first.click()
    expect(page.locator("#block dd").first).to_have_text("1200.0 mm")
    page.get_by_role("button", name="Delete: ").click()  # asks once more
    page.locator("#version-name").focus()
    expect(page.locator(".sure")).to_have_count(0)  # something else was done
    page.get_by_role("button", name="Delete: ").press("Enter")
    page.get_by_role("button", name="Delete for good: ").press("Enter")
    expect(page.locator("#version-list")).to_contain_text("None are kept yet")
    assert page.evaluate("() => globalThis.ran") is None
    assert one.said == []


def test_make_writes_the_files_with_progress_and_the_command_can_be_copied(chromium, serve):
    server = serve("divided_case", "--out", "made")
    page = at(chromium, server).page
    settled(page)
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    page.click("#copy")
    expect(page.locator("#copy")).to_have_text("Copied")
    line = page.evaluate("() => navigator.clipboard.readText()")
    assert line.startswith("furnigen make divided_case --formats step,stl,")
    page.click("#formats summary")
    for name in ("step", "3mf", "cutting", "drawings", "booklet", "picture", "page"):
        page.locator(f"#format-list input[value='{name}']").uncheck()
    page.click("#make")
    expect(page.locator("#progress")).to_contain_text("files in made")
    assert {p.name for p in (server.folder / "made").iterdir()} >= {
        "model.stl",
        "model.glb",
        "cutlist.csv",
        "report.json",
    }


@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGTERM])
def test_the_page_says_that_the_server_ended_and_goes_on_with_the_next(chromium, serve, number):
    server = serve("divided_case")
    page = at(chromium, server).page
    settled(page)
    write(page, "width", "1350")
    expect(page.locator("#block dd").first).to_have_text("1350.0 mm")
    server.end(number)
    expect(page.locator("#banner")).to_contain_text("The server has ended")
    expect(page.locator("#lamp")).to_have_text("the server has ended")
    page.locator("#canvas").focus()
    page.keyboard.press("n")  # what is shown can still be looked at
    server.start()
    expect(page.locator("#banner")).to_be_hidden(timeout=SLOW_MS)
    expect(page.locator("#block dd").first).to_have_text("1350.0 mm")
    write(page, "width", "1100")
    expect(page.locator("#block dd").first).to_have_text("1100.0 mm")
    page.reload()
    expect(page.locator("#f-width")).to_have_value("1100")
    expect(page.locator("#block dd").first).to_have_text("1100.0 mm")


def test_a_recipe_edited_in_an_editor_reloads_and_its_error_is_shown(chromium, serve, tmp_path):
    file = tmp_path / "board.py"
    file.write_text(PIECE.format(meaning=HOSTILE), encoding="utf-8")
    one = at(chromium, serve("board.py"))
    page = one.page
    expect(page.locator("#title")).to_have_text(HOSTILE)
    expect(page.locator("#m-width")).to_have_text(HOSTILE)
    settled(page)
    file.write_text(PIECE.format(meaning="plain") + "\n1 / 0\n", encoding="utf-8")
    expect(page.locator("#banner")).to_contain_text("ZeroDivisionError")
    expect(page.locator("#title")).to_have_text(HOSTILE)
    file.write_text(PIECE.format(meaning="how wide").replace('"plain"', '"other"'), encoding="utf-8")
    expect(page.locator("#title")).to_have_text("how wide")
    expect(page.locator("#banner")).to_be_hidden()
    assert page.evaluate("() => globalThis.ran") is None
    assert one.said == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_on_a_phone_nothing_runs_off_and_the_keyboard_reaches_all(chromium, shared, scheme):
    one = at(chromium, shared, color_scheme=scheme, **PHONE)
    assert one.page.evaluate("() => document.documentElement.scrollWidth") == 390
    assert one.page.evaluate(NAMELESS.replace("e.alt ||", "e.alt || e.labels?.length ||")) == []
    settled(one.page)
    assert one.page.evaluate(LOW_CONTRAST) == []
    assert one.said == []


@pytest.mark.parametrize("size", [(768, 1024), (820, 1180), (1024, 768)])
def test_on_a_tablet_the_piece_stands_beside_its_parameters(chromium, shared, size):
    one = at(chromium, shared, viewport={"width": size[0], "height": size[1]})
    boxes = {name: one.page.locator(f"#{name}").bounding_box() for name in ("form", "view", "panel", "lists")}
    form, view, panel, lists = boxes.values()
    assert view["x"] >= form["x"] + form["width"] - 1
    assert abs(view["y"] - form["y"]) < 1
    assert panel["y"] + min(panel["height"], 40) <= view["y"] + view["height"]  # the rest is scrolled to
    assert lists["y"] >= view["y"] + view["height"] - 1
    assert one.page.locator("#canvas").bounding_box()["height"] > 200
    assert one.page.evaluate("() => document.documentElement.scrollWidth") == size[0]


def test_hardware_is_listed_with_the_piece(chromium, shared):
    page = at(chromium, shared).page
    at_start(page)
    expect(page.locator("#hardware tbody th")).to_have_text("screw")
    expect(page.locator("#hardware tbody tr")).to_contain_text("16")


def test_without_3d_the_picture_follows_each_change(play, shared):
    without_3d = browser(play, *NO_WEBGL)
    page = without_3d.new_page()
    page.goto(f"http://127.0.0.1:{shared.port}/")
    expect(page.locator("#no3d")).to_be_visible()
    page.wait_for_function("() => document.getElementById('still').naturalWidth === 960")
    before = page.locator("#still").get_attribute("src")
    write(page, "width", "1111")
    expect(page.locator("#block dd").first).to_have_text("1111.0 mm")
    expect(page.locator("#still")).not_to_have_attribute("src", before)
    at_start(page)
    without_3d.close()


def test_a_page_of_another_site_can_neither_read_nor_change_anything(chromium, shared, serve, tmp_path):
    page = at(chromium, shared).page
    at_start(page)
    before = width_of(page)
    evil = chromium.new_context().new_page()
    evil.goto(f"http://localhost:{serve('divided_case').port}/")  # another port is another origin
    tried = evil.evaluate(
        """async port => {
        const tries = ["http://127.0.0.1:" + port, "http://localhost:" + port].flatMap(at => [
          () => fetch(at + "/change", {method: "POST", body: "{}"}),
          () => fetch(at + "/change", {method: "POST", mode: "no-cors", body: "{}"}),
          () => fetch(at + "/", {mode: "no-cors"}), () => fetch(at + "/")]);
        return Promise.all(tries.map(t => t().then(r => r.type + r.status, () => "refused"))); }""",
        shared.port,
    )
    assert set(tried) <= {"refused"}  # its own policy lets it ask nobody but its own server
    evil.goto("about:blank")
    to = f"http://127.0.0.1:{shared.port}"
    evil.set_content(f"<form method=post enctype=text/plain action={to}/change><input name=a></form>")
    evil.evaluate("() => document.forms[0].submit()")
    expect(evil.locator("body")).to_contain_text("another page")
    evil.goto("about:blank")
    evil.set_content(f"<iframe src={to}/></iframe>")
    evil.wait_for_timeout(500)
    assert all(not frame.locator("#fields").count() for frame in evil.frames)
    assert width_of(page) == before
