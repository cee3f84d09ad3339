"""The look checks: anchor cases that hold whatever the limits, each check's three severities, limits relative to
the client's own body, common practice."""

from typing import Any

import pytest

import silhouette
from silhouette import with_values
from silhouette.cloth.dressed import dress
from silhouette.cloth.shell import Shell
from silhouette.judged.checks import CLOTH_CHECKS, LOOK_CHECKS, STAGE_CHECKS, findings_of
from silhouette.judged.finding import findings_by, worst
from silhouette.judged.limits import LIMITS, Limit
from tests.clients import figure, sheet

SOUND = {"waist": 33, "hip": 44, "thigh": 26.4}  #: in; a 44 in hip with proportions near the median of 260 women
USUAL = {"pads.thickness": 1, "pads.bevel": 4, "pads.profile": "rounded", "pads.start": 2}


def dressed(asked):
    return dress(Shell(figure(asked)))


def inches(keys, **girths):
    return sheet(USUAL | keys, unit="in", **(SOUND | girths))


def seen(asked):
    return {f.check: f for f in findings_of(dressed(asked))}


def verdict(asked):
    return worst(findings_of(dressed(asked), advice=False))


# ---- anchor cases of the job, whatever the limits ----


@pytest.mark.parametrize("waist", [32, 33, 34])
@pytest.mark.parametrize("thigh", [26, 26.5])
def test_a_sound_figure_with_1_in_foam_is_never_obvious(waist, thigh):
    assert verdict(inches({}, waist=waist, thigh=thigh)) != "obvious"


@pytest.mark.parametrize("keys", [{"pads.thickness": 1.5}, {"pads.bevel": 0}, {"pads.start": 0}])
@pytest.mark.parametrize("waist", [32, 33, 34])
def test_the_same_thicker_or_square_or_from_the_waist_is_obvious(keys, waist):
    assert verdict(inches(keys, waist=waist)) == "obvious"


def test_a_slender_figure_with_1_in_all_round_is_not_fine():
    assert verdict(sheet(USUAL, unit="in", waist=25, hip=34.5)) != "fine"


@pytest.mark.parametrize(("waist", "hip"), [(29, 40), (32, 44), (33, 44)])
def test_three_eighths_of_an_inch_with_a_wide_bevel_is_fine(waist, hip):
    keys = {"pads.thickness": 0.375, "pads.bevel": 3, "pads.profile": "rounded", "pads.start": 2}
    assert verdict(sheet(keys, unit="in", waist=waist, hip=hip)) == "fine"


# ---- each check can be fine, can watch and can call obvious ----

#: stretch cloth that follows the legs: only there can a lower end show
CLOSE = {"cloth.below": "close", "cloth.stretch": 20}
THREE: dict[str, tuple[dict[str, Any], ...]] = {
    "thickness": ({"pads.thickness": 0.5}, {"pads.thickness": 1.125}, {"pads.thickness": 1.5}),
    "start": ({"pads.start": 1.5}, {"pads.start": 0.75}, {"pads.start": 0}),
    "edge": ({"pads.thickness": 0.375}, {}, {"pads.bevel": 1.5}),
    "ridge": ({}, CLOSE | {"pads.bevel": 1.5}, CLOSE | {"pads.thickness": 1.25, "pads.bevel": 0}),
    "shelf": ({}, CLOSE | {"pads.bevel": 3}, CLOSE | {"pads.thickness": 1.75, "pads.bevel": 0}),
    "groove": ({"pads.thickness": 0.5}, {"pads.bevel": 0}, {"pads.thickness": 1.75, "pads.bevel": 0}),
    "waist to hip": ({"girths.waist": 36}, {"girths.waist": 32}, {"girths.waist": 30, "pads.thickness": 2}),
    "thigh to hip": ({"girths.thigh": 29}, {"girths.thigh": 26}, {"girths.thigh": 26, "pads.thickness": 2.25}),
    "added girth": ({"pads.thickness": 0.5}, {"pads.thickness": 1}, {"pads.thickness": 1.75}),
    "left and right": ({}, {"pads.left.thickness": 1.375}, {"pads.left.thickness": 0.25}),
    "centre front": ({}, {"pads.front_reach": 10.5, "pads.end": 9.5}, {"pads.front_reach": 12, "pads.end": 9.5}),
    "back opening": ({"pads.back_gap": 1}, {"pads.back_gap": 0.25}, {"pads.back_gap": -0.5, "pads.end": 9.5}),
}


@pytest.mark.parametrize("check", THREE)
def test_each_check_has_three_answers(check):
    alone = [c for c in LOOK_CHECKS if c.name == check]  # the others' advice is tried elsewhere
    found = [
        findings_by(
            alone, dressed(sheet(USUAL | {f"girths.{n}": g for n, g in SOUND.items()} | keys, unit="in")), advice=True
        )[0]
        for keys in THREE[check]
    ]
    assert [f.severity for f in found] == ["fine", "watch", "obvious"]
    for f in found:
        assert f.basis and f.message and bool(f.advice) == (f.severity != "fine")


def test_every_check_is_among_them_and_has_its_limit_in_the_table():
    found = [f.check for f in findings_of(dressed(inches({})))]
    assert set(found) == set(THREE) == {c.name for c in LOOK_CHECKS} and len(found) == len(LOOK_CHECKS) == len(
        set(found)
    )
    assert {c.name for c in (*LOOK_CHECKS, *STAGE_CHECKS)} | {c.name for c in CLOTH_CHECKS} == set(LIMITS)


def test_without_pads_there_is_nothing_to_say():
    bare = dressed(inches({"pads.front": False, "pads.back": False}))
    assert findings_of(bare) == () and worst(()) == "fine"


def test_the_verdict_is_the_gravest_finding():
    shown = silhouette.preview(inches({"pads.start": 0}))
    order = ["fine", "watch", "obvious"]
    assert shown.verdict == max((f.severity for f in shown.findings), key=order.index) == "obvious"


def test_a_limit_reads_both_ways_and_counts_itself_as_fine():
    up, down = Limit(10, 20, ""), Limit(10, 5, "")
    assert [up.severity(x) for x in (10, 10.1, 20, 20.1)] == ["fine", "watch", "watch", "obvious"]
    assert [down.severity(x) for x in (10, 9.9, 5, 4.9)] == ["fine", "watch", "watch", "obvious"]


# ---- after is compared with before ----


@pytest.mark.parametrize(
    ("check", "girths"),
    [
        ("waist to hip", {"waist": 26, "hip": 44, "thigh": 26.4}),  # 0.591: lower than any of the 260 women
        ("thigh to hip", {"waist": 33, "hip": 44, "thigh": 22.5}),  # 0.511: below their 1st percentile
        ("shelf", {"waist": 33, "hip": 44, "thigh": 22.5}),
    ],
)
def test_a_body_outside_a_statistic_is_not_warned_of_itself(check, girths):
    little = {"pads.thickness": 0.25, "pads.bevel": 2, "pads.start": 2} | CLOSE
    found = seen(sheet(little, unit="in", **girths))[check]
    if check != "shelf":
        own = girths[check.split()[0]] / girths["hip"]
        assert own < LIMITS[check].watch, "the body alone lies outside the plain limit"
    assert found.severity == "fine"
    much = seen(sheet(little | {"pads.thickness": 1.5}, unit="in", **girths))[check]
    assert check == "shelf" or much.severity != "fine", "what the pads add still counts"


@pytest.mark.parametrize("hip", [38, 46, 54, 64])
def test_a_large_client_is_not_punished_for_her_body(hip):
    """Full figures with foam in proportion: the same advice at every size of the same proportions."""
    asked = sheet({"pads.thickness": 0.5, "pads.bevel": 3.5, "pads.start": 2}, unit="in", waist=0.78 * hip, hip=hip)
    assert verdict(asked) == "fine"


# ---- common practice of the trade, no source ----


@pytest.mark.parametrize(("start", "severity"), [(0.99, "watch"), (1, "fine"), (1.5, "fine"), (2, "fine")])
def test_start_1_to_2_in_below_the_waist(start, severity):
    assert seen(inches({"pads.start": start}))["start"].severity == severity


@pytest.mark.parametrize(("thickness", "severity"), [(0.75, "fine"), (1, "fine"), (1.03, "watch"), (1.3, "obvious")])
def test_foam_no_thicker_than_1_in(thickness, severity):
    assert seen(inches({"pads.thickness": thickness}))["thickness"].severity == severity


def test_back_pad_stops_1_in_from_the_opening_unless_told_otherwise():
    found = seen(sheet(unit="in", **SOUND))["back opening"]
    # the least room is a hair above or below the hip line, where the gap is set
    assert found.measured == pytest.approx(25.4, abs=0.3) and found.severity == "fine"


def test_pads_that_meet_or_overlap_are_named():
    over = seen(inches({"pads.back_gap": -1, "pads.end": 9.5}))["back opening"]
    assert "overlap by 2 in" in over.message and over.severity == "obvious"
    past = seen(inches({"pads.left.front_reach": 12, "pads.end": 9.5}))["centre front"]
    assert "past the centre front" in past.message or "overlap" in past.message


def test_advice_names_a_number():
    advice = {f.check: f.advice for f in findings_of(dressed(inches({"pads.start": 0.5, "pads.thickness": 1.5})))}
    assert advice["start"] == "start the pad 1 in below the waist instead of 1/2 in"
    assert all(any(c.isdigit() or c in "½¼¾⅛⅜⅝⅞" for c in text) for text in advice.values() if text)


def test_changes_are_keys_of_the_sheet():
    asked = inches({"pads.left.thickness": 1.6, "pads.start": 0, "pads.bevel": 0.25})
    for found in findings_of(dressed(asked)):
        if found.changes:
            with_values(asked, dict(found.changes))
