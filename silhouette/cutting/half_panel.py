"""A half panel of a skirt laid flat: from rows of points on the dressed surface to a sewing line with darts.

The surface is slit down from the waist where the darts come and laid flat: the centre line straight and in true
length, the hip line straight and square to it, the side seam and every level line in their own length. What then
gapes at the slits are the darts; they are trued to straight equal legs, and the waist to one smooth line with the
darts closed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from silhouette.cutting.flatten import FoldOver, Stretch
from silhouette.cutting.unrolled import length_of, triangle_areas

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: Where darts stand (share of the way from centre to side seam) and how long they are (share of the drop from
#: waist to hip), by panel and number: front 9 to 11 cm, back 12 to 14 cm (common practice, no source).
USUAL: Final[dict[str, tuple[tuple[tuple[float, float], ...], ...]]] = {
    "front": (
        (),
        ((0.50, 0.45),),
        ((0.40, 0.46), (0.70, 0.40)),
        ((0.30, 0.44), (0.52, 0.46), (0.75, 0.38)),
    ),
    "back": (
        (),
        ((0.45, 0.60),),
        ((0.38, 0.61), (0.70, 0.54)),
        ((0.28, 0.58), (0.53, 0.60), (0.78, 0.50)),
        ((0.22, 0.56), (0.42, 0.60), (0.62, 0.56), (0.82, 0.46)),
    ),
}
NARROW: Final = 8.0  #: mm; a dart that would be narrower goes into its neighbours (this tool's convention)
LEVEL: Final = 100.0  #: how much stiffer the level lines are than the threads down
SEAM: Final = 3000.0  #: and the side seam
SHEAR: Final = 0.5  #: and threads askew: woven cloth gives on the bias
ROUNDS: Final = 40
AT_REST: Final = 0.02  #: of laying flat, and the move in mm that ends it
COLUMNS: Final = 31
STEP: Final = 10.0  #: mm between rows down to a little below the hip
LOWER: Final = 30.0  #: mm between rows below


@dataclass(frozen=True, eq=False)
class Dart:
    """A dart, mm: its point, and its feet on the waist (2, 2), the one nearer the centre line first."""

    tip: Floats
    feet: Floats

    @property
    def width(self) -> float:
        return float(np.linalg.norm(self.feet[1] - self.feet[0]))

    @property
    def length(self) -> float:
        """From the point to the middle between the feet."""
        return float(np.linalg.norm(self.feet.mean(axis=0) - self.tip))


@dataclass(frozen=True, eq=False)
class HalfPanel:
    """Sewing lines of half a front or back, mm: centre line on x = 0 from (0, 0) down, the panel to the right.

    centre, side (N, 2)   from waist to hem
    waist                 one line for each stretch between darts, from the centre to the side seam
    hip, hem (M, 2)       level lines, from the centre to the side seam
    """

    part: str
    centre: Floats
    side: Floats
    waist: tuple[Floats, ...]
    hip: Floats
    hem: Floats
    darts: tuple[Dart, ...]
    stretch: Stretch

    @property
    def waist_length(self) -> float:
        """Length of the waist with the darts closed."""
        return sum(length_of(line) for line in self.waist)

    @property
    def outline(self) -> Floats:
        """Down the centre, along the hem, up the side seam and back along the waist, dart mouths bridged (N, 2)."""
        waist = np.concatenate(self.waist)
        return np.concatenate([self.centre, self.hem[1:], self.side[-2::-1], waist[-2:0:-1]])


def half_panel(points: Floats, drops: Floats, hip_drop: float, part: str, limit: float) -> HalfPanel:
    """Lay half a front or back flat, with as few darts as keep each within `limit` mm.

    `points` (L, P, 2 or 3), of which x and y are read, run from the centre line to the side seam at each of `drops`
    (L,), from the waist to the hem. The hip line is laid straight and square to the centre line.
    Raises `FoldOver` when the surface cannot be laid flat.
    """
    places = USUAL[part]
    rows = row_drops(drops, hip_drop)
    grid = on_rows(points, drops, rows)
    intake = _intake(grid, rows, hip_drop)
    number = min(int(np.ceil(intake / limit - 1e-9)), len(places) - 1) if intake > NARROW else 0
    panel = _laid(grid, rows, hip_drop, part, places[number])
    while number + 1 < len(places) and max((d.width for d in panel.darts), default=0.0) > limit:
        number += 1
        panel = _laid(grid, rows, hip_drop, part, places[number])
    if number and min(d.width for d in panel.darts) < NARROW:
        panel = _laid(grid, rows, hip_drop, part, places[number - 1])
    return panel


def row_drops(drops: Floats, hip_drop: float) -> Floats:
    """Levels of the mesh: close above the hip, the hip itself among them, wider apart below, both ends as given."""
    end = float(drops[-1])
    near = np.linspace(0.0, min(hip_drop, end), max(3, round(min(hip_drop, end) / STEP)) + 1)
    if end - hip_drop < 1.0:
        return near
    return np.concatenate([near, np.linspace(hip_drop, end, max(2, round((end - hip_drop) / LOWER)) + 1)[1:]])


def on_rows(points: Floats, drops: Floats, rows: Floats, columns: int = COLUMNS) -> Floats:
    """The surface at other levels (R, columns, 3), its points even along each level."""
    at = np.clip(np.searchsorted(drops, rows, side="right") - 1, 0, len(drops) - 2)
    f = ((rows - drops[at]) / (drops[at + 1] - drops[at]))[:, None, None]
    flat = points[at, :, :2] * (1 - f) + points[at + 1, :, :2] * f
    run = np.concatenate([np.zeros((len(rows), 1)), np.linalg.norm(np.diff(flat, axis=1), axis=2).cumsum(axis=1)], 1)
    made = np.empty((len(rows), columns, 3))
    for k, row in enumerate(flat):
        even = np.linspace(0.0, run[k, -1], columns)
        made[k, :, 0], made[k, :, 1] = np.interp(even, run[k], row[:, 0]), np.interp(even, run[k], row[:, 1])
    made[..., 2] = -rows[:, None]
    return made


def _intake(grid: Floats, rows: Floats, hip_drop: float) -> float:
    """Roughly what darts must take in, mm: hip less waist, less a share for the side seam (common practice)."""
    width = np.linalg.norm(np.diff(grid[..., :2], axis=1), axis=2).sum(axis=1)
    return float(0.6 * (np.interp(hip_drop, rows, width) - width[0]))


@dataclass(frozen=True, eq=False)
class Slit:
    """A grid of points with its slits: `index` (R, C) numbers them, `right` for the cells to the right of a slit.

    `slits` pairs a column with its number of open rows; `threads` (E, 2) run along and across levels and askew, `stiff`
    (E,) tells how much each minds; `corners` (M, 3) are counter-clockwise with the centre line on the left.
    """

    vertices: Floats
    index: Ints
    right: Ints
    slits: tuple[tuple[int, int], ...]
    threads: Ints
    stiff: Floats
    corners: Ints


def slit(grid: Floats, rows: Floats, hip_drop: float, places: Sequence[tuple[float, float]]) -> Slit:
    """The grid (R, C, 3) slit from the waist at `places` (share of the width, share of the hip's drop)."""
    R, C = grid.shape[:2]
    index = np.arange(R * C).reshape(R, C)
    right = index.copy()
    extra, slits, count = [], [], R * C
    for share, length in places:
        c, depth = round(share * (C - 1)), int(np.searchsorted(rows, length * hip_drop))
        right[:depth, c] = np.arange(count, count + depth)
        count += depth
        extra.append(grid[:depth, c])
        slits.append((c, depth))
    a, b, d, e = right[:-1, :-1], index[:-1, 1:], right[1:, :-1], index[1:, 1:]
    level = np.stack([right[:, :-1], index[:, 1:]], -1).reshape(-1, 2)
    seam = np.stack([index[:-1, -1], index[1:, -1]], -1)
    down = np.stack([np.concatenate([a, b], 1), np.concatenate([d, e], 1)], -1).reshape(-1, 2)
    askew = np.stack([np.concatenate([a, b]), np.concatenate([e, d])], -1).reshape(-1, 2)
    return Slit(
        np.concatenate([grid.reshape(-1, 3), *extra]),
        index,
        right,
        tuple(slits),
        np.concatenate([level, seam, down, askew]),
        np.repeat([LEVEL, SEAM, 1.0, SHEAR], [len(level), len(seam), len(down), len(askew)]),
        np.concatenate([np.stack([a, d, e], -1), np.stack([a, e, b], -1)]).reshape(-1, 3),
    )


def _laid(grid: Floats, rows: Floats, hip_drop: float, part: str, places: Sequence[tuple[float, float]]) -> HalfPanel:
    mesh = slit(grid, rows, hip_drop, places)
    index, right = mesh.index, mesh.right
    hip_row = int(np.abs(rows - hip_drop).argmin())
    held = np.concatenate([index[:, 0], index[hip_row, 1:]])  # a straight centre line, and square to it the hip line
    p = spread(_start(mesh.vertices, grid), mesh.vertices, mesh.threads, mesh.stiff, held)
    darts, segments, first = [], [], 0
    for c, depth in mesh.slits:
        segments.append(p[np.concatenate([right[:1, first], index[0, first + 1 : c + 1]])])
        darts.append(Dart(p[index[depth, c]], np.stack([p[index[0, c]], p[right[0, c]]])))
        first = c
    segments.append(p[np.concatenate([right[:1, first], index[0, first + 1 :]])])
    ends = p[index[:, 0]], p[index[:, -1]]
    stretch = _stretch(p, mesh)
    return _trued(HalfPanel(part, *ends, tuple(segments), p[index[hip_row]], p[index[-1]], (), stretch), darts)


def spread(start: Floats, vertices: Floats, threads: Ints, stiff: Floats, held: Ints) -> Floats:
    """Flat places (N, 2) at which threads (E, 2) between `vertices` (N, 3) keep their lengths as nearly as can be.

    Least squares of the threads' strains weighted by `stiff` (E,), by Levenberg and Marquardt's steps from `start`
    (N, 2); vertices `held` stay there.
    """
    from scipy import sparse
    from scipy.sparse.linalg import splu

    i, j = threads.T
    true = np.linalg.norm(vertices[i] - vertices[j], axis=1)
    free = np.setdiff1d(np.arange(len(start)), held)
    column = np.full(len(start), -1)
    column[free] = np.arange(len(free))
    weight, rows = np.sqrt(stiff) / true, np.arange(len(i))
    ends = [(end, sign, m) for end, sign in ((i, 1.0), (j, -1.0)) for m in [column[end] >= 0]]
    row = np.concatenate([rows[m] for _, _, m in ends for _ in (0, 1)])
    col = np.concatenate([2 * column[end[m]] + k for end, _, m in ends for k in (0, 1)])

    def strain(points: Floats) -> tuple[Floats, Floats]:
        way = points[i] - points[j]
        long = np.linalg.norm(way, axis=1)
        return weight * (long - true), way / long[:, None] * weight[:, None]

    points, damping = start, 1e-3
    left, pull = strain(points)
    for _ in range(ROUNDS):
        value = np.concatenate([sign * pull[m, k] for _, sign, m in ends for k in (0, 1)])
        slope = sparse.csr_matrix((value, (row, col)), shape=(len(i), 2 * len(free)))
        normal = slope.T @ slope
        normal = (normal + damping * sparse.diags(normal.diagonal())).tocsc()
        solver = splu(normal, permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True})
        tried = points.copy()
        tried[free] -= solver.solve(slope.T @ left).reshape(-1, 2)
        after, pull_after = strain(tried)
        if after @ after > left @ left:
            damping *= 10.0
            continue
        moved = float(np.abs(tried - points).max())
        points, left, pull, damping = tried, after, pull_after, damping / 5.0
        if moved < AT_REST:
            break
    return points


def _stretch(points: Floats, mesh: Slit) -> Stretch:
    vertices, corners, threads = mesh.vertices, mesh.corners, mesh.threads
    flat = triangle_areas(points, corners)
    u, v = (vertices[corners[:, k]] - vertices[corners[:, 0]] for k in (1, 2))
    solid = np.linalg.norm(np.cross(u, v), axis=1) / 2
    if (flat <= 0).any():
        raise FoldOver(f"{int((flat <= 0).sum())} of {len(flat)} facets turn over when it is laid flat")
    true, laid = (np.linalg.norm(p[threads[:, 0]] - p[threads[:, 1]], axis=1) for p in (vertices, points))
    length = np.abs(laid / true - 1)
    return Stretch(
        float(length.max()),
        float(np.average(length, weights=true)),
        float(np.abs(flat / solid - 1).max()),
        float(flat.sum() / solid.sum() - 1),
    )


def _start(vertices: Floats, grid: Floats) -> Floats:
    """A rough flat shape: every point at its distance along the level, under the centre line's own length."""
    R, C = grid.shape[:2]
    across = np.linalg.norm(np.diff(grid, axis=1), axis=2).sum(axis=1) / (C - 1)
    down = np.concatenate([[0.0], np.linalg.norm(np.diff(grid[:, 0], axis=0), axis=1).cumsum()])
    column = np.concatenate([np.tile(np.arange(C), R), _column_of(vertices[R * C :], grid)])
    row = np.concatenate([np.repeat(np.arange(R), C), np.abs(vertices[R * C :, 2:] - grid[:, 0, 2]).argmin(axis=1)])
    return np.stack([column * across[row], -down[row]], axis=-1)


def _column_of(points: Floats, grid: Floats) -> Ints:
    row = np.abs(points[:, 2:] - grid[:, 0, 2]).argmin(axis=1)
    return np.asarray(np.linalg.norm(grid[row] - points[:, None], axis=2).argmin(axis=1), dtype=np.int64)


def _trued(panel: HalfPanel, darts: Sequence[Dart]) -> HalfPanel:
    """Darts with straight equal legs, and the waist one smooth line when they are closed.

    The panel is folded shut dart by dart from the centre on, a curve is laid through the closed waist (level at the
    centre line, its ends kept, so that no seam changes), and everything is opened again.
    """
    turns: list[tuple[Floats, Floats]] = [(np.eye(2), np.zeros(2))]  # closed = turn @ open + shift, by stretch
    for dart in darts:
        turn, shift = turns[-1]
        tip, (one, two) = turn @ dart.tip + shift, dart.feet @ turn.T + shift
        u, v = one - tip, two - tip
        angle = np.arctan2(v[0] * u[1] - v[1] * u[0], u @ v)
        fold = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
        turns.append((fold @ turn, fold @ (shift - tip) + tip))
    closed = [line @ turn.T + shift for line, (turn, shift) in zip(panel.waist, turns, strict=True)]
    joints = [(a[-1] + b[0]) / 2 for a, b in zip(closed[:-1], closed[1:], strict=True)]
    curve = _smooth(np.concatenate(closed))
    laid = []
    for k, (line, (turn, shift)) in enumerate(zip(closed, turns, strict=True)):
        left = line[0] if k == 0 else joints[k - 1]
        right = line[-1] if k == len(joints) else joints[k]
        x = np.linspace(left[0], right[0], len(line))
        laid.append((np.stack([x, np.polyval(curve, x)], -1) - shift) @ turn)
    trued = tuple(Dart(dart.tip, np.stack([laid[k][-1], laid[k + 1][0]])) for k, dart in enumerate(darts))
    return replace(panel, waist=tuple(laid), darts=trued)


def _smooth(points: Floats) -> Floats:
    """Coefficients, highest first, of the cubic nearest to points (N, 2), level at the first and through both ends."""
    (x0, y0), (x1, y1) = points[0], points[-1]
    s = (points[:, 0] - x0) / (x1 - x0)
    bend, rise = s**3 - s**2, y0 + (y1 - y0) * s**2
    k = float(bend @ (points[:, 1] - rise) / max(float(bend @ bend), 1e-12))
    shape = np.poly1d([k, y1 - y0 - k, 0.0, y0])
    return np.asarray(shape(np.poly1d([1.0, -x0]) / (x1 - x0)).coefficients)
