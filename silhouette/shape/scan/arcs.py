"""Taut outlines drawn as arcs of a body: front → side → back of a half or of a leg, and back → front within the leg."""

from __future__ import annotations

from typing import Final

import numpy as np

from silhouette.shape.curves import Array, along
from silhouette.shape.learnt import ease
from silhouette.shape.scan.slices import TornMeshError, hull

MIRROR: Final = np.array([-1.0, 1.0])
TURN: Final = np.radians(32.0)  #: how far the outer arc of a leg runs past its front and back, at the knee
TURN_MORE: Final = np.radians(21.0)  #: and so much further at the crotch, where the inner arcs are to be short
#: where the side seam runs: share of the depth from the front, at waist, hip, crotch, mid-thigh, knee
SEAM_LEVELS: Final = (0.0, 1.0, 2.0, 2.1, 3.0)
SEAM_SHARES: Final = (0.5, 0.48, 0.48, 0.49, 0.5)
DENSE: Final = 720  #: points on a leg while its arcs are drawn
ON_IT: Final = 0.5  #: mm; nearer than this a leg lies on the outline round both


def halves_of_outline(outline: Array, level: float, points: int) -> tuple[Array, Array]:
    """Left and right half (K, 2) of a convex counter-clockwise outline (N, 2), both drawn as left ones.

    ``level`` is 0 at the waist, 1 at the hip, 2 at the crotch, 3 at the knee. Raises ``TornMeshError`` where the
    outline lies on one side of the mid-plane.
    """
    built = []
    for corners in (outline, (outline * MIRROR)[::-1]):
        built.append(seamed(_half(corners), level, points))
    return built[0], built[1]


def _half(corners: Array) -> Array:
    """The part x ≥ 0 of a convex counter-clockwise outline, from front to back."""
    following = np.roll(corners, -1, axis=0)
    crossing = np.flatnonzero((corners[:, 0] > 0) != (following[:, 0] > 0))
    if len(crossing) != 2:
        raise TornMeshError("lies wholly to one side of the middle of her legs")
    here, spot = corners[crossing], following[crossing]
    met = here + (here[:, :1] / (here[:, :1] - spot[:, :1])) * (spot - here)
    back, front = (0, 1) if met[0, 1] < met[1, 1] else (1, 0)
    count = (crossing[front] - crossing[back]) % len(corners)
    run = (crossing[back] + 1 + np.arange(count)) % len(corners)
    arc = np.concatenate([met[[back]], corners[run], met[[front]]])[::-1].copy()
    arc[[0, -1], 0] = 0.0
    return arc


def seamed(arc: Array, level: float, points: int) -> Array:
    """An arc from front to back with its middle column on the side seam, the others even in length either side."""
    shares = _shares(_seam(arc, level), points)
    return at_shares(arc, shares)


def _seam(arc: Array, level: float) -> float:
    """Where the side seam cuts an arc, as a share of its length."""
    y = arc[:, 1]
    height = y.max() - np.interp(level, SEAM_LEVELS, SEAM_SHARES) * np.ptp(y)
    k = np.flatnonzero((y[:-1] - height) * (y[1:] - height) <= 0)
    share = np.divide(y[k] - height, y[k] - y[k + 1], out=np.zeros(len(k)), where=y[k] != y[k + 1])
    outermost = int(np.argmax(arc[k, 0] + share * (arc[k + 1, 0] - arc[k, 0])))
    run = along(arc)
    i = k[outermost]
    return float((run[i] + share[outermost] * (run[i + 1] - run[i])) / run[-1])


def _shares(seam: float, points: int) -> Array:
    half = points // 2 + 1
    return np.concatenate([np.linspace(0, seam, half), np.linspace(seam, 1, half)[1:]])


def at_shares(arc: Array, shares: Array) -> Array:
    """Points at shares of the length of an open polyline."""
    run = along(arc)
    return np.stack([np.interp(shares * run[-1], run, arc[:, i]) for i in (0, 1)], axis=1)


def leg_arcs(leg: Array, level: float, points: int, inner_points: int) -> tuple[Array, Array]:
    """Outer (K, 2) and inner (J, 2) arc of a convex leg outline to the left; they meet past its front and back."""
    low, high = leg.min(0), leg.max(0)
    dense = at_shares(np.concatenate([leg, leg[:1]]), np.linspace(0, 1, DENSE, endpoint=False))
    away = (dense - (low + high) / 2) / ((high - low) / 2)
    angle = np.arctan2(away[:, 0], away[:, 1])  # 0 in front, growing to the outer side
    order = np.argsort(angle)
    ring, turned = dense[order], angle[order]
    full = 2 * np.pi
    ring = np.concatenate([ring, ring, ring])
    turned = np.concatenate([turned - full, turned, turned + full])
    past = TURN + TURN_MORE * (1 - float(ease((level - 2) / 0.45)))

    def cut(first: float, last: float) -> Array:
        angles = np.concatenate([[first], turned[(turned > first) & (turned < last)], [last]])
        return np.stack([np.interp(angles, turned, ring[:, i]) for i in (0, 1)], axis=1)

    outer, inner = cut(-past, np.pi + past), cut(np.pi + past, full - past)
    shares = _shares(_seam(outer, level), points)
    if level < 2.3:
        round_both = seamed(_half(hull(np.concatenate([leg, leg * MIRROR]))), level, points)
        shares = _matched(outer, shares, round_both, float(ease((level - 2) / 0.3)))
    return at_shares(outer, shares), at_shares(inner, np.linspace(0, 1, inner_points))


def _matched(arc: Array, even: Array, like: Array, share: float) -> Array:
    """Columns of a leg's outer arc where those of the outline round both legs lie on it (share 0), or even ones (1)."""
    fine = np.linspace(0, 1, 801)
    dense = at_shares(arc, fine)
    near = (like[:, :1] - dense[:, 0]) ** 2
    near += (like[:, 1:] - dense[:, 1]) ** 2
    place, on = fine[near.argmin(1)], near.min(1) < ON_IT**2
    seam = len(even) // 2
    place[seam] = even[seam]
    first = last = seam
    while first > 0 and on[first - 1] and place[first - 1] < place[first]:
        first -= 1
    while last < len(even) - 1 and on[last + 1] and place[last + 1] > place[last]:
        last += 1
    first, last = min(first + 1, seam), max(last - 1, seam)
    place[: first + 1] = np.linspace(0, place[first], first + 1)
    place[last:] = np.linspace(place[last], 1, len(even) - last)
    return np.asarray((1 - share) * place + share * even)
