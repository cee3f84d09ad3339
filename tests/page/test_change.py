"""Moving a control changes picture and numbers to what ``preview()`` says for that sheet."""

from __future__ import annotations

import copy
import re
from typing import Any

import numpy as np
import pytest

import silhouette
from silhouette.asked.sheet import PARAMETERS
from silhouette.page.answers import VERDICTS
from silhouette.page.handover import signed
from silhouette.search.together import together
from tests.page.browser import (
    Watched,
    open_drawer,
    reveal,
    set_foam,
    set_slider,
    settled,
    type_into,
)
from tests.page.sheets import DEMO, assert_shows, changed, expected, picture, tape

#: One change of every control: what is typed, chosen or ticked, and what it means on a sheet in inches.
TYPED: dict[str, tuple[str, Any]] = {
    "client.size": ("20", 20),
    "girths.waist": ("33 1/2", 33.5),
    "girths.high_hip": ("38", 38),
    "girths.hip": ("43", 43),
    "girths.thigh": ("25½", 25.5),
    "girths.knee": ("16", 16),
    "drops.high_hip": ("4", 4),
    "drops.hip": ("8 1/2", 8.5),
    "drops.under_seat": ("12", 12),
    "drops.knee": ("24", 24),
    "widths.waist_breadth": ("11", 11),
    "widths.waist_depth": ("8", 8),
    "widths.hip_breadth": ("15", 15),
    "widths.hip_depth": ("9 1/2", 9.5),
    "pads.thickness": ("1/2", 0.5),
    "pads.bevel": ("2 1/2", 2.5),
    "pads.start": ("2", 2),
    "pads.front_reach": ("4", 4),
    "pads.back_gap": ("2", 2),
    "pads.end": ("12 1/2", 12.5),
    "pads.layers": ("2", 2),
    "foam.measured": ("11/16", 0.6875),
}
OUTLINES: dict[str, tuple[str, Any]] = {
    "pads.front_outline": ("0; 1.5\n4; 8\n0; 12", [[0, 1.5], [4, 8], [0, 12]]),
    "pads.back_outline": ("0; 1.5\n5; 8\n0; 12", [[0, 1.5], [5, 8], [0, 12]]),
}
#: The five choices that are always in sight have a short name.
FIVE = {
    "aim.hip": "Wanted hip",
    "pads.thickness": "Foam",
    "pads.start": "Start",
    "pads.end": "End",
    "pads.bevel": "Edge",
}
#: Controls that say something without changing the shape.
SILENT = {
    "client.name": "Baker, act one",
    "client.notes": "Bring shoes.",
    "client.note": "See you on Monday.",
    "client.next_date": "Monday at ten",
    "foam.grade": "30/43",
    "cloth.ease": "1",
}


def test_first_sight_is_the_demo(watched: Watched) -> None:
    assert watched.page.title() == "Market keeper, act two · Silhouette"
    assert_shows(watched, DEMO)
    assert watched.page.locator("#table").inner_text().count("~") >= 4  # estimated rows are marked
    outline = watched.page.locator("#outlines path.after").first.get_attribute("d")
    assert outline is not None and outline.count("L") == 2 * len(watched.numbers()["silhouette"]["drop_mm"]) - 1


def test_every_declared_parameter_has_a_labelled_control(watched: Watched) -> None:
    page = watched.page
    for key, p in PARAMETERS.items():
        if p.kind == "outline":  # traced in a drawer of its own
            assert page.locator("[data-drawer=outline]").count() == 1
            continue
        control = page.locator(f'[data-key="{key}"]')
        assert control.count() == 1, key
        label = control.locator("label.label, legend").first
        assert label.text_content() == FIVE.get(key, p.label[0].upper() + p.label[1:])
        if label.evaluate("e => e.tagName") == "LABEL":
            assert control.locator(f'[id="{label.get_attribute("for")}"]').count() == 1
        assert p.help.split(".")[0] in (control.locator(".help").text_content() or "")
    others = {"pads.fullness", "pads.fullness_below", "pads.front", "pads.back", "pads.profile"}
    tried = {*TYPED, *SILENT, *OUTLINES, *others}
    assert tried >= {k for k in PARAMETERS if k.split(".")[0] in ("client", "girths", "drops", "widths", "pads")}


def test_every_typed_control_does_what_preview_says(watched: Watched) -> None:
    """One after the other on the same sheet; undo takes back the last alone."""
    page, plain, last = watched.page, DEMO, picture(watched.page)
    for key, (text, value) in TYPED.items():
        type_into(page, key, text)
        was, plain = plain, changed(plain, key, value)
        assert_shows(watched, plain)
        before, last = last, picture(page)
        assert last != before, key
    page.locator("#undo").click()
    settled(page)
    assert_shows(watched, was)


def test_free_outlines(browser: Any, address: str) -> None:
    w = Watched(browser, address, expect_errors=True)  # one outline alone is refused: both are sewn together
    plain = DEMO
    for key, (text, value) in OUTLINES.items():
        type_into(w.page, key, text)
        plain = changed(plain, key, value)
    assert_shows(w, plain)
    w.close()


def test_sliders_choices_and_ticks(watched: Watched) -> None:
    page = watched.page
    plain = copy.deepcopy(DEMO)
    set_foam(page, 0.5)  # sixteenths of an inch
    plain = changed(plain, "pads.thickness", 0.5)
    assert_shows(watched, plain)
    set_slider(page, "pads.fullness", 0.8)
    plain = changed(plain, "pads.fullness", 0.8)
    assert_shows(watched, plain)
    reveal(page, "pads.profile")
    page.locator('[data-key="pads.profile"] select').select_option("feathered")
    settled(page)
    plain = changed(plain, "pads.profile", "feathered")
    assert_shows(watched, plain)
    reveal(page, "pads.front")
    page.locator('[data-key="pads.front"] input').uncheck()
    settled(page)
    plain = changed(plain, "pads.front", False)
    assert_shows(watched, plain)
    page.locator('[data-key="pads.back"] input').uncheck()
    settled(page)
    plain = changed(plain, "pads.back", False)
    assert_shows(watched, plain)
    assert "own hip" in page.locator("#added").inner_text()


def test_silent_controls_are_kept(watched: Watched) -> None:
    page = watched.page
    before = watched.numbers()["new_hip_girth_mm"]
    for key, text in SILENT.items():
        type_into(page, key, text)
        section, name = key.split(".")
        assert str(watched.sheet()[section][name]).startswith(text)
    assert watched.numbers()["new_hip_girth_mm"] == before
    assert page.locator("#client").inner_text() == "Baker, act one"


def test_one_side_may_differ(watched: Watched) -> None:
    page = watched.page
    page.get_by_label("Her left").check(force=True)
    assert page.locator('[data-key="pads.thickness"] label.label').text_content() == "Foam, her left"
    set_foam(page, 0.5)
    set_foam(page, 1)
    plain = changed(DEMO, "pads.left", {"thickness": 1.0})
    assert_shows(watched, plain)
    page.get_by_label("Both sides").check(force=True)
    assert "Her left: 1 in" in page.locator('[data-key="pads.thickness"] .differs').inner_text()
    open_drawer(page, "findings")
    page.locator('.take[data-check="left and right"]').click()
    settled(page)
    assert_shows(watched, DEMO)


def test_advice_is_taken_with_one_press(watched: Watched) -> None:
    page = watched.page
    set_foam(page, 1.5)  # 1 1/2 in
    open_drawer(page, "findings")
    button = page.locator('.take[data-check="thickness"]')
    assert button.inner_text() == "Use 1 in foam"
    button.click()
    settled(page)
    assert_shows(watched, changed(DEMO, "pads.thickness", 1))
    assert page.locator('.reason:has(.take[data-check="thickness"])').count() == 0


def test_all_advice_with_one_press(watched: Watched) -> None:
    page = watched.page
    type_into(page, "pads.start", "1/2")
    set_foam(page, 1.5)
    before = watched.sheet()
    found = together(expected(before))
    assert found is not None
    open_drawer(page, "findings")
    page.get_by_role("button", name="Take all the advice together").click()
    page.locator(f"#verdict strong:text-is('{VERDICTS[found[1].verdict][0]}')").wait_for()
    settled(page)
    assert expected(watched.sheet()).sheet == found[1].sheet
    assert_shows(watched, watched.sheet())


def test_under_a_tight_shell_there_are_three(watched: Watched) -> None:
    """Body, padded and worn: a third silhouette, a third girth, a third column."""
    page = watched.page
    assert page.locator("#outlines path.worn").count() == 0
    type_into(page, "cloth.shell_hip", "44 1/2")
    plain = changed(DEMO, "cloth.shell_hip", 44.5)
    assert_shows(watched, plain)
    seen = expected(plain)
    assert seen.shell.tight
    assert tape(seen.shell.worn_hip) in page.locator("#added").inner_text()
    assert page.locator("#outlines path.worn").count() == 2
    assert "Under the shell" in page.locator("#table thead").text_content()
    told = watched.numbers()
    worn = np.array(told["silhouette"]["front"]["worn"])
    assert (
        np.abs(worn - seen.tape_worn.outline_from(0.0)).max() <= 0.0506
    )  # a tenth of a millimetre, rounded from the report


def test_each_reason_points_at_its_place(watched: Watched) -> None:
    page = watched.page
    type_into(page, "pads.start", "1/4")
    set_slider(page, "pads.bevel", 2)
    open_drawer(page, "findings")
    reasons = page.locator("#reasons .reason")
    assert reasons.count() >= 2
    told = watched.numbers()
    drops = np.array(told["silhouette"]["drop_mm"])
    for i in range(reasons.count()):
        number = reasons.nth(i).get_attribute("data-number")
        place = page.locator(f'#outlines .place[data-number="{number}"]')
        assert place.count() == 1
        dot = place.locator(".dot")
        x, y = float(dot.get_attribute("cx")), float(dot.get_attribute("cy"))
        on_outline = page.evaluate(
            """([x, y]) => [...document.querySelectorAll('#outlines path.after')].some((path) =>
              path.getAttribute('d').match(/[-\\d.]+ [-\\d.]+/g).some((pair) => {
                const [a, b] = pair.split(' ').map(Number); return Math.hypot(a - x, b - y) < 0.6; }))""",
            [x, y],
        )
        assert on_outline
        reasons.nth(i).hover()
        assert page.locator(f'#outlines .place.pointed[data-number="{number}"]').count() == 1
    assert drops[0] == 0


def test_faults_are_those_of_the_command_line(browser: Any, address: str) -> None:
    w = Watched(browser, address, expect_errors=True)
    page = w.page
    type_into(page, "pads.thickness", "12")
    with pytest.raises(silhouette.SheetError) as refused:
        silhouette.from_plain(changed(DEMO, "pads.thickness", "12 in"))
    said = signed(refused.value.faults[0].message)
    words = re.sub(r" \([\d.]+ to [\d.]+ mm\)", "", said).removeprefix("foam thickness must be ")
    assert page.locator("#faults li").inner_text() == f"Foam, 12 in: must be {words}"  # by the name it has here
    control = page.locator('[data-key="pads.thickness"]')
    assert control.locator(".fault").is_visible()
    assert control.locator("input[type=text]").get_attribute("aria-invalid") == "true"
    type_into(page, "girths.waist", "wide")
    assert page.locator("#faults li").count() == 2  # every fault at once
    page.locator("#undo").click()
    page.locator("#undo").click()
    settled(page)
    assert page.locator("#faults").inner_text() == ""
    assert_shows(w, DEMO)
    w.close()


#: Three wishes through ``newestWins``: a slow one is overtaken by a moving one, whose successor is then sent.
OVERTAKING = """async () => {
  const { newestWins } = await import('/page/ask.js');
  const events = []; const open = {};
  const send = (wish) => {
    events.push(`sent ${wish.name}`);
    return new Promise((done) => (open[wish.name] = () => done(wish.name)));
  };
  const heard = (word) => ({ answer }) => events.push(`${word} ${answer}`);
  const ask = newestWins(send, heard('took'), heard('showed'));
  const tick = () => new Promise((done) => setTimeout(done, 0));
  const slow = ask({ name: 'slow' });
  const moved = ask({ name: 'moved', moving: true });
  const again = ask({ name: 'again', moving: true });
  const rest = ask({ name: 'rest' });
  open.slow(); await tick();
  open.moved(); await tick();
  open.rest(); await tick();
  return [events, await slow, await moved, await again, await rest];
}"""


def test_what_takes_long_is_overtaken(watched: Watched) -> None:
    """A wish that rests does not hold up one that moves; while that is in flight only the newest is remembered."""
    events, *done = watched.page.evaluate(OVERTAKING)
    assert events == ["sent slow", "sent moved", "took moved", "sent rest", "showed moved", "took rest", "showed rest"]
    assert done == [False, True, False, False]
