"""Saving and opening in the browser; conflicts and earlier versions; what is handed over and printed."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

import silhouette
from silhouette.page.templates_job import start
from tests.page.browser import CHROMIUM, Watched, keep_variant, open_drawer, set_foam, settled, type_into
from tests.page.test_change import DEMO, changed, expected, tape


def save_as(page: Any, name: str) -> None:
    open_drawer(page, "file")
    page.locator("#save-as").click()
    page.get_by_label("Name of the file", exact=True).fill(name)
    page.locator("dialog button[type=submit]").click()


def kept(page: Any, words: str) -> None:
    page.locator(f"#kept:text-is('{words}')").wait_for()


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
    page.locator(".client", has_text="Commented").click()
    settled(page)
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
    two.page.locator(".client", has_text="Shared").click()
    settled(two.page)
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
    page.locator(".client", has_text="With variants").click()
    settled(page)
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


@pytest.fixture(scope="module")
def handed_over(browser: Any, address: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file that the page writes for a client."""
    w = Watched(browser, address)
    page = w.page
    set_foam(page, 0.5)
    type_into(page, "client.note", "Soft foam, </script><b>as agreed</b>.\nBring the shoes.")
    type_into(page, "client.next_date", "Monday at ten")
    open_drawer(page, "hand")
    with page.expect_download(timeout=120_000) as download:
        page.locator("#handover").click()
    page.locator("#progress", has_text="is written").wait_for()
    assert download.value.suggested_filename == "Market keeper, act two.html"
    target = tmp_path_factory.mktemp("handed over") / "for the client.html"
    download.value.save_as(target)
    w.close()
    return target


@pytest.mark.parametrize("scripts", [True, False])
def test_hand_over_file(handed_over: Path, driver: Any, scripts: bool) -> None:
    """Complete from disk at 390 px, without network, with and without scripts; it is the client's face."""
    assert handed_over.stat().st_size < 800_000
    text = handed_over.read_text("utf-8")
    assert not re.search(r"(src|href)\s*=\s*[\"']?(https?:)?//", text) and "@import" not in text
    offline = driver.chromium.launch(
        executable_path=CHROMIUM,
        args=["--no-sandbox", "--disable-gpu", "--enable-unsafe-swiftshader", "--host-resolver-rules=MAP * ~NOTFOUND"],
    )
    context = offline.new_context(
        viewport={"width": 390, "height": 844},
        has_touch=True,
        is_mobile=True,
        offline=True,
        java_script_enabled=scripts,
    )
    shown = context.new_page()
    asked: list[str] = []
    errors: list[str] = []
    shown.on("request", lambda r: asked.append(r.url))
    shown.on(
        "console",
        lambda m: errors.append(m.text) if m.type in ("error", "warning") and "GPU stall" not in m.text else None,
    )
    shown.on("pageerror", lambda e: errors.append(str(e)))
    shown.goto(handed_over.as_uri())
    seen = expected(changed(DEMO, "pads.thickness", 0.5))
    assert shown.locator("#after").inner_text() == tape(seen.new_hip_girth)
    assert shown.locator("#before").inner_text() == "42 in"
    assert shown.locator("#client").inner_text() == "Market keeper, act two"
    assert shown.locator("#note").inner_text().startswith("Soft foam, </script><b>as agreed</b>.")
    words = shown.locator("main").inner_text()
    assert "Monday at ten" in words and "burns fast" in words
    for word in ("rare", "obvious", "percentile", "watch", "would show", "carve", "bevel", "thigh", "women"):
        assert word not in words.lower(), word
        assert f">{word}" not in text.lower()
    pictures = shown.locator("#stills img")
    assert pictures.count() == 6
    if scripts:
        assert shown.evaluate("document.documentElement.scrollWidth") <= 390
        first = shown.evaluate("document.getElementById('picture').toDataURL()")
        shown.get_by_role("button", name="Back", exact=True).click()
        shown.wait_for_timeout(700)
        assert shown.evaluate("document.getElementById('picture').toDataURL()") != first
        assert shown.locator("#stills").is_hidden()
    else:
        for picture in pictures.all():
            box = picture.bounding_box()
            assert box and box["width"] > 150 and box["x"] + box["width"] <= 390 and picture.is_visible()
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
    assert errors == []
    offline.close()


@pytest.mark.parametrize("thickness", [0.5, 1.5])
def test_printed_summary_is_one_page(watched: Watched, tmp_path: Path, thickness: float) -> None:
    import pypdf

    page = watched.page
    set_foam(page, thickness)
    type_into(page, "client.notes", "Soft foam, as agreed.")
    target = tmp_path / "summary.pdf"
    page.pdf(path=target, prefer_css_page_size=True)
    pages = pypdf.PdfReader(target).pages
    assert len(pages) == 1
    text = " ".join(pages[0].extract_text().split())
    assert "Market keeper, act two" in text and "Soft foam, as agreed." in text
    assert tape(expected(changed(DEMO, "pads.thickness", thickness)).new_hip_girth) in text
    assert "Foam burns fast" in text
    assert "Save as" not in text  # nothing of the page's own buttons
    assert len(pages[0].images) >= 1  # the picture is on it


def test_templates_are_made_with_progress(watched: Watched, folder: Path) -> None:
    page = watched.page
    save_as(page, "Cut")
    kept(page, "Saved as “Cut”")
    page.evaluate(
        """() => { window.heard = []; new MutationObserver(() => {
          const bar = document.querySelector('#cut-progress progress');
          if (bar) window.heard.push(document.querySelector('#cut-progress p').textContent);
        }).observe(document.getElementById('cut-progress'), {childList: true, subtree: true, characterData: true}); }"""
    )
    open_drawer(page, "cutting")
    page.locator("#templates").click()
    page.locator("#cut-progress li").first.wait_for(timeout=60_000)
    written = {p.name for p in (folder / "Cut templates").iterdir()}
    assert written == set(page.locator("#cut-progress li").all_inner_texts()) and "templates-a4.pdf" in written
    assert any("drawing every piece" in words for words in page.evaluate("window.heard"))


def test_templates_are_told_step_by_step(tmp_path: Path) -> None:
    """What the browser is told; the last step may be too quick to be seen there."""
    told = [json.loads(line) for line in start(silhouette.preview(silhouette.from_plain(DEMO)), tmp_path, "Cut")]
    assert [(line["done"], line["of"]) for line in told[:-1]] == [(0, 2), (1, 2)]
    assert told[1]["words"] == "writing the files"
    assert set(told[-1]["files"]) == {p.name for p in (tmp_path / "Cut templates").iterdir()}


def test_templates_that_cannot_be_made_say_why(watched: Watched) -> None:
    page = watched.page
    open_drawer(page, "pads")
    for part in ("front", "back"):
        page.locator(f'[data-key="pads.{part}"] input').uncheck()
    settled(page)
    open_drawer(page, "cutting")
    page.locator("#templates").click()
    page.locator("#cut-progress .fault", has_text="nothing to cut").wait_for(timeout=60_000)


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
