"""Advice is proved: applied to the sheet, it brings the check that gave it inside its limit."""

from contextlib import suppress
from functools import lru_cache

import numpy as np
import pytest

import silhouette
from silhouette import SheetError, with_values
from silhouette.asked.lengths import format_length
from silhouette.cloth.dressed import dress
from silhouette.cloth.shell import Shell
from silhouette.judged.advice import _with_thickness, thinner
from silhouette.judged.finding import Check, Finding, thickness_text
from silhouette.judged.limits import stock
from silhouette.shape.figure import figure_like
from tests.clients import sheet

SEEDS = 12  #: random sheets, all of them built


def some_sheet(rng):
    """A sheet that earns advice: thick foam, narrow bevels, high starts, sides unlike."""
    unit = str(rng.choice(["in", "cm"]))
    hip = rng.uniform(820, 1400)
    keys = {
        "girths.hip": hip,
        "girths.waist": hip * rng.uniform(0.62, 0.9),
        "pads.thickness": rng.choice([10, 19.05, 25.4, 32, 40]),
        "pads.bevel": rng.choice([0, 15, 30, 45]),
        "pads.start": rng.choice([0, 15, 40]),
        "pads.back_gap": rng.choice([0, 10, 25]),
        "pads.fullness": 1000 * rng.uniform(0, 1),
    }
    if rng.random() < 0.4:
        keys["pads.left.thickness"] = rng.choice([6, 12.7, 30])
    if rng.random() < 0.2:
        keys["foam.measured"] = rng.uniform(8, 30)
    scale = 25.4 if unit == "in" else 10
    keys = {k: float(v) / (1000 if k == "pads.fullness" else scale) for k, v in keys.items()}
    return sheet(keys | {"pads.profile": str(rng.choice(["straight", "rounded", "feathered"]))}, unit=unit)


@lru_cache(maxsize=SEEDS)
def shown(seed):
    """The preview of a random sheet; pads that cannot lie there are drawn anew."""
    rng = np.random.default_rng(seed)
    while True:
        with suppress(SheetError):
            return silhouette.preview(some_sheet(rng))


@pytest.mark.parametrize("seed", range(SEEDS))
def test_advice_brings_its_own_check_inside_the_limit(seed):
    seen = shown(seed)
    for found in seen.findings:
        if found.severity != "fine":
            assert found.advice
        if found.changes:
            after = silhouette.preview(with_values(seen.sheet, dict(found.changes)), advice=False)
            again = [f for f in after.findings if f.check == found.check]
            assert all(f.severity == "fine" for f in again), (found.check, found.changes)


def test_stock_foam_put_in_directly_is_the_sheet_read_anew():
    given = silhouette.with_values(silhouette.read_sheet("demo"), {"pads.left.thickness": 25.0, "foam.measured": 18.0})
    for changes in (
        {"pads.thickness": 12.7},
        {"pads.thickness": 12.7, "foam.measured": None},
        {"pads.left.thickness": 9.525, "pads.thickness": 12.7, "foam.measured": None},
    ):
        assert _with_thickness(given, changes) == silhouette.with_values(given, changes)


@pytest.mark.parametrize("seed", range(SEEDS))
def test_every_piece_of_advice_names_what_the_sheet_has_now(seed):
    seen = shown(seed)
    unit = seen.sheet.unit
    own = {pad.foam for pad in seen.pads}, {pad.bevel for pad in seen.pads}
    for found in seen.findings:
        if found.severity == "fine" or not found.advice:
            continue
        assert "instead of" in found.advice or "where the pads lie now" in found.advice, found.advice
        keys = {key.rpartition(".")[2] for key, _ in found.changes}
        if keys <= {"thickness", "measured"} and keys and found.check != "left and right":
            assert f"instead of {thickness_text(max(own[0]), unit)}" in found.advice
        if "bevel" in keys:
            assert any(f"instead of {format_length(bevel, unit)}" in found.advice for bevel in own[1])


def check_content_up_to(thickest):
    """A check of foam alone, content up to a thickness."""

    def judge(dressed):
        foam = max(pad.foam for pad in dressed.figure.pads)
        return Finding("foam", "watch" if foam > thickest else "fine", foam, thickest, "mm", "", "")

    return Check("foam", judge, lambda dressed, finding: thinner(dressed, 0.0, check_content_up_to(thickest)))


def test_the_thinnest_foam_is_tried_before_it_is_said_that_none_will_do():
    # An estimate on the safe side says that nothing is thin enough; a quarter of an inch is all the same.
    demo = dress(Shell(figure_like(silhouette.read_sheet("demo"))))
    advice, changes = thinner(demo, 0.0, check_content_up_to(7.0))
    assert advice == "1/4 in foam instead of 3/4 in brings this inside the limit"
    assert changes == (("pads.thickness", stock("in")[0]),)
    advice, changes = thinner(demo, 0.0, check_content_up_to(6.0))
    assert advice.startswith("no foam on sale is thin enough where the pads lie now (0 in at most instead of 3/4 in)")
    assert "place them otherwise" in advice and not changes
