"""Plane sections of a mesh, all levels at once: taut outlines of the separate parts at each height."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from silhouette.shape.curves import Array
from silhouette.shape.support import girth_of, products, turn_of

Indices = NDArray[np.intp]

HOLE: Final = 60.0  #: mm; loose ends of a section nearer than this are the rim of a hole
ROUND: Final = 64  #: directions in which a part is looked at
MOST_CUTS: Final = 2_000_000  #: triangles cut, all levels together: more is no scan of a body
MOST_ENDS: Final = 600  #: loose ends of one section: more are no small holes
SMALLEST: Final = 0.0012  #: of the largest section's area: a smaller part is a crumb


class TornMeshError(ValueError):
    """Sections that do not close, or triangles that go through all levels."""


@dataclass(frozen=True, eq=False)
class Part:
    """A separate part of a section: its points (P, 2), their support function h (64,), the area within it."""

    points: Array
    h: Array
    area: float

    @cached_property
    def outline(self) -> Array:
        """Corners (N, 2) of the taut outline, counter-clockwise."""
        return hull(self.points)

    @property
    def girth(self) -> float:
        return float(girth_of(self.h))

    @property
    def low(self) -> Array:
        return -self.h[[len(self.h) // 2, 3 * len(self.h) // 4]]

    @property
    def high(self) -> Array:
        return self.h[[0, len(self.h) // 4]]

    @property
    def middle(self) -> Array:
        return np.asarray((self.low + self.high) / 2)

    def turned(self) -> Part:
        """Half a turn about the origin."""
        return Part(-self.points, np.roll(self.h, len(self.h) // 2), self.area)


@dataclass(frozen=True, eq=False)
class Mesh:
    """vertices (N, 3), the last axis up; triangles (M, 3)."""

    vertices: Array
    triangles: Indices

    @cached_property
    def spans(self) -> tuple[Array, Array]:
        """Lowest and highest of every triangle (M,)."""
        a, b, c = self.vertices[:, 2][self.triangles].T
        return np.minimum(np.minimum(a, b), c), np.maximum(np.maximum(a, b), c)


def sections(mesh: Mesh, heights: Array, hole: float) -> list[list[Part]]:
    """The parts of a mesh at ascending ``heights``, the largest first; crumbs are left out.

    Parts are told apart by the mesh itself, however near they lie to each other. Loose ends nearer than ``hole`` are
    joined, as at the rim of a hole. Raises ``TornMeshError``.
    """
    points, level, part, loose = _cut(mesh, heights)
    if not len(points):
        return [[] for _ in heights]
    part = _joined(points, level, part, loose, hole)
    order = np.lexsort((part, level))
    points, level, part = points[order], level[order], part[order]
    first = np.flatnonzero((np.diff(part, prepend=-1) != 0) | (np.diff(level, prepend=-1) != 0))
    reach = np.maximum.reduceat(products(turn_of(ROUND)[1], np.ascontiguousarray(points.T)), first, axis=1).T
    area = _areas(reach)
    large = area > SMALLEST * area.max()
    found: list[list[Part]] = [[] for _ in heights]
    for k in np.lexsort((-area, level[first])):
        if large[k]:
            end = first[k + 1] if k + 1 < len(first) else len(points)
            found[level[first[k]]].append(Part(points[first[k] : end], reach[k], float(area[k])))
    return found


def _areas(h: Array) -> Array:
    """Within taut outlines, of their support functions (P, D): half of ∫ h² - h'² dφ."""
    step = 2 * np.pi / h.shape[1]
    slope = (np.roll(h, -1, axis=1) - np.roll(h, 1, axis=1)) / (2 * step)
    return np.asarray((h * h - slope * slope).sum(1) * step / 2)


def hull(points: Array) -> Array:
    """Corners of the convex hull (N, 2), counter-clockwise. Raises ``TornMeshError`` where there is no area."""
    from scipy.spatial import ConvexHull, QhullError

    try:
        return np.asarray(points[ConvexHull(points).vertices])
    except (QhullError, ValueError) as error:
        raise TornMeshError("has a section without any area") from error


def _cut(mesh: Mesh, heights: Array) -> tuple[Array, Indices, Indices, Indices]:
    """Where edges go through levels: points (P, 2), their level, their connected part, and which are loose ends."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    z = mesh.vertices[:, 2]
    low, high = mesh.spans
    first = np.searchsorted(heights, low, side="right")
    count = np.searchsorted(heights, high, side="right") - first
    if count.sum() > MOST_CUTS:
        raise TornMeshError("has triangles far too large or too many for a scan of a body")
    cut = np.flatnonzero(count)
    if not len(cut):
        return np.zeros((0, 2)), *(np.zeros(0, dtype=np.intp),) * 3
    first, count = first[cut], count[cut]
    which = np.repeat(cut, count)
    level = np.repeat(first - np.cumsum(count) + count, count) + np.arange(len(which))
    under = z[mesh.triangles[which]] < heights[level][:, None]
    row, side = np.nonzero(under != under[:, [1, 2, 0]])  # two edges a triangle, in order
    ends = np.sort(np.stack([mesh.triangles[which[row], side], mesh.triangles[which[row], (side + 1) % 3]]), axis=0)
    key = (ends[0].astype(np.int64) * len(z) + ends[1]) * len(heights) + level[row]
    unique, index, node, degree = np.unique(key, return_index=True, return_inverse=True, return_counts=True)
    low, high = mesh.vertices[ends[0, index]], mesh.vertices[ends[1, index]]
    at = level[row][index]
    share = ((heights[at] - low[:, 2]) / (high[:, 2] - low[:, 2]))[:, None]
    points = low[:, :2] + share * (high[:, :2] - low[:, :2])
    pair = node.reshape(-1, 2)
    link = coo_array((np.ones(len(pair), np.int8), (pair[:, 0], pair[:, 1])), shape=(len(unique),) * 2)
    return points, at, connected_components(link, directed=False)[1], np.flatnonzero(degree == 1)


def _joined(points: Array, level: Indices, part: Indices, loose: Indices, hole: float) -> Indices:
    """Parts with those made one whose loose ends meet across a hole: the nearest ends of a section first."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    links: list[tuple[int, int]] = []
    order = loose[np.argsort(level[loose], kind="stable")]
    for ends in np.split(order, np.flatnonzero(np.diff(level[order])) + 1):
        if len(ends) > MOST_ENDS:
            raise TornMeshError("is torn into so many pieces that its sections do not close: mend the mesh first")
        if len(ends) < 2 or len(np.unique(part[ends])) == 1:
            continue
        i, j = np.triu_indices(len(ends), 1)
        away = np.sqrt(((points[ends[i]] - points[ends[j]]) ** 2).sum(1))
        free = np.ones(len(ends), dtype=bool)
        for k in np.argsort(away, kind="stable"):
            if away[k] > hole:
                break
            if free[i[k]] and free[j[k]]:
                free[[i[k], j[k]]] = False
                links.append((int(part[ends[i[k]]]), int(part[ends[j[k]]])))
    if not links:
        return part
    a, b = np.array(links).T
    count = int(part.max()) + 1
    return np.asarray(connected_components(coo_array((np.ones(len(a)), (a, b)), shape=(count, count)))[1][part])
