"""The dressed surface by the long way, for checks: a convex programme solved by an interior-point method.

Cloth crosses ray i of level l at ``body + s outward``. At rest it minimises

    sum over levels of height x foam energy  +  sum over threads of pull x width x length of the thread

with every loop no longer than it is cut (the multiplier is the hoop's tension) and nothing inside the rigid body.
Lengths of polylines whose corners move on straight lines are convex, and so is foam that stiffens, so there is one
answer. Log barriers for both bounds (Boyd & Vandenberghe 2004, Convex Optimization, ch. 11), Newton steps by a sparse
solver; nothing here is shared with the closed form or with the solver of single hoops.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve

WEIGHT = 0.30  # kg/m², a skirt cloth of middling weight
FIRST = 0.3  # N/m at the hem itself
FOAM_FIRST = 1e5  # barrier weight to begin with where there is foam


@dataclass(frozen=True)
class Net:
    """Rings of rays: ``body`` and ``outward`` (L, P, 2), ``floor`` and ``loose`` (L, P) along them, mm.

    ``inner`` and ``outer`` are the widths of the foam strips at body and loose face, None without foam.
    ``pull`` (L-1,) N/m down the thread between levels, ``width`` (P,) of cloth that each thread stands for.
    """

    drops: np.ndarray
    body: np.ndarray
    outward: np.ndarray
    floor: np.ndarray
    pull: np.ndarray
    width: np.ndarray
    loose: np.ndarray | None = None
    inner: np.ndarray | None = None
    outer: np.ndarray | None = None

    @property
    def heights(self):
        """Height of cloth that each level stands for (L,), mm."""
        step = np.diff(self.drops)
        return (np.append(step, 0) + np.insert(step, 0, 0)) / 2

    def points(self, s):
        return self.body + s[..., None] * self.outward


@dataclass(frozen=True)
class Skin:
    """``s`` (L, P) mm; ``tension`` (L,) N/m; ``length`` (L,) of the loops, mm; ``energy`` in N/m x mm²."""

    s: np.ndarray
    tension: np.ndarray
    length: np.ndarray
    energy: float


def hanging(drops):
    """Pull (L-1,) N/m: the weight of the cloth below, and a little at the hem."""
    middle = (drops[1:] + drops[:-1]) / 2
    return WEIGHT * 9.80665 * (drops[-1] - middle) / 1000 + FIRST


def _spans(net, s):
    """All segments, hoops first: ends (N, 2) as flat indices, lengths (N,), slopes (N, 2), curvatures (N, 2, 2)."""
    levels, points = s.shape
    index = np.arange(levels * points).reshape(levels, points)
    around = np.stack([index, np.roll(index, -1, axis=1)], -1).reshape(-1, 2)
    down = np.stack([index[:-1], index[1:]], -1).reshape(-1, 2)
    ends = np.concatenate([around, down])
    place, out = net.points(s).reshape(-1, 2), net.outward.reshape(-1, 2)
    high = np.repeat(net.drops, points)
    step = place[ends[:, 1]] - place[ends[:, 0]]
    length = np.sqrt((step**2).sum(1) + (high[ends[:, 1]] - high[ends[:, 0]]) ** 2)
    a, b = out[ends[:, 0]], out[ends[:, 1]]
    slope = np.stack([-(step * a).sum(1), (step * b).sum(1)], -1) / length[:, None]
    dots = np.stack([(a * a).sum(1), -(a * b).sum(1), -(a * b).sum(1), (b * b).sum(1)], -1).reshape(-1, 2, 2)
    bend = (dots - slope[:, :, None] * slope[:, None, :]) / length[:, None, None]
    return ends, length, slope, bend


def _foam(net, s, foam):
    """Energy, force and stiffness of the foam per level height, each (L, P)."""
    loose = np.maximum(net.loose, 1e-9)
    strain = np.where(net.loose > 1e-9, np.clip(1 - s / loose, 0, None), 0.0)
    if (strain >= foam.lock).any():
        return np.inf, None, None
    first, second = foam.work(strain)
    stress, slope = foam.stress(strain)
    taper = net.outer - net.inner
    energy = net.loose * (net.outer * first - taper * second)
    width = net.outer - taper * strain
    on = strain > 0
    return energy, -width * stress, on * (width * slope - taper * stress) / loose


def solve(net, cut, foam=None, start=None, gap=1e-9, pinned=True):
    """The skin at rest for loops cut to ``cut`` (L,) mm; ``pinned`` holds the first level on its floor.

    ``start`` (L, P) must lie above the floor and within the cut; the body plus a little when left out. ``gap`` is the
    barrier weight at which it stops, as a share of a thread's force.
    """
    levels, points = net.floor.shape
    soft = np.zeros_like(net.floor, bool) if foam is None else net.loose > 1e-9
    bounded = ~soft
    high, force = net.heights[:, None], np.repeat(net.pull, points) * np.tile(net.width, levels - 1)
    free = np.ones((levels, points), bool)
    free[0] = not pinned
    s = net.floor + 0.02 if start is None else start.copy()
    if pinned:
        s[0] = net.floor[0]
    held = np.ones(levels, bool)
    held[0] = not pinned

    def value(s, weight):
        _, length, _, _ = _spans(net, s)
        room = cut - length[: levels * points].reshape(levels, points).sum(1)
        above = (s - net.floor)[free & bounded]
        if (room[held] <= 0).any() or (above <= 0).any():
            return np.inf
        total = (force * length[levels * points :]).sum()
        if foam is not None:
            energy = _foam(net, s, foam)[0]
            if not np.isfinite(energy).all():
                return np.inf
            total += (high * energy)[soft].sum()
        return total - weight * (np.log(room[held]).sum() + np.log(above).sum())

    last = gap * max(float(force.mean()), 1.0)
    weight = last / gap if foam is None else FOAM_FIRST  # foam pushes hard: the bounds must push back as hard at first
    while weight > last:
        for _ in range(60):
            step, slope = _newton(net, s, cut, foam, weight, (levels, points, high, force, free, soft, held))
            share, here = 1.0, value(s, weight)
            while value(s + share * step, weight) > here + 1e-4 * share * slope and share > 1e-12:
                share /= 2
            s = s + share * step
            if -slope < 1e-9 * weight or share <= 1e-12:
                break
        weight *= 0.2
    _, length, _, _ = _spans(net, s)
    loops = length[: levels * points].reshape(levels, points).sum(1)
    tension = np.where(held, weight / 0.2 / np.maximum(cut - loops, 1e-300) / net.heights, 0.0)
    total = (force * length[levels * points :]).sum()
    if foam is not None:
        total += (high * _foam(net, s, foam)[0])[soft].sum()
    return Skin(s, tension, loops, float(total))


def _newton(net, s, cut, foam, weight, shape):
    levels, points, high, force, free, soft, held = shape
    count = levels * points
    ends, length, slope, bend = _spans(net, s)
    room = cut - length[:count].reshape(levels, points).sum(1)
    pull = np.concatenate([np.repeat(np.where(held, weight / np.where(held, room, 1.0), 0.0), points), force])
    gradient = np.zeros(count)
    np.add.at(gradient, ends, pull[:, None] * slope)
    rows = [np.repeat(ends, 2, axis=1).ravel()]
    columns = [np.tile(ends, 2).ravel()]
    entries = [(pull[:, None, None] * bend).ravel()]
    # each loop's own slope, squared: the whole level meets in it
    lean = np.zeros(count)
    np.add.at(lean, ends[:count], slope[:count])
    lean = lean.reshape(levels, points)
    index = np.arange(count).reshape(levels, points)
    share = np.where(held, weight / np.where(held, room, 1.0) ** 2, 0.0)
    rows.append(np.broadcast_to(index[:, :, None], (levels, points, points)).ravel())
    columns.append(np.broadcast_to(index[:, None, :], (levels, points, points)).ravel())
    entries.append((share[:, None, None] * lean[:, :, None] * lean[:, None, :]).ravel())
    diagonal = np.where(soft, 0.0, weight / np.maximum(s - net.floor, 1e-300) ** 2)
    gradient -= np.where(soft, 0.0, weight / np.maximum(s - net.floor, 1e-300)).ravel() * free.ravel()
    if foam is not None:
        _, push, stiff = _foam(net, s, foam)
        diagonal = diagonal + np.where(soft, high * stiff, 0.0)
        gradient += np.where(soft, high * push, 0.0).ravel()
    diagonal = np.where(free, diagonal + 1e-12, 1.0)
    rows.append(index.ravel())
    columns.append(index.ravel())
    entries.append(diagonal.ravel())
    down, across, values = (np.concatenate(part) for part in (rows, columns, entries))
    keep = (free.ravel()[down] & free.ravel()[across]) | (down == across)
    matrix = coo_matrix((values[keep], (down[keep], across[keep])), shape=(count, count)).tocsc()
    gradient = np.where(free.ravel(), gradient, 0.0)
    step = np.where(free.ravel(), spsolve(matrix, -gradient), 0.0)
    return step.reshape(levels, points), float(gradient @ step)
