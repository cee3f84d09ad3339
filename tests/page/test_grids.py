"""What is sent to be drawn: the halves of a figure meet where the page sews them together."""

from __future__ import annotations

import numpy as np
import pytest

import silhouette
from silhouette.page.grids import grids_of

UNEVEN = {
    "unit": "cm",
    "girths": {"waist": 80, "hip": 104},
    "uneven": {"hip_left": 53.5},
    "pads": {"thickness": 2, "left": {"thickness": 2.5}},
}


@pytest.mark.parametrize("role", ["before", "after"])
def test_both_halves_of_the_cloth_run_from_centre_front_to_centre_back(role: str) -> None:
    """First and last column are shared; the zip is drawn down the last one."""
    left, right = (g.points for g in grids_of(silhouette.preview(silhouette.from_plain(UNEVEN))) if g.role == role)
    for column in (0, -1):
        assert np.abs(left[:, column, 0]).max() < 1e-9
        assert np.allclose(left[:, column], right[:, column])
    assert (left[:, 0, 1] > left[:, -1, 1]).all()
    assert (left[:, 1:-1, 0] > 0).all() and (right[:, 1:-1, 0] < 0).all()
