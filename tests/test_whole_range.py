"""Any sheet inside the declared ranges gives closed solids and finite numbers, or a clear refusal."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import example, given, settings

from silhouette.asked.faults import SheetError
from silhouette.asked.reading import from_plain
from silhouette.pipeline import preview
from silhouette.shown.report import report
from tests.asked.sheets import plain_sheets


def mm(girths: tuple[float, float], **sections: Any) -> dict[str, Any]:
    return {"unit": "mm", "girths": {"waist": girths[0], "hip": girths[1]}, **sections}


@settings(max_examples=40)
@given(plain_sheets())
@example(mm((750, 1000), pads={"start": 120}))  # wide and short: the bevel has no room to turn at the reach
@example(mm((750, 1000), pads={"start": 120, "bevel": 70}))
@example(mm((1700, 1934), drops={"knee": 250}))
@example(mm((1500, 2000), drops={"hip": 80, "knee": 250}, pads={"front_reach": 600}))
@example(mm((380, 500)))
@example(mm((1900, 2000), pads={"thickness": 80, "bevel": 0, "start": 0}))
def test_closed_solids_and_finite_numbers_or_a_refusal(plain: dict[str, Any]) -> None:
    try:
        said = report(preview(from_plain(plain)))
    except SheetError as refused:
        assert refused.faults
        assert all(fault.place and fault.message for fault in refused.faults)
        return
    json.dumps(said, allow_nan=False)
    assert all(solid["watertight"] and solid["volume_mm3"] > 0 for solid in said["solids"])
    assert all(level["added_mm"] >= -0.01 for level in said["girths"])


@pytest.mark.parametrize("unit", ["in", "cm", "mm"])
def test_the_unit_of_a_sheet_changes_no_number(unit: str) -> None:
    plain = {**mm((0, 0)), "unit": unit, "girths": {"waist": "787.4 mm", "hip": "1066.8 mm"}}
    said, other = (report(preview(from_plain(p))) for p in (plain, {**plain, "unit": "mm"}))
    assert said["girths"] == other["girths"] and said["solids"] == other["solids"]
