"""The line a half panel is cut out on: its sewing lines let out by their allowances."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from silhouette.asked.supplies import Cloth
from silhouette.cutting.half_panel import HalfPanel
from silhouette.shape.curves import Array

VENT: Final = (38.0, 200.0)  #: mm, width and height of the back vent (common practice, no source)


def cut_line(panel: HalfPanel, cloth: Cloth, opening: float, vented: bool) -> Array:
    """Cut line round a half panel (N, 2): the sewing lines let out by their allowances, dart mouths peaked.

    Each line is moved out by its own allowance and carried on at both ends; neighbours are cut off where they cross.
    `opening` is the allowance at the centre line, mm; `vented` adds the vent to it.
    """
    import shapely

    seam, hem = cloth.seam_allowance, cloth.hem_allowance
    far = 4.0 * max(seam, hem, opening, VENT[0])
    corners = (panel.centre[0], panel.hem[0], panel.side[-1], panel.side[0])
    lines = (panel.hem, panel.side[::-1], _peaked(panel)[::-1])
    let_out = [
        _moved_out(_longer(line, far), allowance) for line, allowance in zip(lines, (hem, seam, seam), strict=True)
    ]
    out, (top, foot) = opening, panel.centre[[0, -1], 1]
    edge = [(-out, top + far), (-out, foot - far)]
    if vented:
        edge[1:] = [(-out, foot + VENT[1]), (-VENT[0], foot + VENT[1]), (-VENT[0], foot - far)]
    around = [shapely.LineString(edge), *let_out]
    starts = [_crossing(around[k - 1], around[k], corner) for k, corner in enumerate(corners)]
    ring = [_between(line, starts[k], starts[(k + 1) % 4])[:-1] for k, line in enumerate(around)]
    return np.asarray(shapely.get_coordinates(shapely.Polygon(np.concatenate(ring)).exterior.simplify(0.05))[:-1])


def _peaked(panel: HalfPanel) -> Array:
    """The waist from the centre line to the side seam (N, 2), over each dart's mouth the peak that meets it folded."""
    waist = [panel.waist[0]]
    for line, dart in zip(panel.waist[1:], panel.darts, strict=True):
        middle = dart.feet.mean(axis=0) - dart.tip
        leg = float(np.linalg.norm(dart.feet[0] - dart.tip))
        waist += [(dart.tip + middle * leg**2 / (middle @ middle))[None], line]
    return np.concatenate(waist)


def _moved_out(line: Array, out: float) -> Any:
    """A line (N, 2) moved to its right, which is outward for those who go round with the panel on the left."""
    import shapely

    step = np.diff(line, axis=0)
    right = np.stack([step[:, 1], -step[:, 0]], axis=-1) / np.linalg.norm(step, axis=1)[:, None]
    mitre = np.concatenate([right[:1], right[:-1] + right[1:], right[-1:]])
    mitre /= (mitre * np.concatenate([right[:1], right])).sum(axis=1, keepdims=True)
    return shapely.LineString(line + out * mitre)


def _crossing(one: Any, two: Any, corner: Array) -> Any:
    """Where two lines cross, nearest to a corner of the sewing lines."""
    import shapely

    points = shapely.get_parts(shapely.intersection(one, two))
    return min(points, key=lambda p: shapely.distance(p, shapely.Point(corner))).centroid


def _between(line: Any, one: Any, two: Any) -> Array:
    """The part of a line between two points on it (N, 2)."""
    import shapely
    from shapely.ops import substring

    return np.asarray(shapely.get_coordinates(substring(line, line.project(one), line.project(two))))


def _longer(line: Array, by: float) -> Array:
    """A line (N, 2) carried on straight at both ends."""
    first, last = line[0] - line[1], line[-1] - line[-2]
    return np.concatenate(
        [
            [line[0] + by * first / np.linalg.norm(first)],
            line[1:-1],
            [line[-1] + by * last / np.linalg.norm(last)],
        ]
    )
