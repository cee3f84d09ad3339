"""Tracing photographs: a body that is known, photographed by a known camera, traced through the page as a hand would.

The bodies are women the table has not seen (``tests/learn_shape``); the photographs are painted by a pinhole camera of
our own (``photographs.py``) and read pixel by pixel, not by the page's own sums.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from silhouette.asked.reading import from_plain, read_sheet
from silhouette.page.tracing import contact_of
from silhouette.shape.body import build_body
from silhouette.shape.figure import figure_of
from tests.page.audit import audit
from tests.page.browser import Watched, open_drawer, set_face, settled
from tests.page.photographs import Camera, level_ends, photograph
from tests.page.traced import Woman, begin, centre, choose, draw_points, levels_of, reach, trace
from tests.shape.unseen import unseen_women


@pytest.fixture(scope="module")
def woman() -> Woman:
    return Woman(3)


@pytest.fixture(scope="module")
def photographs(woman: Woman, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("photographs")
    return {view: photograph(woman.grids(90), Camera(view), folder / f"{view}.png") for view in ("front", "side")}


def test_a_traced_woman_is_met_and_her_photographs_stay_in_the_page(
    watched: Watched, folder: Path, woman: Woman, photographs: dict[str, Path]
) -> None:
    """Eleven points a side: traced levels within 3 mm (a pixel of the screen is 1 mm there), nine tenths of all levels
    within 4 mm in breadth and depth and 5 mm at the back. With more between them: all levels. Girths as taped."""
    sent: list[tuple[str, bytes]] = []
    watched.page.on("request", lambda r: sent.append((r.url, r.post_data_buffer or b"")))
    page = begin(watched, woman, folder)
    before = woman.off(watched.sheet())
    for view, path in photographs.items():
        trace(page, woman, Camera(view), path)
    plain = watched.sheet()
    off = woman.off(plain)
    assert np.all(np.quantile(off, 0.9, axis=1) < [4.0, 4.0, 5.0])
    assert np.all(off.mean(1) < [2.5, 2.5, 2.5]) and np.all(off.mean(1) < before.mean(1))
    found = levels_of(plain)
    assert len(found["drop"]) == 11
    breadth = 2 * np.interp(found["drop"], woman.body.drops, woman.outer[..., 0].max(1))
    depth = np.interp(found["drop"], woman.body.drops, np.ptp(woman.outer[..., 1], axis=1))
    assert np.abs(found["left"] + found["right"] - breadth).max() < 3
    assert np.abs(found["front"] + found["back"] - depth).max() < 3
    page.locator("#trace-more").click()
    for view, path in photographs.items():
        page.locator(f"input[name=trace-view][value={view}]").check(force=True)
        page.locator("#trace-near").click()
        draw_points(page, Camera(view), path)
    page.locator("#save").click()
    page.locator("#kept:not(.unkept)").wait_for()
    plain = watched.sheet()
    count = len(levels_of(plain)["drop"])
    assert 16 <= count <= 21 and np.diff(levels_of(plain)["drop"]).min() >= 8
    assert np.all(woman.off(plain).max(1) < [4.0, 4.0, 5.0])
    body = figure_of(from_plain(plain))
    assert body.before.girth_at(woman.m.hip_drop) == pytest.approx(woman.m.hip, abs=0.15)
    assert f"{count} levels" in page.locator("#trace-words").inner_text()
    # on disk: the points, and nothing else
    kept = read_sheet(folder / f"{woman.name}.toml")
    assert kept.body.outline == from_plain(plain).body.outline
    assert all(path.suffix == ".toml" or path.suffix == ".json" for path in folder.rglob("*") if path.is_file())
    # on the wire: no picture in any form, and nothing large enough to be one
    assert len(sent) > 20
    for url, body_sent in sent:
        if url.startswith("blob:"):
            assert body_sent == b""
            continue
        assert url.startswith(watched.address), url
        assert len(body_sent) < 20_000
        for trail in (b"PNG", b"JFIF", b"image/", b"iVBOR", b"/9j/", b"blob:", b"data:", b"front.png"):
            assert trail not in body_sent
    stored = page.evaluate("JSON.stringify([{...sessionStorage}, {...localStorage}, document.cookie])")
    assert not any(trail in stored for trail in ("blob:", "data:image", "iVBOR", "/9j/", ".png"))
    assert page.evaluate("indexedDB.databases().then((all) => all.length)") == 0
    assert page.evaluate("caches.keys().then((all) => all.length)") == 0


def test_keys_and_undo(watched: Watched, folder: Path, woman: Woman, photographs: dict[str, Path]) -> None:
    page = begin(watched, woman, folder)
    choose(page, photographs["front"])
    assert "stay in this page" in page.locator(".trace-promise").inner_text()
    grip = page.locator('[data-grip="left 3"]')
    assert grip.get_attribute("aria-label") == "Her left, level 4 from the waist"
    own = float(grip.get_attribute("aria-valuenow"))
    for _ in range(3):
        grip.press("ArrowRight")
        settled(page)
    assert reach(watched, 3, "left") == pytest.approx(own + 1.5, abs=0.8), "three millimetres more across"
    assert np.isnan(levels_of(watched.sheet())["front"]).all(), "nothing is said of what no photograph shows"
    for _ in range(3):
        page.locator("#undo").click()
        settled(page)
    assert "outline" not in watched.sheet().get("body", {})
    page.locator("#redo").click()
    settled(page)
    assert reach(watched, 3, "left") == pytest.approx(own + 0.5, abs=0.8)
    # lines are steps of undo too
    at = centre(page, "waist")
    page.locator('[data-grip="waist"]').press("ArrowUp")
    assert centre(page, "waist")[1] == pytest.approx(at[1] - 1, abs=0.3)
    page.locator("#undo").click()
    settled(page)
    assert centre(page, "waist") == pytest.approx(at, abs=0.1)
    # sides apart
    page.locator("#trace-apart").check(force=True)
    settled(page)
    page.locator('[data-grip="left 3"]').press("ArrowRight")
    settled(page)
    assert reach(watched, 3, "left") == pytest.approx(reach(watched, 3, "right") + 2, abs=0.3), (
        "where each stood on the picture"
    )
    page.locator("#trace-more").click()
    settled(page)
    assert len(levels_of(watched.sheet())["drop"]) > 15
    audit(page, "main")
    page.locator("#trace-out").click()
    settled(page)
    assert "outline" not in watched.sheet().get("body", {})


def test_a_finger_draws_a_point(browser: Any, address: str, folder: Path, woman: Woman, photographs: Any) -> None:
    watched = Watched(browser, address, viewport={"width": 390, "height": 844}, has_touch=True)
    page = begin(watched, woman, folder)
    choose(page, photographs["side"], "side")
    page.locator("#trace-near").click()
    page.locator('[data-grip="back 3"]').scroll_into_view_if_needed()
    was = float(page.locator('[data-grip="back 3"]').get_attribute("aria-valuenow"))
    x, y = centre(page, "back 3")
    touch = page.context.new_cdp_session(page)
    for kind, points in (("touchStart", [x]), ("touchMove", [x - 6]), ("touchMove", [x - 14]), ("touchEnd", [])):
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": at, "y": y} for at in points]})
    settled(page)
    assert reach(watched, 3, "back") > was + 5
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    watched.close()


def test_what_is_no_picture_is_refused_and_another_client_sees_nothing(
    watched: Watched, folder: Path, woman: Woman, photographs: dict[str, Path], tmp_path: Path
) -> None:
    page = begin(watched, woman, folder)
    wrong = tmp_path / "letter.png"
    wrong.write_text("Dear workshop")
    page.locator("#trace-front").set_input_files(wrong)
    page.locator(".trace-told", has_text="cannot open this file").wait_for()
    assert page.locator("#tracing").is_hidden()
    choose(page, photographs["front"])
    url = page.locator(".trace-picture image").first.get_attribute("href")
    assert url.startswith("blob:")
    page.locator("#drawer-close").click()
    assert page.locator("#tracing").is_hidden()
    open_drawer(page, "outline")
    assert page.locator("#tracing").is_visible()
    set_face(page, "client")
    assert page.locator("#tracing").is_hidden()
    set_face(page, "workroom")
    page.locator("#open").click()
    page.locator("#example").click()
    page.locator("dialog button", has_text="Go on without saving").click()
    page.locator("#kept", has_text="The example").wait_for()
    settled(page)
    open_drawer(page, "outline")
    assert page.locator("#tracing").is_hidden() and page.locator("#trace-front").input_value() == ""
    assert page.locator(".trace-picture").count() == 0


@pytest.mark.parametrize("view", ["front", "side"])
def test_each_pair_of_lines_gives_the_same_scale(watched: Watched, folder: Path, woman: Woman, view: str) -> None:
    """Against the camera's own pixels a mm, 1.9, with the model's idea of how near her contours lie."""
    page = begin(watched, woman, folder)
    numbers = {key: value for key, value in watched.numbers().items() if key != "block"}
    camera = Camera(view, aside=140.0)
    waist, hip, knee = (level_ends(camera, woman.level(drop)) for drop in (0.0, woman.m.hip_drop, woman.m.knee_drop))
    middle = np.mean(waist, axis=0)
    found = page.evaluate(
        """async ([numbers, view, size, waist, hip, knee, edges, drops, breadth]) => {
          const { frameOf } = await import("/page/trace_geometry.js");
          const how = { view, way: 1, distance: 2600, aside: 0 };
          const lines = { waist, low: [waist[0], hip[1]], edges };
          const made = [frameOf(numbers, lines, size, { ...how, lowDrop: drops[0] }),
            frameOf(numbers, { ...lines, low: [waist[0], knee[1]] }, size, { ...how, lowDrop: drops[1] })];
          if (view === "front") made.push(frameOf(numbers, lines, size, { ...how, breadth }));
          return made.map((frame) => 1 / frame.scale);
        }""",
        [
            numbers,
            view,
            list(camera.size),
            middle.tolist(),
            np.mean(hip, axis=0).tolist(),
            np.mean(knee, axis=0).tolist(),
            [end.tolist() for end in hip],
            [woman.m.hip_drop, woman.m.knee_drop],
            float(2 * np.interp(woman.m.hip_drop, woman.body.drops, woman.outer[..., 0].max(1))),
        ],
    )
    assert found == pytest.approx([camera.pixels] * len(found), rel=0.006)


def test_where_a_sight_line_touches_an_ellipse() -> None:
    """Closed form: from far off at a distance D the contour of an ellipse lies b²/D nearer than its axis."""
    body = build_body(unseen_women()[0][0], 81, 961)
    turn = np.linspace(0, np.pi, 961)
    outer = body.outer.copy()
    outer[0, ..., 0], outer[0, ..., 1] = 180 * np.sin(turn), 120 * np.cos(turn)
    found = contact_of(replace(body, outer=outer))
    first = {name: found[name][0] for name in ("wide", "front", "back")}
    assert first["wide"] == pytest.approx([120**2 / 3000, 180 * (1 - np.sqrt(1 - (120 / 3000) ** 2))], abs=0.5)
    for name in ("front", "back"):
        assert first[name] == pytest.approx([180**2 / 3000, 120 * (1 - np.sqrt(1 - (180 / 3000) ** 2))], abs=0.5)
