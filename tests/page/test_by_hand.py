"""Shaping by hand: every grip by pointer, by touch and by keys, and what comes of it in sheet and picture."""

from __future__ import annotations

from typing import Any

import pytest

import silhouette
from silhouette.asked.sheet import PARAMETERS
from silhouette.page.looks import LOOKS
from tests.page.browser import Watched, open_drawer, reveal, settled
from tests.page.sheets import picture

#: Drawing, grip, sheet key, the way it is drawn (px to the right and down) that makes the value larger.
GRIPS = [
    ("outlines", "start", "pads.start", (0, 1)),
    ("outlines", "edge", "pads.bevel", (0, 1)),
    ("outlines", "end", "pads.end", (0, 1)),
    ("draft", "start", "pads.start", (0, 1)),
    ("draft", "end", "pads.end", (0, 1)),
    ("draft", "reach", "pads.front_reach", (1, 0)),
    ("draft", "gap", "pads.back_gap", (1, 0)),
    ("draft", "edge", "pads.bevel", (-1, 0)),
]
FAR = 16  # px
#: Where a pixel is more of the body, and what a pad has room for.
NEAR = {("outlines", "edge"): 8}


def grip(page: Any, drawing: str, name: str) -> Any:
    return page.locator(f"#{drawing} [data-grip={name}]")


def middle(page: Any, drawing: str, name: str) -> tuple[float, float]:
    box = grip(page, drawing, name).locator(".grip-dot").bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def value(w: Watched, key: str) -> float:
    return float(w.numbers()["values"][key])


def px_per_mm(w: Watched, drawing: str) -> float:
    """From two grips whose values are known: the drawing is to scale, the same both ways."""
    high, low = (middle(w.page, drawing, name)[1] for name in ("start", "end"))
    return (low - high) / (value(w, "pads.end") - value(w, "pads.start"))


def draft_outline(page: Any) -> str:
    return str(page.locator("#draft .pad-edge").first.get_attribute("d"))


@pytest.mark.parametrize(("drawing", "name", "key", "way"), GRIPS)
def test_a_grip_drawn_by_the_pointer(watched: Watched, drawing: str, name: str, key: str, way: tuple[int, int]) -> None:
    """The value follows the pointer to scale, its number beside it; picture and pad change; undo is one step."""
    page = watched.page
    far = NEAR.get((drawing, name), FAR)
    larger = -1 if name == "edge" else 1  # the demo's edge has no room to grow by so much: it is drawn narrower
    way = (larger * way[0], larger * way[1])
    before, sheet = value(watched, key), watched.sheet()
    seen, drafted = picture(page), page.locator("#draft .drawing").inner_html()
    scale = px_per_mm(watched, drawing)
    x, y = middle(page, drawing, name)
    page.mouse.move(x, y)
    page.mouse.down()
    for part in range(1, 5):
        page.mouse.move(x + way[0] * far * part / 4, y + way[1] * far * part / 4)
        page.wait_for_timeout(30)
    settled(page)
    held = middle(page, drawing, name)
    page.mouse.up()
    settled(page)
    moved = value(watched, key) - before
    assert moved == pytest.approx(larger * far / scale, abs=2.0)  # the value keeps to the marks of a tape
    section, field = key.split(".")
    assert silhouette.from_plain(watched.sheet()) == silhouette.from_plain(
        {**sheet, section: {**sheet[section], field: watched.sheet()[section][field]}}
    )  # that value alone
    words = grip(page, drawing, name).locator("text").text_content()
    assert words.split(" ", 1)[1] == page.locator(f'[data-key="{key}"] input[type=text]').input_value()
    assert picture(page) != seen and page.locator("#draft .drawing").inner_html() != drafted
    stayed = way[0] * (held[0] - x) + way[1] * (held[1] - y)
    assert stayed > 3 and (stayed == pytest.approx(far, abs=4) or name == "edge")  # under the hand, or on its own line
    page.locator("#undo").click()
    settled(page)
    assert watched.sheet() == sheet and value(watched, key) == before


@pytest.mark.parametrize(("drawing", "name", "key", "way"), GRIPS)
def test_a_grip_moved_by_keys(watched: Watched, drawing: str, name: str, key: str, way: tuple[int, int]) -> None:
    """One press is one mark of the tape, there and back."""
    page = watched.page
    before, drafted = value(watched, key), page.locator("#draft .drawing").inner_html()
    there, back = ("ArrowRight", "ArrowLeft") if way[0] else ("ArrowDown", "ArrowUp")
    if way[0] < 0:
        there, back = back, there
    handle = grip(page, drawing, name)
    handle.focus()
    page.keyboard.press(there)
    settled(page)
    step = 25.4 / 8
    first = value(watched, key)
    assert 0 < first - before <= 1.5 * step and first / step == pytest.approx(round(first / step), abs=1e-6)
    assert page.locator("#draft .drawing").inner_html() != drafted
    assert page.evaluate("document.activeElement.dataset.grip") == name  # it keeps the focus for the next press
    assert float(handle.get_attribute("aria-valuenow") or 0) == pytest.approx(first, abs=0.51)
    page.keyboard.press(back)
    settled(page)
    assert value(watched, key) == pytest.approx(first - step)


def test_drawn_too_far_and_back(browser: Any, address: str) -> None:
    """What cannot be made is said, the drawing stays under the hand, and drawing back mends it."""
    w = Watched(browser, address, expect_errors=True)
    page = w.page
    x, y = middle(page, "outlines", "edge")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y + 60, steps=4)
    page.locator("#faults li").first.wait_for()
    assert page.locator("#outlines .drawing").is_visible()
    page.mouse.move(x, y + 4, steps=4)
    page.locator("#faults:empty").wait_for(state="attached")
    page.mouse.up()
    settled(page)
    assert page.locator("#girth").is_visible()
    w.close()


def test_a_grip_under_a_finger(browser: Any, address: str) -> None:
    """On a phone: the finger draws the grip, and does not scroll the page."""
    w = Watched(browser, address, viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    page = w.page
    grip(page, "draft", "reach").evaluate("e => e.scrollIntoView({block: 'center'})")
    page.wait_for_timeout(100)
    before, scrolled = value(w, "pads.front_reach"), page.evaluate("scrollY")
    x, y = middle(page, "draft", "reach")
    touch = w.context.new_cdp_session(page)
    for kind, far in (("touchStart", 0), ("touchMove", -10), ("touchMove", -20), ("touchEnd", None)):
        points = [] if far is None else [{"x": x + far, "y": y}]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
        page.wait_for_timeout(40)
    settled(page)
    assert value(w, "pads.front_reach") < before - 5
    assert page.evaluate("scrollY") == scrolled
    w.close()


def test_what_is_drawn_too_far_under_a_finger_stays_in_its_place(browser: Any, address: str) -> None:
    """The drawing pales and loses its numbers, but neither goes nor moves the page; its grip brings it back."""
    w = Watched(browser, address, viewport={"width": 390, "height": 844}, has_touch=True, expect_errors=True)
    page = w.page
    grip(page, "draft", "reach").evaluate("e => e.scrollIntoView({block: 'center'})")
    page.wait_for_timeout(100)
    x, y = middle(page, "draft", "reach")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 60, y, steps=3)
    page.mouse.up()
    page.locator("#faults li").first.wait_for()
    settled(page)
    assert middle(page, "draft", "reach")[1] == pytest.approx(y, abs=1)
    assert page.locator("#draft .drawing").is_visible()
    assert not page.locator("#draft text:visible, #outlines text:visible").count()
    grip(page, "draft", "reach").focus()
    for _ in range(20):
        page.keyboard.press("ArrowRight")
    settled(page)
    assert not page.locator("#faults li").count()
    assert page.locator("#draft text:visible").count()
    w.close()


def test_one_side_is_drawn_alone(watched: Watched) -> None:
    page = watched.page
    page.get_by_label("Her left").check(force=True)
    grip(page, "draft", "reach").focus()
    page.keyboard.press("ArrowLeft")
    settled(page)
    sheet = watched.sheet()
    assert set(sheet["pads"]["left"]) == {"front_reach"} and "front_reach" not in sheet["pads"]
    assert "laid flat, her left" in page.locator("#draft").inner_text()


def test_shaped_freely_point_by_point(watched: Watched) -> None:
    """Every point of the outline is a grip; the others stay where they are; back to the numbers with one press."""
    page = watched.page
    open_drawer(page, "pads")
    page.locator("#freely").click()
    settled(page)
    sheet = silhouette.from_plain(watched.sheet())
    assert sheet.pads.front_outline is not None and sheet.pads.back_outline is not None
    count = len(sheet.pads.front_outline) - 2 + len(sheet.pads.back_outline) - 2
    assert page.locator("#draft .grip").count() == count
    handle = page.locator('#draft [data-grip="front 3"]')
    outline = draft_outline(page)
    box = handle.locator(".grip-dot").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 9, box["y"] + 9)
    page.mouse.down()
    page.mouse.move(box["x"] + 9 - 12, box["y"] + 9, steps=4)
    page.mouse.up()
    settled(page)
    moved = silhouette.from_plain(watched.sheet()).pads.front_outline
    assert moved is not None
    apart = [
        i for i, (old, new) in enumerate(zip(sheet.pads.front_outline, moved, strict=True)) if abs(old[0] - new[0]) > 1
    ]
    assert apart == [3] and moved[3][0] < sheet.pads.front_outline[3][0]
    assert draft_outline(page) != outline
    page.locator("#freely").click()
    settled(page)
    assert silhouette.from_plain(watched.sheet()).pads.front_outline is None


def test_the_line_below_the_five_says_what_each_does(watched: Watched) -> None:
    """Pointing at a choice, or coming to it by Tab, says what it does to the look."""
    page = watched.page
    said = set()
    for key in ("aim.hip", "pads.thickness", "pads.start", "pads.end", "pads.bevel", "aim.look"):
        help_ = f"{PARAMETERS[key].help} {LOOKS[key]}"
        page.locator(f'[data-key="{key}"]').hover()
        assert page.locator("#five-help").inner_text() == help_
        said.add(help_)
        page.locator("#client").hover()
    assert len(said) == 6
    page.locator('[id="field-pads.end"]').focus()
    assert page.locator("#five-help").inner_text().startswith(PARAMETERS["pads.end"].help)
    reveal(page, "pads.fullness")
    about = page.locator('[data-key="pads.fullness"] .about')
    about.click()
    assert page.locator('[data-key="pads.fullness"] .help').is_visible()
