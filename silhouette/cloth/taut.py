"""A taut loop of cloth round foam, in equilibrium, at many levels at once.

The cloth crosses ray *i* of a level at the point ``body + s·outward``. At rest it minimises

    foam energy(s) + tension · length(s)

which is convex in ``s``: the length of a polygon whose corners move on straight lines is convex, and so is the
energy of foam that stiffens. Its conditions are those of the bench: a corner of exterior angle α presses with
tension·α, spread over the strip of foam it stands for, and where the cloth bridges a hollow it presses nothing.
Only neighbours meet in the second derivatives, so one Newton step for all levels is one tridiagonal solve.

Lengths in mm, stress in kPa, tension in N/m (that is kPa·mm, force per unit of height).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from silhouette.cloth.chain import Net, Polygon, Pressed, Strips, after
from silhouette.cloth.foam_curve import Law
from silhouette.cloth.ring import FEW, solve_ring
from silhouette.shape.curves import Array, Flags
from silhouette.shape.support import turn_of

SLACK_TENSION = 1e-2  # N/m; below it the cloth only lies on
TEAR_TENSION = 2e4  # N/m; ordinary woven cloth tears at 10 to 30 kN/m (from memory), so nothing is sought beyond
TURNS = 60  # Newton steps before a level is handed to bisection
BRIDGES = 96  # directions of a taut loop from which steps begin
STEEP = 0.05  # cosine; lines that a ray meets at less than this are passed over
CLEAR = 0.4  # mm; a loop that passes nearer lies on
CLOSE = 1e-6  # mm in girth, and share of tension in the balance of forces


class Rest(NamedTuple):
    """Cloth at rest: offsets ``s`` (L, P), ``tension`` (L,), polygon ``length`` (L,), ``corner`` forces per unit
    tension (L, P), ``steps`` taken, ``ok`` (L,)."""

    s: Array
    tension: Array
    length: Array
    corner: Array
    steps: int
    ok: Flags


def rest(
    strips: Strips,
    foam: Law,
    girth: Array | None = None,
    give: float = 0.0,
    squeeze: float | None = None,
    tension: Array | None = None,
) -> Rest:
    """The cloth at rest under one of three demands, at each level.

    ``girth`` (L,): the loop's girth when slack, and ``give`` (m/N) how much it lengthens per unit of tension;
    ``squeeze``: the share of the foam's volume pressed out; or a given ``tension`` (L,).
    """
    if strips.twin:
        return _unfolded(rest(strips.halved(), foam, None if girth is None else girth / 2, give, squeeze, tension))
    answer = _newton(strips, foam, girth, give, squeeze, tension)
    if tension is not None or answer.ok.all():
        return answer
    rows = np.flatnonzero(~answer.ok)
    again = _bisect(strips.take(rows), foam, None if girth is None else girth[rows], give, squeeze)
    for whole, part in zip(answer[:4], again[:4], strict=True):
        whole[rows] = part
    answer.ok[rows] = again.ok
    return answer


def _unfolded(found: Rest) -> Rest:
    """A half chain's rest as that of the whole loop."""
    corner = found.corner.copy()
    corner[:, [0, -1]] *= 2
    s, corner = (np.concatenate((part, part[:, -2:0:-1]), axis=1) for part in (found.s, corner))
    return Rest(s, found.tension, 2 * found.length, corner, found.steps, found.ok)


def _bisect(strips: Strips, foam: Law, girth: Array | None, give: float, squeeze: float | None) -> Rest:
    """Bracketed root in the logarithm of tension: slow and sure, for levels where Newton went round in circles."""
    count = len(strips.loose)
    low, high = np.full(count, np.log(SLACK_TENSION)), np.full(count, np.log(TEAR_TENSION))
    middle = high  # where even that would not do nothing is between
    for _ in range(48):
        answer = _newton(strips, foam, None, 0.0, None, np.exp(middle))
        if girth is not None:
            too_loose = answer.length > girth * (1 + give * np.exp(middle))
        else:
            assert squeeze is not None
            too_loose = _squeezed(strips, answer.s) < squeeze
        low, high = np.where(too_loose, middle, low), np.where(too_loose, high, middle)
        if (high - low <= 0).all():
            break
        middle = (low + high) / 2
    return answer


def _squeezed(strips: Strips, s: Array) -> Array:
    """Share of the foam's volume that is pressed out, per level."""
    volume = strips.inner * np.where(strips.firm, 0.0, strips.loose)
    left = strips.inner * np.where(strips.firm, 0.0, np.minimum(s, strips.loose))
    share: Array = 1 - left.sum(1) / np.maximum(volume.sum(1), 1e-12)
    return share


def _first_guess(
    strips: Strips, foam: Law, girth: Array | None, squeeze: float | None, tension: Array | None
) -> tuple[Array, Array]:
    """Even squeeze everywhere, and the tension that would hold it on a round body."""
    loose = strips.loose
    around = strips.inner.sum(1)
    if girth is not None:
        room = np.maximum((strips.outer).sum(1) - around, 1e-6)
        even = np.clip((around + room - girth) / room, 0.03, 0.8)
    else:
        even = np.full(len(loose), squeeze if squeeze is not None else 0.2)
    if tension is None:
        tension = np.clip(
            foam.stress(even)[0] * around / (np.pi if strips.half else 2 * np.pi), SLACK_TENSION, TEAR_TENSION
        )
    s = np.where(strips.firm, loose, loose * (1 - even[:, None]))
    return (_bridged(strips, s) if len(s) <= FEW else s), tension


def _bridged(strips: Strips, s: Array) -> Array:
    """Offsets ``s`` (L, P), and where a taut loop over them would pass clear of them its own, about as far."""
    turn, back = turn_of(BRIDGES)[1], BRIDGES // 2
    reach = ((strips.body + s[..., None] * strips.outward) @ turn).max(axis=1)
    if strips.half:
        reach = np.maximum(reach, reach[:, (back - np.arange(BRIDGES)) % BRIDGES])
    facing = strips.outward @ turn
    room = reach[:, None] - strips.body @ turn
    line = np.where(facing > STEEP, room / np.maximum(facing, STEEP), np.inf).min(axis=2)
    return np.where(line > s + CLEAR, line, s)


def _newton(
    strips: Strips, foam: Law, girth: Array | None, give: float, squeeze: float | None, tension: Array | None
) -> Rest:
    net = Net(strips)
    s, pull = _first_guess(strips, foam, girth, squeeze, tension)
    bend: Array = np.ones_like(s)
    for step in range(TURNS):
        cloth = Polygon(net, s)
        under = Pressed(net, foam, s, cloth.corner)
        lean = cloth.corner + under.hold * (s - net.floor)
        t = pull[:, None]
        unbalance = under.force - t * lean
        # What is still missing from the demand, and how it changes with offsets and with tension.
        if girth is not None:
            gap, by_s, by_t = cloth.length - girth * (1 + give * pull), cloth.corner, -give * girth
        elif squeeze is not None:
            by_s, by_t = -net.weight * under.pressed, 0.0 * pull
            gap = (by_s * (s - net.loose)).sum(1) - squeeze
        else:
            gap, by_s, by_t = 0.0 * pull, cloth.corner, 0.0 * pull
        bound = (pull <= SLACK_TENSION) | (pull >= TEAR_TENSION)
        ok = (np.abs(unbalance).max(1) < CLOSE * pull) & ((np.abs(gap) < CLOSE) | bound)
        if ok.all():
            break
        ends, side = cloth.bending(net, bend)
        ends += under.hold
        ends += 1e-9
        move, by_pull = solve_ring(t * ends + under.stiff, side * t, unbalance, -lean, not strips.half)
        if tension is None:
            change = -(gap + (by_s * move).sum(1)) / _nonzero((by_s * by_pull).sum(1) + by_t)
            low, high = np.maximum(0.4 * pull, SLACK_TENSION), np.minimum(2.5 * pull, TEAR_TENSION)
            new = np.clip(pull + change, low, high)
            move += (new - pull)[:, None] * by_pull
            pull = new
        if step > 3:
            bend = np.minimum(4 * np.abs(after(move) - move) * cloth.per, 1.0)
        s = _moved(net, foam, s, move, under)
    return Rest(s, pull, cloth.length, cloth.corner, step + 1, ok)


def _moved(net: Net, foam: Law, s: Array, move: Array, under: Pressed) -> Array:
    """Offsets after a step that stops at each kink (loose face, body), so that the next one sees the right side of it.

    Foam is pressed in the variable 1/(1 − strain/lock), in which crowded foam is nearly straight, so that no step can
    overshoot the lock.
    """
    strain = under.strain
    rise = move * -net.over
    load = np.maximum(rise, 0)
    rise /= 1 + load / np.maximum(foam.lock - strain, 1e-12)
    then = strain + rise
    then *= (then * strain > 0) | (strain == 0) & (under.pressed == (then > 0))
    bare = s + move
    bare = net.floor + (bare - net.floor) * ((s - net.floor) * (bare - net.floor) >= 0)
    return np.where(net.firm, bare, net.loose - then * net.loose)


def _nonzero(x: Array) -> Array:
    return np.where(np.abs(x) < 1e-12, 1e-12, x)
