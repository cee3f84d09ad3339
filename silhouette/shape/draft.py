"""Pads drafted flat, as on the skirt block: distance from the side seam against drop.

A front and a back pad share the side seam, where they are sewn together at full thickness; what is bevelled
is the free edge of the pair. A pad whose mate is left out has nothing to be sewn to: its seam edge is bevelled too.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from silhouette.asked.pads import Pads, Points
from silhouette.shape.curves import Array, along, monotone

ROWS: Final = 41
INSIDE: Final = 14  #: cells from the side seam to the inner end of the bevel, at least
SHARP: Final = 1.2  #: radians of turn at one place, and …
SHARP_CELLS: Final = 15  #: … cells needed, together more than the grid can follow
CELLS: Final = 20  #: cells to which crowded rows are pressed apart
MOST_INSIDE: Final = 32
APART: Final = 4e-7  #: of the height of a pad: rows that fall on each other stand at least so far apart
USUAL_BEND: Final = 100.0  #: mm; no part of a usual body that a pad lies on bends more
BEVEL_CELLS: Final = 8  #: cells across the bevel
LEANEST: Final = 1.4  #: exponent of the outline at fullness 0; at 0.5 the outline is a half ellipse


@dataclass(frozen=True, eq=False)
class FlatPad:
    """One pad in flat coordinates, mm.

    distance, drop (R, C)  Column 0 is the side seam between the bevels, the last column the free edge from tip to
                           tip. A row runs level from the seam to the inner end of the bevel and from there square
                           to the edge; so the first and the last row run along the seam, out to the tips.
    edge           (R, C)  distance from the bevelled edge, counted up to the width of the bevel; of a pad without a
                           mate, whose seam edge is bevelled too, lessened in proportion towards the seam
    outline        (N, 2)  free edge from tip to tip: distance from the seam (positive), drop
    inside                 column of the inner end of the bevel
    rim            (S, 2)  closed line of all that is bevelled, in signed distances from the seam
    alone                  whether the seam edge is bevelled too
    """

    distance: Array
    drop: Array
    edge: Array
    outline: Array
    inside: int = INSIDE
    rim: Array | None = None
    alone: bool = False


def profile_height(profile: str, share: Array) -> Array:
    """Height of the bevel, 0 to 1, where ``share`` = distance from the edge / bevel width.

    >>> profile_height("feathered", np.array([0.0, 0.5, 2.0])).tolist()
    [0.0, 0.5, 1.0]
    """
    x = np.clip(share, 0.0, 1.0)
    if profile == "rounded":
        return np.asarray(np.sin(np.pi / 2 * x))
    if profile == "feathered":
        return np.asarray(x**2 * (3 - 2 * x))
    return x


def free_edge(reach: float, hip: float, pads: Pads, end: float, points: Points | None, rows: int = ROWS) -> Array:
    """The free edge of a pad (R, 2): distance from the seam and drop, tip to tip.

    Through (0, start), (reach, hip) and (0, end), smooth and with no point away from the seam; ``points``
    replace it. Round ends are kept for points too: the square of the distance is what is interpolated.
    """
    if points is not None:
        given = np.array(points)

        def through(turn: Array) -> Array:
            drop = given[0, 1] + (given[-1, 1] - given[0, 1]) * (1 - np.cos(turn)) / 2
            square = monotone(given[:, 1], given[:, 0] ** 2, drop)
            distance = np.sqrt(np.maximum(square, 0.0))
            distance[[0, -1]] = 0.0
            return np.stack([distance, drop], axis=-1)

        return through(_evenly(through, np.pi, rows))
    upper = (rows + 1) // 2
    below = pads.fullness if pads.fullness_below is None else pads.fullness_below
    parts = []
    for count, tip, full in ((upper, pads.start, pads.fullness), (rows - upper + 1, end, below)):
        exponent = LEANEST * (2 / LEANEST) ** (2 * full)

        def half(turn: Array, tip: float = tip, exponent: float = exponent) -> Array:
            share = np.cos(turn)  # 1 at the tip, 0 on the hip line
            share[-1] = 0.0
            width = reach * np.maximum(1 - share**exponent, 0.0) ** (1 / exponent)
            return np.stack([width, hip + (tip - hip) * share], axis=-1)

        parts.append(half(_evenly(half, np.pi / 2, count)))
    return np.concatenate([parts[0], parts[1][-2::-1]])


def _evenly(curve: Callable[[Array], Array], end: float, count: int) -> Array:
    """Parameters (count,) from 0 to ``end`` that lie about evenly along a curve, mm."""
    turn = np.linspace(0.0, end, 4 * count)
    run = along(curve(turn))
    place = run / run[-1] + turn / end  # closer together where it bends
    return np.interp(np.linspace(0.0, 2.0, count), place, turn)


def flat_pads(
    edges: tuple[Array | None, Array | None], bevel: float, bend: float = USUAL_BEND, fine: int = 1
) -> tuple[FlatPad | None, FlatPad | None]:
    """Front and back pad of one side from their free edges (R, 2), with the distance to the bevelled edge.

    The grid follows the outline, so that the seam, the free edge and the inner end of the bevel are lines of it.
    ``bend`` is the least radius that the body bends to where pads lie, mm; ``fine`` multiplies the cells. Raises
    ``ValueError`` for an outline that cannot be cut from foam.
    """
    front, back = edges
    whole = [e * [s, 1.0] for e, s in ((front, 1.0), (back, -1.0)) if e is not None]
    other = whole[1] if len(whole) == 2 else whole[0] * [-1.0, 1.0]  # a pad alone is rounded off as if it had a mate
    rim = np.concatenate([whole[0][:-1], other[:0:-1]])
    built: list[FlatPad | None] = []
    for part, sign in ((front, 1.0), (back, -1.0)):
        built.append(None if part is None else _flat_pad(part, sign, rim, bevel, bend, fine, alone=len(whole) == 1))
    return built[0], built[1]


def _flat_pad(edge: Array, sign: float, rim: Array, bevel: float, bend: float, fine: int, alone: bool) -> FlatPad:
    inside = _inside(edge, bevel, bend, rim * [sign, 1.0])
    needed = _cells_needed(inside, bend)
    if needed > SHARP_CELLS and _sharpest(edge) > SHARP:
        part = "front" if sign > 0 else "back"
        raise ValueError(f"the {part} outline turns back too sharply for foam to be cut so: draw it rounder")
    count = int(np.clip(np.ceil(needed), fine * INSIDE, fine * MOST_INSIDE))
    run = np.linspace(0.0, 1.0, count + 1)[None, :, None]
    if alone:  # the seam edge is bevelled too: bring a column to the inner end of that bevel
        share = np.clip(bevel / np.maximum(inside[:, :1], 1e-9), 0.1, 0.5)
        third = count // 3
        steps = [share * np.linspace(0, 1, third + 1)[:-1], share + (1 - share) * np.linspace(0, 1, count - third + 1)]
        run = np.concatenate(steps, axis=1)[..., None]
    seam = inside * [0.0, 1.0]
    plateau = seam[:, None] + run * (inside - seam)[:, None]
    across = np.linspace(0.0, 1.0, fine * BEVEL_CELLS + 1)[None, 1:, None]
    strip = inside[:, None] + across * (edge - inside)[:, None]
    grid = np.concatenate([plateau, strip], axis=1)
    away = np.full(grid.shape[:2], np.inf)
    away[:, count:] = distance_from(sign * grid[:, count:, 0], grid[:, count:, 1], rim)
    near = np.ones(len(edge), dtype=bool)
    if not alone and _is_round(edge):  # else everything further in lies beyond the bevel
        away[:, 0] = distance_from(grid[:, :1, 0], grid[:, :1, 1], rim)[:, 0]
        near = np.minimum(away[:, 0], away[:, count]) < bevel - 1e-6
    away[near, :count] = distance_from(sign * grid[near, :count, 0], grid[near, :count, 1], rim)
    away[:, -1] = 0.0
    np.minimum(away, max(bevel, 0.0), out=away)
    if alone and bevel > 0:  # carved from the seam edge as well: where both bevels meet, their heights multiply
        away *= np.minimum(grid[..., 0] / bevel, 1.0)
    return FlatPad(grid[..., 0], grid[..., 1], away, edge, count, rim, alone)


def _is_round(edge: Array) -> bool:
    """Whether the edge never bends inward."""
    run = np.diff(edge, axis=0)
    return bool((run[:-1, 0] * run[1:, 1] - run[:-1, 1] * run[1:, 0]).min() > -1e-9)


def _sharpest(edge: Array) -> float:
    """Sharpest turn between two steps of the edge, radians."""
    step = np.diff(edge, axis=0)
    turn = np.diff(np.arctan2(step[:, 1], step[:, 0]))
    return float(np.abs((turn + np.pi) % (2 * np.pi) - np.pi).max())


def _cells_needed(inside: Array, bend: float) -> float:
    """Cells from the seam to the inner end of the bevel: more where rows lie close and are of unlike length, or the
    chords of one would cut through the next on a round body."""
    wide, gap = inside[:, 0], np.maximum(np.diff(inside[:, 1]), 1e-6)
    return float((np.abs(np.diff(wide)) * np.maximum(wide[1:], wide[:-1]) / (bend * gap)).max())


def _inside(edge: Array, bevel: float, bend: float, rim: Array) -> Array:
    """The inner end of the bevel (R, 2), one point for each point of the free edge.

    The edge moved inward by the bevel, or as far as it has room before it meets what comes from across; where even
    that would fold the grid, the rows run level. Only the grid depends on it: thickness comes from true distances.
    """
    wanted = max(bevel, 4.0)
    run = np.empty_like(edge)
    run[1:-1] = edge[2:] - edge[:-2]
    run[0], run[-1] = [1.0, 0.0], [-1.0, 0.0]  # round tips: the edge runs level there
    run /= np.sqrt((run**2).sum(-1, keepdims=True))
    inward = np.stack([-run[:, 1], run[:, 0]], axis=-1)
    room = np.minimum(_room(edge, inward, rim), 0.5 * (edge[-1, 1] - edge[0, 1]))
    towards = np.maximum(-inward[:, 0], 1e-9)  # no further than the seam
    room[1:-1] = np.minimum(room, edge[:, 0] / towards)[1:-1]
    for share in (0.9, 0.7, 0.5, 0.3, 0.2, 0.1):
        inside = _moved_in(edge, inward, np.minimum(wanted, share * room), wanted, bend)
        if _cells_needed(inside, bend) <= MOST_INSIDE and not _folds(inside, edge):
            return inside
    inside = _level(edge, wanted)
    if _cells_needed(inside, bend) > MOST_INSIDE:
        raise ValueError("its outline runs too far sideways for so little drop: no foam can be cut so; make it steeper")
    return inside


def _room(edge: Array, inward: Array, rim: Array) -> Array:
    """Radius (R,) of the largest circle that touches the edge at each point from inside and reaches over no other
    point of the rim (medial ball)."""
    way = rim - edge[:, None]
    ahead = np.einsum("rsk,rk->rs", way, inward)
    square = (way**2).sum(-1)
    radius = np.divide(square, 2 * ahead, out=np.full(ahead.shape, np.inf), where=ahead > 1e-9 * np.sqrt(square))
    return np.asarray(radius.min(axis=1))


def _moved_in(edge: Array, inward: Array, width: Array, wanted: float, bend: float) -> Array:
    inside = edge + width[:, None] * inward
    inside[:, 0] = np.clip(inside[:, 0], 0.03 * edge[:, 0], 0.97 * edge[:, 0])
    # at the tips along the seam: a lean tip has no room for a circle, but its neighbours reach the seam further in
    most = min(wanted, 0.45 * (edge[-1, 1] - edge[0, 1]))
    top = edge[0, 1] + max(width[0], min(0.98 * (inside[1, 1] - edge[0, 1]), most))
    bottom = edge[-1, 1] - max(width[-1], min(0.98 * (edge[-1, 1] - inside[-2, 1]), most))
    # rows held at one level must not fall on each other: where they crowd they are pressed apart, as far as needed
    wide = inside[:, 0]
    apart = np.abs(np.diff(wide)) * np.maximum(wide[1:], wide[:-1]) / (bend * CELLS) + APART * (
        edge[-1, 1] - edge[0, 1]
    )
    apart = np.concatenate([[0.0], np.cumsum(apart)])
    apart *= min(1.0, 0.95 * (bottom - top) / apart[-1])
    drop = np.maximum.accumulate(np.clip(inside[:, 1], top, bottom) - apart) + apart
    drop = np.minimum(drop, bottom - apart[-1] + apart)
    inside[:, 1] = drop
    inside[[0, -1]] = [0.0, top], [0.0, bottom]
    return inside


def _level(edge: Array, wanted: float) -> Array:
    """Inner end of the bevel straight across from the edge: never folds, whatever the outline."""
    inside = edge.copy()
    inside[:, 0] -= np.minimum(wanted, 0.4 * edge[:, 0])
    for tip, near in ((0, 1), (-1, -2)):
        inside[tip, 1] += 0.5 * (edge[near, 1] - edge[tip, 1])
    return inside


def _folds(inside: Array, edge: Array) -> bool:
    """Whether a cell between seam, inner end of the bevel and edge is turned over."""
    seam = inside * [0.0, 1.0]
    for one, other in ((seam, inside), (inside, edge)):
        a, b, c, d = one[:-1], one[1:], other[1:], other[:-1]
        for u, v in ((b - a, c - a), (c - a, d - a), (b - a, d - a), (c - b, d - b)):
            if (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]).max() > 1e-9:
                return True
    return False


def distance_from(distance: Array, drop: Array, rim: Array) -> Array:
    """Distance of points (R, C) from a closed rim (S, 2): exact, every point against every segment."""
    run = np.roll(rim, -1, axis=0) - rim
    length = np.maximum(np.sqrt((run**2).sum(-1)), 1e-12)
    unit = run / length[:, None]
    side = np.stack([-unit[:, 1], unit[:, 0]], axis=-1)
    points = np.stack([distance.ravel(), drop.ravel(), np.ones(distance.size)])
    # one product each for how far along a segment and how far aside of it a point lies, (S, R·C)
    beyond = np.column_stack([unit, -(rim * unit).sum(-1)]) @ points
    aside = np.column_stack([side, -(rim * side).sum(-1)]) @ points
    beyond -= np.clip(beyond, 0.0, length[:, None])
    beyond *= beyond
    aside *= aside
    beyond += aside
    return np.asarray(np.sqrt(beyond.min(0)).reshape(distance.shape))


def is_within(places: Array, rim: Array) -> NDArray[np.bool_]:
    """Which places (N, 2) lie inside a closed line (S, 2): an odd number of its steps to one side."""
    x, y = places.T[:, :, None]
    (x0, y0), (x1, y1) = rim.T, np.roll(rim, -1, axis=0).T
    across = (y0 <= y) != (y1 <= y)
    at = x0 + (y - y0) * (x1 - x0) / np.where(y1 == y0, 1.0, y1 - y0)
    return np.asarray((across & (at > x)).sum(axis=1) % 2 == 1)
