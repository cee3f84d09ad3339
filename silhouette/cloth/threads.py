"""Threads down the figure: over what they must clear, and through what holds them in. All columns at once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from silhouette.shape.curves import Array, Flags

PAST: Final = 1e-9  #: mm; a level this far above a thread touches it


def hang(drops: Array, reach: Array, held: Sequence[int] = (), near: Flags | None = None) -> Array:
    """Threads from the first level of ``reach`` (L, D) down ``drops`` (L,), over it and plumb below the widest place.

    At levels ``held`` they run through it. Where none is held that is the upper concave envelope. ``near`` as in
    :func:`draw`.

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
    whole[:last] = draw(
        drops[:last], np.where(below, top, reach[:last]), held, None if near is None else near[:last] & ~below
    )
    return whole


def draw(drops: Array, low: Array, held: Sequence[int] = (), near: Flags | None = None) -> Array:
    """Shortest threads down ``drops`` (L,) from end to end of ``low`` (L, D) that stay at or above it.

    At levels ``held`` they run through ``low``, inward corner or not. A level that lies under the line between its
    neighbours touches no thread and is left out, until none does. ``near`` (L, D), where threads are known to touch
    or nearly so, saves most of that; what they then miss is put back.

    >>> z, low = np.array([0.0, 1.0, 2.0, 3.0, 4.0]), np.array([[0.0], [0.0], [4.0], [0.0], [2.0]])
    >>> draw(z, low).ravel().tolist()
    [0.0, 2.0, 4.0, 3.0, 2.0]
    >>> draw(z, low, [1]).ravel().tolist()
    [0.0, 0.0, 4.0, 3.0, 2.0]
    """
    count, width = low.shape
    if count < 3:
        return low.copy()
    place = np.arange(count * width).reshape(count, width)
    heights, flat = np.repeat(drops, width), low.ravel()
    fixed = np.zeros((count, 1), dtype=bool)
    fixed[[0, count - 1, *held]] = True
    touches = np.ones(low.shape, dtype=bool) if near is None else near | fixed
    inner = slice(1, count - 1)
    height, bound, always = drops[inner, None], low[inner], fixed[inner]
    while True:
        above = np.maximum.accumulate(np.where(touches, place, place[0]), axis=0)[:-2]
        below = np.minimum.accumulate(np.where(touches, place, place[-1])[::-1], axis=0)[::-1][2:]
        start, upper = flat.take(above), heights.take(above)
        line = start + (flat.take(below) - start) * ((height - upper) / (heights.take(below) - upper))
        clear = bound > line
        kept = touches[inner] & (clear | always)
        if (kept == touches[inner]).all():
            missed = clear & ~kept & (bound > line + PAST)
            if not missed.any():
                result = low.copy()
                result[inner] = np.where(kept, bound, np.maximum(line, bound) if near is not None else line)
                return result
            kept |= missed
        touches[inner] = kept


def reach_at(drops: Array, low: Array, level: int) -> Array:
    """How far threads that :func:`hang` over ``low`` (L, D), held nowhere, reach at one level (D,).

    >>> reach_at(np.array([0.0, 1.0, 2.0, 3.0]), np.array([[0.0], [0.0], [4.0], [1.0]]), 1).tolist()
    [2.0]
    """
    if level == 0:
        return np.asarray(low[0])
    above, height = low[:level], drops[level] - drops[:level]
    result = np.maximum(above.max(axis=0), low[level])  # plumb, where nothing below is wider
    most = low[level:].max(axis=0)
    if (result < most).any():
        share = height[:, None] / (drops[level + 1 :] - drops[:level, None])
        line = above[:, None] * (1 - share[..., None]) + low[level + 1 :] * share[..., None]
        lines = np.maximum(low[level], line.reshape(-1, low.shape[1]).max(axis=0))
        result = np.where(result < most, lines, result)
    return np.asarray(result)
