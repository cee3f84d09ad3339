"""The body from waist to knee: two tubes of constant topology, lofted from tape girths.

Each half has, per level, an outer arc (centre front over the side to centre back) and, below the crotch, an
inner arc (centre back to centre front). At the crotch both inner arcs lie in the mid-plane and share their
vertices; below it they part. No boolean operation, so the skin is watertight by construction.

Shape conventions, matched to open body surfaces (stature 168 cm): section exponents 2.1–2.5; the seat stands
4–5 cm behind the back waist and comes back 5–6 cm under it; the front moves less than 2 cm from waist to hip.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Final

import numpy as np

from silhouette.shape.curves import Array, along, monotone, perimeter
from silhouette.shape.measures import Measures
from silhouette.shape.sections import ARC_POINTS, EXPONENT, FRONT_SHARE, arc_angles, section, unit_girth

LEVELS: Final = 81
INNER_POINTS: Final = 49
LEG_EXPONENT: Final = 2.0
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

    @cached_property
    def skin(self) -> tuple[Array, Array]:
        """Outer (2, L, K, 3) and inner (2, M, J, 3) arcs as the eye sees them: with the soft valleys at the centre
        front and back that a taut tape, a pad and cloth bridge. They lie inside the arcs everything is measured on.
        """
        return _with_valleys(self)

    @property
    def seam(self) -> int:
        """Column of the side seam."""
        return int((self.outer.shape[2] - 1) // 2)

    @property
    def crotch(self) -> int:
        """Row of the crotch level."""
        return int(len(self.drops) - self.inner.shape[1])


@dataclass(frozen=True)
class _Knots:
    """Sections at the named levels that the loft runs through."""

    torso: Array  #: (5, 5) breadth, front y, back y, front share, exponent; waist … under the seat
    leg: Array  #: (5, 4) breadth, depth, centre x, centre y; hip, crotch, under the seat, mid-thigh, knee


def _knots(m: Measures, points: int) -> _Knots:
    hip_b = m.hip / unit_girth(m.hip_ratio, "hip", points)
    waist_b = m.waist / unit_girth(m.waist_ratio, "waist", points)
    share = m.high_hip_drop / m.hip_drop
    high_ratio = m.waist_ratio + share * (m.hip_ratio - m.waist_ratio)
    high_b = m.high_hip / unit_girth(high_ratio, "high_hip", points)
    hip_d, waist_d, high_d = hip_b * m.hip_ratio, waist_b * m.waist_ratio, high_b * high_ratio

    seat = 0.6 * (hip_d - waist_d) + 0.055 * hip_d  # how far the seat stands behind the back waist
    back = np.array([-waist_d / 2, -waist_d / 2 - 0.5 * seat, -waist_d / 2 - seat])
    front = back + np.array([waist_d, high_d, hip_d])

    thigh_b, thigh_d = _leg_size(m.thigh, 1.06, points)
    knee_b, knee_d = _leg_size(m.knee, 1.06, points)
    mid_b, mid_d = _leg_size(m.knee + 0.58 * (m.thigh - m.knee), 1.03, points)
    gap = 0.006 * m.thigh
    under_front = front[2] - 0.33 * (hip_d - thigh_d)
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
    crotch_d = 0.90 * (crotch_front - crotch_back)
    crotch_y = crotch_front - crotch_d / 2 - 0.02 * hip_d
    leg = np.array(
        [
            [0.49 * hip_b, 0.9 * hip_d, 0.25 * hip_b, 0.48 * front[2] + 0.52 * back[2]],
            [thigh_b, crotch_d, thigh_x, crotch_y],
            [thigh_b, thigh_d, thigh_x, thigh_y],
            [mid_b, mid_d, mid_x, thigh_y + 0.005 * hip_d],
            [knee_b, knee_d, knee_x, thigh_y - 0.035 * hip_d],
        ]
    )
    return _Knots(torso, leg)


def _ease(t: Array) -> Array:
    """0 to 1 with no slope or bend at either end."""
    t = np.clip(t, 0.0, 1.0)
    return np.asarray(t**3 * (10 - 15 * t + 6 * t * t))


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
    angles = arc_angles(points)
    crotch = int(np.searchsorted(drops, m.crotch_drop - 1e-9))
    seat = int(np.searchsorted(drops, m.under_seat_drop - 1e-9))

    breadth, front, back, share, exponent = monotone(m.drops[:5], knots.torso, drops[: seat + 1]).T
    torso = section(angles, breadth, front - back, share, exponent)
    torso[..., 1] += (front - share * (front - back))[:, None]
    torso[:, [0, -1], 0] = 0.0

    mid = (m.under_seat_drop + m.knee_drop) / 2
    hip = int(np.searchsorted(drops, m.hip_drop - 1e-9))
    at = [m.hip_drop, m.crotch_drop, m.under_seat_drop, mid, m.knee_drop]
    lb, ld, cx, cy = monotone(at, knots.leg, drops[hip:]).T
    centre = np.stack([cx, cy], axis=-1)[:, None, :]
    size = np.stack([lb, ld], axis=-1)[:, None, :]
    leg_unit, inner_unit = _leg_units(points)
    leg = leg_unit * size + centre
    inside = (inner_unit * size + centre)[crotch - hip :]

    # the centre lines part at the crotch; the sides take up the legs' shape from the hip line on
    begin = m.crotch_drop - (m.crotch_drop - m.hip_drop) * _ease(np.minimum(angles, angles[::-1]) / (np.pi / 4))
    blend = _ease((drops[hip:, None] - begin) / (m.under_seat_drop - begin))[..., None]
    torso_tail = torso[np.minimum(np.arange(hip, len(drops)), seat)]
    lower = (1 - blend) * torso_tail + blend * leg
    run = np.linspace(0.0, 1.0, INNER_POINTS)[:, None]
    wall = torso_tail[crotch - hip :, -1:, :] * (1 - run) + torso_tail[crotch - hip :, :1, :] * run
    parted = blend[crotch - hip :, :1]
    inner = (1 - parted) * wall + parted * inside
    inner[:, [0, -1]] = lower[crotch - hip :, [-1, 0]]

    flat = np.concatenate([torso[:hip], lower])
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


def _with_valleys(body: Body) -> tuple[Array, Array]:
    m = body.measures
    drops = body.drops
    scale = m.hip / 1000.0

    def rise(start: float, end: float) -> Array:
        return _ease((drops - start) / (end - start))

    fade = 1 - rise(m.crotch_drop, m.under_seat_drop)
    seat = m.hip_drop - m.high_hip_drop
    # narrow enough that the tape, which bridges them, reads the same to a tenth of a millimetre
    cleft = 8 + 5 * rise(m.hip_drop, m.crotch_drop)
    ends = []
    for end, turned, depth, width in (
        # front: a shallow valley where the thighs begin
        (0, -1.0, 11 * scale * rise(m.crotch_drop - 70, m.crotch_drop), np.full(len(drops), 13 * scale)),
        # back: the cleft, from above the fullest seat, wider towards the thighs
        (-1, 1.0, 22 * scale * rise(m.hip_drop - 0.75 * seat, m.crotch_drop + 10), scale * cleft),
    ):  # fmt: skip
        away = np.abs(body.arc - body.arc[:, [end]]) / width[:, None]
        ends.append(turned * (depth * fade)[:, None] * np.exp(-(away**2)))
    shift = ends[0] + ends[1]
    outer, inner = body.outer.copy(), body.inner.copy()
    outer[..., 1] += shift
    run = np.linspace(0.0, 1.0, inner.shape[2])
    low = shift[body.crotch :]
    inner[..., 1] += low[:, [-1]] * (1 - run) + low[:, [0]] * run
    return outer, inner


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
    step = np.diff(drops)[:, None]
    grow, shrink = step[1:] / (step[:-1] + step[1:]), step[:-1] / (step[:-1] + step[1:])
    across, down = [], []
    for plane in (left[..., 0].copy(), left[..., 1].copy()):
        a, d = np.empty_like(plane), np.empty_like(plane)
        np.subtract(plane[:, 2:], plane[:, :-2], out=a[:, 1:-1])
        a[:, 0] = -3 * plane[:, 0] + 4 * plane[:, 1] - plane[:, 2]
        a[:, -1] = 3 * plane[:, -1] - 4 * plane[:, -2] + plane[:, -3]
        rate = np.diff(plane, axis=0) / step  # change per mm of drop
        d[1:-1] = rate[:-1] * grow + rate[1:] * shrink
        d[0], d[-1] = rate[0], rate[-1]
        across.append(a)
        down.append(d)
    # (across.x, across.y, 0) × (down.x, down.y, -1), turned outward and written out
    nx, ny = -across[1], across[0]
    nz = down[1] * across[0] - down[0] * across[1]
    nx[: crotch + 1, [0, -1]] = 0.0
    scale = 1 / np.sqrt(nx * nx + ny * ny + nz * nz)
    normals = np.empty((2, *left.shape[:2], 3))
    for axis, part in enumerate((nx, ny, nz)):
        np.multiply(part, scale, out=part)
        normals[0, ..., axis] = part
        normals[1, ..., axis] = -part if axis == 0 else part
    return normals
