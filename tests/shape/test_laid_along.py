"""Levels read by a tape laid along the body, solved on her own contour."""

import numpy as np
import pytest

from silhouette import SheetError
from silhouette.shape.body import build_body
from silhouette.shape.laid_along import length_along
from silhouette.shape.measures import measures_of
from tests.clients import CLIENTS, body, sheet


@pytest.mark.parametrize("name", ["average", "full", "small waist", "belly"])
def test_readings_of_a_body_give_its_levels_back(name):
    """The lengths measured on a body whose straight drops are known, put in as readings."""
    plain = body(CLIENTS[name])
    m = plain.measures
    readings = {f"along.{level}": length_along(plain, level) for level in ("hip", "under_seat", "knee")}
    girths = {n: getattr(m, n) for n in ("waist", "hip", "thigh", "knee")}
    solved = measures_of(sheet(readings, **girths))
    for level in ("hip_drop", "under_seat_drop", "knee_drop"):
        assert getattr(solved, level) == pytest.approx(getattr(m, level), abs=0.1)
    assert {"along.hip", "along.under_seat", "along.knee"} <= solved.measured


def test_over_the_seat_is_longer_than_straight_down_and_the_length_is_that_of_the_line():
    made = build_body(measures_of(sheet(waist=698, hip=957)), 161)
    m = made.measures
    assert length_along(made, "under_seat") > m.under_seat_drop + 12
    line = made.outer[0, made.drops <= m.hip_drop + 1e-6, made.seam]
    assert length_along(made, "hip") == pytest.approx(np.linalg.norm(np.diff(line, axis=0), axis=1).sum(), abs=1e-6)
    assert length_along(made, "hip") > m.hip_drop + 3


def test_both_readings_at_odds_by_more_than_a_centimetre_are_a_fault_with_both():
    fits = measures_of(sheet({"drops.hip": 203, "along.hip": 212}, waist=698, hip=957))
    assert fits.hip_drop == 203
    with pytest.raises(SheetError) as caught:
        measures_of(sheet({"drops.hip": 203, "along.hip": 240}, waist=698, hip=957))
    text = str(caught.value.faults[0])
    assert text.startswith("along.hip = 240 mm") and "drops.hip = 203 mm" in text


def test_a_level_read_along_the_body_is_no_estimate():
    """The table marks estimates with ~; a reading along the body is a reading."""
    m = measures_of(sheet({"along.hip": 215, "along.under_seat": 330}, waist=760, hip=1020))
    assert {"drops.hip", "drops.under_seat"} <= m.measured and "drops.knee" not in m.measured
