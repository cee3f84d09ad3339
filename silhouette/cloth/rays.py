"""Loops as distances along rays from an axis, where threads hang, and back to support functions."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from silhouette.shape.curves import Array

REACH: Final = 1.1  #: radians either side of a direction in which the point that bounds it, or its line, is looked for


def along_rays(h: Array) -> Array:
    """Distances (L, D) from the axis to loops of support functions (L, D) about it, along the same directions.

    A loop ends where the first of its lines is met.

    >>> float(along_rays(np.full((1, 24), 5.0)).max())
    5.0
    """
    result = h.copy()
    for turned, cos in _turned(h):
        np.minimum(result, turned / cos, out=result)
    return result


def across_rays(reach: Array) -> Array:
    """Support functions (L, D) of loops whose points stand ``reach`` (L, D) from the axis along the same directions."""
    result = reach.copy()
    for turned, cos in _turned(reach):
        np.maximum(result, turned * cos, out=result)
    return result


def sides_of(one: Array, other: Array, angle: float) -> Array:
    """How far points stand apart that are ``one`` and ``other`` from the axis, rays at ``angle`` (law of cosines)."""
    return np.asarray(np.sqrt(one * one + other * other - 2 * np.cos(angle) * one * other))


def about(h: Array, directions: Array, axis: float) -> Array:
    """Support functions (L, D) about x = 0, y = ``axis`` instead of the origin."""
    return np.asarray(h - axis * np.sin(directions))


def _turned(h: Array) -> Iterator[tuple[Array, float]]:
    """The loops (L, D) as other directions have them, and the cosine of the angle to those."""
    count = h.shape[1]
    step = 2 * np.pi / count
    most = int(REACH / step)
    round_ = np.concatenate([h[:, count - most :], h, h[:, :most]], axis=1)
    for k in range(1, most + 1):
        cos = float(np.cos(k * step))
        yield round_[:, most + k : most + k + count], cos
        yield round_[:, most - k : most - k + count], cos
