"""Monotone interpolation and closed sections: the one-dimensional pieces the body is lofted from.

The monotone cubic is written out here, in a dozen lines, because importing ``scipy.interpolate`` alone takes
longer than a whole preview may take from a cold start. A test holds it to ``scipy``'s to rounding.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


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


def section(
    angles: Array, breadth: ArrayLike, depth: ArrayLike, front_share: ArrayLike, exponent: ArrayLike
) -> Array:
    """Points of superellipse-like sections whose front and back half-depths may differ.

    ``angles`` (K,) run from the front (0) over the wearer's left (π/2) to the back (π); the other arguments
    are (L,) or scalars, mm. Returns (L, K, 2): x, y with the widest point on the x axis. The radial form
    keeps neighbouring points evenly spaced where the usual power form bunches them.
    """
    b, d, f, n = (np.atleast_1d(np.asarray(a, dtype=np.float64))[:, None] for a in (breadth, depth, front_share, exponent))
    sine, cosine = np.sin(angles), np.cos(angles)
    # with t = tan or cot, whichever is below 1, one power serves where two would be needed
    big, small = np.maximum(np.abs(sine), np.abs(cosine)), np.minimum(np.abs(sine), np.abs(cosine))
    radius = np.exp(np.log1p(np.exp(n * np.log(np.maximum(small / big, 1e-300)))) / -n) / big
    points = np.empty((max(map(len, (b, d, f, n))), len(angles), 2))
    points[..., 0] = b / 2 * sine * radius
    points[..., 1] = np.where(cosine >= 0, d * f, d * (1 - f)) * cosine * radius
    return points


def along(points: Array) -> Array:
    """Length run along polylines (..., K, 2 or 3) → (..., K), from 0 at the first point."""
    steps = np.sqrt((np.diff(points, axis=-2) ** 2).sum(-1))
    start = np.zeros((*steps.shape[:-1], 1))
    return np.concatenate([start, np.cumsum(steps, axis=-1)], axis=-1)


def perimeter(closed: Array) -> Array:
    """Length of closed polygons (..., K, 2) → (...,)."""
    return np.asarray(np.sqrt(((closed - np.roll(closed, 1, axis=-2)) ** 2).sum(-1)).sum(-1))


def rows_at(table: Array, wanted: Array) -> tuple[NDArray[np.intp], Array]:
    """Where ``wanted`` (R, C) stands in ascending rows ``table`` (R, K): left index and fraction, both (R, C).

    All rows are searched in one sorted look-up: each row is lifted clear of the one before.
    """
    r, k = table.shape
    low = table.min()
    lift = (max(table.max(), wanted.max()) - min(low, wanted.min()) + 1.0) * np.arange(r)[:, None]
    place = np.searchsorted((table + lift).ravel(), (wanted + lift).ravel(), side="right").reshape(wanted.shape)
    index = np.clip(place - 1 - k * np.arange(r)[:, None], 0, k - 2)
    left = np.take_along_axis(table, index, 1)
    width = np.take_along_axis(table, index + 1, 1) - left
    fraction = np.divide(wanted - left, width, out=np.zeros_like(wanted), where=width > 0)
    return index, np.clip(fraction, 0.0, 1.0)
