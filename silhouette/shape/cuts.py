"""A pad's outer face cut by horizontal levels: the section of its mesh, sparse or as a table."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from silhouette.shape.curves import Array
from silhouette.shape.pads import Pad


def cuts(pad: Pad, drops: Array) -> tuple[NDArray[np.intp], Array]:
    """Where horizontal levels cut the edges of the pad's outer face.

    The normal is not horizontal where the body slopes, so no row of the grid is level; every edge is cut
    instead. Returns the index in ``drops`` (N,) and x, y, foam thickness and distance from the seam (N, 4).
    """
    rows, columns = pad.thickness.shape
    start, end = _edges(rows, columns)
    size = rows * columns
    values = np.empty((size + rows, 5))
    values[:size, :3] = pad.outer.reshape(-1, 3)
    values[:size, 3] = pad.thickness.ravel()
    values[:size, 4] = pad.flat[..., 0].ravel()
    values[size:, :3] = pad.inner[:, -1]
    values[size:, 3:] = values[columns - 1 : size : columns, 3:]
    down = -values[:, 2]
    a, b = down[start], down[end]
    place = np.searchsorted(drops, values[:, 2] * -1.0)
    first = np.minimum(place[start], place[end])
    count = np.maximum(place[start], place[end]) - first
    edge = np.flatnonzero(count)
    count = count[edge]
    run = np.repeat(edge, count)
    level = first[run] + np.arange(len(run)) - np.repeat(np.cumsum(count) - count, count)
    t = ((drops[level] - a[run]) / (b[run] - a[run]))[:, None]
    keep = np.array([0, 1, 3, 4])
    low, high = values[start[run]][:, keep], values[end[run]][:, keep]
    return level, low + t * (high - low)


def rows_near(pad: Pad, drop: float, within: float) -> Pad:
    """The pad's rows that come within some mm of a level, and one more either side: all that is cut there."""
    down = -np.concatenate([pad.outer[..., 2], pad.inner[:, -1:, 2]], axis=1)
    above = np.maximum.accumulate(down.max(axis=1)) < drop - within
    below = np.minimum.accumulate(down.min(axis=1)[::-1])[::-1] > drop + within
    first, last = max(int(above.sum()) - 1, 0), len(down) - max(int(below.sum()) - 1, 0)
    rows = slice(first, max(last, first + 2))
    grids = {name: getattr(pad, name)[rows] for name in ("flat", "inner", "away", "outer", "thickness", "beneath")}
    return replace(pad, **grids)


def at_levels(pad: Pad, drops: Array) -> tuple[slice, Array, Array]:
    """The pad's outer face at horizontal levels, as a rectangular table.

    Returns the slice of ``drops`` that the pad covers, points (Lp, P, 2) there, in order from the seam outward
    along the pad, and the foam thickness at each (Lp, P). Levels with fewer cuts are filled up with the origin
    and thickness 0, which no taut tape can touch.
    """
    level, cut = cuts(pad, drops)
    if len(level) == 0:
        return slice(0, 0), np.zeros((0, 1, 2)), np.zeros((0, 1))
    order = np.lexsort((np.abs(cut[:, 3]), level))
    cut, level = cut[order], level[order]
    low, high = int(level[0]), int(level[-1]) + 1
    per_level = np.bincount(level - low, minlength=high - low)
    place = np.arange(len(level)) - np.repeat(np.cumsum(per_level) - per_level, per_level)
    points = np.zeros((high - low, int(per_level.max()), 2))
    thickness = np.zeros(points.shape[:2])
    points[level - low, place] = cut[:, :2]
    thickness[level - low, place] = cut[:, 2]
    return slice(low, high), points, thickness


@lru_cache(maxsize=8)
def _edges(rows: int, columns: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Ends of every edge of the outer face, with the diagonals its solid has, and of the wall at the free edge
    (its inner points last)."""
    grid = np.arange(rows * columns).reshape(rows, columns)
    wall = rows * columns + np.arange(rows)
    pairs = [
        (grid[:-1], grid[1:]),
        (grid[:, :-1], grid[:, 1:]),
        (grid[:-1, :-1], grid[1:, 1:]),
        (grid[:, -1], wall),
    ]
    return np.concatenate([a.ravel() for a, _ in pairs]), np.concatenate([b.ravel() for _, b in pairs])
