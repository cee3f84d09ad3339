"""Horizontal slices of a mesh as taut outlines, and the landmarks a dressmaker would find by them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import ConvexHull

from tests.learn_shape.women import Woman

UNDER_SEAT = 0.09  #: under the seat: this share of crotch to knee below the crotch
SMALLEST = 1500.0  #: mm²; a slice smaller than this is no part of a trunk


class OddShapeError(ValueError):
    """A mixture whose landmarks cannot be found or that no woman has."""


def hull(points: np.ndarray) -> np.ndarray:
    """Corners (N, 2) of the convex hull, counter-clockwise."""
    return points[ConvexHull(points).vertices]


def girth(points: np.ndarray) -> float:
    """Perimeter of the convex hull (for a flat hull scipy calls it ``area``)."""
    return float(ConvexHull(points).area)


class Slicer:
    """Slices of one woman, kept."""

    def __init__(self, woman: Woman) -> None:
        self.vertices, self.triangles = woman.vertices, woman.triangles
        height = self.vertices[:, 2][self.triangles]
        self.low, self.high = height.min(1), height.max(1)
        self.kept: dict[float, list[np.ndarray]] = {}

    def parts(self, z: float) -> list[np.ndarray]:
        """Hulls of the separate parts at height z that lie about the middle (no arms), the largest first."""
        key = round(float(z), 3)
        if key not in self.kept:
            self.kept[key] = self._cut(float(z))
        return self.kept[key]

    def _cut(self, z: float) -> list[np.ndarray]:
        triangles = self.triangles[(self.low < z) & (self.high >= z)]
        edges = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
        ends = self.vertices[edges]
        hit = (ends[:, 0, 2] < z) != (ends[:, 1, 2] < z)
        edges = np.sort(edges[hit], axis=1)
        ends = self.vertices[edges]
        share = (z - ends[:, 0, 2]) / (ends[:, 1, 2] - ends[:, 0, 2])
        points = ends[:, 0, :2] + share[:, None] * (ends[:, 1, :2] - ends[:, 0, :2])
        triangle = np.tile(np.arange(len(triangles)), 3)[hit]
        _, edge = np.unique(edges, axis=0, return_inverse=True)
        count = len(triangles)
        link = coo_array((np.ones(len(edge)), (triangle, count + edge)), shape=(count + len(points),) * 2)
        part = connected_components(link, directed=False)[1][triangle]
        found = []
        for one in np.unique(part):
            cloud = points[part == one]
            if len(cloud) > 8 and np.ptp(cloud, axis=0).min() > 10:
                shape = ConvexHull(cloud)
                if shape.volume > SMALLEST and abs(cloud[:, 0].mean()) < 220:
                    found.append((shape.volume, cloud[shape.vertices]))
        return [outline for _, outline in sorted(found, key=lambda a: -a[0])]

    def trunk(self, z: float) -> np.ndarray:
        parts = self.parts(z)
        if not parts:
            raise OddShapeError(f"nothing at height {z:.0f}")
        return parts[0]

    def legs(self, z: float) -> tuple[np.ndarray, np.ndarray]:
        """Left and right leg."""
        one, other = sorted(self.parts(z)[:2], key=lambda p: -p[:, 0].mean())
        return one, other

    def two_legs(self, z: float) -> bool:
        parts = self.parts(z)
        return len(parts) >= 2 and parts[0][:, 0].mean() * parts[1][:, 0].mean() < 0


@dataclass(frozen=True)
class Landmarks:
    """Heights, mm."""

    waist: float
    hip: float
    crotch: float
    knee: float

    @property
    def under_seat(self) -> float:
        return self.crotch - UNDER_SEAT * (self.crotch - self.knee)


def landmarks(woman: Woman, slices: Slicer) -> Landmarks:
    """Waist: least taut girth; hip: seat furthest back; crotch: where one part becomes two. ``OddShapeError``."""
    stature = woman.top - woman.foot
    z = np.arange(woman.foot + 0.40 * stature, woman.foot + 0.56 * stature, 0.01 * stature)
    parted = np.flatnonzero([slices.two_legs(a) for a in z])
    if not len(parted) or parted[-1] + 1 >= len(z):
        raise OddShapeError("no crotch")
    low, high = z[parted[-1]], z[parted[-1] + 1]
    for _ in range(13):
        middle = (low + high) / 2
        low, high = (middle, high) if slices.two_legs(middle) else (low, middle)
    crotch = float(low)
    z = np.arange(crotch + 2, crotch + 0.11 * stature, 4.0)
    hip = float(z[np.argmin([slices.trunk(a)[:, 1].min() for a in z])])
    z = np.arange(hip + 0.065 * stature, hip + 0.165 * stature, 4.0)
    waist = float(z[np.argmin([girth(slices.trunk(a)) for a in z])])
    found = Landmarks(waist, hip, crotch, woman.knee)
    if waist - hip < 90 or hip - crotch < 20 or crotch - woman.knee < 150:
        raise OddShapeError("levels too close")
    return found
