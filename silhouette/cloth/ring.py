"""Symmetric tridiagonal systems, open or closed to a ring, many rows at once."""

from __future__ import annotations

import numpy as np

from silhouette.shape.curves import Array

FEW = 2  # levels that are solved without loading scipy, which takes longer than they do


def solve_ring(diagonal: Array, side: Array, first: Array, second: Array, ring: bool) -> tuple[Array, Array]:
    """Solve a symmetric cyclic tridiagonal system per row for two right-hand sides, all rows in one sweep.

    ``side[:, i]`` couples i and i+1; the last one closes the ``ring`` (Sherman–Morrison), or is 0 on an open chain.
    """
    rows, points = diagonal.shape
    solve = _halving if rows <= FEW else _sweeping
    if not ring:
        pair = solve(diagonal, side, np.stack((first, second)))
        return pair[0], pair[1]
    closing, pivot = side[:, -1].copy(), diagonal[:, 0].copy()
    diagonal[:, 0] += pivot
    diagonal[:, -1] += closing**2 / pivot
    side[:, -1] = 0.0
    right = np.empty((3, rows, points))
    right[0], right[1], right[2] = first, second, 0.0
    right[2, :, 0], right[2, :, -1] = -pivot, closing
    found = solve(diagonal, side, right)
    pair, third = found[:2], found[2]
    tail = -closing / pivot
    scale = 1 / (1 + third[:, 0] + tail * third[:, -1])
    pair -= ((pair[:, :, 0] + tail * pair[:, :, -1]) * scale)[..., None] * third
    return pair[0], pair[1]


def _sweeping(main: Array, off: Array, right: Array) -> Array:
    """Tridiagonal solve of many rows end to end, for right-hand sides (S, L, P)."""
    from scipy.linalg.lapack import dptsv

    flat = right.reshape(len(right), -1).T
    solved = dptsv(main.ravel(), off.ravel()[:-1], flat, overwrite_d=1, overwrite_e=1, overwrite_b=1)
    return np.asarray(solved[2].T.reshape(right.shape))


def _halving(main: Array, off: Array, right: Array) -> Array:
    """The same for a few rows by parallel cyclic reduction: each pass couples places twice as far apart.

    Rows are divided by their diagonal, so that of each there remain what couples it to the place before and the one
    after, and its right-hand sides.
    """
    points = main.shape[1]
    pad = 1 << (points - 1).bit_length()  # nothing stands beyond the ends
    table = np.zeros((2 + len(right), len(main), points + 2 * pad))
    rows = table[..., pad : pad + points]
    rows[0, :, 1:], rows[1], rows[2:] = off[:, :-1], off, right
    rows /= main
    before, after = table[0, :, pad : pad + points], table[1, :, pad : pad + points]
    reach = 1
    while reach < points:
        above, below = table[..., pad - reach : pad - reach + points], table[..., pad + reach : pad + reach + points]
        scale = 1 / (1 - before * above[1] - after * below[0])
        new = np.empty_like(rows)
        new[0], new[1] = -before * above[0], -after * below[1]
        new[2:] = rows[2:] - before * above[2:] - after * below[2:]
        rows[:] = new * scale
        reach *= 2
    return rows[2:].copy()
