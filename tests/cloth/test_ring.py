"""Tridiagonal rings and chains against a dense solve (numpy.linalg)."""

import numpy as np
import pytest

from silhouette.cloth.ring import FEW, solve_ring


@pytest.mark.parametrize("closed", [True, False])
@pytest.mark.parametrize("rows", [1, FEW, FEW + 3])
@pytest.mark.parametrize("points", [5, 64, 97])
def test_against_a_dense_solve(rows, points, closed):
    rng = np.random.default_rng(rows * points)
    side = -rng.uniform(0.1, 1, (rows, points))
    if not closed:
        side[:, -1] = 0
    diagonal = -side - np.roll(side, 1, axis=1) + rng.uniform(0.001, 0.5, (rows, points))
    first, second = rng.normal(size=(2, rows, points))
    at = np.arange(points)
    dense = np.zeros((rows, points, points))
    dense[:, at, at] = diagonal
    dense[:, at, (at + 1) % points] += side
    dense[:, (at + 1) % points, at] += side
    wanted = [np.linalg.solve(dense, part[..., None])[..., 0] for part in (first, second)]
    found = solve_ring(diagonal.copy(), side.copy(), first, second, closed)
    for part, right in zip(found, wanted, strict=True):
        assert part == pytest.approx(right, rel=1e-9, abs=1e-9)
