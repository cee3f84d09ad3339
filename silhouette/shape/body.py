"""The body from waist to knee: two tubes of constant topology, built from tape girths and learnt sections.

Each half has, per level, an outer arc (centre front over the side to centre back) and, below the crotch, an
inner arc (centre back to centre front). At the crotch both inner arcs lie in the mid-plane and share their
vertices; below it they part. No boolean operation, so the skin is watertight by construction.

The sections are a mean woman's, moved by what the tape knows of this one and by the words for her shape, then
brought to her girths: closed form, no iteration.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Final

import numpy as np

from silhouette.shape.curves import Array, along
from silhouette.shape.dimensions import Half, Measures
from silhouette.shape.learnt import NAVEL, Sections, arcs_at, ease, normalised, sections_of
from silhouette.shape.scan.fit import ScanFit
from silhouette.shape.sizing import halves_of, middle_of, size_of
from silhouette.shape.skin import with_valleys
from silhouette.shape.traced import traced

LEVELS: Final = 81
ARC_POINTS: Final = 97  #: on one outer arc; both halves share the centre lines: 192 round the body
INNER_POINTS: Final = 49
NEAREST: Final = 0.0015  #: of the hip: the inner thighs come no nearer to the mid-plane below the crotch


@dataclass(frozen=True, eq=False)
class Body:
    """A body, mm. Index 0 of a leading axis of 2 is the wearer's left.

    drops   (L,) ascending levels below the waist
    outer   (2, L, K, 3) outer arcs, centre front → side → centre back
    inner   (2, M, J, 3) inner arcs of the last M levels, back → front; row 0 lies in the mid-plane
    normals (2, L, K, 3) outward unit normals on the outer arcs
    arc     (2, L, K) distance from the side seam along the arc, positive to the front
    even    whether the right half is the mirror image of the left
    scan    how well it meets the scan it was drawn through, where it was
    """

    measures: Measures
    drops: Array
    outer: Array
    inner: Array
    normals: Array
    arc: Array
    even: bool = True
    scan: ScanFit | None = None

    @cached_property
    def skin(self) -> tuple[Array, Array]:
        """Outer (2, L, K, 3) and inner (2, M, J, 3) arcs as the eye sees them, with the valleys a tape bridges."""
        return with_valleys(self.measures, self.drops, self.outer, self.inner, self.arc)

    @property
    def seam(self) -> int:
        """Column of the side seam."""
        return int((self.outer.shape[2] - 1) // 2)

    @property
    def crotch(self) -> int:
        """Row of the crotch level."""
        return int(len(self.drops) - self.inner.shape[1])


def levels_of(m: Measures, count: int = LEVELS) -> Array:
    """``count`` levels from waist to knee, every named level among them, closer together about the crotch."""
    knots = np.array(m.drops)
    weight = np.diff(knots) * np.array([1.0, 1.0, 1.0, 2.0, 0.6])
    steps = np.maximum(2, np.floor(weight / weight.sum() * (count - 1)).astype(int))
    while steps.sum() != count - 1:
        density = weight / steps
        if steps.sum() < count - 1:
            steps[np.argmax(density)] += 1
        else:
            steps[np.argmin(np.where(steps > 2, density, np.inf))] -= 1
    parts = [np.linspace(a, b, n, endpoint=False) for a, b, n in zip(knots, knots[1:], steps, strict=False)]
    return np.concatenate([*parts, knots[-1:]])


def build_body(m: Measures, levels: int = LEVELS, points: int = ARC_POINTS) -> Body:
    """The body of these measurements.

    ``levels`` at least 11, ``points`` odd. The tape girth is that of the measurements at every named level.
    """
    drops = levels_of(m, levels)
    crotch = int(np.searchsorted(drops, m.crotch_drop - 1e-9))
    sections = sections_of(m, points, INNER_POINTS)
    outer, inner = _arcs(m, sections, drops, m.hip_drop, crotch)
    at_navel = normalised([NAVEL * m.hip_drop], m.hip_drop, m.crotch_drop, m.knee_drop)
    size = size_of(m, drops, outer, inner, arcs_at(sections, at_navel, 1)[0][0])
    _resize(outer, inner, size)
    if m.halves is None:
        halves = [(outer, inner)]
    else:
        halves = [_uneven(m, sections, drops, size, half, outer) for half in m.halves]
    if m.outline:
        halves = traced(m, drops, halves)
    return assembled(m, drops, halves)


@lru_cache(maxsize=8)
def kept_body(m: Measures) -> Body:
    """The body of these measurements, kept for whoever asks next; not to be written on."""
    return build_body(m)


def assembled(m: Measures, drops: Array, halves: list[tuple[Array, Array]]) -> Body:
    """A body from outer (L, K, 2) and inner (M, J, 2) arcs of its left half, or of both, each drawn as a left one."""
    even = len(halves) == 1
    outer, inner = (_lifted([half[i] for half in halves], drops) for i in (0, 1))
    crotch = len(drops) - inner.shape[1]
    normals = np.empty_like(outer)
    seam = (outer.shape[2] - 1) // 2
    arcs: list[Array] = []
    for side in (0, 1):
        if side == 1 and even:
            np.multiply(normals[0], [-1.0, 1.0, 1.0], out=normals[1])
            arcs.append(arcs[0])
            continue
        flat = halves[side][0]
        normals[side] = _normals(flat, drops, crotch)
        if side == 1:
            normals[1, ..., 0] *= -1
        run = along(flat)
        arcs.append(run[:, seam : seam + 1] - run)
    if not even:  # the centre lines are one line: one normal for both
        shared = normals[:, : crotch + 1, [0, -1]].mean(0)
        normals[:, : crotch + 1, [0, -1]] = shared / np.linalg.norm(shared, axis=-1, keepdims=True)
    return Body(m, drops, outer, inner, normals, np.stack(arcs), even)


def _arcs(m: Measures, sections: Sections, drops: Array, hip_drop: float, crotch: int) -> tuple[Array, Array]:
    """Sections at every level, not yet of her size; the inner thighs kept off the mid-plane."""
    level = normalised(drops, hip_drop, m.crotch_drop, m.knee_drop)
    outer, inner = arcs_at(sections, level, crotch)
    outer[: crotch + 1, [0, -1], 0] = 0.0
    least = NEAREST * m.hip * ease((level[crotch:] - 2) / 0.05)
    for x in (inner[..., 0], outer[crotch:, :, 0]):
        np.maximum(x, least[:, None], out=x)
    inner[0, :, 0] = 0.0
    return outer, inner


def _resize(outer: Array, inner: Array, size: Array) -> None:
    """Breadth by the first column of ``size`` (L, 2), depth about the middle by the second; in place."""
    middle = middle_of(outer)
    for grid, rows in ((outer, slice(None)), (inner, slice(len(outer) - len(inner), None))):
        grid[..., 0] *= size[rows, :1]
        grid[..., 1] = middle[rows] + size[rows, 1:] * (grid[..., 1] - middle[rows])


def _uneven(m: Measures, sections: Sections, drops: Array, size: Array, half: Half, even: Array) -> tuple[Array, Array]:
    """One side of an uneven figure: its own hip line, its own half girths, the centre lines of the even figure."""
    crotch = int(np.searchsorted(drops, m.crotch_drop - 1e-9))
    outer, inner = _arcs(m, sections, drops, half.hip_drop, crotch)
    _resize(outer, inner, size)
    # back onto the common centre lines, wholly there and fading to the side
    turn = np.linspace(0.0, np.pi, outer.shape[1])
    near = (1 + np.cos(turn)) / 2
    gone = outer[:, [0, -1], 1] - even[:, [0, -1], 1]
    outer[..., 1] -= gone[:, :1] * near + gone[:, 1:] * (1 - near)
    run = np.linspace(0.0, 1.0, inner.shape[1])
    inner[..., 1] -= gone[crotch:, 1:] * (1 - run) + gone[crotch:, :1] * run
    breadth, depth = halves_of(m, drops, outer, inner, half, even)
    _resize(outer, inner, np.stack([breadth, depth], axis=1))
    return outer, inner


def _lifted(halves: list[Array], drops: Array) -> Array:
    """Arcs (L, K, 2) of the left half, or of both, at the last levels of ``drops`` → (2, L, K, 3)."""
    pair = np.empty((2, *halves[0].shape[:2], 3))
    pair[..., 2] = -drops[len(drops) - len(halves[0]) :, None]
    pair[0, ..., :2], pair[1, ..., :2] = halves[0], halves[-1]
    np.negative(pair[1, ..., 0], out=pair[1, ..., 0])
    return pair


def _normals(left: Array, drops: Array, crotch: int) -> Array:
    """Outward unit normals (L, K, 3) of a left half's outer arcs (L, K, 2), from central differences."""
    step = np.diff(drops)[:, None]
    grow, shrink = step[1:] / (step[:-1] + step[1:]), step[:-1] / (step[:-1] + step[1:])
    across, down = [], []
    for plane in (left[..., 0].copy(), left[..., 1].copy()):
        a, d = np.empty_like(plane), np.empty_like(plane)
        np.subtract(plane[:, 2:], plane[:, :-2], out=a[:, 1:-1])
        a[:, 0] = -3 * plane[:, 0] + 4 * plane[:, 1] - plane[:, 2]
        a[:, -1] = 3 * plane[:, -1] - 4 * plane[:, -2] + plane[:, -3]
        rate = np.diff(plane, axis=0) / step  # change per mm of drop
        d[1:-1] = rate[:-1] * grow + rate[1:] * shrink
        d[0], d[-1] = rate[0], rate[-1]
        across.append(a)
        down.append(d)
    # (across.x, across.y, 0) × (down.x, down.y, -1), turned outward and written out
    nx, ny = -across[1], across[0]
    nz = down[1] * across[0] - down[0] * across[1]
    nx[: crotch + 1, [0, -1]] = 0.0
    scale = 1 / np.sqrt(nx * nx + ny * ny + nz * nz)
    normals = np.empty((*left.shape[:2], 3))
    for axis, part in enumerate((nx, ny, nz)):
        np.multiply(part, scale, out=normals[..., axis])
    return normals
