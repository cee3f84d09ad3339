"""What leaves the page: her file, the printed page, the cutting templates."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

import silhouette
from silhouette.page.templates_job import start
from tests.page.browser import CHROMIUM, Watched, kept, open_drawer, save_as, set_foam, settled, type_into
from tests.page.sheets import DEMO, changed, expected, tape


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
        shown.wait_for_function("first => document.getElementById('picture').toDataURL() !== first", arg=first)
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
