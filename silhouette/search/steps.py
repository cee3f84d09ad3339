"""Small steps under the look checks: each a linear programme on what was learned from the trials so far.

Every check is one straight line in the steps of the places; the lines are first taken by finite differences and then
kept up to date from the trials themselves (Broyden's rank-one update, from memory). The sum of the absolute steps
is what is kept small, so that few places change, and a trust region keeps the lines honest.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from silhouette.shape.curves import Array

MARGIN: Final = 0.01  #: of the way from the limit to obvious that is kept free while searching
MISS: Final = 5.0  #: what 1 mm away from the wanted hip counts, in steps
PAST: Final = 40.0  #: what a whole way past a limit counts
GAIN: Final = 2.0  #: what 1 mm of hip counts where the largest is asked for
HARD: Final = 15.0  #: times as much that a limit counts then: no gain makes up for it
PROBE: Final = 0.15  #: steps of a finite difference

#: Hip (mm) first, then the distance past its limit of every check; None where such pads cannot be made.
Tried = Callable[[Array], Array | None]


@dataclass(frozen=True, eq=False)
class Ground:
    """Where the steps may go: least and most (n,), and ``rows @ steps <= most_of`` beside."""

    low: Array
    high: Array
    rows: Array
    most_of: Array


def merit(steps: Array, found: Array, wanted: float | None) -> float:
    """What is made small: checks past their limit, the hip missed, and how far the places move."""
    past = float(np.maximum(found[1:] + MARGIN, 0.0).sum())
    hip = -GAIN * float(found[0]) if wanted is None else MISS * abs(float(found[0]) - wanted)
    return PAST * (HARD if wanted is None else 1.0) * past + hip + float(np.abs(steps).sum())


def reached_already(found: Array, wanted: float | None) -> bool:
    """Whether every check is content, and the hip the wanted one: what is left to gain is smaller steps."""
    return bool((found[1:] <= 0).all()) and (wanted is None or abs(float(found[0]) - wanted) < 0.25)


def slopes_at(tried: Tried, steps: Array, found: Array, ground: Ground) -> Array:
    """Finite differences (K, n); inward at a bound, zero where no such pads can be made."""
    built = np.zeros((len(found), len(steps)))
    for i in range(len(steps)):
        for sign in (1.0, -1.0) if steps[i] + PROBE <= ground.high[i] else (-1.0, 1.0):
            other = steps.copy()
            other[i] = np.clip(other[i] + sign * PROBE, ground.low[i], ground.high[i])
            if other[i] == steps[i]:
                continue
            reached = tried(other)
            if reached is not None:
                built[:, i] = (reached - found) / (other[i] - steps[i])
                break
    return built


def walk(
    tried: Tried, start: Array, wanted: float | None, ground: Ground, slopes: Array | None = None, most: int = 7
) -> tuple[Array, Array, Array] | None:
    """The best steps found from ``start``, what was found there, and the slopes there; None where no trial is made."""
    at = start
    found = tried(at)
    if found is None:
        return None
    slopes = slopes_at(tried, at, found, ground) if slopes is None else slopes.copy()
    radius, worth, refused = 1.5, merit(at, found, wanted), 0
    for _ in range(most):
        if refused > 1 and reached_already(found, wanted):
            break
        aim = _best_on_lines(at, found, slopes, wanted, ground, radius)
        if aim is None:
            break
        ahead = merit(aim, found + slopes @ (aim - at), wanted)
        if worth - ahead < (0.15 if reached_already(found, wanted) else 0.05):
            break
        reached = tried(aim)
        if reached is None:
            radius *= 0.4
            continue
        move = aim - at
        slopes += np.outer(reached - found - slopes @ move, move) / max(float(move @ move), 1e-12)
        now = merit(aim, reached, wanted)
        radius = min(radius * 1.6, 4.0) if worth - now > 0.5 * (worth - ahead) else radius * 0.5
        refused += 1
        if now < worth:
            at, found, worth, refused = aim, reached, now, 0
        if radius < 0.02:
            break
    return at, found, slopes


def _best_on_lines(
    at: Array, found: Array, slopes: Array, wanted: float | None, ground: Ground, radius: float
) -> Array | None:
    """Where the lines say it is best, within the trust region: a linear programme in forward and backward steps."""
    from scipy.optimize import linprog

    n = len(at)
    checks = len(found) - 1
    # columns: steps up (n), steps down (n), how far each check is past (K), hip above and below the wanted (2)
    both = np.hstack([slopes, -slopes])
    base = found - slopes @ at
    cost = np.concatenate([np.ones(2 * n), np.full(checks, PAST * (HARD if wanted is None else 1.0)), [MISS, MISS]])
    above = np.hstack([both[1:], -np.eye(checks), np.zeros((checks, 2))])
    limits = -MARGIN - base[1:]
    if len(ground.rows):
        above = np.vstack([above, np.hstack([ground.rows, -ground.rows, np.zeros((len(ground.rows), checks + 2))])])
        limits = np.concatenate([limits, ground.most_of])
    square = np.hstack([np.eye(n), -np.eye(n), np.zeros((n, checks + 2))])
    low, high = np.maximum(ground.low, at - radius), np.minimum(ground.high, at + radius)
    above = np.vstack([above, square, -square])
    limits = np.concatenate([limits, high, -low])
    equal = None if wanted is None else np.concatenate([both[0], np.zeros(checks), [-1.0, 1.0]])[None, :]
    if wanted is None:
        cost[: 2 * n] -= GAIN * both[0]
        cost[-2:] = 0.0
    result = linprog(
        cost, above, limits, equal, None if wanted is None else [wanted - base[0]], bounds=(0, None), method="highs"
    )
    if result.x is None:
        return None
    x = np.asarray(result.x)
    return np.asarray(np.clip(x[:n] - x[n : 2 * n], low, high))
