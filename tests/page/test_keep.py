"""Saving and opening in the browser; conflicts and earlier versions; what is handed over and printed."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import silhouette
from tests.page.browser import (
    Watched,
    choose_client,
    keep_variant,
    kept,
    open_drawer,
    save_as,
    set_foam,
    settled,
    type_into,
)
from tests.page.sheets import DEMO, changed


def test_save_open_list_search(watched: Watched, folder: Path) -> None:
    from playwright.sync_api import expect

    page = watched.page
    assert page.locator("#kept").inner_text() == "The example"
    set_foam(page, 0.5)
    save_as(page, "Ada")
    kept(page, "Saved as “Ada”")
    assert silhouette.read_sheet(folder / "Ada.toml") == silhouette.from_plain(
        changed(DEMO, "pads.thickness", "0.5 in")
    )
    type_into(page, "client.name", "Baker, act one")
    kept(page, "“Ada”, changes not saved")
    save_as(page, "Baker")
    kept(page, "Saved as “Baker”")
    page.locator("#open").click()
    expect(page.locator(".client")).to_have_count(2)
    page.get_by_label("Search").fill("mark act two")
    expect(page.locator(".client")).to_have_count(1)
    page.locator(".client").click()
    settled(page)
    kept(page, "Saved as “Ada”")
    assert page.locator("#client").inner_text() == "Market keeper, act two"


def test_comments_survive_a_save(watched: Watched, folder: Path) -> None:
    text = '# Second act.\nunit = "cm"\n[girths]\nwaist = 74 # at the fitting\nhip = "102 cm"\n[[fitted]]\nhip = 1100\n'
    (folder / "Commented.toml").write_text(text)
    page = watched.page
    page.locator("#open").click()
    choose_client(page, "Commented")
    type_into(page, "girths.waist", "75")
    page.locator("#save").click()
    kept(page, "Saved as “Commented”")
    now = (folder / "Commented.toml").read_text()
    assert "# Second act." in now and "# at the fitting" in now and "[[fitted]]" in now
    assert tomllib.loads(now)["girths"]["waist"] == 75


def test_earlier_version_comes_back(watched: Watched, folder: Path) -> None:
    page = watched.page
    save_as(page, "Earlier")
    kept(page, "Saved as “Earlier”")
    first = (folder / "Earlier.toml").read_bytes()
    set_foam(page, 0.5)
    page.locator("#save").click()
    kept(page, "Saved as “Earlier”")
    assert [p.read_bytes() for p in (folder / ".earlier" / "Earlier").glob("*.toml")] == [first]
    open_drawer(page, "file")
    page.locator("#earlier").click()
    page.locator(".client", has_text="Bring back").click()
    page.locator("dialog[open]").wait_for(state="detached")  # it closes when the version is on the table
    settled(page)
    assert silhouette.from_plain(watched.sheet()) == silhouette.from_plain(DEMO)
    kept(page, "“Earlier”, changes not saved")
    page.keyboard.press("Control+s")
    kept(page, "Saved as “Earlier”")
    assert silhouette.read_sheet(folder / "Earlier.toml") == silhouette.from_plain(DEMO)


def test_the_address_names_the_file_and_opens_it(watched: Watched, folder: Path) -> None:
    page = watched.page
    set_foam(page, 0.5)
    save_as(page, "Zoë, act 2")
    kept(page, "Saved as “Zoë, act 2”")
    assert page.evaluate("decodeURIComponent(location.hash)") == "#Zoë, act 2"
    other = watched.open(page.evaluate("location.href"))  # a bookmark, in a second tab
    kept(other, "Saved as “Zoë, act 2”")
    settled(other)
    assert silhouette.from_plain(watched.sheet(other)) == silhouette.read_sheet(folder / "Zoë, act 2.toml")


def test_two_tabs_are_told(watched: Watched, folder: Path) -> None:
    page = watched.page
    save_as(page, "Both")
    kept(page, "Saved as “Both”")
    other = watched.open(page.evaluate("location.href"))
    page.locator("#notice", has_text="open in another tab").wait_for()
    other.locator("#notice", has_text="open in another tab").wait_for()
    set_foam(other, 0.5)
    other.locator("#save").click()
    page.locator("#notice", has_text="was saved elsewhere").wait_for()
    page.get_by_role("button", name="Show the saved one").click()
    page.locator("#notice").wait_for(state="hidden")
    settled(page)
    assert silhouette.from_plain(watched.sheet()) == silhouette.read_sheet(folder / "Both.toml")


def test_nothing_is_overwritten_silently(browser: Any, address: str, folder: Path) -> None:
    """Two contexts, as on two machines' browsers: the second to save is asked."""
    one, two = Watched(browser, address, expect_errors=True), Watched(browser, address, expect_errors=True)
    save_as(one.page, "Shared")
    kept(one.page, "Saved as “Shared”")
    save_as(two.page, "Shared")  # a name that is taken is not taken over
    two.page.locator("#name-fault", has_text="already a client of this name").wait_for()
    two.page.locator("dialog .close").click()
    two.page.locator("#open").click()
    choose_client(two.page, "Shared")
    set_foam(one.page, 0.5)
    one.page.locator("#save").click()
    kept(one.page, "Saved as “Shared”")
    theirs = (folder / "Shared.toml").read_bytes()
    set_foam(two.page, 1)
    two.page.locator("#save").click()
    two.page.locator("dialog h2", has_text="Saved elsewhere in the meantime").wait_for()
    assert (folder / "Shared.toml").read_bytes() == theirs
    two.page.get_by_role("button", name=re.compile("^Save mine over it")).click()
    kept(two.page, "Saved as “Shared”")
    assert theirs in [p.read_bytes() for p in (folder / ".earlier" / "Shared").glob("*.toml")]
    (folder / "Shared.toml").unlink()
    set_foam(two.page, 0.75)
    two.page.locator("#save").click()
    two.page.locator("dialog", has_text="is gone from the folder").wait_for()
    two.page.get_by_role("button", name=re.compile("^Keep mine")).click()
    two.page.locator("#save-name").fill("Shared 2")
    two.page.locator("dialog button[type=submit]").click()
    kept(two.page, "Saved as “Shared 2”")
    one.close()
    two.close()


def test_clients_are_read_before_they_come_in_sight(watched: Watched) -> None:
    """A list that is put together anew while it is in sight loses the press of a quick hand, or gives it to another."""
    page = watched.page
    save_as(page, "Quick")
    kept(page, "Saved as “Quick”")
    held: list[Any] = []
    page.route("**/clients", lambda route: held.append(route))
    with page.expect_request("**/clients"):
        page.locator("#open").click()
    assert page.locator("#desk").is_visible() and page.locator("#clients").is_hidden()
    held[0].continue_()
    choose_client(page, "Quick")
    kept(page, "Saved as “Quick”")


def test_variants_are_kept_with_the_client(watched: Watched) -> None:
    page = watched.page
    keep_variant(page)
    set_foam(page, 0.5)
    keep_variant(page)
    save_as(page, "With variants")
    kept(page, "Saved as “With variants”")
    page.goto(watched.address)
    settled(page)
    page.locator("#open").click()
    choose_client(page, "With variants")
    open_drawer(page, "variants")
    page.locator(".compare thead th").nth(1).wait_for()
    assert [v["name"] for v in watched.state()["work"]["variants"]] == ["A", "B"]


def test_bad_names_are_explained(browser: Any, address: str) -> None:
    w = Watched(browser, address, expect_errors=True)
    save_as(w.page, "../away")
    w.page.locator("#name-fault", has_text="dot").wait_for()
    w.page.locator("#save-name").fill("COM1")
    w.page.locator("dialog button[type=submit]").click()
    w.page.locator("#name-fault", has_text="device").wait_for()
    w.close()


def test_a_late_answer_does_not_undo_a_quick_second_tick(watched: Watched) -> None:
    """The answer to the first tick comes back after the second: the box keeps what was asked last."""
    page = watched.page
    slow: list[Any] = []
    page.route("**/preview", lambda route: slow.append(route) if len(slow) < 1 else route.continue_())
    open_drawer(page, "pads")
    page.locator('[data-key="pads.front"] input').uncheck()
    page.locator('[data-key="pads.back"] input').uncheck()
    while not slow:
        page.wait_for_timeout(10)
    page.evaluate(
        """() => { window.ticked = [];
          const box = document.querySelector('[data-key="pads.back"] input');
          const set = Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, 'checked').set;
          Object.defineProperty(box, 'checked', {set(v) { window.ticked.push(v); set.call(box, v); },
            get: Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, 'checked').get}); }"""
    )
    slow[0].continue_()
    settled(page)
    ticked = page.evaluate("window.ticked")
    assert ticked and not any(ticked)


def test_a_late_answer_does_not_write_over_what_is_being_typed(watched: Watched) -> None:
    """The note is answered while the next date is being typed: the date stays in its field, and goes into the sheet."""
    page = watched.page
    slow: list[Any] = []
    page.route("**/preview", lambda route: slow.append(route) if not slow else route.continue_())
    open_drawer(page, "hand")
    page.locator('[id="field-client.note"]').fill("Bring the shoes.")
    date = page.locator('[id="field-client.next_date"]')
    date.focus()
    page.keyboard.type("Monday at")
    while not slow:
        page.wait_for_timeout(10)
    slow[0].continue_()
    settled(page)
    assert date.input_value() == "Monday at"
    page.keyboard.type(" ten")
    page.keyboard.press("Tab")
    settled(page)
    assert watched.sheet()["client"]["next_date"] == "Monday at ten"
