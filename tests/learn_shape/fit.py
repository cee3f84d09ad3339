"""From many women to the table: mean, linear responses, four named controls."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from silhouette.shape.dimensions import Measures
from silhouette.shape.learnt import (
    COLUMNS,
    CONTROLS,
    FEATURES,
    INNER_COLUMNS,
    LEG_LEVELS,
    TRUNK_LEVELS,
    scaled,
    split,
    table_type,
)
from tests.learn_shape.outlines import Outlines, whole
from tests.learn_shape.slices import girth

RIDGE: Final = 1e-3
FOLLOWED: Final = 4.0  #: responses are followed to so many standard deviations
SMOOTHED: Final = 22.0  #: mm of the common scale: a taut outline has corners down the body that flesh has not
#: the assets' high hip is lean: measured on other open surfaces 2.6 mm a side at the high hip, of which girths made
#: exact take nearly half away again; mm at a hip of 1 m
SIDE_BIAS: Final = 2.6 * 1.8
#: mm at a hip of 1 m that one step moves what the control is named after
STEP: Final = {"stance": 10.0, "belly": 7.0, "high_hip": 2.6, "outer_thigh": 4.5}


@dataclass(frozen=True)
class Women:
    """sections (W, N) and features (W, F), over the hip girth."""

    sections: np.ndarray
    features: np.ndarray


def gathered(found: list[Outlines]) -> Women:
    sections, features = [], []
    for one in found:
        m = one.measured
        hip = m["hip"]
        flat = np.concatenate([part.ravel() for part in (one.trunk, one.outer, one.inner)])
        sections.append(flat / hip)
        lengths = [m[name] / hip for name in FEATURES[:4]]
        drops = [m["hip_drop"], m["crotch_drop"] - m["hip_drop"], m["knee_drop"] - m["crotch_drop"]]
        features.append([*lengths, m["navel_ratio"], m["hip_ratio"], *(d / hip for d in drops)])
    return Women(np.array(sections), np.array(features))


def table_of(women: Women) -> np.ndarray:
    """The record that is shipped (``silhouette.shape.learnt.table_type``)."""
    x, f = women.sections, women.features
    centre, spread = f.mean(0), f.std(0)
    design = np.concatenate([np.ones((len(f), 1)), (f - centre) / spread], axis=1)
    ridge = np.eye(design.shape[1]) * RIDGE * len(f)
    ridge[0, 0] = 0.0
    fitted = np.linalg.solve(design.T @ design + ridge, design.T @ x)
    rest = x - design @ fitted
    rows = np.concatenate([fitted[:1] + side_bias(), fitted[1:] / spread[:, None], controls(fitted[0], rest)])
    rows = np.array([smoothed(row) for row in rows])
    scale = np.abs(rows).max(1) / 32767
    record = np.zeros((), table_type(x.shape[1]))
    record["rows"], record["scale"] = np.round(rows / scale[:, None]), scale
    record["centre"] = centre
    record["low"], record["high"] = centre - FOLLOWED * spread, centre + FOLLOWED * spread
    return record


def smoothed(row: np.ndarray) -> np.ndarray:
    """A row of the table smoothed down the body: local straight lines, so that no slope is lost at the ends."""
    parts = []
    for grid, levels in zip(split(row), (TRUNK_LEVELS, LEG_LEVELS, LEG_LEVELS), strict=True):
        z = scaled(levels)
        away = z[None, :] - z[:, None]
        weight = np.exp(-0.5 * (away / SMOOTHED) ** 2)
        s0, s1, s2 = (weight.sum(1), (weight * away).sum(1), (weight * away**2).sum(1))
        operator = weight * (s2[:, None] - s1[:, None] * away) / (s0 * s2 - s1**2)[:, None]
        parts.append((operator @ grid.reshape(len(grid), -1)).ravel())
    return np.concatenate(parts)


def side_bias() -> np.ndarray:
    """Out at the sides between waist and hip, over the hip girth (N,)."""
    bump = np.zeros((len(TRUNK_LEVELS), COLUMNS, 2))
    down = np.where(TRUNK_LEVELS < 1, np.sin(np.pi * TRUNK_LEVELS) ** 2, 0.0)
    round_ = np.sin(np.linspace(0, np.pi, COLUMNS)) ** 4
    bump[..., 0] = SIDE_BIAS / 1000 * down[:, None] * round_
    legs = np.zeros(2 * len(LEG_LEVELS) * (COLUMNS + INNER_COLUMNS))
    return np.concatenate([bump.ravel(), legs])


def controls(mean: np.ndarray, rest: np.ndarray) -> np.ndarray:
    """What goes with each named trait once girths, ratios and drops are accounted for; one step each (4, N)."""
    trunk = np.array([split(row)[0] for row in rest])
    row = {t: int(np.argmin(np.abs(TRUNK_LEVELS - t))) for t in (0.0, 0.5, 1.0, 2.0)}
    seam = COLUMNS // 2
    traits = {
        "stance": -trunk[:, row[1.0], :, 1].mean(1),
        "belly": trunk[:, row[0.5], 0, 1] - trunk[:, [row[0.0], row[1.0]], 0, 1].mean(1),
        "high_hip": trunk[:, row[0.5], seam, 0] - trunk[:, [row[0.0], row[1.0]], seam, 0].mean(1),
        "outer_thigh": trunk[:, row[2.0], seam, 0] - trunk[:, row[1.0], seam, 0],
    }
    measured = np.stack([traits[name] for name in CONTROLS], axis=1)
    measured -= measured.mean(0)
    print("controls correlate", np.corrcoef(measured.T).round(2).tolist(), "sd", (1000 * measured.std(0)).round(1))
    response = np.linalg.lstsq(measured, rest, rcond=None)[0]
    rows = {
        name: row[1.0] if name == "stance" else row[2.0] if name == "outer_thigh" else row[0.5] for name in CONTROLS
    }
    moved = [_moved(split(mean)[0][rows[name]], split(response[i])[0][rows[name]]) for i, name in enumerate(CONTROLS)]
    place: dict[str, tuple[slice | int, int, int]] = {
        "stance": (slice(None), 1, -1),
        "belly": (0, 1, 1),
        "high_hip": (seam, 0, 1),
        "outer_thigh": (seam, 0, 1),
    }
    for i, name in enumerate(CONTROLS):
        columns, axis, sign = place[name]
        response[i] *= STEP[name] / 1000 / (sign * np.mean(moved[i][columns, axis]))
    return response


def _moved(mean: np.ndarray, change: np.ndarray) -> np.ndarray:
    """How far a row of the trunk (C, 2) really moves by a small change, its girth being made exact afterwards."""
    small = 0.01
    after = mean + small * change
    middle = [0.0, (after[:, 1].max() + after[:, 1].min()) / 2]
    return ((after - middle) * girth(whole(mean)) / girth(whole(after)) + middle - mean) / small


def measures_of_outlines(one: dict[str, float]) -> Measures:
    """The measurements of a sampled woman as the package takes them."""
    return Measures(
        waist=one["waist"],
        high_hip=one["high_hip"],
        hip=one["hip"],
        thigh=one["thigh"],
        knee=one["knee"],
        high_hip_drop=one["hip_drop"] / 2,
        hip_drop=one["hip_drop"],
        crotch_drop=one["crotch_drop"],
        under_seat_drop=one["under_seat_drop"],
        knee_drop=one["knee_drop"],
        waist_ratio=one["navel_ratio"],
        hip_ratio=one["hip_ratio"],
        measured=frozenset(),
    )
