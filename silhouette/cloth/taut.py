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

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from silhouette.cloth.foam_curve import Law
from silhouette.cloth.ring import FEW, solve_ring
from silhouette.shape.curves import Array
from silhouette.shape.support import turn_of

Flags = NDArray[np.bool_]

THIN = 0.05  # mm; foam thinner than this is taken as rigid
SLACK_TENSION = 1e-2  # N/m; below it the cloth only lies on
TEAR_TENSION = 2e4  # N/m; ordinary woven cloth tears at 10 to 30 kN/m (from memory), so nothing is sought beyond
SKIN = 1e3  # 1/mm²; stiffness that holds the cloth off the body: it sinks in by less than a ten-thousandth of a mm
WIDENING = 0.4  # a strip grows from body to cloth by at most this share, which keeps the energy convex
TURNS = 60  # Newton steps before a level is handed to bisection
BRIDGES = 96  # directions of a taut loop from which steps begin
STEEP = 0.05  # cosine; lines that a ray meets at less than this are passed over
CLEAR = 0.4  # mm; a loop that passes nearer lies on
CLOSE = 1e-6  # mm in girth, and share of tension in the balance of forces


@dataclass(frozen=True)
class Strips:
    """The strips of foam the corners stand for, arrays (L, P).

    ``inner`` width on the body, ``outer`` width at the loose face, ``loose`` thickness, all in mm; ``firm`` marks
    places without foam. ``twin`` says that the second half of each loop mirrors the first, points 0 and P/2 lying
    on the mid-plane; ``half`` strips are open chains between those two.
    """

    body: Array  # (L, P, 2)
    outward: Array  # (L, P, 2), unit
    loose: Array
    inner: Array
    outer: Array
    firm: Flags
    twin: bool = False
    half: bool = False

    @classmethod
    def of(cls, body: Array, outward: Array, loose: Array, twin: bool = False) -> Strips:
        """Strips round closed loops of points: ``body`` and ``outward`` (L, P, 2), ``loose`` (L, P)."""
        inner = _widths(body)
        grown = np.maximum(_widths(body + loose[..., None] * outward), 1e-9)
        outer = np.clip(grown, inner * 0.2, inner / (1 - WIDENING))
        return cls(body, outward, loose, inner, outer, loose < THIN, twin)

    def halved(self) -> Strips:
        """The first half of mirrored loops; the strips on the mid-plane are shared between the halves."""
        count = self.loose.shape[1] // 2 + 1
        share = np.ones(count)
        share[[0, -1]] = 0.5
        inner, outer = self.inner[:, :count] * share, self.outer[:, :count] * share
        first = (self.body[:, :count], self.outward[:, :count], self.loose[:, :count])
        return Strips(*first, inner, outer, self.firm[:, :count], half=True)

    def take(self, rows: NDArray[np.intp] | Flags) -> Strips:
        """The same for some levels only."""
        return Strips(
            self.body[rows],
            self.outward[rows],
            self.loose[rows],
            self.inner[rows],
            self.outer[rows],
            self.firm[rows],
            self.twin,
            self.half,
        )


class Rest(NamedTuple):
    """Cloth at rest: offsets ``s`` (L, P), ``tension`` (L,), polygon ``length`` (L,), ``corner`` forces per unit
    tension (L, P), ``steps`` taken, ``ok`` (L,)."""

    s: Array
    tension: Array
    length: Array
    corner: Array
    steps: int
    ok: Flags


def _widths(points: Array) -> Array:
    step = _after(points)
    step -= points
    side = np.sqrt(step[..., 0] ** 2 + step[..., 1] ** 2)
    half: Array = (side + _before(side)) / 2
    return half


def _after(x: Array) -> Array:
    return np.concatenate((x[:, 1:], x[:, :1]), axis=1)


def _before(x: Array) -> Array:
    return np.concatenate((x[:, -1:], x[:, :-1]), axis=1)


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
    bx, by = (np.ascontiguousarray(strips.body[..., k]) for k in (0, 1))
    nx, ny = (np.ascontiguousarray(strips.outward[..., k]) for k in (0, 1))
    mx, my = _after(nx), _after(ny)
    firm, loose, outer = strips.firm, strips.loose, strips.outer
    soft = ~firm
    over = soft / np.where(firm, 1.0, loose)
    floor = firm * loose
    taper = outer - strips.inner
    weight = soft * strips.inner
    weight = weight / np.maximum((weight * loose).sum(1), 1e-12)[:, None]
    skin = SKIN * strips.inner
    s, pull = _first_guess(strips, foam, girth, squeeze, tension)
    bend: Array = np.ones_like(s)
    for step in range(TURNS):
        # The polygon: unit vectors along its sides, and what each corner's offset does to its length.
        x, y = bx + s * nx, by + s * ny
        ux, uy = _after(x) - x, _after(y) - y
        sides = np.sqrt(ux * ux + uy * uy + 1e-18)
        per = 1 / sides
        if strips.half:  # no side closes the chain
            per[:, -1] = sides[:, -1] = 0.0
        ux *= per
        uy *= per
        along, along_next = nx * ux + ny * uy, mx * ux + my * uy
        corner = _before(along_next) - along
        length = sides.sum(1)
        # Foam: force of each strip, pressed only where the cloth is inside its loose face.
        strain = (loose - s) * over
        pressing = corner > 0
        pressed = soft & ((strain > 0) | ((strain == 0) & pressing))
        sunk = firm & ((s < floor) | ((s == floor) & pressing))
        stress, slope = foam.stress(np.minimum(strain * pressed, foam.lock * (1 - 1e-9)))
        width = outer - taper * strain
        force = width * stress * pressed
        stiff = (width * slope - taper * stress) * (over * pressed)
        hold = skin * sunk
        lean = corner + hold * (s - floor)
        t = pull[:, None]
        unbalance = force - t * lean
        # What is still missing from the demand, and how it changes with offsets and with tension.
        if girth is not None:
            gap, by_s, by_t = length - girth * (1 + give * pull), corner, -give * girth
        elif squeeze is not None:
            by_s, by_t = -weight * pressed, 0.0 * pull
            gap = (by_s * (s - loose)).sum(1) - squeeze
        else:
            gap, by_s, by_t = 0.0 * pull, corner, 0.0 * pull
        bound = (pull <= SLACK_TENSION) | (pull >= TEAR_TENSION)
        ok = (np.abs(unbalance).max(1) < CLOSE * pull) & ((np.abs(gap) < CLOSE) | bound)
        if ok.all():
            break
        # Second derivatives of length, exact near rest; far from it the along-part is added, a majorising spring
        # that keeps corners from leaping past each other.
        across, across_next = nx * uy - ny * ux, mx * uy - my * ux
        spring = bend * along_next
        side = across * across_next + along * spring
        ends = _before((across_next * across_next + spring * along_next) * per)
        ends += (across * across + bend * along * along) * per
        ends += hold
        ends += 1e-9
        move, by_pull = solve_ring(t * ends + stiff, side * (-t * per), unbalance, -lean, not strips.half)
        if tension is None:
            change = -(gap + (by_s * move).sum(1)) / _nonzero((by_s * by_pull).sum(1) + by_t)
            low, high = np.maximum(0.4 * pull, SLACK_TENSION), np.minimum(2.5 * pull, TEAR_TENSION)
            new = np.clip(pull + change, low, high)
            move += (new - pull)[:, None] * by_pull
            pull = new
        if step > 3:
            bend = np.minimum(4 * np.abs(_after(move) - move) * per, 1.0)
        # Take the step, stopping at each kink (loose face, body) so that the next step sees the right side of
        # it. Foam is pressed in the variable 1/(1 − strain/lock), in which crowded foam is nearly straight, so
        # that no step can overshoot the lock.
        rise = move * -over
        load = np.maximum(rise, 0)
        rise /= 1 + load / np.maximum(foam.lock - strain, 1e-12)
        after = strain + rise
        after *= (after * strain > 0) | (strain == 0) & (pressed == (after > 0))
        bare = s + move
        bare = floor + (bare - floor) * ((s - floor) * (bare - floor) >= 0)
        s = np.where(firm, bare, loose - after * loose)
    return Rest(s, pull, length, corner, step + 1, ok)


def _nonzero(x: Array) -> Array:
    return np.where(np.abs(x) < 1e-12, 1e-12, x)
