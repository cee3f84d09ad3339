"""The checks for the stage: against exact figures, each check's three severities, and what advice brings about."""

import math
from typing import Any

import numpy as np
import pytest

import silhouette
from silhouette import with_values
from silhouette.judged.checks import LOOK_CHECKS, STAGE_CHECKS
from silhouette.judged.stage_checks import _curvature, press_by_bending
from tests.clients import sheet

STAGE = {"aim.look": "stage"}


def seen(keys, **girths):
    return silhouette.preview(sheet(STAGE | keys, unit="in", **(girths or {"waist": 28, "hip": 38})))


def found(name, keys, **girths):
    return next(f for f in seen(keys, **girths).findings if f.check == name)


@pytest.mark.parametrize(("foam", "radius"), [(10, 60), (25.4, 80), (50, 100)])
def test_bending_by_the_exact_ring(foam, radius):
    """A slab wrapped round a cylinder, its middle keeping its length: inner over middle circumference, exactly."""
    inner, middle = 2 * math.pi * radius, 2 * math.pi * (radius + foam / 2)
    assert press_by_bending(foam, 1 / radius) == pytest.approx(1 - inner / middle, rel=1e-12)


def test_curvature_of_a_pad_laid_on_a_cylinder():
    """The bend read from a pad's own grid, against the cylinder's radius."""
    shown = seen({"pads.thickness": 1})
    pad, radius = shown.pads[0], 90.0
    columns = pad.inner.shape[1]
    turn = np.linspace(0, 1.2, columns)
    ring = np.stack([radius * np.cos(turn), radius * np.sin(turn), np.zeros(columns)], axis=-1)
    away = ring / radius
    from dataclasses import replace

    many = (len(pad.inner), 1, 1)
    curved = replace(pad, inner=np.tile(ring, many), away=np.tile(away, many), inside=columns - 1)
    assert _curvature(curved) == pytest.approx(1 / radius, rel=1e-3)


def test_the_aim_decides_what_is_judged():
    natural = silhouette.preview(sheet({"pads.thickness": 2, "pads.start": 0.25}, unit="in", waist=28, hip=38))
    stage = seen({"pads.thickness": 2, "pads.start": 0.25})
    assert natural.verdict == "obvious" and {f.check for f in natural.findings} == {c.name for c in LOOK_CHECKS}
    assert {f.check for f in stage.findings} == {c.name for c in STAGE_CHECKS}
    assert natural.new_hip_girth == stage.new_hip_girth


THREE: dict[str, list[dict[str, Any]]] = {
    "bend": [{"pads.thickness": 0.75}, {"pads.thickness": 2}, {"pads.thickness": 3.1, "pads.bevel": 4}],
    "shift": [{"pads.end": 13}, {"pads.end": 17}, {"pads.start": 9, "pads.end": 20, "pads.bevel": 1.5}],
    "seam": [
        {"pads.thickness": 1, "pads.bevel": 3},
        {"pads.thickness": 1, "pads.bevel": 1},
        {"pads.thickness": 1, "pads.bevel": 0.25},
    ],
    "sitting": [
        {"pads.thickness": 1},
        {"pads.thickness": 2, "pads.front_reach": 6.5, "pads.bevel": 2.5},
        {"pads.thickness": 3, "pads.front_reach": 7.5, "pads.bevel": 3, "pads.fullness": 1},
    ],
}


@pytest.mark.parametrize("name", THREE)
def test_three_severities(name):
    findings = [found(name, keys) for keys in THREE[name]]
    assert [f.severity for f in findings] == ["fine", "watch", "obvious"], [f.measured for f in findings]
    assert findings[0].measured < findings[1].measured < findings[2].measured
    assert all(f.advice for f in findings[1:])


@pytest.mark.parametrize("thickness", [1.25, 1.5, 2])
def test_foam_thicker_than_any_sheet_means_layers(thickness):
    """Foam is sold up to 1 in; more is built of slabs, and that is no fault of its own."""
    keys = {"pads.thickness": thickness, "pads.bevel": 3.5}
    bend = found("bend", keys)
    changes = dict(bend.changes)
    assert "layers of" in bend.advice and changes["pads.layers"] * changes["pads.thickness"] >= 25.4
    asked = sheet(STAGE | keys, unit="in", waist=28, hip=38)
    after = silhouette.preview(with_values(asked, changes))
    built = {pad.built for pad in after.pads}
    assert built == {changes["pads.layers"] * changes["pads.thickness"]}
    assert next(f for f in after.findings if f.check == "bend").severity == "fine"
    if thickness in (1.5, 2):  # stock slabs make it up exactly
        assert after.new_hip_girth == pytest.approx(silhouette.preview(asked).new_hip_girth, abs=1.0)


@pytest.mark.parametrize("name", ["seam", "sitting"])
def test_advice_for_the_stage_brings_its_check_inside_the_limit(name):
    tried = 0
    for keys in THREE[name][1:]:
        asked = sheet(STAGE | keys, unit="in", waist=28, hip=38)
        advised = next(f for f in silhouette.preview(asked).findings if f.check == name)
        if advised.changes:
            tried += 1
            again = silhouette.preview(with_values(asked, dict(advised.changes)))
            assert next(f for f in again.findings if f.check == name).severity == "fine"
    assert tried, "no advice came down to keys of the sheet"


def test_layers_are_judged_by_their_whole_thickness_when_natural():
    """Two slabs of 1 in are as thick as one of 2 in, and the remedy is one slab."""
    keys = {"pads.thickness": 1, "pads.layers": 2, "pads.bevel": 3.5}
    asked = sheet(keys, unit="in", waist=33, hip=44, thigh=26.4)
    thick = next(f for f in silhouette.preview(asked).findings if f.check == "thickness")
    assert thick.measured == pytest.approx(50.8) and thick.severity == "obvious"
    assert dict(thick.changes) == {"pads.layers": 1}
