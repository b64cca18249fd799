"""The page as somebody uses it, in Chromium."""

from __future__ import annotations

import gzip
import subprocess
from io import BytesIO

import numpy as np
import pytest
from browsing import DESK, LOW_CONTRAST, NAMELESS, NO_WEBGL, PHONE, browser, opened
from hostile import HOSTILE
from pypdf import PdfReader

from furnigen.page.bundle import BUNDLE, bundled

pytestmark = pytest.mark.slow


@pytest.fixture
def case(chromium, made):
    """The page of a divided case, which must have said nothing and asked for nothing but itself."""
    file = made("case")
    one = opened(chromium, file, **DESK)
    yield one
    assert one.said == []
    assert one.asked == [file.as_uri()]


def seen(pixels: np.ndarray) -> float:
    """The share of a picture that is not empty."""
    return float((pixels[..., 3] > 0).mean())


def test_the_piece_is_seen(case):
    pixels = case.pixels()
    assert 0.1 < seen(pixels) < 0.9
    assert len(np.unique(pixels[pixels[..., 3] == 255][:, :3], axis=0)) > 20  # faces in several lights, edges


def test_a_press_picks_a_part_and_its_row(case):
    case.page.mouse.click(*case.place_of("top", up=1))
    label = case.readout().splitlines()[0]
    assert label == "top"
    assert "1179.2 mm x 350.0 mm x 20.4 mm" in case.readout()
    assert "Joints: " in case.readout()
    assert "Touches: " in case.readout()
    assert case.page.locator("#parts tr.lit th").all_inner_texts()[0].startswith("top")
    faded = case.parts("p.mesh.material.opacity")
    assert faded.pop("top") == 1
    assert set(faded.values()) == {0.16}


def test_a_row_lights_its_parts_and_a_second_press_lets_go(case):
    row = case.page.locator("#parts tr", has_text="divider").first
    row.locator("button").click()
    lit = {label for label, opacity in case.parts("p.mesh.material.opacity").items() if opacity == 1}
    assert lit == {f"divider.{i}.{j}" for i in (1, 2, 3) for j in range(1, i + 1)}
    row.locator("button").click()
    assert set(case.parts("p.mesh.material.opacity").values()) == {1}


def test_hide_alone_and_show_all(case):
    case.page.locator("#parts tr", has_text="back").first.locator("button").click()
    case.page.click("#hide")
    assert [label for label, seen in case.parts("p.mesh.visible").items() if not seen] == ["back"]
    case.page.locator("#parts tr", has_text="shelf 1").first.locator("button").click()
    case.page.click("#alone")
    assert [label for label, seen in case.parts("p.mesh.visible").items() if seen] == ["shelf.1"]
    case.page.click("#all")
    assert all(case.parts("p.mesh.visible").values())


def test_drawn_apart_parts_leave_against_the_way_they_go_in(case):
    case.slide("explode", 100)
    away = case.parts("p.offset.toArray()")
    steps = case.page.evaluate("() => furnigenView.data.steps")
    for step in steps:
        if not step["way"]:
            continue
        x, y, z = step["way"]
        back = -np.array([x, z, -y])
        for label in step["parts"]:
            onto = max(np.dot(away[other], back) for other in step["onto"])
            assert np.dot(away[label], back) > onto + 0.05, (label, step["onto"])
    case.slide("explode", 0)
    assert not np.any(list(case.parts("p.offset.toArray()").values()))


def test_a_section_shows_capped_faces_at_every_part_it_cuts(case):
    case.page.click("[data-look=front]")
    case.page.click("#edges")
    whole = case.pixels()
    case.page.select_option("#across", "depth")
    cut = case.pixels()
    assert (whole != cut).any()
    caps = case.page.evaluate("() => furnigenView.section.group.children.filter(c => c.material.map).length")
    inside = case.page.evaluate("""() => [...furnigenView.stage.parts.values()].filter(({mesh}) => {
        mesh.geometry.computeBoundingBox();
        const box = mesh.geometry.boundingBox.clone().applyMatrix4(mesh.matrixWorld);
        return furnigenView.section.plane.intersectsBox(box); }).length""")
    assert caps == inside > 8
    assert seen(cut) <= seen(whole) + 1e-3
    case.page.check("#side")
    assert (case.pixels() != cut).any()
    case.page.select_option("#across", "")
    assert (case.pixels() == whole).all()


def test_what_is_cut_is_filled_and_what_is_not_stays_empty(case):
    # through the width: the left side alone stands, seen from the right it is shelf ends and a back
    case.page.select_option("#across", "width")
    case.page.click("[data-look=right]")
    case.slide("at", 40)
    with_caps = case.pixels()
    case.page.evaluate("() => { for (const c of furnigenView.section.group.children) c.visible = false; }")
    without = case.pixels()
    changed = (with_caps != without).any(axis=2).mean()
    assert 0.003 < changed < 0.1  # the ends of four boards and a back, not the whole plane


def test_steps_show_what_stands_and_bring_the_next(case):
    steps = case.page.evaluate("() => furnigenView.data.steps")
    case.page.click("#after")
    visible = case.parts("p.mesh.visible")
    assert {label for label, on in visible.items() if on} == set(steps[0]["parts"])
    case.page.click("#after")
    case.page.wait_for_timeout(100)
    moving = case.parts("p.offset.length()")
    assert all(moving[label] > 0 for label in steps[1]["parts"])
    case.page.wait_for_timeout(1500)
    assert not any(case.parts("p.offset.length()").values())
    assert steps[1]["text"] in case.readout()
    assert case.page.locator("#assembly [aria-current=step]").count() == 1
    case.page.locator("#assembly li").last.locator("button").click()
    assert all(case.parts("p.mesh.visible").values())


def test_the_keyboard_alone_does_all(case):
    page = case.page
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("() => document.activeElement.id") == "canvas":
            break
    before = page.evaluate("() => furnigenView.stage.camera.position.toArray()")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("+")
    assert page.evaluate("() => furnigenView.stage.camera.position.toArray()") != before
    page.keyboard.press("n")
    first = case.readout().splitlines()[0]
    page.keyboard.press("n")
    assert case.readout().splitlines()[0] != first
    page.keyboard.press("b")
    page.keyboard.press("h")
    assert not case.parts("p.mesh.visible")[first]
    page.keyboard.press("a")
    assert case.parts("p.mesh.visible")[first]
    page.keyboard.press(".")
    assert case.readout().startswith("Step 1 of")
    for press, name in (("f", "person"), ("w", "wall")):
        page.keyboard.press(press)
        assert page.locator(f"#{name}").get_attribute("aria-pressed") == "true"


def test_pointing_at_an_opening_shows_its_clear_size(case):
    case.page.locator("#sizes tr", has_text="row.2.2").hover()
    assert case.page.locator("#figures span").all_inner_texts() == ["372.8 mm", "343.6 mm", "264.5 mm"]
    case.page.locator("h1").hover()
    assert case.page.locator("#figures span").count() == 0
    case.page.click("[data-look=front]")
    x, y = case.place_of("divider.2.1")
    case.page.mouse.move(x + 60, y)
    assert case.page.locator("#figures span").count() == 3


def test_boxes_stay_ticked(case):
    case.page.locator("#parts td input").first.check()
    assert "1 of 11" in case.page.locator("#parts").inner_text()
    case.page.reload()
    case.page.wait_for_selector("html[data-ready]", state="attached")
    assert case.page.locator("#parts td input").first.is_checked()
    case.asked.pop()


def test_a_hung_piece_hangs_on_a_wall(chromium, made):
    crates = opened(chromium, made("crates"), **DESK)
    assert crates.page.locator("#wall").get_attribute("aria-pressed") == "true"
    behind, back = crates.page.evaluate(
        "() => [furnigenView.wall.children[0].position.z, furnigenView.stage.bounds.min.z]"
    )
    assert behind == pytest.approx(back, abs=0.01)
    assert crates.said == []


def test_whatever_a_name_holds_is_text(chromium, made):
    page = opened(chromium, made("hostile"), **DESK)
    assert page.page.evaluate("() => globalThis.ran") is None
    assert set(page.parts("1")) == set(HOSTILE)
    words = page.page.locator("#lists").inner_text()
    for name in HOSTILE[:3]:
        assert name in page.page.locator("#assembly").inner_text()
    assert "<b>room</b>" in words
    page.page.locator("#canvas").focus()
    for _ in HOSTILE:
        page.page.keyboard.press("n")
    assert page.readout().splitlines()[0] in HOSTILE
    assert page.said == []


@pytest.mark.parametrize("dark", [False, True])
def test_on_a_phone_nothing_runs_off_the_page_and_a_finger_picks(chromium, made, dark):
    phone = opened(chromium, made("case"), color_scheme="dark" if dark else "light", **PHONE)
    assert phone.page.evaluate("() => document.documentElement.scrollWidth") == 390
    box = phone.page.locator("#canvas").bounding_box()
    phone.page.touchscreen.tap(box["x"] + box["width"] * 0.5, box["y"] + box["height"] * 0.5)
    assert "kg" in phone.readout()
    assert phone.said == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_stands_out_from_its_ground(chromium, made, scheme):
    page = opened(chromium, made("case"), color_scheme=scheme, **DESK)
    page.page.locator("details summary").first.click()
    assert page.page.evaluate(LOW_CONTRAST) == []
    for lit in ("#parts tbody tr", "#checks li", "#assembly li"):
        page.page.locator(f"{lit} .row").first.click()
        assert page.page.evaluate(LOW_CONTRAST) == []


def test_everything_that_is_used_has_a_name(case):
    assert case.page.evaluate(NAMELESS) == []


def test_it_prints(case):
    pdf = case.page.pdf(format="A4")
    words = " ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)
    for said in (
        "Divided case",
        "1200.0 mm",
        "Remedy",
        "Cut list",
        "divider",
        "screw",
        "Results are estimates",
    ):
        assert said in words, said
    case.page.emulate_media(media="print")
    assert not case.page.locator("#panel").is_visible()
    assert case.page.locator("#still").is_visible()
    assert case.page.locator("#safety").is_visible()


def test_without_3d_the_picture_and_the_lists_are_there(play, made):
    page = opened(browser(play, *NO_WEBGL), made("case"), ready=False, **DESK)
    page.page.wait_for_timeout(1000)
    assert page.page.locator("#still").is_visible()
    assert not page.page.locator("#panel").is_visible()
    assert page.page.evaluate("() => document.getElementById('still').naturalWidth") == 800
    assert "divider" in page.page.locator("#parts").inner_text()
    page.page.locator("#parts td input").first.check()
    assert page.said == []


def test_without_any_script_the_lists_are_there(chromium, made):
    page = opened(chromium, made("case"), ready=False, java_script_enabled=False, **DESK)
    assert page.page.locator("#still").is_visible()
    assert not page.page.locator("#panel").is_visible()
    assert page.page.locator("#assembly li").count() == 18


def test_the_committed_script_is_what_its_sources_give():
    try:
        scripts, licence = bundled()
    except (OSError, subprocess.CalledProcessError) as error:
        pytest.fail(f"the script could not be packed: {error}")
    for name, script in scripts.items():
        assert gzip.decompress((BUNDLE / f"{name}.js.gz").read_bytes()).decode() == script, name
    assert (BUNDLE / "three.LICENSE.txt").read_text(encoding="utf-8") == licence
    assert "MIT" in licence


def test_seen_in_parallel_what_is_of_one_size_is_drawn_so_near_and_far(case):
    wide = """() => {
        const { camera, bounds: { min, max } } = furnigenView.stage;
        camera.updateMatrixWorld();
        return [max.z, min.z].map(z => {
            const [a, b] = [min.x, max.x].map(x => min.clone().set(x, min.y, z).project(camera).x);
            return b - a; }); }"""
    case.page.click("[data-look=front]")
    front, back = case.page.evaluate(wide)
    assert front > 1.1 * back
    case.page.click("#parallel")
    flat_front, flat_back = case.page.evaluate(wide)
    assert flat_front == pytest.approx(flat_back, rel=0.02)
    assert back < flat_front < front
    assert 0.1 < seen(case.pixels()) < 0.9
    case.page.mouse.click(*case.place_of("divider.1.1"))
    assert case.readout().splitlines()[0] != "No part picked"


@pytest.mark.parametrize("look", ["corner", "front", "top", "left"])
def test_a_standard_view_and_a_piece_drawn_apart_fill_the_view_and_stay_within(case, look):
    def reach():
        return case.page.evaluate("""() => {
            const { stage } = furnigenView;
            stage.camera.updateMatrixWorld();
            let most = 0;
            for (const { mesh } of stage.parts.values()) {
                const p = mesh.geometry.attributes.position, at = mesh.position.clone();
                mesh.updateMatrixWorld();
                for (let i = 0; i < p.count; i++) {
                    at.fromBufferAttribute(p, i).applyMatrix4(mesh.matrixWorld).project(stage.camera);
                    most = Math.max(most, Math.abs(at.x), Math.abs(at.y));
                }
            }
            return most; }""")

    case.page.click(f"[data-look={look}]")
    assert 0.75 < reach() < 1
    case.slide("explode", 100)
    assert 0.5 < reach() < 1.4
    case.page.click(f"[data-look={look}]")
    assert 0.5 < reach() < 1


def test_the_figures_of_an_opening_do_not_lie_on_each_other(case):
    for row in case.page.locator("#sizes tbody tr").all():
        row.hover()
        boxes = [mark.bounding_box() for mark in case.page.locator("#figures span").all()]
        assert len(boxes) == 3
        for i, a in enumerate(boxes):
            for b in boxes[:i]:
                apart_x = abs(a["x"] - b["x"]) >= (a["width"] if a["x"] < b["x"] else b["width"]) - 0.5
                apart_y = abs(a["y"] - b["y"]) >= min(a["height"], b["height"]) - 0.5
                assert apart_x or apart_y, row.inner_text()


def test_what_a_step_brings_is_seen_through_what_stands_before_it(case):
    case.page.click("[data-look=back]")
    for _ in range(8):
        case.page.click("#after")
    case.page.wait_for_timeout(1500)
    through = case.parts("p.edge.material.depthTest")
    steps = case.page.evaluate("() => furnigenView.data.steps")
    assert {label for label, hides in through.items() if not hides} == set(steps[7]["parts"])
    case.page.click("#all")
    assert all(case.parts("p.edge.material.depthTest").values())


def standing(one) -> tuple[np.ndarray, np.ndarray]:
    """Where the camera stands, and what it looks at."""
    camera, target = one.page.evaluate(
        "() => [furnigenView.stage.camera.position.toArray(), furnigenView.stage.controls.target.toArray()]"
    )
    return np.array(camera), np.array(target)


def test_the_mouse_turns_shifts_and_zooms(case):
    mouse, (x, y) = case.page.mouse, case.place_of("divider.2.1")
    start, aim = standing(case)
    mouse.move(x, y)
    mouse.down()
    mouse.move(x + 80, y + 10, steps=4)
    mouse.up()
    turned, still = standing(case)
    assert still == pytest.approx(aim)
    assert np.linalg.norm(turned - still) == pytest.approx(np.linalg.norm(start - aim))
    assert np.linalg.norm(turned - start) > 0.1
    assert case.readout().startswith("No part picked")  # a drag is no press
    mouse.wheel(0, -400)
    case.page.wait_for_timeout(200)
    near, _ = standing(case)
    assert np.linalg.norm(near - still) < 0.95 * np.linalg.norm(turned - still)
    mouse.down(button="right")
    mouse.move(x + 20, y + 60, steps=4)
    mouse.up(button="right")
    assert np.linalg.norm(standing(case)[1] - still) > 0.01


def test_one_finger_turns_and_two_zoom(chromium, made):
    phone = opened(chromium, made("case"), **PHONE)
    box = phone.page.locator("#canvas").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    touches = phone.page.context.new_cdp_session(phone.page)

    def touch(kind: str, *points: tuple[float, float]) -> None:
        at = [{"x": px, "y": py, "id": n} for n, (px, py) in enumerate(points)]
        touches.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": at})

    start, aim = standing(phone)
    touch("touchStart", (x, y))
    touch("touchMove", (x + 60, y))
    touch("touchEnd")
    turned, still = standing(phone)
    assert still == pytest.approx(aim)
    assert np.linalg.norm(turned - start) > 0.1
    touch("touchStart", (x - 20, y), (x + 20, y))
    touch("touchMove", (x - 80, y), (x + 80, y))
    touch("touchEnd")
    near, at = standing(phone)
    assert np.linalg.norm(near - at) < 0.7 * np.linalg.norm(turned - still)
    assert phone.page.evaluate("() => scrollY") == 0


def test_a_view_that_is_lost_gives_way_to_the_picture_and_comes_back(case):
    case.page.evaluate("() => furnigenView.stage.renderer.forceContextLoss()")
    case.page.wait_for_selector("html[data-view=picture]", state="attached")
    assert case.page.locator("#still").is_visible()
    assert case.page.locator("#no3d").is_visible()
    case.page.evaluate("() => furnigenView.stage.renderer.forceContextRestore()")
    case.page.wait_for_selector("html[data-view='3d']", state="attached")
    case.page.wait_for_timeout(300)
    assert 0.1 < seen(case.pixels()) < 0.9
    case.said[:] = [text for text in case.said if "Context" not in text]  # three.js tells of both
