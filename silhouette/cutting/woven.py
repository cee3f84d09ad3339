"""Woven cloth laid flat: a grid of threads, slit where darts come, that keep their lengths as nearly as can be."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from silhouette.cutting.flatten import FoldOver, Stretch
from silhouette.cutting.unrolled import triangle_areas
from silhouette.shape.curves import Array, Ints

LEVEL: Final = 30.0  #: how much stiffer the level lines are than the threads down
SEAM: Final = 300.0  #: and the side seam
FIRST: Final = 5.0  #: no thread is stiffer while the rough shape is brought near
SHEAR: Final = 1.2  #: and threads askew: woven cloth gives on the bias
ROUNDS: Final = 40  #: of laying flat, at most
AT_REST: Final = 5e-4  #: share by which a round must still lessen the strain


@dataclass(frozen=True, eq=False)
class Slit:
    """A grid of points with its slits: `index` (R, C) numbers them, `right` for the cells to the right of a slit.

    `slits` pairs a column with its number of open rows; `threads` (E, 2) run along and across levels and askew, `stiff`
    (E,) tells how much each minds; `corners` (M, 3) are counter-clockwise with the centre line on the left.
    """

    vertices: Array
    index: Ints
    right: Ints
    slits: tuple[tuple[int, int], ...]
    threads: Ints
    stiff: Array
    corners: Ints


def slit(grid: Array, slits: tuple[tuple[int, int], ...] = ()) -> Slit:
    """The grid (R, C, 3) slit from its first row: column and number of open rows of each slit."""
    R, C = grid.shape[:2]
    index = np.arange(R * C).reshape(R, C)
    right = index.copy()
    extra, count = [], R * C
    for column, depth in slits:
        right[:depth, column] = np.arange(count, count + depth)
        count += depth
        extra.append(grid[:depth, column])
    a, b, d, e = right[:-1, :-1], index[:-1, 1:], right[1:, :-1], index[1:, 1:]
    level = np.stack([right[:, :-1], index[:, 1:]], -1).reshape(-1, 2)
    seam = np.stack([index[:-1, -1], index[1:, -1]], -1)
    down = np.stack([np.concatenate([a, b], 1), np.concatenate([d, e], 1)], -1).reshape(-1, 2)
    askew = np.stack([np.concatenate([a, b]), np.concatenate([e, d])], -1).reshape(-1, 2)
    return Slit(
        np.concatenate([grid.reshape(-1, 3), *extra]),
        index,
        right,
        slits,
        np.concatenate([level, seam, down, askew]),
        np.repeat([LEVEL, SEAM, 1.0, SHEAR], [len(level), len(seam), len(down), len(askew)]),
        np.concatenate([np.stack([a, d, e], -1), np.stack([a, e, b], -1)]).reshape(-1, 3),
    )


def spread(start: Array, vertices: Array, threads: Ints, stiff: Array, held: Ints) -> Array:
    """Flat places (N, 2) at which threads (E, 2) between `vertices` (N, 3) keep their lengths as nearly as can be.

    Least squares of the threads' strains weighted by `stiff` (E,), by Levenberg and Marquardt's steps from `start`
    (N, 2); vertices `held` stay there.
    """
    from scipy import sparse
    from scipy.sparse.linalg import splu

    if stiff.max() > FIRST:
        start = spread(start, vertices, threads, np.minimum(stiff, FIRST), held)
    i, j = threads.T
    true = np.linalg.norm(vertices[i] - vertices[j], axis=1)
    free = np.setdiff1d(np.arange(len(start)), held)
    column = np.full(len(start), -1)
    column[free] = np.arange(len(free))
    weight, rows = np.sqrt(stiff) / true, np.arange(len(i))
    ends = [(end, sign, m) for end, sign in ((i, 1.0), (j, -1.0)) for m in [column[end] >= 0]]
    row = np.concatenate([rows[m] for _, _, m in ends for _ in (0, 1)])
    col = np.concatenate([2 * column[end[m]] + k for end, _, m in ends for k in (0, 1)])

    def strain(points: Array) -> tuple[Array, Array]:
        way = points[i] - points[j]
        long = np.linalg.norm(way, axis=1)
        return weight * (long - true), way / long[:, None] * weight[:, None]

    points, damping = start, 1e-3
    left, pull = strain(points)
    for _ in range(ROUNDS):
        value = np.concatenate([sign * pull[m, k] for _, sign, m in ends for k in (0, 1)])
        slope = sparse.csr_matrix((value, (row, col)), shape=(len(i), 2 * len(free)))
        normal = slope.T @ slope
        normal = (normal + damping * sparse.diags(normal.diagonal())).tocsc()
        solver = splu(normal, permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True})
        tried = points.copy()
        tried[free] -= solver.solve(slope.T @ left).reshape(-1, 2)
        after, pull_after = strain(tried)
        if after @ after > left @ left:
            damping *= 10.0
            continue
        rest = left @ left - after @ after < AT_REST * (after @ after)
        points, left, pull, damping = tried, after, pull_after, damping / 5.0
        if rest:
            break
    return points


def stretch_of(points: Array, mesh: Slit) -> Stretch:
    vertices, corners, threads = mesh.vertices, mesh.corners, mesh.threads
    flat = triangle_areas(points, corners)
    u, v = (vertices[corners[:, k]] - vertices[corners[:, 0]] for k in (1, 2))
    solid = np.linalg.norm(np.cross(u, v), axis=1) / 2
    if (flat <= 0).any():
        raise FoldOver(f"{int((flat <= 0).sum())} of {len(flat)} facets turn over when it is laid flat")
    true, laid = (np.linalg.norm(p[threads[:, 0]] - p[threads[:, 1]], axis=1) for p in (vertices, points))
    length = np.abs(laid / true - 1)
    return Stretch(
        float(length.max()),
        float(np.average(length, weights=true)),
        float(np.abs(flat / solid - 1).max()),
        float(flat.sum() / solid.sum() - 1),
    )


def rough_shape(mesh: Slit) -> Array:
    """A rough flat shape (N, 2): every point at its distance along the level, under the centre line's own length."""
    grid = mesh.vertices[mesh.index]
    across = np.linalg.norm(np.diff(grid, axis=1), axis=2).cumsum(axis=1)
    down = np.concatenate([[0.0], np.linalg.norm(np.diff(grid[:, 0], axis=0), axis=1).cumsum()])
    x = np.concatenate([np.zeros((len(grid), 1)), across], axis=1)
    flat = np.empty((len(mesh.vertices), 2))
    for numbers in (mesh.index, mesh.right):
        flat[numbers] = np.stack([x, np.broadcast_to(-down[:, None], x.shape)], axis=-1)
    return flat
