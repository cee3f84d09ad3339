"""The figure in a picture: skin as an eye sees it, carried on above the waist and below the knee.

What lies beyond waist and knee is schematic, so that an eye reads a woman and not a block; none of it is measured.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from silhouette.shape.body import Body
from silhouette.shape.curves import Array, monotone
from silhouette.shown.shading import outward_normals
from silhouette.shown.surface import Surface, once_round

TORSO: Final = 180.0  #: how far the figure is carried on above the waist, mm
CALF: Final = 190.0  #: and at least below the knee, mm
BELOW_HEM: Final = 150.0  #: so much of the legs shows under a hem, mm
#: The torso above the waist: height over TORSO, breadth and depth over the waist's, way back over the waist's depth.
_RIBS: Final = np.array([[0, 1, 1, 0], [0.25, 1.01, 1.01, 0.006], [0.6, 1.055, 1.06, 0.02], [1, 1.115, 1.13, 0.035]])
#: The leg below the knee: mm down, breadth and depth over the knee's, way back in mm.
_SHIN: Final = np.array(
    [[0, 1, 1, 0], [60, 0.97, 0.98, 5], [130, 0.99, 1.05, 13], [250, 0.82, 0.86, 14], [350, 0.66, 0.7, 12]]
)
SOFTENED: Final = 12.0  #: mm down the body over which ways outward are softened where torso and legs meet
#: How a cut end is rounded off: share of the ring, and how far beyond it, mm.
_ROUNDED: Final = ((0.02, 5.0), (0.5, 5.0), (0.93, 4.2), (0.985, 2.2))


def body_surfaces(
    body: Body, *, above: float | None = None, below: float = 0.0, hem: float = 0.0
) -> tuple[Surface, ...]:
    """Skin between two drops, torso and legs carried on: all of it by default, shaded as one.

    ``above``: only the torso down to that drop below the waist. ``below``: only legs from that drop on.
    """
    built = unshaded(body, above=above, below=below, hem=hem)
    return _one_skin(body, built) if above is None and below <= 0.0 else built


def unshaded(body: Body, *, above: float | None = None, below: float = 0.0, hem: float = 0.0) -> tuple[Surface, ...]:
    """The same surfaces without the ways outward that they are shaded by."""
    built: list[Surface] = []
    outer, inner = body.skin
    crotch = body.crotch
    if below <= 0.0:
        rows = crotch + 1 if above is None else int(np.searchsorted(body.drops, above)) + 1
        built.append(Surface("skin", "torso", np.concatenate([_torso(outer), once_round(outer)[:rows]])))
    if above is None:
        first = max(int(np.searchsorted(body.drops, below)) - 1, crotch)
        for side, name in ((0, "left leg"), (1, "right leg")):
            ring = np.concatenate([outer[side, first:], inner[side, first - crotch :, 1:]], axis=1)
            ring = ring if side == 0 else ring[:, ::-1]
            length = max(CALF, hem - float(body.drops[-1]) + BELOW_HEM)
            built.append(Surface("skin", name, np.concatenate([ring, _shin(ring[-1], length)])))
    return tuple(built)


def _one_skin(body: Body, surfaces: tuple[Surface, ...]) -> tuple[Surface, ...]:
    """Torso and legs shaded as one skin: ways outward softened down the body about the crotch, where they meet."""
    torso, *legs = (outward_normals(surface.points) for surface in surfaces)
    columns, first = body.outer.shape[2], len(torso) - body.crotch - 1
    upper = np.flatnonzero(body.drops[: body.crotch + 1] > body.drops[body.crotch] - 4 * SOFTENED)
    lower = np.flatnonzero(body.drops[body.crotch :] < body.drops[body.crotch] + 4 * SOFTENED)[1:]
    drops = np.concatenate([body.drops[upper], body.drops[body.crotch + lower]])
    weight = np.exp(-(((drops[:, None] - drops) / SOFTENED) ** 2) / 2) * np.gradient(drops)
    for side, leg in enumerate(legs):
        outer = slice(0, columns) if side == 0 else slice(-1, -columns - 1, -1)
        # above the inner thigh lies the centre line, front and back
        middle = torso[first + upper][:, outer][:, [0, -1]].mean(axis=1, keepdims=True)
        own = np.concatenate([np.repeat(middle, leg.shape[1], axis=1), leg[lower]])
        own[: len(upper), outer] = torso[first + upper][:, outer]
        soft = _faded(own, _unit(np.einsum("ab,bkc->akc", weight, own)), drops - body.drops[body.crotch])
        torso[first + upper, outer] = soft[: len(upper), outer]
        leg[lower], leg[0] = soft[len(upper) :], soft[len(upper) - 1]
    return tuple(replace(surface, normals=way) for surface, way in zip(surfaces, (torso, *legs), strict=True))


def _faded(own: Array, soft: Array, away: Array) -> Array:
    """``soft`` at the crotch, going over to ``own`` with the distance ``away`` from it (R,)."""
    share = np.clip(1.0 - np.abs(away) / (4 * SOFTENED), 0.0, 1.0)[:, None, None] ** 0.5
    return _unit(soft * share + own * (1 - share))


def _unit(ways: Array) -> Array:
    return np.asarray(ways / np.maximum(np.linalg.norm(ways, axis=-1, keepdims=True), 1e-9))


def _torso(outer: Array) -> Array:
    """Rows above the waist, from a closed top downward; the last one lies just above the waist."""
    waist = once_round(outer[:, :1])[0]
    up = np.linspace(1.0, 0.04, 22)
    breadth, depth, back = monotone(_RIBS[:, 0], _RIBS[:, 1:], up).T
    rings = _scaled(waist, breadth, depth, back * np.ptp(waist[:, 1]), TORSO * up)
    return np.concatenate([_rounded(rings[0], 1.0), rings])


def _shin(knee: Array, length: float) -> Array:
    """Rows below the knee, a closed foot last."""
    down = np.linspace(0.0, min(length, _SHIN[-1, 0]), 19)[1:]
    breadth, depth, back = monotone(_SHIN[:, 0], _SHIN[:, 1:], down).T
    rings = _scaled(knee, breadth, depth, back, -down)
    return np.concatenate([rings, _rounded(rings[-1], -1.0)[::-1]])


def _rounded(ring: Array, up: float) -> Array:
    """Rows that close a ring (N, 3) over its upper (``up`` 1) or under its lower (-1) end, from the middle outward."""
    middle = ring.mean(axis=0)
    return np.stack([middle + (ring - middle) * share + [0, 0, up * rise] for share, rise in _ROUNDED])


def _scaled(ring: Array, breadth: Array, depth: Array, back: Array, up: Array) -> Array:
    """A ring (N, 3) at other heights (R,): scaled about its middle, moved back."""
    middle = (ring.max(axis=0) + ring.min(axis=0)) / 2
    scale = np.stack([breadth, depth, np.zeros_like(breadth)], axis=-1)[:, None]
    shift = np.stack([np.zeros_like(back), -back, up + ring[0, 2]], axis=-1)[:, None]
    return np.asarray(middle * [1, 1, 0] + (ring - middle) * scale + shift)
