"""The map of two choices: what it shows is what ``sweep`` finds, a tap takes a pair, and nothing of it stays behind."""

from __future__ import annotations

import http.client
import json
import multiprocessing
import time
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import silhouette
from silhouette.asked.reading import sheet_text
from silhouette.page.sweep_job import STEPS, axes_in
from silhouette.search.sweep import Axis, sweep
from tests.page.audit import audit
from tests.page.browser import Watched, open_drawer, settled
from tests.page.running import running

DEMO = tomllib.loads(sheet_text("demo"))
THICK = {"key": "pads.thickness", "low": 6.35, "high": 25.4}
EDGE = {"key": "pads.bevel", "low": 0.0, "high": 114.3}


def draw_map(page: Any) -> None:
    open_drawer(page, "map")
    page.locator("#map-go").click()
    page.locator("#map svg").wait_for(timeout=120_000)


def place_of(page: Any, row: int, column: int) -> tuple[float, float]:
    box = page.locator("#map .tile").nth(row * STEPS + column).bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_the_map_is_the_sweeps_and_a_tap_takes_the_pair(watched: Watched) -> None:
    page = watched.page
    draw_map(page)
    sheet = silhouette.from_plain(DEMO)
    found = sweep(sheet, Axis("pads.thickness", 6.35, 25.4), Axis("pads.bevel", 0.0, 114.3), STEPS)
    tiles = page.locator("#map .tile").evaluate_all("list => list.map((tile) => tile.classList[1])")
    names = {"-": "none"}
    wanted = [[found.verdict(r, c) for c in range(STEPS)] for r in range(STEPS)]
    assert tiles == [names.get(name, name) for row in wanted for name in row]
    assert len(set(tiles)) >= 3  # a map worth looking at
    before = watched.sheet()
    row, column = 8, 4
    page.locator("#map").scroll_into_view_if_needed()
    page.mouse.click(*place_of(page, row, column))
    settled(page)
    taken = silhouette.from_plain(watched.sheet())
    assert taken.pads.thickness == pytest.approx(6.35 + column * (25.4 - 6.35) / (STEPS - 1))
    assert taken.pads.bevel == pytest.approx(row * 114.3 / (STEPS - 1))
    assert watched.numbers()["new_hip_girth_mm"] == pytest.approx(found.hip[row, column], abs=0.01)
    assert watched.numbers()["verdict"] == wanted[row][column]
    assert "her sheet" in page.locator("#map-words").inner_text() or "hip" in page.locator("#map-words").inner_text()
    assert not page.locator("#map.old").count()  # the two choices are what the map varies
    page.locator("#undo").click()
    settled(page)
    assert watched.sheet() == before
    audit(page, "[data-drawer=map]")


def test_the_map_by_keyboard_and_when_it_is_out_of_date(watched: Watched) -> None:
    page = watched.page
    draw_map(page)
    page.locator("#map").focus()
    first = page.locator("#map-words").inner_text()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowUp")
    words = page.locator("#map-words").inner_text()
    assert words != first and "hip" in words
    page.keyboard.press("Enter")
    settled(page)
    girth = page.locator("#girth").inner_text().removesuffix(" in")
    assert f"hip {girth} in" in page.locator("#map-words").inner_text()
    page.locator('[id="field-girths.waist"]').evaluate(
        "e => { e.value = '32'; for (const n of ['input', 'change']) e.dispatchEvent(new Event(n, {bubbles: true})); }"
    )
    settled(page)
    page.locator("#map.old").wait_for()
    assert "draw the map again" in page.locator("#map-words").inner_text()


def test_stop_keeps_the_page_at_work(watched: Watched) -> None:
    page = watched.page
    open_drawer(page, "map")
    page.locator("#map-go").click()
    page.locator("#map-progress progress").wait_for()
    page.locator("#map-go", has_text="Stop").click()
    page.locator("#map-progress", has_text="Stopped").wait_for()
    assert page.locator("#map-go").inner_text() == "Draw the map"
    assert page.locator("#map").is_hidden()


@pytest.mark.parametrize("ended", ["read", "left", "followed"])
def test_no_worker_stays(tmp_path: Path, ended: str) -> None:
    """Read to the end, left in the middle by closing the connection, or stopped by the next map."""
    with running(tmp_path) as (port, keys):

        def ask() -> tuple[http.client.HTTPConnection, http.client.HTTPResponse]:
            link = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
            cookie = f"{keys.cookie_name}={keys.cookie}"
            body = json.dumps({"sheet": DEMO, "first": THICK, "second": EDGE})
            link.request("POST", "/map", body, {"Cookie": cookie, "Content-Type": "application/json"})
            return link, link.getresponse()

        link, reply = ask()
        assert reply.status == 200
        assert json.loads(reply.readline()) == {"done": STEPS, "of": STEPS * STEPS}
        assert multiprocessing.active_children()
        if ended == "left":
            reply.close()
            link.close()
        else:
            if ended == "followed":
                other, second = ask()
                lines = [json.loads(line) for line in second.read().splitlines()]
                other.close()
                assert "hip" in lines[-1]
            rest = [json.loads(line) for line in reply.read().splitlines()]
            assert ("hip" in rest[-1] if rest else False) == (ended == "read")
            link.close()
        for _ in range(600):
            if not multiprocessing.active_children():
                break
            time.sleep(0.05)
        assert multiprocessing.active_children() == []


def test_ranges_that_are_none_are_refused() -> None:
    assert [axis.key for axis in axes_in({"first": THICK, "second": EDGE})] == ["pads.thickness", "pads.bevel"]
    wrong = (
        {"first": THICK},
        {"first": THICK, "second": THICK},
        {"first": THICK, "second": {"key": "pads.front", "low": 0, "high": 1}},
        {"first": THICK, "second": {"key": "nothing", "low": 0, "high": 1}},
        {"first": THICK, "second": {**EDGE, "low": -5}},
        {"first": THICK, "second": {**EDGE, "high": np.inf}},
        {"first": THICK, "second": {**EDGE, "low": 50, "high": 20}},
        {"first": "pads.thickness", "second": EDGE},
    )
    for body in wrong:
        with pytest.raises(silhouette.SheetError):
            axes_in(body)
