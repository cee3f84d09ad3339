"""How far a scan leans: the straight line nearest to the middles of its sections, against the plumb line.

The middles are taken at ankles or shins, where the scan goes down so far, at knees, seat and above the waist. On 180
sampled upright women (``tests/learn_shape``, seeds 11 and 12) that line leaned to the front by the degrees below, ± 0.5
from ankles or shins and ± 0.6 from the knees; the line from knees to waist alone spread by ± 0.8.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from silhouette.shape.curves import Array
from silhouette.shape.scan.landmarks import Placed, body_parts
from silhouette.shape.scan.slices import HOLE, Mesh, sections

#: Lowest level, in lengths from crotch to knee below the knee, and how far upright women then lean to the front,
#: degrees: with a level above the waist, and with the waist as the highest.
POSTURE: Final = ((1.1, (1.73, 1.94)), (0.78, (1.57, 1.77)), (0.47, (1.30, 1.49)), (0.0, (0.11, 0.15)))
FROM_ANKLES: Final = (0.81, 0.93)  #: the same from the ankles, where her feet are in the scan
ABOVE_WAIST: Final = 0.3  #: of the way from hip to waist, above it
ANKLE: Final = 70.0  #: mm above her soles
NEAR: Final = np.array([-9.0, -3.0, 3.0, 9.0])  #: mm; a middle is the mean of the sections so near


def lean_of(scan: Placed) -> tuple[float, float]:
    """Degrees that a scan leans to the left, and further to the front than upright women; 0 where it cannot be told."""
    leg = scan.crotch - scan.knee
    high = scan.waist + ABOVE_WAIST * (scan.waist - scan.hip)
    lower = [(ANKLE, FROM_ANKLES)] if scan.profile.feet else []
    lower += [(scan.knee - share * leg, degrees) for share, degrees in POSTURE]
    top = float(scan.mesh.vertices[:, 2].max()) - NEAR[-1] - 1.0
    upper = [(z, k) for z, k in ((high, 0), (scan.waist, 1)) if z <= top]
    for z, posture in lower:
        if z < 1.0 - NEAR[0] or not upper:
            continue
        heights = np.array(sorted({z, scan.knee, scan.hip, upper[0][0]}))
        middles = _middles(scan.mesh, heights, legs=heights < scan.crotch)
        if middles is not None:
            from_mean = heights - heights.mean()
            slope = from_mean @ middles / (from_mean @ from_mean)
            aside, ahead = np.degrees(np.arctan(slope))
            return float(aside), float(ahead - posture[upper[0][1]])
    return 0.0, 0.0


def _middles(mesh: Mesh, heights: Array, legs: NDArray[np.bool_]) -> Array | None:
    """Middles (N, 2) of trunk or of both legs, None where a level shows something else."""
    every = (heights[:, None] + NEAR).ravel()
    order = np.argsort(every)
    found = sections(mesh, every[order], HOLE)
    middles = np.full((len(every), 2), np.nan)
    for place, parts in zip(order, found, strict=True):
        pair = body_parts(parts)
        if pair and (len(pair) == 2) == bool(legs[place // len(NEAR)]):
            middles[place] = np.mean([part.middle for part in pair], axis=0)
    with np.errstate(all="ignore"):
        held = np.array(
            [
                np.nanmean(m, axis=0) if np.isfinite(m).any() else [np.nan, np.nan]
                for m in middles.reshape(len(heights), -1, 2)
            ]
        )
    return None if np.isnan(held).any() else held
