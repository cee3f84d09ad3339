"""Pads drafted flat, as on the skirt block: distance from the side seam against drop.

A front and a back pad share the side seam, where they are sewn together at full thickness; what is bevelled
is the free edge of the pair. A pad whose mate is left out has nothing to be sewn to: its seam edge is bevelled too.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from silhouette.asked.sheet import Pads, Points
from silhouette.shape.curves import Array, monotone

ROWS: Final = 41
INSIDE: Final = 14  #: cells from the side seam to the inner end of the bevel
BEVEL_CELLS: Final = 6  #: cells across the bevel
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
    """

    distance: Array
    drop: Array
    edge: Array
    outline: Array


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
        turn = np.linspace(0.0, np.pi, rows)
        drop = given[0, 1] + (given[-1, 1] - given[0, 1]) * (1 - np.cos(turn)) / 2
        square = monotone(given[:, 1], given[:, 0] ** 2, drop)
        distance = np.sqrt(np.maximum(square, 0.0))
        distance[[0, -1]] = 0.0
        return np.stack([distance, drop], axis=-1)
    upper = (rows + 1) // 2
    below = pads.fullness if pads.fullness_below is None else pads.fullness_below
    parts = []
    for count, tip, full in ((upper, pads.start, pads.fullness), (rows - upper + 1, end, below)):
        exponent = LEANEST * (2 / LEANEST) ** (2 * full)
        share = np.sin(np.linspace(np.pi / 2, 0.0, count))  # 1 at the tip, 0 on the hip line
        width = reach * np.maximum(1 - share**exponent, 0.0) ** (1 / exponent)
        parts.append(np.stack([width, hip + (tip - hip) * share], axis=-1))
    return np.concatenate([parts[0], parts[1][-2::-1]])


def flat_pads(edges: tuple[Array | None, Array | None], bevel: float) -> tuple[FlatPad | None, FlatPad | None]:
    """Front and back pad of one side from their free edges (R, 2), with the distance to the bevelled edge.

    The grid follows the outline, so that the seam, the free edge and the inner end of the bevel are lines of it.
    """
    front, back = edges
    whole = [e * [s, 1.0] for e, s in ((front, 1.0), (back, -1.0)) if e is not None]
    other = whole[1] if len(whole) == 2 else whole[0] * [-1.0, 1.0]  # a pad alone is rounded off as if it had a mate
    rim = np.concatenate([whole[0][:-1], other[:0:-1]])
    made: list[FlatPad | None] = []
    for part, sign in ((front, 1.0), (back, -1.0)):
        made.append(None if part is None else _flat_pad(part, sign, rim, bevel, alone=len(whole) == 1))
    return made[0], made[1]


def _flat_pad(edge: Array, sign: float, rim: Array, bevel: float, alone: bool) -> FlatPad:
    inside = _inside(edge, bevel)
    run = np.linspace(0.0, 1.0, INSIDE + 1)[None, :, None]
    if alone:  # the seam edge is bevelled too: bring a column to the inner end of that bevel
        share = np.clip(bevel / np.maximum(inside[:, :1], 1e-9), 0.1, 0.5)
        third = INSIDE // 3
        steps = [share * np.linspace(0, 1, third + 1)[:-1], share + (1 - share) * np.linspace(0, 1, INSIDE - third + 1)]
        run = np.concatenate(steps, axis=1)[..., None]
    seam = inside * [0.0, 1.0]
    plateau = seam[:, None] + run * (inside - seam)[:, None]
    across = np.linspace(0.0, 1.0, BEVEL_CELLS + 1)[None, 1:, None]
    strip = inside[:, None] + across * (edge - inside)[:, None]
    grid = np.concatenate([plateau, strip], axis=1)
    away = np.full(grid.shape[:2], np.inf)
    away[:, INSIDE:] = _from_rim(sign * grid[:, INSIDE:, 0], grid[:, INSIDE:, 1], rim)
    if alone or away[:, INSIDE].min() < bevel - 1e-6:  # else everything further in lies beyond the bevel
        away[:, :INSIDE] = _from_rim(sign * grid[:, :INSIDE, 0], grid[:, :INSIDE, 1], rim)
    away[:, -1] = 0.0
    np.minimum(away, max(bevel, 0.0), out=away)
    if alone and bevel > 0:  # carved from the seam edge as well: where both bevels meet, their heights multiply
        away *= np.minimum(grid[..., 0] / bevel, 1.0)
    return FlatPad(grid[..., 0], grid[..., 1], away, edge)


def _inside(edge: Array, bevel: float) -> Array:
    """The inner end of the bevel (R, 2), one point for each point of the free edge.

    The edge moved inward by the bevel. Where the bevel is wider than the pad has room for, that line would
    cross itself; it is then held in order. Only the grid depends on it: thickness comes from true distances.
    """
    top, bottom = edge[0, 1], edge[-1, 1]
    width = min(max(bevel, 4.0), 0.45 * (bottom - top))
    run = np.empty_like(edge)
    run[1:-1] = edge[2:] - edge[:-2]
    run[0], run[-1] = [1.0, 0.0], [-1.0, 0.0]  # round tips: the edge runs level there
    run /= np.sqrt((run**2).sum(-1, keepdims=True))
    inside = edge + width * np.stack([-run[:, 1], run[:, 0]], axis=-1)
    inside[:, 0] = np.clip(inside[:, 0], 0.0, 0.97 * edge[:, 0])
    drop = np.clip(np.maximum.accumulate(inside[:, 1]), top + width, bottom - width)
    if np.any(np.diff(drop) < 1e-4):  # rows held at one level must not fall on each other: the solid would be open
        drop = 0.98 * drop + 0.02 * np.linspace(top + width, bottom - width, len(drop))
    inside[:, 1] = drop
    inside[[0, -1]] = [0.0, top + width], [0.0, bottom - width]
    return np.asarray(inside)


def _from_rim(distance: Array, drop: Array, rim: Array) -> Array:
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
