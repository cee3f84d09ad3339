"""A half panel of a skirt laid flat: from rows of points on the dressed surface to a sewing line with darts.

The surface is slit down from the waist where the darts come and laid flat: the centre line straight and in true
length, the hip line straight and square to it, the side seam and every level line in their own length. What then
gapes at the slits are the darts; they are evened and trued to straight equal legs, and the waist to one smooth line
with the darts closed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from silhouette.cutting.flatten import FoldOver, Stretch
from silhouette.cutting.unrolled import length_of
from silhouette.cutting.woven import rough_shape, slit, spread, stretch_of
from silhouette.shape.curves import Array, between

Places = tuple[tuple[float, float], ...]

#: Where darts stand (share of the way from centre to side seam) and how long they are (share of the drop from
#: waist to hip, within `PRACTICE`), by panel and number; the longest stands nearest the centre back (common practice,
#: no source).
USUAL: Final[dict[str, tuple[Places, ...]]] = {
    "front": (
        (),
        ((0.50, 0.45),),
        ((0.46, 0.45), (0.76, 0.41)),
        ((0.30, 0.44), (0.53, 0.45), (0.77, 0.40)),
    ),
    "back": (
        (),
        ((0.48, 0.63),),
        ((0.40, 0.64), (0.71, 0.59)),
        ((0.27, 0.64), (0.51, 0.62), (0.76, 0.57)),
        ((0.20, 0.63), (0.40, 0.62), (0.60, 0.60), (0.80, 0.56)),
    ),
}
#: mm, length of a dart: front 3 to 4 1/2 in, back 4 3/4 to 6 in (common practice, no source).
PRACTICE: Final[dict[str, tuple[float, float]]] = {"front": (80.0, 110.0), "back": (120.0, 150.0)}
NARROW: Final = 10.0  #: mm; narrower darts are left to the side seam (common practice, no source)
#: The surface is slit to this share of a dart's length: a front gapes like a dart, a back wider half-way down.
DEEPER: Final[dict[str, float]] = {"front": 1.03, "back": 0.93}
ASTRAY: Final = 0.01  #: share of the waist by which its flat length may miss, this tool's convention
EVENED: Final = 6  #: rounds of evening darts and waist in turn
COLUMNS: Final = 25
STEP: Final = 10.0  #: mm between rows down to a little below the hip
LOWER: Final = 60.0  #: mm between rows below


@dataclass(frozen=True, eq=False)
class Dart:
    """A dart, mm: its point, and its feet on the waist (2, 2), the one nearer the centre line first."""

    tip: Array
    feet: Array

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
    centre: Array
    side: Array
    waist: tuple[Array, ...]
    hip: Array
    hem: Array
    darts: tuple[Dart, ...]
    stretch: Stretch

    @property
    def waist_length(self) -> float:
        """Length of the waist with the darts closed."""
        return sum(length_of(line) for line in self.waist)

    @property
    def outline(self) -> Array:
        """Down the centre, along the hem, up the side seam and back along the waist, dart mouths bridged (N, 2)."""
        waist = np.concatenate(self.waist)
        return np.concatenate([self.centre, self.hem[1:], self.side[-2::-1], waist[-2:0:-1]])


def half_panel(
    points: Array,
    drops: Array,
    hip_drop: float,
    part: str,
    limit: float,
    short: float = 0.0,
    number: int | None = None,
) -> HalfPanel:
    """Lay half a front or back flat, with as few darts of even width as keep each within `limit` mm.

    `points` (L, P, 2 or 3), of which x and y are read, run from the centre line to the side seam at each of `drops`
    (L,), from the waist to the hem, which is `short` mm above the last of them. The hip line is laid straight and
    square to the centre line. `number` of darts, where it is settled already.
    Raises `FoldOver` when the surface cannot be laid flat.
    """
    places = USUAL[part]
    rows = row_drops(float(drops[-1]) - short, hip_drop)
    if number is not None:
        return _sound(_laid(points, drops, rows, hip_drop, part, places[number]), points)
    number, raised = (1 if part == "front" else 2), False
    while True:
        panel = _laid(points, drops, rows, hip_drop, part, places[number])
        # where a belly needs room the sides of a slit overlap: that is no dart
        widths = [float(np.copysign(d.width, d.feet[1, 0] - d.feet[0, 0])) for d in panel.darts]
        need = int(np.ceil(sum(widths) / limit)) if sum(widths) > NARROW else 0
        if max(widths, default=0.0) > limit:
            need = max(need, number + 1)
        need = min(need, len(places) - 1)
        if need == number or (need < number and raised) or number == 0:
            return _sound(panel, points)
        number, raised = need, need > number


def _sound(panel: HalfPanel, points: Array) -> HalfPanel:
    """The panel, unless its darts ran away or its sewing lines cross: then the surface is too full for darts."""
    import shapely

    waist = length_of(points[0, :, :2])
    if not abs(panel.waist_length - waist) <= ASTRAY * waist:  # nan, too, is astray
        raise FoldOver("its darts cannot be evened out when it is laid flat")
    if not shapely.Polygon(panel.outline).is_valid:
        raise FoldOver("its edge runs across itself when it is laid flat")
    return panel


def row_drops(end: float, hip_drop: float) -> Array:
    """Levels of the mesh: close above the hip, the hip itself among them, wider apart below, both ends as given."""
    near = np.linspace(0.0, min(hip_drop, end), max(3, round(min(hip_drop, end) / STEP)) + 1)
    if end - hip_drop < 1.0:
        return near
    return np.concatenate([near, np.linspace(hip_drop, end, max(2, round((end - hip_drop) / LOWER)) + 1)[1:]])


def on_rows(points: Array, drops: Array, rows: Array, shares: Array) -> Array:
    """The surface at other levels (R, C, 3), its points at `shares` (C,) of the way along each level."""
    at, share = between(drops, rows)
    f = share[:, None, None]
    flat = points[at, :, :2] * (1 - f) + points[at + 1, :, :2] * f
    run = np.concatenate([np.zeros((len(rows), 1)), np.linalg.norm(np.diff(flat, axis=1), axis=2).cumsum(axis=1)], 1)
    built = np.empty((len(rows), len(shares), 3))
    for k, row in enumerate(flat):
        for axis in (0, 1):
            built[k, :, axis] = np.interp(shares * run[k, -1], run[k], row[:, axis])
    built[..., 2] = -rows[:, None]
    return built


def _laid(points: Array, drops: Array, rows: Array, hip_drop: float, part: str, places: Places) -> HalfPanel:
    shares, columns = columns_for(places)
    lengths = [float(np.clip(share * hip_drop, *PRACTICE[part])) for _, share in places]
    depths = [int(np.searchsorted(rows, DEEPER[part] * length)) for length in lengths]
    grid = on_rows(points, drops, rows, shares)
    mesh = slit(grid, tuple(zip(columns, depths, strict=True)))
    index, right = mesh.index, mesh.right
    hip_row = int(np.abs(rows - hip_drop).argmin())
    held = np.concatenate([index[:, 0], index[hip_row, 1:]])  # a straight centre line, and square to it the hip line
    p = spread(rough_shape(mesh), mesh.vertices, mesh.threads, mesh.stiff, held)
    darts, segments, first = [], [], 0
    for (c, depth), length in zip(mesh.slits, lengths, strict=True):
        segments.append(p[np.concatenate([right[:1, first], index[0, first + 1 : c + 1]])])
        darts.append(_as_long(p[index[depth, c]], np.stack([p[index[0, c]], p[right[0, c]]]), length))
        first = c
    segments.append(p[np.concatenate([right[:1, first], index[0, first + 1 :]])])
    stretch = stretch_of(p, mesh)
    side = _in_length(p[index[:, -1]], length_of(grid[: hip_row + 1, -1]), hip_row)
    segments[-1][-1] = side[0]
    ends = p[index[:, 0]], side
    open_panel = HalfPanel(part, *ends, tuple(segments), p[index[hip_row]], p[index[-1]], (), stretch)
    waist = length_of(grid[0])
    if not darts:
        return _trued(_without_darts(_trued(open_panel, ()), waist), ())
    panel, wanted = replace(open_panel, darts=tuple(darts)), waist
    for _ in range(EVENED):  # truing shortens the waist and parts the widths by a hair
        panel = _trued(*_evened(panel, panel.darts, wanted))
        wanted += waist - panel.waist_length
    return panel


def _as_long(tip: Array, feet: Array, length: float) -> Dart:
    """A dart with its point moved along its middle line until it is `length` mm long."""
    middle = feet.mean(axis=0)
    return Dart(middle + (tip - middle) * (length / float(np.linalg.norm(tip - middle))), feet)


def _in_length(side: Array, length: float, hip_row: int) -> Array:
    """The side seam (R, 2) with its part above the hip exactly as long as on the figure: it is sewn to another."""
    exact, above = side.copy(), slice(0, hip_row + 1)
    for _ in range(4):
        exact[above, 1] = side[hip_row, 1] + (exact[above, 1] - side[hip_row, 1]) * length / length_of(exact[above])
    return exact


def _evened(panel: HalfPanel, darts: Sequence[Dart], waist: float) -> tuple[HalfPanel, list[Dart]]:
    """What is taken in divided evenly, and the stretches between brought to `waist` mm in all; both ends stay."""
    segments, lengths = panel.waist, panel.waist_length
    total = sum(dart.width for dart in darts) - (waist - lengths)
    width, at, end = total / max(len(darts), 1), segments[0][0], segments[-1][-1]
    moved, built = [], []
    for line, dart in zip(segments, [*darts, None], strict=True):
        moved.append(at + (line - line[0]) * (waist / lengths))
        if dart is not None:
            at = moved[-1][-1] + (dart.feet[1] - dart.feet[0]) * (width / max(dart.width, 1e-9))
            built.append(Dart(dart.tip, np.stack([moved[-1][-1], at])))
    moved[-1] = moved[-1] + np.linspace(0.0, 1.0, len(moved[-1]))[:, None] * (end - moved[-1][-1])
    return replace(panel, waist=tuple(moved)), built


def _without_darts(panel: HalfPanel, waist: float) -> HalfPanel:
    """The upper end of the side seam moved in or out until the waist is `waist` mm, running out at the hip line."""
    out = waist - panel.waist_length
    share = np.clip((panel.side[:, 1] - panel.hip[-1, 1]) / (panel.side[0, 1] - panel.hip[-1, 1]), 0.0, 1.0)
    line = panel.waist[0] + np.linspace(0.0, out, len(panel.waist[0]))[:, None] * [1.0, 0.0]
    return replace(panel, waist=(line,), side=panel.side + np.outer(out * share, [1.0, 0.0]))


def columns_for(places: Places) -> tuple[Array, list[int]]:
    """Shares (C,) of the way along a level for the grid's columns, and the columns that stand at the darts."""
    at = [round(share * (COLUMNS - 1)) for share, _ in places]
    shares = np.interp(np.arange(COLUMNS), [0, *at, COLUMNS - 1], [0.0, *(share for share, _ in places), 1.0])
    return shares, at


def _trued(panel: HalfPanel, darts: Sequence[Dart]) -> HalfPanel:
    """Darts with straight equal legs, and the waist one smooth line when they are closed.

    The panel is folded shut dart by dart from the centre on, a curve is laid through the closed waist (level at the
    centre line, its ends kept, so that no seam changes), and everything is opened again.
    """
    turns: list[tuple[Array, Array]] = [(np.eye(2), np.zeros(2))]  # closed = turn @ open + shift, by stretch
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


def _smooth(points: Array) -> Array:
    """Coefficients, highest first, of the cubic nearest to points (N, 2), level at the first and through both ends."""
    (x0, y0), (x1, y1) = points[0], points[-1]
    s = (points[:, 0] - x0) / (x1 - x0)
    bend, rise = s**3 - s**2, y0 + (y1 - y0) * s**2
    k = float(bend @ (points[:, 1] - rise) / max(float(bend @ bend), 1e-12))
    shape = np.poly1d([k, y1 - y0 - k, 0.0, y0])
    return np.asarray(shape(np.poly1d([1.0, -x0]) / (x1 - x0)).coefficients)
