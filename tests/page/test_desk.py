"""Looking at it: undo, units, the address, views, variants, narrow screens, no WebGL, keyboard, accessibility."""

from __future__ import annotations

import json
from typing import Any

import pytest

from silhouette.asked.lengths import format_length
from tests.page.browser import (
    Watched,
    keep_variant,
    look_at_example,
    open_drawer,
    reveal,
    set_face,
    set_foam,
    set_slider,
    set_unit,
    settled,
    type_into,
)
from tests.page.test_change import DEMO, FRACTIONS, assert_shows, changed, expected, picture


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
    sizes = [0, 0.1, 1.5, 3.175, 12.7, 19.05, 20, 25.4, 38.1, 101.6, 977.9, 1111.25, 1166.9, -6.35, -60]
    told = watched.page.evaluate(
        "async (sizes) => { const { tapeText } = await import('/page/lengths.js');"
        " return sizes.map((mm) => [tapeText(mm, 'in'), tapeText(mm, 'cm'), tapeText(mm, 'in', {fine: true})]); }",
        sizes,
    )

    def plain(text: str) -> str:
        for spelled, sign in FRACTIONS.items():
            whole, found, rest = text.partition(sign)
            if found:
                text = f"{whole} {spelled}{rest}".replace("− ", "−").strip()
        return text.replace("−", "-")

    for mm, (inch, cm, fine) in zip(sizes, told, strict=True):
        assert plain(inch) == format_length(mm, "in")
        assert plain(cm) == format_length(mm, "cm")
        assert plain(fine) == format_length(mm, "in", sixteenths=True)


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
    page.wait_for_timeout(500)
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
    page.wait_for_timeout(500)
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
        page.wait_for_timeout(50)
        shots.append(picture(page))
    assert len(set(shots)) == 5
    divider.press("ArrowLeft")
    assert watched.state()["desk"]["view"]["wipe"] == pytest.approx(0.89)
    assert watched.state()["desk"]["view"]["mode"] == "divide"


def test_side_light_and_colour_change_the_picture_and_nothing_else(watched: Watched) -> None:
    page = watched.page
    before, girth = picture(page), page.locator("#girth").inner_text()
    page.locator("#side-light").check()
    page.wait_for_timeout(600)  # drawn once more with smooth edges
    lit = picture(page)
    page.locator('#colours input[value="wine"]').check(force=True)
    settled(page)
    dyed = picture(page)
    assert len({before, lit, dyed}) == 3 and page.locator("#girth").inner_text() == girth
    assert watched.sheet()["cloth"]["colour"] == "wine"
    page.locator("#undo").click()
    settled(page)
    page.wait_for_timeout(600)
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
    page.wait_for_timeout(600)  # drawn once more with smooth edges
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
    for _ in range(4):
        page.get_by_label("Take variant").first.click()
    page.locator("#row-choice").wait_for(state="hidden")
    assert page.locator("#stage").get_attribute("data-mode") == "pair"


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
    page.wait_for_timeout(900)
    heard = page.locator("#heard")
    assert heard.get_attribute("role") == "status"
    assert "New hip girth" in heard.inner_text() and "Would show" in heard.inner_text()
    assert page.get_by_role("slider", name="Start, slider").get_attribute("aria-valuetext") == "1½ in"
    assert page.get_by_role("textbox", name="Foam", exact=True).input_value() == "1½"
    open_drawer(page, "pads")
    assert page.get_by_role("checkbox", name="Front pad").is_checked()
    assert page.get_by_role("img", name="The figure before and after").count() == 1
    assert page.get_by_role("img", name="Silhouettes from the front and from the side").count() == 1


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1440, 390])
def test_accessibility_audit(browser: Any, address: str, scheme: str, width: int) -> None:
    """axe-core finds nothing serious: on the page with either face, a fault or nobody; in every drawer and dialog."""
    from axe_playwright_python.sync_playwright import Axe

    axe = Axe()
    w = Watched(
        browser,
        address,
        expect_errors=True,
        viewport={"width": width, "height": 900},
        color_scheme=scheme,
        bypass_csp=True,
    )
    page = w.page
    keep_variant(page)
    set_foam(page, 1.5)
    page.locator(".compare").wait_for(state="attached")

    # the tones alone depend on the scheme; everything else is found once, in the light one
    options = {"runOnly": ["color-contrast"]} if scheme == "dark" else {}

    def audit(part: str | None = None) -> None:
        found = axe.run(page, part, options).response["violations"]
        grave = [v for v in found if v["impact"] in ("serious", "critical")]
        told = [
            (v["id"], v["help"], [n["html"][:160] + " | " + n.get("failureSummary", "")[:200] for n in v["nodes"][:3]])
            for v in grave
        ]
        assert told == [], json.dumps(told, indent=1)

    audit()
    for front in page.locator("#chest button").all():
        if front.get_attribute("aria-expanded") == "false":
            front.click()
        audit("#drawer")
    page.locator("#drawer-close").click()
    set_face(page, "client")
    audit()
    set_face(page, "workroom")
    type_into(page, "pads.thickness", "12")
    assert page.locator("#faults li").count() == 1
    audit()
    page.locator("#open").click()
    audit()
    page.locator("#fresh").click()
    audit("dialog[open]")  # unsaved work is asked about
    page.get_by_role("button", name="Go on without saving").click()
    audit()
    w.close()
