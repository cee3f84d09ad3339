"""Threads down the figure where the cut is too short for them to run straight.

A level that the threads would carry past its cut is held by its hoop. The hoop draws each thread in with tension
over radius, and the thread gives way like a string between the places where it next touches: minimise

    sum over threads of (r - straight)² / give      with the loop's length no more than its cut and r ≥ the body

over the distances r from the axis, give = a b / (a + b) for a thread that touches a mm above and b mm below. Lengths
of loops are convex, so there is one answer; Newton steps on the tension, the body by its active set.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from silhouette.cloth.rays import sides_of
from silhouette.cloth.threads import hang, reach_at
from silhouette.shape.curves import Array, Flags

HELD: Final = 4  #: levels held at most; between them the cut hardly holds
ROUNDS: Final = 6  #: hoops fitted at most, each with the others as they are
SLIGHT: Final = 0.6  #: mm of girth past the cut that needs no hoop of its own
TURNS: Final = 15  #: Newton steps at most
CLOSE: Final = 1e-2  #: mm, when steps end: the next would be shorter by far
TOUCH: Final = 1e-6  #: mm


@dataclass(frozen=True, eq=False)
class Loop:
    """Which of D rays carry a loop: ``rays`` (P,), ``share`` (P,) of a thread on each, ``times`` it is met.

    Of a mirrored loop the half from the front over the left to the back. Its sides join neighbours.
    """

    rays: NDArray[np.intp]
    share: Array
    times: int

    @property
    def angle(self) -> float:
        """Between neighbouring rays."""
        return 2 * np.pi / (self.times * (len(self.rays) - (self.times == 2)))

    @property
    def sides(self) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Places (S,) of either end of each side."""
        place = np.arange(len(self.rays))
        return (place[:-1], place[1:]) if self.times == 2 else (place, np.roll(place, -1))

    def length(self, reach: Array) -> Array:
        """Lengths (...,) of loops (..., P)."""
        one, other = self.sides
        return np.asarray(self.times * sides_of(reach[..., one], reach[..., other], self.angle).sum(axis=-1))


def loop_of(count: int, even: bool, step: int = 1) -> Loop:
    """Every ``step``-th of ``count`` rays; half of them when ``even``."""
    if not even:
        rays = np.arange(0, count, step)
        return Loop(rays, np.ones(len(rays)), 1)
    rays = (count // 4 - np.arange(0, count // 2 + 1, step)) % count
    share = np.ones(len(rays))
    share[[0, -1]] = 0.5
    return Loop(rays, share, 2)


def keep_to_cut(drops: Array, low: Array, room: Array, cut: Array, even: bool) -> Array:
    """Threads (L, D) along rays over ``low``, hanging from its first level, loops no more than ``room`` (L,) over it.

    ``cut`` (L,) is their whole girth. What is past it by ``SLIGHT`` remains. ``even`` mirrors the left half. Hoops are
    fitted to every second level and ray: how far they draw in hardly differs between.
    """
    count = low.shape[1]
    loop, whole = loop_of(count, even, 2), loop_of(count, even)
    some = np.unique(np.append(np.arange(0, len(drops), 2), len(drops) - 1))
    coarse = low[np.ix_(some, loop.rays)]
    held, inward, near = _hoops(drops[some], coarse, room[some], np.diff(cut[some]) < -TOUCH, loop)
    held = [int(some[level]) for level in held]
    bound = low[:, whole.rays]
    every = np.arange(len(whole.rays)) / 2
    reaches = [reach_at(drops, bound, level) for level in held]  # before any of them is drawn in
    for level, drawn, reach in zip(held, inward, reaches, strict=True):
        less = np.interp(every, np.arange(len(drawn) + 1), np.append(drawn, drawn[0]))
        bound[level] = np.maximum(reach - less, bound[level])
    threads = np.empty_like(low)
    threads[:, whole.rays] = hung = hang(drops, bound, held, _between(near, len(drops), len(whole.rays)))
    if even:
        threads[:, (count // 2 - whole.rays) % count] = hung
    return threads


def _between(near: Flags, levels: int, rays: int) -> Flags:
    """Flags at every second level and ray for all of them: next to a flag as well."""
    level, ray = np.arange(levels), np.arange(rays)
    rows = near[level // 2] | near[np.minimum((level + 1) // 2, len(near) - 1)]
    return rows[:, ray // 2] | rows[:, (ray + 1) // 2 % near.shape[1]]


def _hoops(drops: Array, low: Array, room: Array, tighter: Flags, loop: Loop) -> tuple[list[int], Array, Flags]:
    """Levels that are held, how far each draws the threads in there (H, P), and where threads touch (L, P).

    ``tighter`` (L-1,): a level is cut tighter than the one above.
    """
    cut = loop.length(low) + room
    width = low.max(axis=0)  # of the cloth that a thread stands for, which pulls it down
    threads = free = hang(drops, low)
    touching = threads <= low + TOUCH
    bound = low.copy()
    held: list[int] = []
    for _ in range(ROUNDS):
        past = loop.length(threads) - cut
        past[0] = 0.0
        # where it hangs plumb and is cut no tighter the level above holds it
        past[1:][(threads[1:] == threads[:-1]).all(axis=1) & ~tighter] = 0.0
        level = int(past.argmax())
        if past[level] < SLIGHT:
            break
        if level not in held:
            if len(held) == HELD:
                break
            held.append(level)
        straight, give = _strings(drops, threads, touching, level, held)
        straight = np.maximum(straight, low[level])
        bound[level] = _hoop(straight, low[level], loop.share * width / give, float(cut[level]), loop)
        threads = hang(drops, bound, held, touching)
        touching = threads <= low + TOUCH
    return held, free[held] - threads[held], touching


def _strings(drops: Array, threads: Array, touches: Flags, level: int, held: list[int]) -> tuple[Array, Array]:
    """Where threads would cross a level without its hoop, and how far they give to a pull there, both (P,).

    A thread that touches nothing below would hang plumb from where it touches above, and gives by all of that.
    """
    touching = touches.copy()
    touching[0] = True
    touching[[one for one in held if one != level]] = True
    above = level - 1 - touching[:level][::-1].argmax(axis=0)
    column = np.arange(threads.shape[1])
    a, higher = drops[level] - drops[above], threads[above, column]
    if level == len(drops) - 1:
        return higher, a
    below = level + 1 + touching[level + 1 :].argmax(axis=0)
    b = drops[below] - drops[level]
    lean = (threads[below, column] - higher) / (a + b)
    plumb = ~touching[level + 1 :].any(axis=0)
    # a thread that leans outward lengthens less as it moves: cos³ of its lean is left of its pull
    give = np.where(plumb, a, a * b / (a + b) * (1 + lean**2) ** 1.5)
    return np.where(plumb, higher, higher + lean * a), give


def _hoop(straight: Array, low: Array, firm: Array, cut: float, loop: Loop) -> Array:
    """The loop (P,) that a hoop of length ``cut`` draws threads of stiffness ``firm`` (P,) in to."""
    if loop.length(low) >= cut - CLOSE:
        return low
    count, tension = len(straight), 0.0
    one, other = loop.sides
    cos, wanted, every = np.cos(loop.angle), cut / loop.times, slice(None, None, count + 1)
    balance = straight * firm
    reach, on_body = straight, np.zeros(count, dtype=bool)
    right = np.empty((count, 2))
    for _ in range(TURNS):
        length = sides_of(reach[one], reach[other], loop.angle)
        per = 1 / length
        pull = np.zeros((count, count))  # its product with reach is the slope of the length
        pull[one, other] = pull[other, one] = -cos * per
        pull.flat[every] = np.bincount(one, per, count) + np.bincount(other, per, count)
        slope = pull @ reach
        stiff = tension * pull
        stiff.flat[every] += firm
        held = stiff.copy()
        right[:, 0], right[:, 1] = balance, slope
        if on_body.any():
            held[on_body] = 0.0
            held.flat[every] += on_body
            right[on_body, 0], right[on_body, 1] = low[on_body], 0.0
        new, inward = np.linalg.solve(held, right).T
        past = length.sum() - wanted + slope @ (new - reach)
        more = max(past / (slope @ inward), -tension)
        new = new - more * inward
        tension += more
        push = stiff @ new - balance + more * (pull @ new)
        was, on_body = on_body, np.where(on_body, push > 0, new < low)
        step = np.maximum(new, low) - reach
        reach = reach + step
        if np.abs(step).max() < CLOSE and (was == on_body).all():
            break
    return np.maximum(reach, low)
