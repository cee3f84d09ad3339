"""The picture runs ahead of the answer while a control moves: near what the answer brings, and only for that long."""

from __future__ import annotations

from typing import Any

import pytest

from tests.page.browser import Watched, settled
from tests.page.sheets import DEMO, picture, picture_now

#: Answers to three sheets that differ in one value, and the third one's figure as the first two let it be seen: mean
#: and greatest distance of the cloth from where the answer has it, mm, and how far the cloth has moved at most.
GUESSED = """async ([sheets]) => {
  const [{ createAhead }, { look }, { gridsOf }] = await Promise.all(
    ["ahead", "ask", "figure"].map((name) => import(`/page/${name}.js`)));
  const ahead = createAhead();
  const answers = [];
  for (const sheet of sheets) {
    const { numbers, block } = await look(sheet, "in");
    answers.push({ grids: gridsOf(numbers, block), level: numbers.new_hip_drop_mm, values: numbers.values });
  }
  const [here, beside, wanted] = answers;
  ahead.keep(sheets[0], here.values, here);
  ahead.learn(sheets[1], beside.values, beside);
  const guess = ahead.guess(sheets[2]);
  const apart = (one, other) => ["after", "before"].flatMap((role) => {
    const points = ({ grids }) => grids.find((grid) => grid.role === role).points;
    const [p, q] = [points(one), points(other)];
    const gap = (_, i) => Math.hypot(...[0, 1, 2].map((k) => p[3 * i + k] - q[3 * i + k]));
    return Array.from({ length: p.length / 3 }, gap);
  });
  const off = apart(guess, wanted);
  return {
    mean: off.reduce((a, b) => a + b) / off.length, worst: Math.max(...off), moved: Math.max(...apart(here, wanted)),
    level: guess.level - wanted.level,
  };
}"""


def sheet_with(key: str, value: str) -> dict[str, Any]:
    section, name = key.split(".")
    return {**DEMO, section: {**DEMO[section], name: value}}


@pytest.mark.parametrize(
    ("key", "here", "beside", "wanted"),
    [
        ("pads.thickness", "0.75 in", "1 in", "0.8125 in"),
        ("pads.thickness", "0.75 in", "1 in", "0.625 in"),
        ("pads.start", "1.5 in", "2 in", "1.75 in"),
        ("pads.start", "1.5 in", "2 in", "1.125 in"),
        ("pads.bevel", "4 in", "3.5 in", "3.75 in"),
        ("pads.end", "13 in", "13.5 in", "13.25 in"),
        ("girths.hip", "42 in", "42.5 in", "42.125 in"),
    ],
)
def test_figure_ahead_lies_near_the_answer(watched: Watched, key: str, here: str, beside: str, wanted: str) -> None:
    found = watched.page.evaluate(GUESSED, [[sheet_with(key, value) for value in (here, beside, wanted)]])
    assert found["moved"] > 0.9
    assert found["mean"] <= 0.1  # mm
    assert found["worst"] <= 2  # less than two pixels of the picture at 1440 px, this tool's convention


#: Moves a slider by some steps of its own; the pictures that come at once, and whether each is ahead.
STEP = """([key, steps]) => {
  const slider = document.querySelector(`[data-key="${key}"] input[type=range]`);
  const seen = [];
  document.addEventListener("pictured", ({ detail }) => seen.push(detail.ahead));
  slider.value = Number(slider.value) + steps;
  slider.dispatchEvent(new Event("input", { bubbles: true }));
  return seen;
}"""


#: Counts the answers that the page has had and has taken in.
COUNTED = """() => {
  const asked = window.fetch;
  window.taken = 0;
  window.fetch = async (...wish) => {
    const reply = await asked(...wish);
    const whole = reply.arrayBuffer.bind(reply);
    reply.arrayBuffer = async () => {
      const raw = await whole();
      setTimeout(() => (window.taken += 1));
      return raw;
    };
    return reply;
  };
}"""


def come_to(page: Any, key: str) -> None:
    """A hand comes to a slider; what lies beside it has been asked for and has been taken in."""
    page.evaluate(COUNTED)
    page.hover(f'[data-key="{key}"] input[type=range]')
    page.wait_for_function("() => window.taken > 0")


def test_picture_follows_at_once_and_ends_as_its_answer_has_it(watched: Watched) -> None:
    page = watched.page
    at_rest, said = picture(page), page.locator("#girth").inner_text()
    come_to(page, "pads.start")
    assert picture(page) == at_rest  # what may come is not shown
    plain = picture_now(page)
    slow: list[Any] = []
    page.route("**/preview", lambda route: slow.append(route) if not slow else route.continue_())
    assert page.evaluate(STEP, ["pads.start", 2]) == [True]
    assert picture_now(page) != plain
    assert page.locator("#girth").inner_text() == said  # no number runs ahead
    while not slow:
        page.wait_for_timeout(10)
    slow[0].continue_()
    settled(page)
    page.evaluate(
        "key => document.querySelector(`[data-key='${key}'] input[type=range]`)"
        ".dispatchEvent(new Event('change', {bubbles: true}))",
        "pads.start",
    )
    settled(page)
    ended = picture(page)
    page.reload()
    settled(page)
    assert picture(page) == ended


def test_refused_value_leaves_the_picture_of_the_last_answer(watched: Watched) -> None:
    """A guess goes with the wish it was drawn for."""
    watched.expect_errors = True
    page = watched.page
    come_to(page, "pads.start")
    at_rest, plain = picture(page), picture_now(page)
    held: list[Any] = []
    page.route("**/preview", lambda route: held.append(route))
    page.evaluate(STEP, ["pads.start", 2])
    assert picture_now(page) != plain
    while not held:
        page.wait_for_timeout(10)
    held[0].fulfill(status=422, json={"faults": [{"place": "pads", "message": "no"}]})
    settled(page)
    assert picture(page) == at_rest


def test_another_control_waits_for_its_first_answer(watched: Watched) -> None:
    """What is known of one control's way says nothing of another's; a choice has no way at all."""
    page = watched.page
    come_to(page, "pads.start")
    assert page.evaluate(STEP, ["pads.bevel", 1]) == []
    settled(page)


def test_value_that_cannot_be_is_not_complained_of_before_it_is_wished_for(watched: Watched) -> None:
    reply = watched.page.request.post(
        f"{watched.address}preview", data={"sheet": sheet_with("pads.start", "90 in"), "moving": True, "coming": True}
    )
    assert reply.status == 204 and reply.body() == b""
