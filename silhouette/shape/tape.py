"""What a taut tape reads and an eye sees: the support function of each level, once, as one array."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from silhouette.asked.sheet import Side
from silhouette.shape.body import Body
from silhouette.shape.curves import Array
from silhouette.shape.cuts import at_levels, cuts
from silhouette.shape.pads import Pad, is_mirrored
from silhouette.shape.sides import HALF
from silhouette.shape.support import (
    DIRECTIONS,
    girth_of,
    half_turn,
    products,
    support,
    support_of_pair,
    turn_of,
)


@dataclass(frozen=True, eq=False)
class Tape:
    """Support function h(level, direction) of everything that can be touched, mm.

    drops (L,), directions (D,) in radians from the wearer's left (0) to the front (π/2), h (L, D).
    """

    drops: Array
    directions: Array
    h: Array

    @property
    def girth(self) -> Array:
        """Reading of a taut tape at each level (L,): ∫ h dφ (Cauchy), hollows bridged."""
        return girth_of(self.h)

    def width(self, angle: float) -> Array:
        """Extent (L,) along a direction: breadth at 0, depth at π/2."""
        return self._towards(angle) + self._towards(angle + np.pi)

    def outline_from(self, angle: float) -> Array:
        """Silhouette (L, 2) seen square to ``angle``: signed extents towards angle + π and towards angle.

        Angle 0 is the view from the front or back (right, left), π/2 the side view (back, front).
        """
        return np.stack([-self._towards(angle + np.pi), self._towards(angle)], axis=-1)

    def at(self, drop: float) -> Array:
        """Support function (D,) at any drop, between levels by straight lines."""
        return np.array([np.interp(drop, self.drops, column) for column in self.h.T])

    def girth_at(self, drop: float) -> float:
        """Tape reading at any drop."""
        return float(np.interp(drop, self.drops, self.girth))

    def _towards(self, angle: float) -> Array:
        step = angle / (2 * np.pi) * len(self.directions)
        low = int(np.floor(step + 1e-9))
        share = step - low
        columns = self.h[:, low % len(self.directions)], self.h[:, (low + 1) % len(self.directions)]
        if abs(share) < 1e-9:
            return columns[0]
        # between two directions the support function is a cosine and a sine of the same touching point
        gap = 2 * np.pi / len(self.directions)
        a, b = np.sin((1 - share) * gap) / np.sin(gap), np.sin(share * gap) / np.sin(gap)
        return np.asarray(a * columns[0] + b * columns[1])


def tape_round(body: Body, count: int = DIRECTIONS) -> Tape:
    """Tape over the bare body; below the crotch round both legs, as a skirt meets them."""
    if body.even:
        h = support_of_pair(body.outer[0, :, :, :2], count)
    else:
        h = support(np.concatenate([body.outer[0, :, :, :2], body.outer[1, :, :, :2]], axis=1), count)
    return Tape(body.drops, turn_of(count)[0], h)


def tape_over(bare: Tape, pads: Sequence[Pad]) -> Tape:
    """Tape over body and pads: whatever reaches further."""
    h = bare.h.copy()
    count = h.shape[-1]
    for pad in pads:
        paired = is_mirrored(pad, pads)
        if paired and pad.side == "right":
            continue  # the mirror image of a pad already seen to
        level, cut = cuts(pad, bare.drops)
        if len(level) == 0:
            continue
        order = np.argsort(level, kind="stable")
        level, flat = level[order], np.ascontiguousarray(cut[order, :2].T)
        starts = np.flatnonzero(np.diff(level, prepend=-1))
        rows = level[starts]
        if paired:
            half = half_turn(count)
            np.abs(flat[0], out=flat[0])
            reach = np.maximum.reduceat(products(turn_of(count)[1][:, half[0]], flat), starts, axis=1)[half[1]]
        else:
            reach = np.maximum.reduceat(products(turn_of(count)[1], flat), starts, axis=1)
        h[rows] = np.maximum(h[rows], reach.T)
    return Tape(bare.drops, bare.directions, h)


def leg_girth(
    body: Body, drop: float, pads: Sequence[Pad] = (), count: int = DIRECTIONS * 4, side: Side = "left"
) -> float:
    """Tape round one leg (the wearer's) at a drop below the crotch, mm."""
    half = HALF[side]
    row = int(np.clip(np.searchsorted(body.drops, drop - 1e-9), body.crotch + 1, len(body.drops) - 1))
    f = float(np.clip((drop - body.drops[row - 1]) / (body.drops[row] - body.drops[row - 1]), 0.0, 1.0))
    clouds = [
        grid[i - 1, :, :2] * (1 - f) + grid[i, :, :2] * f
        for grid, i in ((body.outer[half], row), (body.inner[half], row - body.crotch))
    ]
    for pad in pads:
        if pad.side == side:
            _, points, _ = at_levels(pad, np.array([drop]))
            clouds += [p[np.any(p != 0.0, axis=-1)] for p in points]
    return float(girth_of(support(np.concatenate(clouds), count)))
