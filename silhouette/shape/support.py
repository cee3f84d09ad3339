"""Support functions of point sets: how far they reach in every direction, and the girth of a taut tape round them."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from silhouette.shape.curves import Array

DIRECTIONS: Final = 96  #: over the full turn; a multiple of 24, fine enough that long flat bridges read true
_CHUNK: Final = 60_000  #: products at a time: stays in cache, and too small for threads to get in each other's way


@lru_cache(maxsize=16)
def turn_of(count: int) -> tuple[Array, Array]:
    angles = np.asarray(np.arange(count) * (2 * np.pi / count), dtype=np.float64)
    return angles, np.stack([np.cos(angles), np.sin(angles)])


def support(points: Array, count: int = DIRECTIONS) -> Array:
    """Support function of point sets (..., P, 2) in ``count`` directions → (..., count).

    >>> support(np.array([[3.0, 0.0], [-1.0, 0.0]]), 4).round(9).tolist()
    [3.0, 0.0, 1.0, 0.0]
    """
    return _support(points, turn_of(count)[1])


def support_of_pair(points: Array, count: int = DIRECTIONS) -> Array:
    """Support function of point sets (..., P, 2) together with their mirror images in the mid-plane.

    Only the directions of one half turn are worked out: there the image with x ≥ 0 always reaches further.
    """
    half = half_turn(count)
    folded = points.copy()
    np.abs(folded[..., 0], out=folded[..., 0])
    h = _support(folded, turn_of(count)[1][:, half[0]])
    return np.asarray(h[..., half[1]])


def _support(points: Array, turn: Array) -> Array:
    shape, count = points.shape[:-1], turn.shape[1]
    levels = points.reshape(-1, shape[-1], 2)
    result = np.empty((len(levels), count))
    chunk = max(1, _CHUNK // (shape[-1] * count))
    for first in range(0, len(levels), chunk):
        part = levels[first : first + chunk]
        flat = np.ascontiguousarray(part.reshape(-1, 2).T)  # directions first: the maximum runs along memory
        reach = (turn.T @ flat).reshape(count, len(part), shape[-1])
        result[first : first + chunk] = np.maximum.reduce(reach, axis=2).T
    return result.reshape(*shape[:-1], count)


def products(turn: Array, flat: Array) -> Array:
    """``turn.T @ flat`` for (2, D) and (2, N), in parts too small for threads to get in each other's way."""
    reach = np.empty((turn.shape[1], flat.shape[1]))
    step = _CHUNK // turn.shape[1]
    for first in range(0, flat.shape[1], step):
        np.matmul(turn.T, flat[:, first : first + step], out=reach[:, first : first + step])
    return reach


def girth_of(h: Array) -> Array:
    """Perimeter of the convex hull from its support function (..., D) → (...,): Cauchy's formula."""
    return np.asarray(h.sum(-1) * (2 * np.pi / h.shape[-1]))


@lru_cache(maxsize=16)
def half_turn(count: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Directions with cos ≥ 0, and for each direction of the full turn its place among them or its mirror's."""
    every = np.arange(count)
    right = every[np.cos(every * (2 * np.pi / count)) > -1e-12]
    place = np.full(count, -1)
    place[right] = np.arange(len(right))
    mirror = (count // 2 - every) % count
    return right, np.where(place >= 0, place, place[mirror])
