"""Undo, units, what the tab remembers and what address and history must not hold."""

from __future__ import annotations

from typing import Any

import pytest

from silhouette.asked.lengths import format_length, parse_length
from tests.page.browser import (
    Watched,
    keep_variant,
    look_at_example,
    set_foam,
    set_slider,
    set_unit,
    settled,
    type_into,
)
from tests.page.sheets import DEMO, FRACTIONS, assert_shows, changed, expected


def test_undo_and_redo(watched: Watched) -> None:
    page = watched.page
    assert page.locator("#undo").is_disabled()
    set_foam(page, 0.5)
    set_slider(page, "pads.start", 20)
    page.locator("#undo").click()
    settled(page)
    assert_shows(watched, changed(DEMO, "pads.thickness", 0.5))
    page.locator("#undo").click()
    settled(page)
    assert_shows(watched, DEMO)
    page.locator("#redo").click()
    settled(page)
    assert_shows(watched, changed(DEMO, "pads.thickness", 0.5))
    page.locator("#picture").focus()
    page.keyboard.press("Control+z")
    settled(page)
    assert_shows(watched, DEMO)


def test_units_never_alter_what_is_stored(watched: Watched) -> None:
    page = watched.page
    type_into(page, "pads.thickness", "20 mm")
    before, girth = watched.sheet(), page.locator("#girth").inner_text()
    assert before["pads"]["thickness"] == "20 mm"
    assert girth.endswith(" in")
    for unit in ("cm", "in", "cm", "in", "cm"):
        page.locator(f'input[name=unit][value="{unit}"]').check(force=True)
        settled(page)
        assert watched.sheet() == before
    assert page.locator("#girth").inner_text() == format_length(expected(before).new_hip_girth, "cm")
    assert page.locator('[data-key="pads.thickness"] input[type=text]').input_value() == "2.0"
    page.locator('[data-key="pads.thickness"] input[type=text]').focus()
    page.keyboard.press("Tab")  # leaving a field without typing stores nothing
    settled(page)
    assert watched.sheet() == before
    set_slider(page, "pads.start", 10)  # steps of 5 mm now
    assert watched.sheet()["pads"]["start"] == "5 cm"


def test_lengths_read_as_the_command_line_writes_them(watched: Watched) -> None:
    sizes = [
        0,
        0.1,
        1.5,
        3.175,
        39.6875,
        17.4625,
        12.7,
        19.05,
        20,
        25.4,
        38.1,
        101.6,
        977.9,
        1111.25,
        1166.9,
        -6.35,
        -60,
    ]
    told = watched.page.evaluate(
        "async (sizes) => { const { tapeText, withUnit } = await import('/page/lengths.js');"
        " return sizes.map((mm) => { const fine = tapeText(mm, 'in', {fine: true});"
        " return [tapeText(mm, 'in'), tapeText(mm, 'cm'), fine, withUnit(fine, 'cm')]; }); }",
        sizes,
    )

    def plain(text: str) -> str:
        for spelled, sign in FRACTIONS.items():
            whole, found, rest = text.partition(sign)
            if found:
                text = f"{whole} {spelled}{rest}".replace("− ", "−").strip()
        return text.replace("−", "-")

    for mm, (inch, cm, fine, typed) in zip(sizes, told, strict=True):
        assert plain(inch) == format_length(mm, "in")
        assert plain(cm) == format_length(mm, "cm")
        assert plain(fine) == format_length(mm, "in", sixteenths=True)
        # what is shown can be typed again
        assert parse_length(typed, "cm") == pytest.approx(parse_length(plain(fine), "cm"))


def test_the_tab_keeps_everything_and_the_address_nothing(watched: Watched) -> None:
    page = watched.page
    set_foam(page, 0.5)
    keep_variant(page)
    page.locator("#views [data-view=back]").click()
    set_unit(page, "cm")
    assert page.evaluate("location.href") == watched.address
    girth = page.locator("#girth").inner_text()
    page.reload()
    settled(page)
    assert page.locator("#girth").inner_text() == girth
    page.locator(".compare thead th").wait_for(state="attached")
    assert page.locator("#views [data-view=back]").get_attribute("aria-pressed") == "true"
    page.goto("about:blank")
    page.goto(watched.address)  # typed anew in the same tab
    settled(page)
    assert page.locator("#girth").inner_text() == girth
    other = watched.open()
    assert watched.sheet(other) == DEMO  # two tabs are two tables
    set_foam(other, 0.625)
    assert page.locator("#girth").inner_text() == girth


def test_neither_history_nor_address_holds_a_client(watched: Watched) -> None:
    """Name, note and girths stay out of whatever the browser remembers of its addresses; so does the key."""
    page = watched.page
    went: list[str] = []
    page.on("framenavigated", lambda frame: went.append(frame.url))
    type_into(page, "client.name", "Quillon")
    type_into(page, "girths.waist", "33 1/2")
    type_into(page, "client.note", "Privately said")
    page.go_back()
    settled(page)
    assert page.evaluate("location.search + location.hash") == ""
    assert went and {url for url in went} == {watched.address}
    cookies = watched.context.cookies()
    assert [(c["httpOnly"], c["sameSite"], c["expires"]) for c in cookies] == [(True, "Strict", -1)]
    assert page.evaluate("document.cookie") == ""


def test_back_button(watched: Watched) -> None:
    page = watched.page
    set_foam(page, 0.5)
    set_slider(page, "pads.start", 20)
    page.go_back()
    settled(page)
    assert_shows(watched, changed(DEMO, "pads.thickness", 0.5))
    page.go_back()
    settled(page)
    assert_shows(watched, DEMO)
    page.go_forward()
    settled(page)
    assert_shows(watched, changed(DEMO, "pads.thickness", 0.5))


@pytest.mark.parametrize("broken", ["#", "#%%%", "#aGVsbG8", "#..%2Faway", "?key=wrong", "?key=&key=1"])
def test_broken_address_starts_afresh(browser: Any, address: str, broken: str) -> None:
    w = Watched(browser, address, expect_errors=True)  # such a client's file is asked for, and is not there
    w.open(w.address + broken)
    assert w.sheet(w.context.pages[-1]) == DEMO
    w.close()


@pytest.mark.parametrize("kept", ["[]", "{", '{"work": {"sheet": []}, "desk": {}}', '{"work": {"sheet": {}}}'])
def test_broken_memory_starts_afresh(watched: Watched, kept: str) -> None:
    page = watched.page
    page.evaluate("kept => sessionStorage.setItem(`silhouette step ${history.state.at}`, kept)", kept)
    page.reload()
    look_at_example(page)  # back among the clients
    assert watched.sheet() == DEMO
