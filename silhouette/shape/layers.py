"""A pad built of slabs as sold: the edge is carved through all of them, so each slab is smaller than the one below.

Together the slabs make the very shape of one pad of their whole thickness; slab k of n is the part of it between
k − 1 and k thicknesses.
"""

from __future__ import annotations

import numpy as np

from silhouette.shape.curves import Array, along
from silhouette.shape.draft import distance_from, profile_height

Edges = tuple[Array | None, Array | None]  #: free edges of front and back pad (R, 2), distance from the seam positive


def inner_end(profile: str, layer: int, layers: int) -> float:
    """Share of the whole bevel at which slab ``layer`` (1 is the lowest) is full: where the next one begins.

    >>> inner_end("straight", 1, 2), inner_end("rounded", 2, 2)
    (0.5, 1.0)
    """
    if layer <= 0 or layer >= layers:
        return float(layer > 0)
    share = np.linspace(0.0, 1.0, 4001)
    return float(np.interp(layer / layers, profile_height(profile, share), share))


def slab_height(profile: str, share: Array, layer: int = 1, layers: int = 1) -> Array:
    """Height of one slab's carved edge, 0 to 1, where ``share`` = distance from its own edge / its own bevel."""
    if layers == 1:
        return profile_height(profile, share)
    begin, end = inner_end(profile, layer - 1, layers), inner_end(profile, layer, layers)
    whole = profile_height(profile, begin + np.clip(share, 0.0, 1.0) * (end - begin))
    return np.asarray(np.clip(layers * whole - (layer - 1), 0.0, 1.0))


def carved(edge: Array, bevel: float, profile: str, layer: int = 1, layers: int = 1) -> Array:
    """Share of the foam left at a distance from the edge of a slab."""
    if bevel <= 0:
        return np.ones_like(edge)
    return slab_height(profile, edge / bevel, layer, layers)


def set_in(edges: Edges, by: float) -> Edges:
    """Free edges of a sewn pair moved inward by ``by`` mm, tips on the seam.

    Raises ``ValueError`` where the pads leave no room for that.
    """
    front, back = edges
    if by <= 0:
        return edges
    if front is None or back is None:
        raise ValueError("slabs are built on a front and a back pad sewn together: use [[more_pads]] on one alone")
    rim = np.concatenate([front[:-1], (back * [-1.0, 1.0])[:0:-1]])
    down = np.linspace(front[0, 1], front[-1, 1], 801)
    room = distance_from(np.zeros((1, 801)), down[None], rim)[0]
    if room.max() <= by + 1.0:
        raise ValueError("too narrow for so many slabs: a narrower bevel leaves the upper ones room")
    first, last = np.flatnonzero(room >= by)[[0, -1]]
    tips = (
        float(np.interp(by, room[first - 1 : first + 1], down[first - 1 : first + 1])),
        float(np.interp(by, room[last : last + 2][::-1], down[last : last + 2][::-1])),
    )
    return _set_in(front, by, rim, tips), _set_in(back, by, rim * [-1.0, 1.0], tips)


def _set_in(edge: Array, by: float, rim: Array, tips: tuple[float, float]) -> Array:
    run = np.gradient(edge, axis=0)
    run /= np.maximum(np.sqrt((run**2).sum(-1, keepdims=True)), 1e-12)
    moved = edge + by * np.stack([-run[:, 1], run[:, 0]], axis=-1)
    near = distance_from(moved[:, :1], moved[:, 1:], rim)[:, 0]
    kept = (near > by - 0.02 * by - 0.05) & (moved[:, 0] > 0.5) & (moved[:, 1] > tips[0]) & (moved[:, 1] < tips[1])
    line = moved[kept]
    line = line[np.concatenate([[True], np.diff(np.maximum.accumulate(line[:, 1])) > 1e-3])[: len(line)]]
    if len(line) < 5 or line[:, 0].max() < 15.0:
        raise ValueError("too narrow for so many slabs: a narrower bevel leaves the upper ones room")
    line = np.concatenate([[[0.0, tips[0]]], line, [[0.0, tips[1]]]])
    length = along(line)
    turn = np.linspace(0.0, np.pi, len(edge))
    place = (turn / np.pi + (1 - np.cos(turn)) / 2) / 2 * length[-1]  # closer together at the tips
    return np.stack([np.interp(place, length, line[:, k]) for k in (0, 1)], axis=-1)
