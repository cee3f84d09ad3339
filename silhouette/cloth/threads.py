"""Threads down the figure: over what they must clear, and between that and what holds them in. All columns at once."""

from __future__ import annotations

import numpy as np

from silhouette.shape.curves import Array


def hang(drops: Array, reach: Array) -> Array:
    """Upper concave envelope of ``reach`` (L, D) down each column over ``drops`` (L,); plumb below the widest place.

    From one corner of the envelope to the next: at most as many turns as a column has corners.

    >>> hang(np.array([0.0, 1.0, 2.0, 3.0]), np.array([[0.0], [0.0], [4.0], [1.0]])).ravel().tolist()
    [0.0, 2.0, 4.0, 4.0]
    """
    widest = reach.argmax(axis=0)
    last = int(widest.max()) + 1
    part, down = reach[:last], drops[:last, None]
    top = reach[widest, np.arange(reach.shape[1])]
    corner = np.zeros_like(widest)
    whole = np.empty_like(reach)
    whole[:] = top
    envelope = whole[:last]
    open_ = np.flatnonzero(widest > 0)
    while len(open_):
        here = corner[open_]
        first = int(here.min())
        start = part[here, open_]
        away = down[first:] - drops[here]
        slope = np.divide(part[first:, open_] - start, away, out=np.full(away.shape, -np.inf), where=away > 0)
        nearest = slope.argmax(axis=0)
        steepest = slope[nearest, np.arange(len(open_))]
        line = start + steepest * (down - drops[here])
        envelope[:, open_] = np.minimum(envelope[:, open_], line)
        corner[open_] = nearest = nearest + first
        open_ = open_[nearest < widest[open_]]
    np.maximum(envelope, part, out=envelope)  # rounding only
    return whole


def draw(drops: Array, low: Array, high: Array) -> Array:
    """Shortest threads down ``drops`` (L,) that stay at or above ``low`` and at or below ``high``, both (L, D).

    They run from ``high`` at the first level to ``high`` at the last: straight, round what lies below them, and under
    what holds them in.

    >>> z, low = np.array([0.0, 1.0, 2.0, 3.0]), np.zeros((4, 1))
    >>> draw(z, low, np.array([[3.0], [9.0], [0.0], [0.0]])).ravel().tolist()
    [3.0, 1.5, 0.0, 0.0]
    """
    last = len(drops) - 1
    low = low.copy()
    low[[0, last]] = high[[0, last]]
    result = high.copy()
    columns = np.arange(low.shape[1])
    corner = np.zeros(low.shape[1], dtype=np.intp)
    while len(columns):
        here = corner[columns]
        first = int(here.min())
        start = result[here, columns]
        away = drops[first:, None] - drops[here]
        onward = away > 0
        least = np.divide(low[first:, columns] - start, away, out=np.full(away.shape, -np.inf), where=onward)
        most = np.divide(high[first:, columns] - start, away, out=np.full(away.shape, np.inf), where=onward)
        rising, falling = np.maximum.accumulate(least), np.minimum.accumulate(most)
        crossed = rising > falling
        end = np.where(crossed.any(axis=0), crossed.argmax(axis=0), last - first)
        across = np.arange(len(columns))
        # the bound that held before they crossed is the one the thread turns round
        by_high = least[end, across] > falling[end, across]
        free = ~crossed[end, across]
        before = np.arange(len(away))[:, None] < end + free
        turn_high = np.where(before, most, np.inf).argmin(axis=0)
        turn_low = np.where(before, least, -np.inf).argmax(axis=0)
        turn = np.where(free, last - first, np.where(by_high, turn_high, turn_low))
        slope = np.where(by_high & ~free, most[turn, across], least[turn, across])
        inside = onward & (np.arange(len(away))[:, None] <= turn)
        line = start + slope * away
        result[first:, columns] = np.where(inside, line, result[first:, columns])
        corner[columns] = turn = turn + first
        columns = columns[turn < last]
    return np.asarray(np.clip(result, low, high))  # rounding only
