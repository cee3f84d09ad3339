"""Closed triangle meshes of the body and the pads, with topology fixed by construction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from silhouette.shape.body import Body
from silhouette.shape.curves import Array
from silhouette.shape.pads import Pad

Index = NDArray[np.int64]

#: Vertices of pads lie on steps of this, mm: a file of single precision holds them exactly up to 1 m, so that what is
#: closed here is closed when it is read back.
STEP: Final = 2.0**-14
THINNEST: Final = 0.01  #: mm of foam left between the edges, however far it is carved


@dataclass(frozen=True, eq=False)
class Solid:
    """A triangle mesh: vertices (N, 3) in mm, triangles (M, 3) turned outward."""

    name: str
    vertices: Array
    triangles: Index

    @cached_property
    def volume(self) -> float:
        """Enclosed volume, mm³ (divergence theorem).

        >>> round(slab(30.0, 20.0, 10.0).volume, 6)
        6000.0
        """
        a, b, c = (self.vertices[self.triangles[:, i]] for i in range(3))
        return float((a * np.cross(b, c)).sum() / 6)

    @cached_property
    def watertight(self) -> bool:
        """Whether every edge is run exactly once in each direction: closed, and turned one way all over."""
        return is_closed(self.triangles)


def is_closed(triangles: Index) -> bool:
    """Whether a triangle mesh is closed and consistently turned: each directed edge once, its reverse once."""
    if len(triangles) == 0:
        return False
    edges = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    size = int(triangles.max()) + 1
    forth = np.sort(edges[:, 0] * size + edges[:, 1])
    back = np.sort(edges[:, 1] * size + edges[:, 0])
    return bool(np.all(np.diff(forth) > 0) and np.array_equal(forth, back))


def slab(x: float, y: float, z: float) -> Solid:
    """An axis-aligned box with one corner at the origin; a reference solid of known volume."""
    corners = np.array([[i, j, k] for i in (0, x) for j in (0, y) for k in (0, z)], dtype=np.float64)
    quads = [[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]]
    triangles = np.array([t for a, b, c, d in quads for t in ([a, b, c], [a, c, d])])
    return Solid("slab", corners, triangles)


def body_solid(body: Body, name: str = "body") -> Solid:
    """The skin with flat caps at waist and knees."""
    levels, points = body.outer.shape[1:3]
    lower, inner_points = body.inner.shape[1:3]
    keep, triangles = _body_topology(levels, points, lower, inner_points)
    outer, inner = body.skin
    every = np.concatenate([outer.reshape(-1, 3), inner.reshape(-1, 3)])
    left, right = outer[0], outer[1]
    rings = [
        np.concatenate([left[0], right[0, 1:-1]]),
        np.concatenate([left[-1], inner[0, -1, 1:-1]]),
        np.concatenate([right[-1], inner[1, -1, 1:-1]]),
    ]
    return Solid(name, np.concatenate([every[keep], [ring.mean(axis=0) for ring in rings]]), triangles)


@lru_cache(maxsize=8)
def _body_topology(levels: int, points: int, lower: int, inner_points: int) -> tuple[Index, Index]:
    """Which of the stacked grid points are vertices of their own, and the triangles between them."""
    crotch = levels - lower
    outer = np.arange(2 * levels * points).reshape(2, levels, points)
    inner = outer.size + np.arange(2 * lower * inner_points).reshape(2, lower, inner_points)
    outer[1, : crotch + 1, [0, -1]] = outer[0, : crotch + 1, [0, -1]]  # the mid-plane is shared
    inner[:, :, 0], inner[:, :, -1] = outer[:, crotch:, -1], outer[:, crotch:, 0]
    inner[1, 0] = inner[0, 0]
    total = 2 * levels * points + 2 * lower * inner_points
    centre = total + np.arange(3)
    skin = [_quads(outer[0]), _quads(outer[1])[:, ::-1], _quads(inner[0]), _quads(inner[1])[:, ::-1]]
    waist = np.concatenate([outer[0, 0], outer[1, 0, -2:0:-1]])
    knees = [np.concatenate([outer[h, -1], inner[h, -1, 1:-1]]) for h in (0, 1)]
    caps = [_fan(waist, centre[0])[:, ::-1], _fan(knees[0], centre[1]), _fan(knees[1], centre[2])[:, ::-1]]
    triangles = np.concatenate(skin + caps)
    used = np.unique(triangles)
    place = np.full(total + 3, -1)
    place[used] = np.arange(len(used))
    return used[used < total], _proper(place[triangles])[:, ::-1].copy()


def pad_solid(pad: Pad) -> Solid:
    """One pad: inner face on the body, outer face, and a wall wherever the edge is not carved to nothing."""
    rows, columns = pad.thickness.shape
    size = rows * columns
    # what falls on one place, at the tips and where the edge is carved to nothing, is one vertex
    raised = pad.outer.copy()
    thin = np.zeros(pad.thickness.shape, dtype=bool)
    thin[1:-1, 1:-1] = pad.thickness[1:-1, 1:-1] < THINNEST  # no hole between the edges
    raised[thin] = pad.inner[thin] + THINNEST * pad.away[thin]
    both = np.round(np.concatenate([pad.inner.reshape(-1, 3), raised.reshape(-1, 3)]) / STEP) * STEP
    vertices, place = np.unique(both, axis=0, return_inverse=True)
    grid = place.reshape(2, rows, columns)
    inner, outer = grid
    rim = np.concatenate(
        [np.arange(columns - 1, 0, -1), columns * np.arange(rows), size - columns + np.arange(1, columns)]
    )
    seam = _strip(inner.ravel()[rim], outer.ravel()[rim])
    edge = _strip(outer[:, -1], inner[:, -1])
    triangles = _proper(np.concatenate([_quads(inner)[:, ::-1], _quads(outer), seam, edge]))
    used, packed = np.unique(_without_pairs(triangles), return_inverse=True)
    solid = Solid(pad.name, vertices[used], packed.reshape(-1, 3))
    return solid if solid.volume >= 0 else Solid(pad.name, vertices[used], solid.triangles[:, ::-1].copy())


def solids_of(body: Body, pads: Sequence[Pad]) -> tuple[Solid, ...]:
    """Body first, then each pad."""
    return (body_solid(body), *(pad_solid(pad) for pad in pads))


def _quads(grid: Index) -> Index:
    """Two triangles for each cell of a grid of vertex numbers (R, C)."""
    a, b, c, d = grid[:-1, :-1].ravel(), grid[1:, :-1].ravel(), grid[1:, 1:].ravel(), grid[:-1, 1:].ravel()
    return np.concatenate([np.stack([a, b, c], axis=-1), np.stack([a, c, d], axis=-1)])


def _strip(one: Index, other: Index) -> Index:
    return _quads(np.stack([one, other], axis=-1))


def _fan(ring: Index, centre: int) -> Index:
    return np.stack([np.roll(ring, -1), ring, np.full(len(ring), centre)], axis=-1)


def _proper(triangles: Index) -> Index:
    """Without the triangles that a shared vertex has closed up."""
    a, b, c = triangles.T
    return np.asarray(triangles[(a != b) & (b != c) & (c != a)])


def _without_pairs(triangles: Index) -> Index:
    """Without the triangles that lie on one another turned against each other: nothing is between them."""
    _, place, count = np.unique(np.sort(triangles, axis=1), axis=0, return_inverse=True, return_counts=True)
    return np.asarray(triangles[count[place.reshape(-1)] == 1])
