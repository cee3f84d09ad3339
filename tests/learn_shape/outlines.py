"""One woman as the table sees her: taut halves and legs at normalised levels, columns either side of the side seam."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from silhouette.shape.curves import CubicThrough, along
from silhouette.shape.learnt import (
    COLUMNS,
    INNER_COLUMNS,
    LEG_LEVELS,
    NAVEL,
    SCALE,
    TRUNK_LEVELS,
    ease,
    normalised,
    scaled,
)
from tests.learn_shape.slices import Landmarks, OddShapeError, Slicer, girth, hull

FLIP = np.array([-1.0, 1.0])
TURN = np.radians(32.0)  #: how far the outer arc of a leg runs past its front and back, at the knee
TURN_MORE = np.radians(21.0)  #: and so much further at the crotch, where the inner arcs are to be short
STANCE = 0.022  #: inner line of the knee off the mid-plane, over the hip girth: everybody stands alike
#: where the side seam runs: share of the depth from the front, at waist, hip, crotch, mid-thigh, knee
SEAM_LEVELS, SEAM_SHARES = [0.0, 1.0, 2.0, 2.1, 3.0], [0.5, 0.48, 0.48, 0.49, 0.5]
FRAYED = 0.25  #: mm²; nearer than half a millimetre is lying on it


@dataclass(frozen=True)
class Outlines:
    """mm; y from the middle of the waist.

    trunk  (24, C, 2) half of the taut outline, or below the crotch of that round both legs
    outer  (17, C, 2) outer arc of a leg, front → side → back
    inner  (17, I, 2) inner arc of a leg, back → front
    """

    trunk: np.ndarray
    outer: np.ndarray
    inner: np.ndarray
    measured: dict[str, float]


def outlines(marks: Landmarks, slices: Slicer) -> Outlines:
    fine = np.linspace(0, marks.waist - marks.knee, 4000)
    level = normalised(fine, marks.waist - marks.hip, marks.waist - marks.crotch, marks.waist - marks.knee)
    at_hip = slices.trunk(marks.hip)
    middle = np.array([(at_hip[:, 0].min() + at_hip[:, 0].max()) / 2, 0.0])
    stand = Stance(girth(at_hip))

    def height(t: float) -> float:
        return float(marks.waist - np.interp(t, level, fine))

    def both_legs(t: float) -> list[np.ndarray]:
        one, other = slices.legs(height(t) if t > 2 else marks.crotch - 0.6)
        return [hull(one - middle), hull((other - middle) * FLIP)]

    stand.knees(np.mean([leg[:, 0].min() for leg in both_legs(3.0)]))
    halves = []
    for t in TRUNK_LEVELS:
        if t <= 2:
            whole = [stand.trunk(slices.trunk(height(t) if t < 2 else marks.crotch + 0.6) - middle, t)]
            whole.append(whole[0] * FLIP)
        else:
            whole = [np.concatenate([leg, leg * FLIP]) for leg in (stand.leg(q, t) for q in both_legs(t))]
        halves.append(np.mean([half_outline(hull(p), t) for p in whole], axis=0))
    legs = [[leg_arcs(hull(stand.leg(q, t)), t) for q in both_legs(t)] for t in LEG_LEVELS]
    outer, inner = (np.array([np.mean([leg[i] for leg in pair], axis=0) for pair in legs]) for i in (0, 1))
    trunk = np.array(halves)
    down = [0.0, -(trunk[0, :, 1].max() + trunk[0, :, 1].min()) / 2]
    made = Outlines(trunk + down, outer + down, inner + down, {})
    return Outlines(made.trunk, made.outer, made.inner, _measured(made, marks))


class Stance:
    """Everybody's legs brought to one stance: the outer side as if turned about the hip, the inner onto a line."""

    def __init__(self, hip: float) -> None:
        self.hip, self.apart = hip, 0.0

    def knees(self, inner_line: float) -> None:
        self.apart = inner_line - STANCE * self.hip

    def _swing(self, t: float) -> float:
        below = (float(scaled(t)) - SCALE[1]) / (SCALE[3] - SCALE[1])
        return self.apart * max(below, 0.0) ** 1.5

    def trunk(self, points: np.ndarray, t: float) -> np.ndarray:
        x = points[:, 0]
        moved = x - np.sign(x) * self._swing(t) * (x / np.abs(x).max()) ** 2
        return np.stack([moved, points[:, 1]], axis=1)

    def leg(self, points: np.ndarray, t: float) -> np.ndarray:
        x = points[:, 0]
        low = x.min()
        run = (x - low) / np.ptp(x)
        turned = self._swing(t) * run ** (2 - ease((t - 2) / 0.4))
        closed = (low - STANCE * self.hip * (t - 2)) * (1 - run) ** (1 + 3 * (1 - ease((t - 2) / 0.5)))
        return np.stack([x - turned - closed, points[:, 1]], axis=1)


def half_outline(whole: np.ndarray, t: float) -> np.ndarray:
    """The half x ≥ 0 of a convex counter-clockwise outline (N, 2) → (C, 2), front → side → back."""
    following = np.roll(whole, -1, axis=0)
    crossing = np.flatnonzero((whole[:, 0] > 0) != (following[:, 0] > 0))
    share = whole[crossing, 0] / (whole[crossing, 0] - following[crossing, 0])
    points = whole[crossing] + share[:, None] * (following[crossing] - whole[crossing])
    if len(crossing) != 2:
        raise OddShapeError("outline does not cross the middle twice")
    (front, top), (back, bottom) = sorted(zip(crossing, points, strict=True), key=lambda c: -c[1][1])
    run = [(back + 1 + k) % len(whole) for k in range((front - back) % len(whole))]
    arc = np.concatenate([[bottom], whole[run], [top]])[::-1].copy()
    arc[[0, -1], 0] = 0.0
    return seamed(arc, t)


def seamed(arc: np.ndarray, t: float) -> np.ndarray:
    """An arc from front to back with its middle column on the side seam, the others even in length either side."""
    y = arc[:, 1]
    level = y.max() - np.interp(t, SEAM_LEVELS, SEAM_SHARES) * np.ptp(y)
    k = np.flatnonzero((y[:-1] - level) * (y[1:] - level) <= 0)
    share = np.divide(y[k] - level, y[k] - y[k + 1], out=np.zeros(len(k)), where=y[k] != y[k + 1])
    outermost = int(np.argmax(arc[k, 0] + share * (arc[k + 1, 0] - arc[k, 0])))
    run = along(arc)
    i = k[outermost]
    seam = (run[i] + share[outermost] * (run[i + 1] - run[i])) / run[-1]
    half = COLUMNS // 2 + 1
    return at_shares(arc, np.concatenate([np.linspace(0, seam, half), np.linspace(seam, 1, half)[1:]]))


def at_shares(arc: np.ndarray, shares: np.ndarray) -> np.ndarray:
    """Points at shares of the length of an open polyline."""
    run = along(arc)
    return np.stack([np.interp(shares * run[-1], run, arc[:, i]) for i in (0, 1)], axis=1)


def leg_arcs(leg: np.ndarray, t: float) -> tuple[np.ndarray, np.ndarray]:
    """Outer and inner arc of a convex leg outline; they meet a turn past its front and back."""
    low, high = leg.min(0), leg.max(0)
    dense = at_shares(np.concatenate([leg, leg[:1]]), np.linspace(0, 1, 1500, endpoint=False))
    away = (dense - (low + high) / 2) / ((high - low) / 2)
    angle = np.arctan2(away[:, 0], away[:, 1])  # 0 in front, growing to the outer side
    order = np.argsort(angle)
    dense, angle = (
        np.tile(dense[order], (3, 1)),
        np.concatenate([angle[order] + turn for turn in (-2 * np.pi, 0, 2 * np.pi)]),
    )
    turn = TURN + TURN_MORE * (1 - ease((t - 2) / 0.45))

    def cut(first: float, last: float) -> np.ndarray:
        angles = np.concatenate([[first], angle[(angle > first) & (angle < last)], [last]])
        return np.stack([np.interp(angles, angle, dense[:, i]) for i in (0, 1)], axis=1)

    outer, inner = cut(-turn, np.pi + turn), cut(np.pi + turn, 2 * np.pi - turn)
    made = seamed(outer, t)
    if t < 2.3:
        made = matched(
            outer, made, half_outline(hull(np.concatenate([leg, leg * FLIP])), t), float(ease((t - 2) / 0.3))
        )
    return made, at_shares(inner, np.linspace(0, 1, INNER_COLUMNS))


def matched(arc: np.ndarray, evenly: np.ndarray, like: np.ndarray, share: float) -> np.ndarray:
    """A leg's outer arc with its columns where those of the outline round both legs lie on it (share 0) or even (1)."""
    fine = np.linspace(0, 1, 3001)
    dense = at_shares(arc, fine)
    near = ((like[:, None] - dense) ** 2).sum(2)
    place, on = fine[near.argmin(1)], near.min(1) < FRAYED
    even = along(evenly) / along(evenly)[-1]
    seam = COLUMNS // 2
    first = last = seam
    place[seam] = even[seam]
    while first > 0 and on[first - 1] and place[first - 1] < place[first]:
        first -= 1
    while last < COLUMNS - 1 and on[last + 1] and place[last + 1] > place[last]:
        last += 1
    first, last = min(first + 1, seam), max(last - 1, seam)
    place[: first + 1] = np.linspace(0, place[first], first + 1)
    place[last:] = np.linspace(place[last], 1, COLUMNS - last)
    return at_shares(arc, (1 - share) * place + share * even)


def whole(half: np.ndarray) -> np.ndarray:
    return np.concatenate([half, half[::-1] * FLIP])


def _measured(made: Outlines, marks: Landmarks) -> dict[str, float]:
    """What a tape would read on the outlines, mm, and depth over breadth at navel and hip."""
    at_hip = int(np.searchsorted(TRUNK_LEVELS, 1.0))
    drops = {name: marks.waist - getattr(marks, name) for name in ("hip", "crotch", "under_seat", "knee")}

    def level(drop: float) -> float:
        return float(scaled(normalised([drop], drops["hip"], drops["crotch"], drops["knee"]))[0])

    def read(levels: np.ndarray, values: list[float], drop: float) -> float:
        return float(CubicThrough(scaled(levels))([level(drop)])[0] @ values)

    upper = TRUNK_LEVELS[: at_hip + 1]
    trunk = [girth(whole(h)) for h in made.trunk[: at_hip + 1]]
    ratio = [np.ptp(h[:, 1]) / (2 * h[:, 0].max()) for h in made.trunk[: at_hip + 1]]
    legs = [girth(np.concatenate([o, i])) for o, i in zip(made.outer, made.inner, strict=True)]
    return {
        "waist": trunk[0],
        "high_hip": read(upper, trunk, drops["hip"] / 2),
        "hip": trunk[-1],
        "thigh": read(LEG_LEVELS, legs, drops["under_seat"]),
        "knee": legs[-1],
        "navel_ratio": read(upper, ratio, NAVEL * drops["hip"]),
        "hip_ratio": ratio[-1],
        **{f"{name}_drop": drop for name, drop in drops.items()},
    }
