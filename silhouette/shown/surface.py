"""One surface of a picture: a grid of points and what it shows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from silhouette.shape.curves import Array

Role = Literal["cloth", "inside", "band", "seam", "zip", "skin", "pad"]


def once_round(halves: Array) -> Array:
    """Both halves (2, L, C, 3), front to back, as loops (L, 2 C - 1, 3): centre front, wearer's left, centre back,
    right, centre front."""
    return np.concatenate([halves[0], halves[1, :, -2::-1]], axis=1)


@dataclass(frozen=True, eq=False)
class Surface:
    """A grid of points (R, C, 3), mm, inside axes.

    Rows run down, columns round from the front over the wearer's left, so that every grid turns the same way out.
    ``shade`` (R, 1) is the share of light that reaches each row, where something hangs over it. ``normals`` (R, C, 3)
    are ways outward to shade by, where neighbouring surfaces are one skin; else the grid's own.
    """

    role: Role
    name: str
    points: Array
    shade: Array | None = None
    normals: Array | None = None

    @property
    def triangles(self) -> NDArray[np.intp]:
        """Corners (T, 3) in the grid's points laid end to end, turned outward in the inside (left-handed) axes."""
        rows, columns = self.points.shape[:2]
        at = np.arange(rows * columns).reshape(rows, columns)
        a, b, c, d = at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]
        return np.concatenate([np.stack(part, axis=-1).reshape(-1, 3) for part in ((a, b, c), (a, c, d))])
