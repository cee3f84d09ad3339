"""Flattening a curved patch of surface to the plane, so that it can be cut from a flat sheet.

Start: least-squares conformal map (Lévy, Petitjean, Ray, Maillot 2002). Finish: as-rigid-as-possible
parameterization (Liu, Zhang, Xu, Gotsman, Gortler 2008), whose matrix is factorised once. Both work on all
triangles at once; nothing loops over points.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from silhouette.asked.faults import SilhouetteError
from silhouette.shape.curves import Array, Ints

_ROUNDS = 120
_SETTLED = 5e-5  # relative fall of the energy in a round below which no point moves by more than about 0.1 mm


class FoldOver(SilhouetteError):
    """The patch cannot be laid flat: the flattened shape turns over or runs across itself."""


@dataclass(frozen=True)
class Stretch:
    """What flattening did to lengths and areas, as fractions (0.01 = 1 %).

    Lengths are those of the triangle edges, area changes those of single triangles; `total_area` is the
    change of the whole patch (flat over curved, minus one).
    """

    largest_length: float
    mean_length: float
    largest_area: float
    total_area: float


@dataclass(frozen=True)
class Flat:
    """A flattened patch: `points` (N, 2) in mm, in the order of the vertices given, and its stretch."""

    points: Array
    triangles: Ints
    stretch: Stretch


def flatten(vertices: Array, triangles: Ints, keep_length: Ints | None = None, *, rigid: bool = True) -> Flat:
    """Lay a patch flat with as little stretch as possible.

    Parameters: `vertices` (N, 3) in mm; `triangles` (M, 3), all turning the same way, which is the way they
    turn in the result (counter-clockwise); `keep_length` (E, 2), edges that must keep their length almost
    exactly, such as a seam to be sewn to another piece; `rigid=False` stops after the conformal start
    (scaled to the same area).

    The patch must be one piece without holes. The result lies at an arbitrary place and angle: see
    `turned_to`. Raises `FoldOver` when a triangle turns over or the rim crosses itself.

    A quarter of a cylinder of radius 100 mm becomes a rectangle 157.08 mm wide.
    """
    local = _laid_one_by_one(vertices, triangles)
    areas = 0.5 * _cross(local[:, 1] - local[:, 0], local[:, 2] - local[:, 0])
    if not np.all(areas > 0) or not np.all(np.isfinite(vertices)):
        raise ValueError("the patch has a triangle without area")
    points = _conformal(local, areas, triangles, len(vertices))
    points *= np.sqrt(areas.sum() / abs(_areas(points, triangles).sum()))
    if rigid:
        points = _as_rigid_as_possible(points, local, triangles, keep_length)
    flat = _areas(points, triangles)
    if np.any(flat <= 0):
        raise FoldOver(f"{int(np.sum(flat <= 0))} of {len(flat)} facets turn over when it is laid flat")
    rim = points[rim_of(triangles)]
    from shapely import LinearRing

    if not LinearRing(rim).is_simple:
        raise FoldOver("its edge runs across itself when it is laid flat")
    edges = _edges(triangles)
    before = np.linalg.norm(vertices[edges[:, 0]] - vertices[edges[:, 1]], axis=1)
    after = np.linalg.norm(points[edges[:, 0]] - points[edges[:, 1]], axis=1)
    length = np.abs(after / before - 1)
    area = flat / areas - 1
    return Flat(
        points,
        triangles,
        Stretch(
            largest_length=float(length.max()),
            # weighted by length, so that slivers at a tip do not count as much as the body of the piece
            mean_length=float(np.average(length, weights=before)),
            largest_area=float(np.abs(area).max()),
            total_area=float(flat.sum() / areas.sum() - 1),
        ),
    )


def turned_to(points: Array, reference: Array) -> Array:
    """Turn and shift `points` (N, 2), never mirroring, to lie as near as possible to `reference` (N, 2)."""
    middle, goal = points.mean(axis=0), reference.mean(axis=0)
    p, q = points - middle, reference - goal
    angle = np.arctan2(_cross(p, q).sum(), (p * q).sum())
    c, s = np.cos(angle), np.sin(angle)
    turned: Array = p @ np.array([[c, s], [-s, c]]) + goal
    return turned


def rim_of(triangles: Ints) -> Ints:
    """Vertex numbers around the edge of a patch without holes, in order (B,), turning as the triangles do."""
    sides = triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    key = sides.min(axis=1) * (int(triangles.max()) + 1) + sides.max(axis=1)
    _, where, count = np.unique(key, return_index=True, return_counts=True)
    outer = sides[where[count == 1]]
    following = dict(zip(outer[:, 0].tolist(), outer[:, 1].tolist(), strict=True))
    if len(following) != len(outer):
        raise ValueError("the patch touches itself at a point of its edge")
    loop = [int(outer[0, 0])]
    while (after := following[loop[-1]]) != loop[0]:
        loop.append(after)
    if len(loop) != len(outer):
        raise ValueError("the patch has a hole or is in several pieces")
    return np.array(loop, dtype=np.int64)


def _cross(p: Array, q: Array) -> Array:
    return np.asarray(p[..., 0] * q[..., 1] - p[..., 1] * q[..., 0], dtype=np.float64)


def _areas(points: Array, triangles: Ints) -> Array:
    a, b, c = points[triangles[:, 0]], points[triangles[:, 1]], points[triangles[:, 2]]
    return 0.5 * _cross(b - a, c - a)


def _edges(triangles: Ints) -> Ints:
    sides = np.sort(triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    return np.asarray(np.unique(sides, axis=0), dtype=np.int64)


def _laid_one_by_one(vertices: Array, triangles: Ints) -> Array:
    """Each triangle in its own plane (M, 3, 2): first corner at the origin, first edge along x."""
    a = vertices[triangles[:, 0]]
    u, v = vertices[triangles[:, 1]] - a, vertices[triangles[:, 2]] - a
    length = np.linalg.norm(u, axis=1)
    if not np.all(length > 0):
        raise ValueError("the patch has two corners of a triangle at one place")
    along = np.einsum("ij,ij->i", u, v) / length
    local = np.zeros((len(triangles), 3, 2))
    local[:, 1, 0] = length
    local[:, 2, 0] = along
    local[:, 2, 1] = np.sqrt(np.maximum(np.einsum("ij,ij->i", v, v) - along**2, 0.0))
    return local


def _conformal(local: Array, areas: Array, triangles: Ints, count: int) -> Array:
    """Least-squares conformal map: the Cauchy–Riemann equations of every triangle, two far points held."""
    from scipy import sparse
    from scipy.sparse.linalg import splu

    # In complex numbers: sum over corners of (opposite edge) * u = 0, weighted by 1 / sqrt(2 area).
    z = local[..., 0] + 1j * local[..., 1]
    weights = np.stack([z[:, 2] - z[:, 1], z[:, 0] - z[:, 2], z[:, 1] - z[:, 0]], axis=1)
    weights /= np.sqrt(2 * areas)[:, None]
    rows = np.repeat(np.arange(len(triangles)), 3)
    matrix = sparse.csc_matrix((weights.ravel(), (rows, triangles.ravel())), shape=(len(triangles), count))
    normal = (matrix.conj().T @ matrix).tocsc()
    rim = rim_of(triangles)
    held = np.array([rim[0], rim[len(rim) // 2]])
    free = np.setdiff1d(np.arange(count), held)
    target = np.array([0.0 + 0.0j, 1.0 + 0.0j])
    right = -(normal[free][:, held] @ target)
    solved = np.zeros(count, dtype=np.complex128)
    solved[held] = target
    solved[free] = splu(
        normal[free][:, free].tocsc(), permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True}
    ).solve(right)
    return np.stack([solved.real, solved.imag], axis=1)


def _as_rigid_as_possible(points: Array, local: Array, triangles: Ints, keep_length: Ints | None) -> Array:
    """Alternate: turn every triangle to fit best, then place all points at once (one factorisation)."""
    from scipy import sparse
    from scipy.sparse.linalg import splu

    count = len(points)
    start, end = triangles, np.roll(triangles, -1, axis=1)  # corner i to corner i + 1
    side = np.roll(local, -1, axis=1) - local  # (M, 3, 2)
    # Cotangent of the angle opposite to each side.
    into, away = np.roll(local, -2, axis=1) - local, np.roll(local, -2, axis=1) - np.roll(local, -1, axis=1)
    weight = np.einsum("mij,mij->mi", into, away) / np.abs(_cross(into, away))
    if keep_length is not None and len(keep_length):
        key = np.minimum(start, end) * count + np.maximum(start, end)
        kept = keep_length.min(axis=1) * count + keep_length.max(axis=1)
        weight = np.where(np.isin(key, kept), np.abs(weight) * 200.0 + 200.0, weight)
    i, j, w = start.ravel(), end.ravel(), weight.ravel()
    laplace = sparse.csc_matrix(
        (np.concatenate([w, w, -w, -w]), (np.concatenate([i, j, i, j]), np.concatenate([i, j, j, i]))),
        shape=(count, count),
    )
    solver = splu(laplace[1:, 1:].tocsc(), permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True})
    sides = float((side**2).sum())
    before, run, last = np.inf, 0, points
    for _ in range(_ROUNDS):
        # Where the last step went well it is carried on a little (Nesterov 1983, restarted when the energy rises):
        # a third of the rounds of the plain alternation.
        ahead = points + run / (run + 3.0) * (points - last)
        turned, energy = _turned(ahead, side, start, end, weight)
        if energy > before:
            run, before, last = 0, np.inf, points
            continue
        if before - energy <= _SETTLED * energy or energy <= 1e-12 * sides:
            break
        before, run = energy, run + 1
        push = (weight[..., None] * turned).reshape(-1, 2)
        right = np.stack(
            [np.bincount(j, push[:, k], count) - np.bincount(i, push[:, k], count) for k in (0, 1)], axis=1
        )
        last, points = points - points[0], np.vstack([np.zeros((1, 2)), solver.solve(right[1:])])
    return points


def _turned(points: Array, side: Array, start: Ints, end: Ints, weight: Array) -> tuple[Array, float]:
    """Every triangle's true sides turned to fit the points best (M, 3, 2), and how badly they still fit."""
    now = points[end] - points[start]
    across, along = side[..., 0] * now[..., 0] + side[..., 1] * now[..., 1], _cross(side, now)
    dot, turn = (weight * across).sum(axis=1), (weight * along).sum(axis=1)
    size = np.hypot(dot, turn)
    c, s = (dot / size)[:, None], (turn / size)[:, None]
    turned = np.stack([c * side[..., 0] - s * side[..., 1], s * side[..., 0] + c * side[..., 1]], axis=-1)
    return turned, float((weight[..., None] * (now - turned) ** 2).sum())
