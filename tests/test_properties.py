"""What must hold for every sheet inside the declared ranges (hypothesis)."""

import json
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import Phase, example, given, reject, settings
from hypothesis import strategies as st

import silhouette
from silhouette import SheetError
from silhouette.asked.sheet import PARAMETERS, Sheet
from silhouette.shape.figure import Figure, figure_of
from silhouette.shape.solids import solids_of
from silhouette.shape.tape import tape_over
from silhouette.shown.report import report
from tests.clients import sheet

PHASES = (Phase.explicit, Phase.reuse, Phase.generate)  #: shrinking whole sheets takes minutes and shows little
fast = settings(max_examples=40, deadline=None, phases=PHASES)


@st.composite
def sound_sheets(draw: st.DrawFn, /, sides: bool = True, **fixed: Any) -> Sheet:
    """Sheets a fitter might write: girths in proportion, pads of every kind, the sides sometimes unlike."""
    hip = draw(st.floats(800, 1500))
    keys = {
        "girths.hip": hip,
        "girths.waist": hip * draw(st.floats(0.62, 0.95)),
        "girths.thigh": hip * draw(st.floats(0.54, 0.64)),
        "pads.thickness": draw(st.floats(4, 40)),
        "pads.bevel": draw(st.floats(0, 80)),
        "pads.profile": draw(st.sampled_from(["straight", "rounded", "feathered"])),
        "pads.start": draw(st.floats(0, 120)),
        "pads.end": draw(st.floats(240, 380)),
        "pads.front_reach": draw(st.floats(85, 0.2 * hip)),
        "pads.back_gap": draw(st.floats(0, 60)),
        "pads.fullness": draw(st.floats(0, 1)),
    }
    if sides and draw(st.booleans()):
        keys["pads.left.thickness"] = draw(st.floats(4, 40))
        keys["pads.right.start"] = draw(st.floats(0, 120))
        keys[draw(st.sampled_from(["pads.left.front", "pads.right.back"]))] = False
    return sheet(keys | fixed)


def built(asked: Sheet) -> Figure:
    """The figure; a sheet whose pads cannot be laid is drawn anew, and hypothesis complains when most are."""
    try:
        return figure_of(asked)
    except SheetError:
        reject()


@fast
@given(sound_sheets())
def test_pads_never_take_away_from_a_girth_or_a_silhouette(asked):
    made = built(asked)
    assert np.all(made.after.h >= made.before.h)
    assert np.all(made.after.girth >= made.before.girth - 1e-9)
    for angle in (0.0, math.pi / 2, 0.7):
        before, after = made.before.outline_from(angle), made.after.outline_from(angle)
        assert np.all(after[:, 1] >= before[:, 1]) and np.all(after[:, 0] <= before[:, 0])
    assert all(r.added >= -1e-9 for r in made.levels)


@fast
@given(sound_sheets(sides=False), st.floats(1.02, 1.8))
def test_thicker_is_never_smaller_at_the_hip(asked, more):
    """Away from slopes the outer face only moves out: at the hip line, in every direction."""
    made = built(asked)
    other = built(replace(asked, pads=replace(asked.pads, thickness=asked.pads.thickness * more)))
    assert other.new_hip_girth >= made.new_hip_girth - 1e-6
    assert other.after.girth[made.new_hip_row] >= made.after.girth[made.new_hip_row] - 1e-6
    volumes = [sum(s.volume for s in solids_of(f.body, f.pads)[1:]) for f in (made, other)]
    assert volumes[1] > volumes[0]


@fast
@given(sound_sheets())
def test_exchanging_left_and_right_mirrors_everything(asked):
    made, other = built(asked), figure_of(replace(asked, left=asked.right, right=asked.left))
    count = len(made.after.directions)
    mirror = (count // 2 - np.arange(count)) % count
    assert np.abs(other.after.h - made.after.h[:, mirror]).max() < 1e-7
    assert abs(other.new_hip_girth - made.new_hip_girth) < 1e-7
    if asked.left == asked.right:
        assert np.abs(made.after.h - made.after.h[:, mirror]).max() < 1e-7


def _scaled(s, waist, thigh, thickness, bevel):
    lengths = {
        "girths.waist": 1000 * waist,
        "girths.high_hip": 1000 * (waist + 0.68 * (1 - waist)),
        "girths.hip": 1000.0,
        "girths.thigh": 1000 * thigh,
        "girths.knee": 365.0,
        "drops.high_hip": 100.0,
        "drops.hip": 200.0,
        "drops.under_seat": 285.0,
        "drops.knee": 600.0,
        "pads.thickness": thickness,
        "pads.bevel": bevel,
        "pads.start": 40.0,
        "pads.end": 285.0,
        "pads.front_reach": 120.0,
        "pads.back_gap": 25.0,
    }
    return figure_of(sheet(lengths)), figure_of(sheet({k: v * s for k, v in lengths.items()}))


@fast
@given(st.floats(0.75, 1.3), st.floats(0.65, 0.9), st.floats(0.55, 0.63), st.floats(8, 25), st.floats(8, 60))
def test_scaling_every_length_scales_every_reading(s, waist, thigh, thickness, bevel):
    """All lengths of the sheet set, none left to an estimate with a constant of its own. A bevel below 4 mm is
    meshed as one of 4 mm, so narrower ones are left out."""
    one, other = _scaled(s, waist, thigh, thickness, bevel)
    assert np.abs(other.before.h - s * one.before.h).max() < 1e-6
    assert np.abs(other.after.h - s * one.after.h).max() < 1e-6
    assert abs(other.new_hip_girth - s * one.new_hip_girth) < 1e-6


@fast
@given(st.floats(0.75, 1.3), st.floats(0.65, 0.9), st.floats(0.55, 0.63), st.floats(8, 25), st.floats(8, 60))
def test_scaling_every_length_scales_every_volume(s, waist, thigh, thickness, bevel):
    one, other = _scaled(s, waist, thigh, thickness, bevel)
    for a, b in zip(solids_of(one.body, one.pads), solids_of(other.body, other.pads), strict=True):
        assert abs(b.volume / (s**3 * a.volume) - 1) < 1e-6


@fast
@given(sound_sheets(), st.randoms(use_true_random=False))
def test_the_order_of_the_pads_is_irrelevant(asked, chance):
    made = built(asked)
    pads = list(made.pads)
    chance.shuffle(pads)
    assert np.abs(tape_over(made.before, pads).h - made.after.h).max() < 1e-9


@st.composite
def wide_sheets(draw):
    """Figures from very slim to very full, and pads of every size and kind, on both sides or one, mostly buildable."""
    hip = draw(st.floats(650, 1900))
    keys = {"girths.hip": hip, "girths.waist": min(max(380.0, hip * draw(st.floats(0.55, 1.05))), 1900.0)}
    hip_drop = draw(st.floats(160, 250))
    body = {
        "girths.thigh": st.floats(0.54 * hip, 0.66 * hip),
        "girths.knee": st.floats(0.33 * hip, 0.4 * hip),
        "drops.high_hip": st.floats(85, 120),
        "drops.under_seat": st.floats(265, 330),
        "drops.knee": st.floats(520, 700),
        "drops.hip": st.just(hip_drop),
    }
    pads = {
        "thickness": st.floats(2, 80),
        "bevel": st.floats(0, 150),
        "start": st.floats(0, 150),
        "end": st.floats(max(hip_drop, 205) + 25, 420),
        "front_reach": st.floats(0.06 * hip, 0.24 * hip),
        "back_gap": st.floats(-20, 90),
        "fullness": st.floats(0, 1),
        "fullness_below": st.floats(0, 1),
        "profile": st.sampled_from(["straight", "rounded", "feathered"]),
        "front": st.booleans(),
        "back": st.booleans(),
    }
    for name in draw(st.lists(st.sampled_from(sorted(body)), max_size=3, unique=True)):
        keys[name] = draw(body[name])
    for name in draw(st.lists(st.sampled_from(sorted(pads)), max_size=6, unique=True)):
        keys[f"pads.{draw(st.sampled_from(['', '', 'left.', 'right.']))}{name}"] = draw(pads[name])
    return keys


def girths(waist: float, hip: float, **pads: float) -> dict[str, float]:
    return {"girths.waist": waist, "girths.hip": hip, **{f"pads.{name}": value for name, value in pads.items()}}


#: Corners that once went wrong: wide and short, so that the bevel has no room to turn at the reach; the smallest and
#: the largest figure, the thickest square edge.
CORNERS = (
    girths(750, 1000, start=120),
    girths(750, 1000, start=120, bevel=70),
    {**girths(1700, 1934), "drops.knee": 250},
    {**girths(1500, 2000, front_reach=600), "drops.hip": 80, "drops.knee": 250},
    girths(380, 500),
    girths(1900, 2000, thickness=80, bevel=0, start=0),
)


def test_any_sheet_gives_closed_solids_and_finite_numbers_or_a_clear_refusal():
    tried, whole = 0, 0

    @settings(max_examples=40, deadline=None, phases=PHASES)
    @given(wide_sheets())
    def holds(keys):
        nonlocal tried, whole
        tried += 1
        whole += is_whole_or_clearly_refused(keys)

    for corner in CORNERS:
        holds = example(corner)(holds)
    holds()
    assert tried >= 40 and whole >= 0.75 * tried, f"{whole} of {tried} were built"


def is_whole_or_clearly_refused(keys) -> bool:
    """True for a preview that is whole; the assertions fail for one that is not, and for a refusal that says little."""
    try:
        seen = silhouette.preview(sheet(keys), advice=False)
    except SheetError as error:
        assert error.faults and all(f.place and f.message and "nan" not in str(f) for f in error.faults)
        return False
    said = report(seen)
    json.dumps(said, allow_nan=False)
    assert all(solid["watertight"] and solid["volume_mm3"] > 0 for solid in said["solids"])
    assert all(level["added_mm"] >= -0.01 for level in said["girths"])
    assert np.isfinite(seen.tape_before.h).all() and np.isfinite(seen.tape_after.h).all()
    assert np.all(seen.tape_after.girth >= seen.tape_before.girth - 1e-9)
    return True


@pytest.mark.parametrize("unit", ["in", "cm", "mm"])
def test_the_unit_of_a_sheet_changes_no_number(unit):
    """Only what is left out may differ: metric sheets stand for the stock sold there."""
    stock = {key: f"{p.default} mm" for key, p in PARAMETERS.items() if p.metric is not None}
    assert "pads.thickness" in stock
    girths = {"waist": "787.4 mm", "hip": "1066.8 mm"}
    said, other = (report(silhouette.preview(sheet(stock, unit=u, **girths))) for u in (unit, "mm"))
    assert said["girths"] == other["girths"] and said["solids"] == other["solids"]
