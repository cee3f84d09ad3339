"""Which way up a scan stands and which way she faces: by her legs, by the likeness of her sides, by feet and seat."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from silhouette.asked.body_sources import BodySources
from silhouette.shape.curves import Array
from silhouette.shape.scan.slices import Indices, Mesh, Part, TornMeshError, sections

COARSE: Final = 48  #: levels looked at to find up and down
HOLE_SHARE: Final = 0.04  #: of her height: loose ends so near belong together while the unit is not known
CLEARLY: Final = 0.75  #: of her height: an axis so much shorter is not up
PAIRED: Final = 0.5  #: two legs differ by no more than this, smaller over larger area
APART: Final = 0.6  #: a third part is smaller than this share of the second, or there are not two legs
SNAPPED: Final = np.radians(1.5)  #: nearer to an axis of the scan than this, she faces along it
TURNED: Final = np.radians(12.0)  #: how far her sides may turn what the middles of her legs say
HARMONICS: Final = 12


class NotStandingError(ValueError):
    """No two legs with a trunk above."""


@dataclass(frozen=True, eq=False)
class Standing:
    """A mesh set upright in its own unit, z up. ``parted`` and ``whole`` are heights just below and above the crotch;
    ``foot`` and ``top`` its ends; ``up`` the axis of the file that is up and its sign."""

    mesh: Mesh
    parted: float
    whole: float
    up: tuple[int, int]

    @property
    def foot(self) -> float:
        return float(self.mesh.vertices[:, 2].min())

    @property
    def top(self) -> float:
        return float(self.mesh.vertices[:, 2].max())


def upright(vertices: Array, triangles: Indices, body: BodySources) -> Standing:
    """The mesh with z up, its other axes as they come (right-handed). Raises ``NotStandingError``."""
    given = "xyz".index(body.scan_up[-1]) if body.scan_up else None
    span = np.ptp(vertices, axis=0)
    best: tuple[float, Standing] | None = None
    for axis in np.argsort(-span) if given is None else (given,):
        if best is not None and span[axis] < CLEARLY * span[best[1].up[0]]:
            break
        turned = vertices[:, [(axis + 1) % 3, (axis + 2) % 3, axis]]
        signs = (1, -1) if body.scan_up is None else ((-1,) if body.scan_up.startswith("-") else (1,))
        low, high = float(turned[:, 2].min()), float(turned[:, 2].max())
        edge = (high - low) / (4 * COARSE)
        heights = np.linspace(low + edge, high - edge, COARSE)
        try:
            parts = sections(Mesh(turned, triangles), heights, HOLE_SHARE * (high - low))
        except TornMeshError:
            if given is not None:
                raise
            continue
        for sign in signs:
            run = _legs_then_trunk(parts[::sign])
            if run is None:
                continue
            score, row = run[0] * (high - low), run[1]
            if best is None or score > best[0]:
                # half a turn about the first axis stands her on her feet
                mesh = Mesh(turned * [1.0, sign, sign], triangles)
                z = (heights * sign)[::sign]
                best = score, Standing(mesh, float(z[row]), float(z[row + 1]), (int(axis), sign))
    if best is None:
        raise NotStandingError
    return best[1]


def two_legs(parts: list[Part]) -> bool:
    """Whether a section shows two legs of like size and nothing as large beside them."""
    if len(parts) < 2 or parts[1].area < PAIRED * parts[0].area:
        return False
    return len(parts) < 3 or parts[2].area < APART * parts[1].area


def _legs_then_trunk(parts: list[list[Part]]) -> tuple[float, int] | None:
    """How many levels speak for legs below a trunk, and the last level of the legs, from below up."""
    two = np.array([two_legs(p) for p in parts])
    area = np.array([p[0].area if p else 0.0 for p in parts])
    best: tuple[float, int] | None = None
    for row in np.flatnonzero(two[:-1] & ~two[1:]):
        below = int(np.argmin(np.append(two[row::-1], False)))
        above = ~two[row + 1 :] & (area[row + 1 :] > 1.25 * area[row])
        up = int(np.argmin(np.append(above, False)))
        if below >= 3 and up >= 3 and (best is None or min(below, up) > best[0]):
            best = float(min(below, up)), int(row)
    return best


def facing(standing: Standing, trunk: list[Part], legs: list[tuple[Part, Part]], body: BodySources) -> Array:
    """Unit vector (2,) in the plane along which her sides are most alike: front or back, not yet told apart."""
    if body.scan_front is not None:
        return _given(standing, body)
    between = np.mean([b.middle - a.middle for a, b in _like_pairs(legs)], axis=0)
    first = np.arctan2(between[1], between[0]) + np.pi / 2
    waves = np.fft.rfft([p.h for p in trunk], axis=1)[:, 2 : HARMONICS + 1]
    turns = first + np.linspace(-TURNED, TURNED, 481)
    order = np.arange(2, HARMONICS + 1)
    unlike = (np.imag(waves[:, None] * np.exp(1j * order * turns[:, None])) ** 2).sum((0, 2))
    found = float(turns[np.argmin(unlike)])
    axis = np.round(found / (np.pi / 2)) * np.pi / 2
    if abs(found - axis) < SNAPPED:
        found = float(axis)
    return np.array([np.cos(found), np.sin(found)])


def _like_pairs(legs: list[tuple[Part, Part]]) -> list[tuple[Part, Part]]:
    """Every pair in the order of the first: the same leg first."""
    start = legs[0][0].middle
    built = []
    for a, b in legs:
        if ((a.middle - start) ** 2).sum() > ((b.middle - start) ** 2).sum():
            a, b = b, a
        start = a.middle
        built.append((a, b))
    return built


def _given(standing: Standing, body: BodySources) -> Array:
    """The front that the sheet names, in the plane of the standing mesh."""
    assert body.scan_front is not None
    axis, sign = standing.up
    place = ("xyz".index(body.scan_front[-1]) - axis - 1) % 3
    found = np.zeros(2)
    found[place] = -1.0 if body.scan_front.startswith("-") else 1.0
    return found * [1.0, sign]
