"""Points of a dressed surface on vertical threads, from its support function."""

from __future__ import annotations

from typing import Final

import numpy as np

from silhouette.shape.curves import Array, along, columns_at
from silhouette.shape.support import girth_of
from silhouette.shape.tape import Tape

FINE: Final = 721  #: angles over half a turn, from which threads are spaced


def points_on(tape: Tape, axis: float, seams: tuple[float, float], row: int, columns: int, even: bool = False) -> Array:
    """Points (2, L, columns, 3) where vertical half-planes about the axis x = 0, y = ``axis`` meet the loops.

    ``seams``: the polar angle of the side seam of either half, measured from the wearer's left or right to the front;
    between it and the centre lines the threads are even along the loop of level ``row``. ``even`` mirrors the left.
    """
    loops = corners(tape) - [0.0, axis]
    result = np.empty((2, len(tape.drops), columns, 3))
    result[..., 2] = -tape.drops[:, None]
    for half, side in enumerate((1.0, -1.0)):
        if half and even:
            result[1, ..., :2] = result[0, ..., :2] * [-1.0, 1.0]
            break
        result[half, ..., :2] = _on_rays(loops * [side, 1.0], seams[half], row, columns) * [side, 1.0]
    result[:, :, [0, -1], 0] = 0.0
    result[..., 1] += axis
    return result


def _on_rays(loops: Array, seam: float, row: int, columns: int) -> Array:
    """Points (L, columns, 2) of loops (L, D, 2) round the origin, from the front over x > 0 to the back."""
    turn = np.arctan2(loops[..., 1], loops[..., 0])
    order = np.argsort(turn, axis=1, kind="stable")
    level = np.arange(len(loops))[:, None]
    turn, loops = turn[level, order], loops[level, order]
    fine = np.linspace(np.pi / 2, -np.pi / 2, FINE)
    run = along(_meet(turn[row : row + 1], loops[row : row + 1], fine)[0])
    middle = (columns - 1) // 2
    at = np.interp(-seam, -fine, run)
    even = np.concatenate([np.linspace(0.0, at, middle + 1), np.linspace(at, run[-1], columns - middle)[1:]])
    return _meet(turn, loops, np.interp(even, run, fine))


def _meet(turn: Array, loops: Array, angles: Array) -> Array:
    """Where rays (K,) from the origin meet polygons (L, D, 2) whose corners stand at ascending angles (L, D)."""
    levels, count = len(turn), len(angles)
    row = np.repeat(np.arange(levels), count)
    at, _ = columns_at(turn, row, np.tile(angles, levels))
    start = loops[row, at]
    side = loops[row, at + 1] - start
    ray = np.tile(np.stack([np.cos(angles), np.sin(angles)], axis=-1), (levels, 1))
    across = ray[:, 0] * side[:, 1] - ray[:, 1] * side[:, 0]
    reach = (start[:, 0] * side[:, 1] - start[:, 1] * side[:, 0]) / np.where(across > 1e-12, across, np.inf)
    # a side too short to be crossed: its corner itself
    reach = np.where(across > 1e-12, reach, np.hypot(start[:, 0], start[:, 1]))
    return np.asarray((ray * reach[:, None]).reshape(levels, count, 2))


def corners(tape: Tape) -> Array:
    """The loops of a tape as polygons (L, D, 2) of its own girth, counter-clockwise from the wearer's left.

    Corner k is where the lines square to directions k and k + 1 cross. Lines round a loop enclose a little more than
    it (by a share of tan(d/2)/(d/2) for steps d), so they are moved in by as much.
    """
    step = 2 * np.pi / tape.h.shape[1]
    h = tape.h - girth_of(tape.h)[:, None] * (np.tan(step / 2) / (step / 2) - 1) / (2 * np.pi)
    aside = (np.roll(h, -1, axis=1) - h * np.cos(step)) / np.sin(step)
    cos, sin = np.cos(tape.directions), np.sin(tape.directions)
    return np.stack([h * cos - aside * sin, h * sin + aside * cos], axis=-1)
