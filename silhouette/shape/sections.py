"""Horizontal sections: one family of smooth closed curves, and what the body takes from it at each level."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from silhouette.shape.curves import Array, along

ARC_POINTS: Final = 97  #: on one outer arc; both halves share the centre lines: 192 round the body
EXPONENT: Final = {"waist": 2.2, "high_hip": 2.25, "hip": 2.3, "crotch": 2.5, "under_seat": 2.6}
FRONT_SHARE: Final = {"waist": 0.5, "high_hip": 0.48, "hip": 0.47, "crotch": 0.47, "under_seat": 0.48}


def section(angles: Array, breadth: ArrayLike, depth: ArrayLike, front_share: ArrayLike, exponent: ArrayLike) -> Array:
    """Points of superellipse-like sections whose front and back half-depths may differ.

    ``angles`` (K,) run from the front (0) over the wearer's left (π/2) to the back (π); the other arguments
    are (L,) or scalars, mm. Returns (L, K, 2): x, y with the widest point on the x axis. The radial form
    keeps neighbouring points evenly spaced where the usual power form bunches them.
    """
    b, d, f, n = (
        np.atleast_1d(np.asarray(a, dtype=np.float64))[:, None] for a in (breadth, depth, front_share, exponent)
    )
    sine, cosine = np.sin(angles), np.cos(angles)
    # with t = tan or cot, whichever is below 1, one power serves where two would be needed
    big, small = np.maximum(np.abs(sine), np.abs(cosine)), np.minimum(np.abs(sine), np.abs(cosine))
    radius = np.exp(np.log1p(np.exp(n * np.log(np.maximum(small / big, 1e-300)))) / -n) / big
    points = np.empty((max(map(len, (b, d, f, n))), len(angles), 2))
    points[..., 0] = b / 2 * sine * radius
    points[..., 1] = np.where(cosine >= 0, d * f, d * (1 - f)) * cosine * radius
    return points


@lru_cache(maxsize=8)
def arc_angles(points: int) -> Array:
    return np.linspace(0.0, np.pi, points)


def unit_girth(ratio: float, level: str, points: int = ARC_POINTS) -> float:
    """Girth of a section of breadth 1 and depth ``ratio``, as the body's own polygon has it."""
    half = section(arc_angles(points), 1.0, ratio, FRONT_SHARE[level], EXPONENT[level])[0]
    return float(2 * along(half)[-1])
