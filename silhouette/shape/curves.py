"""Monotone interpolation and closed sections: the one-dimensional pieces the body is lofted from.

The monotone cubic is written out here, in a dozen lines, because importing ``scipy.interpolate`` alone takes
longer than a whole preview may take from a cold start. A test holds it to ``scipy``'s to rounding.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]  #: what every function of the package takes and gives, of any shape
Ints = NDArray[np.int64]  #: places in arrays
Flags = NDArray[np.bool_]


def monotone(x: ArrayLike, y: ArrayLike, at: ArrayLike) -> Array:
    """Monotone piecewise cubic through (x, y), after Fritsch and Butland (1984), as PCHIP.

    ``x`` (N,) ascending, ``y`` (N,) or (N, M), ``at`` (P,) → (P,) or (P, M); flat beyond the ends.

    >>> monotone([0, 1, 2], [0, 1, 1], [0.5, 2.0]).round(4).tolist()
    [0.6875, 1.0]
    """
    x, y, at = (np.asarray(a, dtype=np.float64) for a in (x, y, at))
    flat = y.ndim == 1
    y = y[:, None] if flat else y
    step = np.diff(x)[:, None]
    slope = np.diff(y, axis=0) / step
    end = np.zeros_like(y)
    if len(x) > 2:
        w1, w2 = 2 * step[1:] + step[:-1], step[1:] + 2 * step[:-1]
        same = slope[:-1] * slope[1:] > 0
        safe0, safe1 = np.where(same, slope[:-1], 1.0), np.where(same, slope[1:], 1.0)
        end[1:-1] = np.where(same, (w1 + w2) / (w1 / safe0 + w2 / safe1), 0.0)
        end[0] = _edge(step[0], step[1], slope[0], slope[1])
        end[-1] = _edge(step[-1], step[-2], slope[-1], slope[-2])
    else:
        end[:] = slope
    at = np.clip(at, x[0], x[-1])
    i = np.clip(np.searchsorted(x, at, side="right") - 1, 0, len(x) - 2)
    h = step[i]
    t = (at - x[i])[:, None] / h
    result = (
        y[i] * (1 + 2 * t) * (1 - t) ** 2
        + end[i] * h * t * (1 - t) ** 2
        + y[i + 1] * t**2 * (3 - 2 * t)
        + end[i + 1] * h * t**2 * (t - 1)
    )
    return np.asarray(result[:, 0] if flat else result)


def _edge(h0: Array, h1: Array, s0: Array, s1: Array) -> Array:
    slope = ((2 * h0 + h1) * s0 - h0 * s1) / (h0 + h1)
    slope = np.where(np.sign(slope) != np.sign(s0), 0.0, slope)
    steep = (np.sign(s0) != np.sign(s1)) & (np.abs(slope) > 3 * np.abs(s0))
    return np.asarray(np.where(steep, 3 * s0, slope))


def along(points: Array) -> Array:
    """Length run along polylines (..., K, 2) → (..., K), from 0 at the first point."""
    x, y = points[..., 0], points[..., 1]
    length = np.zeros(points.shape[:-1])
    np.cumsum(np.hypot(x[..., 1:] - x[..., :-1], y[..., 1:] - y[..., :-1]), axis=-1, out=length[..., 1:])
    return length


def between(levels: Array, at: Array) -> tuple[NDArray[np.intp], Array]:
    """Which of ascending ``levels`` (L,) is the upper neighbour of each of ``at`` (N,), and the share of the way on.

    Beyond the ends the nearest pair is taken, and the share is below 0 or above 1.

    >>> between(np.array([0.0, 10.0, 30.0]), np.array([5.0, 20.0, 40.0]))
    (array([0, 1, 1]), array([0.5, 0.5, 1.5]))
    """
    index = np.clip(np.searchsorted(levels, at, side="right") - 1, 0, len(levels) - 2)
    return index, np.asarray((at - levels[index]) / (levels[index + 1] - levels[index]))


def columns_at(table: Array, row: NDArray[np.intp], wanted: Array) -> tuple[NDArray[np.intp], Array]:
    """Where ``wanted`` (N,) stands in the given ascending ``row`` (N,) of ``table`` (R, K): left index and fraction.

    All rows are searched in one sorted look-up: each is lifted clear of the one before.
    """
    rows, k = table.shape
    if len(wanted) == 0:
        return np.zeros(0, dtype=np.intp), np.zeros(0)
    low = min(table.min(), wanted.min())
    lift = max(table.max(), wanted.max()) - low + 1.0
    lifted = (table + lift * np.arange(rows)[:, None]).ravel()
    index = np.clip(np.searchsorted(lifted, wanted + lift * row, side="right") - 1 - k * row, 0, k - 2)
    left = table[row, index]
    width = table[row, index + 1] - left
    fraction = np.divide(wanted - left, width, out=np.zeros_like(wanted), where=width > 0)
    return index, np.clip(fraction, 0.0, 1.0)


class CubicThrough:
    """The cubic spline through values at ``knots`` (N,), no knot at the second and the last but one, as a linear
    operator: called with (P,) places it gives the matrix (P, N) that takes values to the curve. Flat beyond the ends.

    >>> CubicThrough([0, 1, 2, 3])([1.5]).round(4).tolist()
    [[-0.0625, 0.5625, 0.5625, -0.0625]]
    """

    def __init__(self, knots: ArrayLike) -> None:
        x = np.asarray(knots, dtype=np.float64)
        n, h = len(x), np.diff(x)
        bent, of = np.zeros((n, n)), np.zeros((n, n))
        for i in range(1, n - 1):
            bent[i, i - 1 : i + 2] = h[i - 1] / 6, (h[i - 1] + h[i]) / 3, h[i] / 6
            of[i, i - 1 : i + 2] = 1 / h[i - 1], -1 / h[i - 1] - 1 / h[i], 1 / h[i]
        bent[0, :3] = h[1], -h[0] - h[1], h[0]
        bent[-1, -3:] = h[-1], -h[-2] - h[-1], h[-2]
        self.knots, self.bend = x, np.linalg.solve(bent, of)

    def __call__(self, at: ArrayLike) -> Array:
        x = self.knots
        at = np.clip(np.asarray(at, dtype=np.float64), x[0], x[-1])
        i = np.clip(np.searchsorted(x, at, side="right") - 1, 0, len(x) - 2)
        h = x[i + 1] - x[i]
        a, b = (x[i + 1] - at) / h, (at - x[i]) / h
        weights = ((a**3 - a) * h * h / 6)[:, None] * self.bend[i] + ((b**3 - b) * h * h / 6)[:, None] * self.bend[
            i + 1
        ]
        row = np.arange(len(at))
        weights[row, i] += a
        weights[row, i + 1] += b
        return np.asarray(weights)
