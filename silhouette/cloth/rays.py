"""Loops as distances along rays from an axis, where threads hang, and back to support functions."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from silhouette.shape.curves import Array

REACH: Final = 1.1  #: radians either side of a direction in which the point that bounds it, or its line, is looked for


def along_rays(h: Array, even: bool = False) -> Array:
    """Distances (L, D) from the axis to loops of support functions (L, D) about it, along the same directions.

    A loop ends where the first of its lines is met. ``even``: left and right mirror each other.

    >>> float(along_rays(np.full((1, 24), 5.0)).max())
    5.0
    """
    result, turned = _turned(h, even)
    for lines, cos in turned:
        np.minimum(result, lines / cos, out=result)
    return _unfolded(result, h.shape[1], even)


def across_rays(reach: Array, even: bool = False) -> Array:
    """Support functions (L, D) of loops whose points stand ``reach`` (L, D) from the axis along the same directions."""
    result, turned = _turned(reach, even)
    for points, cos in turned:
        np.maximum(result, points * cos, out=result)
    return _unfolded(result, reach.shape[1], even)


def sides_of(one: Array, other: Array, angle: float) -> Array:
    """How far points stand apart that are ``one`` and ``other`` from the axis, rays at ``angle`` (law of cosines)."""
    return np.asarray(np.sqrt(one * one + other * other - 2 * np.cos(angle) * one * other))


def about(h: Array, directions: Array, axis: float) -> Array:
    """Support functions (L, D) about x = 0, y = ``axis`` instead of the origin."""
    return np.asarray(h - axis * np.sin(directions))


def _turned(h: Array, even: bool) -> tuple[Array, Iterator[tuple[Array, float]]]:
    """The loops (L, D), and as other directions have them with the cosine of the angle to those.

    Of ``even`` ones the directions of the wearer's left half, back to front.
    """
    count = h.shape[1]
    step = 2 * np.pi / count
    most = int(REACH / step)
    first, width = (-(count // 4), count // 2 + 1) if even else (0, count)
    round_ = np.take(h, np.arange(first - most, first + width + most), axis=1, mode="wrap")

    def turned() -> Iterator[tuple[Array, float]]:
        for k in range(1, most + 1):
            cos = float(np.cos(k * step))
            yield round_[:, most + k : most + k + width], cos
            yield round_[:, most - k : most - k + width], cos

    return round_[:, most : most + width].copy(), turned()


def _unfolded(part: Array, count: int, even: bool) -> Array:
    """All ``count`` directions from those that :func:`_turned` gives."""
    if not even:
        return part
    every = np.arange(count)
    left = (every + count // 4) % count
    return np.asarray(part[:, np.where(left <= count // 2, left, count - left)])
