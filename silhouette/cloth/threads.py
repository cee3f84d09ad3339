"""Threads down the figure: over what they must clear, and through what holds them in. All columns at once."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from silhouette.shape.curves import Array


def hang(drops: Array, reach: Array, held: Sequence[int] = ()) -> Array:
    """Threads from the first level of ``reach`` (L, D) down ``drops`` (L,), over it and plumb below the widest place.

    At levels ``held`` they run through it. Where none is held that is the upper concave envelope.

    >>> hang(np.array([0.0, 1.0, 2.0, 3.0]), np.array([[0.0], [0.0], [4.0], [1.0]])).ravel().tolist()
    [0.0, 2.0, 4.0, 4.0]
    """
    first = max(held, default=0)
    widest = first + reach[first:].argmax(axis=0)
    last = int(widest.max()) + 1
    top = reach[widest, np.arange(reach.shape[1])]
    whole = np.empty_like(reach)
    whole[:] = top
    below = np.arange(last)[:, None] > widest
    whole[:last] = draw(drops[:last], np.where(below, top, reach[:last]), held)
    return whole


def draw(drops: Array, low: Array, held: Sequence[int] = ()) -> Array:
    """Shortest threads down ``drops`` (L,) from end to end of ``low`` (L, D) that stay at or above it.

    At levels ``held`` they run through ``low``, inward corner or not. A level that lies under the line between its
    neighbours touches no thread and is left out, until none does.

    >>> z, low = np.array([0.0, 1.0, 2.0, 3.0, 4.0]), np.array([[0.0], [0.0], [4.0], [0.0], [2.0]])
    >>> draw(z, low).ravel().tolist()
    [0.0, 2.0, 4.0, 3.0, 2.0]
    >>> draw(z, low, [1]).ravel().tolist()
    [0.0, 0.0, 4.0, 3.0, 2.0]
    """
    count = len(drops)
    if count < 3:
        return low.copy()
    level = np.broadcast_to(np.arange(count)[:, None], low.shape)
    fixed = np.zeros(count, dtype=bool)
    fixed[[0, count - 1, *held]] = True
    touches = np.ones(low.shape, dtype=bool)
    columns = np.arange(low.shape[1])
    inner = slice(1, count - 1)
    while True:
        above = np.maximum.accumulate(np.where(touches, level, 0), axis=0)[:-2]
        below = np.minimum.accumulate(np.where(touches, level, count - 1)[::-1], axis=0)[::-1][2:]
        start, height = low[above, columns], drops[above]
        line = start + (low[below, columns] - start) * ((drops[inner, None] - height) / (drops[below] - height))
        kept = touches[inner] & (fixed[inner, None] | (low[inner] > line))
        if (kept == touches[inner]).all():
            result = low.copy()
            result[inner] = np.where(kept, low[inner], line)
            return result
        touches[inner] = kept
