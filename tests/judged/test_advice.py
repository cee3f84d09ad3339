"""Advice is proved: applied to the sheet, it brings the check that gave it inside its limit."""

import numpy as np
import pytest

import silhouette
from silhouette import SheetError, with_values
from silhouette.judged.advice import _with_thickness
from tests.clients import sheet


def some_sheet(rng):
    """A sheet that earns advice: thick foam, narrow bevels, high starts, sides unlike."""
    unit = str(rng.choice(["in", "cm"]))
    hip = rng.uniform(820, 1400)
    keys = {
        "girths.hip": hip, "girths.waist": hip * rng.uniform(0.62, 0.9),
        "pads.thickness": rng.choice([10, 19.05, 25.4, 32, 40]), "pads.bevel": rng.choice([0, 15, 30, 45]),
        "pads.start": rng.choice([0, 15, 40]), "pads.back_gap": rng.choice([0, 10, 25]),
        "pads.fullness": 1000 * rng.uniform(0, 1),
    }  # fmt: skip
    if rng.random() < 0.4:
        keys["pads.left.thickness"] = rng.choice([6, 12.7, 30])
    if rng.random() < 0.2:
        keys["foam.measured"] = rng.uniform(8, 30)
    scale = 25.4 if unit == "in" else 10
    keys = {k: float(v) / (1000 if k == "pads.fullness" else scale) for k, v in keys.items()}
    return sheet(keys | {"pads.profile": str(rng.choice(["straight", "rounded", "feathered"]))}, unit=unit)


@pytest.mark.parametrize("seed", range(24))
def test_advice_brings_its_own_check_inside_the_limit(seed):
    try:
        asked = some_sheet(np.random.default_rng(seed))
        seen = silhouette.preview(asked)
    except SheetError:
        return
    for found in seen.findings:
        if found.severity != "fine":
            assert found.advice
        if found.changes:
            after = silhouette.preview(with_values(asked, dict(found.changes)))
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
