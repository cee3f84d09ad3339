"""At the desk: narrow screens, no WebGL, two at once, the keyboard alone, a screen reader."""

from __future__ import annotations

from typing import Any

from tests.page.browser import (
    Watched,
    keep_variant,
    look_at_example,
    open_drawer,
    reveal,
    set_foam,
    set_slider,
    set_unit,
    settled,
)
from tests.page.sheets import DEMO, assert_shows, changed, picture


def test_phone(browser: Any, address: str) -> None:
    w = Watched(browser, address, viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    page = w.page
    keep_variant(page)
    page.locator(".compare").wait_for()

    def nothing_hangs_over() -> None:
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
        over = page.evaluate(
            "[...document.querySelectorAll('body *')]"
            ".filter((e) => !e.closest('.scroll, .unseen, #printed, dialog, svg, .skip')"
            " && e.getBoundingClientRect().right > 391 && getComputedStyle(e).visibility !== 'hidden')"
            ".map((e) => e.outerHTML.slice(0, 120))"
        )
        assert over == []

    for front in page.locator("#chest button").all():
        front.click()
        nothing_hangs_over()
    for key in ("pads.end", "pads.bevel", "girths.hip"):
        reveal(page, key)
        slider = page.locator(f'[data-key="{key}"] input[type=range]')
        slider.evaluate("e => e.scrollIntoView({block: 'center'})")
        slider.focus()
        slider.press("ArrowRight")
        settled(page)
        stage, strip = page.locator("#stage").bounding_box(), page.locator("#strip").bounding_box()
        box = slider.bounding_box()
        assert stage and strip and box
        assert stage["y"] >= 0 and stage["height"] > 250  # the picture is in view
        assert strip["y"] + strip["height"] <= box["y"]  # and covers nothing that is being moved
        assert page.locator("#girth").inner_text() in page.locator("#strip").inner_text()
    w.close()


def test_without_webgl(plain_browser: Any, address: str) -> None:
    w = Watched(plain_browser, address)
    page = w.page
    assert page.locator("#plain").is_visible()
    assert not page.locator("#picture").is_visible()
    assert page.locator("#plain").inner_text().count(".") == 1  # one sentence
    set_foam(page, 0.5)
    assert_shows(w, changed(DEMO, "pads.thickness", 0.5))
    assert page.locator("#outlines path.after").count() == 2
    w.close()


def test_two_contexts_do_not_see_each_other(browser: Any, address: str) -> None:
    one, two = Watched(browser, address), Watched(browser, address)
    for steps in (8, 10, 12, 14, 16):
        set_foam(one.page, steps / 16)
        set_slider(two.page, "pads.start", steps + 4)
    assert_shows(one, changed(DEMO, "pads.thickness", 1.0))
    assert_shows(two, changed(DEMO, "pads.start", 2.5))
    one.close()
    two.close()


def test_keyboard_alone(watched: Watched) -> None:
    """From the client just opened: to a slider, move it, take advice, turn the figure; focus is always visible."""
    page = watched.page
    assert page.evaluate("document.activeElement.id") == "client"  # her name is heard, and everything comes after it
    reached: list[str] = []
    invisible: list[str] = []
    for _ in range(60):
        page.keyboard.press("Tab")
        here = page.evaluate(
            "(() => { const e = document.activeElement; const s = getComputedStyle(e); const t = e.nextElementSibling;"
            " const next = t ? getComputedStyle(t).outlineStyle : 'none'; const b = e.getBoundingClientRect();"
            " return {id: e.dataset.front || e.dataset.grip || e.id || e.name || e.className || e.tagName, "
            " ring: s.outlineStyle !== 'none' || next !== 'none',"
            " name: e.ariaLabel || e.labels?.[0]?.textContent || e.textContent,"
            " inView: b.bottom > 0 && b.top < innerHeight}; })()"
        )
        reached.append(here["id"])
        assert here["name"].strip(), here
        assert here["inView"], here
        if not here["ring"]:
            invisible.append(here["id"])
        if here["id"] == "hand":
            break
    assert invisible == []
    for wanted in (
        "face",
        "open",
        "save",
        "unit",
        "picture",
        "colour",
        "wear",
        "mode",
        "side-light",
        "field-aim.hip",
        "slider",
        "hand",
    ):
        assert wanted in reached, (wanted, reached)
    page.locator('.swatches input[value="19.05"]').focus()
    page.keyboard.press("ArrowRight")
    settled(page)
    assert_shows(watched, changed(DEMO, "pads.thickness", 1.0))
    page.locator("[data-front=findings]").focus()
    page.keyboard.press("Enter")
    advice = page.locator(".take").first
    advice.focus()
    page.keyboard.press("Enter")
    settled(page)
    assert watched.sheet() != changed(DEMO, "pads.thickness", 1.0)
    page.locator("#picture").focus()
    before = picture(page)
    page.keyboard.press("ArrowRight")
    assert picture(page) != before
    page.locator("#drawer-title").focus()
    page.keyboard.press("Escape")
    field = page.locator('[id="field-pads.start"]')
    field.focus()
    page.keyboard.press("ArrowUp")
    settled(page)
    assert field.input_value() == "1⅝"


def test_what_a_screen_reader_hears(watched: Watched) -> None:
    page = watched.page
    set_foam(page, 1.5)
    heard = page.locator("#heard")
    page.locator("#heard", has_text="Would show").wait_for()  # once the hand rests
    assert heard.get_attribute("role") == "status"
    assert "New hip girth" in heard.inner_text() and "Would show" in heard.inner_text()
    assert page.get_by_role("slider", name="Start, slider").get_attribute("aria-valuetext") == "1½ in"
    assert page.get_by_role("textbox", name="Foam", exact=True).input_value() == "1½"
    open_drawer(page, "pads")
    assert page.get_by_role("checkbox", name="Front pad").is_checked()
    assert page.get_by_role("img", name="The figure before and after").count() == 1
    assert page.get_by_role("img", name="Silhouettes from the front and from the side").count() == 1


def test_all_the_foam_that_is_sold_fits_beside_the_field(watched: Watched) -> None:
    """Seven sheets of metric foam, at every width: none lies under the field, none is too small for its number."""
    page = watched.page
    set_unit(page, "cm")
    for width in (1440, 1024, 390):
        page.set_viewport_size({"width": width, "height": 900})
        sheets, field = page.evaluate(
            """() => { const box = (e) => { const r = e.getBoundingClientRect();
                return [r.left, r.top, r.right, r.bottom]; };
              const control = document.querySelector('#five-controls [data-key="pads.thickness"]');
              const sheets = [...control.querySelectorAll(".swatches label")];
              return [sheets.map(box), box(control.querySelector("input[type=text]"))]; }"""
        )
        assert len(sheets) == 7
        for left, top, right, bottom in sheets:
            assert right <= field[0] or top >= field[3] or bottom <= field[1], width
            assert right - left >= 18 and left >= 0 and right <= width, width


def test_foam_that_is_said_late_moves_nothing_on_a_phone(browser: Any, address: str) -> None:
    """How much foam to buy is worked out once the hand rests: what lies below it stays where a finger holds it."""
    w = Watched(browser, address, viewport={"width": 390, "height": 844}, table=False)
    page = w.page
    held: list[Any] = []
    page.route("**/buying", lambda route: held.append(route))
    look_at_example(page)
    while not held:
        page.wait_for_timeout(20)
    place = "document.getElementById('draft').getBoundingClientRect().top + scrollY"
    before = page.evaluate(place)
    held[0].continue_()
    page.locator("#to-do dd small", has_text="of a sheet").wait_for()
    assert page.evaluate(place) == before
    w.close()
