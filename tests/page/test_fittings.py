"""A fitting recorded on the page: the file gets the record, the page the command line's words, and it can be undone."""

from __future__ import annotations

import contextlib
import io
from pathlib import Path
from typing import Any

import pytest

import silhouette
from silhouette.asked.fittings import read_fittings
from silhouette.cli.fitting import fitted
from tests.page.audit import audit
from tests.page.browser import Watched, choose_client, open_drawer, server, set_unit, settled

SHEET = (
    'unit = "in"\n[client]\nname = "Anna"\n[girths]\nwaist = 31\nhip = 42\n[pads]\nthickness = 0.75\n[aim]\nhip = 46\n'
)


def at_the_fittings(w: Watched) -> Any:
    page = w.page
    choose_client(page, "Anna")
    set_unit(page, "in")
    open_drawer(page, "fittings")
    return page


def record(page: Any, hip: str, over: str = "cloth", day: str = "2026-11-25") -> None:
    page.locator("#fitting-hip").fill(hip)
    page.locator("#fitting-over").select_option(over)
    page.locator("#fitting-date").fill(day)
    page.locator("#fitting-record").click()
    page.locator("#fitting-record:enabled").wait_for()


def said_by_the_command(folder: Path, hip: str) -> list[str]:
    """The lines of the command line for the same reading on a copy of the sheet."""
    folder.mkdir()
    (folder / "Anna.toml").write_text(SHEET)
    heard = io.StringIO()
    with contextlib.redirect_stdout(heard):
        fitted(folder / "Anna.toml", hip=hip, date="2026-11-25")
    return heard.getvalue().splitlines()


def test_what_now_is_the_command_lines(browser: Any, tmp_path: Path) -> None:
    (tmp_path / "page").mkdir()
    place = tmp_path / "page" / "Anna.toml"
    place.write_text(SHEET)
    wanted = said_by_the_command(tmp_path / "cli", "45 1/4 in")
    with server(place.parent) as address:
        w = Watched(browser, address, table=False)
        page = at_the_fittings(w)
        record(page, "45 1/4")
        shown = page.evaluate(
            "async (lines) => { const { withSigns } = await import('/page/lengths.js');"
            " return lines.map((line) => withSigns(line.trim())); }",
            [line for line in wanted if not line.startswith("The record is in the sheet")],
        )
        assert page.locator("#fitting-said p, #fitting-said li").all_inner_texts() == shown
        assert any("layer" in line for line in shown) and any("foam" in line for line in shown)
        (kept,) = read_fittings(place.read_text())
        assert (kept.girth, kept.over, kept.date.isoformat()) == (45.25 * 25.4, "cloth", "2026-11-25")
        assert page.locator("#kept").inner_text() == "Saved as “Anna”"  # the page knows the file as it now stands
        audit(page, "[data-drawer=fittings]")
        w.close()


def test_the_same_day_asks_and_a_record_can_be_taken_back(browser: Any, tmp_path: Path) -> None:
    place = tmp_path / "Anna.toml"
    place.write_text(SHEET)
    with server(tmp_path) as address:
        w = Watched(browser, address, table=False, expect_errors=True)  # refused once
        page = at_the_fittings(w)
        record(page, "45 1/4")
        record(page, "45 1/2")
        assert [r.girth for r in read_fittings(place.read_text())] == [45.25 * 25.4]
        assert "already" in page.locator("#fitting-fault").inner_text()
        page.locator("#fitting-replace").click()
        page.locator("#fitting-fault:empty").wait_for(state="attached")
        page.locator("#fitting-record:enabled").wait_for()
        assert [r.girth for r in read_fittings(place.read_text())] == [45.5 * 25.4]
        record(page, "46", over="pads")  # over something else it is another record
        assert len(read_fittings(place.read_text())) == 2
        page.locator("#fitting-list .fitting").nth(1).wait_for()
        page.get_by_role("button", name="Take back the fitting of 2026-11-25").first.click()
        page.locator("#fitting-list .fitting").nth(1).wait_for(state="detached")
        assert [r.over for r in read_fittings(place.read_text())] == ["cloth"]
        page.get_by_role("button", name="Take back the fitting of 2026-11-25").click()
        page.locator("#fitting-list .fitting").wait_for(state="detached")
        assert place.read_text() == SHEET
        w.close()


def test_unsaved_work_is_saved_first_and_what_was_learned_can_be_undone(browser: Any, tmp_path: Path) -> None:
    place = tmp_path / "Anna.toml"
    place.write_text(SHEET)
    with server(tmp_path) as address:
        w = Watched(browser, address, table=False)
        page = at_the_fittings(w)
        page.evaluate("document.querySelector('.swatches input[value=\"25.4\"]').click()")
        settled(page)
        record(page, "45 1/2")
        assert silhouette.read_sheet(place).pads.thickness == pytest.approx(25.4)
        girth = page.locator("#girth").inner_text()
        page.locator("#fitting-use").click()
        settled(page)
        (kept,) = read_fittings(place.read_text())
        assert kept.explains is not None and kept.explains[0] == "foam.measured"
        assert silhouette.from_plain(w.sheet()).foam.measured == pytest.approx(kept.explains[1], abs=0.01)
        assert page.locator("#girth").inner_text() == "45½ in" != girth
        page.locator("#undo").click()
        settled(page)
        assert page.locator("#girth").inner_text() == girth
        w.close()


def test_an_impossible_reading_is_refused_and_nothing_is_written(browser: Any, tmp_path: Path) -> None:
    place = tmp_path / "Anna.toml"
    place.write_text(SHEET)
    with server(tmp_path) as address:
        w = Watched(browser, address, table=False, expect_errors=True)
        page = at_the_fittings(w)
        for hip, word in (
            ("30", "below the body"),
            ("110 cm", "below the body"),
            ("wide", "length"),
            ("120", "mixed up"),
        ):
            record(page, hip if hip != "110 cm" else "100 cm")
            assert word in page.locator("#fitting-fault").inner_text(), hip
        assert place.read_text() == SHEET
        w.close()
