"""The two tubes of a body drawn through the sections of a scan, level by level."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from silhouette.shape.body import ARC_POINTS, INNER_POINTS, NEAREST, Body, assembled, levels_of
from silhouette.shape.curves import Array, along, monotone
from silhouette.shape.dimensions import Measures
from silhouette.shape.learnt import BLENDED, ease
from silhouette.shape.scan.arcs import MIRROR, halves_of_outline, leg_arcs
from silhouette.shape.scan.landmarks import Placed, body_parts
from silhouette.shape.scan.slices import HOLE, Part, TornMeshError, hull, sections
from silhouette.shape.sizing import FINE, middle_of, rows_of
from silhouette.shape.support import DIRECTIONS, girth_of, support

AT_CROTCH: Final = 0.1  #: mm above the crotch at which its own section is taken
NEAR: Final = 4.0  #: mm; levels so near are softened together
SOFTENED: Final = 1  #: passes that take the facets of a mesh off, down the levels and round

Sides = tuple[Array, Array]


@dataclass(frozen=True, eq=False)
class Taut:
    """Taut outlines of a scan at levels from the waist to the knee, mm from the mid-plane and from the waist's middle.

    whole  one outline (N, 2) at each level: the trunk, below the crotch round both legs
    legs   left and right leg at each level below the crotch, the right one as it stands
    """

    drops: Array
    whole: list[Array]
    legs: list[tuple[Array, Array]]
    middle: float = 0.0  #: y of the waist's middle on the scan

    @property
    def girth(self) -> Array:
        return np.array([_length(outline) for outline in self.whole])

    @property
    def leg_girth(self) -> Array:
        """(M, 2)"""
        return np.array([[_length(leg) for leg in pair] for pair in self.legs])


def _length(outline: Array) -> float:
    """Round a closed outline (N, 2)."""
    return float(along(np.concatenate([outline, outline[:1]]))[-1])


def taut_sections(scan: Placed, drops: Array, crotch: float) -> Taut:
    """Cut a scan at ``drops``, ascending; those below the drop ``crotch`` have legs. Raises ``TornMeshError``."""
    heights = scan.waist - drops
    heights = np.where(np.abs(drops - crotch) < 1e-6, heights + AT_CROTCH, heights)
    found = sections(scan.mesh, heights[::-1], HOLE)[::-1]
    whole, legs = [], []
    for drop, parts in zip(drops, found, strict=True):
        if not parts:
            raise TornMeshError(f"has nothing {drop:.0f} mm below the waist")
        pair = body_parts(parts)
        whole.append(pair[0].outline if len(pair) == 1 else hull(np.concatenate([p.outline for p in pair])))
        if drop > crotch + 1e-6:
            legs.append(_two(pair, drop))
    return Taut(drops, whole, legs)


def _two(pair: list[Part], drop: float) -> tuple[Array, Array]:
    """Left and right leg; those that have grown together are parted by the mid-plane."""
    if len(pair) == 2:
        right, left = sorted(pair, key=lambda p: float(p.middle[0]))
        return left.outline, right.outline
    points = pair[0].points
    halves = [points[points[:, 0] >= 0], points[points[:, 0] <= 0]]
    if min(len(half) for half in halves) < 8:
        raise TornMeshError(f"shows one leg only {drop:.0f} mm below the waist")
    return hull(halves[0]), hull(halves[1])


def taut_levels(scan: Placed, m: Measures) -> Taut:
    """The taut sections at every level of a body; y from the middle of the waist. Raises ``TornMeshError``."""
    taut = taut_sections(scan, levels_of(m), m.crotch_drop)
    waist = taut.whole[0][:, 1]
    down = np.array([0.0, (waist.max() + waist.min()) / 2])
    return replace(
        taut,
        whole=[outline - down for outline in taut.whole],
        legs=[(left - down, right - down) for left, right in taut.legs],
        middle=float(down[1]),
    )


def body_of_taut(m: Measures, taut: Taut, own: Array) -> tuple[Body, Body]:
    """The two tubes through taut sections: as the scan is, and brought to the girths of ``m``.

    ``own`` (5,) are the scan's own girths at waist, high hip, hip, thigh and knee. Raises ``TornMeshError``.
    """
    drops = taut.drops
    crotch = int(np.searchsorted(drops, m.crotch_drop - 1e-9))
    level = np.interp(drops, [0.0, m.hip_drop, m.crotch_drop, m.knee_drop], [0.0, 1.0, 2.0, 3.0])
    share = ease((level[crotch:] - 2) / BLENDED)  # how much a leg it is, and no longer the trunk
    pairs = [halves_of_outline(outline, t, ARC_POINTS) for outline, t in zip(taut.whole, level, strict=True)]
    halves = []
    for side, sign in ((0, np.ones(2)), (1, MIRROR)):
        legs = [pair[side] * sign for pair in taut.legs]
        halves.append(_half(np.array([pair[side] for pair in pairs]), legs, level, share, m.hip))
    _softened(halves, drops, crotch)
    _kept_to(halves, taut, (share >= 1.0) | (drops[crotch:] > m.under_seat_drop - 1e-6))
    plain = assembled(m, drops, halves)
    wanted = np.array([m.waist, m.high_hip, m.hip, m.thigh, m.knee])
    if np.allclose(wanted, own, atol=1e-6):
        return plain, plain
    grown = np.exp(monotone(drops[rows_of(m, drops)], np.log(wanted / own), drops))[:, None]
    middle = middle_of(np.concatenate([halves[0][0], halves[1][0]], axis=1))
    for outer, inner in halves:
        for grid, rows in ((outer, slice(None)), (inner, slice(crotch, None))):
            grid[..., 0] *= grown[rows]
            grid[..., 1] = middle[rows] + grown[rows] * (grid[..., 1] - middle[rows])
    return plain, assembled(m, drops, halves)


def residual_of(scan: Placed, plain: Body, middle: float) -> tuple[float, float]:
    """Mean and most distance (mm) between the scan's taut sections and the tubes, half-way between their levels."""
    drops = (plain.drops[1:] + plain.drops[:-1]) / 2
    found = sections(scan.mesh, scan.waist - drops[::-1], HOLE)[::-1]
    outer, inner = plain.outer[..., :2], plain.inner[..., :2]
    whole = np.concatenate([outer[0], outer[1]], axis=1)
    legs = np.concatenate([outer[:, plain.crotch :], inner], axis=2)
    m = plain.measures
    blended = m.crotch_drop + BLENDED * (m.knee_drop - m.crotch_drop)
    shift = np.array([0.0, middle])
    off = []
    for row, (drop, parts) in enumerate(zip(drops, found, strict=True)):
        pair = body_parts(parts)
        cloud = np.concatenate([p.points for p in pair]) - shift
        off.append(support(cloud, DIRECTIONS) - support(whole[row : row + 2].mean(0), DIRECTIONS))
        if drop > blended and len(pair) == 2:
            right, left = sorted(pair, key=lambda p: float(p.middle[0]))
            for side, leg in ((0, left), (1, right)):
                tube = legs[side, row - plain.crotch : row - plain.crotch + 2].mean(0)
                off.append(support(leg.points - shift, DIRECTIONS) - support(tube, DIRECTIONS))
    away = np.abs(np.array(off))
    return float(away.mean()), float(away.max())


def _half(outer: Array, legs: list[Array], level: Array, share: Array, hip: float) -> Sides:
    """Outer (L, K, 2) and inner (M, J, 2) arcs of one side, blended from the trunk to the leg below the crotch."""
    crotch = len(outer) - len(share)
    run = np.linspace(0.0, 1.0, INNER_POINTS)[:, None]
    wall = outer[crotch:, -1:] * (1 - run) + outer[crotch:, :1] * run
    inner = wall.copy()
    drawn = [leg_arcs(leg, t, ARC_POINTS, INNER_POINTS) for leg, t in zip(legs, level[crotch + 1 :], strict=True)]
    share = share[1:, None, None]
    outer[crotch + 1 :] = (1 - share) * outer[crotch + 1 :] + share * np.array([arc for arc, _ in drawn])
    inner[1:] = (1 - share) * wall[1:] + share * np.array([arc for _, arc in drawn])
    least = NEAREST * hip * ease((level[crotch:] - 2) / 0.05)
    for x in (inner[..., 0], outer[crotch:, :, 0]):
        np.maximum(x, least[:, None], out=x)
    inner[0, :, 0] = 0.0
    inner[:, [0, -1]] = outer[crotch:, [-1, 0]]
    return outer, inner


def _softened(halves: list[Sides], drops: Array, crotch: int) -> None:
    """Facets of the mesh taken off, in place: every point up to half-way to the straight line between its neighbours,
    above and below, and to either side. Levels far apart are left as they are."""
    step = np.diff(drops)[:, None, None]
    nearer = step[1:] / (step[1:] + step[:-1])  # weight of the level above
    drawn = 0.5 * np.minimum(1.0, 2 * NEAR / (step[1:] + step[:-1])) ** 2
    for outer, inner in halves:
        for _ in range(SOFTENED):
            for grid in (outer, inner):
                held = grid[[0, -1]].copy()
                up, much = (weight[len(nearer) + 2 - len(grid) :] for weight in (nearer, drawn))
                grid[1:-1] += much * (up * grid[:-2] + (1 - up) * grid[2:] - grid[1:-1])
                grid[:, 1:-1] = (grid[:, :-2] + 2 * grid[:, 1:-1] + grid[:, 2:]) / 4
                grid[[0, -1], :, 0] = np.where(held[..., 0] == 0.0, 0.0, grid[[0, -1], :, 0])
        outer[: crotch + 1, [0, -1], 0] = 0.0
        inner[0, :, 0] = 0.0
        inner[0, :, 1] = outer[crotch, -1, 1] + (outer[crotch, 0, 1] - outer[crotch, -1, 1]) * np.linspace(
            0, 1, inner.shape[1]
        )
    left, right = halves[0][0], halves[1][0]
    middle = (left[: crotch + 1, [0, -1], 1] + right[: crotch + 1, [0, -1], 1]) / 2
    left[: crotch + 1, [0, -1], 1] = right[: crotch + 1, [0, -1], 1] = middle


def _kept_to(halves: list[Sides], taut: Taut, wholly: NDArray[np.bool_]) -> None:
    """Every level brought back to the girth of its section, in place: what a tape reads is the scan's own.

    Where it is ``wholly`` (M,) a leg, each leg grows or shrinks about its own middle, and both stand as far apart as
    the tape round both of them says; above, the whole grows.
    """
    crotch = len(taut.drops) - len(wholly)
    both = np.concatenate([halves[0][0], halves[1][0] * MIRROR], axis=1)
    share = (taut.girth / girth_of(support(both, DIRECTIONS)))[:, None]
    legs = np.flatnonzero(wholly)
    share[crotch + legs] = 1.0
    middle = middle_of(both)
    for side, (outer, inner) in enumerate(halves):
        for grid, rows in ((outer, slice(None)), (inner, slice(crotch, None))):
            grid[..., 0] *= share[rows]
            grid[..., 1] = middle[rows] + share[rows] * (grid[..., 1] - middle[rows])
        leg = np.concatenate([outer[crotch + legs], inner[legs]], axis=1)
        grown = (taut.leg_girth[legs - 1, side] / girth_of(support(leg, FINE)))[:, None, None]
        centre = (leg.max(1) + leg.min(1))[:, None] / 2
        for grid, at in ((outer, crotch + legs), (inner, legs)):
            grid[at] = centre + grown * (grid[at] - centre)
    pair = np.concatenate([halves[0][0][crotch + legs], halves[1][0][crotch + legs] * MIRROR], axis=1)
    aside = (taut.girth[crotch + legs] - girth_of(support(pair, DIRECTIONS)))[:, None] / 4  # two lines bridge them
    for outer, inner in halves:
        outer[crotch + legs, :, 0] += aside
        inner[legs, :, 0] += aside
