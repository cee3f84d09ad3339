"""Sections brought to her girths: breadth and depth first, then every named girth exactly, the hip kept fullest.

Every factor lies between the named levels by the monotone interpolant of its logarithm.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from silhouette.shape.curves import Array, along, monotone
from silhouette.shape.dimensions import Half, Measures
from silhouette.shape.learnt import NAVEL
from silhouette.shape.support import girth_of, support, support_of_pair

FINE: Final = 192  #: directions of a named girth
FULLEST: Final = 0.002  #: how far, of the hip, a taut girth between high hip and thigh may pass it
PRESSED: Final = 0.25  #: the most, in the logarithm of depth over breadth, that two full thighs press each other
THIGHS_UNDER: Final = 0.006  #: of the hip, in the logarithm: both thighs together come no further if they can help it
MOST_TAKEN: Final = 0.035  #: the most, in the logarithm, that is taken off between hip and thigh for that
TAKEN_FROM: Final = (0.4, 1.7)  #: how much of it from breadth and from depth: the outer thigh is what shows
SWING: Final = 0.7  #: how far below the thigh, in lengths from hip to thigh, that change fades away
LEG_SHARE: Final = 0.5  #: how much of the hip's change of depth over breadth the thigh takes on


def rows_of(m: Measures, drops: Array) -> list[int]:
    """Rows of waist, high hip, hip, under the seat, knee."""
    named = (0.0, m.high_hip_drop, m.hip_drop, m.under_seat_drop, m.knee_drop)
    return [int(np.argmin(np.abs(drops - drop))) for drop in named]


def middle_of(outer: Array) -> Array:
    """y half-way between front and back of outer arcs (L, K, 2) → (L, 1)."""
    y = outer[..., 1]
    return np.asarray((y.max(-1) + y.min(-1))[:, None] / 2)


def extents_of(outer: Array) -> Array:
    """Depth over breadth of outer arcs (..., K, 2) and their mirror image → (...,)."""
    return np.asarray(np.ptp(outer[..., 1], axis=-1) / (2 * outer[..., 0].max(-1)))


def size_of(m: Measures, drops: Array, outer: Array, inner: Array, navel: Array) -> Array:
    """Factors (L, 2) for breadth and depth of outer (L, K, 2) and inner (M, J, 2) arcs; ``navel`` (K, 2) lies there."""
    rows = rows_of(m, drops)
    crotch = len(drops) - len(inner)
    middle = np.concatenate([np.zeros((len(rows), 1)), middle_of(outer[rows])], axis=1)[:, None]
    trunk = outer[rows[:3]] - middle[:3]
    legs = [np.concatenate([outer[row], inner[row - crotch]]) - middle[i] for i, row in enumerate(rows[3:], 3)]
    held = _ratios(m, trunk, navel)
    held[m.under_seat_drop] = _thigh_ratio(m, outer[rows[3]] - middle[3], legs[0], LEG_SHARE * held[m.hip_drop])
    held[m.knee_drop] = 0.0
    ratio = np.exp(monotone(list(held), list(held.values()), drops) / 2)
    shape = np.stack([1 / ratio, ratio], axis=1)
    read = [*girth_of(support_of_pair(trunk * shape[rows[:3], None], FINE))]
    read += [float(girth_of(support(leg * shape[row], FINE))) for leg, row in zip(legs, rows[3:], strict=True)]
    wanted = (m.waist, m.high_hip, m.hip, m.thigh, m.knee)
    grown = np.exp(monotone(drops[rows], np.log(np.array(wanted) / read), drops))
    size = shape * grown[:, None]
    return np.asarray(size * _hip_fullest(m, drops, outer, size))


def _ratios(m: Measures, trunk: Array, navel: Array) -> dict[float, float]:
    """Logarithm of the change of depth over breadth, by drop, from the waist to the hip."""
    hip = float(np.log(m.hip_ratio / extents_of(trunk[2])))
    if m.own_waist_ratio is not None:
        return {0.0: float(np.log(m.own_waist_ratio / extents_of(trunk[0]))), m.hip_drop: hip}
    at_navel = float(np.log(m.waist_ratio / extents_of(navel)))
    beyond = at_navel + (at_navel - hip) * NAVEL / (1 - NAVEL)
    return {0.0: beyond, NAVEL * m.hip_drop: at_navel, m.hip_drop: hip}


def _thigh_ratio(m: Measures, outer: Array, leg: Array, usual: float) -> float:
    """The same for the thigh: deeper and narrower where both thighs together would pass the hip."""
    passed = []
    for ratio in (usual, usual + PRESSED):
        shape = np.exp([-ratio / 2, ratio / 2])
        size = m.thigh / girth_of(support(leg * shape))
        passed.append(float(np.log(size * girth_of(support_of_pair(outer * shape)) / m.hip)))
    much = PRESSED * (passed[0] - THIGHS_UNDER) / max(passed[0] - passed[1], 1e-6)
    # nothing while there is room, then all of it, up to what thighs can be pressed
    return usual + PRESSED * float(np.tanh(np.logaddexp(0.0, 80 * much) / 80 / PRESSED))


def _hip_fullest(m: Measures, drops: Array, outer: Array, size: Array) -> Array:
    """Factors (L, 2) that keep the taut girth between hip and thigh to that of the hip, all but a hair.

    A dressmaker tapes the fullest place, so nothing near it may read more. The change runs smoothly through the hip
    and under the seat, where it is nothing. Where the thighs she measured are together fuller than the hip, they win.
    """
    hip, under = rows_of(m, drops)[2:4]
    wave = _wave(m, drops)
    part = hip + np.flatnonzero(wave[hip : under + 1] > 0.3)[::3]
    read = [hip, *part, under]
    over = np.log(girth_of(support_of_pair(outer[read] * size[read, None], 48)))
    x = (drops[part] - m.hip_drop) / (m.under_seat_drop - m.hip_drop)
    thighs = max(float(over[-1] - over[0]) - FULLEST, 0.0)
    passed = over[1:-1] - over[0] - FULLEST - thighs * x
    much = min(max(float((passed / wave[part]).max()), 0.0), MOST_TAKEN)
    return np.exp(-much * wave[:, None] * TAKEN_FROM)


def _wave(m: Measures, drops: Array) -> Array:
    """1 half-way from hip to under the seat, 0 and smooth at both, with a small counter-swing beyond either (L,)."""
    length = m.under_seat_drop - m.hip_drop
    x = (drops - m.hip_drop) / length
    above = np.clip((m.hip_drop - drops) / (m.hip_drop - m.high_hip_drop), 0.0, 1.0)
    below = np.clip((x - 1) / SWING, 0.0, 1.0)
    rise = (m.hip_drop - m.high_hip_drop) / length
    inside = np.where((x >= 0) & (x <= 1), 4 * x * (1 - x), 0.0)
    return np.asarray(inside - 4 * rise * above * (1 - above) ** 2 - 4 * SWING * below * (1 - below) ** 2)


def halves_of(m: Measures, drops: Array, outer: Array, inner: Array, half: Half, even: Array) -> tuple[Array, Array]:
    """Factors for breadth (L,) and depth (L,) that bring one side to its own half girths.

    outer and inner are that side's arcs, ``even`` (L, K, 2) the outer arcs of the even figure of the same girths.
    Depth stays above the crotch: both sides share the centre lines.
    """
    rows = rows_of(m, drops)
    crotch = len(drops) - len(inner)
    whole = np.array([m.waist, m.high_hip, m.hip]) / 2
    wanted = along(even[rows[:3]])[:, -1] * np.array([half.waist, half.high_hip, half.hip]) / whole
    across = np.ones(3)
    for _ in range(6):  # Newton on the length of each arc
        now, more = (
            along(outer[rows[:3]] * np.stack([f, np.ones(3)], axis=1)[:, None])[:, -1] for f in (across, across + 1e-4)
        )
        across = np.maximum(across + (wanted - now) / np.maximum((more - now) / 1e-4, 1e-9), 0.2)
    leg = half.thigh / float(girth_of(support(np.concatenate([outer[rows[3]], inner[rows[3] - crotch]]), FINE)))
    knee = m.knee / float(girth_of(support(np.concatenate([outer[rows[4]], inner[rows[4] - crotch]]), FINE)))
    breadth = monotone(drops[rows], np.log([*across, leg, knee]), drops)
    at = [0.0, m.crotch_drop, m.under_seat_drop, m.knee_drop]
    depth = monotone(at, np.log([1.0, 1.0, leg, knee]), drops)
    return np.exp(breadth), np.exp(depth)
