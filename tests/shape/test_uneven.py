"""Sides that differ: half girths exact, the whole kept, symmetric halves as before, mirrored ones mirrored."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from silhouette import SheetError
from silhouette.asked.figure import Uneven
from silhouette.asked.reading import from_plain
from silhouette.shape.figure import figure_of
from silhouette.shape.measures import measures_of
from silhouette.shape.pads import lay_pads
from silhouette.shape.solids import solids_of
from silhouette.shape.tape import leg_girth, tape_round
from tests.clients import body, ring, sheet

GIRTHS: dict[str, Any] = {"waist": 740, "hip": 1010, "thigh": 590}
FULLER_LEFT = {
    "uneven.hip_left": 520,
    "uneven.waist_left": 374,
    "uneven.thigh_left": 606,
    "uneven.hip_drop_left": 194,
}
MIRRORED = {key.replace("left", "right"): mm for key, mm in FULLER_LEFT.items()}


def at(made, drop):
    return int(np.argmin(np.abs(made.drops - drop)))


def test_half_girths_are_exact_and_the_whole_is_kept():
    made = body(sheet(FULLER_LEFT, **GIRTHS))
    m, tape = made.measures, tape_round(made)
    assert not made.even and m.halves is not None
    for drop, whole, left in ((0.0, 740, 374), (m.hip_drop, 1010, 520)):
        row = at(made, drop)
        assert made.arc[0, row, 0] - made.arc[0, row, -1] == pytest.approx(left, abs=0.05)
        assert made.arc[1, row, 0] - made.arc[1, row, -1] == pytest.approx(whole - left, abs=0.05)
        assert tape.girth[row] == pytest.approx(whole, abs=0.1)
        assert ConvexHull(ring(made, row)).area == pytest.approx(whole, abs=0.05)
    assert leg_girth(made, m.under_seat_drop, side="left") == pytest.approx(606, abs=0.05)
    assert leg_girth(made, m.under_seat_drop, side="right") == pytest.approx(590, abs=0.05)
    widest = [made.drops[np.argmax(np.abs(made.outer[side, : made.crotch + 1, made.seam, 0]))] for side in (0, 1)]
    assert widest[0] < widest[1], "the left hip line lies higher"


def test_the_centre_lines_are_shared_and_the_solids_closed():
    figure = figure_of(sheet(FULLER_LEFT, **GIRTHS))
    made = figure.body
    upper = slice(0, made.crotch + 1)
    assert np.abs(made.outer[0, upper][:, [0, -1]] - made.outer[1, upper][:, [0, -1]]).max() < 1e-9
    assert np.abs(made.inner[0, 0] - made.inner[1, 0]).max() < 1e-9
    assert all(solid.watertight for solid in solids_of(made, figure.pads))
    assert len(lay_pads(figure.sheet, made)) == 4
    assert figure.pads[0].thickness is not figure.pads[2].thickness


def test_a_symmetric_sheet_written_as_halves_gives_the_same_numbers():
    halves = {
        "uneven.waist_left": 370,
        "uneven.waist_right": 370,
        "uneven.hip_left": 505,
        "uneven.thigh_right": 590,
        "uneven.thigh_left": 590,
    }
    one, other = figure_of(sheet(halves, **GIRTHS)), figure_of(sheet(**GIRTHS))
    assert one.body.even and other.body.even
    assert np.abs(one.after.h - other.after.h).max() < 1e-6
    barely = figure_of(sheet({"uneven.hip_left": 505.0001}, **GIRTHS))
    assert not barely.body.even
    assert np.abs(barely.after.h - other.after.h).max() < 1e-3, "the uneven way round comes to the same"


def test_a_mirrored_sheet_gives_mirrored_numbers():
    one, other = figure_of(sheet(FULLER_LEFT, **GIRTHS)), figure_of(sheet(MIRRORED, **GIRTHS))
    count = one.after.h.shape[1]
    mirror = (count // 2 - np.arange(count)) % count
    for a, b in ((one.before, other.before), (one.after, other.after)):
        assert np.abs(b.h - a.h[:, mirror]).max() < 1e-6
    assert other.new_hip_girth == pytest.approx(one.new_hip_girth, abs=1e-6)
    assert np.abs(one.body.normals - other.body.normals[::-1] * [-1, 1, 1]).max() < 1e-9


def test_either_side_alone_implies_the_other():
    m = measures_of(sheet({"uneven.hip_left": 520, "uneven.thigh_left": 606}, **GIRTHS))
    assert m.halves is not None
    left, right = m.halves
    assert (left.hip, right.hip) == (520, 490) and (left.thigh, right.thigh) == (606, 590)
    assert (left.waist, right.waist) == (370, 370) and m.thigh == 598
    both = measures_of(sheet({"uneven.high_hip_left": 450, "uneven.high_hip_right": 440}, **GIRTHS))
    assert both.high_hip == 890 and "girths.high_hip" in both.measured


@pytest.mark.parametrize(
    ("uneven", "place", "said"),
    [
        ({"hip_left": 520, "hip_right": 505}, "uneven.hip_left", ["1025", "1010"]),
        ({"hip_left": 700}, "uneven.hip_left", ["310"]),
        ({"high_hip_left": 450}, "uneven.high_hip_left", ["other half"]),
        ({"thigh_left": 650, "thigh_right": 640}, "girths.thigh", ["650", "640"]),
        ({"hip_drop_left": 120, "hip_drop_right": 200}, "uneven.hip_drop_left", ["60"]),
    ],
)
def test_what_does_not_fit_is_a_fault_with_the_numbers(uneven, place, said):
    with pytest.raises(SheetError) as caught:
        from_plain({"unit": "mm", "girths": GIRTHS, "uneven": uneven})
    texts = [str(fault) for fault in caught.value.faults if fault.place.startswith(place)]
    assert texts and all(word in texts[0] for word in said), caught.value.faults
    if place == "uneven.hip_left" and "hip_right" in uneven:
        near = from_plain({"unit": "mm", "girths": GIRTHS, "uneven": {"hip_left": 514, "hip_right": 505}})
        halves = measures_of(near).halves
        assert halves is not None and halves[0].hip + halves[1].hip == pytest.approx(1010)


def test_the_default_says_nothing():
    assert replace(sheet(**GIRTHS), uneven=Uneven()) == sheet(**GIRTHS)
