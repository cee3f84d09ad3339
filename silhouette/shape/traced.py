"""Her own outline laid over the body of her girths: breadth, front and back as traced, every girth as taped.

At each level the plane is moved as a whole: breadth and depth to what was traced, then the section made fuller or
leaner between its four furthest places until the tape reads right again. Corrections lie between the traced levels by
the monotone interpolant and stay as they are beyond the first and the last. Below the crotch a photograph shows the
outer line of a leg only; its inner side goes where the girth puts it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from silhouette.asked.body_sources import OutlineLevel
from silhouette.shape.curves import Array, along, monotone
from silhouette.shape.dimensions import Measures
from silhouette.shape.sizing import FINE, rows_of
from silhouette.shape.support import girth_of, support, support_of_pair

FULLEST: Final = 0.1  #: how far a section is filled out or taken in between its furthest places; beyond, it would dent
DRAWN: Final = 0.16  #: the most, in the logarithm, by which a leg grows or shrinks on its inner side
ROUNDS: Final = 10  #: of the secant rule
CLOSE: Final = 1e-9  #: of a girth, where it stops
SMALL: Final = 1e-4  #: first step
FLATTEST: Final = 0.05  #: of a girth against what it is solved by; flatter is a dead end

Halves = list[tuple[Array, Array]]
SIDES: Final = ("left", "right")


@dataclass(frozen=True, eq=False)
class Reaches:
    """How far the figure is to reach at each level: to either side (H, L), to the front and to the back (L,)."""

    out: Array
    front: Array
    back: Array

    def at(self, rows: list[int]) -> Reaches:
        return Reaches(self.out[:, rows], self.front[rows], self.back[rows])

    @property
    def middle(self) -> Array:
        return (self.front - self.back) / 2

    @property
    def half_depth(self) -> Array:
        return (self.front + self.back) / 2


def traced(m: Measures, drops: Array, halves: Halves) -> Halves:
    """Outer (L, K, 2) and inner (M, J, 2) arcs of one or both halves, each drawn as a left one, brought to her outline.

    Two halves come back where one went in and the outline differs from side to side.
    """
    assert m.outline is not None
    if len(halves) == 1 and any(level.left != level.right for level in m.outline):
        halves = halves * 2
    outer, inner = (np.stack([half[i] for half in halves]) for i in (0, 1))
    columns, crotch = outer.shape[2], len(drops) - inner.shape[1]
    filler = np.repeat(outer[:, :crotch, -1:], inner.shape[2], axis=2)
    plane = np.concatenate([outer, np.concatenate([filler, inner], axis=1)], axis=2)
    nearest = np.minimum(0.0015 * m.hip, plane[..., 0].min(-1))  # a thigh that stands nearer already stays
    wanted = wanted_reaches(m.outline, drops, reaches_of(outer))
    moved = _Section(plane, wanted, nearest, columns, apart=m.halves is not None)
    plane = moved.whole(drops, rows_of(m, drops), m)
    plane[:, : crotch + 1, [0, columns - 1], 0] = 0.0
    plane[:, crotch, columns:, 0] = 0.0
    return [(half[:, :columns], half[crotch:, columns:]) for half in plane]


def reaches_of(outer: Array) -> Reaches:
    """How far outer arcs (H, L, K, 2), each drawn as a left one, reach."""
    y = outer[..., 1]
    return Reaches(outer[..., 0].max(-1), y.max((0, 2)), -y.min((0, 2)))


def wanted_reaches(outline: Sequence[OutlineLevel], drops: Array, own: Reaches) -> Reaches:
    """The model's reaches corrected by what was traced. The middle of the waist stays where it is: a photograph knows
    no origin."""

    def corrected(name: str, model: Array, *, grows: bool) -> Array:
        pairs = [(level.drop, getattr(level, name)) for level in outline if getattr(level, name) is not None]
        if not pairs:
            return model
        at, held = np.array(pairs).T
        place = np.interp(at, drops, model)
        change = np.log(held / place) if grows else held - place
        spread = monotone(at, change, drops) if len(at) > 1 else np.full(len(drops), change[0])
        return np.asarray(model * np.exp(spread) if grows else model + spread)

    out = np.stack([corrected(name, row, grows=True) for name, row in zip(SIDES, own.out, strict=False)])
    front, back = corrected("front", own.front, grows=False), corrected("back", own.back, grows=False)
    shift = ((front - back)[0] - (own.front - own.back)[0]) / 2
    return Reaches(out, front - shift, back + shift)


@dataclass(frozen=True, eq=False)
class _Section:
    """Sections (H, L, P, 2) of whole levels, outer arc first, and how far they are to reach.

    ``nearest`` (H, L) is how near to the mid-plane a point below the crotch may come; ``apart``: each half has a girth
    of its own.
    """

    plane: Array
    wanted: Reaches
    nearest: Array
    columns: int
    apart: bool

    def whole(self, drops: Array, rows: list[int], m: Measures) -> Array:
        """Every level moved, the named girths (``rows``: waist, high hip, hip, thigh, knee) being those before."""
        named = _Section(self.plane[:, rows], self.wanted.at(rows), self.nearest[:, rows], self.columns, self.apart)
        fuller, grown, drawn, leg, leg_grown = named.solved()
        trunk = drops[rows]
        below = np.array([m.crotch_drop, *drops[rows[3:]]])

        def down(values: Array) -> Array:
            return np.stack([monotone(trunk, np.concatenate([row, [0.0, 0.0]]), drops) for row in values])

        def legs(values: Array) -> Array:
            return np.stack([monotone(below, np.concatenate([[0.0], row]), drops) for row in values])

        built = self.trunk(down(fuller), down(grown))
        return self.legs(built, legs(drawn), legs(leg), legs(leg_grown))

    def solved(self) -> tuple[Array, Array, Array, Array, Array]:
        """What the named levels need for their girths: fullness and growth of the trunk (H, 3), then a leg drawn in
        or out, its fullness and its growth (H, 2)."""
        halves = len(self.plane)
        none, no_leg = np.zeros((halves, 5)), np.zeros((halves, 2))
        before = self.plane[:, :3]

        def padded(values: Array) -> Array:
            return np.concatenate([np.broadcast_to(values, (halves, 3)), no_leg], axis=1)

        def legs(values: Array) -> Array:
            return np.concatenate([np.zeros((halves, 3)), values], axis=1)

        fuller = _solved(lambda p: self.lengths(self.trunk(padded(p), none)[:, :3]), self.lengths(before), FULLEST)
        grown = np.log(self.girths(before) / self.girths(self.trunk(padded(fuller), none)[:, :3]))
        built = self.trunk(padded(fuller), padded(grown))
        girths = _leg_girths(self.plane[:, 3:])
        drawn = _solved(lambda k: _leg_girths(self.legs(built, legs(k), none, none)[:, 3:]), girths, DRAWN)
        leg = _solved(lambda q: _leg_girths(self.legs(built, legs(drawn), legs(q), none)[:, 3:]), girths, FULLEST)
        last = _solved(lambda g: _leg_girths(self.legs(built, legs(drawn), legs(leg), legs(g))[:, 3:]), girths, 0.5)
        return np.broadcast_to(fuller, (halves, 3)), np.broadcast_to(grown, (halves, 3)), drawn, leg, last

    def lengths(self, plane: Array) -> Array:
        """What the trunk is filled out for: the girth (1, R) of both halves together, or the length (H, R) of each."""
        return np.asarray(along(plane[:, :, : self.columns])[..., -1]) if self.apart else self.girths(plane)

    def girths(self, plane: Array) -> Array:
        """What a tape reads round the trunk (1, R)."""
        outer = plane[:, :, : self.columns]
        if len(outer) == 1:
            return girth_of(support_of_pair(outer, FINE))
        both = np.concatenate([outer[0], outer[1] * [-1.0, 1.0]], axis=1)
        return girth_of(support(both, FINE))[None]

    def trunk(self, fuller: Array, grown: Array) -> Array:
        """Breadth and depth as wanted, filled out by ``fuller`` (H, L), then grown by ``grown`` (H, L; logarithm)."""
        built = self.fitted(self.plane)
        w = self.wanted
        built = self.fitted(_filled(built, fuller, 0.0, w.out, w.middle, w.half_depth))
        return _grown(built, grown, w.middle)

    def legs(self, built: Array, drawn: Array, fuller: Array, grown: Array) -> Array:
        """Each leg drawn in or out on its inner side, filled out, then grown."""
        floor = np.minimum(self.nearest[..., None], built[..., 0])  # the thighs come no nearer to each other
        built = built.copy()
        out = built[..., 0].max(-1, keepdims=True)
        built[..., 0] = np.maximum(out - (out - built[..., 0]) * np.exp(drawn)[..., None], floor)
        if fuller.any():
            low, high = built.min(2), built.max(2)
            middle, half = (low + high) / 2, np.maximum((high - low) / 2, 1.0)
            filled = _filled(built, fuller, middle[..., 0], half[..., 0], middle[..., 1], half[..., 1])
            filled = self.fitted(filled, like=built)
            built = np.where((fuller != 0)[..., None, None], filled, built)
        built = _grown(built, grown, self.wanted.middle)
        built[..., 0] = np.maximum(built[..., 0], floor)
        return built

    def fitted(self, plane: Array, like: Array | None = None) -> Array:
        """Breadth and depth as wanted, or as ``like`` has them."""
        own = reaches_of(plane)
        to = self.wanted if like is None else reaches_of(like)
        x = plane[..., 0] * (to.out / own.out)[..., None]
        y = (plane[..., 1] - own.middle[:, None]) * (to.half_depth / own.half_depth)[:, None] + to.middle[:, None]
        return np.stack([x, y], axis=-1)


def _filled(plane: Array, fuller: Array, x: Array | float, out: Array, y: Array, deep: Array) -> Array:
    """Points moved to or from (x, y), most half-way between the places furthest out and furthest to front and back."""
    centre = np.stack(np.broadcast_arrays(x, y, plane[..., 0, 0])[:2], axis=-1)[..., None, :]
    u = (plane[..., 0] - centre[..., 0]) / np.asarray(out)[..., None]
    v = (plane[..., 1] - centre[..., 1]) / np.asarray(deep)[..., None]
    share = (2 * u * v / np.maximum(u * u + v * v, 1e-12)) ** 2
    return np.asarray(centre + (plane - centre) * (1 + fuller[..., None] * share)[..., None])


def _grown(plane: Array, grown: Array, middle: Array) -> Array:
    origin = np.stack([np.zeros_like(middle), middle], axis=-1)[:, None]
    return np.asarray(origin + (plane - origin) * np.exp(grown)[..., None, None])


def _leg_girths(plane: Array) -> Array:
    return girth_of(support(plane, FINE))


def _solved(read: Callable[[Array], Array], wanted: Array, most: float) -> Array:
    """Values within ± ``most`` that make ``read`` come to what is wanted, or as near as they may: the secant rule."""
    value = np.zeros_like(wanted)
    off = np.log(wanted / read(value))
    slope = np.log(read(value + SMALL) / wanted) / SMALL + off / SMALL
    for _ in range(ROUNDS):
        if np.abs(off).max() < CLOSE:
            break
        step = np.clip(value + off / np.maximum(slope, FLATTEST), -most, most) - value
        value = value + step
        before, off = off, np.log(wanted / read(value))
        slope = np.where(np.abs(step) > 1e-9, (before - off) / np.where(step == 0.0, 1.0, step), slope)
        if np.abs(step).max() < 1e-12:
            break
    return value
