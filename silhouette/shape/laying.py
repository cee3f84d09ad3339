"""Flat pads laid on the body: where each place comes to lie, and the way outward from it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from silhouette.shape.body import Body
from silhouette.shape.curves import Array, between, columns_at
from silhouette.shape.draft import FlatPad

#: Points of the body's grid on either side over which the ways outward are evened out, in turn, until foam that
#: bridges a hollow no longer runs into itself.
EVENED: Final = (0, 1, 2, 4, 8, 12)
#: Share of the foam at which the ways outward meet in a hollow that foam may take up.
FILLED: Final = 0.8


@dataclass(frozen=True, eq=False)
class Laid:
    """A flat pad's places on the body, mm: points and unit ways outward (R, C, 3), the foam that each has room for
    (R, C), and the least way left to the centre line; below 0 it runs past."""

    points: Array
    away: Array
    room: Array
    clearance: float


@lru_cache(maxsize=16)
def directions(body: Body, evened: int) -> Array:
    """Outward unit normals (2, L, K, 3), each the mean over ``evened`` points of the body on every side of it."""
    if evened == 0:
        return body.normals
    ring = np.concatenate([body.normals[0], body.normals[1][:, -2:0:-1]], axis=1)
    half = body.normals.shape[2]
    ring[:, [0, half - 1]] = body.normals[:, :, [0, -1]].mean(axis=0)  # on the centre lines neither half alone
    flip = (-np.arange(ring.shape[1])) % ring.shape[1]
    for _ in range(2):  # twice: no corners where a window begins
        tall = np.pad(ring, ((evened, evened), (0, 0), (0, 0)), mode="edge")
        ring = _mean(np.concatenate([tall[:, -evened:], tall, tall[:, :evened]], axis=1), 2 * evened + 1)
    ring /= np.sqrt((ring**2).sum(-1, keepdims=True))
    return np.stack([ring[:, :half], ring[:, flip][:, :half]])


def _mean(grid: Array, width: int) -> Array:
    """Mean over a square window of a grid (R, C, 3), where it fits."""
    total = np.pad(grid, ((1, 0), (1, 0), (0, 0))).cumsum(axis=0).cumsum(axis=1)
    block = total[width:, width:] - total[:-width, width:] - total[width:, :-width] + total[:-width, :-width]
    return np.asarray(block / width**2)


@lru_cache(maxsize=16)
def room_in_hollows(body: Body, evened: int) -> Array:
    """Foam (2, L, K) that can stand at each point of the body before it meets the foam beside it, mm.

    Along an edge of the body's grid the ways outward close in by (Δdirection · Δplace) / Δplace² for each mm.
    """
    away = directions(body, evened)
    room = np.full(away.shape[:3], np.inf)
    for axis in (1, 2):
        step, turn = np.diff(body.outer, axis=axis), np.diff(away, axis=axis)
        closing = -(step * turn).sum(-1) / np.maximum((step**2).sum(-1), 1e-9)
        most = FILLED / np.maximum(closing, 1e-6)
        low = (slice(None),) * axis + (slice(None, -1),)
        high = (slice(None),) * axis + (slice(1, None),)
        room[low] = np.minimum(room[low], most)
        room[high] = np.minimum(room[high], most)
    return room


def on_body(flat: FlatPad, body: Body, side: int, sign: float, evened: int = 0) -> Laid:
    """A flat pad laid on the body.

    Where a pad is wider than the way from the seam to the centre line, it goes on over the other half.
    ``evened`` tells over how many points about each the directions are evened out. Raises ``ValueError`` where there
    is nothing to lie on.
    """
    seam = body.seam
    cut = slice(seam, None, -1) if sign > 0 else slice(seam, None)
    arc = sign * body.arc[side][:, cut]
    room = arc[:, -1]
    free = np.interp(flat.outline[:, 1], body.drops, room) - flat.outline[:, 0]
    grids = body.outer, directions(body, evened), room_in_hollows(body, evened)[..., None]
    points = np.concatenate([grid[side][:, cut] for grid in grids], axis=-1)
    below = flat.outline[:, 1] > body.drops[body.crotch]
    if free.min() < 0:
        if free[below].min(initial=0.0) < 0:
            raise ValueError("runs round the leg below the crotch")
        turn, other = slice(-2, None, -1), 1 - side
        along = sign * body.arc[other][:, cut]
        arc = np.concatenate([arc, room[:, None] + along[:, -1:] - along[:, turn]], axis=1)
        beyond = np.concatenate([grid[other][:, cut][:, turn] for grid in grids], axis=-1)
        points = np.concatenate([points, beyond], axis=1)
        if np.any(np.interp(flat.outline[:, 1], body.drops, arc[:, -1]) < flat.outline[:, 0]):
            raise ValueError("wider than the body: it reaches the other side seam")
    drop = flat.drop.ravel()
    upper, down = between(body.drops, drop)
    f = down[:, None]
    laid, foam = np.zeros((len(drop), 6)), np.full(len(drop), np.inf)
    for level, weight in ((upper, 1 - f), (upper + 1, f)):
        index, share = columns_at(arc, level, flat.distance.ravel())
        share = share[:, None]
        near, far = points[level, index], points[level, index + 1]
        laid += weight * (near[:, :6] * (1 - share) + far[:, :6] * share)
        foam = np.minimum(foam, np.minimum(near[:, 6], far[:, 6]))
    laid[:, 3:] /= np.sqrt((laid[:, 3:] ** 2).sum(-1, keepdims=True))
    laid = laid.reshape(*flat.drop.shape, 6)
    clearance = float((free if below.all() else free[~below]).min())
    return Laid(laid[..., :3], laid[..., 3:], foam.reshape(flat.drop.shape), clearance)
