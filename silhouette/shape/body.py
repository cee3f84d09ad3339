"""The body from waist to knee: two tubes of constant topology, lofted from tape girths.

Each half has, per level, an outer arc (centre front over the side to centre back) and, below the crotch, an
inner arc (centre back to centre front). At the crotch both inner arcs lie in the mid-plane and share their
vertices; below it they part. No boolean operation, so the skin is watertight by construction.

Shape conventions, matched to open body surfaces (stature 168 cm): section exponents 2.1–2.5; the seat stands
4–5 cm behind the back waist and comes back 5–6 cm under it; the front moves less than 2 cm from waist to hip.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from silhouette.shape.curves import Array, along, monotone, perimeter, section
from silhouette.shape.measures import Measures

LEVELS: Final = 81
ARC_POINTS: Final = 97  #: on one outer arc; both halves share the centre lines: 192 round the body
INNER_POINTS: Final = 49
EXPONENT: Final = {"waist": 2.2, "high_hip": 2.25, "hip": 2.3, "crotch": 2.7, "under_seat": 2.9}
FRONT_SHARE: Final = {"waist": 0.5, "high_hip": 0.48, "hip": 0.47, "crotch": 0.47, "under_seat": 0.48}
LEG_EXPONENT: Final = 2.1
LEG_TURN: Final = np.radians(32.0)  #: how far the outer arc of a leg runs past front and back


@dataclass(frozen=True, eq=False)
class Body:
    """A lofted body, mm. Index 0 of a leading axis of 2 is the wearer's left.

    drops   (L,) ascending levels below the waist
    outer   (2, L, K, 3) outer arcs, centre front → side → centre back
    inner   (2, M, J, 3) inner arcs of the last M levels, back → front; row 0 lies in the mid-plane
    normals (2, L, K, 3) outward unit normals on the outer arcs
    arc     (L, K) distance from the side seam along the arc, positive to the front
    """

    measures: Measures
    drops: Array
    outer: Array
    inner: Array
    normals: Array
    arc: Array

    @property
    def seam(self) -> int:
        """Column of the side seam."""
        return (self.outer.shape[2] - 1) // 2

    @property
    def crotch(self) -> int:
        """Row of the crotch level."""
        return len(self.drops) - self.inner.shape[1]


@lru_cache(maxsize=8)
def _angles(points: int) -> Array:
    return np.linspace(0.0, np.pi, points)


def unit_girth(ratio: float, level: str, points: int = ARC_POINTS) -> float:
    """Girth of a section of breadth 1 and depth ``ratio``, as the body's own polygon has it."""
    half = section(_angles(points), 1.0, ratio, FRONT_SHARE[level], EXPONENT[level])[0]
    return float(2 * along(half)[-1])


@dataclass(frozen=True)
class _Knots:
    """Sections at the named levels that the loft runs through."""

    torso: Array  #: (5, 5) breadth, front y, back y, front share, exponent; waist … under the seat
    leg: Array  #: (4, 4) breadth, depth, centre x, centre y; crotch, under the seat, mid-thigh, knee


def _knots(m: Measures, points: int) -> _Knots:
    hip_b = m.hip / unit_girth(m.hip_ratio, "hip", points)
    waist_b = m.waist / unit_girth(m.waist_ratio, "waist", points)
    share = m.high_hip_drop / m.hip_drop
    high_ratio = m.waist_ratio + share * (m.hip_ratio - m.waist_ratio)
    high_b = m.high_hip / unit_girth(high_ratio, "high_hip", points)
    hip_d, waist_d, high_d = hip_b * m.hip_ratio, waist_b * m.waist_ratio, high_b * high_ratio

    seat = 0.6 * (hip_d - waist_d) + 0.055 * hip_d  # how far the seat stands behind the back waist
    back = np.array([-waist_d / 2, -waist_d / 2 - 0.5 * seat, -waist_d / 2 - seat])
    front = back + [waist_d, high_d, hip_d]

    thigh_b, thigh_d = _leg_size(m.thigh, 1.08, points)
    knee_b, knee_d = _leg_size(m.knee, 1.06, points)
    mid_b, mid_d = _leg_size(m.knee + 0.58 * (m.thigh - m.knee), 1.03, points)
    gap = 0.006 * m.thigh
    under_front = front[2] - 0.27 * (hip_d - thigh_d)
    under_back = under_front - thigh_d
    crotch_front = front[2] + 0.55 * (under_front - front[2])
    crotch_back = back[2] + 0.38 * (under_back - back[2])
    both = 2 * thigh_b + gap
    crotch_b = hip_b + 0.55 * (both - hip_b)

    torso = np.array(
        [
            [waist_b, front[0], back[0], FRONT_SHARE["waist"], EXPONENT["waist"]],
            [high_b, front[1], back[1], FRONT_SHARE["high_hip"], EXPONENT["high_hip"]],
            [hip_b, front[2], back[2], FRONT_SHARE["hip"], EXPONENT["hip"]],
            [crotch_b, crotch_front, crotch_back, FRONT_SHARE["crotch"], EXPONENT["crotch"]],
            [both, under_front, under_back, FRONT_SHARE["under_seat"], EXPONENT["under_seat"]],
        ]
    )
    thigh_x, thigh_y = (thigh_b + gap) / 2, (under_front + under_back) / 2
    knee_x = max(0.86 * thigh_x, knee_b / 2 + gap)
    mid_x = max((thigh_x + knee_x) / 2, mid_b / 2 + gap)
    crotch_d = 0.96 * (crotch_front - crotch_back)
    crotch_y = crotch_front - crotch_d / 2 - 0.01 * hip_d
    leg = np.array(
        [
            [1.02 * thigh_b, crotch_d, (1.02 * thigh_b + gap) / 2, crotch_y],
            [thigh_b, thigh_d, thigh_x, thigh_y],
            [mid_b, mid_d, mid_x, thigh_y + 0.005 * hip_d],
            [knee_b, knee_d, knee_x, thigh_y - 0.035 * hip_d],
        ]
    )
    return _Knots(torso, leg)


def _leg_size(girth: float, ratio: float, points: int) -> tuple[float, float]:
    breadth = girth / _unit_leg_girth(ratio, points)
    return breadth, breadth * ratio


@lru_cache(maxsize=64)
def _unit_leg_girth(ratio: float, points: int) -> float:
    outer, inner = _leg_units(points)
    return float(perimeter(np.concatenate([outer, inner[1:-1]]) * [1.0, ratio]))


@lru_cache(maxsize=8)
def _leg_units(points: int) -> tuple[Array, Array]:
    """Outer and inner arc of a leg of breadth and depth 1."""
    outer = np.linspace(-LEG_TURN, np.pi + LEG_TURN, points)
    inner = np.linspace(np.pi + LEG_TURN, 2 * np.pi - LEG_TURN, INNER_POINTS)
    both = [section(angles, 1.0, 1.0, 0.5, LEG_EXPONENT)[0] for angles in (outer, inner)]
    return both[0], both[1]


def levels_of(m: Measures, count: int = LEVELS) -> Array:
    """``count`` levels from waist to knee, every named level among them, closer together about the crotch."""
    knots = np.array(m.drops)
    weight = np.diff(knots) * np.array([1.0, 1.0, 1.0, 2.0, 0.6])
    steps = np.maximum(2, np.floor(weight / weight.sum() * (count - 1)).astype(int))
    while steps.sum() != count - 1:
        density = weight / steps
        if steps.sum() < count - 1:
            steps[np.argmax(density)] += 1
        else:
            steps[np.argmin(np.where(steps > 2, density, np.inf))] -= 1
    parts = [np.linspace(a, b, n, endpoint=False) for a, b, n in zip(knots, knots[1:], steps, strict=False)]
    return np.concatenate([*parts, knots[-1:]])


def build_body(m: Measures, levels: int = LEVELS, points: int = ARC_POINTS) -> Body:
    """Loft the body through its measurements.

    ``levels`` at least 11, ``points`` odd. The tape girth is that of the measurements at every named level.
    """
    drops = levels_of(m, levels)
    knots = _knots(m, points)
    angles = _angles(points)
    crotch = int(np.searchsorted(drops, m.crotch_drop - 1e-9))
    seat = int(np.searchsorted(drops, m.under_seat_drop - 1e-9))

    breadth, front, back, share, exponent = monotone(m.drops[:5], knots.torso, drops[: seat + 1]).T
    torso = section(angles, breadth, front - back, share, exponent)
    torso[..., 1] += (front - share * (front - back))[:, None]
    torso[:, [0, -1], 0] = 0.0

    mid = (m.under_seat_drop + m.knee_drop) / 2
    lb, ld, cx, cy = monotone([m.crotch_drop, m.under_seat_drop, mid, m.knee_drop], knots.leg, drops[crotch:]).T
    centre = np.stack([cx, cy], axis=-1)[:, None, :]
    size = np.stack([lb, ld], axis=-1)[:, None, :]
    leg_unit, inner_unit = _leg_units(points)
    leg = leg_unit * size + centre
    inside = inner_unit * size + centre

    t = np.clip((drops[crotch:] - m.crotch_drop) / (m.under_seat_drop - m.crotch_drop), 0.0, 1.0)
    blend = (t**3 * (10 - 15 * t + 6 * t**2))[:, None, None]
    torso_tail = torso[np.minimum(np.arange(crotch, len(drops)), seat)]
    lower = (1 - blend) * torso_tail + blend * leg
    run = np.linspace(0.0, 1.0, INNER_POINTS)[:, None]
    wall = torso_tail[:, -1:, :] * (1 - run) + torso_tail[:, :1, :] * run
    inner = (1 - blend) * wall + blend * inside
    inner[:, [0, -1]] = lower[:, [-1, 0]]

    flat = np.concatenate([torso[:crotch], lower])
    outer_pair, inner_pair = _pair(flat, drops), _pair(inner, drops[crotch:])
    run_along = along(flat)
    seam = (points - 1) // 2
    normals = _normals(flat, drops, crotch)
    return Body(
        measures=m,
        drops=drops,
        outer=outer_pair,
        inner=inner_pair,
        normals=normals,
        arc=run_along[:, seam : seam + 1] - run_along,
    )


def _pair(left: Array, drops: Array) -> Array:
    """Left arcs (L, K, 2) at their levels and their mirror image → (2, L, K, 3)."""
    pair = np.empty((2, *left.shape[:2], 3))
    pair[..., 2] = -drops[:, None]
    pair[0, ..., :2] = left
    pair[1, ..., 0] = -left[..., 0]
    pair[1, ..., 1] = left[..., 1]
    return pair


def _normals(left: Array, drops: Array, crotch: int) -> Array:
    """Outward unit normals of both outer arcs (2, L, K, 3), from central differences of the left (L, K, 2)."""
    across = np.empty_like(left)
    across[:, 1:-1] = left[:, 2:] - left[:, :-2]
    across[:, 0] = -3 * left[:, 0] + 4 * left[:, 1] - left[:, 2]
    across[:, -1] = 3 * left[:, -1] - 4 * left[:, -2] + left[:, -3]
    down = np.empty_like(left)  # change of x and y per mm of drop
    step = np.diff(drops)[:, None, None]
    rate = np.diff(left, axis=0) / step
    down[1:-1] = (rate[:-1] * step[1:] + rate[1:] * step[:-1]) / (step[:-1] + step[1:])
    down[0], down[-1] = rate[0], rate[-1]
    # (across.x, across.y, 0) × (down.x, down.y, -1), turned outward and written out
    normals = np.empty((2, *left.shape[:2], 3))
    nx, ny = -across[..., 1], across[..., 0].copy()
    nz = down[..., 1] * across[..., 0] - down[..., 0] * across[..., 1]
    nx[: crotch + 1, [0, -1]] = 0.0
    size = np.sqrt(nx**2 + ny**2 + nz**2)
    normals[0, ..., 0], normals[0, ..., 1], normals[0, ..., 2] = nx / size, ny / size, nz / size
    normals[1] = normals[0]
    normals[1, ..., 0] *= -1
    return normals
