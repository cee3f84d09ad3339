"""Looking at it: turning, before and after, over one another, light and colour, variants in a row."""

from __future__ import annotations

import pytest

from tests.page.audit import audit
from tests.page.browser import (
    Watched,
    at_rest,
    keep_variant,
    set_foam,
    settled,
)
from tests.page.sheets import DEMO, assert_shows, changed, picture


def test_views_turn_both_figures(watched: Watched) -> None:
    page = watched.page
    seen = {picture(page)}
    for name in ("front", "side", "back", "quarter"):
        page.locator(f"#views [data-view={name}]").click()
        seen.add(picture(page))
    assert len(seen) == 5
    words = page.locator("#picture").get_attribute("aria-label")
    assert words is not None and "front" in words
    page.locator("#views [data-view=side]").click()
    assert "right side" in str(page.locator("#picture").get_attribute("aria-label"))
    page.locator("#views [data-view=rest]").click()
    assert watched.state()["desk"]["view"]["turn"] == pytest.approx(0.55)
    box = page.locator("#picture").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 200, box["y"] + 150)
    page.mouse.down()
    page.mouse.move(box["x"] + 290, box["y"] + 150, steps=4)
    page.mouse.up()
    assert watched.state()["desk"]["view"]["turn"] == pytest.approx(0.55 + 0.785, abs=0.02)


def test_before_is_left_and_after_is_right(watched: Watched) -> None:
    """Undressed, only the right half of the picture carries pads; dressed, none are to be seen."""
    page = watched.page
    page.locator("#views [data-view=side]").click()
    page.locator('input[name=wear][value="pads"]').check(force=True)
    at_rest(page)
    foam = """() => { const c = document.getElementById('picture'); const d = document.createElement('canvas');
      [d.width, d.height] = [c.width, c.height]; const x = d.getContext('2d'); x.drawImage(c, 0, 0);
      const p = x.getImageData(0, 0, c.width, c.height).data; let n = [0, 0];
      for (let i = 0; i < p.length; i += 4)
        if (p[i + 3] > 200 && p[i] > 1.35 * p[i + 1] && p[i] < 1.9 * p[i + 1])
          n[(i / 4) % c.width < c.width / 2 ? 0 : 1]++;
      return n; }"""
    left, right = page.evaluate(foam)
    assert right > 20 * max(left, 1)
    page.locator('input[name=wear][value="dressed"]').check(force=True)
    at_rest(page)
    assert page.evaluate(foam)[1] < right / 20


def test_laid_over_and_divided(watched: Watched) -> None:
    page = watched.page
    shots = [picture(page)]
    page.locator('input[name=mode][value="over"]').check(force=True)
    shots.append(picture(page))
    page.locator('input[name=mode][value="divide"]').check(force=True)
    divider = page.get_by_label("Divider between before and after")
    for value in ("10", "50", "90"):
        divider.fill(value)
        shots.append(picture(page))
    assert len(set(shots)) == 5
    divider.press("ArrowLeft")
    assert watched.state()["desk"]["view"]["wipe"] == pytest.approx(0.89)
    assert watched.state()["desk"]["view"]["mode"] == "divide"


def test_side_light_and_colour_change_the_picture_and_nothing_else(watched: Watched) -> None:
    page = watched.page
    before, girth = picture(page), page.locator("#girth").inner_text()
    page.locator("#side-light").check()
    lit = picture(page)
    page.locator('#colours input[value="wine"]').check(force=True)
    settled(page)
    dyed = picture(page)
    assert len({before, lit, dyed}) == 3 and page.locator("#girth").inner_text() == girth
    assert watched.sheet()["cloth"]["colour"] == "wine"
    page.locator("#undo").click()
    settled(page)
    assert picture(page) == lit


def test_variants_side_by_side(watched: Watched) -> None:
    page = watched.page
    girths = []
    for steps in (8, 10, 12, 16):
        set_foam(page, steps / 16)
        keep_variant(page)
        settled(page)
        girths.append(page.locator("#girth").inner_text())
    assert page.locator("#keep").is_disabled()
    page.locator(".compare thead th").nth(3).wait_for()
    strokes = [
        (p.get_attribute("stroke-dasharray"), p.get_attribute("stroke-width"))
        for p in page.locator("#variants svg.drawing path.variant").all()
    ]
    assert len(strokes) == 8 and len(set(strokes)) == 4  # told apart by pattern and weight, not by tone alone
    shown = page.locator('.compare tr:has(th:text-is("New hip girth")) td').all_inner_texts()
    assert shown == girths
    page.get_by_label("Choose variant A").click()
    settled(page)
    assert_shows(watched, changed(DEMO, "pads.thickness", 0.5))
    page.get_by_label("Take variant B away").click()
    page.locator(".compare thead th").nth(3).wait_for(state="detached")
    assert [v["name"] for v in watched.state()["work"]["variants"]] == ["A", "C", "D"]
    page.locator("#undo").click()
    assert [v["name"] for v in watched.state()["work"]["variants"]] == ["A", "B", "C", "D"]


#: How wide and how high each figure of the row is drawn, px of the canvas.
ROW_SIZES = """(count) => { const c = document.getElementById('picture'); const d = document.createElement('canvas');
  [d.width, d.height] = [c.width, c.height]; const x = d.getContext('2d'); x.drawImage(c, 0, 0);
  const p = x.getImageData(0, 0, c.width, c.height).data; const wide = Math.floor(c.width / count);
  return Array.from({length: count}, (_, k) => { let [l, r, t, b] = [1e9, -1, 1e9, -1];
    for (let j = 0; j < c.height; j++) for (let i = 0; i < wide; i++) {
      const q = 4 * (j * c.width + k * wide + i);
      if (p[q + 3] < 200 || p[q + 2] < p[q] + 12) continue;
      [l, r, t, b] = [Math.min(l, i), Math.max(r, i), Math.min(t, j), Math.max(b, j)];
    }
    return [r - l, b - t]; }); }"""


def test_variants_stand_in_a_row_in_one_scale(watched: Watched) -> None:
    """Dressed, side by side: all as high as one another, the fuller ones wider, the same ones the same."""
    page = watched.page
    assert page.locator("#row-choice").is_hidden()
    for inches in (0.25, 0.25, 0.75, 1.0):
        set_foam(page, inches)
        keep_variant(page)
    page.locator(".compare thead th").nth(3).wait_for()
    page.locator("#beside").click()
    page.locator("#views [data-view=front]").click()
    at_rest(page)
    (w0, h0), (w1, h1), (w2, h2), (w3, h3) = page.evaluate(ROW_SIZES, 4)
    assert abs(w0 - w1) <= 1 and abs(h0 - h1) <= 1
    assert w1 + 10 < w2 < w3 - 3
    assert max(h0, h2, h3) - min(h0, h2, h3) <= 3
    tags = page.locator("#row-tags .tag").all_inner_texts()
    girths = page.locator('.compare tr:has(th:text-is("New hip girth")) td').all_inner_texts()
    assert len(tags) == 4
    assert all(girth in tag for girth, tag in zip(girths, tags, strict=True))
    assert "Variants A, B, C, D" in str(page.locator("#picture").get_attribute("aria-label"))
    heads = page.locator(".compare tbody th").all_inner_texts()
    assert heads[0] == "Foam thickness" and "Bevel width" not in heads  # a row for what differs
    audit(page, ".look")
    audit(page, "[data-drawer=variants]")
    for _ in range(4):
        page.get_by_label("Take variant").first.click()
    page.locator("#row-choice").wait_for(state="hidden")
    assert page.locator("#stage").get_attribute("data-mode") == "pair"
