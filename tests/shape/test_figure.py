"""Readings a fitter asks for: new hip girth and where it is, rule of thumb, tolerance, named levels."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from silhouette.asked.sheet import SIDES
from silhouette.shape.figure import SHEET_TOLERANCE, figure_of
from silhouette.shape.tape import leg_girth
from tests.clients import CLIENTS, PADDED, figure, sheet


@pytest.mark.parametrize("name", PADDED)
def test_new_hip_is_the_largest_reading_in_the_hip_zone(name):
    seen = figure(PADDED[name])
    m = seen.measures
    drops, girths = seen.after.drops, seen.after.girth
    zone = (drops >= (m.high_hip_drop + m.hip_drop) / 2) & (drops <= m.under_seat_drop)
    assert seen.new_hip_girth == pytest.approx(girths[zone].max())
    assert zone[seen.new_hip_row] and seen.after.girth_at(seen.new_hip_drop) == pytest.approx(seen.new_hip_girth)
    assert seen.body_girth_at_new_hip == pytest.approx(seen.before.girth_at(seen.new_hip_drop))
    assert seen.added == pytest.approx(seen.new_hip_girth - seen.body_girth_at_new_hip)


def test_without_pads_the_new_hip_is_the_hip():
    seen = figure(sheet({"pads.front": False, "pads.back": False}, waist=698, hip=957))
    assert 957 - 0.3 < seen.new_hip_girth < 957 + 10, "the largest in the zone, which may lie a little lower"
    assert seen.new_hip_girth == pytest.approx(seen.before.girth[seen.hip_zone].max())
    assert seen.added == pytest.approx(0, abs=1e-9) and seen.sheet_tolerance == 0 and seen.rule_of_thumb == 957


@pytest.mark.parametrize(
    ("keys", "thicknesses"),
    [
        ({}, 4 * 25.4),
        ({"pads.front": False}, 2 * 25.4),
        ({"pads.left.thickness": 12}, 2 * 12 + 2 * 25.4),
        ({"foam.measured": 22}, 4 * 22),
    ],
)
def test_rule_of_thumb_is_hip_plus_one_thickness_for_each_pad(keys, thicknesses):
    """Common practice, no source: four pads of 1 in are four inches."""
    seen = figure(sheet({"pads.thickness": 25.4} | keys, waist=760, hip=1100))
    assert seen.rule_of_thumb == pytest.approx(1100 + thicknesses)


def test_the_tape_reads_more_than_the_rule_and_less_than_a_full_wrap():
    """Steiner: a full wrap gains 2πt, 159.6 mm at 1 in; the rule 101.6. For a 44 in hip about 5.4 in more was computed
    on one flat section (exponent 2.3, depth/breadth .66); on the sloping body a little more or less."""
    asked = sheet(
        {"pads.thickness": 1, "pads.bevel": 1.5, "pads.front_reach": 5, "pads.back_gap": 1, "pads.start": 2},
        unit="in",
        waist=33,
        hip=44,
    )
    seen = figure(asked)
    gain = (seen.after.girth_at(seen.measures.hip_drop) - seen.measures.hip) / 25.4
    assert 4 < gain < 2 * np.pi
    assert gain == pytest.approx(5.4, abs=0.2)


@pytest.mark.parametrize("name", ["usual", "square edge", "thick", "uneven", "one side bare"])
def test_tolerance_is_what_thicker_and_thinner_foam_would_read(name):
    """Against building the whole figure anew with the foam 1.6 mm thicker and thinner, read at the same level."""
    asked = PADDED[name]
    seen = figure(asked)
    ends = []
    for change in (-SHEET_TOLERANCE, SHEET_TOLERANCE):
        pads = replace(asked.pads, thickness=asked.pads.thickness + change)
        sides: dict[str, Any] = {
            side: tuple((k, v + change if k == "thickness" else v) for k, v in getattr(asked, side))
            for side in ("left", "right")
        }
        other = figure(replace(asked, pads=pads, **sides))
        ends.append(other.after.girth_at(seen.new_hip_drop))
    assert seen.sheet_tolerance == pytest.approx((ends[1] - ends[0]) / 2, abs=0.02)
    assert 2 < seen.sheet_tolerance < 2 * np.pi * SHEET_TOLERANCE


def test_pads_all_round_come_to_the_tolerance_of_a_full_wrap():
    """Full wrap of 20 ± 1.6 mm: girth ± 10 mm (computed, 2π · 1.6); pads that stop short stay below it."""
    asked = sheet(
        {
            "pads.front_reach": 265,
            "pads.back_gap": 0,
            "pads.bevel": 4,
            "pads.thickness": 20,
            "pads.fullness": 1,
            "pads.end": 240,
        },
        waist=760,
        hip=1010,
    )
    seen = figure(asked)
    assert seen.sheet_tolerance == pytest.approx(2 * np.pi * 1.6, rel=0.03)


def test_named_levels_run_down_and_say_what_was_measured():
    seen = figure(PADDED["usual"])
    names = [r.level for r in seen.levels]
    assert names == ["waist", "high_hip", "hip", "under_seat", "thigh", "knee"]
    assert np.all(np.diff([r.drop for r in seen.levels]) >= 0)
    assert {r.level: r.measured for r in seen.levels} == {
        "waist": True,
        "high_hip": False,
        "hip": True,
        "under_seat": False,
        "thigh": True,
        "knee": False,
    }
    for r in seen.levels:
        assert r.added == pytest.approx(r.after - r.before) and r.added >= -1e-9
    m = seen.measures
    wanted = {"waist": m.waist, "high_hip": m.high_hip, "hip": m.hip, "thigh": m.thigh, "knee": m.knee}
    for r in seen.levels:
        if r.level in wanted:
            assert r.before == pytest.approx(wanted[r.level], abs=0.3)


def test_thigh_level_is_the_fuller_leg():
    seen = figure(PADDED["uneven"])
    m = seen.measures
    thigh = next(r for r in seen.levels if r.level == "thigh")
    legs = [leg_girth(seen.body, m.under_seat_drop, seen.pads, side=s) for s in SIDES]
    assert thigh.after == pytest.approx(max(*legs, thigh.before))


def test_body_is_shared_while_only_the_pads_change_and_cannot_be_written_to():
    asked = CLIENTS["average"]
    one, other = figure_of(asked), figure_of(replace(asked, pads=replace(asked.pads, thickness=12.0)))
    assert one.body is other.body
    with pytest.raises(ValueError):
        one.body.outer[0, 0, 0, 0] = 1.0
