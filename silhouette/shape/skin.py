"""What the eye sees beyond what a tape can touch: groins, cleft, and the legs where the taut outline bridges them.

All of it lies inside the arcs that everything is measured on: a taut tape, a pad and cloth bridge it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from silhouette.shape.curves import Array
from silhouette.shape.dimensions import Measures
from silhouette.shape.learnt import BLENDED, ease

WALL: Final = 9.0  #: mm, at a hip of 1 m: half of what is left of the wall in the mid-plane at the crotch
PARTED: Final = 0.8  #: of the way from the crotch to under the seat by which the thighs have come apart
#: how far above the crotch the groins and the parting of the seat reach, over the way from hip to crotch
REACH: Final = {0: 1.6, -1: 1.0}
FLAT: Final = 0.15  #: mm, at a hip of 1 m; a taut outline that bends by less is flat
SOFT: Final = 2.0  #: mm, at a hip of 1 m, more towards the crotch: no named level lies between it and the hip
STEEPEST: Final = 1.8  #: depth of a valley over half its width
FALL: Final = 1.6  #: how far a valley may deepen for each mm of drop
NARROWEST: Final = 0.3  #: width of a groin at its upper end, over that at the crotch


@dataclass(frozen=True)
class _Bridge:
    """What a taut outline bridges at one end (front or back) of one side.

    x, depth   ascending distance from the mid-plane and how far the leg under the seat lies behind the bridge there
    furthest   column up to which the outline bridges
    """

    end: int
    out: float
    x: Array
    depth: Array
    furthest: int


def with_valleys(m: Measures, drops: Array, outer: Array, inner: Array, arc: Array) -> tuple[Array, Array]:
    """Outer (2, L, K, 3) and inner (2, M, J, 3) arcs as the eye sees them; ``arc`` (2, L, K) as the body holds it."""
    crotch = len(drops) - inner.shape[1]
    result, within = outer.copy(), inner.copy()
    for side, sign in ((0, 1.0), (1, -1.0)):
        ends = [_bridge(m, drops, outer[side], inner[side], sign, end) for end in (0, -1)]
        result[side, ..., 1] += _cleft(m, drops, arc[side], crotch)
        for bridge in ends:
            _carve(m, drops[: crotch + 1], result[side, : crotch + 1], sign, bridge)
        _part(m, drops, result[side], within[side], outer[side], inner[side], sign, ends)
    middle = result[:, : crotch + 1, [0, -1], 1].mean(0)  # the centre lines are one line
    result[:, : crotch + 1, [0, -1], 1] = middle
    wall = np.linspace(0.0, 1.0, inner.shape[2])
    within[:, 0, :, 1] = middle[-1, 1] * (1 - wall) + middle[-1, 0] * wall
    return result, within


def _bridge(m: Measures, drops: Array, outer: Array, inner: Array, sign: float, end: int) -> _Bridge:
    """Read off the leg under the seat."""
    row = int(np.argmin(np.abs(drops - m.under_seat_drop)))
    leg, inside = outer[row] * [sign, 1, 1], inner[row - (len(drops) - len(inner))] * [sign, 1, 1]
    out = 1.0 if end == 0 else -1.0
    furthest = int(np.argmax(out * leg[:, 1]))
    line = leg[furthest::-1] if end == 0 else leg[furthest:]
    onward = inside[::-1] if end == 0 else inside
    line = np.concatenate([line, onward[1 : int(np.argmin(onward[:, 0])) + 1]])
    x = np.minimum.accumulate(line[:, 0])
    keep = np.concatenate([[True], np.diff(x) < -1e-9])
    return _Bridge(end, out, x[keep][::-1], out * (line[0, 1] - line[keep, 1])[::-1], furthest)


def _cleft(m: Measures, drops: Array, arc: Array, crotch: int) -> Array:
    """The cleft of the seat, from above its fullest to the crotch (L, K)."""
    scale = m.hip / 1000.0
    seat = 0.75 * (m.hip_drop - m.high_hip_drop)
    # narrow enough that the tape, which bridges it, reads the same to a tenth of a millimetre
    width = scale * (8 + 5 * ease((drops - m.hip_drop) / (m.crotch_drop - m.hip_drop)))
    depth = 20 * scale * ease((drops - m.hip_drop + seat) / (seat + m.crotch_drop - m.hip_drop))
    depth[crotch + 1 :] = 0.0
    return np.asarray(depth[:, None] * np.exp(-(((arc - arc[:, -1:]) / width[:, None]) ** 2)))


def _carve(m: Measures, drops: Array, result: Array, sign: float, bridge: _Bridge) -> None:
    """Bring the skin above the crotch to the shape of the legs, in a valley that narrows upward; in place."""
    top = m.crotch_drop - REACH[bridge.end] * (m.crotch_drop - m.hip_drop)
    grown = np.clip((drops - top) / (m.crotch_drop - top), 0.0, 1.0)[:, None]
    y = result[..., 1]
    middle = y[:, [0, -1]].mean(axis=1, keepdims=True)
    half = np.arange(result.shape[1]) <= result.shape[1] // 2
    mine = half if bridge.end == 0 else ~half
    # only where a taut outline is flat: the tape and the silhouettes read the same over the valley
    furthest = (bridge.out * y).max(axis=1, keepdims=True)
    scale = m.hip / 1000.0
    low = scale * (FLAT + SOFT * ease((drops - m.hip_drop) / (m.crotch_drop - m.hip_drop)))[:, None]
    flat = np.where(mine & (bridge.out * y > furthest - low), sign * result[..., 0], 0.0).max(axis=1, keepdims=True)
    wide = np.minimum(flat, bridge.x[-1] * (NARROWEST + (1 - NARROWEST) * grown)) + scale
    wide = np.minimum.accumulate(wide[::-1])[::-1]  # a valley only opens on its way down
    x = sign * result[..., 0] * bridge.x[-1] / wide
    depth = np.where(mine & (x < bridge.x[-1]), np.interp(x, bridge.x, bridge.depth), 0.0)
    depth = np.minimum(depth, STEEPEST * wide)
    room = np.maximum(bridge.out * (y - middle) - WALL * scale, 0.0)
    cut = np.minimum(ease(grown) * depth, room)
    down = FALL * drops[:, None]  # the skin goes back no faster than this on its way down: no roof under the crotch
    y -= bridge.out * (np.minimum.accumulate(cut - down, axis=0) + down)


def _part(
    m: Measures,
    drops: Array,
    result: Array,
    within: Array,
    outer: Array,
    inner: Array,
    sign: float,
    ends: list[_Bridge],
) -> None:
    """Below the crotch the legs themselves, which part from the wall between them; in place."""
    crotch = len(drops) - len(inner)
    under = int(np.argmin(np.abs(drops - m.under_seat_drop)))
    rows = slice(crotch, under)
    below = drops[rows, None, None] - m.crotch_drop
    left = 1 - ease(below / (BLENDED * (m.knee_drop - m.crotch_drop)))
    joined = 1 - ease(below / (PARTED * (m.under_seat_drop - m.crotch_drop)))
    bridged = _bridge_like(outer[crotch], outer[under], ends)
    for grid, whole, first, change, top in (
        (result, outer, crotch, outer[under] - bridged, result[crotch]),
        (
            within,
            inner,
            0,
            inner[under - crotch] - _wall(bridged, inner.shape[1]),
            _wall(result[crotch], inner.shape[1]),
        ),
    ):
        change[:, 2] = 0.0
        span = slice(first, first + under - crotch)
        grid[span] = whole[span] + left * change + joined * (top - whole[first] - change)
    for bridge in ends:
        _along_the_leg(result, within, rows, crotch, sign, bridge)
    within[: under - crotch, [0, -1]] = result[rows][:, [-1, 0]]


def _along_the_leg(result: Array, within: Array, rows: slice, crotch: int, sign: float, bridge: _Bridge) -> None:
    """Keep the parting skin on the curve of the leg, which the straight way would cut short; in place."""
    columns = slice(0, bridge.furthest + 1) if bridge.end == 0 else slice(bridge.furthest, None)
    part = result[rows, columns]
    edge = part[:, [-1 if bridge.end == 0 else 0], 1]
    y = edge - bridge.out * np.interp(sign * part[..., 0], bridge.x, bridge.depth)
    moved = np.where(bridge.out * (y - part[..., 1]) > 0, y - part[..., 1], 0.0)
    moved[0] = 0.0
    part[..., 1] += moved
    inside = within[: rows.stop - crotch]
    run = np.linspace(0.0, 1.0, inside.shape[1])
    inside[..., 1] += moved[:, [0 if bridge.end == 0 else -1]] * (run if bridge.end == 0 else 1 - run) ** 3


def _wall(row: Array, count: int) -> Array:
    run = np.linspace(0.0, 1.0, count)[:, None]
    return np.asarray(row[-1] * (1 - run) + row[0] * run)


def _bridge_like(like: Array, leg: Array, ends: list[_Bridge]) -> Array:
    """The taut outline round both legs where ``leg`` (K, 3) is one of them, its columns spread as ``like`` has them."""
    built = leg.copy()
    for bridge in ends:
        on = slice(0, bridge.furthest) if bridge.end == 0 else slice(bridge.furthest + 1, None)
        built[on, 0] = leg[bridge.furthest, 0] * like[on, 0] / like[bridge.furthest, 0]
        built[on, 1] = leg[bridge.furthest, 1]
    return built
